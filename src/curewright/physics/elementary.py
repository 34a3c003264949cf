"""Exponential and logarithm in plain arithmetic, so that loops over them run several numbers at a time.

The compiler calls the mathematics library number by number; these it can put into vector registers. Without branches. The exponential is
accurate to 1e-11 of itself, the logarithm to 1e-12: far below what a rate of cure is known to, and not a term longer than needed.
"""

from __future__ import annotations

import numpy as np

from curewright.physics.compiled import compiled, multiply_add

PER_LN2 = 1.4426950408889634
LN2_HIGH, LN2_LOW = (
    0.693147180369123816490,
    1.90821492927058770002e-10,
)  # their sum is ln 2; the first has 21 trailing zero bits
ROUNDING = 6755399441055744.0  # 1.5 × 2**52: adding it leaves the nearest whole number in the lowest bits
HALF_ROOT = 4604544271217802189  # the bits of √½

fused = multiply_add()


def _exponential(x: float) -> float:
    """e^x for -700 ≤ x ≤ 700; beyond, as at those ends.

    Splits x = n ln 2 + r and takes r by its series to the 9th power. Source: common practice.

    >>> bool(abs(exponential(1.0) - 2.718281828459045) < 3e-11)
    True
    """
    x = min(max(x, -700.0), 700.0)
    shifted = fused(x, PER_LN2, ROUNDING)
    n = shifted - ROUNDING
    r = fused(-n, LN2_LOW, fused(-n, LN2_HIGH, x))
    r2 = r * r
    low = fused(r2, fused(r, 1.0 / 6.0, 0.5), 1.0 + r)
    middle = fused(r2, fused(r, 1.0 / 5040.0, 1.0 / 720.0), fused(r, 1.0 / 120.0, 1.0 / 24.0))
    r4 = r2 * r2
    series = fused(r4, fused(r4, fused(r, 1.0 / 362880.0, 1.0 / 40320.0), middle), low)
    bits = np.float64(series).view(np.int64) + (np.float64(shifted).view(np.int64) << np.int64(52))
    return np.int64(bits).view(np.float64)


def _logarithm(x: float) -> float:
    """ln x for a positive normal number.

    Splits x = 2^k m with m between √½ and √2 and takes ln m = 2 artanh((m - 1)/(m + 1)) by its series to the 13th power.
    Source: common practice.

    >>> bool(abs(logarithm(10.0) - 2.302585092994046) < 1e-12)
    True
    """
    bits = np.float64(x).view(np.int64)
    k = (bits - np.int64(HALF_ROOT)) >> np.int64(52)
    m = np.int64(bits - (k << np.int64(52))).view(np.float64)
    s = (m - 1.0) / (m + 1.0)
    s2 = s * s
    s4 = s2 * s2
    a = fused(s4, fused(s2, 1.0 / 9.0, 1.0 / 7.0), fused(s2, 1.0 / 5.0, 1.0 / 3.0))
    b = fused(s2, 1.0 / 13.0, 1.0 / 11.0)
    twice = 2.0 * s
    series = fused(twice * s2, fused(s4 * s4, b, a), twice)
    return fused(float(k), LN2_HIGH, fused(float(k), LN2_LOW, series))


exponential = compiled("float64(float64)")(_exponential)
logarithm = compiled("float64(float64)")(_logarithm)
