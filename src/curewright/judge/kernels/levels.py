"""Where a trace is at or above a level: exact crossings of its linear pieces, in three-valued logic.

A trace is ``t`` (int64, shape (n,) [ns], increasing), ``v`` (float64, shape (n,) [grains]) and ``link`` (uint8, shape
(n,)): ``link[i]`` is 0 where the stretch from sample i to i + 1 is known (linear, or held), else it is unknown. What
lies before the first and after the last sample is unknown. Blocks of :data:`BLOCK` samples carry the extremes of their
samples and the next one, so that a level which no sample of a block comes near costs one look at two numbers.

A crossing of level L between (t0, v0) and (t1, v1) is at t0 + (L - v0) / (v1 - v0) * (t1 - t0), rounded to whole
nanoseconds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole

BLOCK = 128
FALSE, UNKNOWN, TRUE = 0, 1, 2
FOREVER = 2**62


def _outermost(v: Floats) -> tuple[Real, Real]:
    """Least and greatest of some values; as whole numbers, where they are, because the processor compares several at a time."""
    low, high = np.int64(v[0]), np.int64(v[0])
    odd = 0
    for i in range(v.shape[0]):
        whole = np.int64(v[i])
        low, high = min(low, whole), max(high, whole)
        odd += np.float64(whole) != v[i]
    if odd == 0:
        return np.float64(low), np.float64(high)
    least, most = v[0], v[0]
    for i in range(v.shape[0]):
        least, most = min(least, v[i]), max(most, v[i])
    return least, most


outermost = compiled("Tuple((float64, float64))(float64[::1])")(_outermost)


def _flags(link: Bytes) -> Whole:
    found = np.uint8(0)
    for i in range(link.shape[0]):
        found |= link[i]
    return found


flags = compiled("uint8(uint8[::1])")(_flags)


def _summarise(v: Floats, link: Bytes) -> tuple[Floats, Floats, Bytes]:
    n = v.shape[0]
    blocks = (n + BLOCK - 1) // BLOCK
    low = np.empty(blocks, np.float64)
    high = np.empty(blocks, np.float64)
    broken = np.empty(blocks, np.uint8)
    for k in range(blocks):
        first = k * BLOCK
        low[k], high[k] = outermost(v[first : min(first + BLOCK + 1, n)])
        broken[k] = flags(link[first : min(first + BLOCK, n)])
    return low, high, broken


def _quiet(
    v: Floats, link: Bytes, low: Floats, high: Floats, broken: Bytes, level: Real, strict: bool, i: Whole, code: Whole
) -> Whole:
    """The first sample from i on at which, or after which, something may change from ``code``."""
    final = v.shape[0] - 1
    while i < final:
        k = i // BLOCK
        if i % BLOCK == 0 and i + BLOCK <= final and broken[k] == 0:
            edge = low[k] if code == 2 else high[k]
            if (edge > level or (edge == level and not strict)) == (code == 2):
                i += BLOCK
                continue
        stop = min((k + 1) * BLOCK, final)
        while i < stop:
            x, y = v[i], v[i + 1]
            here, there = x > level or (x == level and not strict), y > level or (y == level and not strict)
            if link[i] != 0 or here != (code == 2) or there != here:
                return i
            i += 1
    return i


quiet = compiled(
    "int64(float64[::1], uint8[::1], float64[::1], float64[::1], uint8[::1], float64, boolean, int64, int64)"
)(_quiet)


def _level_changes(
    t: Ints, v: Floats, link: Bytes, hold: bool, low: Floats, high: Floats, broken: Bytes, level: Real, strict: bool
) -> tuple[Ints, Bytes]:
    n = t.shape[0]
    times = np.empty(16, np.int64)
    codes = np.empty((16, 2), np.uint8)
    count = 0
    before = np.uint8(1)
    equal = np.uint8(0) if strict else np.uint8(2)
    i = 0
    while i < n:
        if before != 1:
            i = quiet(v, link, low, high, broken, level, strict, i, before)
        x = v[i]
        here = np.uint8(2) if (x > level or (not strict and x == level)) else np.uint8(0)
        after = here
        crossing = np.int64(-1)
        if i + 1 == n or link[i] != 0:
            after = np.uint8(1)
        elif not hold:
            y = v[i + 1]
            there = np.uint8(2) if (y > level or (not strict and y == level)) else np.uint8(0)
            if there != here:
                step = t[i + 1] - t[i]
                crossing = t[i] + np.int64(np.rint((level - x) / (y - x) * step))
                crossing = min(max(crossing, t[i]), t[i + 1])
                if crossing == t[i]:
                    after = there
                    crossing = np.int64(-1)
                elif crossing == t[i + 1]:
                    crossing = np.int64(-1)
        if count + 2 > times.shape[0]:
            more = np.empty(2 * times.shape[0], np.int64)
            more[:count] = times[:count]
            wider = np.empty((2 * times.shape[0], 2), np.uint8)
            wider[:count] = codes[:count]
            times = more
            codes = wider
        if before != here or here != after:
            times[count] = t[i]
            codes[count, 0] = here
            codes[count, 1] = after
            count += 1
        before = after
        if crossing >= 0:
            times[count] = crossing
            codes[count, 0] = equal
            codes[count, 1] = there
            count += 1
            before = there
        i += 1
    return times[:count], codes[:count]


_TRACE = "int64[::1], float64[::1], uint8[::1], boolean, float64[::1], float64[::1], uint8[::1]"

summarise = compiled("Tuple((float64[::1], float64[::1], uint8[::1]))(float64[::1], uint8[::1])")(_summarise)
"""Least and greatest value of each block of 128 samples and the one after it, and the joined link flags of its samples."""

level_changes = compiled(f"Tuple((int64[::1], uint8[:, ::1]))({_TRACE}, float64, boolean)")(_level_changes)
"""Instants at which ``v >= level`` (``v > level`` if strict) changes: times, and codes at and after each; unknown before the first."""
