"""The cells of one column as samples: numbers to grains, texts to states, each blank, code and poor reading by what the layout says."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.read.kernels.cells import ABSENT, BLANK, TEXT
from curewright.read.kernels.samples import CODE, OUTSIDE, TOO_LARGE, grains
from curewright.read.layout import LOST
from curewright.read.plain import CROSSES
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.read.layout import Column, Layout
    from curewright.read.table import Table
    from curewright.terms.units import Unit

LARGEST = 9e15  # grains: up to here whole numbers are exact
HOTTEST = 3000e6  # µK
MOST_ERRORS = 20  # so many cells of an export are named; the rest are counted
NAME_THE_CODE = "if it stands for an open circuit or a fault, name it under 'open codes' in the layout"
BLANK_CELL, OPEN_CODE, OUT_OF_RANGE, POOR = "blank", "open code", "outside of the range", "quality"


@dataclass(frozen=True, eq=False)
class Samples:
    """One column's cells before they are resolved: grains (or indices of states), which are there, which are bad.

    ``flagged`` says which rows are bad and why, by cause.
    """

    grains: NDArray[np.float64]
    present: NDArray[np.bool_] | None  # None: all of them
    bad: NDArray[np.bool_]
    states: tuple[str, ...] = ()
    flagged: tuple[tuple[str, NDArray[np.int64]], ...] = ()


def samples_of(
    made: Table, column: Column, layout: Layout, rows: NDArray[np.int64] | None
) -> tuple[Samples, list[CurewrightError]]:
    """The samples of a column, in all rows of the table or in those named, and every cell that is no value."""
    return _Cells(made, column, layout, rows).samples()


class _Cells:
    """The cells of one column: which are bad, and why, as far as it is found."""

    def __init__(self, made: Table, column: Column, layout: Layout, rows: NDArray[np.int64] | None) -> None:
        self.made, self.column, self.layout, self.rows = made, column, layout, rows
        self.heading = layout.value or column.heading
        self.bad = np.zeros(len(made.row) if rows is None else len(rows), dtype=np.bool_)
        self.flagged: list[tuple[str, NDArray[np.int64]]] = []
        self.refused: list[CurewrightError] = []

    def of_rows(self, values: NDArray[Any]) -> NDArray[Any]:
        """The part of an array over the table's rows that belongs to the column."""
        return values if self.rows is None else values[self.rows]

    def at(self, which: NDArray[np.bool_]) -> NDArray[np.int64]:
        """Where in the table the marked rows of the column stand."""
        found = np.flatnonzero(which)
        return found if self.rows is None else self.rows[found]

    def flag(self, cause: str, which: NDArray[np.bool_]) -> None:
        """Notes on which lines a cause stands."""
        self.flagged.append((cause, self.made.row[self.at(which)]))

    def samples(self) -> tuple[Samples, list[CurewrightError]]:
        """Values, with those marked that are blank or bad, and what is refused."""
        states: tuple[str, ...] = ()
        if self.column.unit is None:
            values, states, blank, absent = self._states()
        else:
            values, blank, absent = self._numbers(self.column.unit)
        if self.column.quality:
            self._mark_poor(blank)
        present = None if blank is None else ~blank
        if blank is not None and self.column.blank == LOST:
            lost = blank if absent is None else blank & ~absent
            self.flag(BLANK_CELL, lost)
            self.bad |= lost
            present = None if absent is None else ~absent
        return Samples(values, present, self.bad, states, tuple(self.flagged)), self.refused

    def _mark_poor(self, blank: NDArray[np.bool_] | None) -> None:
        words, which = self.made.words(self.column.quality)
        poor = ~np.array([word in self.column.good for word in words])[self.of_rows(which)]
        if blank is not None:
            poor &= ~blank
        self.flag(POOR, poor & ~self.bad)
        self.bad |= poor

    def _states(
        self,
    ) -> tuple[NDArray[np.float64], tuple[str, ...], NDArray[np.bool_] | None, NDArray[np.bool_] | None]:
        """Indices into the states of a text column, in order of appearance; declared codes are bad."""
        words, which = self.made.words(self.heading)
        if self.rows is not None:
            which = which[self.rows]
            there = set(which.tolist())
            words = [word if i in there else "" for i, word in enumerate(words)]
        codes = self.column.open_codes
        states = tuple(word for word in words if word and word not in codes)
        index = np.array([states.index(word) if word in states else -1 for word in words], dtype=np.float64)
        self.bad |= np.isin(which, [i for i, word in enumerate(words) if word in codes])
        if self.bad.any():
            self.flag(OPEN_CODE, self.bad)
        blank = np.isin(which, [i for i, word in enumerate(words) if not word])
        return index[which], states, blank if blank.any() else None, self._absent()

    def _absent(self) -> NDArray[np.bool_] | None:
        """Rows of parts of the file that have no such column; None where there are none."""
        parts = self.made.parts
        absent = np.zeros(len(self.made.row), dtype=np.bool_)
        for part, end in zip(parts, [*(part.first for part in parts[1:]), len(absent)], strict=True):
            if self.heading not in part.at:
                absent[part.first : end] = True
        absent = self.of_rows(absent)
        return absent if absent.any() else None

    def _numbers(self, unit: Unit) -> tuple[NDArray[np.float64], NDArray[np.bool_] | None, NDArray[np.bool_] | None]:
        """Grains of a column of numbers, which cells are blank, and which are absent."""
        made, column, at = self.made, self.column, self.made.column(self.heading)
        numbers, kinds = self.of_rows(made.numbers[at]), self.of_rows(made.kinds[at])
        texts = bool(made.seen[at, TEXT])
        if texts:
            numbers = numbers.copy()
            self._read_texts(kinds, numbers)
            self.flag(OPEN_CODE, self.bad)
        words_bad = self.bad.copy() if texts else np.zeros_like(self.bad)
        out = np.empty(len(numbers))
        low, high = column.inside or (-np.inf, np.inf)
        sign = -1.0 if unit.reference == "vacuum" else 1.0
        least, greatest = possible(unit)
        how = np.array([low, high, *column.scaled, unit.offset, unit.scale, float(unit.snapped), sign, least, greatest])
        counts = grains(numbers, kinds, np.array(column.open_numbers, dtype=np.float64), how, out, self.bad)
        if counts[CODE] or counts[OUTSIDE]:
            new = self.bad & ~words_bad
            code = np.isin(numbers, column.open_numbers) & (kinds != BLANK) & (kinds != ABSENT) & new
            self.flag(OPEN_CODE, code)
            self.flag(OUT_OF_RANGE, new & ~code)
        if counts[TOO_LARGE]:
            self._refuse_impossible(~self.bad & ((out < least) | (out > greatest)))
        if made.full and not made.seen[at, BLANK]:
            return out, None, None
        absent = kinds == ABSENT
        blank = (kinds == BLANK) | absent
        return out, blank if blank.any() else None, absent if absent.any() else None

    def _read_texts(self, kinds: NDArray[np.uint8], numbers: NDArray[np.float64]) -> None:
        """What the quick reading left: declared codes (bad), long numbers and exponents (read), and the rest (refused)."""
        column, thousands = self.column, self.layout.thousands
        rows, there = np.flatnonzero(kinds == TEXT), self.at(kinds == TEXT)
        number = written_number(column.decimal_sign, thousands)
        for row, at, text in zip(rows.tolist(), there.tolist(), self.made.texts(self.heading, there), strict=True):
            numbers[row] = np.nan
            plain_text = text.strip("\N{NO-BREAK SPACE}").replace("\N{MINUS SIGN}", "-", 1)
            if text in column.open_codes:
                self.bad[row] = True
            elif number.fullmatch(plain_text):
                if thousands:
                    plain_text = plain_text.replace(thousands, "").replace("\N{NO-BREAK SPACE}", "")
                numbers[row] = float(plain_text.replace(column.decimal_sign, "."))
                if numbers[row] in column.open_numbers:
                    self.bad[row] = True
            else:
                self._refuse_text(text, at)

    def _refuse_text(self, text: str, row: int) -> None:
        where, column = self._place(row, len(self.refused)), self.column
        if text.endswith(CROSSES):
            error = FileError(
                f"'{text.removesuffix(CROSSES)}' goes on over the end of the column '{column.heading}'",
                expected="numbers that stand within the widths of their columns",
                where=where,
                remedy="correct 'widths' in the layout; where the recorder ran out of room, have it write wider columns or separators",
            )
        else:
            error = FileError(
                f"'{text}' in the column '{column.heading}' is neither a number (decimal sign '{column.decimal_sign}') nor a declared code",
                where=where,
                remedy=NAME_THE_CODE,
            )
        self.refused.append(error)

    def _refuse_impossible(self, wrong: NDArray[np.bool_]) -> None:
        rows = self.at(wrong)
        self.refused += [
            FileError(
                f"'{text}' in the column '{self.column.heading}' is nothing that an instrument can have measured",
                where=self._place(row, i),
                remedy=NAME_THE_CODE,
            )
            for i, (row, text) in enumerate(zip(rows.tolist(), self.made.texts(self.heading, rows), strict=True))
        ]

    def _place(self, row: int, before: int) -> Place:
        """Where a refused cell stands; only the first few are told so, since finding out takes a while."""
        return self.made.place(self.heading, row) if before < MOST_ERRORS else Place(self.made.file)


def written_number(decimal_sign: str, thousands: str = "") -> re.Pattern[str]:
    """A number as a recorder writes it: digits, a decimal sign, an exponent, and thousands where they are declared."""
    sign = re.escape(decimal_sign)
    whole = "[0-9]+"
    if thousands:
        mark = "[ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]" if thousands == " " else re.escape(thousands)
        whole = rf"(?:[0-9]{{1,3}}(?:{mark}[0-9]{{3}})+|[0-9]+)"
    return re.compile(rf"[+-]?({whole}({sign}[0-9]*)?|{sign}[0-9]+)([eE][+-]?[0-9]+)?")


def possible(unit: Unit) -> tuple[float, float]:
    """The least and the greatest grains that a reading in a unit can mean at all: what lies beyond is a code that nobody declared.

    Temperatures from absolute zero to 3000 K (beyond any thermocouple). Pressures from nothing (5 kPa less, for a gauge's own zero)
    to where whole numbers are no longer exact; against the atmosphere from 115 kPa below it (the highest ever at sea level is 108.5).
    """
    if unit.quantity == "temperature":
        return 0.0, HOTTEST
    if unit.quantity == "pressure":
        return (-5e6 if unit.reference == "absolute" else -115e6), LARGEST
    return -LARGEST, LARGEST
