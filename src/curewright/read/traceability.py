"""Whether everything can be led back: part to bag to port to sensor to channel, and from the channel back to the part.

Nothing here stops a judgement. Each thing that does not hold is one finding that names it, says where it is written and which parts
or bags cannot be judged because of it; the rest is judged. Thermocouples that nobody judges by (*information only*) block nothing.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.read.ambient import at_ambient
from curewright.read.entry_times import entries_in_the_record
from curewright.read.pressures_at_start import at_start
from curewright.terms.errors import Place
from curewright.terms.finding import NOT_VALID, OUT_OF_DATE, Finding
from curewright.text.near import nearest, same_but_for_noughts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date

    from curewright.terms.load import Assignment, Bag, Calibration, Load, Part, Ruling, Sensor, Vessel
    from curewright.terms.run import Run

SHARED_ROLES = (
    "air",
    "vessel pressure",
    "source",
    "source valve",
    "set point",
    "other",
)  # may serve several things at once
QUANTITIES = {"temperature": "temperature", "pressure": "pressure", "vacuum": "pressure"}
LEAST_VACUUM_PORTS = 2  # source and transducer: common practice, no source


@dataclass(frozen=True)
class Far:
    """How far a load can be led back: whether there are ``samples``, ``channels`` (by layouts at least), and whether it is ``dated``."""

    samples: bool = True
    channels: bool = True
    dated: bool = True


ALL = Far()


def trace(
    vessel: Vessel, load: Load, run: Run, needs: Mapping[str, int], rulings: tuple[Ruling, ...] = (), *, far: Far = ALL
) -> tuple[Finding, ...]:
    """Every finding about a load, in the order of the chain.

    ``needs``: the least number of judging thermocouples for each part by its serial, as its specification says (none stated: one).
    A sensor that ``rulings`` set aside over the whole record blocks nothing by its disagreement at ambient.
    ``far``: how far anything can be led back while samples, layouts or the day are missing.
    """
    day = run.start.date()
    checks = (
        _same_papers(vessel, load, run),
        _serials(load),
        _bags_of_parts(load),
        _things_of_the_map(vessel, load),
        _ports(vessel, load),
        _transducers(vessel, load),
        _overlaps(load),
        _channels(vessel, load, run, before=not far.samples) if far.channels else (),
        _enough_thermocouples(load, needs),
        _calibrations(vessel, load, run, day if far.dated else None),
        _corrections(vessel, load, day) if far.dated else (),
        at_ambient(vessel, load, run, rulings) if far.samples else (),
        at_start(load, run) if far.samples else (),
        entries_in_the_record(run),
        _out_time(load),
        _nobody_knows(vessel, load, run, rulings),
    )
    return tuple(finding for check in checks for finding in check)


def blocked_by(assignments: Iterable[Assignment]) -> tuple[str, ...]:
    """The things that are judged through these lines of the map, each once."""
    return tuple(dict.fromkeys(a.thing for a in assignments if a.role != "information only"))


def sensors_of(assignments: Iterable[Assignment]) -> tuple[str, ...]:
    """The sensors of these lines of the map by which anything is judged, each once."""
    return tuple(dict.fromkeys(a.sensor for a in assignments if a.role != "information only"))


# ------------------------------------------------------------------------------------------------------------ parts and bags
def _same_papers(vessel: Vessel, load: Load, run: Run) -> Iterator[Finding]:
    everything = tuple(dict.fromkeys(part.serial for part in load.parts))
    if load.vessel != vessel.name:
        message = f"the load is written for the vessel '{load.vessel}', the vessel file describes '{vessel.name}'"
        yield Finding("other vessel", load.vessel, message, (Place(load.file), Place(vessel.file)), everything)
    if load.run != run.number:
        message = f"the load is written for the run '{load.run}', the run sheet is of '{run.number}'"
        yield Finding("other run", load.run, message, (Place(load.file),), everything)


def _serials(load: Load) -> Iterator[Finding]:
    lines: dict[str, list[int]] = defaultdict(list)
    for part in load.parts:
        lines[part.serial].append(part.line)
    for serial, where in lines.items():
        if len(where) > 1:
            yield Finding(
                "serial twice",
                serial,
                f"the serial {serial} stands for {len(where)} parts of the load; correct the wrong one",
                tuple(Place(load.file, line) for line in where),
                (serial,),
            )


def _bags_of_parts(load: Load) -> Iterator[Finding]:
    known = {bag.name for bag in load.bags}
    for part in load.parts:
        if part.bag not in known:
            message = f"part {part.serial} is in the bag '{part.bag}', which the load does not list under 'bags'"
            yield Finding("unknown bag", part.serial, message, (Place(load.file, part.line),), (part.serial,))
    used = {part.bag for part in load.parts}
    for bag in load.bags:
        if bag.name not in used:
            message = f"no part is in the bag '{bag.name}'"
            yield Finding("bag without a part", bag.name, message, (Place(load.file, bag.line),))


def _things_of_the_map(vessel: Vessel, load: Load) -> Iterator[Finding]:
    """Lines of the map whose thing or sensor nobody knows."""
    things = {
        vessel.name,
        load.vessel,
        *(p.serial for p in load.parts),
        *(b.name for b in load.bags),
        *(p.tool for p in load.parts),
    }
    sensors = {sensor.name for sensor in vessel.sensors}
    for a in load.map:
        if a.thing not in things:
            message = f"the sensor {a.sensor} ({a.role}) is mapped to '{a.thing}', which is not in the load{_perhaps(a.thing, things)}"
            yield Finding("not in the load", a.sensor, message, (Place(a.file, a.line),))
        if a.role == "information only" and a.start > 0:
            message = (
                f"the sensor {a.sensor} became 'information only' after the start of the run, by the word of {a.author}"
            )
            yield Finding("information only after the start", a.sensor, message, (Place(a.file, a.line),), (a.thing,))
        if a.sensor not in sensors:
            message = f"the sensor {a.sensor} is in the map, and the vessel file does not know it: no wire, no calibration, no correction"
            yield Finding(
                "unknown sensor",
                a.sensor,
                message,
                (Place(a.file, a.line), Place(vessel.file)),
                blocked_by((a,)),
                (a.sensor,),
            )


def _perhaps(name: str, known: Iterable[str]) -> str:
    """The name that was perhaps meant, behind a message."""
    words = [one for one in known if one]
    near = (
        nearest(name, words) if any(letter.isalpha() for letter in name) else ""
    )  # serials beside one another are all alike
    meant = same_but_for_noughts(name, words) or near
    return f"; {meant}" if meant else ""


def _out_time(load: Load) -> Iterator[Finding]:
    for part in load.parts:
        used, limit = part.out_time_used, part.out_time_limit
        if used is not None and limit is not None and used.grains > limit.grains:
            message = f"part {part.serial} has used {used} of out-time, its limit is {limit}"
            yield Finding("out-time above its limit", part.serial, message, (Place(load.file, part.line),))


def _nobody_knows(vessel: Vessel, load: Load, run: Run, rulings: tuple[Ruling, ...]) -> Iterator[Finding]:
    """Rulings and hand entries about something that no other paper knows; they have no effect."""
    sensors = {a.sensor for a in load.map} | {a.channel for a in load.map} | {a.position for a in load.map}
    sensors |= {sensor.name for sensor in vessel.sensors} | set(run.channels)
    for ruling in rulings:
        if ruling.sensor not in sensors:
            what = "trusts" if ruling.kind == "trusted" else "sets aside"
            message = (
                f"the ruling of {ruling.person} {what} '{ruling.sensor}', which no other paper knows; it has no effect"
            )
            yield Finding("ruling on an unknown sensor", ruling.sensor, message, (Place(ruling.file, ruling.line),))
    things = sensors | {part.serial for part in load.parts} | {part.tool for part in load.parts}
    things |= {bag.name for bag in load.bags} | {vessel.name, "run"}
    for entry in run.entries:
        if entry.thing not in things:
            message = (
                f"the hand entry '{entry.name}' of {entry.person} is about '{entry.thing}', which no other paper knows"
                f"{_perhaps(entry.thing, things)}"
            )
            yield Finding("entry about something unknown", entry.thing, message, (Place(entry.file, entry.line),))


# ---------------------------------------------------------------------------------------------------------------------- ports
def _ports(vessel: Vessel, load: Load) -> Iterator[Finding]:
    """Each vacuum port serves one bag, and the vessel has it; the vessel lists the sensor behind each port."""
    bags: dict[str, list[Bag]] = defaultdict(list)
    for bag in load.bags:
        for port in bag.ports:
            bags[port].append(bag)
    known = {port.number for port in vessel.ports if port.kind == "vacuum"}
    for port, users in bags.items():
        names = tuple(dict.fromkeys(bag.name for bag in users))
        places = tuple(Place(load.file, bag.line) for bag in users)
        if len(users) > 1:
            message = f"the port {port} is connected to {' and to '.join(bag.name for bag in users)}"
            yield Finding("port used twice", port, message, places, names)
        if port not in known:
            message = f"the bag {names[0]} is connected to the port {port}, which is no vacuum port of the vessel file"
            yield Finding("unknown port", port, message, (*places, Place(vessel.file)), names)
    sensors = [sensor.name for sensor in vessel.sensors]
    for one in vessel.ports:
        if one.sensor is not None and one.sensor not in sensors:
            message = (
                f"the sensor {one.sensor} is behind the port {one.number}, and the vessel file does not list it under 'sensors'"
                f"{_perhaps(one.sensor, sensors)}"
            )
            yield Finding("unknown sensor at a port", one.sensor, message, (Place(one.file or vessel.file, one.line),))


def _transducers(vessel: Vessel, load: Load) -> Iterator[Finding]:
    """Each bag has a transducer of its own, at one of its ports, and a source."""
    behind = {port.sensor: port for port in vessel.ports if port.kind == "vacuum" and port.sensor}
    for bag in load.bags:
        where = (Place(load.file, bag.line),)
        mine = [a for a in load.map if a.role == "bag transducer" and a.thing == bag.name]
        if not mine:
            message = f"no sensor is mapped to the bag {bag.name} as its transducer: its vacuum is not known"
            yield Finding("bag without a transducer", bag.name, message, where, (bag.name,))
        if len(set(bag.ports)) < LEAST_VACUUM_PORTS:
            message = (
                f"the bag {bag.name} has {len(set(bag.ports))} vacuum port(s); source and transducer need one each (common practice). "
                "It blocks nothing. To do: if the bag has a second port, name it under 'ports'; else nothing"
            )
            yield Finding("fewer than two vacuum ports", bag.name, message, where, remark=True)
        for a in mine:
            port = behind.get(a.sensor)
            if port is not None and port.number not in bag.ports:
                message = (
                    f"the map has {a.sensor} as the transducer of the bag {bag.name}, the vessel has it at the port {port.number}, "
                    f"and the bag is connected to {', '.join(bag.ports)}"
                )
                yield Finding(
                    "transducer at another port",
                    a.sensor,
                    message,
                    (Place(a.file, a.line), *where, Place(port.file, port.line)),
                    (bag.name, *(other.name for other in load.bags if port.number in other.ports)),
                )


# -------------------------------------------------------------------------------------------------------- sensors and channels
def _overlaps(load: Load) -> Iterator[Finding]:
    """Lines of the map that give one sensor, or one channel, to two things at once."""
    for i, one in enumerate(load.map):
        for other in load.map[i + 1 :]:
            same = one.sensor == other.sensor or one.channel == other.channel
            shared = one.role in SHARED_ROLES and one.role == other.role and one.thing != other.thing
            if same and not shared and max(one.start, other.start) < min(one.end, other.end):
                what = f"the sensor {one.sensor}" if one.sensor == other.sensor else f"the channel {one.channel}"
                message = f"{what} is at {_spot(one)} and at {_spot(other)} at the same time"
                places = (Place(one.file, one.line), Place(other.file, other.line))
                blocks, sensors = blocked_by((one, other)), sensors_of((one, other))
                yield Finding("overlapping map entries", one.sensor, message, places, blocks, sensors)


def _spot(a: Assignment) -> str:
    return f"{a.thing} ({', '.join(word for word in (a.role, a.place) if word)})"


def _channels(vessel: Vessel, load: Load, run: Run, *, before: bool = False) -> Iterator[Finding]:
    """Every channel is claimed, every claimed channel was recorded, each by one sensor, in a unit that suits it.

    ``before``: nothing was recorded yet, and the channels are those of the layouts.
    """
    recorded, not_recorded = (
        ("is in the layout", "no layout has it") if before else ("was recorded", "it was not recorded")
    )
    claims: dict[str, list[Assignment]] = defaultdict(list)
    for a in load.map:
        claims[a.channel].append(a)
    owners: dict[str, list[Sensor]] = defaultdict(list)
    for sensor in vessel.sensors:
        owners[sensor.channel].append(sensor)
    for name, channel in run.channels.items():
        if name not in claims and channel.second_of not in claims:
            sensors = owners.get(name, [])
            known = f" (the sensor {sensors[0].name} of the vessel)" if sensors else ""
            message = f"the channel {name}{known} {recorded}, and no line of the map claims it"
            yield Finding("channel nobody claims", name, message, (Place(channel.file), Place(load.file)))
    for name, lines in claims.items():
        places = tuple(Place(a.file, a.line) for a in lines)
        if name not in run.channels:
            message = f"the map has the channel {name} for {' and '.join(dict.fromkeys(_spot(a) for a in lines))}, and {not_recorded}"
            yield Finding("claimed channel not recorded", name, message, places, blocked_by(lines), sensors_of(lines))
    for name, sensors in owners.items():
        blocks, doubted = blocked_by(claims.get(name, ())), sensors_of(claims.get(name, ()))
        if len(sensors) > 1:
            message = (
                f"the channel {name} belongs to the sensors {' and '.join(s.name for s in sensors)} in the vessel file"
            )
            yield Finding(
                "channel claimed twice",
                name,
                message,
                tuple(Place(vessel.file, s.line) for s in sensors),
                blocks,
                doubted,
            )
        for sensor in sensors:
            yield from _suits(vessel, sensor, run, blocks)


def _suits(vessel: Vessel, sensor: Sensor, run: Run, blocks: tuple[str, ...]) -> Iterator[Finding]:
    channel = run.channels.get(sensor.channel)
    wanted = QUANTITIES.get(sensor.measures)
    if channel is not None and wanted is not None and (channel.states or channel.unit.quantity != wanted):
        recorded = "states" if channel.states else channel.unit.name
        message = f"the sensor {sensor.name} measures {sensor.measures}, its channel {channel.name} was recorded in {recorded}"
        yield Finding(
            "unit does not suit the sensor",
            sensor.name,
            message,
            (Place(vessel.file, sensor.line), Place(channel.file)),
            blocks,
            (sensor.name,),
        )


def _enough_thermocouples(load: Load, needs: Mapping[str, int]) -> Iterator[Finding]:
    """Counted at the worst moment of the map: a thermocouple that was re-plugged counts once, one that ended counts no longer."""
    for part in {part.serial: part for part in load.parts}.values():
        least = needs.get(part.serial, 1)
        mine = [a for a in load.map if a.role == "judging" and a.thing == part.serial]
        moments = {a.start for a in mine} | {a.end for a in mine if a.end < max(b.end for b in mine)}
        counts = [len({a.sensor for a in mine if a.start <= moment < a.end}) for moment in sorted(moments)]
        count = min(counts[_warm_up(mine, sorted(moments)) :], default=0)
        if count < least:
            yield _too_few(load, part, count, least)


def _warm_up(mine: list[Assignment], moments: list[int]) -> int:
    """The first moment from which the run is looked at: the last of those up to its start (t = 0), or the first."""
    before = [i for i, moment in enumerate(moments) if moment <= 0]
    return before[-1] if before and mine else 0


def _too_few(load: Load, part: Part, count: int, least: int) -> Finding:
    message = f"part {part.serial} has {count} judging thermocouple(s); its specification {part.specification} asks for at least {least}"
    return Finding("too few thermocouples", part.serial, message, (Place(load.file, part.line),), (part.serial,))


# ----------------------------------------------------------------------------------------------- calibrations and corrections
def _calibrations(vessel: Vessel, load: Load, run: Run, day: date | None) -> Iterator[Finding]:
    """``day`` is None where nobody said when the run is: then only whether a calibration is stated."""
    for sensor in vessel.sensors:
        lines = [a for a in load.map if a.sensor == sensor.name]
        where = Place(vessel.file, sensor.line)
        asked = all(line.role == "set point" for line in lines)  # what was asked for is no measurement
        if lines and sensor.measures != "state" and not asked:
            yield from _due(sensor.calibration, f"the sensor {sensor.name}", sensor.name, day, where, lines)
    used = {channel.recorder for channel in run.channels.values()}
    for recorder in vessel.recorders:
        if recorder.name in used:
            lines = [
                a for a in load.map if a.channel in run.channels and run.channels[a.channel].recorder == recorder.name
            ]
            where = Place(vessel.file, recorder.line)
            yield from _due(recorder.calibration, f"the recorder {recorder.name}", recorder.name, day, where, lines)
    known = {recorder.name for recorder in vessel.recorders}
    for name in sorted(used - known - {""}):
        message = (
            f"the layout names the recorder {name}, and the vessel file does not know it: no accuracy, no calibration"
            f"{_perhaps(name, known)}"
        )
        yield Finding("unknown recorder", name, message, (Place(vessel.file),))
    for file in sorted({channel.file for channel in run.channels.values() if not channel.recorder}):
        message = f"the layout of {file} names no recorder: its accuracy and calibration are not known"
        yield Finding("recorder not stated", file, message, (Place(file),))


def _due(
    calibration: Calibration | None, what: str, name: str, day: date | None, where: Place, lines: list[Assignment]
) -> Iterator[Finding]:
    if calibration is None:
        message = f"no calibration of {what} is stated"
        yield Finding("calibration not stated", name, message, (where,))
    elif day is not None and calibration.due < day:
        message = f"the calibration of {what} (certificate {calibration.certificate}) was due on {calibration.due}, the run was on {day}"
        yield Finding(OUT_OF_DATE, name, message, (where,), blocked_by(lines), sensors_of(lines))


def _corrections(vessel: Vessel, load: Load, day: date) -> Iterator[Finding]:
    """Of what is corrected at all, one correction is valid on the day."""
    for sensor in vessel.sensors:
        lines = [a for a in load.map if a.sensor == sensor.name]
        for what in dict.fromkeys(c.of for c in sensor.corrections) if lines else ():
            mine = [c for c in sensor.corrections if c.of == what]
            if not any(c.valid_from <= day <= c.valid_to for c in mine):
                spans = ", ".join(f"{c.certificate}: {c.valid_from} to {c.valid_to}" for c in mine)
                message = f"no correction of the sensor {sensor.name} for its {what} is valid on {day} ({spans}); none was applied"
                places = tuple(Place(vessel.file, c.line) for c in mine)
                yield Finding(NOT_VALID, sensor.name, message, places, blocked_by(lines), (sensor.name,))
