"""What a paper means for a log that is known everywhere, in exact fractions: the independent reading of the design.

Shares no code with the program. Slow and plain: a signal is a list of corners joined by straight lines; whatever may change its truth
changes at a corner or where a line meets a limit, so a condition is looked at at each of these instants and once between each two.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

from tests.laws.paper import (
    RECORD_ENDS,
    RECORD_STARTS,
    AtEvent,
    Band,
    Condition,
    Duration,
    Ends,
    Is,
    Join,
    Leak,
    Log,
    Order,
    Paper,
    Rate,
    Shows,
    Time,
    Tolerated,
)

MET, NOT_MET, NOT_SHOWN = "met", "not met", "not shown"


class UndecidedError(Exception):
    """Not a question for this reader: the end of the record cuts a stay off, or an event lies beyond it."""


@dataclass(frozen=True)
class Line:
    """Corners (instant, value), joined by straight lines."""

    corners: tuple[tuple[Fraction, Fraction], ...]

    def at(self, instant: Fraction) -> Fraction:
        assert self.corners[0][0] <= instant <= self.corners[-1][0], "asked outside the record"
        i = max(bisect_left(self.corners, instant, key=lambda corner: corner[0]), 1)
        (t0, v0), (t1, v1) = self.corners[i - 1], self.corners[i]
        return v0 + (v1 - v0) * (instant - t0) / (t1 - t0)

    def meets(self, level: Fraction) -> set[Fraction]:
        """The instants between corners at which the line crosses a level."""
        found = set()
        for (t0, v0), (t1, v1) in pairwise(self.corners):
            if (v0 - level) * (v1 - level) < 0:
                found.add(t0 + (t1 - t0) * (level - v0) / (v1 - v0))
        return found

    @property
    def instants(self) -> set[Fraction]:
        return {t for t, _ in self.corners}


def combined(lines: list[Line], of) -> Line:
    """One value of several lines at each instant; a least or greatest turns only at corners and where two lines cross."""
    instants = set().union(*(line.instants for line in lines))
    between = sorted(instants)
    for one, other in combinations(lines, 2):
        apart = Line(tuple((t, one.at(t) - other.at(t)) for t in between))
        instants |= apart.meets(Fraction(0))
    return Line(tuple((t, Fraction(of([line.at(t) for line in lines]))) for t in sorted(instants)))


OF = {"coldest": min, "hottest": max, "mean": lambda vs: sum(vs) / len(vs), "spread": lambda vs: max(vs) - min(vs)}


class Reader:
    """A log known everywhere, seen from one thing (a thermocouple's name, or anything else for the part)."""

    def __init__(self, log: Log, paper: Paper, thing: str) -> None:
        self.log, self.paper, self.thing = log, paper, thing
        self.end = Fraction(log.end)
        self.lines = {
            name: Line(tuple((Fraction(row.tick), Fraction(row.notch)) for row in rows))
            for name, rows in log.channels.items()
            if name not in log.states
        }
        self.signals: dict[str, Line] = {}

    def signal(self, name: str) -> Line:
        if name == "each":
            return self.lines[self.thing]
        if name not in self.signals:
            members = [line for key, line in self.lines.items() if key.startswith("TC")]
            self.signals[name] = combined(members, OF[name])
        return self.signals[name]

    # ------------------------------------------------------------------------------------------------- conditions
    def true(self, condition: Condition | None, instant: Fraction) -> bool:
        match condition:
            case None:
                return True
            case Is(signal, ends):
                return inside(ends, self.signal(signal).at(instant))
            case Shows(state):
                rows = next(rows for name, rows in self.log.channels.items() if name in self.log.states)
                return [row.notch for row in rows if row.tick <= instant][-1] == state
            case Join(every, parts):
                return (all if every else any)(self.true(part, instant) for part in parts)
        raise AssertionError(condition)

    def changes(self, condition: Condition | None) -> set[Fraction]:
        """Every instant at which the condition may change."""
        match condition:
            case Is(signal, ends):
                line = self.signal(signal)
                return line.instants.union(
                    *(line.meets(Fraction(level)) for level in (ends.low, ends.high) if level is not None)
                )
            case Shows():
                return {Fraction(row.tick) for name in self.log.states for row in self.log.channels[name]}
            case Join(_, parts):
                return set().union(*(self.changes(part) for part in parts))
        return set()

    def runs(self, test, changes: set[Fraction], start: Fraction, end: Fraction) -> list[tuple[Fraction, Fraction]]:
        """The longest unbroken runs of a test within [start, end], first to last instant."""
        instants = sorted({start, end, *(t for t in changes if start <= t <= end)})
        cells = [(instants[0], instants[0])]
        for a, b in pairwise(instants):
            cells += [(a, b), (b, b)]
        found: list[tuple[Fraction, Fraction]] = []
        going = False
        for a, b in cells:
            true = test((a + b) / 2)
            if true and going:
                found[-1] = (found[-1][0], b)
            elif true:
                found.append((a, b))
            going = true
        return found

    def truth(self, condition: Condition | None, start: Fraction, end: Fraction) -> list[tuple[Fraction, Fraction]]:
        return self.runs(lambda t: self.true(condition, t), self.changes(condition), start, end)

    # ----------------------------------------------------------------------------------------------------- events
    def event(self, name: str) -> Fraction | None:
        """When an event happened, None for never."""
        if name == RECORD_STARTS:
            return Fraction(0)
        if name == RECORD_ENDS:
            return self.end
        asked = next(event for event in self.paper.events if event.name == name)
        reference = self.event(asked.after) if asked.after else Fraction(0)
        if reference is None:
            return None
        found = reference if asked.delay else self._first(asked, reference)
        if found is not None and found + asked.delay > self.end:
            raise UndecidedError
        return None if found is None else found + asked.delay

    def _first(self, asked, reference: Fraction) -> Fraction | None:
        if asked.condition is None:
            entry = next(note for note in self.log.notes if note.name == asked.name)
            return Fraction(entry.tick) if entry.tick >= reference else None
        runs = self.truth(asked.condition, reference, self.end)
        if asked.good:
            # for good: it holds from then on, at the end of the record as well
            return runs[-1][0] if runs and runs[-1][1] == self.end and self.true(asked.condition, self.end) else None
        for start, end in runs:
            if end - start >= asked.stays:
                return start
            if end == self.end:
                raise UndecidedError
        return None

    def phase(self, start: str, end: str) -> tuple[Fraction, Fraction] | None:
        """First and last instant of a phase, None if it never started; one that never ends lasts to the end of the record."""
        begun, ended = self.event(start), self.event(end)
        if begun is None or (ended is not None and ended < begun):
            return None
        return begun, self.end if ended is None else ended

    # ----------------------------------------------------------------------------------------------- requirements
    def verdict(self) -> tuple[str, Fraction | None]:
        """The outcome, and the margin in notches (ticks for times) where there is one."""
        match self.paper.requirement:
            case Band() as asked:
                return self.band(asked)
            case Duration(ways):
                return max(
                    (self.time(way) for way in ways),
                    key=lambda found: ((NOT_MET, NOT_SHOWN, MET).index(found[0]), found[1]),
                )
            case AtEvent() as asked:
                return self.at_event(asked)
            case Order() as asked:
                return self.order(asked)
            case Leak() as asked:
                return self.leak(asked)
            case Rate() as asked:
                return self.rate(asked)
        raise AssertionError(self.paper)

    def band(self, asked: Band) -> tuple[str, Fraction | None]:
        phase = self.phase(asked.start, asked.end)
        if phase is None:
            return NOT_SHOWN, None
        line = self.signal(asked.signal)
        changes = self.changes(Is(asked.signal, asked.ends)) | self.changes(asked.whenever)
        looked_at = self.truth(asked.whenever, *phase)
        if not looked_at:
            return NOT_SHOWN, None
        outside = self.runs(
            lambda t: self.true(asked.whenever, t) and not inside(asked.ends, line.at(t)), changes, *phase
        )
        margin = min(nearest(asked.ends, line, *run) for run in looked_at)
        if asked.tolerated is None:
            return (NOT_MET if outside else MET), margin
        return (MET if self.tolerable(asked.tolerated, asked.ends, line, outside) else NOT_MET), margin

    def tolerable(self, tolerated: Tolerated, ends: Ends, line: Line, outside: list[tuple[Fraction, Fraction]]) -> bool:
        long = [b - a for a, b in outside]
        deep = [-nearest(ends, line, a, b) for a, b in outside]
        return (
            (tolerated.at_a_time is None or all(each <= tolerated.at_a_time for each in long))
            and (tolerated.in_all is None or sum(long) <= tolerated.in_all)
            and (tolerated.depth is None or all(each <= tolerated.depth for each in deep))
        )

    def time(self, asked: Time) -> tuple[str, Fraction]:
        phase = self.phase(asked.start, asked.end)
        if phase is None:
            return NOT_MET, Fraction(-(10**9))
        elapsed = phase[1] - phase[0]
        counted = elapsed
        if asked.leaves != "runs on":
            runs = [b - a for a, b in self.running(asked, *phase)]
            counted = (max if asked.leaves == "restarts" else sum)(runs or [Fraction(0)])
        low = [] if asked.ends.low is None else [counted - asked.ends.low]
        high = [] if asked.ends.high is None else [asked.ends.high - elapsed]
        margin = min(low + high)
        return (MET if margin >= 0 else NOT_MET), margin

    def running(self, asked: Time, start: Fraction, end: Fraction) -> list[tuple[Fraction, Fraction]]:
        """The stretches over which a clock runs: in its condition, and through excursions inside its allowance, first come first served."""
        runs = self.truth(asked.runs, start, end)
        if asked.tolerated is None:
            return runs
        line, ends = self.signal(asked.runs.signal), asked.runs.ends
        outside = self.runs(lambda t: not self.true(asked.runs, t), self.changes(asked.runs), start, end)
        forgiven, spent = [], Fraction(0)
        for a, b in outside:
            spent += b - a
            alone = Tolerated(asked.tolerated.depth, asked.tolerated.at_a_time)
            if self.tolerable(alone, ends, line, [(a, b)]) and (
                asked.tolerated.in_all is None or spent <= asked.tolerated.in_all
            ):
                forgiven.append((a, b))
        changes = self.changes(asked.runs)
        return self.runs(
            lambda t: self.true(asked.runs, t) or any(a <= t <= b for a, b in forgiven), changes, start, end
        )

    def at_event(self, asked: AtEvent) -> tuple[str, Fraction | None]:
        instant = self.event(asked.event)
        if instant is None:
            return NOT_MET, None
        line = self.signal(asked.signal)
        return (MET if inside(asked.ends, line.at(instant)) else NOT_MET), nearest(asked.ends, line, instant, instant)

    def order(self, asked: Order) -> tuple[str, Fraction | None]:
        first, then = self.event(asked.first), self.event(asked.then)
        if first is None or then is None:
            return NOT_MET, None
        between = then - first
        ends = asked.ends or Ends()
        good = between >= 0 and inside(ends, between)
        if ends.low is None and ends.high is None:
            return (MET if good else NOT_MET), between
        distances = [between] if ends.low is None else [between - ends.low]
        if ends.high is not None:
            distances.append(ends.high - between)
        return (MET if good else NOT_MET), min(distances)

    def leak(self, asked: Leak) -> tuple[str, Fraction | None]:
        entry = next(note for note in self.log.notes if note.name == "source closed")
        start, end = Fraction(entry.tick + asked.settling), Fraction(entry.until)
        if end > self.end:
            raise UndecidedError
        bag = self.lines["BAG1"]
        if asked.starting is not None and bag.at(Fraction(entry.tick)) < asked.starting:
            return NOT_MET, None
        if end - start < asked.window:
            return NOT_SHOWN, None
        if asked.rule == "whole":
            loss = bag.at(start) - bag.at(end)
        else:
            starts = {start}
            if (
                asked.rule == "worst"
            ):  # a fall between two points of a window turns only where one of them is at a corner
                starts |= {
                    t
                    for corner in bag.instants
                    for t in (corner, corner - asked.window)
                    if start <= t <= end - asked.window
                }
                starts |= {end - asked.window}
            loss = max(bag.at(t) - bag.at(t + asked.window) for t in starts)
        return (MET if loss <= asked.loses else NOT_MET), asked.loses - loss

    # ------------------------------------------------------------------------------------------------------------ rates
    def rate(self, asked: Rate) -> tuple[str, Fraction | None]:
        """Every rate by the definition, the worst one against limits in tenths of a notch a tick; the margin in these."""
        phase = self.phase(asked.start, asked.end)
        found = [] if phase is None else self.rates(asked, *phase)
        if not found:
            return NOT_SHOWN, None
        sign = -10 if asked.falling else 10
        rates = [sign * each for each in found]
        margin = min(distance for each in rates for distance in distances(asked.ends, each))
        return (MET if margin >= 0 else NOT_MET), margin

    def rates(self, asked: Rate, start: Fraction, end: Fraction) -> list[Fraction]:
        line = self.signal(asked.signal)
        if asked.kind == "whole phase":
            return [(line.at(end) - line.at(start)) / (end - start)] if end > start else []
        if asked.kind == "between levels":
            return self.between_levels(asked, line, start, end)
        members = [self.thing] if asked.signal == "each" else [name for name in self.lines if name.startswith("TC")]
        samples = sorted(set().union(*(self.lines[name].instants for name in members)))
        found = []
        for a, b in self.truth(asked.whenever, start, end):
            there = [t for t in samples if a <= t <= b]
            if asked.kind == "sample to sample":
                found += [(line.at(u) - line.at(t)) / (u - t) for t, u in pairwise(there)]
                continue
            for t in there:
                window = [u for u in there if t - asked.window <= u <= t]
                if t - asked.window < a or len(window) < max(asked.samples, 2):
                    continue
                if asked.kind == "end points" and asked.signal != "each" and t - asked.window not in samples:
                    raise UndecidedError  # between samples the judge joins the coldest of several by a line
                if asked.kind == "end points":
                    found.append((line.at(t) - line.at(t - asked.window)) / asked.window)
                else:
                    found.append(slope([(u, line.at(u)) for u in window]))
        return found

    def between_levels(self, asked: Rate, line: Line, start: Fraction, end: Fraction) -> list[Fraction]:
        first, second = asked.levels
        side = (
            (lambda level: Is(asked.signal, Ends(low=level)))
            if second > first
            else (lambda level: Is(asked.signal, Ends(high=level)))
        )
        reached = self.truth(side(first), start, end)
        then = self.truth(side(second), reached[0][0], end) if reached else []
        if not then or then[0][0] == reached[0][0]:
            return []
        return [Fraction(second - first) / (then[0][0] - reached[0][0])]


def slope(points: list[tuple[Fraction, Fraction]]) -> Fraction:
    """The least-squares slope of some points."""
    t_mean, v_mean = sum(t for t, _ in points) / len(points), sum(v for _, v in points) / len(points)
    return sum((t - t_mean) * (v - v_mean) for t, v in points) / sum((t - t_mean) ** 2 for t, _ in points)


def distances(ends: Ends, value: Fraction) -> list[Fraction]:
    """The distances of a value to its limits, negative outside."""
    return ([] if ends.low is None else [value - ends.low]) + ([] if ends.high is None else [ends.high - value])


def inside(ends: Ends, value: Fraction) -> bool:
    """Whether a value lies within limits; a limit belongs to its band unless it is open."""
    if ends.low is not None and (value < ends.low or (ends.low_open and value == ends.low)):
        return False
    return not (ends.high is not None and (value > ends.high or (ends.high_open and value == ends.high)))


def nearest(ends: Ends, line: Line, start: Fraction, end: Fraction) -> Fraction:
    """The least distance to a limit over a stretch, negative outside."""
    values = [line.at(t) for t in {start, end, *(t for t in line.instants if start <= t <= end)}]
    below = [] if ends.low is None else [min(values) - ends.low]
    above = [] if ends.high is None else [ends.high - max(values)]
    return min(below + above)
