"""How sure the state of a resin at an instant is: the middle 95 % over what was said to be doubtful, by replay and by recorded temperature.

A zone is solved once for each sample (as in :mod:`curewright.predict.band`); along a thermocouple's own recorded temperature only the
rate of cure is doubtful. The range of the glass transition also spans all published laws of the resin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.cure import integrate_cure
from curewright.physics.glass.laws import spread
from curewright.physics.solve.places import cure_at, temperature_at
from curewright.physics.viscosity.laws import viscosity
from curewright.predict.band import FEWEST, SMALLEST, ZoneAsked, doubts_of, is_a_rate, middle, sampled, solved
from curewright.predict.resin import for_estimates
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.physics.card import Card
    from curewright.predict.predicted import Over

    Array = NDArray[np.float64]
Range = tuple[float, float]
SHORTEST = 600.0  # s: over less, so little heat flows that its balance says nothing


@dataclass(frozen=True)
class StateBand:
    """The middle 95 % of the state of one place at an instant: temperature and glass transition [K], cure [1], viscosity [Pa s].

    ``gelled``: the share of the samples that had gelled, None where the card has no gel. None for a range that is not known or, for
    viscosity, where any of the middle 95 % has gelled. ``over``: what was varied; empty: nothing, then the range is a point.
    """

    place: str
    by: str
    temperature: Range
    cure: Range | None
    glass: Range | None
    viscosity: Range | None
    gelled: float | None
    over: tuple[str, ...]


def band_of_zone(
    asked: ZoneAsked, card: Card, layer: str, shares: Sequence[float], t: float, over: Over = map, *, samples: int = 64
) -> tuple[StateBand, ...]:
    """The bands at some depths of a zone's layer (shares from its bag side) at an instant [s] within the surroundings.

    Raises :class:`CurewrightError` for fewer than 20 samples, and where the solver refuses too many of them.
    """
    if samples < FEWEST:
        raise CurewrightError(f"a band of {samples} samples", expected=f"at least {FEWEST}")
    doubts = doubts_of(asked.asked, asked.zone)
    doubts.pop("thermocouple depth", None)
    times = np.unique([asked.seen.start, t, max(t, min(asked.seen.start + SHORTEST, asked.seen.end))])
    until, i = replace(asked, times=times), int(np.searchsorted(times, t))
    found = [one for _, one, _ in solved(until, sampled(doubts, samples, seed=1), over)]
    if len(found) < FEWEST:
        raise CurewrightError(
            f"{samples - len(found)} of {samples} samples of {asked.zone.name} are refused by the solver"
        )
    name = f"part {asked.part.serial}, {asked.zone.name}, {layer} at"
    return tuple(
        _band(
            f"{name} {share:g}", "replayed", card,
            np.array([temperature_at(one, layer, 1.0 - share)[i] for one in found]),
            np.array([cure_at(one, layer, 1.0 - share)[i] for one in found]), tuple(doubts),
        )
        for share in shares
    )  # fmt: skip


def band_of_trace(
    place: str,
    card: Card,
    t: Array,
    temperature: Array,
    start: float,
    at: float,
    rate: float | None,
    *,
    samples: int = 64,
) -> StateBand | None:
    """The band where a thermocouple sits, along its own recorded temperature [K] at instants t [s]; None where ``at`` is not recorded.

    start : degree of cure at the first instant. rate : relative standard uncertainty of the rate of cure, None where nobody stated it.
    """
    from scipy import stats  # here: half a second that no judgement needs

    if not t[0] <= at <= t[-1]:
        return None
    keep = t < at
    t_ns = np.rint(np.append(t[keep], at) * 1e9).astype(np.int64)
    shown = np.append(temperature[keep], np.interp(at, t, temperature))
    ranks = (np.arange(samples) + 0.5) / samples
    factors = np.maximum(SMALLEST, 1.0 + (rate or 0.0) * stats.norm.ppf(ranks)) if rate else np.ones(1)
    cure = np.array([integrate_cure(_faster(card, float(factor)), t_ns, shown, start)[-1] for factor in factors])
    return _band(place, "recorded", card, np.full(cure.size, shown[-1]), cure, ("rate of cure",) if rate else ())


def _faster(card: Card, factor: float) -> Card:
    """The card for estimates with every factor of Arrhenius of its kinetics times the same."""
    law = card.degree_of_cure
    values = tuple(replace(one, number=one.number * factor) if is_a_rate(one.name) else one for one in law.values)
    return replace(for_estimates(card), degree_of_cure=replace(law, values=values))


def _band(place: str, by: str, card: Card, temperature: Array, cure: Array, over: tuple[str, ...]) -> StateBand:
    known = not np.isnan(cure).any()
    laws = card.glass_transitions
    glass = None
    if known and laws:
        low, high = spread(laws, cure)
        glass = middle(low)[0], middle(high)[1]
    gel = card.gel.number if card.gel else None
    solid = float(np.mean(cure >= gel)) if known and gel is not None else None
    flows = None
    if known and card.viscosity is not None and gel is not None and middle(cure)[1] < gel:
        flows = middle(viscosity(card.viscosity, temperature, cure))
    return StateBand(place, by, middle(temperature), middle(cure) if known else None, glass, flows, solid, over)
