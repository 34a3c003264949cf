"""Which lines of an export are no rows: a header that returns, a last row that was cut off, what the layout leaves out, noughts.

Each is counted by its cause; a line that is none of these and does not fit the header is refused.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.read.header import NAMES, normal
from curewright.read.kernels.cells import NO_LINE_OF_CELLS
from curewright.read.plain import CELL
from curewright.terms.errors import FileError, Place
from curewright.terms.run import Counted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.read.lines import Lines, Source

TOLD = 60  # letters of a line that are told
SHOWN = 5  # so many lines are named in one message, and how many more there are
RETURNED, CUT_OFF, BEFORE_RESTART = (
    "a header that returned",
    "cut off at the end of the file",
    "cut off before a restart",
)
DECLARED, NOUGHTS = "lines that the layout leaves out", "lines of noughts"


class LeftOut:
    """What is left out, by cause, while the parts of a table are made. ``before``: the lines before the first header."""

    def __init__(self, source: Source, before: tuple[str, ...]) -> None:
        self.source, self.before = source, before
        self.lines: dict[str, list[tuple[int, str]]] = {}

    def add(self, cause: str, line: int, text: str = "") -> None:
        """Counts a line of the file (from 1), with what stands in it where that is told."""
        self.lines.setdefault(cause, []).append((line, _shortened(text)))

    def counted(self) -> tuple[Counted, ...]:
        """What was left out, by cause."""
        found = []
        for cause, lines in self.lines.items():
            first = sorted(lines)[:SHOWN]
            texts = tuple(text for _, text in first) if any(text for _, text in first) else ()
            numbers = tuple(line for line, _ in first)
            found.append(Counted(cause, "rows", len(lines), numbers, left_out=True, texts=texts))
        return tuple(found)

    def rows(self, lines: Lines) -> tuple[NDArray[np.int64], int | None]:
        """Which of the lines are rows, and at which line another header begins (None where none does)."""
        drop: set[int] = set()
        turn = self._headers(lines, drop)
        count = len(lines.starts) if turn is None else turn
        wrong: list[int] = []
        for i in lines.odd.tolist():
            if i >= count or i in drop:
                continue
            cause = self._no_row(lines, i)
            if cause is None:
                if not lines.fits(i):
                    wrong.append(i)
                continue
            drop.add(i)
            if cause:
                self.add(cause, lines.first + i, lines.line(i) if cause == DECLARED else "")
        self._last_row(lines, count, drop, wrong)
        if wrong:
            raise self._ragged(lines, wrong)
        keep = np.arange(count)
        return (np.delete(keep, sorted(i for i in drop if i < count)) if drop else keep), turn

    def _headers(self, lines: Lines, drop: set[int]) -> int | None:
        """Leaves out headers that return as they were, with the lines before them; stops at one that is another."""
        rows = self.source.layout.header_rows
        if not rows:
            return None
        names = rows.index(NAMES)
        times = {normal(name) for name in self.source.layout.time_columns} | {normal(self.source.layout.tag)} - {""}
        for i in lines.odd.tolist():
            if i in drop or not lines.found[i]:
                continue
            found = lines.cells(i)
            if _without_blanks(found) == _without_blanks(lines.over[names]):
                again = self._returned(lines, i, names)
                if again is None:
                    return self._before_header(lines, max(i - names, 0), drop)
                for n in again:
                    drop.add(n)
                    self.add(RETURNED, lines.first + n)
                self._before_header(lines, again[0], drop)
            elif times <= set(found) and len(set(found) & self.source.known) * 2 > len(
                [cell for cell in found if cell]
            ):
                return self._before_header(lines, max(i - names, 0), drop)
        return None

    def _returned(self, lines: Lines, at: int, names: int) -> range | None:
        """The lines of a header that returns, whose row of names is at a line: all its rows word for word, or the names alone with
        rows of values around them; None where something else stands beside the names."""
        start = at - names
        beside = [n for n in range(start, start + len(lines.over)) if n != at]
        here = [n for n in beside if 0 <= n < len(lines.starts)]
        if here == beside and all(
            _without_blanks(lines.cells(n)) == _without_blanks(lines.over[n - start]) for n in here
        ):
            return range(start, start + len(lines.over))
        return range(at, at + 1) if not set(here) & set(lines.odd.tolist()) else None

    def _before_header(self, lines: Lines, at: int, drop: set[int]) -> int:
        """Leaves out what a restart writes before its header; gives the line at which that begins.

        The lines before the first header may come again (known by the first of them), and the last row before may be cut off.
        """
        start = at
        if len(self.before) and at >= len(self.before) and lines.line(at - len(self.before)) == self.before[0]:
            start = at - len(self.before)
            for n in range(start, at):
                if n not in drop:
                    drop.add(n)
                    self.add(RETURNED, lines.first + n)
        last = start - 1
        while last >= 0 and not lines.found[last]:
            last -= 1
        if last >= 0 and last not in drop and last in set(lines.odd.tolist()) and 0 < lines.found[last] < lines.usual:
            drop.add(last)
            self.add(BEFORE_RESTART, lines.first + last, lines.line(last))
        return start

    def _no_row(self, lines: Lines, i: int) -> str | None:
        """Why an odd line is no row; '' for an empty line, None where it has to be one."""
        if not lines.found[i]:
            return ""
        text = lines.line(i)
        if not text.strip("\0 \t" + self.source.cut):
            return NOUGHTS if "\0" in text else ""
        if any(text.startswith(begin) for begin in self.source.layout.left_out):
            return DECLARED
        return None

    def _last_row(self, lines: Lines, count: int, drop: set[int], wrong: list[int]) -> None:
        """Leaves out a last row that was cut off: too few cells, or no line end and nothing that proves it whole."""
        if count != len(lines.starts):
            return
        last = next((i for i in range(count - 1, -1, -1) if i not in drop), None)
        if last is None or wrong not in ([], [last]):
            return
        others = any(i not in drop for i in range(last - 1, -1, -1))
        short = others and lines.found[last] < lines.usual and last in wrong
        unended = not self.source.plain.ended and last == count - 1
        if short or (unended and not self._whole(lines, last, drop)):
            drop.add(last)
            self.add(CUT_OFF, lines.first + last, lines.line(last))
            if last in wrong:
                wrong.remove(last)

    def _whole(self, lines: Lines, last: int, drop: set[int]) -> bool:
        """Whether a last row without a line end must be whole: its last cell is written as those of the rows before.

        Either all of them end with the same sign that no number ends with (a quote, a separator), or all have the same decimals.
        """
        if not lines.fits(last) or last in set(lines.odd.tolist()):
            return False
        others = [lines.line(i) for i in range(last - 1, max(-1, last - 100), -1) if i not in drop]
        mine = lines.line(last)
        if not others:
            return False
        signs = {line.rstrip(" ")[-1:] for line in others}
        if len(signs) == 1 and signs <= {'"', self.source.cut}:
            return mine.rstrip(" ")[-1:] in signs and mine.count(self.source.cut) == others[0].count(self.source.cut)
        decimals = {_decimals(line.split(self.source.cut)[-1], self.source.layout.decimal_sign) for line in others}
        own = _decimals(mine.split(self.source.cut)[-1], self.source.layout.decimal_sign)
        return len(decimals) == 1 and own > 0 and own in decimals

    def _ragged(self, lines: Lines, wrong: list[int]) -> FileError:
        quoted = [i for i in wrong if lines.found[i] == NO_LINE_OF_CELLS]
        if quoted:
            return FileError(
                "a quoted cell does not end on its line", where=Place(self.source.file, lines.first + quoted[0])
            )
        named = ", ".join(f"{lines.first + i} ({lines.found[i]} cells)" for i in wrong[:SHOWN])
        more = f" and {len(wrong) - SHOWN} more" if len(wrong) > SHOWN else ""
        return FileError(
            f"line(s) {named}{more} do not have the {len(lines.header.names)} cells of the header",
            where=Place(self.source.file, lines.first + wrong[0]),
            remedy="check the separator in the layout, and whether the export was cut off or edited; no row is dropped in silence. "
            "A line that the recorder spoilt is named under 'lines left out' in the layout, by its beginning, and counted",
        )


def _shortened(text: str) -> str:
    """The text of a line as it is told: no longer than it takes to know it again, with what separates cells seen."""
    words = " ".join(text.replace(CELL, " | ").replace("\0", " ").split())
    return words if len(words) <= TOLD else f"{words[: TOLD - 1]}…"


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
