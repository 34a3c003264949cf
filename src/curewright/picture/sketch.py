"""A run drawn up from wishes: events at stated minutes, signals on stated levels; the raw stuff of the example traces.

A sketch knows one part with its bag in a vessel. A *track* is what all sensors of a group measure together (grains; pressures gauge);
events put *marks* on tracks (the level that is crossed, and when), wishes put plateaus and bumps between them.
"""

from __future__ import annotations

import itertools
from bisect import bisect_right
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Part, Sensor, Vessel
from curewright.terms.run import Channel, Closing, Entry, Run
from curewright.terms.units import MINUTE, UNITS

if TYPE_CHECKING:
    from curewright.terms.requirement import Group, Limits
    from curewright.terms.units import Quantity

BAROMETER = 101_325_000.0  # mPa: the standard atmosphere
SERIAL, BAG, TOOL, VESSEL = "part", "bag", "tool", "vessel"
OWNER = {
    "part thermocouple": ("judging", SERIAL),
    "tool thermocouple": ("tool", TOOL),
    "air thermocouple": ("air", VESSEL),
    "bag vacuum": ("bag transducer", BAG),
    "source vacuum": ("source", BAG),
    "vessel pressure": ("vessel pressure", VESSEL),
}
PRESSURES = ("bag vacuum", "source vacuum", "vessel pressure")
EVACUATED = ("bag vacuum", "source vacuum")
HARDEST = -0.98 * BAROMETER  # the most vacuum that an example bag is drawn with
PAD = {"temperature": 8e6, "pressure": 1.5e7}
AT_REST = {"temperature": 21e6 + 273.15e6, "pressure": 0.0}

Line = list[tuple[float, float]]  # (minute, grains), joined by straight lines
Key = tuple[str, str, str]  # role, name, place


def key_of(group: Group) -> Key:
    """The track that a group of sensors is on."""
    return (group.role, group.name or "", group.place or "")


@dataclass(frozen=True)
class Mark:
    """A level that a track crosses at a minute, upwards or downwards."""

    minute: float
    level: float
    up: bool


@dataclass(frozen=True)
class Wish:
    """A level that a track keeps from one minute to another, between its marks (``bump``: on top of what it does otherwise)."""

    start: float
    end: float
    level: float
    bump: bool = False


@dataclass
class Sketch:
    """A run being drawn up; minutes since its start, grains, pressures gauge."""

    end: float
    step: float
    marks: dict[Key, list[Mark]] = field(default_factory=dict)
    wishes: dict[Key, list[Wish]] = field(default_factory=dict)
    lines: dict[Key, Line] = field(default_factory=dict)  # drawn outright
    apart: dict[Key, Line] = field(default_factory=dict)  # how far the last sensor of a group is above the others
    states: dict[Key, list[tuple[float, str]]] = field(default_factory=dict)
    entries: list[tuple[str, str, float, float | None]] = field(default_factory=list)
    sensors: dict[str, int] = field(default_factory=dict)
    pressure_like: set[Key] = field(default_factory=set)
    lost: tuple[Key, float] | None = None
    silent: tuple[float, float] | None = None
    ports: int = 2
    earlier_cures: int = 0
    attributes: tuple[tuple[str, Quantity | str], ...] = ()
    places: tuple[str, ...] = ()
    step_apart: float = 0.0  # how far each thermocouple of a part is above the one before

    def tracks(self) -> tuple[Key, ...]:
        """All tracks that something is wished of."""
        return tuple(dict.fromkeys((*self.marks, *self.wishes, *self.lines, *self.apart)))

    def above(self, key: Key, take: str) -> float:
        """How far a signal of a group is above the group's first sensor, which is the coldest."""
        most = self.step_apart * (self.sensors.get(key[0], 1) - 1) if key[0] == "part thermocouple" else 0.0
        return {"hottest": most, "mean": most / 2}.get(take, 0.0)

    def sort(self, key: Key) -> str:
        """Whether a track is of temperature or pressure."""
        return "pressure" if key[0] in PRESSURES or key in self.pressure_like else "temperature"

    def line(self, key: Key) -> Line:
        """The track from the start to the end of the run."""
        if key in self.lines:
            return self.lines[key]
        line = self._through_marks(key)
        for wish in self.wishes.get(key, ()):
            if wish.bump:
                line = bumped(line, wish)
        return line

    def _through_marks(self, key: Key) -> Line:
        marks = sorted(self.marks.get(key, ()), key=lambda mark: mark.minute)
        edges = [0.0, *(mark.minute for mark in marks), self.end]
        line: Line = []
        for index, (start, end) in enumerate(itertools.pairwise(edges)):
            level = self._level(key, marks, index, start, end)
            ramp = min(12.0, 0.4 * (end - start))
            line.append((start + (ramp if index else 0.0), level))
            line.append((end - (ramp if index < len(marks) else 0.0), level))
            if index < len(marks):
                line.append((marks[index].minute, marks[index].level))
        return line

    def _level(self, key: Key, marks: list[Mark], index: int, start: float, end: float) -> float:
        for wish in self.wishes.get(key, ()):
            if not wish.bump and start <= (wish.start + wish.end) / 2 <= end:
                return wish.level
        pad = PAD[self.sort(key)]
        floor = [mark.level for mark in (marks[index - 1],) if mark.up] if index else []
        roof = [mark.level for mark in (marks[index - 1],) if not mark.up] if index else []
        if index < len(marks):
            (roof if marks[index].up else floor).append(marks[index].level)
        if floor and roof:
            return (max(floor) + min(roof)) / 2
        if floor:
            return max(floor) + pad
        if not roof:
            return AT_REST[self.sort(key)]
        return (
            min(min(roof) - pad, AT_REST["temperature"])
            if self.sort(key) == "temperature" and index == 0
            else min(roof) - pad
        )


def bumped(line: Line, wish: Wish) -> Line:
    """A line that goes to the level of a wish and back."""
    ramp = min(2.0, 0.2 * (wish.end - wish.start))
    before = [point for point in line if point[0] < wish.start]
    after = [point for point in line if point[0] > wish.end]
    top = [(wish.start + ramp, wish.level), (wish.end - ramp, wish.level)]
    return [*before, (wish.start, at(line, wish.start)), *top, (wish.end, at(line, wish.end)), *after]


def at(line: Line, minute: float) -> float:
    """The value of a line at a minute."""
    return float(np.interp(minute, [m for m, _ in line], [v for _, v in line]))


def plus(one: Line, other: Line) -> Line:
    """The sum of two lines."""
    minutes = sorted({m for m, _ in one} | {m for m, _ in other})
    return [(minute, at(one, minute) + at(other, minute)) for minute in minutes]


def gauge_span(limits: Limits, attributes: dict[str, Quantity | str]) -> tuple[float | None, float | None]:
    """Low and high limit in grains as the tracks have them: pressures gauge (a vacuum limit is upside down), attributes filled in."""
    low, high = (
        _own(quantity, name, attributes)
        for quantity, name in ((limits.low, limits.low_attribute), (limits.high, limits.high_attribute))
    )
    unit = next((quantity.unit for quantity in (low, high) if quantity is not None), None)
    ends = [None if quantity is None else quantity.grains for quantity in (low, high)]
    if unit is not None and unit.reference == "vacuum":
        ends = [None if end is None else -end for end in reversed(ends)]
    elif unit is not None and unit.reference == "absolute":
        ends = [None if end is None else end - BAROMETER for end in ends]
    return ends[0], ends[1]


def _own(quantity: Quantity | None, name: str | None, attributes: dict[str, Quantity | str]) -> Quantity | None:
    stated = attributes.get(name) if name else None
    return stated if stated is not None and not isinstance(stated, str) else quantity


# ------------------------------------------------------------------------------------------------------------- sketch to nouns
@dataclass(frozen=True, eq=False)
class Drawn:
    """A sketch as the nouns that the judge takes."""

    vessel: Vessel
    load: Load
    run: Run


def drawn(sketch: Sketch, specification: str, revision: str, numbers: str = "EXAMPLE") -> Drawn:
    """The vessel, the load and the closed run of a sketch."""
    sketch.end = ceil(sketch.end / sketch.step - 1e-9) * sketch.step  # the record ends with a sample
    channels: dict[str, Channel] = {}
    lines: list[Assignment] = []
    for key in sketch.tracks():
        for index in range(sketch.sensors.get(key[0], 1)):
            _add(channels, lines, _channel(sketch, key, index), key, _place(sketch, key, index))
    for key in sketch.states:
        _add(channels, lines, _state_channel(sketch, key), key, key[2])
    sensors = tuple(
        Sensor(name, name, "state" if c.kind == "state" else c.unit.quantity) for name, c in channels.items()
    )
    ports = tuple(str(number) for number in range(1, sketch.ports + 1))
    earlier = ("earlier runs",) if sketch.earlier_cures else ()
    part = Part(SERIAL, "EXAMPLE", "A", "", BAG, TOOL, specification, revision, sketch.attributes, earlier_runs=earlier)
    start = datetime(2026, 1, 1, tzinfo=UTC)
    entries = tuple(
        Entry(n, thing, _ns(a), None if b is None else _ns(b), 0, "operator") for n, thing, a, b in sketch.entries
    )
    closing = Closing("operator", True, _ns(sketch.end))
    run = Run(numbers, start, VESSEL, channels, entries, closing, BAROMETER, "standard atmosphere")
    load = Load(numbers, VESSEL, start, (part,), (Bag(BAG, ports),), tuple(lines))
    return Drawn(Vessel(VESSEL, sensors, (), ()), load, run)


def _ns(minute: float) -> int:
    return round(minute * MINUTE)


def _add(channels: dict[str, Channel], lines: list[Assignment], channel: Channel, key: Key, place: str) -> None:
    role, thing = OWNER.get(key[0], (key[1] or "other", BAG if "valve" in key[1] else VESSEL))
    if key[0] == "channel" and role not in ("source valve", "set point", "vessel pressure", "source"):
        role = "other"
    channels[channel.name] = channel
    lines.append(Assignment(channel.name, channel.name, role, thing, place, -ALWAYS, ALWAYS, "operator", channel.name))


def _place(sketch: Sketch, key: Key, index: int) -> str:
    if key[2]:
        return key[2]
    return sketch.places[index] if key[0] == "part thermocouple" and index < len(sketch.places) else ""


def _name(key: Key, index: int, many: bool) -> str:
    if key[1]:
        return key[1]
    short = {"part thermocouple": "TC", "air thermocouple": "air", "tool thermocouple": "tool TC"}.get(key[0], key[0])
    return f"{short}{'' if not many else ' ' if len(short) > 2 else ''}{index + 1 if many else ''}{' ' + key[2] if key[2] else ''}"


def _channel(sketch: Sketch, key: Key, index: int) -> Channel:
    count = sketch.sensors.get(key[0], 1)
    minutes = np.arange(0.0, sketch.end + sketch.step / 2, sketch.step)
    if sketch.silent:
        minutes = minutes[(minutes <= sketch.silent[0]) | (minutes >= sketch.silent[1])]
    line = sketch.line(key)
    values = np.interp(minutes, [m for m, _ in line], [v for _, v in line])
    if key[0] == "part thermocouple" and key not in sketch.apart:
        values = values + index * sketch.step_apart
    if index == count - 1 and key in sketch.apart:
        apart = sketch.apart[key]
        values = values + np.interp(minutes, [m for m, _ in apart], [v for _, v in apart])
    bad = np.zeros(len(minutes), np.bool_)
    if sketch.lost and sketch.lost[0] == key and index == count - 1:
        bad = minutes >= sketch.lost[1]
    pressure = sketch.sort(key) == "pressure"
    unit = UNITS["bar gauge" if pressure else "degC"]
    values = np.rint(values)
    t = np.rint(minutes * MINUTE).astype(np.int64)
    rows = np.arange(2, len(t) + 2, dtype=np.int64)
    reference = "gauge" if pressure else None
    return Channel(
        _name(key, index, count > 1), unit, "continuous", t, values, bad, values, rows, "example", reference=reference
    )


def _state_channel(sketch: Sketch, key: Key) -> Channel:
    minutes = np.arange(0.0, sketch.end + sketch.step / 2, sketch.step)
    steps = sorted(sketch.states[key])
    states = tuple(dict.fromkeys(["before", *(state for _, state in steps)]))
    found = [bisect_right([minute for minute, _ in steps], minute + 1e-9) for minute in minutes]
    values = np.array([states.index(steps[i - 1][1]) if i else 0 for i in found], dtype=np.float64)
    t = np.rint(minutes * MINUTE).astype(np.int64)
    bad = np.zeros(len(t), np.bool_)
    rows = np.arange(2, len(t) + 2, dtype=np.int64)
    return Channel(
        _name(key, 0, many=False), UNITS["count"], "state", t, values, bad, values, rows, "example", states=states
    )
