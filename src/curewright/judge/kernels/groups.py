"""Where a level is reached by all, or by any, of several traces: one call for all of them.

Each trace is a row of addresses: its instants, values, links and the extremes of its blocks, as
:mod:`~curewright.judge.kernels.levels` takes them, then how many samples it has and whether it holds. Calling a kernel once for
each and once more to join what they give costs several times what there is to do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.levels import BLOCK, level_changes
from curewright.judge.kernels.logic import joined
from curewright.physics.compiled import array_at, compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Ints, Real, Whole

ints_at, floats_at, bytes_at = array_at(np.int64), array_at(np.float64), array_at(np.uint8)


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
