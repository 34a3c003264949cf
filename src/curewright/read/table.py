"""Delimited text to a table: which lines are rows, which cells are numbers, which are blank, and where each one stands.

Nothing is dropped: a row with too many or too few cells, a missing or doubled heading, bytes that are no text are errors that
name the line. Empty lines are no rows, but they count as lines.
"""

from __future__ import annotations

import csv
from codecs import lookup
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.kernels.cells import BLANK, NUMBER, TEXT, cells, spans
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

__all__ = ["BLANK", "NUMBER", "TEXT", "Table", "cells_of", "decoded", "table"]

SHOWN = 5  # so many lines are named in one message, and how many more there are
SPLIT = "\x1f"  # separator of lines that held quotes; no recorder writes it


@dataclass(frozen=True, eq=False)
class Table:
    """The rows under a header.

    headings : one for each column; lines : the text of the file line by line
    row : int64, shape (rows,): the line (from 1) that each row stands on
    numbers : float64, kinds : uint8, shape (columns, rows): NUMBER, BLANK or TEXT
    content : the rows as bytes, quotes removed; starts : int64, shape (rows,): where each begins; cut : their separator
    """

    file: str
    headings: tuple[str, ...]
    lines: Sequence[str]
    separator: str
    row: NDArray[np.int64]
    numbers: NDArray[np.float64]
    kinds: NDArray[np.uint8]
    content: bytearray
    starts: NDArray[np.int64]
    cut: str

    def column(self, heading: str) -> int:
        """The index of a column by its heading; it has to be there."""
        return self._index[heading]

    @cached_property
    def _index(self) -> dict[str, int]:
        return {heading: at for at, heading in enumerate(self.headings)}

    def texts(self, column: int, rows: NDArray[np.int64] | None = None) -> list[str]:
        """The bare text of one column's cells, of all rows or of those named."""
        starts = self.starts if rows is None else self.starts[rows]
        found = spans(np.frombuffer(self.content, dtype=np.uint8), starts, ord(self.cut), column)
        return [self.content[start:end].decode() for start, end in found.tolist()]

    def place(self, column: int, row: int) -> Place:
        """Where one cell begins."""
        line = int(self.row[row])
        return Place(self.file, line, cells_of(self.lines[line - 1], self.separator)[column][1])


def cells_of(line: str, separator: str) -> list[tuple[str, int]]:
    """The cells of one line with the column (from 1) at which each begins, quotes and surrounding blanks removed.

    >>> cells_of('21:40; "a;b" ;3', ";")
    [('21:40', 1), ('a;b', 9), ('3', 15)]
    """
    found, start, quoted = [], 0, False
    for i, sign in enumerate([*line, separator]):
        if sign == '"':
            quoted = not quoted
        elif sign == separator and (not quoted or i == len(line)):
            text = line[start:i]
            bare = text.strip()
            column = start + 1 + (len(text) - len(text.lstrip()))
            if len(bare) >= 2 and bare[0] == bare[-1] == '"':
                bare, column = bare[1:-1].replace('""', '"').strip(), column + 1
            found.append((bare, column))
            start = i + 1
    return found


def decoded(content: bytes, encoding: str, file: str) -> str:
    """The text of a file, new lines as ``\\n``, without a byte-order mark; raises :class:`FileError` with the line of bad bytes."""
    try:
        lookup(encoding)  # no bytes at all would be text in any encoding
        text = content.decode(encoding)
    except LookupError:
        raise FileError(
            f"'{encoding}' is no encoding known here",
            expected="for instance utf-8, cp1252, latin-1 or utf-16",
            where=Place(file),
            remedy="state the encoding of the export in the layout",
        ) from None
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise FileError(
            f"the byte {content[error.start]:#04x} is no text in {encoding}",
            where=Place(file, line),
            remedy="state the encoding of the export in the layout (cp1252 and utf-16 are common beside utf-8)",
        ) from None
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def table(
    text: str, file: str, *, separator: str, decimal_sign: str, preamble: int, header_rows: Sequence[str]
) -> Table:
    """The table in the text of an export; ``header_rows`` says what each one holds (``names`` or ``skipped``).

    Raises :class:`FileError`, with lines, where it is not one table of equal rows under one name for each column.
    """
    lines = text.split("\n")
    headings = _headings(lines, preamble + list(header_rows).index("names"), separator, file)
    first = preamble + len(header_rows)
    where = [i for i in range(first, len(lines)) if lines[i].strip()]
    if not where:
        raise FileError(
            "no row stands under the header",
            where=Place(file, first + 1),
            remedy="check the number of lines before the header in the layout",
        )
    cut = SPLIT if '"' in text else separator
    rows = [lines[i] if cut == separator else _without_quotes(lines[i], separator, file, i + 1) for i in where]
    content = bytearray(("\n".join(rows) + "\n").encode())
    ends = np.flatnonzero(np.frombuffer(content, dtype=np.uint8) == ord("\n"))
    made = Table(
        file=file,
        headings=headings,
        lines=lines,
        separator=separator,
        row=np.array(where, dtype=np.int64) + 1,
        numbers=np.zeros((len(headings), len(rows))),
        kinds=np.zeros((len(headings), len(rows)), dtype=np.uint8),
        content=content,
        starts=np.concatenate([[0], ends[:-1] + 1]).astype(np.int64),
        cut=cut,
    )
    text_read = np.frombuffer(content, dtype=np.uint8)
    _refuse_ragged(cells(text_read, made.starts, ord(cut), ord(decimal_sign), made.numbers, made.kinds), made)
    return made


def _refuse_ragged(found: NDArray[np.int64], into: Table) -> None:
    wrong = np.flatnonzero(found != len(into.headings))
    if not len(wrong):
        return
    named = ", ".join(f"{into.row[i]} ({found[i]} cells)" for i in wrong[:SHOWN].tolist())
    more = f" and {len(wrong) - SHOWN} more" if len(wrong) > SHOWN else ""
    raise FileError(
        f"line(s) {named}{more} do not have the {len(into.headings)} cells of the header",
        where=Place(into.file, int(into.row[wrong[0]])),
        remedy="check the separator in the layout, and whether the export was cut off or edited; no row is dropped in silence",
    )


def _headings(lines: list[str], at: int, separator: str, file: str) -> tuple[str, ...]:
    if at >= len(lines) or not lines[at].strip():
        raise FileError(
            "the header is missing", where=Place(file, at + 1), remedy="check the lines before the header in the layout"
        )
    headed = cells_of(lines[at], separator)
    seen: dict[str, int] = {}
    for heading, column in headed:
        if heading in seen:
            raise FileError(
                f"two columns are headed '{heading}' (at {seen[heading]} and {column})",
                where=Place(file, at + 1, column),
                remedy="give each column its own name in the recorder: nobody can tell them apart",
            )
        seen[heading] = column
    return tuple(seen)


def _without_quotes(line: str, separator: str, file: str, number: int) -> str:
    if '"' not in line:
        return line.replace(separator, SPLIT)
    try:
        fields = next(csv.reader([line], delimiter=separator, strict=True, skipinitialspace=True))
    except csv.Error as error:
        raise FileError(f"a quoted cell does not end on its line ({error})", where=Place(file, number)) from None
    return SPLIT.join(field.strip() for field in fields)
