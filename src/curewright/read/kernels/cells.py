"""Cells of delimited text to numbers, one pass over the bytes.

A number is an optional sign, digits, and at most one decimal sign, of at most 15 significant digits and 22 decimals. Such a number is an
exact whole number divided by an exact power of ten, so that the result is the correctly rounded double (Clinger 1990, "How to read
floating point numbers accurately"), the same as ``float()`` gives. Everything else is left to the slow and careful reading in
Python: no cell is ever guessed at here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

NUMBER, BLANK, TEXT = 0, 1, 2  # what a cell turned out to be
MOST_DIGITS, MOST_DECIMALS = 15, 22
NEW_LINE, SPACE, TAB, PLUS, MINUS, ZERO, NINE = 10, 32, 9, 43, 45, 48, 57
POWERS = tuple(10.0**k for k in range(MOST_DECIMALS + 1))


def _number(text: NDArray[np.uint8], start: int, end: int, decimal_sign: int) -> tuple[bool, float]:
    """``(is one, value)`` of the cell in ``text[start:end]``."""
    negative = text[start] == MINUS
    if negative or text[start] == PLUS:
        start += 1
    whole, digits, significant, decimals, point = 0, 0, 0, 0, False
    for i in range(start, end):
        code = int(text[i])  # a byte does not hold what follows
        if ZERO <= code <= NINE:
            digits += 1
            if whole > 0 or code > ZERO:
                significant += 1
            if significant > MOST_DIGITS:
                return False, 0.0
            whole = whole * 10 + (code - ZERO)
            if point:
                decimals += 1
        elif code == decimal_sign and not point:
            point = True
        else:
            return False, 0.0
    if digits == 0 or decimals > MOST_DECIMALS:
        return False, 0.0
    value = float(whole) / POWERS[decimals]
    return True, -value if negative else value


def _cells(
    text: NDArray[np.uint8],
    lines: NDArray[np.int64],
    separator: int,
    decimal_sign: int,
    numbers: NDArray[np.float64],
    kinds: NDArray[np.uint8],
) -> NDArray[np.int64]:
    """Fill ``numbers`` and ``kinds`` from the lines that begin at ``lines``; returns how many cells each row has.

    text : uint8, shape (bytes,), every line ended by a new line, no quotes; lines : int64, shape (rows,), offsets of first bytes
    numbers : float64, kinds : uint8, shape (columns, rows)
    Surrounding spaces and tabs do not belong to a cell. Cells beyond the last column are counted, not kept.
    """
    columns = numbers.shape[0]
    found = np.zeros(len(lines), dtype=np.int64)
    for row in range(len(lines)):
        i, column, going = lines[row], 0, True
        while going:
            start, end = cell(text, i, separator)
            i = end
            while text[i] != separator and text[i] != NEW_LINE:
                i += 1
            going = text[i] == separator
            i += 1
            if column < columns:
                if start == end:
                    kinds[column, row] = BLANK
                else:
                    is_number, value = number(text, start, end, decimal_sign)
                    kinds[column, row] = NUMBER if is_number else TEXT
                    numbers[column, row] = value
            column += 1
        found[row] = column
    return found


def _cell(text: NDArray[np.uint8], start: int, separator: int) -> tuple[int, int]:
    """``(first, behind the last)`` byte of the bare cell that begins at ``start``."""
    end = start
    while text[end] != separator and text[end] != NEW_LINE:
        end += 1
    while start < end and (text[start] == SPACE or text[start] == TAB):
        start += 1
    while end > start and (text[end - 1] == SPACE or text[end - 1] == TAB):
        end -= 1
    return start, end


def _spans(text: NDArray[np.uint8], lines: NDArray[np.int64], separator: int, column: int) -> NDArray[np.int64]:
    """First and last offset, int64, shape (rows, 2), of one column's cell in the lines that begin at ``lines``; all have the column."""
    found = np.zeros((len(lines), 2), dtype=np.int64)
    for row in range(len(lines)):
        i = lines[row]
        for _ in range(column):
            while text[i] != separator:
                i += 1
            i += 1
        found[row, 0], found[row, 1] = cell(text, i, separator)
    return found


number = compiled("Tuple((boolean, float64))(uint8[::1], int64, int64, int64)")(_number)
cell = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64)")(_cell)
cells = compiled("int64[::1](uint8[::1], int64[::1], int64, int64, float64[:, ::1], uint8[:, ::1])")(_cells)
spans = compiled("int64[:, ::1](uint8[::1], int64[::1], int64, int64)")(_spans)
