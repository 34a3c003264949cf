"""The header of an export: the names of its columns and the units under them, known again by a fingerprint."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from hashlib import sha256

from curewright.read.cells import cells_of
from curewright.terms.errors import FileError, Place

NAMES, UNITS, SKIPPED = "names", "units", "skipped"
PARTED, ENDED = "\x1f", "\x1e"  # between cells and behind a row, where the fingerprint is taken
SHOWN = 6  # so many changes of a header are named


@dataclass(frozen=True)
class Header:
    """What stands over the columns of an export, in the order of the file; ``below``: what stands under the name, row by row."""

    names: tuple[str, ...]
    units: tuple[str, ...] = ()
    below: tuple[tuple[str, ...], ...] = ()

    @property
    def fingerprint(self) -> str:
        """SHA-256 (hexadecimal) over names and units; blanks at the ends and runs of blanks do not count.

        >>> Header(("Time", "TC 1")).fingerprint == Header(("Time ", "TC  1")).fingerprint
        True
        """
        rows = (self.names, self.units) if self.units else (self.names,)
        text = "".join(PARTED.join(normal(cell) for cell in row) + ENDED for row in rows)
        return sha256(text.encode()).hexdigest()

    def unit_of(self, name: str) -> str:
        """What the row of units says under a name; '' where there is no such row."""
        at = self.names.index(name)
        return self.units[at] if at < len(self.units) else ""


def normal(text: str) -> str:
    """A cell of a header as it is compared: composed characters, single blanks."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def header_at(lines: list[str], at: int, rows: tuple[str, ...], separator: str, file: str) -> Header:
    """The header whose first row is ``lines[at]``. Raises :class:`FileError` where a name stands twice or the header is missing.

    Several rows of names are joined; a blank in all but the last of them takes the name to its left (merged cells). A column without
    a name is called by its number (``column 3``).
    """
    if not rows:
        width = len(cells_of(lines[at], separator)) if at < len(lines) else 0
        return Header(tuple(f"column {n + 1}" for n in range(width)))
    first = at + rows.index(NAMES)
    if first >= len(lines) or not lines[first].strip():
        raise FileError(
            "the header is missing",
            where=Place(file, first + 1),
            remedy="check the lines before the header in the layout",
        )
    named = [at + i for i, what in enumerate(rows) if what == NAMES]
    headed = _joined([cells_of(lines[i], separator) if i < len(lines) else [] for i in named])
    _refuse_twice(headed, Place(file, first + 1))
    names = tuple(name or f"column {n + 1}" for n, (name, _) in enumerate(headed))
    below = {
        i: tuple(cell for cell, _ in cells_of(lines[at + i], separator))
        for i, what in enumerate(rows)
        if what != NAMES and at + i < len(lines)
    }
    units = next((below[i] for i, what in enumerate(rows) if what == UNITS and i in below), ())
    return Header(names, units, tuple(below.values()))


def _joined(rows: list[list[tuple[str, int]]]) -> list[tuple[str, int]]:
    width = max(len(row) for row in rows)
    names, places = [""] * width, [0] * width
    for depth, row in enumerate(rows):
        left = ""
        for n in range(width):
            cell, place = row[n] if n < len(row) else ("", 0)
            if not cell and depth < len(rows) - 1:
                cell = left
            left = cell
            names[n] = f"{names[n]} {cell}".strip()
            places[n] = places[n] or place
    if len(rows) > 1:  # a name of the upper row alone is no column
        last = [cell for cell, _ in rows[-1]] + [""] * width
        upper = [cell for cell, _ in rows[0]] + [""] * width
        names = [name if last[n] or upper[n] else "" for n, name in enumerate(names)]
    return list(zip(names, places, strict=True))


def _refuse_twice(headed: list[tuple[str, int]], where: Place) -> None:
    seen: dict[str, int] = {}
    for name, column in headed:
        if name and name in seen:
            raise FileError(
                f"two columns are headed '{name}' (at {seen[name]} and {column})",
                where=Place(where.file, where.line, column),
                remedy="give each column its own name in the recorder: nobody can tell them apart",
            )
        seen[name] = column


def changes(before: Header, now: Header) -> list[str]:
    """What is not the same in two headers, one sentence for each change: columns gone, new, renamed, moved, units changed."""
    old, new = [normal(name) for name in before.names], [normal(name) for name in now.names]
    gone = [name for name in old if name not in new]
    come = [name for name in new if name not in old]
    said = []
    for name in list(gone):
        at = old.index(name)
        if at < len(new) and new[at] in come:
            said.append(f"the column '{name}' is now called '{new[at]}'")
            gone.remove(name)
            come.remove(new[at])
    said += [f"the column '{name}' is gone" for name in gone]
    said += [f"the column '{name}' is new" for name in come]
    kept = [name for name in old if name in new]
    order = [name for name in new if name in old]
    said += [
        f"the column '{a}' has moved: '{b}' stands in its place" for a, b in zip(kept, order, strict=True) if a != b
    ]
    if before.units:
        for name in kept:
            was = normal(before.units[old.index(name)]) if old.index(name) < len(before.units) else ""
            now_is = normal(now.units[new.index(name)]) if new.index(name) < len(now.units) else ""
            if was != now_is:
                said.append(f"the unit of '{name}' was '{was}' and is now '{now_is}'")
    if len(said) > SHOWN:
        said[SHOWN:] = [f"and {len(said) - SHOWN} more changes"]
    return said
