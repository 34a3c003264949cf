"""Where the greatest of all differences of two groups of traces is at or below a level.

All traces are sampled together and known throughout. The greatest difference is convex between samples: where it is
within the level at both ends of a piece it is so between; else the part of the piece in which every difference is
within the level is found exactly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole


def _inside(tops: Floats, bottoms: Floats, k: Whole, level: Real) -> tuple[Real, Real]:
    """From which to which share of the piece from sample k to k + 1 all differences are within the level (first > last:
    nowhere).
    """
    begin, finish = 0.0, 1.0
    for i in range(tops.shape[0]):
        for j in range(bottoms.shape[0]):
            a = tops[i, k] - bottoms[j, k] - level
            b = tops[i, k + 1] - bottoms[j, k + 1] - level
            if a > 0.0 and b > 0.0:
                return 1.0, 0.0
            if a > 0.0:
                begin = max(begin, a / (a - b))
            elif b > 0.0:
                finish = min(finish, a / (a - b))
    return begin, finish


inside = compiled("Tuple((float64, float64))(float64[:, ::1], float64[:, ::1], int64, float64)")(_inside)


def _beyond(tops: Floats, bottoms: Floats, k: Whole, level: Real) -> bool:
    """Whether the greatest difference at sample k is beyond the level there and at k + 1, hence all between."""
    i, j = 0, 0
    for a in range(1, tops.shape[0]):
        if tops[a, k] > tops[i, k]:
            i = a
    for b in range(1, bottoms.shape[0]):
        if bottoms[b, k] < bottoms[j, k]:
            j = b
    return bool(tops[i, k] - bottoms[j, k] > level and tops[i, k + 1] - bottoms[j, k + 1] > level)


beyond = compiled("boolean(float64[:, ::1], float64[:, ::1], int64, float64)")(_beyond)


def _within_changes(
    t: Ints, crest: Floats, tops: Floats, bottoms: Floats, level: Real, skipped: Whole
) -> tuple[Ints, Bytes]:
    n = t.shape[0]
    times = np.empty(2 * n + 2, np.int64)
    codes = np.empty((2 * n + 2, 2), np.uint8)
    count = 0
    before = np.uint8(1)
    for k in range(n):
        here = np.uint8(2) if crest[k] <= level else np.uint8(0)
        after = here
        opens, closes = np.int64(-1), np.int64(-1)
        if k + 1 == n:
            after = np.uint8(1)
        elif here == 0 or crest[k + 1] > level:
            after = np.uint8(0)
            begin, finish = (
                (1.0, 0.0) if beyond(tops, bottoms, k - skipped, level) else inside(tops, bottoms, k - skipped, level)
            )
            step = t[k + 1] - t[k]
            if begin <= finish:
                opens = t[k] + np.int64(np.rint(begin * step))
                closes = t[k] + np.int64(np.rint(finish * step))
            if opens >= 0 and opens == t[k] and closes > t[k]:
                after = np.uint8(2)
        if before != here or here != after:
            times[count] = t[k]
            codes[count, 0] = here
            codes[count, 1] = after
            count += 1
        before = after
        if opens > t[k] and opens < t[k + 1]:
            times[count] = opens
            codes[count, 0] = np.uint8(2)
            codes[count, 1] = np.uint8(2) if closes > opens else np.uint8(0)
            count += 1
            before = codes[count - 1, 1]
        if closes > opens and closes > t[k] and closes < t[k + 1]:
            times[count] = closes
            codes[count, 0] = np.uint8(2)
            codes[count, 1] = np.uint8(0)
            count += 1
            before = np.uint8(0)
    return times[:count].copy(), codes[:count].copy()


within_changes = compiled(
    "Tuple((int64[::1], uint8[:, ::1]))(int64[::1], float64[::1], float64[:, ::1], float64[:, ::1], float64, int64)"
)(_within_changes)
"""Instants at which 'every difference is at or below the level' changes, with codes at and after each; unknown before the first.

``tops`` and ``bottoms`` may begin with sample ``skipped``, as long as they hold every sample beyond the level and those beside it.
"""
