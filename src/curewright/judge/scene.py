"""The scene of a judgement: one part in its bag, in the vessel, under its specification, with the sensors that speak
for it.

Everything that the judge asks of a run goes through here, so that a sensor's trace, its references and what was set
aside are made once.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.second_recorder import filled, seconds_of
from curewright.judge.trace import Trace, trace_of
from curewright.terms.errors import NeedsBarometer, TraceabilityError
from curewright.terms.light import light
from curewright.terms.load import ALWAYS
from curewright.terms.run import Channel
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from curewright.judge.second_recorder import Seconds
    from curewright.judge.steep import Windows
    from curewright.judge.steps import When
    from curewright.physics.card import Card
    from curewright.terms.load import Assignment, Bag, Load, Part, Ruling, Vessel
    from curewright.terms.requirement import Group, Specification
    from curewright.terms.run import Run

ON_PARTS = ("part thermocouple", "tool thermocouple")
ROLE_OF = {
    "part thermocouple": "judging",
    "tool thermocouple": "tool",
    "air thermocouple": "air",
    "bag vacuum": "bag transducer",
    "source vacuum": "source",
    "vessel pressure": "vessel pressure",
}


@light(frozen=True)
class Thing:
    """What a requirement is judged for: ``kind`` (vessel, part, bag, … thermocouple), its name, and its sensor if it is
    one.
    """

    kind: str
    name: str
    member: Member | None = None


@light(frozen=True, eq=False)
class Member:
    """A sensor at its place: the channels that carried it, and when."""

    name: str
    role: str
    place: str
    pieces: tuple[tuple[Channel, int, int], ...]
    assignments: tuple[Assignment, ...]

    @property
    def channel(self) -> Channel:
        """The (first) channel that carried it."""
        return self.pieces[0][0]


_NO_TIMES, _NO_VALUES = np.empty(0, np.int64), np.empty(0)
NOTHING = Channel("", UNITS["K"], "continuous", _NO_TIMES, _NO_VALUES, np.empty(0, bool), _NO_VALUES, _NO_TIMES)
"""What stands for a channel that the map names and the run does not have: unknown all the time, but not gone."""


def _nothing(like: Channel, name: str) -> Channel:
    return replace(like, name=name, t=_NO_TIMES, v=_NO_VALUES, bad=NOTHING.bad, raw=_NO_VALUES, row=_NO_TIMES, flags=())


@light(frozen=True)
class Options:
    """Which reading of the same data is asked for: with rulings and the lost-thermocouple rule or without, crossings
    exact or first sample, with the other readings beside each verdict or without, or outcomes without evidence, with a
    second recorder in the gaps or without.
    """

    rulings: bool = True
    rule: bool = True
    held: bool = False
    others: bool = True
    outcomes_only: bool = False
    second: bool = True


@dataclass(eq=False)
class Hall:
    """What all scenes of one run share: run, vessel, load, rulings, and the traces already made."""

    run: Run
    vessel: Vessel
    load: Load
    rulings: tuple[Ruling, ...]
    end: int
    covers: bool
    cards: tuple[Card, ...] = ()
    members: dict[tuple[str, str], tuple[Member, ...]] = field(default_factory=dict)
    traces: dict[tuple[object, ...], Trace] = field(default_factory=dict)
    kept: dict[tuple[object, ...], object] = field(default_factory=dict)
    tokens: dict[int, tuple[int, object]] = field(default_factory=dict)
    numbers: dict[object, int] = field(default_factory=dict)
    windows: dict[tuple[object, ...], Windows] = field(default_factory=dict)  # of a growing run: see `steep`

    def token(self, noun: object) -> int:
        """A number that equal nouns (signals, conditions) share, so that they are compared once and not at every look-
        up.
        """
        known = self.tokens.get(id(noun))
        if known is None:
            number = self.numbers.setdefault(noun, len(self.numbers))
            known = self.tokens[id(noun)] = (number, noun)  # the noun is held, so that its id stays its own
        return known[0]

    def members_of(self, role: str, thing: str) -> tuple[Member, ...]:
        """All sensors of a role that the map gives to a thing, by name."""
        key = (role, thing)
        if key not in self.members:
            lines: dict[str, list[Assignment]] = {}
            for line in self._by_thing().get((role, thing), ()):
                lines.setdefault(line.position or line.sensor, []).append(line)
            self.members[key] = tuple(self._member(name, role, found) for name, found in sorted(lines.items()))
        return self.members[key]

    @property
    def seconds(self) -> Seconds:
        """The second recorders' channels by the first one's, each with the bound of its clock."""
        if ("seconds",) not in self.kept:
            self.kept[("seconds",)] = seconds_of(self.run, self.vessel)
        return self.kept[("seconds",)]  # type: ignore[return-value]

    def _by_thing(self) -> dict[tuple[str, str], list[Assignment]]:
        if ("map",) not in self.kept:
            index: dict[tuple[str, str], list[Assignment]] = {}
            for line in self.load.map:
                index.setdefault((line.role, line.thing), []).append(line)
            self.kept[("map",)] = index
        return self.kept[("map",)]  # type: ignore[return-value]

    def _member(self, name: str, role: str, lines: list[Assignment]) -> Member:
        channels = self.run.channels
        recorded = [line for line in lines if line.channel in channels]
        like = channels[recorded[0].channel] if recorded else NOTHING
        pieces = tuple((channels[line.channel], line.start, line.end) for line in recorded)
        missing = tuple(
            (_nothing(like, line.channel), line.start, line.end) for line in lines if line.channel not in channels
        )
        return Member(name, role, lines[0].place, pieces + missing, tuple(lines))

    def named(self, name: str, things: tuple[str, ...]) -> tuple[Member, ...]:
        """Sensors by role, sensor or channel name, looked up first for the nearest thing, then for the next."""
        for thing in things:
            key = ("named", name, thing)
            if key not in self.kept:
                self.kept[key] = self._named(name, thing)
            if self.kept[key]:
                return self.kept[key]  # type: ignore[return-value]
        if name in self.run.channels:
            return (Member(name, "channel", "", ((self.run.channels[name], -ALWAYS, ALWAYS),), ()),)
        return ()

    def _named(self, name: str, thing: str) -> tuple[Member, ...]:
        lines: dict[str, list[Assignment]] = {}
        for line in self.load.map:
            if line.thing == thing and name in (line.role, line.sensor, line.channel, line.position):
                lines.setdefault(line.position or line.sensor, []).append(line)
        return tuple(self._member(key, each[0].role, each) for key, each in sorted(lines.items()))

    def _on_shared_axis(self, trace: Trace) -> Trace:
        """The trace with its instants in the very array of an earlier trace that has the same ones, so that both
        combine without a merge.
        """
        if not len(trace.t):
            return trace
        key = ("axis", len(trace.t), int(trace.t[0]), int(trace.t[-1]))
        axes: list[tuple[NDArray[np.int64], list[NDArray[np.uint8]]]] = self.kept.setdefault(key, [])  # type: ignore[assignment]
        for axis, links in axes:
            if axis is trace.t or np.array_equal(axis, trace.t):
                return _on_axis(trace, axis, links)
        axes.append((trace.t, [trace.link]))
        return trace

    def trace(self, member: Member, gap: int, *, raw: bool, held: bool) -> Trace:
        """The trace of a sensor with a largest gap, made once."""
        key = (member.name, member.role, id(member.channel), gap, raw)
        found = self.traces.get(key)
        if found is None:
            made = self._on_shared_axis(trace_of(member.name, member.pieces, gap, raw=raw))
            places: dict[int, tuple[int, float]] = self.kept.setdefault(("places", id(made.t)), {})  # type: ignore[assignment]
            found = self.traces[key] = made.sharing_places(
                places
            )  # which is held, so that the id of its instants stays theirs
        if not held or found.hold:
            return found
        held_key = (*key, "held")
        if held_key not in self.traces:
            self.traces[held_key] = found.as_held()
        return self.traces[held_key]


@dataclass(eq=False)
class Scene:
    """One part under its specification, seen with :class:`Options`."""

    hall: Hall
    specification: Specification
    part: Part
    bag: Bag | None
    options: Options
    instants: Callable[[Scene, str, Thing], When]
    events: dict[tuple[str, str, str], When] = field(default_factory=dict)
    kept: dict[tuple[object, ...], object] = field(default_factory=dict)
    common: dict[tuple[object, ...], object] = field(default_factory=dict)  # the same however the data are read

    @property
    def end(self) -> int:
        """The instant to which the record reaches."""
        return self.hall.end

    def members(self, group: Group, thing: Thing) -> tuple[Member, ...]:
        """The sensors of a group as seen from the thing judged."""
        key = ("members", self.hall.token(group), thing.kind, thing.name)
        found = self.common.get(key)
        if found is None:
            found = self.common[key] = self._members(group, thing)
        return found  # type: ignore[return-value]

    def _members(self, group: Group, thing: Thing) -> tuple[Member, ...]:
        if group.role == "channel":
            return self.hall.named(group.name, self.near) if group.name else ()
        found = self._of_parts(group.role, thing) if group.role in ON_PARTS else self._of(group.role, self.part)
        if group.place is not None:
            found = tuple(member for member in found if group.place in (member.place, member.name))
        if group.name is not None:
            found = tuple(member for member in found if group.name in (member.name, member.channel.name))
        return found

    def _of_parts(self, role: str, thing: Thing) -> tuple[Member, ...]:
        """Thermocouples of parts: of this one, or of all in the bag or vessel that is judged (named with their serial if
        need be).
        """
        if thing.kind not in ("bag", "vessel"):
            return self._of(role, self.part)
        parts = [part for part in self.hall.load.parts if _lies_in(part, thing)]
        if len(parts) < 2:
            return self._of(role, self.part)
        found = [(part.serial, member) for part in parts for member in self._of(role, part)]
        names = [member.name for _, member in found]
        return tuple(
            member if names.count(member.name) == 1 else replace(member, name=f"{serial} {member.name}")
            for serial, member in found
        )

    def _of(self, role: str, part: Part) -> tuple[Member, ...]:
        for owner in self._owners(role, part):
            found = self.hall.members_of(ROLE_OF[role], owner)
            if found:
                return found
        return ()

    @property
    def near(self) -> tuple[str, ...]:
        """The names under which something of this part may be filed, nearest first."""
        return (self.part.serial, self.part.bag, self.part.tool, self.hall.vessel.name, "run", "vessel", "")

    def _owners(self, role: str, part: Part) -> tuple[str, ...]:
        vessel = (self.hall.vessel.name, "vessel", "")
        if role == "part thermocouple":
            return (part.serial,)
        if role == "tool thermocouple":
            return (part.serial, part.tool)
        if role == "bag vacuum":
            return (part.bag,)
        return (part.bag, *vessel) if role == "source vacuum" else vessel

    def trace(self, member: Member, reference: str | None, *, raw: bool = False) -> Trace:
        """A sensor's trace in a pressure reference (None for temperatures and states)."""
        key = ("trace", id(member), reference, raw)
        known: tuple[Trace, Member] | None = self.kept.get(key)  # type: ignore[assignment]
        if known is None:  # the member is kept with it, so that its id stays its own
            known = self.kept[key] = (self._trace(member, reference, raw=raw), member)
        return known[0]

    def _trace(self, member: Member, reference: str | None, *, raw: bool) -> Trace:
        held = self.options.held
        base = self.hall.trace(member, self.specification.largest_gap, raw=raw, held=held)
        base = self._with_second(member, base, raw=raw)
        own = member.channel.reference
        if reference is None or own is None:
            return base
        sign, shift = self.change_of_reference(own, reference, member.name)
        if sign == 1.0 and shift == 0.0:
            return base
        key = ("mapped", id(base), sign, shift)
        if key not in self.hall.traces:
            self.hall.traces[key] = base.mapped(sign, shift)
        return self.hall.traces[key]

    def _with_second(self, member: Member, trace: Trace, *, raw: bool) -> Trace:
        """The trace with its second recorder in the gaps, where there is one and the paper allows it."""
        if not (self.options.second and self.specification.second_recorder.allowed):
            return trace
        seconds = self.hall.seconds
        if not any(channel.name in seconds for channel, _, _ in member.pieces):
            return trace
        key = ("second", id(trace), id(self.specification), raw)
        if key not in self.hall.traces:
            made = filled(trace, member.pieces, seconds, self.specification, self.end, raw=raw)
            wanted = member.channel.reference
            if made.second is not None and wanted is not None:
                own = made.second.channel.reference or wanted
                there = made.second.trace.mapped(*self.change_of_reference(own, wanted, member.name))
                made = replace(made, second=replace(made.second, trace=there))
            self.hall.traces[key] = made
        found = self.hall.traces[key]
        if found.second is not None:
            self.hall.kept[("second used", id(self.specification))] = True
        return found

    @property
    def second_used(self) -> bool:
        """Whether a second recorder fills a gap anywhere under this specification."""
        return ("second used", id(self.specification)) in self.hall.kept

    def change_of_reference(self, own: str, wanted: str, name: str) -> tuple[float, float]:
        """(sign, shift) from one pressure reference to another; raises :class:`NeedsBarometer` where one is needed and
        not known.
        """
        if own == wanted:
            return 1.0, 0.0
        if (own, wanted) in (("gauge", "vacuum"), ("vacuum", "gauge")):
            return -1.0, 0.0
        ambient = self.hall.run.barometer
        if ambient is None:
            raise NeedsBarometer(
                f"{name} reads {own} pressure and the requirement is stated {_in_words(wanted)}",
                expected="the ambient pressure of the run, or the site pressure of the vessel",
                remedy="give the barometer reading in the run sheet",
            )
        if own == "absolute":
            return (1.0, -ambient) if wanted == "gauge" else (-1.0, ambient)
        return (1.0, ambient) if own == "gauge" else (-1.0, ambient)

    def need(self, group: Group, thing: Thing) -> tuple[Member, ...]:
        """The sensors of a group; raises :class:`TraceabilityError` where the map names none."""
        found = self.members(group, thing)
        if not found:
            what = f"'{group.name}'" if group.role == "channel" else f"a {group.role}"
            raise TraceabilityError(
                f"no channel on the sensor map is {what} of part {self.part.serial}",
                expected="a line of the sensor map that names one",
                remedy="complete the sensor map of the load",
            )
        return found


def _on_axis(trace: Trace, axis: NDArray[np.int64], links: list[NDArray[np.uint8]]) -> Trace:
    """A trace with its instants, and its links where an earlier one has the same, in the arrays of earlier ones."""
    for link in links:
        if link is trace.link or np.array_equal(link, trace.link):
            return trace if axis is trace.t and link is trace.link else replace(trace, t=axis, link=link)
    links.append(trace.link)
    return trace if axis is trace.t else replace(trace, t=axis)


def _lies_in(part: Part, thing: Thing) -> bool:
    """Whether a part lies in the thing: in that bag, or in the vessel."""
    return thing.kind == "vessel" or (thing.kind == "bag" and part.bag == thing.name)


def _in_words(reference: str) -> str:
    return "as vacuum" if reference == "vacuum" else reference
