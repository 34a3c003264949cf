"""Where a trace is at or above a level: exact crossings of its linear pieces, in three-valued logic.

A trace is ``t`` (int64, shape (n,) [ns], increasing), ``v`` (float64, shape (n,) [grains]) and ``link`` (uint8, shape
(n,)): ``link[i]`` is 0 where the stretch from sample i to i + 1 is known (linear, or held), else it is unknown. What
lies before the first and after the last sample is unknown. Blocks of :data:`BLOCK` samples carry their extremes, so
that a level which no sample of a block comes near costs nothing.

A crossing of level L between (t0, v0) and (t1, v1) is at t0 + (L - v0) / (v1 - v0) * (t1 - t0), rounded to whole
nanoseconds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real

BLOCK = 128
FALSE, UNKNOWN, TRUE = 0, 1, 2
FOREVER = 2**62


def _summarise(v: Floats, link: Bytes) -> tuple[Floats, Floats, Bytes]:
    n = v.shape[0]
    blocks = (n + 127) // 128
    low = np.empty(blocks, np.float64)
    high = np.empty(blocks, np.float64)
    broken = np.zeros(blocks, np.uint8)
    for k in range(blocks):
        first = k * 128
        last = min(first + 128, n)
        least = v[first]
        most = v[first]
        flags = np.uint8(0)
        for i in range(first, last):
            x = v[i]
            least = min(least, x)
            most = max(most, x)
            flags |= link[i]
        low[k] = least
        high[k] = most
        broken[k] = flags
    return low, high, broken


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
        k = i // 128
        if i % 128 == 0 and i + 128 < n and broken[k] == 0 and before != 1:
            following = v[i + 128]
            above = (low[k] > level and following > level) or (not strict and low[k] >= level and following >= level)
            under = (high[k] < level and following < level) or (strict and high[k] <= level and following <= level)
            if (above and before == 2) or (under and before == 0):
                i += 128
                continue
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
"""Least and greatest value and joined link flags of each block of 128 samples."""

level_changes = compiled(f"Tuple((int64[::1], uint8[:, ::1]))({_TRACE}, float64, boolean)")(_level_changes)
"""Instants at which ``v >= level`` (``v > level`` if strict) changes: times, and codes at and after each; unknown before the first."""
