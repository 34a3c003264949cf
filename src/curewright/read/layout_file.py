"""A layout file to a layout. What is contradictory, unanswered or unclear is refused with file, line and column."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction
from math import isfinite, lcm
from typing import TYPE_CHECKING

from curewright.read.header import NAMES, Header
from curewright.read.layout import (
    DECIMAL_SIGNS,
    IN_QUOTES,
    LONG,
    NEWEST_FIRST,
    NONE,
    OPEN,
    SEPARATORS,
    STATE,
    THOUSANDS,
    WORKBOOK,
    Column,
    Layout,
    refuse_other_units,
)
from curewright.read.layout_form import LAYOUT
from curewright.read.times import TimeOfExport, check_format, zone_named
from curewright.terms.errors import CurewrightError, FileError, Place, UnitError, each, raise_all
from curewright.terms.units import Unit, unit_named
from curewright.text.yaml import Mapping, Scalar, Sequence, read_bytes

if TYPE_CHECKING:
    from datetime import tzinfo

    from curewright.read.forms import Filled, Written
    from curewright.text.yaml import Node

UNIT_TODO = "'unit: degC' for instance; a pressure with its reference ('bar gauge', 'kPa absolute', 'inHg of vacuum'); it is never guessed"


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
        recorder="" if filled["recorder"] in (None, NONE) else filled["recorder"],
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
        elif node.text == OPEN:  # a code or a text that is good and reads '?' stands in a list
            places.append((name, node.place))

    look(root, "")
    errors: list[CurewrightError] = [
        FileError(
            f"'{name}' is still a question", where=place, remedy="answer it: what stands behind '#' says what is asked"
        )
        for name, place in places
    ]
    raise_all(errors)


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
