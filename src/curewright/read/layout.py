"""The layout of a recorder export: which bytes, lines and columns mean what. Nothing in it is guessed.

A person writes it, or Curewright proposes it from an export (:mod:`curewright.read.propose`) and a person answers what is left open
and confirms it. A proposed layout is bound to the header that it was made from.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import isfinite, lcm
from typing import TYPE_CHECKING

from curewright.read.forms import (
    DURATION,
    NAME,
    TEXT,
    WHOLE_NUMBER,
    WRITTEN,
    Field,
    Filled,
    Form,
    Kind,
    Written,
    each,
    items,
    one_of,
    one_or_more,
)
from curewright.read.header import NAMES, SKIPPED, UNITS, Header
from curewright.read.header_units import in_heading, stated
from curewright.read.plain import CELL
from curewright.read.times import TimeOfExport, check_format, zone_named
from curewright.terms.errors import CurewrightError, Errors, FileError, Place, UnitError
from curewright.terms.units import Unit, unit_named
from curewright.text import fields as text_fields
from curewright.text.yaml import Mapping, Scalar, Sequence, read_bytes

if TYPE_CHECKING:
    from datetime import tzinfo

    from curewright.text.yaml import Node

NOT_SAMPLED, LOST = "not sampled", "lost"
FROM_THE_TEXT = TimeOfExport()
CONTINUOUS, STATE = "continuous", "state"
WIDE, LONG = "wide", "long"
OLDEST_FIRST, NEWEST_FIRST = "oldest first", "newest first"
ANY = "any"
FROM_THE_FILE_NAME = "from the file name"
OPEN = "?"  # an answer that nobody has given yet
WORKBOOK = "workbook"


@dataclass(frozen=True)
class Column:
    """One column of an export (or one tag of a long one). ``unit`` is None for states written as text.

    ``open_numbers`` are as written; ``inside`` is in the unit. A number in the unit is ``(written * a + b) / c`` with ``scaled`` (a, b, c).
    """

    heading: str
    channel: str
    kind: str
    unit: Unit | None
    blank: str
    decimal_sign: str = "."
    open_codes: tuple[str, ...] = ()
    open_numbers: tuple[float, ...] = ()
    inside: tuple[float, float] | None = None
    quality: str = ""
    good: tuple[str, ...] = ()
    heartbeat: int | None = None  # ns
    place: Place | None = None
    scaled: tuple[float, float, float] = (1.0, 0.0, 1.0)


@dataclass(frozen=True)
class Layout:
    """How one recorder writes its exports.

    ``preamble`` is None where the header is looked for; ``confirmed_by`` is None where a person wrote the layout, and '' while nobody
    has confirmed a proposed one.
    """

    name: str
    recorder: str
    encoding: str
    separator: str
    decimal_sign: str
    preamble: int | None
    header_rows: tuple[str, ...]  # what each holds: 'names', 'units' or 'skipped'
    time_columns: tuple[str, ...]
    time_format: str
    zone: tzinfo | None  # None: each time carries its offset
    columns: tuple[Column, ...]
    not_read: tuple[str, ...] = ()
    file: str = ""
    tag: str = ""  # long: the column that says which channel a row is about
    value: str = ""  # long: the column of the values
    unit_column: str = ""  # long: the column that says the unit of each row
    header: Header | None = None  # what the layout was confirmed for
    left_out: tuple[str, ...] = ()  # lines that begin so are no rows
    newest_first: bool = False
    thousands: str = ""
    time: TimeOfExport = FROM_THE_TEXT
    sheet: str = ""
    widths: tuple[int, ...] = ()
    confirmed_by: str | None = None
    answers: Filled | None = None

    @property
    def long(self) -> bool:
        """Whether each row is one value of one channel."""
        return bool(self.tag)

    def refuse_unconfirmed(self) -> None:
        """Raises :class:`FileError` for a proposed layout that nobody has confirmed yet."""
        if self.confirmed_by == "":
            raise FileError(
                "this layout was proposed and nobody has confirmed it",
                where=Place(self.file),
                remedy="look at each line beside the export, then write your name behind 'confirmed by:'",
            )


# ---------------------------------------------------------------------------------------------------------------- how it is read
SEPARATORS = {
    "comma": ",",
    "semicolon": ";",
    "tab": "\t",
    "bar": "|",
    "blanks": " ",
    "fixed widths": CELL,
    "cells": CELL,
    ",": ",",
    ";": ";",
}
THOUSANDS = {"point": ".", "comma": ",", "blank": " ", "apostrophe": "'"}
IN_QUOTES = "comma in quotes"
DECIMAL_SIGNS = {"point": ".", "comma": ",", IN_QUOTES: ",", ".": ".", ",": ","}
UNIT_TODO = "'unit: degC' for instance; a pressure with its reference ('bar gauge', 'kPa absolute', 'inHg of vacuum'); it is never guessed"


def _decimal(node: Node) -> Decimal:
    """A plain decimal number."""
    text = text_fields.text(node)
    if re.fullmatch(r"-?\d+(\.\d+)?", text) is None:
        raise FileError(f"'{text}'", expected="a decimal number such as 0.1", where=node.place)
    return Decimal(text)


def _lines_before(node: Node) -> int | None:
    """A whole number, or ``any`` (None)."""
    if isinstance(node, Scalar) and node.text == ANY:
        return None
    return text_fields.whole_number(node)


def _perhaps(node: Node) -> str:
    """A text that may still be blank."""
    if isinstance(node, Scalar) and not node.text.strip():
        return ""
    return text_fields.text(node)


def _cell(node: Node) -> str:
    """A text that may be empty."""
    if not isinstance(node, Scalar):
        raise FileError("a list or a mapping", expected="a text", where=node.place)
    return node.text


DECIMAL = Kind(_decimal, NAME)
LINES_BEFORE = Kind(_lines_before, {"anyOf": [{"type": "integer", "minimum": 0}, {"const": ANY}]})
PERHAPS = Kind(_perhaps, {"type": ["string", "number", "null"]})
CELL_TEXT = Kind(_cell, {"type": ["string", "number", "null"]})
QUALITY = Form(
    "a quality column",
    "A column that says whether the values beside it are good.",
    (
        Field("column", TEXT, "its heading"),
        Field("good", one_or_more(TEXT), "the texts that mean a good value; every other one makes it bad"),
    ),
)
COLUMNS = Form(
    "a group of columns",
    "Columns that are recorded alike.",
    (
        Field("columns", one_or_more(WRITTEN), "their headings in the export"),
        Field(
            "channel",
            TEXT,
            "the channel's name, where it is not the heading (one column only); or 'from the file name'",
            required=False,
        ),
        Field(
            "unit",
            WRITTEN,
            "the unit, a pressure with its reference, a vacuum with its sense; left out for states",
            required=False,
        ),
        Field(
            "kind", one_of(CONTINUOUS, STATE), "continuous (linear between samples) or state (holds until the next one)"
        ),
        Field(
            "blank means",
            one_of(NOT_SAMPLED, LOST),
            "what an empty cell means, where it differs from the whole file's",
            required=False,
        ),
        Field("open codes", items(TEXT), "further cells that stand for an open circuit or a fault", required=False),
        Field(
            "bad outside",
            WRITTEN,
            "the range outside of which a number is no value, '-20 to 400', in the unit",
            required=False,
        ),
        Field("scale", DECIMAL, "what a written number is multiplied by: 0.1 for tenths", required=False),
        Field("offset", DECIMAL, "what is added after that, in the unit", required=False),
        Field("quality", QUALITY.kind(), "the column that says whether the value is good", required=False),
        Field("heartbeat", DURATION, "for a log on change: how often a value comes at least", required=False),
    ),
)
TIME = Form(
    "the time",
    "Where the time stands, how it is written, and in which zone.",
    (
        Field("columns", one_or_more(TEXT), "the heading of the time column, or of date and time"),
        Field(
            "format",
            WRITTEN,
            "'iso'; the codes of POSIX strptime ('%d.%m.%Y %H:%M:%S'); 'elapsed h:mm:ss', 'elapsed s', 'elapsed min', 'elapsed h'; "
            "'epoch s', 'epoch ms'; 'excel days'",
        ),
        Field("zone", WRITTEN, "'Europe/Berlin', '+01:00', 'UTC', or 'in the text'; never guessed"),
        Field(
            "start",
            WRITTEN,
            "for elapsed times: when they were nought; for times of day without a date: the date of the first row",
            required=False,
        ),
        Field("start after", TEXT, "the start stands in a line before the header, behind this text", required=False),
        Field("start format", WRITTEN, "how it is written there; 'iso' where left out", required=False),
    ),
)
HEADER = Form(
    "the header",
    "The header that the layout was confirmed for. An export with another one is refused.",
    (
        Field("names", items(CELL_TEXT), "the names of the columns in their order"),
        Field("units", items(CELL_TEXT), "the row of units under them", required=False),
        Field("fingerprint", TEXT, "SHA-256 of both"),
    ),
)
LAYOUT = Form(
    "a layout",
    "How a recorder writes its exports.",
    (
        Field("layout", TEXT, "the name of the layout"),
        Field("recorder", TEXT, "the recorder, as the vessel file names it", required=False),
        Field("encoding", TEXT, "utf-8, cp1252, latin-1, utf-16, …; 'workbook' for an Excel file"),
        Field("sheet", TEXT, "the sheet of a workbook, where it has several", required=False),
        Field("separator", one_of(*SEPARATORS), "what stands between cells; 'cells' in a workbook"),
        Field("widths", items(WHOLE_NUMBER), "how wide each column is, for 'fixed widths'", required=False),
        Field(
            "decimal sign", one_of(*DECIMAL_SIGNS), "point or comma; 'comma in quotes' where commas also part the cells"
        ),
        Field("thousands separator", one_of(*THOUSANDS), "what stands between thousands, if anything", required=False),
        Field(
            "shape", one_of(WIDE, LONG), "wide (a column for each channel) or long (one value in a row)", required=False
        ),
        Field("tag column", TEXT, "long: the column that names the channel", required=False),
        Field("value column", TEXT, "long: the column of the values", required=False),
        Field(
            "unit column",
            TEXT,
            "long: the column that states the unit of each row; it is held against 'unit'",
            required=False,
        ),
        Field(
            "lines before the header",
            LINES_BEFORE,
            "how many lines come before the header; 'any' where it is looked for",
        ),
        Field(
            "header rows",
            one_or_more(one_of(NAMES, UNITS, SKIPPED)),
            "what each header row holds: the names (several such rows are joined), the units, or what is skipped; [] for no header",
        ),
        Field("header", HEADER.kind(), "the header that the layout was confirmed for", required=False),
        Field("lines left out", items(TEXT), "lines that begin so are no rows; they are counted", required=False),
        Field("order", one_of(OLDEST_FIRST, NEWEST_FIRST), "of the rows; oldest first where left out", required=False),
        Field("time", TIME.kind(), "the time column"),
        Field("blank means", one_of(NOT_SAMPLED, LOST), "what an empty cell means"),
        Field(
            "open codes",
            items(TEXT),
            "cells that stand for an open circuit, a fault or no value at all",
            required=False,
        ),
        Field("columns", items(COLUMNS.kind()), "the columns that are read, in groups"),
        Field("not read", items(TEXT), "columns (or tags) that are left alone", required=False),
        Field("proposed from", TEXT, "the export that Curewright proposed the layout from", required=False),
        Field(
            "confirmed by",
            PERHAPS,
            "who confirmed a proposed layout; the person's name, needed to judge",
            required=False,
        ),
    ),
)


def read_layout(content: bytes, file: str) -> Layout:
    """A layout file. Raises with file, line and column; a column without a unit, or a pressure without its reference, is refused."""
    root = read_bytes(content, file)
    _refuse_open(root)
    filled = LAYOUT.read(root)
    separator, sign = SEPARATORS[filled["separator"]], DECIMAL_SIGNS[filled["decimal sign"]]
    thousands = THOUSANDS[filled["thousands separator"]] if filled["thousands separator"] else ""
    _refuse_unclear(filled, separator, sign, thousands)
    groups = each(lambda group: _columns(group, filled, sign), filled["columns"])
    columns = tuple(column for group in groups for column in group)
    _refuse_twice(columns)
    header = _header(filled)
    if header is not None:
        refuse_other_units(header, columns)
    time = filled["time"]
    time_format, zone, stated = time_of(time)
    proposed = filled["proposed from"] is not None or filled["confirmed by"] is not None
    return Layout(
        name=filled["layout"],
        recorder=filled["recorder"] or "",
        encoding=filled["encoding"],
        separator=separator,
        decimal_sign=sign,
        preamble=filled["lines before the header"],
        header_rows=filled["header rows"],
        time_columns=time["columns"],
        time_format=time_format,
        zone=zone,
        columns=columns,
        not_read=filled["not read"] or (),
        file=file,
        tag=filled["tag column"] or "",
        value=filled["value column"] or "",
        unit_column=filled["unit column"] or "",
        header=header,
        left_out=filled["lines left out"] or (),
        newest_first=filled["order"] == NEWEST_FIRST,
        thousands=thousands,
        time=stated,
        sheet=filled["sheet"] or "",
        widths=filled["widths"] or (),
        confirmed_by=(filled["confirmed by"] or "") if proposed else None,
        answers=filled,
    )


def time_of(time: Filled) -> tuple[str, tzinfo | None, TimeOfExport]:
    """Format, zone and stated start of a filled :data:`TIME`. Raises for a format that fixes no instant, and for an unknown zone."""
    form = time["start format"].text if time["start format"] else "iso"
    stated = TimeOfExport(time["start"], time["start after"] or "", form)
    time_format = check_format(time["format"].text, time["format"].place, dated=not stated.given)
    return time_format, zone_named(time["zone"].text, time["zone"].place), stated


def _refuse_open(root: Node) -> None:
    """Refuses every value that is still a question mark, all at once: what nobody has answered is not guessed."""
    places: list[tuple[str, Place]] = []

    def look(node: Node, name: str) -> None:
        if isinstance(node, Mapping):
            for key, value in node.items:
                look(value, key.text)
        elif isinstance(node, Sequence):
            for item in node.items:
                if not isinstance(item, Scalar):  # in a list it is a text of the export
                    look(item, name)
        elif node.text == OPEN and name not in ("open codes", "good"):
            places.append((name, node.place))

    look(root, "")
    errors: list[CurewrightError] = [
        FileError(
            f"'{name}' is still a question", where=place, remedy="answer it: what stands behind '#' says what is asked"
        )
        for name, place in places
    ]
    if errors:
        raise errors[0] if len(errors) == 1 else Errors(tuple(errors))


def _refuse_unclear(filled: Filled, separator: str, sign: str, thousands: str) -> None:
    if (separator == sign) != (filled["decimal sign"] == IN_QUOTES):
        raise FileError(
            "separator and decimal sign are the same",
            where=filled.place("decimal sign"),
            remedy="nobody can tell them apart",
        )
    if thousands and thousands in (separator, sign):
        raise FileError(
            "the thousands separator is the decimal sign or the separator",
            where=filled.place("thousands separator"),
            remedy="nobody can tell them apart",
        )
    if filled["header rows"] and NAMES not in filled["header rows"]:
        raise FileError(
            "the names do not stand in exactly one header row",
            where=filled.place("header rows"),
            expected="'names' once",
        )
    if filled["lines before the header"] is None and not filled["header rows"]:
        raise FileError(
            "a header that is not there cannot be looked for",
            where=filled.place("lines before the header"),
            expected="a number of lines",
        )
    if (filled["shape"] == LONG) != bool(filled["tag column"]) or bool(filled["tag column"]) != bool(
        filled["value column"]
    ):
        raise FileError(
            "'shape: long', 'tag column' and 'value column' belong together",
            where=filled.place("shape"),
            expected="all three, or none of them",
        )
    if (filled["separator"] == "fixed widths") != bool(filled["widths"]):
        raise FileError(
            "'separator: fixed widths' and 'widths' belong together",
            where=filled.place("separator"),
            expected="both or neither",
        )
    if (filled["separator"] == "cells") != (filled["encoding"] == WORKBOOK):
        raise FileError(
            "'encoding: workbook' and 'separator: cells' belong together",
            where=filled.place("separator"),
            expected="both or neither",
        )


def _header(filled: Filled) -> Header | None:
    written: Filled | None = filled["header"]
    if written is None:
        if filled["proposed from"] is not None:
            raise FileError(
                "a proposed layout without its 'header'",
                where=filled.place(),
                expected="the header that it was proposed for",
            )
        return None
    header = Header(written["names"], written["units"] or ())
    if header.fingerprint != written["fingerprint"]:
        raise FileError(
            "the fingerprint is not that of the names and units beside it",
            where=written.place("fingerprint"),
            expected=header.fingerprint,
            remedy="propose the layout anew from an export, with 'curewright layout'; do not mend the header by hand",
        )
    return header


def refuse_other_units(header: Header, columns: tuple[Column, ...]) -> None:
    """Raises :class:`UnitError` for a column whose header says one unit and whose layout another; one that is scaled is left alone."""
    for column in columns:
        if column.heading in header.names:
            text = header.unit_of(column.heading) or in_heading(column.heading)
            refuse_other_unit(column, text, f"the header says '{text}' of the column '{column.heading}'")


def refuse_other_unit(column: Column, text: str, says: str) -> None:
    """Raises :class:`UnitError` where a text states a unit and the layout has another; ``says``: who says it."""
    name, choices = stated(text) if text else ("", ())
    if column.unit is None or column.scaled != (1.0, 0.0, 1.0) or not (name or choices):
        return
    if column.unit.name not in (name, *choices):
        raise UnitError(
            f"{says} and the layout '{column.unit.name}'",
            expected=" or ".join(f"'{one}'" for one in (name, *choices) if one),
            where=column.place,
            remedy="find out which is wrong; where it is the header, leave out 'header:' and call the row of units 'skipped'",
        )


def _columns(group: Filled, layout: Filled, sign: str) -> tuple[Column, ...]:
    headings: tuple[Written, ...] = group["columns"]
    if group["channel"] and len(headings) > 1:
        raise FileError(
            "one channel for several columns",
            where=group.place("channel"),
            remedy="give each column a group of its own",
        )
    unit = _unit(group, headings)
    codes = tuple(dict.fromkeys((*(layout["open codes"] or ()), *(group["open codes"] or ()))))
    quality = group["quality"]
    return tuple(
        Column(
            heading=heading.text,
            channel=group["channel"] or heading.text,
            kind=group["kind"],
            unit=unit,
            blank=group["blank means"] or layout["blank means"],
            decimal_sign=sign,
            open_codes=codes,
            open_numbers=_numbers(codes, sign),
            inside=_inside(group, unit),
            quality=quality["column"] if quality else "",
            good=quality["good"] if quality else (),
            heartbeat=group["heartbeat"],
            place=heading.place,
            scaled=_scaled(group, unit),
        )
        for heading in headings
    )


def _unit(group: Filled, headings: tuple[Written, ...]) -> Unit | None:
    """The unit that was written; None for states as text. Raises :class:`UnitError` that names the columns."""
    named = ", ".join(f"'{heading.text}'" for heading in headings)
    written: Written | None = group["unit"]
    if written is None:
        if group["kind"] == STATE:
            return None
        raise UnitError(f"the column {named} has no unit", where=headings[0].place, remedy=f"write {UNIT_TODO}")
    try:
        unit = unit_named(written.text)
    except UnitError as error:
        raise UnitError(
            f"the column {named}: {error.found}", expected=error.expected, where=written.place, remedy=error.remedy
        ) from None
    return unit


def _scaled(group: Filled, unit: Unit | None) -> tuple[float, float, float]:
    """(a, b, c) of ``(written * a + b) / c``, whole numbers, so that a whole number written comes out correctly rounded."""
    scale, offset = group["scale"], group["offset"]
    if scale is None and offset is None:
        return 1.0, 0.0, 1.0
    if unit is None or scale == 0:
        raise FileError(
            "a scale of nought, or one for texts",
            where=group.place("scale"),
            expected="a decimal number, for a column with a unit",
        )
    a, b = Fraction(scale or 1), Fraction(offset or 0)
    c = lcm(a.denominator, b.denominator)
    return float(a * c), float(b * c), float(c)


def _numbers(codes: tuple[str, ...], sign: str) -> tuple[float, ...]:
    """The codes that are numbers: they are met by value, however many noughts the recorder writes."""
    found = []
    for code in codes:
        with suppress(ValueError):
            found.append(float(code.replace(sign, ".")))
    return tuple(number for number in found if isfinite(number))


def _inside(group: Filled, unit: Unit | None) -> tuple[float, float] | None:
    written: Written | None = group["bad outside"]
    if written is None:
        return None
    match = re.fullmatch(r"(-?\d+(?:\.\d+)?) to (-?\d+(?:\.\d+)?)", written.text)
    if match is None or unit is None or float(match[1]) >= float(match[2]):
        expected = "two numbers in the column's unit, the lower one first, such as '-20 to 400'"
        raise FileError(f"'{written.text}'", expected=expected, where=written.place)
    return float(match[1]), float(match[2])


def _refuse_twice(columns: tuple[Column, ...]) -> None:
    for what, named in (("column", "heading"), ("channel", "channel")):
        seen: dict[str, Column] = {}
        for column in columns:
            name = getattr(column, named)
            if name in seen:
                remedy = f"first at {seen[name].place}; delete one"
                raise FileError(f"the {what} '{name}' is described twice", where=column.place, remedy=remedy)
            seen[name] = column
