"""What a layout file may hold: the form that reads it, and that its JSON Schema is made from."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.read.forms import (
    DURATION,
    NAME,
    TEXT,
    WHOLE_NUMBER,
    WRITTEN,
    Field,
    Form,
    Kind,
    items,
    one_of,
    one_or_more,
)
from curewright.read.header import NAMES, SKIPPED, UNITS
from curewright.read.layout import (
    ANY,
    CONTINUOUS,
    DECIMAL_SIGNS,
    LONG,
    LOST,
    NEWEST_FIRST,
    NONE,
    NOT_SAMPLED,
    OLDEST_FIRST,
    SEPARATORS,
    STATE,
    THOUSANDS,
    WIDE,
)
from curewright.terms.errors import FileError
from curewright.text import fields as text_fields
from curewright.text.yaml import Scalar

if TYPE_CHECKING:
    from curewright.text.yaml import Node


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


def _codes(node: Node) -> tuple[str, ...]:
    """A list of texts, or ``none``."""
    if isinstance(node, Scalar) and node.text == NONE:
        return ()
    return text_fields.items(text_fields.text)(node)


DECIMAL = Kind(_decimal, NAME)
CODES = Kind(_codes, {"anyOf": [{"const": NONE}, {"type": "array", "items": TEXT.schema}]})
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
        Field(
            "recorder", TEXT, "the recorder, as the vessel file names it; 'none' where nobody knows it", required=False
        ),
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
            CODES,
            "cells that stand for an open circuit, a fault or no value at all; 'none' where there are none",
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
