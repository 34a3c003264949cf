"""The layout of a recorder export: which bytes, lines and columns mean what. Written by its user; nothing in it is guessed."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from curewright.read.forms import (
    DURATION,
    TEXT,
    WHOLE_NUMBER,
    WRITTEN,
    Field,
    Filled,
    Form,
    Written,
    each,
    items,
    one_of,
    one_or_more,
)
from curewright.read.times import check_format, zone_named
from curewright.terms.errors import FileError, Place, UnitError
from curewright.terms.units import Unit, unit_named

if TYPE_CHECKING:
    from datetime import tzinfo

NOT_SAMPLED, LOST = "not sampled", "lost"
CONTINUOUS, STATE = "continuous", "state"


@dataclass(frozen=True)
class Column:
    """One column of an export. ``unit`` is None for states written as text; ``inside`` and ``open_numbers`` are in the unit."""

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


@dataclass(frozen=True)
class Layout:
    """How one recorder writes its exports."""

    name: str
    recorder: str
    encoding: str
    separator: str
    decimal_sign: str
    preamble: int
    header_rows: tuple[str, ...]  # what each holds: 'names' (once) or 'skipped'
    time_columns: tuple[str, ...]
    time_format: str
    zone: tzinfo | None  # None: each time carries its offset
    columns: tuple[Column, ...]
    not_read: tuple[str, ...] = ()
    file: str = ""


# ---------------------------------------------------------------------------------------------------------------- how it is read
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", ",": ",", ";": ";"}
DECIMAL_SIGNS = {"point": ".", "comma": ",", ".": ".", ",": ","}
UNIT_TODO = "'unit: degC' for instance; a pressure with its reference ('bar gauge', 'kPa absolute', 'inHg of vacuum'); it is never guessed"

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
        Field("channel", TEXT, "the channel's name, where it is not the heading (one column only)", required=False),
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
        Field("quality", QUALITY.kind(), "the column that says whether the value is good", required=False),
        Field("heartbeat", DURATION, "for a log on change: how often a value comes at least", required=False),
    ),
)
TIME = Form(
    "the time",
    "Where the time stands, how it is written, and in which zone.",
    (
        Field("columns", one_or_more(TEXT), "the heading of the time column, or of date and time"),
        Field("format", WRITTEN, "'iso', or the codes of POSIX strptime: '%d.%m.%Y %H:%M:%S'"),
        Field("zone", WRITTEN, "'Europe/Berlin', '+01:00', 'UTC', or 'in the text'; never guessed"),
    ),
)
LAYOUT = Form(
    "a layout",
    "How a recorder writes its exports.",
    (
        Field("layout", TEXT, "the name of the layout"),
        Field("recorder", TEXT, "the recorder, as the vessel file names it", required=False),
        Field("encoding", TEXT, "utf-8, cp1252, latin-1, utf-16, …"),
        Field("separator", one_of(*SEPARATORS), "what stands between cells"),
        Field("decimal sign", one_of(*DECIMAL_SIGNS), "point or comma"),
        Field("lines before the header", WHOLE_NUMBER, "how many lines come before the header"),
        Field(
            "header rows", one_or_more(one_of("names", "skipped")), "what each header row holds; one of them the names"
        ),
        Field("time", TIME.kind(), "the time column"),
        Field("blank means", one_of(NOT_SAMPLED, LOST), "what an empty cell means"),
        Field(
            "open codes",
            items(TEXT),
            "cells that stand for an open circuit, a fault or no value at all",
            required=False,
        ),
        Field("columns", items(COLUMNS.kind()), "the columns that are read, in groups"),
        Field("not read", items(TEXT), "columns that are left alone", required=False),
    ),
)


def read_layout(content: bytes, file: str) -> Layout:
    """A layout file. Raises with file, line and column; a column without a unit, or a pressure without its reference, is refused."""
    filled = LAYOUT.of_file(content, file)
    separator, sign = SEPARATORS[filled["separator"]], DECIMAL_SIGNS[filled["decimal sign"]]
    if separator == sign:
        raise FileError(
            "separator and decimal sign are the same",
            where=filled.place("decimal sign"),
            remedy="nobody can tell them apart",
        )
    if filled["header rows"].count("names") != 1:
        raise FileError(
            "the names do not stand in exactly one header row",
            where=filled.place("header rows"),
            expected="'names' once",
        )
    time = filled["time"]
    groups = each(lambda group: _columns(group, filled, sign), filled["columns"])
    columns = tuple(column for group in groups for column in group)
    _refuse_twice(columns)
    return Layout(
        name=filled["layout"],
        recorder=filled["recorder"] or "",
        encoding=filled["encoding"],
        separator=separator,
        decimal_sign=sign,
        preamble=filled["lines before the header"],
        header_rows=filled["header rows"],
        time_columns=time["columns"],
        time_format=check_format(time["format"].text, time["format"].place),
        zone=zone_named(time["zone"].text, time["zone"].place),
        columns=columns,
        not_read=filled["not read"] or (),
        file=file,
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
