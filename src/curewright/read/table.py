"""Delimited text to a table: which lines are rows, which cells are numbers, which are blank, and where each one stands.

Nothing is dropped in silence: a row with too many or too few cells, a missing or doubled heading, bytes that are no text are errors
that name the line. What is left out is counted (:mod:`curewright.read.left_out`). Empty lines are no rows, but they count as lines.
Where a recorder writes another header in mid-file (a channel switched on or off), the rows below are read under that one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.cells import cells_of
from curewright.read.header import NAMES, Header, header_at, normal
from curewright.read.kernels.cells import BLANK, NUMBER, TEXT, spans
from curewright.read.kernels.words import words
from curewright.read.left_out import RETURNED, SHOWN, LeftOut
from curewright.read.lines import line_at, offset_of_line
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.read.lines import Lines, Source
    from curewright.terms.run import Counted

FAR = 2000  # lines in which a header is looked for
BELOW = 1_000_000  # bytes in which the rows of a header in mid-file end


@dataclass(frozen=True)
class Part:
    """Rows under one header: from which row on, and at which cell of a line each heading stands."""

    first: int
    at: dict[str, int]
    header: Header


@dataclass(frozen=True, eq=False)
class Table:
    """The rows under a header.

    row : int64, shape (rows,): the line (from 1) that each row stands on
    numbers : float64, kinds : uint8, shape (columns that are kept as numbers, rows): NUMBER, BLANK, TEXT, or ABSENT where the column
    was switched off; seen : how many there are of the first three, shape (kept columns, 3)
    text : uint8, the whole file; starts : int64, shape (rows,): where each row begins; cut : what stands between cells
    """

    file: str
    row: NDArray[np.int64]
    numbers: NDArray[np.float64]
    kinds: NDArray[np.uint8]
    seen: NDArray[np.int64]
    kept: dict[str, int]
    text: NDArray[np.uint8]
    starts: NDArray[np.int64]
    cut: str
    parts: tuple[Part, ...]
    headings: tuple[str, ...]
    counted: tuple[Counted, ...] = ()
    before: tuple[str, ...] = ()  # the lines before the header
    header_line: int = 0  # from 1
    columns_known: bool = True
    found: dict[str, tuple[list[str], NDArray[np.int64]]] = field(
        default_factory=dict
    )  # words of columns, once asked for
    full: bool = field(default=True)  # whether every row has a cell for every kept column

    def column(self, heading: str) -> int:
        """The index of a column that is kept as numbers, by its heading; it has to be there."""
        return self.kept[heading]

    def spans(self, heading: str, rows: NDArray[np.int64] | None = None) -> NDArray[np.int64]:
        """First and last byte of one column's cells, int64, shape (rows, 2), of all rows or of those named."""
        chosen = np.arange(len(self.row)) if rows is None else rows
        at = np.full(len(chosen), self.parts[0].at.get(heading, -1), dtype=np.int64)
        for part in self.parts[1:]:
            at[chosen >= part.first] = part.at.get(heading, -1)
        return spans(self.text, self.starts if rows is None else self.starts[rows], at, ord(self.cut))

    def texts(self, heading: str, rows: NDArray[np.int64] | None = None) -> list[str]:
        """The bare text of one column's cells, of all rows or of those named."""
        return [self._text(start, end) for start, end in self.spans(heading, rows).tolist()]

    def words(self, heading: str) -> tuple[list[str], NDArray[np.int64]]:
        """The different texts of a column in order of appearance, and which of them each row has; found once for each column."""
        if heading not in self.found:
            where = self.spans(heading)
            which = np.empty(len(where), dtype=np.int64)
            first = words(self.text, where, which)
            self.found[heading] = [self._text(start, end) for start, end in where[first].tolist()], which
        return self.found[heading]

    def _text(self, start: int, end: int) -> str:
        text = self.text[start:end].tobytes().decode(errors="replace")
        return text.replace('""', '"') if start and self.text[start - 1] == ord('"') else text

    def place(self, heading: str, row: int) -> Place:
        """Where one cell begins."""
        line = int(self.row[row])
        part = next(part for part in reversed(self.parts) if part.first <= row)
        if not self.columns_known or heading not in part.at:
            return Place(self.file, line)
        return Place(self.file, line, cells_of(self.line(row), self.cut)[part.at[heading]][1])

    def line(self, row: int) -> str:
        """The text of the line that a row stands on."""
        return line_at(self.text, int(self.starts[row]))

    def turned(self) -> Table:
        """The table with its last row first, for an export that begins with the newest. Raises where its header changes in mid-file."""
        if len(self.parts) > 1:
            raise FileError(
                "newest row first, and another header in mid-file",
                where=Place(self.file, self.header_line),
                remedy="cut the export in two where the header changes",
            )
        return replace(
            self,
            row=self.row[::-1].copy(),
            numbers=np.ascontiguousarray(self.numbers[:, ::-1]),
            kinds=np.ascontiguousarray(self.kinds[:, ::-1]),
            starts=self.starts[::-1].copy(),
            found={},
        )


def table(source: Source) -> Table:
    """The table in the text of an export.

    Raises :class:`FileError`, with lines, where it is not one table of equal rows under one name for each column.
    """
    layout, content = source.layout, source.content
    high = len(layout.header_rows)
    top = content[: offset_of_line(content, FAR)].decode(errors="replace").split("\n")
    at = layout.preamble if layout.preamble is not None else _look_for(source, top)
    left_out = LeftOut(source, tuple(top[:at]))
    first = header = header_at(top, at, layout.header_rows, source.cut, source.file)
    begin, line = offset_of_line(content, at + high), at + high + 1
    over = source.cells_over(top[at:])
    parts: list[Part] = []
    pieces: list[tuple[Lines, NDArray[np.int64]]] = []
    rows = 0
    while True:  # part by part; a part ends where another header comes
        lines = source.lines(begin, line, header, over)
        if not pieces:
            _refuse_rows_above(source, at, lines)
        keep, turn = left_out.rows(lines)
        pieces.append((lines, keep))
        parts.append(Part(rows, {name: n for n, name in enumerate(header.names)}, header))
        rows += len(keep)
        if turn is None:
            break
        line, begin = lines.first + turn, int(lines.starts[turn])
        below = content[begin : begin + BELOW]
        found = below.decode(errors="replace").split("\n", high + 1)
        header, over = header_at(found, 0, layout.header_rows, source.cut, source.file), source.cells_over(found)
        _refuse_other_meaning(source, first, header, line)
        for n in range(high):
            left_out.add(RETURNED, line + n)
        begin, line = begin + offset_of_line(below, high), line + high
    if not rows:
        raise FileError(
            "no row stands under the header",
            where=Place(source.file, at + high + 1),
            remedy="check the number of lines before the header in the layout",
        )
    return _joined(source, pieces, tuple(parts), left_out)


def _joined(
    source: Source, pieces: list[tuple[Lines, NDArray[np.int64]]], parts: tuple[Part, ...], left_out: LeftOut
) -> Table:
    """One table of all parts; columns that a part does not have are absent there."""
    chosen = [lines.chosen(keep) for lines, keep in pieces]
    rows = source.layout.header_rows
    names = dict.fromkeys(name for part in parts for name in part.header.names)
    one = len(chosen) == 1
    numbers, kinds, starts, row = (
        chosen[0] if one else tuple(np.concatenate(arrays, axis=-1) for arrays in zip(*chosen, strict=True))
    )
    seen = pieces[0][0].seen
    if not one or len(pieces[0][1]) != len(pieces[0][0].starts):
        seen = np.stack([(kinds == kind).sum(axis=1) for kind in (NUMBER, BLANK, TEXT)], axis=1).astype(np.int64)
    return Table(
        file=source.file,
        row=row,
        numbers=numbers,
        kinds=kinds,
        seen=seen,
        kept=source.kept,
        text=source.text,
        starts=starts,
        cut=source.cut,
        parts=parts,
        headings=tuple(names),
        counted=(*source.plain.counted, *left_out.counted()),
        before=left_out.before,
        header_line=len(left_out.before) + 1 + (rows.index(NAMES) if rows else 0),
        columns_known=source.plain.columns,
        full=one and bool((seen.sum(axis=1) == len(row)).all()),
    )


def _look_for(source: Source, top: list[str]) -> int:
    """How many lines come before the header: the first line that holds the time columns and most of the others."""
    layout = source.layout
    wanted = {normal(name) for name in layout.time_columns} | {normal(n) for n in (layout.tag, layout.value) if n}
    others = {normal(column.heading) for column in layout.columns} if not layout.long else set()
    before = layout.header_rows.index(NAMES)
    for i in range(before, len(top)):
        if not all(name.split(" ")[0] in top[i] for name in wanted if name):
            continue
        try:
            names = {normal(n) for n in header_at(top, i - before, layout.header_rows, source.cut, source.file).names}
        except FileError:
            continue
        if wanted <= names and 2 * len(others & names) >= len(others):
            _refuse_rows_before(source, top, i - before, i)
            return i - before
    named = " and ".join(f"'{name}'" for name in sorted(wanted))
    raise FileError(
        f"no line of the first {min(len(top), FAR)} is a header with {named}",
        where=Place(source.file, 1),
        remedy="check the names, the separator and the encoding in the layout, or propose it anew from this export",
    )


def _refuse_rows_before(source: Source, top: list[str], at: int, names: int) -> None:
    """A header that is found behind rows is not the first one: that one is damaged, or another."""
    header = header_at(top, at, source.layout.header_rows, source.cut, source.file)
    starts = np.array([offset_of_line(source.content, n) for n in range(at)], dtype=np.int64)
    clocks = [header.names.index(name) for name in source.layout.time_columns if name in header.names]
    if not at or not clocks:
        return
    where = np.stack([source.spans(starts, n) for n in clocks])
    wide = np.array([len(cells_of(line, source.cut)) == len(header.names) for line in top[:at]])
    rows = np.flatnonzero(source.readable(source.text, where) & wide)
    if len(rows):
        raise FileError(
            f"a row stands before the header that was found on line {names + 1}",
            where=Place(source.file, int(rows[0]) + 1),
            remedy="look at the lines before that row: the header over it is not the one that the layout says",
        )


def _refuse_rows_above(source: Source, before: int, lines: Lines) -> None:
    """Refuses an export of which a line before the first row is a row itself: it has a line less above than the layout says."""
    rows = source.layout.header_rows
    names = {before + n for n, what in enumerate(rows) if what == NAMES}
    starts, at = [], 0
    for n in range(lines.first - 1):
        if n not in names and len(cells_of(line_at(source.text, at), source.cut)) == lines.usual:
            starts.append((n, at))
        at = source.content.find(b"\n", at) + 1
        if not 0 < at < len(source.content):
            break
    if not starts:
        return
    where = np.array([start for _, start in starts], dtype=np.int64)
    clocks = [lines.header.names.index(name) for name in source.layout.time_columns if name in lines.header.names]
    timed = (
        source.readable(source.text, np.stack([source.spans(where, clock) for clock in clocks]))
        if clocks
        else where < 0
    )
    for (n, _), is_row in zip(starts, timed.tolist(), strict=True):
        if is_row:
            raise FileError(
                "this line is a row, and the layout takes it for a line above the rows",
                where=Place(source.file, n + 1),
                remedy="this export has fewer lines above its rows than the one that the layout was made from: propose the layout anew",
            )


def _refuse_other_meaning(source: Source, first: Header, now: Header, line: int) -> None:
    """A header in mid-file may leave columns out or move them; a new column or another unit is refused."""
    said = []
    for name in now.names:
        if normal(name) not in source.known and not name.startswith("column "):
            said.append(f"the column '{name}' is new")
    for name in first.names:
        if name in now.names:
            here, there = first.names.index(name), now.names.index(name)
            for old, new in zip(first.below, now.below, strict=False):
                was, is_now = (row[n] if n < len(row) else "" for row, n in ((old, here), (new, there)))
                if normal(was) != normal(is_now):
                    said.append(f"under '{name}' stood '{was}' and now stands '{is_now}'")
    if said:
        raise FileError(
            f"the header changes in mid-file: {'; '.join(said[:SHOWN])}",
            where=Place(source.file, line),
            remedy="cut the export in two at this line, and give each piece its own layout",
        )
