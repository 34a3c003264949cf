"""Numbers of a column to grains, with what is no value marked, in one pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.read.kernels.cells import ABSENT, BLANK

if TYPE_CHECKING:
    from numpy.typing import NDArray

CODE, OUTSIDE, TOO_LARGE = 0, 1, 2  # what is counted


def _grains(
    numbers: NDArray[np.float64],
    kinds: NDArray[np.uint8],
    codes: NDArray[np.float64],
    how: NDArray[np.float64],
    grains: NDArray[np.float64],
    bad: NDArray[np.bool_],
) -> NDArray[np.int64]:
    """Fill ``grains`` and mark ``bad``; returns how many numbers were a code, outside the range, beyond what any instrument measures.

    numbers : float64, shape (n,): as written; NaN where there is none; kinds : uint8, shape (n,)
    codes : numbers that stand for no value
    how : the range of the unit in which a number is a value (low, high); (numerator, shift, denominator) of written number to unit,
    the unit's (offset, scale), 1 where grains are whole, -1 or 1 (a vacuum is negative gauge); the least and the greatest grains that
    an instrument can mean
    """
    counts = np.zeros(3, dtype=np.int64)
    low, high, numerator, shift, denominator, offset, scale = how[0], how[1], how[2], how[3], how[4], how[5], how[6]
    least, greatest = how[9], how[10]
    whole, sign, scaled = how[7] == 1.0, how[8], how[2] != 1.0 or how[3] != 0.0 or how[4] != 1.0
    for i in range(len(numbers)):
        number = numbers[i]
        if kinds[i] == BLANK or kinds[i] == ABSENT:
            grains[i] = np.nan
            continue
        wrong = bad[i]
        for code in codes:
            if number == code:
                wrong = True
                counts[CODE] += 1
        if scaled:
            number = (number * numerator + shift) / denominator
        if (number < low or number > high) and not wrong:
            wrong = True
            counts[OUTSIDE] += 1
        value = (number + offset) * scale
        if whole:
            value = np.rint(value)
        value = sign * value if sign != 1.0 else value
        if not wrong and (value < least or value > greatest):
            counts[TOO_LARGE] += 1
        grains[i] = value
        bad[i] = wrong
    return counts


grains = compiled("int64[::1](float64[::1], uint8[::1], float64[::1], float64[::1], float64[::1], boolean[::1])")(
    _grains
)
