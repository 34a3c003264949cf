"""What happened in a run and when, for marks above a plot: the events that the verdicts stand on, and what people wrote down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.drawing import Pen
from curewright.picture.letters import fitted, width
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS
from curewright.terms.units import MINUTE

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curewright.picture.drawing import Drawing
    from curewright.picture.scales import TimeScale
    from curewright.terms.run import Entry
    from curewright.terms.verdict import Verdict

LANE, SIZE = 12.0, 8.5
LANES = 6
MARK = Pen(0.8, "#222", (4, 2.5))


@dataclass(frozen=True)
class Happening:
    """Something at an instant, or between two [ns]; ``by_hand`` where a person wrote it down."""

    name: str
    first: int
    last: int
    by_hand: bool = False
    times: int = 1


def happenings(verdicts: Iterable[Verdict], entries: Iterable[Entry] = ()) -> list[Happening]:
    """The events that verdicts stand on, and the hand entries that are none of them, in time; equal names are put together."""
    found: dict[str, set[tuple[int, int]]] = {}
    for verdict in verdicts:
        phase = verdict.phase
        if phase is None:
            continue
        ends = (
            (phase.start, phase.earliest_start, phase.latest_start),
            (phase.end, phase.earliest_end, phase.latest_end),
        )
        for name, first, last in ends:
            if name not in ("", RECORD_STARTS, RECORD_ENDS) and first is not None:
                found.setdefault(name, set()).add((first, first if last is None else last))
    events = [_together(name, spots) for name, spots in found.items()]
    written = [_entry(entry) for entry in entries if entry.name not in found]
    return sorted({*events, *written}, key=lambda one: (one.first, one.last, one.name))


def _together(name: str, spots: set[tuple[int, int]]) -> Happening:
    return Happening(name, min(a for a, _ in spots), max(b for _, b in spots), times=len(spots))


def _entry(entry: Entry) -> Happening:
    words = f"{entry.name}: {entry.text}" if entry.text else entry.name
    return Happening(words, entry.at, entry.at if entry.until is None else entry.until, by_hand=True)


@dataclass(frozen=True)
class Placed:
    """A happening with its lane, where its words begin [pt], and the words."""

    happening: Happening
    lane: int
    x: float
    words: str


def placed(found: Sequence[Happening], times: TimeScale, right: float) -> list[Placed]:
    """The happenings in lanes, so that no words run over others, and no mark runs through words if that can be had."""
    free = [times.left] * LANES  # to where each lane is taken
    result = []
    for one in found:
        if one.last < times.first or one.first > times.last:
            continue
        x = times.x(times.clipped(one.first))
        words = _words(one, times)
        taken = [i for i in range(LANES) if free[i] > x]
        lane = max(taken, default=-1) + 1
        if (
            lane >= LANES
        ):  # below all words that reach here is no room: the first lane that is free, its mark behind the others
            lane = next((i for i in range(LANES) if i not in taken), -1)
        if lane < 0:
            continue  # the tables of the record have it
        words = fitted(words, SIZE, max(right - x - 6.0, 20.0))
        free[lane] = x + width(words, SIZE) + 8.0
        result.append(Placed(one, lane, x, words))
    return result


def _words(one: Happening, times: TimeScale) -> str:
    name = f"{one.name[:44]} (by hand)" if one.by_hand else one.name
    if one.last - one.first < MINUTE:
        return f"{name} {times.clock((one.first + one.last) // 2):%H:%M}"
    return f"{name} {times.clock(one.first):%H:%M}–{times.clock(one.last):%H:%M}"


def lanes_needed(found: Sequence[Placed]) -> int:
    """How many lanes of words there are."""
    return max((one.lane for one in found), default=-1) + 1


def draw_happenings(drawing: Drawing, found: Sequence[Placed], times: TimeScale, top: float, down_to: float) -> None:
    """Words in their lanes from ``top`` down, and a mark from each through the panels."""
    for one in found:
        base = top + LANE * (one.lane + 1) - 3.0
        x = one.x
        drawing.line(x, base - 7.0, x, down_to, MARK, "event")
        end = times.x(times.clipped(one.happening.last))
        if end - x > 1.5:
            drawing.line(end, base + 3.2, end, down_to, MARK, "event")
            drawing.path([np.array([[x, base + 3.2], [end, base + 3.2]])], Pen(1.6, "#222"), "event stretch")
        drawing.words(x + 3.0, base, one.words, SIZE, ground=True)
