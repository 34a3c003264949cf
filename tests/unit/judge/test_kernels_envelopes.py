"""Traces on one axis, and the coldest at its warmest, against exact fractions."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import envelopes
from tests.unit.judge.brute import arrays, value


def resampled(t, v, link, hold, axis):
    values, state = envelopes.resample(*arrays(t, v, link), hold, np.array(axis, np.int64))
    return values.tolist(), state.tolist()


def slowly(t, v, link, hold, axis):
    values, state = [], []
    for k, instant in enumerate(axis):
        x = value(t, v, link, hold, instant)
        following = axis[k + 1] if k + 1 < len(axis) else None
        pieces = [i for i in range(len(t) - 1) if following and t[i] < following and t[i + 1] > instant]
        inside = following and t and t[0] <= instant and following <= t[-1] and not any(link[i] for i in pieces)
        values.append(0 if x is None else x)
        state.append((x is not None) + (2 if inside else 0))
    return values, state


def test_by_hand():
    assert resampled([10, 20, 30], [0, 100, 50], [0, 2, 1], False, [5, 10, 15, 20, 25, 30, 35]) == (
        [0, 0, 50, 100, 0, 50, 0],
        [0, 3, 3, 1, 0, 1, 0],
    )
    assert resampled([10, 20], [0, 100], [0, 1], True, [10, 19, 20]) == ([0, 0, 100], [3, 3, 1])
    assert resampled([], [], [], False, [1, 2]) == ([0, 0], [0, 0])


@pytest.mark.parametrize("seed", range(60))
def test_an_axis_that_holds_all_samples(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(3, 30), rng.randint(1, 7)))
    v, link = [rng.randint(1, 50) for _ in t], [rng.choice((0, 0, 0, 1, 2)) for _ in t]
    axis = sorted({*t, *rng.sample(range(33), 8)})
    for hold in (False, True):
        assert resampled(t, v, link, hold, axis) == slowly(t, v, link, hold, axis)


def test_an_axis_that_leaves_samples_out():
    assert resampled([0, 10, 20, 30], [0, 10, 20, 30], [0, 0, 0, 1], False, [5, 25, 30]) == ([5, 25, 30], [3, 3, 1])
    assert resampled([0, 10, 20, 30], [0, 10, 20, 30], [0, 2, 0, 1], False, [5, 25, 30]) == ([5, 25, 30], [1, 3, 1])
    assert resampled([0, 10, 20, 30], [0, 10, 20, 30], [0, 0, 2, 1], False, [5, 20, 25]) == ([5, 20, 0], [3, 1, 0])


def warmest(axis, rows, joined):
    most, at = envelopes.warmest_of_lowest(np.array(axis, np.int64), np.array(rows, float), np.array(joined, np.uint8))
    return float(most), int(at)


def highest(axis, rows, joined):
    """Greatest of the least: samples, then the tops inside each joined piece, the first where several are as great."""
    found = []
    for k, instant in enumerate(axis):
        found.append((min(row[k] for row in rows), instant))
        if k + 1 < len(axis) and joined[k]:
            inside = []
            for a, one in enumerate(rows):
                for other in rows[:a]:
                    gap, last = one[k] - other[k], one[k + 1] - other[k + 1]
                    if gap * last < 0:
                        share = Fraction(gap, gap - last)
                        least = min(row[k] + (row[k + 1] - row[k]) * share for row in rows)
                        inside.append((round(least), instant + round(share * (axis[k + 1] - instant))))
            found += inside
    most = max(x for x, _ in found)
    return float(most), next(at for x, at in found if x == most)


def test_a_crossing_by_hand():
    assert warmest([0, 10], [[0, 100], [100, 0]], [1, 0]) == (50.0, 5)
    assert warmest([0, 10], [[0, 100], [100, 0]], [0, 0]) == (0.0, 0)
    assert warmest([0, 10, 20], [[0, 100, 0], [90, 80, 70]], [1, 1, 0]) == (82.0, 8)  # at 9/11 and 8/11: 81.8
    assert warmest([0, 10, 20], [[10, 30, 30]], [1, 1, 0]) == (30.0, 10)
    assert warmest([5], [[-7], [-9]], [0]) == (-9.0, 5)


@pytest.mark.parametrize("seed", range(150))
def test_the_top_of_the_lowest(seed):
    rng = Random(seed)
    axis = sorted(rng.sample(range(100, 900), rng.randint(1, 5)))
    rows = [[rng.randint(-900, 900) for _ in axis] for _ in range(rng.randint(1, 4))]
    joined = [rng.choice((0, 1, 1)) for _ in axis]
    assert warmest(axis, rows, joined) == highest(axis, rows, joined)
