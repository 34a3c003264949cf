"""Phases between events, and what was found in them reduced to answers: outcome, margin, deciding instant, other readings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from bench.peers.tool import MET, NEVER, NOT_MET, NOT_SHOWN, Answer

if TYPE_CHECKING:
    from bench.peers.tool import Condition, Event, Found

KINDS = ("least squares", "end points", "sample to sample")


@dataclass
class Phase:
    """From one event to another, known within bounds, inside the record."""

    start: Event
    end: Event
    record_end: int

    @property
    def never(self) -> bool:
        return self.start[0] >= NEVER or self.start[0] > self.end[1]

    @property
    def sure(self) -> tuple[int, int] | None:
        end = min(self.end[0], self.record_end)
        return (self.start[1], end) if self.start[1] < NEVER and self.start[1] <= end else None

    @property
    def possible(self) -> tuple[int, int] | None:
        end = min(self.end[1], self.record_end)
        return None if self.never or self.start[0] > end else (self.start[0], end)


def first(condition: Condition, after: Event, stays: int, end: int) -> Event:
    """First start of a stay at or after a reference."""

    def found(inside: np.ndarray, *, cut_counts: bool) -> int:
        long = inside[:, 1] - inside[:, 0] >= stays
        if cut_counts:
            long |= inside[:, 1] == end
        return int(inside[np.argmax(long), 0]) if long.any() else NEVER

    possibly, surely = condition.possibly(after[0], end), condition.surely(after[1], end)
    return found(possibly, cut_counts=True), found(surely, cut_counts=False)


def for_good(condition: Condition, after: Event, end: int) -> Event:
    """From when on a condition holds to the end."""

    def found(inside: np.ndarray) -> int:
        return int(inside[-1, 0]) if len(inside) and inside[-1, 1] == end else NEVER

    return found(condition.possibly(after[0], end)), found(condition.surely(after[1], end))


def within(value: float, limits: tuple[float | None, float | None]) -> bool:
    low, high = limits
    return (low is None or round(value - low) >= 0) and (high is None or round(high - value) >= 0)


def margin_to(value: float, limits: tuple[float | None, float | None]) -> float:
    low, high = limits
    return min(value - low if low is not None else np.inf, high - value if high is not None else np.inf)


def banded(least: Found | None, most: Found | None, low: float | None, high: float | None) -> Answer:
    found = []
    if low is not None and least is not None:
        found.append((least[0] - low, least[1], least[2]))
    if high is not None and most is not None:
        found.append((high - most[0], most[1], most[2]))
    if not found:
        return Answer(NOT_SHOWN)
    margin, at, channel = min(found)
    return Answer(MET if margin >= 0 else NOT_MET, margin, at, channel)


def at_least(found: Found | None, limit: float) -> Answer:
    return banded(found, None, limit, None)


def in_limits(value: float | None, at: int, channel: str, low: float, high: float) -> Answer:
    return Answer(NOT_SHOWN) if value is None else banded((value, at, channel), (value, at, channel), low, high)


def ordered(one: Event, two: Event, low: int | None, high: int | None) -> Answer:
    if one[0] >= NEVER or two[0] >= NEVER:
        return Answer(NOT_MET)
    least, most = two[0] - one[1], two[1] - one[0]
    if most < 0 or (low is not None and most < low) or (high is not None and least > high):
        outcome = NOT_MET
    else:
        sure = least >= 0 and (low is None or least >= low) and (high is None or most <= high) and most < NEVER // 2
        outcome = MET if sure else NOT_SHOWN
    if one[1] >= NEVER or two[1] >= NEVER:
        return Answer(outcome)
    margins = [
        min(time - low if low is not None else time, high - time if high is not None else NEVER)
        for time in (least, most)
    ]
    if low is None and high is not None:
        margins = [high - time for time in (least, most)]
    return Answer(outcome, float(min(margins)), two[0], "")


def spent(phase: Phase, condition: Condition, clock: str) -> tuple[tuple[int, int], tuple[int, int]]:
    sure, possible = phase.sure, phase.possible
    if possible is None:
        return (0, 0), (0, 0)
    elapsed = (0 if sure is None else sure[1] - sure[0], possible[1] - possible[0])
    if clock == "runs on":
        return elapsed, elapsed

    def total(rows: np.ndarray) -> int:
        long = rows[:, 1] - rows[:, 0]
        return int((long.max() if clock == "restarts" else long.sum()) if len(long) else 0)

    least = 0 if sure is None else total(condition.surely(*sure))
    return (least, total(condition.possibly(*possible))), elapsed


def pooled(found: list[dict[str, tuple[int, float, int, float, int]]]) -> dict[str, tuple[int, float, int, float, int]]:
    pooled = {}
    for kind in KINDS:
        counted = [each[kind] for each in found if each[kind][0]]
        if counted:
            least, most = min((c[1], c[2]) for c in counted), min((-c[3], c[4]) for c in counted)
            pooled[kind] = (sum(c[0] for c in counted), *least, -most[0], most[1])
    return pooled


def _outcome_whole(whole: float | None, limits: tuple[float | None, float | None]) -> str:
    return NOT_SHOWN if whole is None else (MET if within(whole, limits) else NOT_MET)


def rated(
    sure: dict[str, tuple[int, float, int, float, int]],
    whole: float | None,
    chosen: str,
    sense: str,
    limits: tuple[float | None, float | None],
    channel: str,
    doubts: dict[str, bool] | str,
    possible: dict[str, tuple[int, float, int, float, int]] | None = None,
    phase: Phase | None = None,
) -> Answer:
    """Outcome by the chosen definition, and by the others for information."""
    sign = 1.0 if sense == "rising" else -1.0
    possible = sure if possible is None else possible

    def met(taken: tuple[int, float, int, float, int] | None) -> bool | None:
        return (
            None
            if taken is None or not taken[0]
            else within(sign * taken[1], limits) and within(sign * taken[3], limits)
        )

    def outcome(kind: str) -> str:
        if kind == "whole phase":
            return _outcome_whole(None if whole is None else sign * whole, limits)
        surely = met(sure.get(kind))
        if surely is False:
            return NOT_MET
        if surely is None or met(possible.get(kind)) is False or (isinstance(doubts, dict) and doubts.get(kind)):
            return NOT_SHOWN
        return MET

    others = tuple((kind, outcome(kind)) for kind in (*KINDS, "whole phase") if kind != chosen)
    spans = [
        (kind, taken)
        for kind in KINDS
        if kind != chosen and (taken := sure.get(kind) or possible.get(kind)) and taken[0]
    ]
    numbers = tuple((kind, *sorted((sign * taken[1], sign * taken[3]))) for kind, taken in spans)
    if whole is not None and chosen != "whole phase":
        numbers += (("whole phase", sign * whole, sign * whole),)
    judged = outcome(chosen)
    shown = (sure if judged == NOT_MET else possible or sure).get(chosen)
    if shown is None or not shown[0]:
        return Answer(judged, None, None, "", others, numbers=numbers)
    margin, at = min((margin_to(sign * value, limits), at) for value, at in (shown[1:3], shown[3:5]))
    return Answer(judged, float(round(margin)), at, channel, others, numbers=numbers)
