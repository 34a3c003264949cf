"""The layout of a recorder export: which bytes, lines and columns mean what. Nothing in it is guessed.

A person writes it, or Curewright proposes it from an export (:mod:`curewright.read.propose`) and a person answers what is left open
and confirms it. A proposed layout is bound to the header that it was made from. :mod:`curewright.read.layout_file` reads it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.read.header_units import in_heading, stated
from curewright.read.plain import CELL
from curewright.read.times import TimeOfExport
from curewright.terms.errors import FileError, Place, UnitError

if TYPE_CHECKING:
    from datetime import tzinfo

    from curewright.read.forms import Filled
    from curewright.read.header import Header
    from curewright.terms.units import Unit

NOT_SAMPLED, LOST = "not sampled", "lost"
FROM_THE_TEXT = TimeOfExport()
CONTINUOUS, STATE = "continuous", "state"
WIDE, LONG = "wide", "long"
OLDEST_FIRST, NEWEST_FIRST = "oldest first", "newest first"
ANY = "any"
FROM_THE_FILE_NAME = "from the file name"
OPEN = "?"  # an answer that nobody has given yet
WORKBOOK = "workbook"
NONE = "none"  # nobody knows it, or there is none
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
