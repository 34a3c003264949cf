"""Runs for each kind of requirement: the plainest that should be met, and those that should not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.picture.sketch import EVACUATED, PAD, Key, Mark, Sketch, Wish, at, gauge_span, key_of, plus
from curewright.picture.staging import FIRST, GAP, Stage, Staged, parts_of
from curewright.terms.requirement import (
    RECORD_ENDS,
    RECORD_STARTS,
    AllOf,
    AtEvent,
    Band,
    Compare,
    Computed,
    Count,
    Duration,
    Exposure,
    Group,
    LeakCheck,
    Order,
    Phase,
    Rate,
    Recording,
    Signal,
    Spread,
)
from curewright.terms.units import MINUTE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from curewright.terms.requirement import Condition, Limits


class Sketches(Stage):
    """Draws up runs for one form of one clause."""

    def all(self, *, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """Sketches that should be met, or not met, the plainest first."""
        match self.form:
            case Band() | Spread():
                yield from self.kept_within(self.form, good)
            case Rate():
                yield from self.rates(self.form, good)
            case Duration():
                yield from self.durations(self.form, good)
            case AtEvent():
                yield from self.at_events(self.form, good)
            case Order():
                yield from self.orders(self.form, good)
            case LeakCheck():
                yield from self.leak_checks(self.form, good)
            case Count():
                yield from self.counts(self.form, good)
            case Recording():
                yield from self.recordings(self.form, good)
            case Computed():
                yield from self.computed(self.form, good)
            case Exposure():
                yield from self.exposures(self.form, good)

    def kept_within(self, form: Band | Spread, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A plateau inside the limits; or a bump, or the whole plateau, outside."""
        allowance = form.allowance
        width = 1.6 * max((allowance.at_a_time or 0, allowance.in_all or 0)) / MINUTE if allowance else 0.0
        width = max(width, 10.0, 4 * self.step)
        depth = allowance.depth.grains if allowance and allowance.depth else 0.0

        def fresh() -> Staged:
            staged = self.staged_phase(form.phase, max(GAP, 4 * width))
            self.track(staged[0], form.signal)
            return staged

        sketch, times, start, end = fresh()
        if form.signal.take == "spread":
            yield from self._apart(form, good, fresh)
            return
        key = self.track(sketch, form.signal)
        floors = [mark.level for mark in sketch.marks[key] if mark.up and mark.minute <= start]
        middle = (start + end) / 2
        if good:
            for also in (floors, []):
                sketch, times, start, end = fresh()
                level = self.inside(form.limits, key, sketch, also) + self.beside(sketch, form.signal, middle)
                sketch.wishes.setdefault(key, []).append(Wish(start, end, level))
                self.keep(sketch, form.while_, start, end)
                yield self._lifted(sketch, form.signal), times
            return
        for bump in (True, False):
            for outside in self.outsides(form.limits, key, sketch, depth):
                sketch, times, start, end = fresh()
                beside = self.beside(sketch, form.signal, middle)
                if bump:
                    sketch.wishes.setdefault(key, []).append(
                        Wish(start, end, self.inside(form.limits, key, sketch, floors) + beside)
                    )
                stretch = (middle - width / 2, middle + width / 2) if bump else (start, end)
                sketch.wishes.setdefault(key, []).append(Wish(*stretch, outside + beside, bump))
                self.keep(sketch, form.while_, start, end)
                yield self._lifted(sketch, form.signal), times

    def _lifted(self, sketch: Sketch, signal: Signal) -> Sketch:
        """The sketch with the track of a difference following the signal that is taken from it."""
        return sketch if signal.minus is None else _following(sketch, key_of(signal.group), key_of(signal.minus.group))

    def _apart(
        self, form: Band | Spread, good: bool, fresh: Callable[[], Staged]
    ) -> Iterator[tuple[Sketch, dict[str, float]]]:
        low, high = gauge_span(form.limits, dict(self.attributes))
        inner = high * (0.5 if good else 0.2) if high is not None else (low or 0.0) * 1.5
        outer = high * 1.5 if high is not None else (low or 0.0) * 0.5
        for sign in (1.0, -1.0):  # the last one runs ahead, or lags behind
            sketch, times, start, end = fresh()
            key = self.track(sketch, form.signal)
            sketch.sensors[key[0]] = max(2, sketch.sensors.get(key[0], 2))
            self.keep(sketch, form.while_, start, end)
            middle, wide = (start + end) / 2, (end - start) / 4
            line = [
                (0.0, inner),
                (middle - wide, inner),
                (middle - wide / 2, outer),
                (middle + wide / 2, outer),
                (middle + wide, inner),
            ]
            if good:
                line = line[:1]
            sketch.apart[key] = [(minute, sign * value) for minute, value in line]
            yield sketch, times

    def rates(self, form: Rate, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A straight ramp through the range that counts, at a speed inside or outside the limits."""
        low, high = (
            None if q is None else q.grains * 1000 for q in (form.limits.low, form.limits.high)
        )  # rates are in thousands of grains
        if good:
            speeds = [
                (low + high) / 2
                if low is not None and high is not None
                else high * 0.6
                if high is not None
                else (low or 0) * 1.5
            ]
        else:
            speeds = [
                speed for speed in (None if high is None else high * 1.5, None if low is None else low * 0.5) if speed
            ]
        for speed in speeds:
            yield self._ramp(form, speed)

    def _ramp(self, form: Rate, speed: float) -> tuple[Sketch, dict[str, float]]:
        names = self.needed(form.phase.start, form.phase.end)
        rough, times = self.staged(names)
        key = self.track(rough, form.signal)
        sign = -1.0 if form.sense == "falling" else 1.0
        first, last = self._range(form, rough, key, sign, speed)
        minutes = max(abs(last - first) / abs(speed), 2.5 * self.window())
        gaps = {form.phase.end: minutes + (0.0 if self._on_track(rough, key, times, form.phase.end) else 2.0)}
        sketch, times = self.staged(names, gaps)
        self.track(sketch, form.signal)
        begin = times[form.phase.start]
        slope = sign * speed
        on_track = self._on_track(rough, key, times, form.phase.start)
        lead = 10.0 if on_track else 0.0
        tail = 10.0 if self._on_track(rough, key, times, form.phase.end) else 0.0
        if form.phase.end == RECORD_ENDS:
            sketch.end = times[RECORD_ENDS] = begin + minutes + 5
        sketch.lines[key] = [
            (0.0, first - slope * lead), (begin - lead, first - slope * lead), (begin + minutes + tail, first + slope * (minutes + tail)),
            (sketch.end, first + slope * (minutes + tail)),
        ]  # fmt: skip
        self.keep(sketch, _other_tracks(form.while_, form.signal.group), begin, begin + minutes)
        return sketch, times

    def _on_track(self, sketch: Sketch, key: Key, times: dict[str, float], event: str) -> bool:
        return (
            any(mark.minute == times.get(event) for mark in sketch.marks.get(key, ()))
            or self._level(event, key) is not None
        )

    def _level(self, event: str, key: Key) -> float | None:
        """The level that an event is about, if it is about this track."""
        if event in (RECORD_STARTS, RECORD_ENDS):
            return None
        for compare in parts_of(self.event(event).sources[:1], Compare):
            if key_of(compare.signal.group) == key and compare.signal.minus is None:
                low, high = gauge_span(compare.limits, dict(self.attributes))
                return low if low is not None else high
        return None

    def _range(self, form: Rate, sketch: Sketch, key: Key, sign: float, speed: float) -> tuple[float, float]:
        """From where to where the ramp goes: the levels of the phase's ends, else the range of ``while`` and a little more."""
        pad = PAD[sketch.sort(key)] / 2
        span = 60e6 if sketch.sort(key) == "temperature" else 3e8
        low = high = None
        for compare in parts_of(form.while_, Compare):
            if key_of(compare.signal.group) == key:
                low, high = gauge_span(compare.limits, dict(self.attributes))
        levels = [q.grains for q in (form.definition.first_level, form.definition.second_level) if q is not None]
        if levels:
            low, high = min(levels), max(levels)
        bottom = low - pad if low is not None else (high - span if high is not None else None)
        top = high + pad if high is not None else (low + span if low is not None else None)
        first, last = (bottom, top) if sign > 0 else (top, bottom)
        given = self._level(form.phase.start, key), self._level(form.phase.end, key)
        first = given[0] if given[0] is not None else first
        last = given[1] if given[1] is not None else last
        rest = 294.15e6 if sketch.sort(key) == "temperature" else 0.0
        if first is None:
            first = last - sign * span if last is not None else rest + (span if sign < 0 else 0.0)
        return first, last if last is not None else first + sign * max(span, 3 * self.window() * speed)

    def durations(self, form: Duration, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """The first alternative, long enough; or too short, or too long."""
        alternative = form.alternatives[0]
        low, high = (
            None if q is None else q.grains / MINUTE for q in (alternative.limits.low, alternative.limits.high)
        )
        if good:
            lengths = [
                (low + high) / 2
                if low is not None and high is not None
                else low * 1.15
                if low is not None
                else (high or 0.0) * 0.7
            ]
        else:
            lengths = [
                length
                for length in (None if low is None else low * 0.85, None if high is None else high * 1.15)
                if length
            ]
        for length in lengths:
            phase, clock = alternative.phase, alternative.clock
            for inner in (False, True):
                sketch, times, start, end = self.staged_phase(phase, length + (30.0 if inner else 0.0))
                if inner and isinstance(clock.runs_while, Compare):
                    self.begin(sketch, clock.runs_while, start + 15)
                    self._finish(sketch, clock.runs_while, start + 15 + length)
                    self._well_inside(sketch, clock.runs_while, start + 15, start + 15 + length)
                else:
                    self._well_inside(sketch, clock.runs_while, start, end)
                yield sketch, times

    def _well_inside(self, sketch: Sketch, condition: Condition | None, start: float, end: float) -> None:
        for compare in parts_of(condition, Compare):
            key = self.track(sketch, compare.signal)
            floors = [mark.level for mark in sketch.marks[key] if mark.up and mark.minute <= start]
            roofs = [mark.level for mark in sketch.marks[key] if mark.up and mark.minute >= end]
            level = self.inside(compare.limits, key, sketch, floors)
            if roofs and floors:
                level = min(level, (max(floors) + min(roofs)) / 2)
            sketch.wishes.setdefault(key, []).append(Wish(start, end, level))

    def _finish(self, sketch: Sketch, condition: Compare, minute: float) -> None:
        low, high = gauge_span(condition.limits, dict(self.attributes))
        level = low if low is not None else high
        if level is not None:
            sketch.marks.setdefault(self.track(sketch, condition.signal), []).append(
                Mark(minute, level, up=low is None)
            )

    def at_events(self, form: AtEvent, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A signal that moves through a level inside or outside the limits when the event happens; else one that stays there."""
        names = self.needed(form.event)
        sketch, times = self.staged(names)
        key = self.track(sketch, form.signal)
        if form.signal.take == "spread":
            for apart in self._distances(form.limits, good):
                sketch, times = self.staged(names)
                sketch.apart[self.track(sketch, form.signal)] = [(0.0, apart)]
                yield sketch, times
            return
        levels = [self.inside(form.limits, key, sketch)] if good else self.outsides(form.limits, key, sketch)
        for level in levels:
            for moving in (True, False):
                yield self._at_event(form, names, level, moving)

    def _at_event(self, form: AtEvent, names: list[str], level: float, moving: bool) -> tuple[Sketch, dict[str, float]]:
        sketch, times = self.staged(names)
        key = self.track(sketch, form.signal)
        minute = times[form.event]
        level += self.beside(sketch, form.signal, minute)
        if sketch.marks[key]:  # the event itself, or another one, is about this track
            sketch.wishes.setdefault(key, []).append(Wish(minute - 6, minute + 6, level, bump=True))
            return sketch, times
        steady = not moving or key[0] in EVACUATED
        slope = 0.0 if steady else (-1.0 if sketch.sort(key) == "temperature" else 1.0) * PAD[sketch.sort(key)] / 8
        sketch.lines[key] = [(0.0, level - slope * minute), (sketch.end, level + slope * (sketch.end - minute))]
        return sketch, times

    def _distances(self, limits: Limits, good: bool) -> list[float]:
        """How far the last sensor is from the others, for a spread inside or outside limits."""
        low, high = gauge_span(limits, dict(self.attributes))
        inside = high * 0.5 if high is not None else (low or 0.0) * 1.5
        outside = high * 1.5 if high is not None else (low or 0.0) * 0.5
        distance = inside if good else outside
        return [distance, -distance]

    def orders(self, form: Order, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """First one, then the other; or too long after, or the other way round, or the second never."""
        limits = form.limits
        low, high = (
            None if limits is None or q is None else q.grains / MINUTE
            for q in ((limits.low, limits.high) if limits else (None, None))
        )
        names = self.needed(form.first, form.then)
        if good:
            apart = (
                (low + high) / 2
                if low is not None and high is not None
                else high * 0.5
                if high is not None
                else (low or GAP / 1.5) * 1.5
            )
            yield self.staged(names, {form.then: apart})
            return
        if high is not None:
            yield self.staged(names, {form.then: high * 1.6 + 2})
        turned = [name for name in names if name not in (form.first, form.then)]
        yield self.staged([*turned, form.then, form.first])
        yield self.staged([name for name in names if name != form.then])

    def leak_checks(self, form: LeakCheck, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A bag that is closed off and loses half of what it may, or half as much again."""
        loses = form.loses.high.grains if form.loses.high else 0.0
        window, settling = form.window / MINUTE, form.settling / MINUTE
        for factor in (0.5, 0.9) if good else (1.5, 2.5):
            names = self.needed(form.closed, form.opened)
            sketch, times = self.staged(names, {form.opened: settling + window + 3} if form.opened else {})
            closed = times[form.closed]
            opened = times[form.opened] if form.opened else closed + settling + window + 2
            if form.opened is None:
                self._reopen(sketch, form.closed, opened)
            level = self._starting(form)
            key = self.track(sketch, form.signal)
            lost = level + loses * factor * (opened - closed) / window
            sketch.lines[key] = [
                (0.0, 0.0),
                (6.0, level),
                (closed, level),
                (opened, lost),
                (opened + 2, level),
                (sketch.end, level),
            ]
            yield sketch, times

    def _starting(self, form: LeakCheck) -> float:
        level = -85_000_000.0
        if form.starting is not None:
            low, high = gauge_span(form.starting, dict(self.attributes))
            level = min(level, high - 3e6) if high is not None else max(level, low or level)
        if form.pressure_inside is not None:
            _, roof = gauge_span(form.pressure_inside, dict(self.attributes))
            level = min(level, roof - 1e7) if roof is not None else level
        return max(level, -100_000_000.0)

    def _reopen(self, sketch: Sketch, closed: str, minute: float) -> None:
        sketch.entries = [
            (name, about, start, minute) if name == self._entry(closed) else (name, about, start, end)
            for name, about, start, end in sketch.entries
        ]
        for steps in sketch.states.values():
            steps.append((minute, "source again"))

    def _entry(self, event: str) -> str:
        sources = self.event(event).sources
        return (sources[0].entry if sources else None) or event

    def counts(self, form: Count, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """As many sensors (or ports) as are wanted, or one too few; sensors that have to work are lost on the way."""
        low, high = form.limits.low, form.limits.high
        wanted = int(low.number) if low is not None else int(high.number) if high is not None else 1
        phase = form.phase or Phase(RECORD_STARTS, RECORD_ENDS)
        key = key_of(form.group)
        wrong = wanted - 1 if low is not None else wanted + 1
        for lost in (True, False):
            sketch, times, start, end = self.staged_phase(phase, GAP)
            sketch.wishes.setdefault(key, [])
            number = wanted if good or (lost and form.of == "working sensors" and low is not None) else wrong
            if form.of == "vacuum ports":
                sketch.ports = number
            else:
                sketch.sensors[key[0]] = number
                sketch.places = sketch.places[:number]
            if not good and lost and form.of == "working sensors" and low is not None:
                sketch.lost = (key, (start + end) / 2)
            yield sketch, times

    def recordings(self, form: Recording, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A sample often enough, or a silence in the middle."""
        high = form.limits.high.grains / MINUTE if form.limits.high else 1.0
        sketch, times, start, end = self.staged_phase(form.phase, max(GAP, 6 * high))
        sketch.step = min(self.step, high / 2)
        sketch.wishes.setdefault(key_of(form.group), [])
        middle = round((start + end) / 2)
        if not good:
            sketch.silent = (middle, middle + 2 * high)
        yield sketch, times

    def computed(self, form: Computed, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A soak of the right temperature and of rising lengths, or none at all."""
        for celsius in (180.0, 150.0, 120.0) if good else (40.0, 100.0, 230.0):
            for minutes in (60.0, 180.0, 400.0):
                phase = form.phase or Phase(RECORD_STARTS, form.event or RECORD_ENDS)
                starts = form.signal.computed.starts if form.signal.computed else None
                names = self.needed(starts, phase.start, phase.end)
                sketch, times = self.staged(names, {phase.end: minutes})
                key = self.track(sketch, form.signal)
                sketch.wishes.setdefault(key, []).append(
                    Wish(times[phase.start], times[phase.end], (celsius + 273.15) * 1e6)
                )
                yield sketch, times

    def exposures(self, form: Exposure, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """Time in a condition, in this run alone; or cures, with earlier runs that have used up what there was."""
        names = self.needed(form.phase.start)
        if form.of == "cures":
            sketch, times = self.staged(names)
            high = form.limits.high
            sketch.earlier_cures = int(high.number) if high is not None and not good else 0
            if high is None and not good:
                sketch.end, times = FIRST - 5.0, {}  # closed before it began
        else:
            limit = form.limits.high or form.limits.low
            longer = good == (form.limits.high is None)
            minutes = limit.grains / MINUTE * (1.4 if longer else 0.6) if limit else GAP
            sketch, times, start, end = self.staged_phase(form.phase, minutes)
            self._well_inside(sketch, form.runs_while, start, end)
        sketch.wishes.setdefault(("part thermocouple", "", ""), [])
        yield sketch, times


def _following(sketch: Sketch, key: Key, other: Key) -> Sketch:
    flat = at(sketch.line(other), 0.0)
    line = sketch.line(key)
    sketch.lines[key] = (
        plus(line, [(m, v - flat) for m, v in sketch.line(other)])
        if len({v for _, v in sketch.line(other)}) > 1
        else line
    )
    return sketch


def _other_tracks(condition: Condition | None, group: Group) -> Condition | None:
    """What a condition asks of other groups than this one."""
    match condition:
        case Compare(signal, _):
            return None if signal.group == group else condition
        case AllOf(conditions):
            kept = tuple(each for each in conditions if _other_tracks(each, group) is not None)
            return AllOf(kept) if kept else None
    return condition
