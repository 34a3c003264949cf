"""Hand-written sheets as tables (CSV or Excel): one row an entry, its columns the fields of an entry. A leak-check sheet is one of them.

The headings are the fields of :data:`curewright.read.entries.ENTRY`, or the words that stand on such sheets for them (start, end, person,
reading at the start, reading at the end). A unit may stand in the heading in brackets, ``reading at the start [inHg of vacuum]``; no
unit is guessed. A row with a reading at its end is a leak check.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.entries import ENTRY, KINDS, entries_of
from curewright.read.sheet import rows_of
from curewright.terms.errors import FileError, Place, each
from curewright.text.near import did_you_mean
from curewright.text.yaml import Mapping, Scalar

if TYPE_CHECKING:
    from curewright.read.times import Clock
    from curewright.terms.run import Entry

WORDS = {
    "start": "at",
    "time": "at",
    "end": "until",
    "person": "by",
    "reading at the start": "value",
    "first reading": "value",
    "reading at the end": "value at the end",
    "second reading": "value at the end",
    "reading plus or minus": "value plus or minus",
    "place": "leak check",
    "remark": "text",
    "remarks": "text",
}
FIELDS = tuple(field.name for field in ENTRY.fields)
SHEET_SAYS = "leak-check sheet"


def read_entry_sheet(content: bytes, file: str, clock: Clock) -> tuple[Entry, ...]:
    """The entries of a sheet (CSV in UTF-8, comma or semicolon; or the only sheet of a workbook).

    Raises with file, line and column for everything that cannot be read at once.
    """
    rows = rows_of(content, file)
    header = next(rows, None)
    if header is None:
        raise FileError("the sheet is empty", where=Place(file), expected="headings, and a row for each entry")
    fields = [_field(cell, where) for cell, where in header[1]]
    _refuse_doubled(fields, Place(file, header[0]))
    found = each(lambda row: entries_of(ENTRY.read(_row(fields, row[1], Place(file, row[0]))), clock, file), rows)
    return tuple(entry for entries in found for entry in entries)


def _field(heading: str, where: Place) -> tuple[str, str, Place]:
    """(field, unit in the heading, where); '' for a column without a heading."""
    name, _, unit = heading.partition("[")
    bare = " ".join(name.lower().split())
    field = WORDS.get(bare, bare)
    if bare and field not in FIELDS:
        known = (*FIELDS, *WORDS)
        raise FileError(
            f"'{heading}' is no column of a sheet of entries",
            where=where,
            expected="a field of an entry (docs/formats/entries.md), or " + ", ".join(WORDS),
            remedy=did_you_mean(bare, list(known)),
        )
    return field, unit.rstrip("] "), where


def _refuse_doubled(fields: list[tuple[str, str, Place]], where: Place) -> None:
    names = [name for name, _, _ in fields if name]
    for name in names:
        if names.count(name) > 1:
            raise FileError(f"two columns stand for '{name}'", where=where, remedy="delete or rename one")


def _row(fields: list[tuple[str, str, Place]], cells: list[tuple[str, Place]], where: Place) -> Mapping:
    """A row as the mapping that it would be in an entries file; blank cells are left out."""
    items = []
    for n, (cell, place) in enumerate(cells):
        field, unit, _ = fields[n] if n < len(fields) else ("", "", place)
        if not cell:
            continue
        if not field:
            raise FileError(
                f"'{cell}' stands in a column without a heading", where=place, remedy="give it one, or delete it"
            )
        items.append((Scalar(field, place), Scalar(f"{cell} {unit}".strip(), place)))
    named = {key.text for key, _ in items}
    if "value at the end" in named and not named & set(KINDS):
        items.append((Scalar("leak check", where), Scalar(SHEET_SAYS, where)))
    return Mapping(tuple(items), where)
