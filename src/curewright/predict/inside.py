"""The upper limits of a part's thermocouples held against the hottest place inside what cures, where perhaps no thermocouple sits.

For information beside the verdicts: a requirement is about what its thermocouples show. The phase is that of the requirement in
the same run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.solve import Solution

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curewright.predict.predicted import LoadToPredict, PredictedZone, Prediction
    from curewright.terms.verdict import Verdict

Range = tuple[float, float]


@dataclass(frozen=True)
class UpperLimit:
    """An upper limit [K] of a part's temperature by a clause's form, in its own words ('at most 185 degC')."""

    part: str
    clause: str
    form: str
    level: float
    words: str


@dataclass(frozen=True)
class InsideBand:
    """The hottest place inside a zone over a limit [K] (below 0: under it): as predicted, the middle 95 % of the samples, and in how many
    of them it lies over it. ``sensed``: whether a thermocouple of the map sits in the zone.
    """

    limit: UpperLimit
    zone: str
    sensed: bool
    predicted: float
    band: Range
    over: int
    samples: int


def over_limits(
    prediction: Prediction, asked: LoadToPredict, verdicts: Sequence[Verdict], limits: Iterable[UpperLimit]
) -> dict[tuple[UpperLimit, str], float]:
    """The hottest place inside what cures of each zone, less each limit of its part [K], over the phase that the limit has in the run.

    None for a zone that was refused, or in which nothing cures, and for a phase that the run does not have.
    """
    found = {}
    for limit in limits:
        phase = _phase(verdicts, limit, float(prediction.t[-1]))
        if phase is None:
            continue
        for one in prediction.of_part(limit.part):
            hottest = _hottest(one, asked, phase)
            if hottest is not None:
                found[limit, one.zone.name] = hottest - limit.level
    return found


def _phase(verdicts: Sequence[Verdict], limit: UpperLimit, end: float) -> Range | None:
    """From the earliest start to the latest end [s] over the verdicts of a limit's form."""
    phases = [
        one.phase
        for one in verdicts
        if (one.part, one.clause, one.form) == (limit.part, limit.clause, limit.form) and one.phase is not None
    ]
    starts = [one.earliest_start for one in phases if one.earliest_start is not None]
    if not starts:
        return None
    ends = [end if one.latest_end is None else one.latest_end / 1e9 for one in phases]
    return min(starts) / 1e9, min(end, max(ends))


def _hottest(one: PredictedZone, asked: LoadToPredict, phase: Range) -> float | None:
    """The hottest [K] of the cells that cure, at the outputs within the phase."""
    if not isinstance(one.found, Solution):
        return None
    cures = [layer.name for layer in one.zone.layers if asked.material(layer).reacts]
    at = np.flatnonzero((one.found.t >= phase[0]) & (one.found.t <= phase[1]))
    cells = [slice(*one.found.grid.parts[name]) for name in cures]
    return max(float(one.found.T[at, part].max()) for part in cells) if cells and at.size else None
