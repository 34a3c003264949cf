"""The steepest rates of all three sliding definitions in one call, fast where samples are evenly spaced.

In a run of samples at one step, every window of W holds the same number of samples. Of least squares only two whole
numbers then change from window to window, S = sum of values and R = sum of values times their age in steps, and the
slope goes with (n - 1) S - 2 R: only where that comes within the rounding of the division of the least or greatest
is the slope itself worked out, by the very expression of :mod:`~curewright.judge.kernels.slopes`. Windows that reach over a
bend (a row that is absent, another step) go through that module. So the result is that of the plain way, to the last bit.

Rounding: with values within ``span`` grains and T = n (n - 1) / 2, two slopes whose whole numbers are further apart than
64 T span / 2**53 come out of the floating division apart and in their own order (products and difference err by less than 15 T
span / 2**53 each; the rest is room for the division).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.slopes import (
    NS_PER_MINUTE,
    PER_MINUTE,
    each_end_points,
    each_least_squares,
    each_sample_to_sample,
    reduced,
)
from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole

Found = tuple["Whole", "Real", "Whole", "Real", "Whole"]
LONG = 64  # steps from which on a run is worth a loop of its own
CHUNK = 256  # windows that are looked at together


def _even_runs(t: Ints, link: Bytes) -> tuple[Ints, Ints]:
    n = t.shape[0]
    firsts, lasts = np.empty(n // LONG + 1, np.int64), np.empty(n // LONG + 1, np.int64)
    count = 0
    i = 0
    while i + 1 < n:
        if link[i] != 0:
            i += 1
            continue
        begin, step = i, t[i + 1] - t[i]
        i += 1
        while i + 1 < n and link[i] == 0 and t[i + 1] - t[i] == step:
            i += 1
        if i - begin >= LONG:
            firsts[count], lasts[count] = begin, i
            count += 1
    return firsts[:count].copy(), lasts[:count].copy()


even_runs = compiled("Tuple((int64[::1], int64[::1]))(int64[::1], uint8[::1])")(_even_runs)
"""First and last sample of each long run of known stretches of one length."""


def _all_whole(v: Floats) -> bool:
    odd = 0
    for i in range(v.shape[0]):
        odd += np.float64(np.int64(v[i])) != v[i]
    return odd == 0


all_whole = compiled("boolean(float64[::1])")(_all_whole)
"""Whether all values are whole numbers."""


def _slope(lag: Whole, milliseconds: Whole, total: Whole, aged: Whole, y: Whole) -> Real:
    """The slope of a window from S and R, by the expression of the plain kernel; ``y``: its last value."""
    n = lag + 1
    ages = n * lag // 2
    m = np.float64(n)
    c_t, c_tt = -milliseconds * ages, milliseconds * milliseconds * (lag * n * (2 * n - 1) // 6)
    c_v, c_tv = total - n * y, -milliseconds * (aged - ages * y)
    below = m * np.float64(c_tt) - np.float64(c_t) * np.float64(c_t)
    return (m * np.float64(c_tv) - np.float64(c_t) * np.float64(c_v)) / below * PER_MINUTE


slope = compiled("float64(int64, int64, int64, int64, int64)")(_slope)


def _steepness(
    comes: Floats, goes: Floats, level: Whole, lag: Whole, total: Whole, steep: Whole, found: Ints, totals: Ints
) -> tuple[Whole, Whole]:
    """Goes on with S and (n - 1) S - 2 R from window to window: sample ``comes[k]`` enters, ``goes[k]`` leaves. In three
    loops, because the processor does the first and the last several at a time.
    """
    for k in range(comes.shape[0]):
        y, gone = np.int64(comes[k]) - level, np.int64(goes[k]) - level
        found[k] = lag * y + (lag + 2) * gone
        totals[k] = y - gone
    for k in range(comes.shape[0]):
        steep += found[k] - 2 * total
        total += totals[k]
        found[k], totals[k] = steep, total
    low, high = found[0], found[0]
    for k in range(comes.shape[0]):
        low, high = min(low, found[k]), max(high, found[k])
    return low, high


steepness = compiled(
    "Tuple((int64, int64))(float64[::1], float64[::1], int64, int64, int64, int64, int64[::1], int64[::1])"
)(_steepness)


def _even_slopes(t: Ints, v: Floats, j: Whole, last: Whole, lag: Whole, milliseconds: Whole, span: Real) -> Found:
    near = np.int64(np.ceil(64.0 * np.float64((lag + 1) * lag // 2) * span / 9007199254740992.0)) + 1
    level = np.int64(v[j - lag])
    total, aged = np.int64(0), np.int64(0)
    for k in range(j - lag, j + 1):
        total += np.int64(v[k]) - level
        aged += (j - k) * (np.int64(v[k]) - level)
    steep = lag * total - 2 * aged
    least = slope(lag, milliseconds, total, aged, np.int64(v[j]) - level)
    most, least_at, most_at = least, t[j], t[j]
    low, high = steep, steep
    steeps, totals = np.empty(CHUNK, np.int64), np.empty(CHUNK, np.int64)
    for begin in range(j + 1, last + 1, CHUNK):
        size = min(CHUNK, last + 1 - begin)
        comes, goes = v[begin : begin + size], v[begin - lag - 1 : begin - lag - 1 + size]
        lowest, highest = steepness(comes, goes, level, lag, total, steep, steeps, totals)
        steep, total = steeps[size - 1], totals[size - 1]
        if lowest > low + near and highest < high - near:
            continue
        low, high = min(low, lowest), max(high, highest)
        for k in range(size):
            if low + near < steeps[k] < high - near:
                continue
            aged = (lag * totals[k] - steeps[k]) // 2
            rate = slope(lag, milliseconds, totals[k], aged, np.int64(comes[k]) - level)
            if rate < least:
                least, least_at = rate, t[begin + k]
            if rate > most:
                most, most_at = rate, t[begin + k]
    return last - j + 1, least, least_at, most, most_at


even_slopes = compiled(
    "Tuple((int64, float64, int64, float64, int64))(int64[::1], float64[::1], int64, int64, int64, int64, float64)"
)(_even_slopes)
"""Least squares over windows of ``lag`` steps that end at samples j to last of one run; the step in milliseconds."""


def _apart(later: Floats, earlier: Floats) -> tuple[Whole, Whole]:
    low = np.int64(later[0] - earlier[0])
    high = low
    for k in range(later.shape[0]):
        difference = np.int64(later[k] - earlier[k])
        low, high = min(low, difference), max(high, difference)
    return low, high


apart = compiled("Tuple((int64, int64))(float64[::1], float64[::1])")(_apart)
"""Least and greatest difference of two arrays of whole numbers (as such the processor compares several at a time)."""


def _first_apart(later: Floats, earlier: Floats, sought: Real) -> Whole:
    for k in range(later.shape[0]):
        if later[k] - earlier[k] == sought:
            return k
    return later.shape[0]


first_apart = compiled("int64(float64[::1], float64[::1], float64)")(_first_apart)


def _even_differences(v: Floats, j: Whole, last: Whole, lag: Whole) -> tuple[Real, Whole, Real, Whole]:
    low, high = apart(v[j : j + 1], v[j - lag : j - lag + 1])
    lowest, highest = j, j  # where the first chunk begins that holds each
    for begin in range(j, last + 1, CHUNK):
        stop = min(begin + CHUNK, last + 1)
        least, most = apart(v[begin:stop], v[begin - lag : stop - lag])
        if least < low:
            low, lowest = least, begin
        if most > high:
            high, highest = most, begin
    fall, rise = np.float64(low), np.float64(high)
    fall_at = lowest + first_apart(v[lowest : last + 1], v[lowest - lag : last + 1 - lag], fall)
    return fall, fall_at, rise, highest + first_apart(v[highest : last + 1], v[highest - lag : last + 1 - lag], rise)


even_differences = compiled("Tuple((float64, int64, float64, int64))(float64[::1], int64, int64, int64)")(
    _even_differences
)
"""Least and greatest difference of samples ``lag`` apart, each with the later sample (the earliest on ties)."""


def _taken(instants: Ints, rates: Floats, found: Found) -> None:
    """Adds what a piece of a stretch gave to what the pieces before it gave."""
    count, least, least_at, most, most_at = found
    if count == 0:
        return
    if instants[0] == 0 or least < rates[0]:
        rates[0], instants[1] = least, least_at
    if instants[0] == 0 or most > rates[1]:
        rates[1], instants[2] = most, most_at
    instants[0] += count


taken = compiled("void(int64[::1], float64[::1], Tuple((int64, float64, int64, float64, int64)))")(_taken)


def _fast(
    kind: Whole, t: Ints, v: Floats, j: Whole, last: Whole, lag: Whole, window: Whole, samples: Whole, span: Real
) -> Found:
    """The windows that end at samples j to last of an even run."""
    step = t[j] - t[j - 1]
    if kind == 0:
        if lag + 1 < samples:
            return np.int64(0), 0.0, np.int64(0), 0.0, np.int64(0)
        return even_slopes(t, v, j, last, lag, step // 1000000, span)
    if kind == 1 and lag + 1 < samples:
        return np.int64(0), 0.0, np.int64(0), 0.0, np.int64(0)
    fall, fall_at, rise, rise_at = even_differences(v, j, last, lag)
    if kind == 1:
        factor = NS_PER_MINUTE / window
        return last - j + 1, fall * factor, t[fall_at], rise * factor, t[rise_at]
    return last - j + 1, fall * NS_PER_MINUTE / step, t[fall_at], rise * NS_PER_MINUTE / step, t[rise_at]


fast = compiled(
    "Tuple((int64, float64, int64, float64, int64))"
    "(int64, int64[::1], float64[::1], int64, int64, int64, int64, int64, float64)"
)(_fast)


def _slow(
    kind: Whole,
    t: Ints,
    ms: Ints,
    v: Floats,
    link: Bytes,
    start: Whole,
    j: Whole,
    last: Whole,
    window: Whole,
    samples: Whole,
) -> Found:
    """The windows that end at samples j to last of a stretch that begins at ``start``, any way they are spaced."""
    if kind == 2:
        since = max(start, t[max(j - 1, 0)])
        first, rates = each_sample_to_sample(t, v, link, since, t[last], window, samples)
    elif kind == 1:
        first, rates = each_end_points(t, v, link, max(start, t[j] - window), t[last], window, samples)
    else:
        first, rates = each_least_squares(t, ms, v, link, max(start, t[j] - window), t[last], window, samples)
    return reduced(t, rates, first)


slow = compiled(
    "Tuple((int64, float64, int64, float64, int64))"
    "(int64, int64[::1], int64[::1], float64[::1], uint8[::1], int64, int64, int64, int64, int64)"
)(_slow)


def _opening(kind: Whole, t: Ints, begin: Whole, first: Whole, start: Whole, window: Whole) -> tuple[Whole, Whole]:
    """The first sample of a run that ends an even window, and how many steps back that begins (0: none of this kind does)."""
    step = t[begin + 1] - t[begin]
    if kind == 2:
        return max(begin, first) + 1, np.int64(1)
    lag = window // step
    even = step % 1000000 == 0 if kind == 0 else window % step == 0
    since = max(start, t[begin])
    j = begin - (t[begin] - since - window) // step  # rounded up
    return j, lag if even else np.int64(0)


opening = compiled("Tuple((int64, int64))(int64, int64[::1], int64, int64, int64, int64)")(_opening)


def _steepest_of(
    kind: Whole,
    t: Ints,
    ms: Ints,
    v: Floats,
    link: Bytes,
    firsts: Ints,
    lasts: Ints,
    starts: Ints,
    ends: Ints,
    window: Whole,
    samples: Whole,
    span: Real,
    instants: Ints,
    rates: Floats,
) -> None:
    for r in range(starts.shape[0]):
        p = np.searchsorted(t, starts[r])
        first = p
        final = np.searchsorted(t, ends[r], side="right") - 1
        if first > final:
            continue
        k = np.searchsorted(lasts, first)
        while k < firsts.shape[0] and firsts[k] < final:
            last = min(lasts[k], final)
            j, lag = opening(kind, t, firsts[k], first, starts[r], window)
            j = max(j, p)
            if lag > 0 and j <= last:
                if p < j:
                    taken(instants, rates, slow(kind, t, ms, v, link, starts[r], p, j - 1, window, samples))
                taken(instants, rates, fast(kind, t, v, j, last, lag, window, samples, span))
                p = last + 1
            k += 1
        if p <= final:
            taken(instants, rates, slow(kind, t, ms, v, link, starts[r], p, final, window, samples))


steepest_of = compiled(
    "void(int64, int64[::1], int64[::1], float64[::1], uint8[::1], int64[::1], int64[::1], int64[::1], int64[::1], "
    "int64, int64, float64, int64[::1], float64[::1])"
)(_steepest_of)


def _steepest_by_each(
    wanted: Whole,
    t: Ints,
    ms: Ints,
    v: Floats,
    link: Bytes,
    firsts: Ints,
    lasts: Ints,
    starts: Ints,
    ends: Ints,
    window: Whole,
    samples: Whole,
    span: Real,
) -> tuple[Ints, Floats]:
    instants, rates = np.zeros((3, 3), np.int64), np.zeros((3, 2), np.float64)
    for kind in range(3):
        if wanted >> kind & 1:
            steepest_of(
                kind, t, ms, v, link, firsts, lasts, starts, ends, window, samples, span, instants[kind], rates[kind]
            )
    return instants, rates


steepest_by_each = compiled(
    "Tuple((int64[:, ::1], float64[:, ::1]))(int64, int64[::1], int64[::1], float64[::1], uint8[::1], int64[::1], "
    "int64[::1], int64[::1], int64[::1], int64, int64, float64)"
)(_steepest_by_each)
"""For least squares (bit 0 of ``wanted``), end points (1) and sample to sample (2), over all stretches together: (count,
instant of the least, of the greatest) and (least, greatest) rate. ``firsts`` and ``lasts`` are the even runs (none, where
values are not whole numbers), ``span`` is the range of ``v``.
"""
