"""Delimited text to a table: which lines are rows, which cells are numbers, which are blank, and where each one stands.

Nothing is dropped in silence: a row with too many or too few cells, a missing or doubled heading, bytes that are no text are errors
that name the line. Left out and counted are: a header that returns, a last row that was cut off, lines that the layout says are
no rows, lines of noughts. Empty lines are no rows, but they count as lines. Where a recorder writes another header in mid-file (a
channel switched on or off), the rows below are read under that one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.read.cells import cells_of
from curewright.read.header import NAMES, Header, header_at, normal
from curewright.read.kernels.cells import ABSENT, BLANK, NO_LINE_OF_CELLS, NUMBER, TEXT, cells, spans
from curewright.read.kernels.words import words
from curewright.terms.errors import FileError, Place
from curewright.terms.run import Counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    from curewright.read.layout import Layout
    from curewright.read.plain import Plain

    Readable = Callable[["NDArray[np.uint8]", "NDArray[np.int64]"], "NDArray[np.bool_]"]

__all__ = ["ABSENT", "BLANK", "NUMBER", "TEXT", "Table", "table"]

SHOWN = 5  # so many lines are named in one message, and how many more there are
PIECE = 4_000_000  # bytes that one call of the kernel reads
FAR = 2000  # lines in which a header is looked for
RETURNED, CUT_OFF, BEFORE_RESTART = (
    "a header that returned",
    "cut off at the end of the file",
    "cut off before a restart",
)
DECLARED, NOUGHTS = "lines that the layout leaves out", "lines of noughts"


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
        return _line(self.text, int(self.starts[row]))

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


@dataclass(eq=False)
class _Lines:
    """Every line of a part of the file as the kernel found it, before it is known which of them are rows.

    over : the cells of each header row above them; usual : how many cells its rows have, by the first of them; beyond : lines with
    something behind the last column; odd : lines that may be no rows
    """

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


@dataclass(eq=False)
class _Counting:
    """What is left out, by cause, while a table is made."""

    lines: dict[str, list[int]] = field(default_factory=dict)

    def add(self, cause: str, line: int) -> None:
        self.lines.setdefault(cause, []).append(line)

    def all(self) -> tuple[Counted, ...]:
        return tuple(
            Counted(cause, "rows", len(lines), tuple(sorted(lines)[:SHOWN]), left_out=True)
            for cause, lines in self.lines.items()
        )


def table(
    plain: Plain,
    file: str,
    layout: Layout,
    numeric: Sequence[str],
    readable: Readable,
    each: Callable[..., Iterable[Any]] = map,
) -> Table:
    """The table in the text of an export.

    numeric : the headings whose cells are kept as numbers; readable : for text and the spans of the time columns, shape (columns, rows,
    2), which rows have a time that is plainly written; each : a map, which may run several calls at once

    Raises :class:`FileError`, with lines, where it is not one table of equal rows under one name for each column.
    """
    made = _Maker(plain, file, layout, tuple(numeric), readable, each)
    return made.table()


class _Maker:
    """Makes a table part by part; a part ends where another header comes."""

    def __init__(
        self,
        plain: Plain,
        file: str,
        layout: Layout,
        numeric: tuple[str, ...],
        readable: Readable,
        each: Callable[..., Iterable[Any]],
    ) -> None:
        self.plain, self.file, self.layout, self.numeric, self.readable, self.each = (
            plain,
            file,
            layout,
            numeric,
            readable,
            each,
        )
        self.content = plain.text
        self.text = np.frombuffer(plain.text, dtype=np.uint8)
        self.cut = plain.separator
        self.counting = _Counting()
        self.preamble = 0

    def table(self) -> Table:
        layout = self.layout
        top = self.content[: _offset_of_line(self.content, FAR)].decode(errors="replace").split("\n")
        at = layout.preamble if layout.preamble is not None else self.look_for(top)
        self.preamble = at
        self.before = tuple(top[:at])
        header = header_at(top, at, layout.header_rows, self.cut, self.file)
        begin, line = _offset_of_line(self.content, at + len(layout.header_rows)), at + len(layout.header_rows) + 1
        first_header, parts, rows = header, [], 0
        pieces: list[tuple[_Lines, NDArray[np.int64]]] = []
        over = self.cells_over(top[at:])
        while True:
            lines = self.lines(begin, line, header, over)
            if not pieces:
                self.refuse_rows_above(at, lines)
            keep, turn = self.rows(lines)
            pieces.append((lines, keep))
            parts.append(Part(rows, {name: n for n, name in enumerate(header.names)}, header))
            rows += len(keep)
            if turn is None:
                break
            line = lines.first + turn
            begin = int(lines.starts[turn])
            below = (
                self.content[begin : begin + 1_000_000]
                .decode(errors="replace")
                .split("\n", len(layout.header_rows) + 1)
            )
            header = header_at(below, 0, layout.header_rows, self.cut, self.file)
            over = self.cells_over(below)
            self.refuse_other_meaning(first_header, header, line)
            for n in range(len(layout.header_rows)):
                self.counting.add(RETURNED, line + n)
            begin += _offset_of_line(self.content[begin : begin + 1_000_000], len(layout.header_rows))
            line += len(layout.header_rows)
        if not rows:
            raise FileError(
                "no row stands under the header",
                where=Place(self.file, at + len(layout.header_rows) + 1),
                remedy="check the number of lines before the header in the layout",
            )
        return self.joined(pieces, tuple(parts), at)

    def joined(self, pieces: list[tuple[_Lines, NDArray[np.int64]]], parts: tuple[Part, ...], at: int) -> Table:
        """One table of all parts; columns that a part does not have are absent there."""
        chosen = [_chosen(lines, keep) for lines, keep in pieces]
        names = dict.fromkeys(name for part in parts for name in part.header.names)
        one = len(chosen) == 1
        numbers, kinds, starts, row = (
            chosen[0] if one else tuple(np.concatenate(arrays, axis=-1) for arrays in zip(*chosen, strict=True))
        )
        seen = pieces[0][0].seen
        if not one or len(pieces[0][1]) != len(pieces[0][0].starts):
            seen = np.stack([(kinds == kind).sum(axis=1) for kind in (NUMBER, BLANK, TEXT)], axis=1).astype(np.int64)
        return Table(
            file=self.file,
            row=row,
            numbers=numbers,
            kinds=kinds,
            seen=seen,
            kept=self.kept,
            text=self.text,
            starts=starts,
            cut=self.cut,
            parts=parts,
            headings=tuple(names),
            counted=(*self.plain.counted, *self.counting.all()),
            before=self.before,
            header_line=at + 1 + (self.layout.header_rows.index(NAMES) if self.layout.header_rows else 0),
            columns_known=self.plain.columns,
            full=one and bool((seen.sum(axis=1) == len(row)).all()),
        )

    def look_for(self, top: list[str]) -> int:
        """How many lines come before the header: the first line that holds the time columns and most of the others."""
        layout = self.layout
        wanted = {normal(name) for name in layout.time_columns} | {normal(n) for n in (layout.tag, layout.value) if n}
        others = {normal(column.heading) for column in layout.columns} if not layout.long else set()
        before = layout.header_rows.index(NAMES)
        for i in range(before, len(top)):
            if not all(name.split(" ")[0] in top[i] for name in wanted if name):
                continue
            try:
                names = {normal(n) for n in header_at(top, i - before, layout.header_rows, self.cut, self.file).names}
            except FileError:
                continue
            if wanted <= names and 2 * len(others & names) >= len(others):
                self.refuse_rows_before(top, i - before, i)
                return i - before
        named = " and ".join(f"'{name}'" for name in sorted(wanted))
        raise FileError(
            f"no line of the first {min(len(top), FAR)} is a header with {named}",
            where=Place(self.file, 1),
            remedy="check the names, the separator and the encoding in the layout, or propose it anew from this export",
        )

    def refuse_rows_before(self, top: list[str], at: int, names: int) -> None:
        """A header that is found behind rows is not the first one: that one is damaged, or another."""
        header = header_at(top, at, self.layout.header_rows, self.cut, self.file)
        starts = np.array([_offset_of_line(self.content, n) for n in range(at)], dtype=np.int64)
        clocks = [header.names.index(name) for name in self.layout.time_columns if name in header.names]
        if not at or not clocks:
            return
        where = np.stack([spans(self.text, starts, np.full(at, n, dtype=np.int64), ord(self.cut)) for n in clocks])
        wide = np.array([len(cells_of(line, self.cut)) == len(header.names) for line in top[:at]])
        rows = np.flatnonzero(self.readable(self.text, where) & wide)
        if len(rows):
            raise FileError(
                f"a row stands before the header that was found on line {names + 1}",
                where=Place(self.file, int(rows[0]) + 1),
                remedy="look at the lines before that row: the header over it is not the one that the layout says",
            )

    # -------------------------------------------------------------------------------------------------------------- lines
    @property
    def kept(self) -> dict[str, int]:
        """The row of numbers and kinds for each heading that is kept."""
        return {name: n for n, name in enumerate(self.numeric)}

    def cells_over(self, lines: list[str]) -> list[list[str]]:
        """The cells of the header rows, of which the first of these lines is the first."""
        rows = lines[: len(self.layout.header_rows)]
        return [[normal(cell) for cell, _ in cells_of(row, self.cut)] for row in rows]

    def lines(self, begin: int, line: int, header: Header, over: list[list[str]]) -> _Lines:
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
        return _Lines(line, header, over, numbers, kinds, starts, found, seen, usual, beyond, np.flatnonzero(odd))

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

    def rows(self, lines: _Lines) -> tuple[NDArray[np.int64], int | None]:
        """Which of the lines are rows, and at which line another header begins (None where none does)."""
        drop: set[int] = set()
        turn = self.headers(lines, drop)
        count = len(lines.starts) if turn is None else turn
        wrong: list[int] = []
        for i in lines.odd.tolist():
            if i >= count or i in drop:
                continue
            cause = self.no_row(lines, i)
            if cause is None:
                if not self.cells_fit(lines, i):
                    wrong.append(i)
                continue
            drop.add(i)
            if cause:
                self.counting.add(cause, lines.first + i)
        self.last_row(lines, count, drop, wrong)
        if wrong:
            raise self.ragged(lines, wrong)
        keep = np.arange(count)
        return (np.delete(keep, sorted(i for i in drop if i < count)) if drop else keep), turn

    def headers(self, lines: _Lines, drop: set[int]) -> int | None:
        """Leaves out headers that return as they were, with the lines before them; stops at one that is another."""
        rows = self.layout.header_rows
        if not rows:
            return None
        names = rows.index(NAMES)
        times = {normal(name) for name in self.layout.time_columns} | {normal(self.layout.tag)} - {""}
        for i in lines.odd.tolist():
            if i in drop or not lines.found[i]:
                continue
            found = self.cells(lines, i)
            if _without_blanks(found) == _without_blanks(lines.over[names]):
                again = self.returned(lines, i, names)
                if again is None:
                    return self.before_header(lines, max(i - names, 0), drop)
                for n in again:
                    drop.add(n)
                    self.counting.add(RETURNED, lines.first + n)
                self.before_header(lines, again[0], drop)
            elif times <= set(found) and len(set(found) & self.known) * 2 > len([cell for cell in found if cell]):
                return self.before_header(lines, max(i - names, 0), drop)
        return None

    def returned(self, lines: _Lines, at: int, names: int) -> range | None:
        """The lines of a header that returns, whose row of names is at a line: all its rows word for word, or the names alone with
        rows of values around them; None where something else stands beside the names."""
        start = at - names
        beside = [n for n in range(start, start + len(lines.over)) if n != at]
        here = [n for n in beside if 0 <= n < len(lines.starts)]
        if here == beside and all(
            _without_blanks(self.cells(lines, n)) == _without_blanks(lines.over[n - start]) for n in here
        ):
            return range(start, start + len(lines.over))
        return range(at, at + 1) if not set(here) & set(lines.odd.tolist()) else None

    def cells(self, lines: _Lines, i: int) -> list[str]:
        """The cells of a line, as those of a header are compared."""
        return [normal(cell) for cell, _ in cells_of(self.line(lines, i), self.cut)]

    @property
    def known(self) -> set[str]:
        """Every name that the layout speaks of."""
        layout = self.layout
        quality = [column.quality for column in layout.columns]
        names = [*layout.time_columns, *layout.not_read, layout.tag, layout.value, layout.unit_column, *quality]
        return {normal(name) for name in (*names, *(column.heading for column in layout.columns))}

    def before_header(self, lines: _Lines, at: int, drop: set[int]) -> int:
        """Leaves out what a restart writes before its header; gives the line at which that begins.

        The lines before the first header may come again (known by the first of them), and the last row before may be cut off.
        """
        start = at
        if self.preamble and at >= self.preamble and self.line(lines, at - self.preamble) == self.before[0]:
            start = at - self.preamble
            for n in range(start, at):
                if n not in drop:
                    drop.add(n)
                    self.counting.add(RETURNED, lines.first + n)
        last = start - 1
        while last >= 0 and not lines.found[last]:
            last -= 1
        if last >= 0 and last not in drop and last in set(lines.odd.tolist()) and 0 < lines.found[last] < lines.usual:
            drop.add(last)
            self.counting.add(BEFORE_RESTART, lines.first + last)
        return start

    def no_row(self, lines: _Lines, i: int) -> str | None:
        """Why an odd line is no row; '' for an empty line, None where it has to be one."""
        if not lines.found[i]:
            return ""
        text = self.line(lines, i)
        if not text.strip("\0 \t" + self.cut):
            return NOUGHTS if "\0" in text else ""
        if any(text.startswith(begin) for begin in self.layout.left_out):
            return DECLARED
        return None

    def last_row(self, lines: _Lines, count: int, drop: set[int], wrong: list[int]) -> None:
        """Leaves out a last row that was cut off: too few cells, or no line end and nothing that proves it whole."""
        if count != len(lines.starts):
            return
        last = next((i for i in range(count - 1, -1, -1) if i not in drop), None)
        if last is None or wrong not in ([], [last]):
            return
        others = any(i not in drop for i in range(last - 1, -1, -1))
        short = others and lines.found[last] < lines.usual and last in wrong
        unended = not self.plain.ended and last == count - 1
        if short or (unended and not self.whole(lines, last, drop)):
            drop.add(last)
            self.counting.add(CUT_OFF, lines.first + last)
            if last in wrong:
                wrong.remove(last)

    def whole(self, lines: _Lines, last: int, drop: set[int]) -> bool:
        """Whether a last row without a line end must be whole: its last cell is written as those of the rows before.

        Either all of them end with the same sign that no number ends with (a quote, a separator), or all have the same decimals.
        """
        if not self.cells_fit(lines, last) or last in set(lines.odd.tolist()):
            return False
        others = [self.line(lines, i) for i in range(last - 1, max(-1, last - 100), -1) if i not in drop]
        mine = self.line(lines, last)
        if not others:
            return False
        signs = {line.rstrip(" ")[-1:] for line in others}
        if len(signs) == 1 and signs <= {'"', self.cut}:
            return mine.rstrip(" ")[-1:] in signs and mine.count(self.cut) == others[0].count(self.cut)
        decimals = {_decimals(line.split(self.cut)[-1], self.layout.decimal_sign) for line in others}
        own = _decimals(mine.split(self.cut)[-1], self.layout.decimal_sign)
        return len(decimals) == 1 and own > 0 and own in decimals

    def cells_fit(self, lines: _Lines, i: int) -> bool:
        """Whether a line has as many cells as the other rows, and none that has no heading."""
        return bool(lines.found[i] == lines.usual and i not in lines.beyond)

    def line(self, lines: _Lines, i: int) -> str:
        return _line(self.text, int(lines.starts[i]))

    # ------------------------------------------------------------------------------------------------------------ refusals
    def refuse_rows_above(self, before: int, lines: _Lines) -> None:
        """Refuses an export of which a line before the first row is a row itself: it has a line less above than the layout says."""
        rows = self.layout.header_rows
        names = {before + n for n, what in enumerate(rows) if what == NAMES}
        starts, at = [], 0
        for n in range(lines.first - 1):
            if n not in names and len(cells_of(_line(self.text, at), self.cut)) == lines.usual:
                starts.append((n, at))
            at = self.content.find(b"\n", at) + 1
            if not 0 < at < len(self.content):
                break
        if not starts:
            return
        where = np.array([start for _, start in starts], dtype=np.int64)
        clocks = [lines.header.names.index(name) for name in self.layout.time_columns if name in lines.header.names]
        timed = (
            self.readable(self.text, np.stack([self.spans(where, clock) for clock in clocks])) if clocks else where < 0
        )
        for (n, _), is_row in zip(starts, timed.tolist(), strict=True):
            if is_row:
                raise FileError(
                    "this line is a row, and the layout takes it for a line above the rows",
                    where=Place(self.file, n + 1),
                    remedy="this export has fewer lines above its rows than the one that the layout was made from: propose the layout anew",
                )

    def ragged(self, lines: _Lines, wrong: list[int]) -> FileError:
        quoted = [i for i in wrong if lines.found[i] == NO_LINE_OF_CELLS]
        if quoted:
            return FileError("a quoted cell does not end on its line", where=Place(self.file, lines.first + quoted[0]))
        named = ", ".join(f"{lines.first + i} ({lines.found[i]} cells)" for i in wrong[:SHOWN])
        more = f" and {len(wrong) - SHOWN} more" if len(wrong) > SHOWN else ""
        return FileError(
            f"line(s) {named}{more} do not have the {len(lines.header.names)} cells of the header",
            where=Place(self.file, lines.first + wrong[0]),
            remedy="check the separator in the layout, and whether the export was cut off or edited; no row is dropped in silence",
        )

    def refuse_other_meaning(self, first: Header, now: Header, line: int) -> None:
        """A header in mid-file may leave columns out or move them; a new column or another unit is refused."""
        said = []
        for name in now.names:
            if normal(name) not in self.known and not name.startswith("column "):
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
                where=Place(self.file, line),
                remedy="cut the export in two at this line, and give each piece its own layout",
            )


def _chosen(
    lines: _Lines, keep: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.uint8], NDArray[np.int64], NDArray[np.int64]]:
    """The rows among the lines: numbers, kinds, starts, and the line that each stands on."""
    count = len(keep)
    if count and keep[-1] == count - 1:  # nothing is left out in between
        return lines.numbers[:, :count], lines.kinds[:, :count], lines.starts[:count], np.arange(count) + lines.first
    return (
        np.ascontiguousarray(lines.numbers[:, keep]),
        np.ascontiguousarray(lines.kinds[:, keep]),
        lines.starts[keep],
        keep + lines.first,
    )


def _pieces(content: bytes, begin: int) -> list[tuple[int, int, int]]:
    """The text from an offset in pieces of whole lines: (first byte, behind the last, lines)."""
    found, start = [], begin
    while start < len(content):
        end = content.find(b"\n", min(start + PIECE, len(content) - 1)) + 1 or len(content)
        found.append((start, end, content.count(b"\n", start, end)))
        start = end
    return found


def _offset_of_line(content: bytes, number: int) -> int:
    """Where the line begins before which there are so many others; the end where there are not so many."""
    at = 0
    for _ in range(number):
        at = content.find(b"\n", at) + 1
        if not at:
            return len(content)
    return at


def _line(text: NDArray[np.uint8], start: int) -> str:
    end, step = start, 4096
    while True:
        piece = text[end : end + step].tobytes()
        at = piece.find(b"\n")
        if at >= 0 or not piece:
            return text[start : end + max(at, 0)].tobytes().decode(errors="replace")
        end += step


def _without_blanks(cells: list[str]) -> list[str]:
    """Cells without the blank ones at their end."""
    while cells and not cells[-1]:
        cells = cells[:-1]
    return cells


def _decimals(cell: str, sign: str) -> int:
    """How many decimals a cell shows; 0 for none, -1 where it is no such number."""
    whole, point, decimals = cell.strip().partition(sign)
    if not point:
        return 0
    return len(decimals) if decimals.isdigit() and whole.lstrip("+-").isdigit() else -1
