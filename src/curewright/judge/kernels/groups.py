"""What is asked of several traces at once: where all, or any, of them reach a level, and the extremes of each.

Each trace is a row of addresses: its instants, values, links and the extremes of its blocks, as
:mod:`~curewright.judge.kernels.levels` takes them, then how many samples it has and whether it holds. Calling a kernel once for
each and once more to join what they give costs several times what there is to do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.extremes import extremes
from curewright.judge.kernels.levels import _TRACE, BLOCK, level_changes
from curewright.judge.kernels.logic import joined
from curewright.physics.compiled import array_at, compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole

ints_at, floats_at, bytes_at = array_at(np.int64), array_at(np.float64), array_at(np.uint8)


def _addresses(t: Ints, v: Floats, link: Bytes, hold: bool, low: Floats, high: Floats, broken: Bytes) -> Ints:
    row = np.empty(8, np.int64)
    row[0], row[1], row[2] = t.ctypes.data, v.ctypes.data, link.ctypes.data
    row[3], row[4], row[5] = low.ctypes.data, high.ctypes.data, broken.ctypes.data
    row[6], row[7] = t.shape[0], hold
    return row


addresses = compiled(f"int64[::1]({_TRACE})")(_addresses)
"""The row of a trace. Whoever keeps it keeps the arrays."""


def _group_changes(
    traces: Ints, level: Real, strict: bool, decisive: Whole
) -> tuple[Ints, Bytes, Ints, Ints, Bytes, Whole]:
    members = traces.shape[0]
    offsets = np.zeros(members + 1, np.int64)
    times, codes = np.empty(64, np.int64), np.empty((64, 2), np.uint8)
    for j in range(members):
        row, n = traces[j], traces[j, 6]
        blocks = (n + BLOCK - 1) // BLOCK
        found, found_codes = level_changes(
            ints_at(row[0], n), floats_at(row[1], n), bytes_at(row[2], n), row[7] != 0,
            floats_at(row[3], blocks), floats_at(row[4], blocks), bytes_at(row[5], blocks), level, strict,
        )  # fmt: skip
        first, last = offsets[j], offsets[j] + found.shape[0]
        if last > times.shape[0]:
            more, wider = np.empty(2 * last, np.int64), np.empty((2 * last, 2), np.uint8)
            more[:first], wider[:first] = times[:first], codes[:first]
            times, codes = more, wider
        times[first:last], codes[first:last] = found, found_codes
        offsets[j + 1] = last
    times, codes = times[: offsets[members]], codes[: offsets[members]]
    all_times, all_codes, before = joined(times, codes, offsets, np.ones(members, np.uint8), decisive)
    return times, codes, offsets, all_times, all_codes, before


group_changes = compiled(
    "Tuple((int64[::1], uint8[:, ::1], int64[::1], int64[::1], uint8[:, ::1], int64))(int64[:, ::1], float64, boolean, int64)"
)(_group_changes)
"""For rows of addresses: changes of each trace one behind the other (times, codes at and after each; ``offsets`` are their bounds),
and those of all (``decisive`` 0) or any (2) of them, with the code before the first.
"""


def _within_changes(
    row: Ints, low: Real, low_strict: bool, high: Real, high_strict: bool
) -> tuple[Ints, Bytes, Whole, Ints, Bytes, Whole]:
    n = row[6]
    blocks = (n + BLOCK - 1) // BLOCK
    t, v, link, hold = ints_at(row[0], n), floats_at(row[1], n), bytes_at(row[2], n), row[7] != 0
    lows, highs, broken = floats_at(row[3], blocks), floats_at(row[4], blocks), bytes_at(row[5], blocks)
    at_least, at_least_codes = level_changes(t, v, link, hold, lows, highs, broken, low, low_strict)
    beyond, beyond_codes = level_changes(t, v, link, hold, lows, highs, broken, high, not high_strict)
    first, last = at_least.shape[0], at_least.shape[0] + beyond.shape[0]
    times, codes = np.empty(last, np.int64), np.empty((last, 2), np.uint8)
    times[:first], codes[:first] = at_least, at_least_codes
    times[first:], codes[first:] = beyond, beyond_codes
    joining = codes.copy()
    for k in range(first, last):
        joining[k, 0], joining[k, 1] = 2 - joining[k, 0], 2 - joining[k, 1]
    offsets = np.array([0, first, last])
    all_times, all_codes, before = joined(times, joining, offsets, np.ones(2, np.uint8), 0)
    return times, codes, first, all_times, all_codes, before


within_changes = compiled(
    "Tuple((int64[::1], uint8[:, ::1], int64, int64[::1], uint8[:, ::1], int64))(int64[::1], float64, boolean, float64, boolean)"
)(_within_changes)
"""For one trace: changes of 'at or above the low level' and, from ``first`` on, of 'above the high one' (above the one and at or above the
other, where strict), and those of being within both, with the code before the first.
"""


def _group_extremes(traces: Ints, start: Whole, end: Whole) -> tuple[Floats, Ints]:
    members = traces.shape[0]
    values, instants = np.empty((members, 2), np.float64), np.empty((members, 5), np.int64)
    for j in range(members):
        row, n = traces[j], traces[j, 6]
        blocks = (n + BLOCK - 1) // BLOCK
        known, least, least_at, most, most_at, begin, finish = extremes(
            ints_at(row[0], n), floats_at(row[1], n), bytes_at(row[2], n), row[7] != 0,
            floats_at(row[3], blocks), floats_at(row[4], blocks), bytes_at(row[5], blocks), start, end,
        )  # fmt: skip
        values[j, 0], values[j, 1] = least, most
        instants[j, 0], instants[j, 1], instants[j, 2] = known, least_at, most_at
        instants[j, 3], instants[j, 4] = begin, finish
    return values, instants


group_extremes = compiled("Tuple((float64[:, ::1], int64[:, ::1]))(int64[:, ::1], int64, int64)")(_group_extremes)
"""For rows of addresses: least and greatest of each over [start, end], and (known, instant of the least, of the greatest, from and to
of the first unknown stretch) as :mod:`~curewright.judge.kernels.extremes` gives them.
"""
