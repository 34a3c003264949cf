"""Kleene's all and any in one pass, against the least and the greatest of codes on a grid."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import logic
from tests.unit.judge.brute import normal


def joined(members, decisive):
    """Members as (before, [(time, at, after) …])."""
    flat = [change for _, changes in members for change in changes]
    times = np.array([change[0] for change in flat], np.int64)
    codes = np.array([change[1:] for change in flat], np.uint8).reshape(-1, 2)
    offsets = np.cumsum([0, *(len(changes) for _, changes in members)])
    before = np.array([code for code, _ in members], np.uint8)
    times, codes, start = logic.joined(times, codes, offsets, before, decisive)
    assert (times.dtype, codes.dtype) == (np.int64, np.uint8)
    return int(start), [(time, at, after) for time, (at, after) in zip(times.tolist(), codes.tolist(), strict=True)]


def code_at(member, point):
    """The code at an even point (an instant) or at an odd one (the stretch beside it)."""
    code, changes = member
    for time, at, after in changes:
        if time == point:
            return at
        code = after if time < point else code
    return code


def test_what_decides():
    assert [logic.outcome(np.array(counts), 0) for counts in ([1, 1, 1], [0, 1, 1], [0, 0, 2])] == [0, 1, 2]
    assert [logic.outcome(np.array(counts), 2) for counts in ([1, 1, 1], [1, 1, 0], [2, 0, 0])] == [2, 1, 0]


def test_by_hand():
    one, other = (0, [(2, 2, 2), (6, 2, 0)]), (1, [(4, 2, 2)])
    assert joined([one, other], 0) == (0, [(2, 1, 1), (4, 2, 2), (6, 2, 0)])
    assert joined([one, other], 2) == (1, [(2, 2, 2)])
    assert joined([one, one, one], 0) == one
    assert joined([(0, []), (2, [])], 0) == (0, [])
    assert joined([(0, []), (2, [])], 2) == (2, [])
    assert joined([(1, []), (2, [])], 0) == (1, [])


@pytest.mark.parametrize("seed", range(40))
def test_least_and_greatest(seed):
    rng = Random(seed)
    members = []
    for _ in range(rng.randint(1, 4)):
        times = sorted(rng.sample(range(2, 40, 2), rng.randint(0, 9)))
        members.append((rng.randint(0, 2), [(time, rng.randint(0, 2), rng.randint(0, 2)) for time in times]))
    for decisive, outermost in ((0, min), (2, max)):
        grid = [outermost(code_at(member, point) for member in members) for point in range(43)]
        expected = normal([(i, grid[i], grid[i + 1]) for i in range(2, 42, 2)], grid[0])
        assert joined(members, decisive) == (grid[0], expected)
