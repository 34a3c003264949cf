"""The lines of an export as cells, before it is known which of them are rows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.read.cells import cells_of
from curewright.read.header import normal
from curewright.read.kernels.cells import ABSENT, cells, spans

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from curewright.read.header import Header
    from curewright.read.layout import Layout
    from curewright.read.plain import Plain

    Readable = Callable[[NDArray[np.uint8], NDArray[np.int64]], NDArray[np.bool_]]

PIECE = 4_000_000  # bytes that one call of the kernel reads


@dataclass(eq=False)
class Lines:
    """Every line of a part of the file as the kernel found it, before it is known which of them are rows.

    over : the cells of each header row above them; usual : how many cells its rows have, by the first of them; beyond : lines with
    something behind the last column; odd : lines that may be no rows
    """

    text: NDArray[np.uint8]  # of the whole file
    cut: str
    first: int  # number of the first line, from 1
    header: Header
    over: list[list[str]]
    numbers: NDArray[np.float64]
    kinds: NDArray[np.uint8]
    starts: NDArray[np.int64]
    found: NDArray[np.int64]
    seen: NDArray[np.int64]
    usual: int
    beyond: set[int]
    odd: NDArray[np.int64]

    def line(self, i: int) -> str:
        """The text of a line."""
        return line_at(self.text, int(self.starts[i]))

    def cells(self, i: int) -> list[str]:
        """The cells of a line, as those of a header are compared."""
        return [normal(cell) for cell, _ in cells_of(self.line(i), self.cut)]

    def fits(self, i: int) -> bool:
        """Whether a line has as many cells as the other rows, and none that has no heading."""
        return bool(self.found[i] == self.usual and i not in self.beyond)

    def chosen(
        self, keep: NDArray[np.int64]
    ) -> tuple[NDArray[np.float64], NDArray[np.uint8], NDArray[np.int64], NDArray[np.int64]]:
        """Some of the lines as rows: numbers, kinds, starts, and the line that each stands on."""
        count = len(keep)
        if count and keep[-1] == count - 1:  # nothing is left out in between
            return self.numbers[:, :count], self.kinds[:, :count], self.starts[:count], np.arange(count) + self.first
        return (
            np.ascontiguousarray(self.numbers[:, keep]),
            np.ascontiguousarray(self.kinds[:, keep]),
            self.starts[keep],
            keep + self.first,
        )


@dataclass(frozen=True, eq=False)
class Source:
    """An export to be read through a layout.

    numeric : the headings whose cells are kept as numbers; readable : for text and the spans of the time columns, shape (columns, rows,
    2), which rows have a time that is plainly written; each : a map, which may run several calls at once
    """

    plain: Plain
    file: str
    layout: Layout
    numeric: tuple[str, ...]
    readable: Readable
    each: Callable[..., Iterable[Any]] = map

    @property
    def content(self) -> bytes:
        """The whole file."""
        return self.plain.text

    @cached_property
    def text(self) -> NDArray[np.uint8]:
        """The whole file as the kernels take it."""
        return np.frombuffer(self.plain.text, dtype=np.uint8)

    @property
    def cut(self) -> str:
        """What stands between cells."""
        return self.plain.separator

    @property
    def kept(self) -> dict[str, int]:
        """The row of numbers and kinds for each heading that is kept."""
        return {name: n for n, name in enumerate(self.numeric)}

    @cached_property
    def known(self) -> set[str]:
        """Every name that the layout speaks of."""
        layout = self.layout
        quality = [column.quality for column in layout.columns]
        names = [*layout.time_columns, *layout.not_read, layout.tag, layout.value, layout.unit_column, *quality]
        return {normal(name) for name in (*names, *(column.heading for column in layout.columns))}

    def cells_over(self, lines: list[str]) -> list[list[str]]:
        """The cells of the header rows, of which the first of these lines is the first."""
        rows = lines[: len(self.layout.header_rows)]
        return [[normal(cell) for cell, _ in cells_of(row, self.cut)] for row in rows]

    def lines(self, begin: int, line: int, header: Header, over: list[list[str]]) -> Lines:
        """All lines from an offset to the end, as cells; in pieces, side by side where ``each`` does so."""
        content, kept = self.content, self.kept
        columns = np.array([kept.get(name, -1) for name in header.names], dtype=np.int64)
        pieces = _pieces(content, begin)
        count = sum(rows for _, _, rows in pieces)
        numbers = np.empty((len(kept), count))
        kinds = np.full((len(kept), count), ABSENT, dtype=np.uint8)
        starts, found = np.empty(count, dtype=np.int64), np.empty(count, dtype=np.int64)
        signs = np.array([ord(self.cut), ord(self.layout.decimal_sign)], dtype=np.int64)

        def one(piece: tuple[int, int, int]) -> NDArray[np.int64]:
            seen = np.zeros((len(kept), 3), dtype=np.int64)
            cells(self.text, np.array(piece, dtype=np.int64), signs, columns, numbers, kinds, starts, found, seen)
            return seen

        first, calls = 0, []
        for start, end, rows in pieces:
            calls.append((start, end, first))
            first += rows
        seen = np.zeros((len(kept), 3), dtype=np.int64)
        for counts in self.each(one, calls):
            seen += counts
        clocks = [header.names.index(name) if name in header.names else -1 for name in self.layout.time_columns]
        timed = self.readable(self.text, np.stack([self.spans(starts, at) for at in clocks]))
        usual, beyond = self.usual_cells(header, starts, found, timed)
        odd = (found != usual) | ~timed
        odd[list(beyond)] = True
        return Lines(
            self.text,
            self.cut,
            line,
            header,
            over,
            numbers,
            kinds,
            starts,
            found,
            seen,
            usual,
            beyond,
            np.flatnonzero(odd),
        )

    def spans(self, starts: NDArray[np.int64], column: int) -> NDArray[np.int64]:
        """First and last byte of one cell of every line."""
        return spans(self.text, starts, np.full(len(starts), column, dtype=np.int64), ord(self.cut))

    def usual_cells(
        self, header: Header, starts: NDArray[np.int64], found: NDArray[np.int64], timed: NDArray[np.bool_]
    ) -> tuple[int, set[int]]:
        """How many cells a row has, told by the first of them; and the lines with something behind the last column.

        Rows may end with blank cells that the header does not have, or lack the last ones if these have no name, but all of them
        alike: where one row had a cell more or less than the others, its values could stand under other names.
        """
        columns = len(header.names)
        named = [n for n, name in enumerate(header.names) if name != f"column {n + 1}"]
        fit = np.flatnonzero(timed & (found >= (named[-1] + 1 if named else columns)))
        usual = int(found[fit[0]]) if len(fit) else columns
        beyond: set[int] = set()
        for column in range(columns, usual):
            cells = self.spans(starts, column)
            beyond |= set(np.flatnonzero(cells[:, 1] > cells[:, 0]).tolist())
        return usual, beyond


def _pieces(content: bytes, begin: int) -> list[tuple[int, int, int]]:
    """The text from an offset in pieces of whole lines: (first byte, behind the last, lines)."""
    found, start = [], begin
    while start < len(content):
        end = content.find(b"\n", min(start + PIECE, len(content) - 1)) + 1 or len(content)
        found.append((start, end, content.count(b"\n", start, end)))
        start = end
    return found


def offset_of_line(content: bytes, number: int) -> int:
    """Where the line begins before which there are so many others; the end where there are not so many."""
    at = 0
    for _ in range(number):
        at = content.find(b"\n", at) + 1
        if not at:
            return len(content)
    return at


def line_at(text: NDArray[np.uint8], start: int) -> str:
    """The text of the line that starts at a byte."""
    end, step = start, 4096
    while True:
        piece = text[end : end + step].tobytes()
        at = piece.find(b"\n")
        if at >= 0 or not piece:
            return text[start : end + max(at, 0)].tobytes().decode(errors="replace")
        end += step
