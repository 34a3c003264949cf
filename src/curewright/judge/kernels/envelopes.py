"""Several traces on one axis: resampling, and the greatest value of the lower envelope (the coldest at its warmest)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.extremes import between
from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole


def _resample(t: Ints, v: Floats, link: Bytes, hold: bool, axis: Ints) -> tuple[Floats, Bytes]:
    m, n = axis.shape[0], t.shape[0]
    values = np.zeros(m, np.float64)
    state = np.zeros(m, np.uint8)  # bit 0: value known at the instant; bit 1: known up to the next instant of the axis
    i = 0
    for k in range(m):
        while i + 1 < n and t[i + 1] <= axis[k]:
            i += 1
        if n == 0 or axis[k] < t[0]:
            continue
        at_sample = axis[k] == t[i]
        inside = i + 1 < n and link[i] == 0
        if at_sample:
            values[k] = v[i]
            state[k] = 1
        elif inside:
            values[k] = between(t, v, i, hold, axis[k])
            state[k] = 1
        if inside and k + 1 < m:
            j = i
            while j + 1 < n and link[j] == 0 and t[j + 1] < axis[k + 1]:
                j += 1
            if j + 1 < n and link[j] == 0:
                state[k] |= 2
    return values, state


def _warmest_of_lowest(axis: Ints, values: Floats, joined: Bytes) -> tuple[Real, Whole]:
    """Greatest value over time of the least of several piecewise linear traces. ``values``: (members, instants)."""
    members, instants = values.shape
    known = False
    most, most_at = 0.0, np.int64(0)
    for k in range(instants):
        least = values[0, k]
        for j in range(1, members):
            least = min(least, values[j, k])
        if not known or least > most:
            known, most, most_at = True, least, axis[k]
        if k + 1 == instants or joined[k] == 0:
            continue
        bound = max(values[0, k], values[0, k + 1])
        for j in range(1, members):
            bound = min(bound, max(values[j, k], values[j, k + 1]))
        if bound <= most:
            continue
        for a in range(members):  # the top of a concave envelope is where two of its lines cross
            for b in range(a):
                gap = values[a, k] - values[b, k]
                closing = gap - (values[a, k + 1] - values[b, k + 1])
                if closing == 0.0:
                    continue
                share = gap / closing
                if share <= 0.0 or share >= 1.0:
                    continue
                least = values[0, k] + (values[0, k + 1] - values[0, k]) * share
                for j in range(1, members):
                    least = min(least, values[j, k] + (values[j, k + 1] - values[j, k]) * share)
                least = np.rint(least)
                if least > most:
                    most = least
                    most_at = axis[k] + np.int64(np.rint(share * (axis[k + 1] - axis[k])))
    return most, most_at


def _difference(
    t: Ints,
    v: Floats,
    link: Bytes,
    bridged: Bytes,
    other_t: Ints,
    other_v: Floats,
    other_link: Bytes,
    other_bridged: Bytes,
    unknown: Whole,
) -> tuple[Ints, Floats, Bytes, Bytes]:
    n, m = t.shape[0], other_t.shape[0]
    times, values = np.empty(n + m, np.int64), np.empty(n + m, np.float64)
    links, over = np.full(n + m, unknown, np.uint8), np.zeros(n + m, np.uint8)
    count = 0
    i, j = np.int64(-1), np.int64(-1)
    whole, follows = True, False  # since the last instant: everything known; and that instant was known
    while i + 1 < n or j + 1 < m:
        if whole and follows and t[i] == other_t[j]:  # sampled together for a while, and known
            while (i + 1 < n and j + 1 < m and t[i + 1] == other_t[j + 1] and link[i] == 0 and other_link[j] == 0) and (
                bridged[i] == 0 and other_bridged[j] == 0
            ):
                i, j = i + 1, j + 1
                links[count - 1] = 0
                times[count], values[count] = t[i], np.rint(v[i] - other_v[j])
                count += 1
            if not (i + 1 < n or j + 1 < m):
                break
        if j + 1 == m or (i + 1 < n and t[i + 1] <= other_t[j + 1]):
            now = t[i + 1]
        else:
            now = other_t[j + 1]
        if i + 1 < n and t[i + 1] == now:
            if i >= 0:
                whole = whole and link[i] == 0
                if count > 0:
                    over[count - 1] |= bridged[i]
            i += 1
        if j + 1 < m and other_t[j + 1] == now:
            if j >= 0:
                whole = whole and other_link[j] == 0
                if count > 0:
                    over[count - 1] |= other_bridged[j]
            j += 1
        if i < 0 or j < 0:
            continue
        here, other_here = t[i] == now, other_t[j] == now
        if (not here and bridged[i] != 0) or (not other_here and other_bridged[j] != 0):
            continue  # one of the two has let go of its samples around this instant
        on, other_on = i + 1 < n and link[i] == 0, j + 1 < m and other_link[j] == 0
        whole = whole and (here or on) and (other_here or other_on)
        known = (here or on) and (other_here or other_on)
        if known:
            if follows and whole:
                links[count - 1] = 0
            x = v[i] if here else between(t, v, i, False, now)
            y = other_v[j] if other_here else between(other_t, other_v, j, False, now)
            times[count], values[count] = now, np.rint(x - y)
            count += 1
        whole, follows = True, known
    if count > 0:
        over[count - 1] = 0
    return times[:count].copy(), values[:count].copy(), links[:count].copy(), over[:count].copy()


difference = compiled(
    "Tuple((int64[::1], float64[::1], uint8[::1], uint8[::1]))(int64[::1], float64[::1], uint8[::1], uint8[::1], "
    "int64[::1], float64[::1], uint8[::1], uint8[::1], uint8)"
)(_difference)
"""One linear trace less another at all instants of both at which both are known; ``unknown``: the link where they are not joined.

``bridged``: after which samples a trace has let go of some; inside such a stretch it has no value. Given last: the same for the
difference.
"""

resample = compiled("Tuple((float64[::1], uint8[::1]))(int64[::1], float64[::1], uint8[::1], boolean, int64[::1])")(
    _resample
)
"""Values of a trace at the instants of ``axis`` (which holds all its samples in range), and whether known there and up to the next."""

warmest_of_lowest = compiled("Tuple((float64, int64))(int64[::1], float64[:, ::1], uint8[::1])")(_warmest_of_lowest)
"""Greatest value of the lower envelope and its instant; ``joined[k]`` where all are known between instants k and k + 1."""
