"""Rates over sliding windows inside stretches of a trace: least squares, end points, sample to sample.

Every sample instant t ends a window [t - W, t]. A window counts if it lies wholly in one of the stretches, is known
throughout and holds the least number of samples. Sums are whole numbers (milliseconds and grains, counted from the
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

PER_MINUTE = 60.0  # grains per ms -> 1e3 grains per minute


def _keep(
    found: bool, count: Whole, least: Real, least_at: Whole, most: Real, most_at: Whole, slope: Real, instant: Whole
) -> tuple[bool, Whole, Real, Whole, Real, Whole]:
    if not found or slope < least:
        least, least_at = slope, instant
    if not found or slope > most:
        most, most_at = slope, instant
    return True, count + 1, least, least_at, most, most_at


keep = compiled(
    "Tuple((boolean, int64, float64, int64, float64, int64))(boolean, int64, float64, int64, float64, int64, float64, int64)"
)(_keep)


def _known_from(t: Ints, link: Bytes, i: Whole, start: Whole) -> Whole:
    """From when on the trace is known up to sample i, not before start."""
    if i > 0 and link[i - 1] == 0 and t[i - 1] < start:
        return start
    return t[i]


known_from = compiled("int64(int64[::1], uint8[::1], int64, int64)")(_known_from)


def _least_squares(
    t: Ints, v: Floats, link: Bytes, starts: Ints, ends: Ints, window: Whole, samples: Whole
) -> tuple[Whole, Real, Whole, Real, Whole]:
    found, count = False, np.int64(0)
    least, least_at, most, most_at = 0.0, np.int64(0), 0.0, np.int64(0)
    for r in range(starts.shape[0]):
        first = np.searchsorted(t, starts[r])
        stop = np.searchsorted(t, ends[r], side="right")
        if first >= stop:
            continue
        base, level = t[first], np.int64(v[first])
        since = known_from(t, link, first, starts[r])
        tail = first
        n = np.int64(0)
        s_t, s_tt, s_v, s_tv = np.int64(0), np.int64(0), np.int64(0), np.int64(0)
        for i in range(first, stop):
            if i > first and link[i - 1] != 0:
                since, tail, n = t[i], i, np.int64(0)
                s_t, s_tt, s_v, s_tv = np.int64(0), np.int64(0), np.int64(0), np.int64(0)
            x = (t[i] - base + 500000) // 1000000
            y = np.int64(v[i]) - level
            n += 1
            s_t += x
            s_tt += x * x
            s_v += y
            s_tv += x * y
            opening = t[i] - window
            while t[tail] < opening:
                p = (t[tail] - base + 500000) // 1000000
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
            if below <= 0.0:
                continue
            slope = (m * np.float64(c_tv) - np.float64(c_t) * np.float64(c_v)) / below * 60.0
            found, count, least, least_at, most, most_at = keep(
                found, count, least, least_at, most, most_at, slope, t[i]
            )
    return count, least, least_at, most, most_at


def _end_points(
    t: Ints, v: Floats, link: Bytes, starts: Ints, ends: Ints, window: Whole, samples: Whole
) -> tuple[Whole, Real, Whole, Real, Whole]:
    found, count = False, np.int64(0)
    least, least_at, most, most_at = 0.0, np.int64(0), 0.0, np.int64(0)
    for r in range(starts.shape[0]):
        first = np.searchsorted(t, starts[r])
        stop = np.searchsorted(t, ends[r], side="right")
        if first >= stop:
            continue
        since = known_from(t, link, first, starts[r])
        tail = first
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
            slope = (v[i] - begin) / (window / 1000000.0) * 60.0
            found, count, least, least_at, most, most_at = keep(
                found, count, least, least_at, most, most_at, slope, t[i]
            )
    return count, least, least_at, most, most_at


def _sample_to_sample(
    t: Ints, v: Floats, link: Bytes, starts: Ints, ends: Ints
) -> tuple[Whole, Real, Whole, Real, Whole]:
    found, count = False, np.int64(0)
    least, least_at, most, most_at = 0.0, np.int64(0), 0.0, np.int64(0)
    for r in range(starts.shape[0]):
        first = np.searchsorted(t, starts[r])
        stop = np.searchsorted(t, ends[r], side="right")
        for i in range(first + 1, stop):
            if link[i - 1] != 0:
                continue
            slope = (v[i] - v[i - 1]) / ((t[i] - t[i - 1]) / 1000000.0) * 60.0
            found, count, least, least_at, most, most_at = keep(
                found, count, least, least_at, most, most_at, slope, t[i]
            )
    return count, least, least_at, most, most_at


_WINDOWED = "Tuple((int64, float64, int64, float64, int64))(int64[::1], float64[::1], uint8[::1], int64[::1], int64[::1], int64, int64)"
_PLAIN = "Tuple((int64, float64, int64, float64, int64))(int64[::1], float64[::1], uint8[::1], int64[::1], int64[::1])"

least_squares = compiled(_WINDOWED)(_least_squares)
"""Least-squares slopes over windows of ``window`` ns with at least ``samples`` samples."""

end_points = compiled(_WINDOWED)(_end_points)
"""(x(t) - x(t - W)) / W, the value at t - W interpolated."""

sample_to_sample = compiled(_PLAIN)(_sample_to_sample)
"""Slopes between neighbouring samples whose stretch is known and lies in one of the stretches."""
