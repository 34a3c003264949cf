"""The stage for an example run: the events that a requirement needs, one after another, and the tracks that show them."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from curewright.picture.sketch import (
    BAG,
    EVACUATED,
    HARDEST,
    PAD,
    SERIAL,
    VESSEL,
    Key,
    Mark,
    Sketch,
    Wish,
    at,
    gauge_span,
    key_of,
)
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, AllOf, AnyOf, Compare, Limits, Signal, StateIs
from curewright.terms.units import MINUTE, UNITS, Quantity

if TYPE_CHECKING:
    from curewright.terms.requirement import Clause, Condition, Event, Group, Phase, Requirement, Specification

FIRST, GAP, REST = 20.0, 40.0, 25.0  # minutes: the first event, between two, after the last
LISTED = {"part thermocouple": 3, "air thermocouple": 2, "tool thermocouple": 2}
STATED = {"temperature": ("180", "degC"), "pressure": ("5", "bar gauge"), "time": ("60", "min"), "length": ("10", "mm")}

Staged = tuple[Sketch, dict[str, float], float, float]  # with the times of the events, and start and end of the phase


class Stage:
    """Stages the events of one form of one clause."""

    def __init__(
        self, specification: Specification, clause: Clause, form: Requirement, step_apart: float = 0.0
    ) -> None:
        self.specification = specification
        self.clause = clause
        self.form = form
        self.step_apart = step_apart
        self.attributes = attributes_of(clause, form)
        rows = max(12, getattr(getattr(form, "definition", None), "samples", None) or 0)  # in each window of a rate
        lengths = [step for step in (specification.largest_gap / MINUTE / 2, 0.5, self.window() / rows) if step > 0]
        self.step = min(lengths)

    def window(self) -> float:
        """The window of a rate in minutes, 0 for what has none."""
        definition = getattr(self.form, "definition", None)
        return float((getattr(definition, "window", None) or 0) / MINUTE)

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

    def staged(self, names: list[str], gaps: dict[str, float] | None = None) -> tuple[Sketch, dict[str, float]]:
        """A sketch in which the events happen one after another; ``gaps``: how long before an event, where that matters."""
        times: dict[str, float] = {}
        minute = FIRST
        for index, name in enumerate(names):
            event = self.event(name)
            if not event.sources and event.after in times:
                minute = times[event.after] + event.delay / MINUTE  # nothing but so long after another one
            else:
                minute = minute if index == 0 else minute + (gaps or {}).get(name, GAP)
            times[name] = minute
        sketch = Sketch(end=minute + REST if names else GAP + REST, step=self.step, attributes=self.attributes)
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
        if floors:
            return max(floors) + pad
        roof = high if high is not None else 0.0
        return max(roof - pad, (roof + HARDEST) / 2) if key[0] in EVACUATED else roof - pad

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

    def staged_phase(self, phase: Phase, gap: float) -> Staged:
        """A stage with the events of a phase, so long apart."""
        names = self.needed(phase.start, phase.end)
        gaps = {phase.end: gap} if phase.end in names else {}
        sketch, times = self.staged(names, gaps)
        if phase.end == RECORD_ENDS:
            sketch.end = times[RECORD_ENDS] = times[phase.start] + gap
        return sketch, times, times[phase.start], times[phase.end]


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
        beyond = Decimal("1.5") if limits.low else Decimal("0.5")
        inside = (ends[0].number + ends[1].number) / 2 if len(ends) == 2 else ends[0].number * beyond
        found[condition.attribute] = Quantity(inside, ends[0].unit)
    for limits in parts_of(form, Limits):
        for name in (limits.low_attribute, limits.high_attribute):
            if name and name not in found:
                number, unit = STATED.get(form.unit.quantity, ("1", form.unit.name))
                found[name] = Quantity(Decimal(number), UNITS[unit])
    return tuple(found.items())
