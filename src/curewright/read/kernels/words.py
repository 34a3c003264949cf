"""The different texts of a column, found in one pass over their bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

MASK = 2**50 - 1  # a mark times 257 fits into 64 bits


def _words(text: NDArray[np.uint8], spans: NDArray[np.int64], which: NDArray[np.int64]) -> NDArray[np.int64]:
    """The first row of each different text, in order of appearance; ``which`` gets, for each row, the number of its text.

    spans : int64, shape (rows, 2), first and last byte of each cell; which : int64, shape (rows,)
    """
    rows = len(spans)
    size = 64
    table = np.full(size, -1, dtype=np.int64)
    first = np.empty(64, dtype=np.int64)
    marks = np.empty(64, dtype=np.int64)
    found = 0
    for row in range(rows):
        mark = 0
        for i in range(spans[row, 0], spans[row, 1]):
            mark = (mark * 257 + int(text[i]) + 1) & MASK
        slot = (mark ^ (mark >> 20)) & (size - 1)
        while table[slot] >= 0 and not (marks[table[slot]] == mark and same(text, spans, row, first[table[slot]])):
            slot = (slot + 1) & (size - 1)
        if table[slot] < 0:
            if found == len(first):
                first = np.concatenate((first, np.empty(found, dtype=np.int64)))
                marks = np.concatenate((marks, np.empty(found, dtype=np.int64)))
            first[found], marks[found] = row, mark
            table[slot] = found
            found += 1
            which[row] = found - 1
            if 2 * found > size:
                size *= 4
                table = np.full(size, -1, dtype=np.int64)
                for word in range(found):
                    slot = (marks[word] ^ (marks[word] >> 20)) & (size - 1)
                    while table[slot] >= 0:
                        slot = (slot + 1) & (size - 1)
                    table[slot] = word
        else:
            which[row] = table[slot]
    return first[:found].copy()


def _same(text: NDArray[np.uint8], spans: NDArray[np.int64], one: int, other: int) -> bool:
    """Whether the cells of two rows hold the same bytes."""
    length = spans[one, 1] - spans[one, 0]
    if length != spans[other, 1] - spans[other, 0]:
        return False
    i = 0
    while i < length and text[spans[one, 0] + i] == text[spans[other, 0] + i]:
        i += 1
    return bool(i == length)


same = compiled("boolean(Array(uint8, 1, 'C', readonly=True), int64[:, ::1], int64, int64)")(_same)
words = compiled("int64[::1](Array(uint8, 1, 'C', readonly=True), int64[:, ::1], int64[::1])")(_words)
