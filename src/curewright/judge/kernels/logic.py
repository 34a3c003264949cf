"""Kleene's all and any of several step functions, merged in one pass over their changes.

Each step function is a run of (time, code at it, code after it), the runs one behind the other; ``offsets`` are their
bounds. Codes are 0 false, 1 unknown, 2 true. With ``decisive`` false (0) the result is all of them, with true (2) any
of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Ints, Whole


def _outcome(counts: Ints, decisive: Whole) -> Whole:
    if counts[decisive] > 0:
        return decisive
    return 1 if counts[1] > 0 else 2 - decisive


outcome = compiled("int64(int64[::1], int64)")(_outcome)


def _joined(times: Ints, codes: Bytes, offsets: Ints, before: Bytes, decisive: Whole) -> tuple[Ints, Bytes, Whole]:
    members = before.shape[0]
    counts = np.zeros(3, np.int64)
    current = before.copy()
    next_of = offsets[:-1].copy()
    for j in range(members):
        counts[before[j]] += 1
    start = outcome(counts, decisive)
    last = start
    found_times = np.empty(times.shape[0], np.int64)
    found_codes = np.empty((times.shape[0], 2), np.uint8)
    n = 0
    while True:
        now = np.int64(9223372036854775807)
        for j in range(members):
            if next_of[j] < offsets[j + 1]:
                now = min(now, times[next_of[j]])
        if now == 9223372036854775807:
            break
        for j in range(members):
            if next_of[j] < offsets[j + 1] and times[next_of[j]] == now:
                counts[current[j]] -= 1
                current[j] = codes[next_of[j], 0]
                counts[current[j]] += 1
        here = outcome(counts, decisive)
        for j in range(members):
            if next_of[j] < offsets[j + 1] and times[next_of[j]] == now:
                counts[current[j]] -= 1
                current[j] = codes[next_of[j], 1]
                counts[current[j]] += 1
                next_of[j] += 1
        following = outcome(counts, decisive)
        if here != last or following != here:
            found_times[n] = now
            found_codes[n, 0] = here
            found_codes[n, 1] = following
            n += 1
        last = following
    return found_times[:n], found_codes[:n], start


joined = compiled(
    "Tuple((int64[::1], uint8[:, ::1], int64))(int64[::1], uint8[:, ::1], int64[::1], uint8[::1], int64)"
)(_joined)
"""Times, codes (at and after each), and the code before the first, of all (decisive 0) or any (decisive 2) of several step functions."""


def _within(code: Whole, wanted: Whole) -> bool:
    return bool(wanted >> code & 1)


within = compiled("boolean(int64, int64)")(_within)


def _stretches(
    times: Ints, codes: Bytes, before: Whole, start: Whole, end: Whole, wanted: Whole, stays: Whole, cut_counts: bool
) -> Ints:
    n = times.shape[0]
    found = np.empty((2 * n + 2, 2), np.int64)
    count = 0
    i = np.searchsorted(times, start, side="right")
    between = np.int64(codes[i - 1, 1]) if i > 0 else np.int64(before)
    here = np.int64(codes[i - 1, 0]) if i > 0 and times[i - 1] == start else between
    inside, opened, closed = within(here, wanted), start, start
    while closed < end:
        following = times[i] if i < n and times[i] < end else end
        if within(between, wanted):
            if not inside:
                inside, opened = True, closed
        elif inside:
            inside = False
            if closed - opened >= stays:
                found[count, 0], found[count, 1] = opened, closed
                count += 1
        if i < n and times[i] == following:
            here, between = np.int64(codes[i, 0]), np.int64(codes[i, 1])
            i += 1
        else:
            here = between
        if within(here, wanted):
            if not inside:
                inside, opened = True, following
        elif inside:
            inside = False
            if following - opened >= stays or (cut_counts and following == end):
                found[count, 0], found[count, 1] = opened, following
                count += 1
        closed = following
        if count > 0 and stays >= 0:
            return found[:1]
    if inside and start <= end and (closed - opened >= stays or cut_counts):
        found[count, 0], found[count, 1] = opened, closed
        count += 1
    return found[:count]


stretches = compiled("int64[:, ::1](int64[::1], uint8[:, ::1], int64, int64, int64, int64, int64, boolean)")(_stretches)
"""From and to of the longest closed stretches inside [start, end] over which only the ``wanted`` codes occur (one bit each); with
``stays`` not negative only the first that lasts so long, or (``cut_counts``) is cut off by the end.
"""


def _first_stretch(
    times: Ints, codes: Bytes, before: Whole, start: Whole, end: Whole, wanted: Whole, stays: Whole, cut_counts: bool
) -> Whole:
    found = stretches(times, codes, before, start, end, wanted, stays, cut_counts)
    return found[0, 0] if found.shape[0] > 0 else np.int64(4611686018427387904)


first_stretch = compiled("int64(int64[::1], uint8[:, ::1], int64, int64, int64, int64, int64, boolean)")(_first_stretch)
"""Where the first of them begins; 2**62 where there is none."""


def _codes_over(times: Ints, codes: Bytes, before: Whole, start: Whole, end: Whole) -> Whole:
    if start > end:
        return 0
    i = np.searchsorted(times, start, side="right")
    between = np.int64(codes[i - 1, 1]) if i > 0 else np.int64(before)
    here = np.int64(codes[i - 1, 0]) if i > 0 and times[i - 1] == start else between
    found = 1 << here
    if start < end:
        found |= 1 << between
        while i < times.shape[0] and times[i] <= end:
            found |= 1 << np.int64(codes[i, 0])
            if times[i] < end:
                found |= 1 << np.int64(codes[i, 1])
            i += 1
    return found


codes_over = compiled("int64(int64[::1], uint8[:, ::1], int64, int64, int64)")(_codes_over)
"""The codes that occur in the closed stretch [start, end], one bit each; none where start is after end."""
