"""Rates over sliding windows inside stretches of a trace: least squares, end points, sample to sample.

Every sample instant t ends a window [t - W, t]. A window counts if it lies wholly in one of the stretches, is known
throughout and holds the least number of samples. Sums are whole numbers (milliseconds since the start and grains, counted from the
stretch's first sample), so they are exact, and a window's slope depends on its own samples only, never on how the log
was cut.

Least squares: slope = (n S_tv - S_t S_v) / (n S_tt - S_t^2), sums taken from the window's last sample. Result in 1e3
grains per minute (mK/min, Pa/min). Returned: number of windows, least slope and the instant that ends its window,
greatest slope and its instant.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.extremes import between
from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole

NS_PER_MINUTE = 6.0e7  # grains per ns -> 1e3 grains per minute
PER_MINUTE = 60.0  # grains per ms -> 1e3 grains per minute


def _reduced(t: Ints, rates: Floats, first: Whole) -> tuple[Whole, Real, Whole, Real, Whole]:
    """Number of windows, least and greatest rate with their instants (the earliest on ties)."""
    count = np.int64(0)
    least, least_at, most, most_at = 0.0, np.int64(0), 0.0, np.int64(0)
    for k in range(rates.shape[0]):
        rate = rates[k]
        if rate != rate:
            continue
        if count == 0 or rate < least:
            least, least_at = rate, t[first + k]
        if count == 0 or rate > most:
            most, most_at = rate, t[first + k]
        count += 1
    return count, least, least_at, most, most_at


reduced = compiled("Tuple((int64, float64, int64, float64, int64))(int64[::1], float64[::1], int64)")(_reduced)
"""(count, least, its instant, greatest, its instant) of rates that end at samples ``first`` on; nan where there is no window."""


def _known_from(t: Ints, link: Bytes, i: Whole, start: Whole) -> Whole:
    """From when on the trace is known up to sample i, not before start."""
    if i > 0 and link[i - 1] == 0 and t[i - 1] < start:
        return start
    return t[i]


known_from = compiled("int64(int64[::1], uint8[::1], int64, int64)")(_known_from)


def _milliseconds(t: Ints) -> Ints:
    ms = np.empty(t.shape[0], np.int64)
    for i in range(t.shape[0]):
        ms[i] = (t[i] + 500000) // 1000000
    return ms


milliseconds = compiled("int64[::1](int64[::1])")(_milliseconds)
"""Instants in whole milliseconds, for exact sums."""


def _each_least_squares(
    t: Ints, ms: Ints, v: Floats, link: Bytes, start: Whole, end: Whole, window: Whole, samples: Whole
) -> tuple[Whole, Floats]:
    first = np.searchsorted(t, start)
    stop = np.searchsorted(t, end, side="right")
    rates = np.full(stop - first if stop > first else 0, np.nan)
    if first >= stop:
        return first, rates
    base, level = ms[first], np.int64(v[first])
    since = known_from(t, link, first, start)
    tail: Whole = first
    n = np.int64(0)
    s_t, s_tt, s_v, s_tv = np.int64(0), np.int64(0), np.int64(0), np.int64(0)
    for i in range(first, stop):
        if i > first and link[i - 1] != 0:
            since, tail, n = t[i], i, np.int64(0)
            s_t, s_tt, s_v, s_tv = np.int64(0), np.int64(0), np.int64(0), np.int64(0)
        x = ms[i] - base
        y = np.int64(v[i]) - level
        n += 1
        s_t += x
        s_tt += x * x
        s_v += y
        s_tv += x * y
        opening = t[i] - window
        while t[tail] < opening:
            p = ms[tail] - base
            q = np.int64(v[tail]) - level
            n -= 1
            s_t -= p
            s_tt -= p * p
            s_v -= q
            s_tv -= p * q
            tail += 1
        if opening < since or n < samples or n < 2:
            continue
        c_t = s_t - n * x
        c_tt = s_tt - 2 * x * s_t + n * x * x
        c_v = s_v - n * y
        c_tv = s_tv - x * s_v - y * s_t + n * x * y
        m = np.float64(n)
        below = m * np.float64(c_tt) - np.float64(c_t) * np.float64(c_t)
        if below > 0.0:
            rates[i - first] = (m * np.float64(c_tv) - np.float64(c_t) * np.float64(c_v)) / below * PER_MINUTE
    return first, rates


def _each_end_points(
    t: Ints, v: Floats, link: Bytes, start: Whole, end: Whole, window: Whole, samples: Whole
) -> tuple[Whole, Floats]:
    first = np.searchsorted(t, start)
    stop = np.searchsorted(t, end, side="right")
    rates = np.full(stop - first if stop > first else 0, np.nan)
    if first >= stop:
        return first, rates
    since = known_from(t, link, first, start)
    tail: Whole = first
    factor = NS_PER_MINUTE / window
    for i in range(first, stop):
        if i > first and link[i - 1] != 0:
            since, tail = t[i], i
        opening = t[i] - window
        if opening < since:
            continue
        while t[tail] < opening:
            tail += 1
        if i - tail + 1 < samples or tail == i:
            continue
        begin = v[tail] if t[tail] == opening else between(t, v, tail - 1, False, opening)
        rates[i - first] = (v[i] - begin) * factor
    return first, rates


def _each_sample_to_sample(
    t: Ints, v: Floats, link: Bytes, start: Whole, end: Whole, window: Whole, samples: Whole
) -> tuple[Whole, Floats]:
    first = np.searchsorted(t, start)
    stop = np.searchsorted(t, end, side="right")
    rates = np.full(stop - first if stop > first else 0, np.nan)
    if window >= 0 and samples >= 0:  # taken for the sake of one shape of call
        for i in range(first + 1, stop):
            if link[i - 1] == 0:
                rates[i - first] = (v[i] - v[i - 1]) * NS_PER_MINUTE / (t[i] - t[i - 1])
    return first, rates


_EACH = "Tuple((int64, float64[::1]))(int64[::1], float64[::1], uint8[::1], int64, int64, int64, int64)"

each_least_squares = compiled(_EACH.replace("(int64[::1], float64", "(int64[::1], int64[::1], float64"))(
    _each_least_squares
)
"""Least-squares slopes over windows of ``window`` ns with at least ``samples`` samples, inside [start, end]."""

each_end_points = compiled(_EACH)(_each_end_points)
"""(x(t) - x(t - W)) / W, the value at t - W interpolated."""

each_sample_to_sample = compiled(_EACH)(_each_sample_to_sample)
"""Slopes between neighbouring samples whose stretch is known and lies inside [start, end]."""


def _steepest(
    kind: Whole,
    t: Ints,
    ms: Ints,
    v: Floats,
    link: Bytes,
    starts: Ints,
    ends: Ints,
    window: Whole,
    samples: Whole,
) -> tuple[Whole, Real, Whole, Real, Whole]:
    total = np.int64(0)
    least, least_at, most, most_at = 0.0, np.int64(0), 0.0, np.int64(0)
    for r in range(starts.shape[0]):
        if kind == 0:
            first, rates = each_least_squares(t, ms, v, link, starts[r], ends[r], window, samples)
        elif kind == 1:
            first, rates = each_end_points(t, v, link, starts[r], ends[r], window, samples)
        else:
            first, rates = each_sample_to_sample(t, v, link, starts[r], ends[r], window, samples)
        count, low, low_at, high, high_at = reduced(t, rates, first)
        if count == 0:
            continue
        if total == 0 or low < least:
            least, least_at = low, low_at
        if total == 0 or high > most:
            most, most_at = high, high_at
        total += count
    return total, least, least_at, most, most_at


steepest = compiled(
    "Tuple((int64, float64, int64, float64, int64))"
    "(int64, int64[::1], int64[::1], float64[::1], uint8[::1], int64[::1], int64[::1], int64, int64)"
)(_steepest)
"""(count, least, its instant, greatest, its instant) over all stretches; kind 0 least squares, 1 end points, 2 sample to sample."""
