"""Least and greatest value of a trace between two instants, the first unknown stretch there, and the value at an
instant.

Values between samples are linear (or held), snapped to a whole grain. On ties the earliest instant is given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.levels import _TRACE, BLOCK, outermost
from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole


def _between(t: Ints, v: Floats, i: Whole, hold: bool, instant: Whole) -> Real:
    if hold:
        return v[i]
    share = (instant - t[i]) / (t[i + 1] - t[i])
    return np.rint(v[i] + (v[i + 1] - v[i]) * share)


between = compiled("float64(int64[::1], float64[::1], int64, boolean, int64)")(_between)
"""The value at an instant inside the known stretch from sample i to i + 1."""


def _value_at(t: Ints, v: Floats, link: Bytes, hold: bool, instant: Whole) -> tuple[bool, Real]:
    n = t.shape[0]
    i = np.searchsorted(t, instant)
    if i < n and t[i] == instant:
        return True, v[i]
    if i == 0 or i == n or link[i - 1] != 0:
        return False, 0.0
    return True, between(t, v, i - 1, hold, instant)


def _outermost_between(v: Floats, low: Floats, high: Floats, first: Whole, last: Whole) -> tuple[Real, Real]:
    """Least and greatest of the samples first to last, by the extremes of the blocks that lie wholly among them."""
    k, stop = (first + BLOCK - 1) // BLOCK, last // BLOCK
    if k >= stop:
        return outermost(v[first : last + 1])
    least, most = outermost(v[stop * BLOCK : last + 1])
    if first < k * BLOCK:
        before = outermost(v[first : k * BLOCK])
        least, most = min(least, before[0]), max(most, before[1])
    for i in range(k, stop):
        least, most = min(least, low[i]), max(most, high[i])
    return least, most


outermost_between = compiled("Tuple((float64, float64))(float64[::1], float64[::1], float64[::1], int64, int64)")(
    _outermost_between
)


def _first_equal(v: Floats, edge: Floats, first: Whole, last: Whole, sought: Real) -> Whole:
    """The first of the samples first to last that is the extreme ``sought``; ``edge``: the extremes of the blocks on that side."""
    i = first
    while i < last:
        k = i // BLOCK
        if i % BLOCK == 0 and i + BLOCK <= last and edge[k] != sought:
            i += BLOCK
            continue
        if v[i] == sought:
            return i
        i += 1
    return last


first_equal = compiled("int64(float64[::1], float64[::1], int64, int64, float64)")(_first_equal)


def _first_broken(link: Bytes, broken: Bytes, first: Whole, last: Whole) -> Whole:
    """The first of the samples first to last after which it is unknown how the trace goes on; one beyond last where there is none."""
    i = first
    while i <= last:
        if i % BLOCK == 0 and broken[i // BLOCK] == 0:
            i += BLOCK
            continue
        if link[i] != 0:
            return i
        i += 1
    return last + 1


first_broken = compiled("int64(uint8[::1], uint8[::1], int64, int64)")(_first_broken)


def _extremes(
    t: Ints, v: Floats, link: Bytes, hold: bool, low: Floats, high: Floats, broken: Bytes, start: Whole, end: Whole
) -> tuple[bool, Real, Whole, Real, Whole, Whole, Whole]:
    n = t.shape[0]
    forever = 4611686018427387904
    known = False
    least, most = 0.0, 0.0
    least_at, most_at = start, start
    unknown_from, unknown_to = np.int64(forever), np.int64(forever)
    first = np.searchsorted(t, start)
    last = np.searchsorted(t, end, side="right") - 1
    if n == 0:
        return known, least, least_at, most, most_at, np.int64(-forever), unknown_to
    if first == n or t[first] != start:  # start lies between samples, or outside all of them
        if first == 0:
            unknown_from, unknown_to = np.int64(-forever), t[0]
        elif first == n:
            unknown_from = t[n - 1]
        elif link[first - 1] != 0:
            unknown_from, unknown_to = t[first - 1], t[first]
        else:
            x = between(t, v, first - 1, hold, start)
            known, least, most = True, x, x
    if first <= last:
        lowest, highest = outermost_between(v, low, high, first, last)
        if not known or lowest < least:
            least, least_at = lowest, t[first_equal(v, low, first, last, lowest)]
        if not known or highest > most:
            most, most_at = highest, t[first_equal(v, high, first, last, highest)]
        known = True
        if unknown_from == forever:
            final = last if t[last] < end else last - 1
            i = first_broken(link, broken, first, min(final, n - 2))
            if i <= final:
                unknown_from, unknown_to = np.int64(t[i]), np.int64(t[i + 1] if i + 1 < n else forever)
    if first <= last < n - 1 and t[last] < end and link[last] == 0:
        x = between(t, v, last, hold, end)
        if x < least:
            least, least_at = x, end
        if x > most:
            most, most_at = x, end
    if first > last and known and end > start:  # both ends in one known stretch without a sample between
        x = between(t, v, first - 1, hold, end)
        if x < least:
            least, least_at = x, end
        if x > most:
            most, most_at = x, end
    return known, least, least_at, most, most_at, unknown_from, unknown_to


value_at = compiled("Tuple((boolean, float64))(int64[::1], float64[::1], uint8[::1], boolean, int64)")(_value_at)
"""Whether the value at an instant is known, and the value."""

extremes = compiled(f"Tuple((boolean, float64, int64, float64, int64, int64, int64))({_TRACE}, int64, int64)")(
    _extremes
)
"""(known, least, its instant, greatest, its instant, start and end of the first unknown stretch; 2**62 where there is none)."""
