"""Change of a trace over a sliding window, for leak checks: x(t - W) - x(t), at every instant where it can be extreme."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels.extremes import value_at
from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from curewright.judge.kernels.kinds_of_array import Bytes, Floats, Ints, Real, Whole


def _greatest_fall(
    t: Ints, v: Floats, link: Bytes, hold: bool, start: Whole, end: Whole, window: Whole
) -> tuple[Whole, Real, Whole]:
    """The fall is linear between instants at which either end of the window meets a sample, so only those are tried."""
    most, most_at, tried = 0.0, start, np.int64(0)
    first = np.searchsorted(t, start)
    last = np.searchsorted(t, end, side="right")
    extra = last - first
    for k in range(2 * extra + 2):
        if k < extra:
            closing = t[first + k]
        elif k < 2 * extra:
            closing = t[first + k - extra] + window
        else:
            closing = start + window if k == 2 * extra else end
        if closing - window < start or closing > end:
            continue
        known_before, before = value_at(t, v, link, hold, closing - window)
        known_after, after = value_at(t, v, link, hold, closing)
        if not (known_before and known_after):
            continue
        fall = before - after
        if tried == 0 or fall > most or (fall == most and closing < most_at):
            most, most_at = fall, closing
        tried += 1
    return tried, most, most_at


greatest_fall = compiled(
    "Tuple((int64, float64, int64))(int64[::1], float64[::1], uint8[::1], boolean, int64, int64, int64)"
)(_greatest_fall)
"""(windows tried, greatest fall in grains, the instant that ends its window) for windows of ``window`` ns inside [start, end]."""
