"""What becomes of a predicted verdict over samples of what is doubtful: how many come out met, the band of its margin, its rank in risk.

The numbers are shares of the sampled inputs of a model, no probability that the real run conforms.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from curewright.predict.band import middle
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curewright.predict.inside import InsideBand
    from curewright.terms.verdict import Verdict

Range = tuple[float, float]
SHARES_ONLY = "shares of the sampled inputs of the model, no probability that the real run conforms"
BROKEN, REACHES_PAST, NEAR, CERTAIN, NOT_JUDGED = range(5)  # ranks of risk, worst first
RISKS = (
    "not met as predicted",
    "not met in some samples",
    "met in every sample",
    "met, and nothing doubtful moves it",
    "not shown as predicted",
)


WIDE_GAP = 0.4  # of all the samples' margins together: an empty gap as wide parts them into two groups (our own choice)
SMALLEST_GROUP = 0.05  # of the samples
FEWEST = 20  # samples: of fewer nothing is said of groups


@dataclass(frozen=True)
class Group:
    """Samples whose margins lie together: how many, from which to which."""

    count: int
    low: float
    high: float


@dataclass(frozen=True)
class VerdictBand:
    """A predicted verdict, and what the samples came to: how many of each outcome (a sample without an answer is not shown).

    ``margin``: the middle 95 % of the samples' margins in the requirement's unit; None where a sample has none. ``groups``: the two groups
    into which the samples' margins fall, with nothing between; none where they do not.
    """

    verdict: Verdict
    met: int
    not_met: int
    not_shown: int
    margin: Range | None
    groups: tuple[Group, ...] = ()

    @property
    def samples(self) -> int:
        """How many there were."""
        return self.met + self.not_met + self.not_shown

    @property
    def varies(self) -> bool:
        """Whether what is doubtful moves it at all."""
        return self.margin is None or self.margin[1] > self.margin[0]

    @property
    def rank(self) -> int:
        """Not met as predicted, else met and not met among the samples, else met in all by a margin that varies, else beyond doubt."""
        if self.verdict.outcome is Outcome.NOT_MET:
            return BROKEN
        if self.not_met:
            return REACHES_PAST
        if self.verdict.outcome is not Outcome.MET:
            return NOT_JUDGED
        return NEAR if self.varies and self.margin is not None else CERTAIN

    @property
    def room(self) -> float:
        """The predicted margin over the part of its band that lies on the limit's side: below 1 the band reaches past the limit."""
        margin = _margin(self.verdict)
        if margin is None or self.margin is None:
            return float("inf")
        towards = margin[0] - self.margin[0]
        return margin[0] / towards if towards > 0.0 else float("inf")


@dataclass(frozen=True, eq=False)
class JudgedSamples:
    """The samples of a load judged. ``verdicts``: what a program judges, by risk; ``inside``: the hottest place of each zone against the
    upper limits of its part, the nearest first. ``refused``: samples without an answer; ``left_out``: doubts that nobody stated.
    """

    samples: int
    refused: int
    verdicts: tuple[VerdictBand, ...]
    inside: tuple[InsideBand, ...]
    left_out: tuple[str, ...]


def verdict_bands(predicted: Sequence[Verdict], samples: Sequence[Sequence[Verdict]]) -> tuple[VerdictBand, ...]:
    """The band of every predicted verdict that a program judges, in their order."""
    found = [{_key(verdict): verdict for verdict in one} for one in samples]
    judged = [one for one in predicted if one.outcome in (Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN)]
    return tuple(_band(verdict, [one.get(_key(verdict)) for one in found]) for verdict in judged)


def by_risk(bands: Iterable[VerdictBand]) -> tuple[VerdictBand, ...]:
    """Worst first: not met; then those whose samples are not all met, most first; then by how little room they have."""
    return tuple(sorted(bands, key=lambda one: (one.rank, -one.not_met / max(one.samples, 1), one.room)))


def _key(verdict: Verdict) -> tuple[str, str, str, str]:
    return verdict.part, verdict.clause, verdict.form, verdict.thing


def _band(predicted: Verdict, samples: Sequence[Verdict | None]) -> VerdictBand:
    counts = Counter(Outcome.NOT_SHOWN if one is None else one.outcome for one in samples)
    met, broken = counts[Outcome.MET], counts[Outcome.NOT_MET]
    margins = [None if one is None else _margin(one) for one in samples]
    known = [margin for margin in margins if margin is not None]
    band: Range | None = None
    groups: tuple[Group, ...] = ()
    if known and len(known) == len(margins):
        band = middle([low for low, _ in known])[0], middle([high for _, high in known])[1]
        groups = groups_of([(low + high) / 2 for low, high in known])
    return VerdictBand(predicted, met, broken, len(samples) - met - broken, band, groups)


def groups_of(margins: Sequence[float]) -> tuple[Group, ...]:
    """The two groups on both sides of the widest gap between margins, where it is wide and neither is a straggler or two; else none.

    >>> [one.count for one in groups_of([-30.0] * 10 + [7.0] * 12)], groups_of([float(i) for i in range(22)])
    ([10, 12], ())
    """
    found = sorted(margins)
    whole = found[-1] - found[0] if found else 0.0
    if len(found) < FEWEST or not whole > 0.0:
        return ()
    gap, at = max((high - low, i) for i, (low, high) in enumerate(pairwise(found), 1))
    if gap < WIDE_GAP * whole or min(at, len(found) - at) < max(2.0, SMALLEST_GROUP * len(found)):
        return ()
    return tuple(Group(len(part), part[0], part[-1]) for part in (found[:at], found[at:]))


def _margin(verdict: Verdict) -> Range | None:
    """The margin as a number, low and high of an interval; None where there is none, or it is of what is known only."""
    margin = verdict.margin
    if margin is None or margin.of_known:
        return None
    try:
        value = float(margin.value)
        return (value if margin.low is None else float(margin.low)), (
            value if margin.high is None else float(margin.high)
        )
    except ValueError:
        return None
