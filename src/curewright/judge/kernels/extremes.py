"""Least and greatest value of a trace between two instants, the first unknown stretch there, and the value at an
instant.

Values between samples are linear (or held), snapped to a whole grain. On ties the earliest instant is given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.levels import _TRACE
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
    i = first
    while i <= last:
        k = i // 128
        inside = known and i % 128 == 0 and i + 128 <= last and low[k] >= least and high[k] <= most
        if inside and (broken[k] == 0 or unknown_from != forever):
            i += 128
            continue
        x = v[i]
        if not known:
            known, least, least_at, most, most_at = True, x, t[i], x, t[i]
        if x < least:
            least, least_at = x, t[i]
        if x > most:
            most, most_at = x, t[i]
        if unknown_from == forever and t[i] < end and (i + 1 == n or link[i] != 0):
            unknown_from = t[i]
            unknown_to = t[i + 1] if i + 1 < n else np.int64(forever)
        i += 1
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
