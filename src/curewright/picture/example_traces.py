"""For a requirement, one small run in which it is met and one in which it is not, made from the plan and proved by the judge.

Each kind offers a few sketches, the plainest first; the first one that the judge finds *met* (or *not met*) is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from curewright.judge.judge import judge
from curewright.picture.sketch import (
    BAG,
    OWNER,
    PAD,
    SERIAL,
    TOOL,
    VESSEL,
    Drawn,
    Key,
    Mark,
    Sketch,
    Wish,
    at,
    drawn,
    gauge_span,
    key_of,
    plus,
)
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import (
    RECORD_ENDS,
    RECORD_STARTS,
    AllOf,
    AnyOf,
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
    StateIs,
)
from curewright.terms.units import UNITS, Quantity
from curewright.terms.verdict import Outcome, Verdict

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.requirement import Clause, Condition, Event, Limits, Requirement, Specification

MINUTE = 60 * 10**9
FIRST, GAP, REST = 20.0, 40.0, 25.0  # minutes: the first event, between two, after the last
LISTED = {"part thermocouple": 3, "air thermocouple": 2, "tool thermocouple": 2}
STATED = {"temperature": ("180", "degC"), "pressure": ("3", "bar gauge"), "time": ("60", "min"), "length": ("10", "mm")}


@dataclass(frozen=True, eq=False)
class Example:
    """A run for one requirement, and what the judge says about it."""

    drawn: Drawn
    sketch: Sketch
    verdicts: tuple[Verdict, ...]
    outcome: Outcome
    times: dict[str, float]


def example(specification: Specification, clause: Clause, form: Requirement, wanted: Outcome) -> Example | None:
    """The plainest run whose verdicts on this form are all *met*, or of which one is *not met*; None where no sketch comes out so."""
    alone = replace(specification, clauses=(replace(clause, forms=(form,), not_covered=None, by_person=None),))
    tried = (
        sketch
        for step_apart in (2e6, 0.0)  # thermocouples 2 K apart are easier to look at
        for sketch in Sketches(specification, clause, form, step_apart).all(good=wanted is Outcome.MET)
    )
    for sketch, times in tried:
        made = drawn(sketch, specification.number, specification.revision)
        try:
            verdicts = judge((alone,), made.vessel, made.load, made.run).verdicts
        except CurewrightError:
            continue
        outcomes = {verdict.outcome for verdict in verdicts}
        if (wanted is Outcome.MET and outcomes == {Outcome.MET}) or (
            wanted is Outcome.NOT_MET and Outcome.NOT_MET in outcomes
        ):
            return Example(made, sketch, verdicts, wanted, times)
    return None


class Sketches:
    """Draws up runs for one form of one clause."""

    def __init__(
        self, specification: Specification, clause: Clause, form: Requirement, step_apart: float = 0.0
    ) -> None:
        self.specification = specification
        self.clause = clause
        self.form = form
        self.step_apart = step_apart
        self.attributes = attributes_of(clause, form)
        lengths = [step for step in (specification.largest_gap / MINUTE / 2, 0.5, self._window() / 12) if step > 0]
        self.step = min(lengths)

    def _window(self) -> float:
        definition = getattr(self.form, "definition", None)
        return float((getattr(definition, "window", None) or 0) / MINUTE)

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

    # -------------------------------------------------------------------------------------------------------------- scaffolding
    def event(self, name: str) -> Event:
        """An event of the specification."""
        return self.specification.event(name)

    def needed(self, *names: str | None) -> list[str]:
        """Those events with all that they come after, in their order."""
        found: list[str] = []

        def visit(name: str | None) -> None:
            if name in (None, RECORD_STARTS, RECORD_ENDS) or name in found:
                return
            assert name is not None
            visit(self.event(name).after)
            found.append(name)

        for name in names:
            visit(name)
        return found

    def staged(
        self, names: list[str], gap: float = GAP, gaps: dict[str, float] | None = None
    ) -> tuple[Sketch, dict[str, float]]:
        """A sketch in which the events happen one after another; ``gaps``: how long before an event, where that matters."""
        times: dict[str, float] = {}
        minute = FIRST
        for index, name in enumerate(names):
            event = self.event(name)
            if not event.sources and event.after in times:
                minute = times[event.after] + event.delay / MINUTE  # nothing but so long after another one
            else:
                minute = minute if index == 0 else minute + (gaps or {}).get(name, gap)
            times[name] = minute
        sketch = Sketch(end=minute + REST if names else gap + REST, step=self.step, attributes=self.attributes)
        sketch.step_apart = self.step_apart
        sketch.places = tuple(dict.fromkeys(self.specification.lost.including))
        sketch.sensors = {role: count for role, count in LISTED.items() if self._many(role)}
        needed = self.specification.lost.per_part or 0
        if "part thermocouple" in sketch.sensors:
            sketch.sensors["part thermocouple"] = max(3, needed, len(sketch.places))
        for name in names:
            self.stage(sketch, name, times[name] - self.event(name).delay / MINUTE)
        times[RECORD_STARTS], times[RECORD_ENDS] = 0.0, sketch.end
        return sketch, times

    def _many(self, role: str) -> bool:
        if self.form.for_each == role or role == "part thermocouple":
            return True
        return any(
            signal.group.role == role and signal.take != "single" for signal in parts_of(self.specification, Signal)
        )

    def stage(self, sketch: Sketch, name: str, minute: float) -> None:
        """Make an event happen, by the first of its sources."""
        event = self.event(name)
        if not event.sources:
            return
        source = event.sources[0]
        if source.by == "entry":
            about = {"bag": BAG, "part": SERIAL, "run": "run", "vessel": VESSEL}.get(event.for_each, SERIAL)
            sketch.entries.append((source.entry or name, about, minute, None))
        elif source.condition is not None:
            self.begin(sketch, source.condition, minute)

    def begin(self, sketch: Sketch, condition: Condition, minute: float) -> None:
        """Let a condition become true."""
        match condition:
            case Compare(signal, limits):
                low, high = gauge_span(limits, dict(self.attributes))
                up = low is not None
                level = low if low is not None else high
                if level is not None:
                    key = self.track(sketch, signal)
                    sketch.marks.setdefault(key, []).append(
                        Mark(minute, level + self.beside(sketch, signal, minute), up)
                    )
            case StateIs(group, states):
                sketch.states.setdefault(self.valve(group), []).append((minute, states[0]))
            case AllOf(conditions):
                for each in conditions:
                    self.begin(sketch, each, minute)
            case AnyOf(conditions):
                self.begin(sketch, conditions[0], minute)

    def keep(self, sketch: Sketch, condition: Condition | None, start: float, end: float) -> None:
        """Let a condition be true over a stretch, where nothing else is wished for."""
        match condition:
            case Compare(signal, limits):
                key = self.track(sketch, signal)
                if key not in sketch.wishes:
                    level = self.inside(limits, key, sketch) + self.beside(sketch, signal, start)
                    sketch.wishes.setdefault(key, []).append(Wish(start, end, level))
            case StateIs(group, states):
                sketch.states.setdefault(self.valve(group), []).append((max(0.0, start - 1), states[0]))
            case AllOf(conditions):
                for each in conditions:
                    self.keep(sketch, each, start, end)
            case AnyOf(conditions):
                self.keep(sketch, conditions[0], start, end)

    def track(self, sketch: Sketch, signal: Signal) -> Key:
        """The track of a signal; the one that it is taken from stays where it is."""
        key = key_of(signal.group)
        sketch.marks.setdefault(key, [])
        if signal.minus is not None:
            sketch.marks.setdefault(key_of(signal.minus.group), [])
        return key

    def valve(self, group: Group) -> Key:
        """The track of a state channel."""
        return key_of(group)

    def beside(self, sketch: Sketch, signal: Signal, minute: float) -> float:
        """What a track has on top of its signal: the other one of a difference, less what a hottest is above the coldest."""
        own = -sketch.above(key_of(signal.group), signal.take)
        return own + at(sketch.line(key_of(signal.minus.group)), minute) if signal.minus is not None else own

    def inside(self, limits: Limits, key: Key, sketch: Sketch, also: list[float] | None = None) -> float:
        """A level well inside limits; ``also``: levels that it must not be below."""
        low, high = gauge_span(limits, dict(self.attributes))
        floors = [level for level in (low, *(also or [])) if level is not None and (high is None or level < high)]
        pad = PAD[sketch.sort(key)]
        if floors and high is not None:
            return max(floors) + 0.45 * (high - max(floors))
        return max(floors) + pad if floors else (high if high is not None else 0.0) - pad

    def outsides(self, limits: Limits, key: Key, sketch: Sketch, depth: float = 0.0) -> list[float]:
        """Levels outside limits, by more than a tolerated depth."""
        low, high = gauge_span(limits, dict(self.attributes))
        pad = PAD[sketch.sort(key)]
        if low is not None and high is not None:
            pad = max(1e6, min(pad, 0.8 * (high - low)))
        return [
            level
            for level in (None if high is None else high + depth + pad, None if low is None else low - depth - pad)
            if level is not None
        ]

    # -------------------------------------------------------------------------------------------------------------------- kinds
    def kept_within(self, form: Band | Spread, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A plateau inside the limits; or a bump, or the whole plateau, outside."""
        allowance = form.allowance
        width = 1.6 * max((allowance.at_a_time or 0, allowance.in_all or 0)) / MINUTE if allowance else 0.0
        width = max(width, 10.0, 4 * self.step)
        depth = allowance.depth.grains if allowance and allowance.depth else 0.0
        fresh = lambda: self._staged_phase(form.phase, max(GAP, 4 * width))  # noqa: E731 - each sketch starts anew
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

    def _staged_phase(self, phase: Phase, gap: float) -> tuple[Sketch, dict[str, float], float, float]:
        names = self.needed(phase.start, phase.end)
        gaps = {phase.end: gap} if phase.end in names else {}
        sketch, times = self.staged(names, gaps=gaps)
        if phase.end == RECORD_ENDS:
            sketch.end = times[RECORD_ENDS] = times[phase.start] + gap
        return sketch, times, times[phase.start], times[phase.end]

    def _apart(self, form: Band | Spread, good: bool, fresh: Any) -> Iterator[tuple[Sketch, dict[str, float]]]:
        low, high = gauge_span(form.limits, dict(self.attributes))
        inner = high * 0.5 if high is not None else (low or 0.0) * 1.5
        outer = high * 1.5 if high is not None else (low or 0.0) * 0.5
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
        sketch.apart[key] = [(0.0, inner)] if good else line
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
        minutes = max(abs(last - first) / abs(speed), 2.5 * self._window())
        gaps = {form.phase.end: minutes + (0.0 if self._on_track(rough, key, times, form.phase.end) else 2.0)}
        sketch, times = self.staged(names, gaps=gaps)
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
        return first, last if last is not None else first + sign * max(span, 3 * self._window() * speed)

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
                sketch, times, start, end = self._staged_phase(phase, length + (30.0 if inner else 0.0))
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
            sketch.wishes.setdefault(key, []).append(Wish(start, end, self.inside(compare.limits, key, sketch, floors)))

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
        levels = [self.inside(form.limits, key, sketch)] if good else self.outsides(form.limits, key, sketch)
        for level in levels:
            for moving in (True, False):
                sketch, times = self.staged(names)
                key = self.track(sketch, form.signal)
                minute = times[form.event]
                beside = self.beside(sketch, form.signal, minute)
                slope = (
                    (-1.0 if sketch.sort(key) == "temperature" or key[0] == "bag vacuum" else 1.0)
                    * PAD[sketch.sort(key)]
                    / 8
                    * moving
                )
                if not sketch.marks[key]:
                    ends = (
                        (0.0, level + beside - slope * minute),
                        (sketch.end, level + beside + slope * (sketch.end - minute)),
                    )
                    sketch.lines[key] = list(ends)
                else:
                    sketch.wishes.setdefault(key, []).append(Wish(minute - 6, minute + 6, level + beside, bump=True))
                yield sketch, times

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
            yield self.staged(names, gaps={form.then: apart})
            return
        if high is not None:
            yield self.staged(names, gaps={form.then: high * 1.6 + 2})
        turned = [name for name in names if name not in (form.first, form.then)]
        yield self.staged([*turned, form.then, form.first])
        yield self.staged([name for name in names if name != form.then])

    def leak_checks(self, form: LeakCheck, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """A bag that is closed off and loses half of what it may, or half as much again."""
        loses = form.loses.high.grains if form.loses.high else 0.0
        window, settling = form.window / MINUTE, form.settling / MINUTE
        for factor in (0.5, 0.9) if good else (1.5, 2.5):
            names = self.needed(form.closed, form.opened)
            sketch, times = self.staged(names, gaps={form.opened: settling + window + 3} if form.opened else {})
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
            sketch, times, start, end = self._staged_phase(phase, GAP)
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
        sketch, times, start, end = self._staged_phase(form.phase, max(GAP, 6 * high))
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
                sketch, times = self.staged(names, gaps={phase.end: minutes})
                key = self.track(sketch, form.signal)
                sketch.wishes.setdefault(key, []).append(
                    Wish(times[phase.start], times[phase.end], (celsius + 273.15) * 1e6)
                )
                yield sketch, times

    def exposures(self, form: Exposure, good: bool) -> Iterator[tuple[Sketch, dict[str, float]]]:
        """Time in a condition, in this run alone."""
        high = form.limits.high.grains / MINUTE if form.limits.high and form.of == "time" else GAP
        sketch, times, start, end = self._staged_phase(form.phase, high * (0.6 if good else 1.4))
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


def parts_of(thing: Any, kind: type[Any]) -> list[Any]:
    """All nouns of a kind inside a plan, itself included."""
    if isinstance(thing, kind):
        return [thing]
    if isinstance(thing, tuple):
        return [found for each in thing for found in parts_of(each, kind)]
    if is_dataclass(thing) and not isinstance(thing, type):
        return [found for each in fields(thing) for found in parts_of(getattr(thing, each.name), kind)]
    return []


def attributes_of(clause: Clause, form: Requirement) -> tuple[tuple[str, Quantity | str], ...]:
    """Attributes of a part to which the clause applies, and its own limits from planning."""
    found: dict[str, Quantity | str] = {}
    for condition in clause.for_parts:
        limits = condition.limits
        if limits is None:
            found[condition.attribute] = condition.equals[0]
            continue
        ends = [q for q in (limits.low, limits.high) if q is not None]
        number = (
            sum((q.number for q in ends), Decimal(0)) / len(ends)
            if len(ends) == 2
            else ends[0].number * (Decimal("1.5") if limits.low else Decimal("0.5"))
        )
        found[condition.attribute] = Quantity(number, ends[0].unit)
    for limits in parts_of(form, _limits_type()):
        for name in (limits.low_attribute, limits.high_attribute):
            if name and name not in found:
                number, unit = STATED.get(form.unit.quantity, ("1", form.unit.name))
                found[name] = Quantity(Decimal(number), UNITS[unit])
    return tuple(found.items())


def _limits_type() -> type[Any]:
    from curewright.terms.requirement import Limits

    return Limits


__all__ = ["OWNER", "TOOL", "Example", "Sketches", "attributes_of", "example", "parts_of"]
