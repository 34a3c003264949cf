"""The load sheet: parts, bags, and which sensor sat where, when, by whose word."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from curewright.read.forms import (
    CLOCK_TIME,
    FILE,
    LIMITS,
    TEXT,
    Field,
    Filled,
    Form,
    Kind,
    items,
    one_or_more,
    plain_number,
    quantity,
    table,
)
from curewright.read.forms import one_of as one_word_of
from curewright.terms.errors import CurewrightError, FileError, UnitError, each
from curewright.terms.load import ALWAYS, ROLES, Assignment, Bag, Concession, Load, Part
from curewright.terms.units import UNITS, Quantity
from curewright.text import fields as text_fields
from curewright.text.phrase import words_of
from curewright.text.quantities import TIME, Measure, amount

if TYPE_CHECKING:
    from datetime import datetime

    from curewright.read.forms import Written
    from curewright.read.times import Clock
    from curewright.terms.load import Vessel
    from curewright.text.yaml import Node

PART_ROLES = ("judging", "information only", "tool")
BAG_ROLES = ("bag transducer",)
BEGINNING = -ALWAYS  # a line of the map without 'from' holds from ever


def _attribute(node: Node) -> Quantity | str:
    """A quantity where a number is written, else a text; what begins like a number but is none is refused."""
    if not plain_number(node):
        return text_fields.prose(node)
    first: CurewrightError | None = None
    for measured in dict.fromkeys(unit.quantity for unit in UNITS.values()):
        try:
            words = words_of(node)
            found = amount(words, Measure(measured))
            words.done()
            return found
        except UnitError as error:
            first = first or error
        except FileError as error:
            raise _no_attribute(node, error) from None
    raise _no_attribute(node, first)


def _no_attribute(node: Node, error: CurewrightError | None) -> FileError:
    written = text_fields.text(node)
    return FileError(
        f"'{written}' is no plain number with a known unit" + (f" ({error.found})" if error else ""),
        expected="'2.9 mm' for instance, or a text in quotes",
        where=node.place,
        remedy="write decimals with a point" if re.search(r"\d,\d", written) else "",
    )


ATTRIBUTE = Kind(_attribute, {"type": "string", "examples": ["2.9 mm", "laminate"]})
CONCESSION = Form(
    "a concession",
    "A limit changed for this serial by an authority; the original outcome stays visible.",
    (
        Field("clause", TEXT, "the clause"),
        Field("form", TEXT, "the name of its form (band, band 2, duration, …)"),
        Field("limits", LIMITS, "the limits that hold instead, with their unit"),
        Field("authority", TEXT, "who granted it, and the paper that says so"),
    ),
)
OUT_TIME = Form(
    "an out-time",
    "Time out of the freezer up to the start of the cure.",
    (
        Field("used", quantity(TIME, "9.5 day"), "what was used"),
        Field("limit", quantity(TIME, "30 day"), "what may be used"),
    ),
)


def _concession(filled: Filled) -> Concession:
    return Concession(filled["clause"], filled["form"], filled["limits"], filled["authority"])


PART = Form(
    "a part",
    "One part of the load.",
    (
        Field("serial", TEXT, "its serial number, as text"),
        Field("number", TEXT, "its part number"),
        Field("revision", TEXT, "the revision of its drawing"),
        Field("lot", TEXT, "the lot of its material"),
        Field("bag", TEXT, "the bag that it is in"),
        Field("tool", TEXT, "the tool that it is on"),
        Field("specification", TEXT, "the specification that it follows"),
        Field("specification revision", TEXT, "and its revision"),
        Field("position", TEXT, "where it stands in the vessel", required=False),
        Field("out-time", OUT_TIME.kind(), "out-time used and its limit", required=False),
        Field(
            "attributes",
            table(ATTRIBUTE),
            "stated attributes: thickness, construction, a limit from planning",
            required=False,
        ),
        Field("concessions", items(CONCESSION.kind(_concession)), "limits changed by an authority", required=False),
        Field("earlier runs", items(FILE), "sealed verdicts of earlier runs of this part", required=False),
    ),
)
BAG = Form(
    "a bag",
    "A vacuum bag.",
    (Field("ports", items(TEXT), "the vacuum ports that it is connected to: source and transducer"),),
)
LINE = Form(
    "a line of the map",
    "One sensor, what it was for, and where it sat. A sensor that was re-plugged has two lines.",
    (
        Field("sensor", TEXT, "the sensor, as the vessel file names it", required=False),
        Field("jack", TEXT, "or the jack that the thermocouple is plugged into", required=False),
        Field("role", one_word_of(*ROLES), "what it is for"),
        Field("part", TEXT, "the serial of the part that it belongs to", required=False),
        Field("tool", TEXT, "or, for the role tool, the tool", required=False),
        Field("bag", one_or_more(TEXT), "the bag, or for a source the bags, that it belongs to", required=False),
        Field("place", TEXT, "where it sits: edge top, surveyed lagging, …", required=False),
        Field("position", TEXT, "the name that it has on this part (TC1)", required=False),
        Field("channel", TEXT, "the recorder channel, where it is not the one of the vessel file", required=False),
        Field("from", CLOCK_TIME, "from when it sat there; from before the run where left out", required=False),
        Field("until", CLOCK_TIME, "until when; to the end where left out", required=False),
        Field("by", TEXT, "by whose word, where it is not the author of the map", required=False),
    ),
)
LOAD = Form(
    "a load",
    "What was in the vessel, and which sensor sat where.",
    (
        Field("load", TEXT, "the run that this load sheet is for"),
        Field("vessel", TEXT, "the vessel that it is written for"),
        Field("parts", items(PART.kind()), "the parts"),
        Field("bags", table(BAG.kind()), "the bags by name"),
        Field("map by", TEXT, "the author of the map"),
        Field("map", items(LINE.kind()), "which sensor sat where, from when until when"),
    ),
)


def read_load(content: bytes, file: str, vessel: Vessel, clock: Clock, start: datetime | None = None) -> Load:
    """A load sheet; clock times become ns since the start of the run. Raises with file, line and column.

    What does not fit the vessel or the other papers is left as it stands for :func:`curewright.read.traceability.trace`.
    """
    filled = LOAD.of_file(content, file)
    lines = each(lambda line: _assignments(line, filled, vessel, clock, file), filled["map"])
    return Load(
        run=filled["load"],
        vessel=filled["vessel"],
        start=start,
        parts=tuple(_part(form) for form in filled["parts"]),
        bags=tuple(Bag(name, form["ports"], form.line) for name, form in filled["bags"]),
        map=tuple(assignment for line in lines for assignment in line),
        file=file,
    )


def _part(form: Filled) -> Part:
    out_time = form["out-time"]
    return Part(
        serial=form["serial"],
        number=form["number"],
        revision=form["revision"],
        lot=form["lot"],
        bag=form["bag"],
        tool=form["tool"],
        specification=form["specification"],
        specification_revision=form["specification revision"],
        attributes=form["attributes"] or (),
        out_time_used=out_time["used"] if out_time else None,
        out_time_limit=out_time["limit"] if out_time else None,
        concessions=form["concessions"] or (),
        position=form["position"] or "",
        earlier_runs=form["earlier runs"] or (),
        line=form.line,
    )


# -------------------------------------------------------------------------------------------------------------------- the map
def _assignments(form: Filled, load: Filled, vessel: Vessel, clock: Clock, file: str) -> tuple[Assignment, ...]:
    """One line of the map; a source that serves several bags makes one assignment for each."""
    sensor = _sensor(form, vessel)
    start = _instant(form["from"], clock, BEGINNING)
    end = _instant(form["until"], clock, ALWAYS)
    if end <= start:
        raise FileError("the line ends before it begins", where=form.place("until"), remedy="correct 'from' or 'until'")
    channels = {known.name: known.channel for known in vessel.sensors}
    return tuple(
        Assignment(
            sensor=sensor,
            channel=form["channel"] or channels.get(sensor, sensor),
            role=form["role"],
            thing=thing,
            place=form["place"] or "",
            start=start,
            end=end,
            author=form["by"] or load["map by"],
            position=form["position"] or sensor,
            line=form.line,
            file=file,
        )
        for thing in _things(form, vessel)
    )


def _instant(written: Written | None, clock: Clock, otherwise: int) -> int:
    return otherwise if written is None else clock.instant(written.text, written.place)


def _sensor(form: Filled, vessel: Vessel) -> str:
    if (form["sensor"] is None) == (form["jack"] is None):
        raise FileError("a line of the map names the sensor or the jack", expected="one of them", where=form.place())
    if form["sensor"] is not None:
        return str(form["sensor"])
    for port in vessel.ports:
        if port.kind == "thermocouple" and port.number == form["jack"] and port.sensor is not None:
            return port.sensor
    jacks = [port.number for port in vessel.ports if port.kind == "thermocouple" and port.sensor is not None]
    raise FileError(
        f"no sensor is behind the jack {form['jack']} in {vessel.file or 'the vessel file'}",
        expected=f"one of {', '.join(jacks)}" if jacks else "a port of the kind 'thermocouple' there",
        where=form.place("jack"),
        remedy="correct the jack, or name the 'sensor' itself",
    )


def _things(form: Filled, vessel: Vessel) -> tuple[str, ...]:
    """What the sensor belongs to: a part for what sits on it, a bag for a transducer, bags or the vessel for the rest."""
    role: str = form["role"]
    part, tool, bags = form["part"], form["tool"], form["bag"] or ()
    wrong: dict[str, Any] = {
        "where": form.place("role"),
        "remedy": "see docs/formats/load.md for what each role belongs to",
    }
    if role in PART_ROLES:
        owners = [owner for owner in (part, tool if role == "tool" else None) if owner is not None]
        if len(owners) != 1 or bags or (tool and role != "tool"):
            expected = "'part: …' or 'tool: …'" if role == "tool" else "'part: …'"
            raise FileError(
                f"a thermocouple for '{role}' belongs to one part", expected=f"{expected} and nothing else", **wrong
            )
        return (str(owners[0]),)
    if part is not None or tool is not None:
        raise FileError(
            f"a sensor for '{role}' belongs to no part or tool", expected="a bag, or nothing for the vessel", **wrong
        )
    if role in BAG_ROLES and len(bags) != 1:
        raise FileError(f"a sensor for '{role}' belongs to one bag", expected="'bag: …'", **wrong)
    return tuple(bags) or (vessel.name,)
