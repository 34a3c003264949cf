"""What people wrote down by hand: events, readings, leak checks, inspections, the alarm log and the operator's log."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.forms import (
    CLOCK_TIME,
    DIFFERENCE,
    DURATION,
    PROSE,
    TEXT,
    Field,
    Filled,
    Form,
    Kind,
    items,
    one_or_more,
)
from curewright.terms.errors import FileError, UnitError, each
from curewright.terms.run import Entry
from curewright.text import fields as text_fields
from curewright.text.quantities import PRESSURE, TEMPERATURE

if TYPE_CHECKING:
    from curewright.read.times import Clock
    from curewright.terms.units import Quantity
    from curewright.text.yaml import Node

RUN = "run"
KINDS = ("event", "reading", "leak check", "inspection", "alarm", "log")


def _reading(node: Node) -> Quantity:
    """A temperature or a pressure with its unit."""
    try:
        return text_fields.quantity(TEMPERATURE)(node)
    except UnitError as error:
        try:
            return text_fields.quantity(PRESSURE)(node)
        except UnitError as other:
            raise (other if "reference" in str(other) else error) from None


READING = Kind(_reading, {"type": "string", "examples": ["26.0 inHg of vacuum", "174.8 degC"]})
ENTRY = Form(
    "an entry",
    "One thing that a person wrote down. It is exactly one of event, reading, leak check, inspection, alarm or log.",
    (
        Field("event", TEXT, "an event, named as in the specification (source closed)", required=False),
        Field("reading", TEXT, "what was read", required=False),
        Field(
            "leak check",
            TEXT,
            "a leak check with its two readings: where it was done (bench, in the vessel)",
            required=False,
        ),
        Field("inspection", TEXT, "what was inspected", required=False),
        Field("alarm", TEXT, "the alarm, as it was worded", required=False),
        Field("log", PROSE, "a line of the operator's log", required=False),
        Field("part", one_or_more(TEXT), "the part it is about", required=False),
        Field("bag", one_or_more(TEXT), "or the bag", required=False),
        Field("sensor", one_or_more(TEXT), "or the sensor; the run where none of them is named", required=False),
        Field("at", CLOCK_TIME, "when"),
        Field("until", CLOCK_TIME, "until when, for a stretch", required=False),
        Field("plus or minus", DURATION, "how uncertain the times are"),
        Field("by", TEXT, "who wrote it"),
        Field("gauge", TEXT, "the gauge that was read", required=False),
        Field("value", READING, "the value read, with unit and reference", required=False),
        Field("value at the end", READING, "the second reading of a leak check", required=False),
        Field("value plus or minus", DIFFERENCE, "how uncertain a value is", required=False),
        Field("text", PROSE, "anything else that was written", required=False),
    ),
)
ENTRIES = Form(
    "hand entries", "What people wrote down during a run.", (Field("entries", items(ENTRY.kind()), "the entries"),)
)


def read_entries(content: bytes, file: str, clock: Clock) -> tuple[Entry, ...]:
    """Hand entries with times in ns since the start of the run. A leak check gives its stretch and its two readings.

    Values are in grains; a vacuum is kept as negative gauge, like a recorded one. Raises with file, line and column.
    """
    filled = ENTRIES.of_file(content, file)
    groups = each(lambda form: entries_of(form, clock, file), filled["entries"])
    return tuple(entry for group in groups for entry in group)


def entries_of(form: Filled, clock: Clock, file: str) -> tuple[Entry, ...]:
    """The entries that one filled form makes: one for each thing it is about; a leak check also gives its two readings."""
    kind = _kind(form)
    at = clock.instant(form["at"].text, form["at"].place)
    until = None if form["until"] is None else clock.instant(form["until"].text, form["until"].place)
    if until is not None and until < at:
        raise FileError("the entry ends before it begins", where=form.place("until"), remedy="correct 'at' or 'until'")
    _refuse_missing(form, kind)
    made = []
    for thing in _things(form):
        made.append(_entry(form, kind, thing, at, until, None if kind == "leak check" else form["value"], file))
        if kind == "leak check" and until is not None:
            made.append(_entry(form, "reading", thing, at, None, form["value"], file, "start of the leak check"))
            made.append(
                _entry(form, "reading", thing, until, None, form["value at the end"], file, "end of the leak check")
            )
    return tuple(made)


def _kind(form: Filled) -> str:
    written = [kind for kind in KINDS if form[kind] is not None]
    if len(written) != 1:
        found = f"an entry that is {' and '.join(written)}" if written else "an entry that does not say what it is"
        raise FileError(found, expected="exactly one of " + ", ".join(KINDS), where=form.place())
    return written[0]


def _refuse_missing(form: Filled, kind: str) -> None:
    """A reading has a value and a gauge; a leak check has both values, a gauge and an end; nothing else has a second value."""
    needed = {"reading": ("value", "gauge"), "leak check": ("value", "value at the end", "gauge", "until")}.get(
        kind, ()
    )
    for name in needed:
        if form[name] is None:
            raise FileError(f"a {kind} without '{name}'", expected=f"'{name}: …'", where=form.place())
    if kind != "leak check" and form["value at the end"] is not None:
        raise FileError(
            "a second value", expected="'value at the end' in a leak check only", where=form.place("value at the end")
        )
    _refuse_doubt(form)
    if kind not in ("reading", "leak check") and form["value"] is not None:
        raise FileError(
            f"a value in an entry of the kind '{kind}'", expected="a reading of its own", where=form.place("value")
        )


def _refuse_doubt(form: Filled) -> None:
    """An uncertainty belongs to a value, of the same quantity, and has no sign."""
    doubt, value = form["value plus or minus"], form["value"]
    if doubt is None:
        return
    where = form.place("value plus or minus")
    if value is None:
        raise FileError("an uncertainty without a value", expected="'value: …' beside it", where=where)
    if not doubt.unit.quantity.startswith(value.unit.quantity):
        raise FileError(
            f"a {value.unit.quantity} that is uncertain by a {doubt.unit.quantity}",
            expected=f"a difference of {value.unit.quantity}",
            where=where,
        )
    if doubt.grains < 0:
        raise FileError("an uncertainty below nothing", expected="0 or more", where=where)


def _things(form: Filled) -> tuple[str, ...]:
    written = [name for name in ("part", "bag", "sensor") if form[name] is not None]
    if len(written) > 1:
        raise FileError(
            f"an entry about {' and '.join(written)}",
            expected="one of them",
            where=form.place(),
            remedy="write two entries",
        )
    return tuple(form[written[0]]) if written else (RUN,)


def _entry(
    form: Filled, kind: str, thing: str, at: int, until: int | None, value: Quantity | None, file: str, text: str = ""
) -> Entry:
    worded = form[kind] if kind in form.written() else text
    doubt: Quantity | None = form["value plus or minus"]
    return Entry(
        name=worded if kind == "event" else kind,
        thing=thing,
        at=at,
        until=until,
        plus_minus=form["plus or minus"],
        person=form["by"],
        text="; ".join(words for words in ("" if kind == "event" else worded, form["text"]) if words),
        value=None if value is None else _grains(value),
        unit=value.unit if value else None,
        value_plus_minus=doubt.grains if doubt and value else None,
        gauge=form["gauge"] or "",
        file=file,
        line=form.line,
    )


def _grains(value: Quantity) -> float:
    return -value.grains if value.unit.reference == "vacuum" else value.grains
