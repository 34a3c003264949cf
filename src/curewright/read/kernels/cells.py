"""Cells of delimited text to numbers, one pass over the bytes.

A number is an optional sign, digits, and at most one decimal sign, of at most 15 significant digits and 22 decimals. Such a number is an
exact whole number divided by an exact power of ten, so that the result is the correctly rounded double (Clinger 1990, "How to read
floating point numbers accurately"), the same as ``float()`` gives. Everything else is left to the slow and careful reading in
Python: no cell is ever guessed at here.

Every line of the text ends with a new line. A cell may stand in quotes; a quote inside is doubled. Blanks around a cell are not of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

NUMBER, BLANK, TEXT, ABSENT = 0, 1, 2, 3  # what a cell turned out to be
NO_LINE_OF_CELLS = -1  # instead of a count of cells: a quoted cell does not end on its line
MOST_DIGITS, MOST_DECIMALS = 15, 22
QUICK_DIGITS = 18  # so many digits fit into 64 bits whatever they are
LARGEST = 10**MOST_DIGITS
NO_SIGN = -1  # no byte
NEW_LINE, SPACE, TAB, QUOTE, PLUS, MINUS, ZERO, NINE = 10, 32, 9, 34, 43, 45, 48, 57
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


def _quick(text: NDArray[np.uint8], i: int, separator: int, decimal_sign: int) -> tuple[int, float]:
    """``(behind, value)`` of a plain number that begins at ``i`` and ends at a separator or new line; -1 for all else."""
    code = int(text[i])
    negative = code == MINUS
    if negative:
        i += 1
        code = int(text[i])
    first, whole = i, 0
    while ZERO <= code <= NINE:
        whole = whole * 10 + (code - ZERO)
        i += 1
        code = int(text[i])
    digits, decimals = i - first, 0
    if code == decimal_sign:
        i += 1
        point = i
        code = int(text[i])
        while ZERO <= code <= NINE:
            whole = whole * 10 + (code - ZERO)
            i += 1
            code = int(text[i])
        decimals = i - point
        digits += decimals
    if (code != separator and code != NEW_LINE) or digits == 0 or digits > QUICK_DIGITS or whole >= LARGEST:
        return -1, 0.0
    value = float(whole) / POWERS[decimals]
    return i, -value if negative else value


def _cell(text: NDArray[np.uint8], start: int, separator: int) -> tuple[int, int, int]:
    """``(first, behind the last, behind the cell)`` of the bare cell that begins at ``start``; -1 for quotes that do not end."""
    while text[start] != separator and (text[start] == SPACE or text[start] == TAB):
        start += 1
    if text[start] == QUOTE:
        start += 1
        end = start
        while text[end] != NEW_LINE and (text[end] != QUOTE or text[end + 1] == QUOTE):
            end += 2 if text[end] == QUOTE else 1
        behind = end + 1
        while text[end] == QUOTE and text[behind] != separator and (text[behind] == SPACE or text[behind] == TAB):
            behind += 1
        if text[end] != QUOTE or (text[behind] != separator and text[behind] != NEW_LINE):
            return start, end, -1
        while start < end and (text[start] == SPACE or text[start] == TAB):
            start += 1
    else:
        end = start
        while text[end] != separator and text[end] != NEW_LINE:
            end += 1
        behind = end
    while end > start and (text[end - 1] == SPACE or text[end - 1] == TAB):
        end -= 1
    return start, end, behind


def _cells(
    text: NDArray[np.uint8],
    stretch: NDArray[np.int64],
    signs: NDArray[np.int64],
    kept: NDArray[np.int64],
    numbers: NDArray[np.float64],
    kinds: NDArray[np.uint8],
    starts: NDArray[np.int64],
    found: NDArray[np.int64],
    seen: NDArray[np.int64],
) -> None:
    """Read the lines of ``text[stretch[0]:stretch[1]]`` into the rows from ``stretch[2]`` on.

    text : uint8, every line ended by a new line; signs : separator, decimal sign
    kept : int64, shape (columns of the file,): the row of ``numbers`` and ``kinds`` that a column goes to, or -1
    numbers : float64, kinds : uint8, shape (kept columns, rows)
    starts : int64, shape (rows,): where each line begins
    found : int64, shape (rows,): how many cells it has, 0 for an empty line, or NO_LINE_OF_CELLS
    seen : int64, shape (kept columns, 3): how many cells were numbers, blank, text; added to
    """
    i, end, row = stretch[0], stretch[1], stretch[2]
    separator, decimal_sign = signs[0], signs[1]
    plain_sign = (
        decimal_sign if decimal_sign != separator else NO_SIGN
    )  # one sign for both: decimals stand in quotes only
    columns = len(kept)
    while i < end:
        starts[row] = i
        column, whole, going = 0, True, True
        while going:
            store = kept[column] if column < columns else -1
            behind = -1
            if store >= 0:
                behind, value = quick(text, i, separator, plain_sign)
            if behind >= 0:
                numbers[store, row] = value
                kinds[store, row] = NUMBER
                seen[store, NUMBER] += 1
            else:
                first, past, behind = cell(text, i, separator)
                if behind < 0:
                    whole = False
                    behind = past
                    while text[behind] != NEW_LINE:
                        behind += 1
                elif store >= 0:
                    kind = BLANK
                    if first < past:
                        is_number, value = number(
                            text, first, past, decimal_sign if text[first - 1] == QUOTE else plain_sign
                        )
                        kind = NUMBER if is_number else TEXT
                        numbers[store, row] = value
                    kinds[store, row] = kind
                    seen[store, kind] += 1
            going = text[behind] == separator
            i = behind + 1
            column += 1
        if not whole:
            found[row] = NO_LINE_OF_CELLS
        elif column == 1 and bare(text, starts[row], i - 1):
            found[row] = 0
        else:
            found[row] = column
        row += 1


def _bare(text: NDArray[np.uint8], start: int, end: int) -> bool:
    """Whether nothing but blanks stands in ``text[start:end]``."""
    while start < end and (text[start] == SPACE or text[start] == TAB):
        start += 1
    return start >= end


def _spans(
    text: NDArray[np.uint8], lines: NDArray[np.int64], columns: NDArray[np.int64], separator: int
) -> NDArray[np.int64]:
    """First and last offset, int64, shape (rows, 2), of one cell in each of the lines that begin at ``lines``.

    columns : int64, shape (rows,): which cell; where a line has no such cell, the span is empty
    """
    found = np.zeros((len(lines), 2), dtype=np.int64)
    for row in range(len(lines)):
        i, going = lines[row], columns[row] >= 0
        for column in range(columns[row] + 1):
            first, past, behind = cell(text, i, separator)
            if column == columns[row] and behind >= 0:
                found[row, 0], found[row, 1] = first, past
            going = behind >= 0 and text[behind] == separator
            if not going:
                break
            i = behind + 1
    return found


TEXT_BYTES = "Array(uint8, 1, 'C', readonly=True)"
number = compiled(f"Tuple((boolean, float64))({TEXT_BYTES}, int64, int64, int64)")(_number)
quick = compiled(f"Tuple((int64, float64))({TEXT_BYTES}, int64, int64, int64)")(_quick)
bare = compiled(f"boolean({TEXT_BYTES}, int64, int64)")(_bare)
cell = compiled(f"UniTuple(int64, 3)({TEXT_BYTES}, int64, int64)")(_cell)
cells = compiled(
    f"void({TEXT_BYTES}, int64[::1], int64[::1], int64[::1], float64[:, ::1], uint8[:, ::1], int64[::1], int64[::1], int64[:, ::1])"
)(_cells)
spans = compiled(f"int64[:, ::1]({TEXT_BYTES}, int64[::1], int64[::1], int64)")(_spans)
