"""Where every difference of two groups is within a level, piece by piece with exact fractions."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import crests
from tests.unit.judge.brute import normal


def changes(t, tops, bottoms, level):
    t, tops, bottoms = np.array(t, np.int64), np.array(tops, float), np.array(bottoms, float)
    crest = tops.max(axis=0) - bottoms.min(axis=0)
    times, codes = crests.within_changes(t, crest, tops, bottoms, float(level), 0)
    beyond = np.flatnonzero(crest > level)
    if len(beyond):  # the same where only what is beside a breach is handed over
        some = slice(max(beyond[0] - 1, 0), beyond[-1] + 2)
        few = (tops[:, some].copy(), bottoms[:, some].copy())
        again = crests.within_changes(t, crest, *few, float(level), some.start)
        assert [part.tolist() for part in again] == [times.tolist(), codes.tolist()]
    return [(time, at, after) for time, (at, after) in zip(times.tolist(), codes.tolist(), strict=True)]


def share(tops, bottoms, k, level):
    """First and last share of piece k with all differences within the level (first > last: none)."""
    first, last = Fraction(0), Fraction(1)
    for top in tops:
        for bottom in bottoms:
            a, b = top[k] - bottom[k] - level, top[k + 1] - bottom[k + 1] - level
            if a > 0 and b > 0:
                return Fraction(1), Fraction(0)
            first = max(first, Fraction(a, a - b)) if a > 0 else first
            last = min(last, Fraction(a, a - b)) if b > 0 else last
    return first, last


def slowly(t, tops, bottoms, level):
    crest = [max(top[k] for top in tops) - min(bottom[k] for bottom in bottoms) for k in range(len(t))]
    points = []
    for k, time in enumerate(t):
        here = 2 * (crest[k] <= level)
        if k + 1 == len(t):
            points.append((time, here, 1))
            continue
        first, last = share(tops, bottoms, k, level)
        step = t[k + 1] - time
        opens, closes = time + round(first * step), time + round(last * step)
        if first > last:
            points.append((time, here, 0))
            continue
        points.append((time, here, 2 if opens == time and closes > time else 0))
        if time < opens < t[k + 1]:
            points.append((opens, 2, 2 if closes > opens else 0))
        if opens < closes < t[k + 1] and closes > time:
            points.append((closes, 2, 0))
    return normal(points)


def test_two_lines_by_hand():
    assert changes([0, 10], [[0, 100]], [[0, 0]], 50) == [(0, 2, 2), (5, 2, 0), (10, 0, 1)]
    assert changes([0, 10], [[100, 0]], [[0, 0]], 50) == [(0, 0, 0), (5, 2, 2), (10, 2, 1)]
    assert changes([0, 10], [[100, 0]], [[0, 0]], 0) == [(0, 0, 0), (10, 2, 1)]
    assert changes([0, 10], [[0, 100]], [[0, 0]], 0) == [(0, 2, 0), (10, 0, 1)]
    assert changes([0, 10], [[60, 60]], [[0, 0]], 50) == [(0, 0, 0), (10, 0, 1)]
    assert changes([0, 10], [[50, 50]], [[0, 0]], 50) == [(0, 2, 2), (10, 2, 1)]
    assert changes([7], [[50]], [[0]], 50) == [(7, 2, 1)]


def test_kinds_of_numbers():
    times, codes = crests.within_changes(
        np.array([7]), np.array([50.0]), np.array([[50.0]]), np.array([[0.0]]), 50.0, 0
    )
    assert (times.dtype, codes.dtype) == (np.int64, np.uint8)


def test_lines_that_cross_are_within_in_the_middle_only():
    # a falls from 100 to 0, b rises from 0 to 100; both are at most 60 from 4 to 6, at most 50 at 5 only
    tops, zero = [[100, 0], [0, 100]], [[0, 0]]
    assert changes([0, 10], tops, zero, 60) == [(0, 0, 0), (4, 2, 2), (6, 2, 0), (10, 0, 1)]
    assert changes([0, 10], tops, zero, 50) == [(0, 0, 0), (5, 2, 0), (10, 0, 1)]
    assert changes([0, 10], tops, zero, 49) == [(0, 0, 0), (10, 0, 1)]


def test_the_share_of_a_piece_by_hand():
    tops, bottoms = np.array([[100.0, 0.0], [0.0, 100.0]]), np.array([[0.0, 0.0]])
    assert crests.inside(tops, bottoms, 0, 60.0) == (0.4, 0.6)
    assert crests.inside(tops, bottoms, 0, 100.0) == (0.0, 1.0)
    assert crests.inside(tops[:1], bottoms, 0, 75.0) == (0.25, 1.0)
    assert crests.inside(tops[1:], bottoms, 0, 75.0) == (0.0, 0.75)
    assert crests.inside(tops, bottoms, 0, 0.0) == (1.0, 0.0)
    assert crests.inside(tops, bottoms, 0, -1.0) == (1.0, 0.0)
    assert crests.inside(np.array([[5.0, 7.0, 9.0]]), np.array([[0.0, 0.0, 0.0]]), 1, 8.0) == (0.0, 0.5)


def test_what_is_beyond_at_both_ends_by_the_widest_pair():
    tops, bottoms = np.array([[10.0, 10.0], [30.0, 20.0], [20.0, 90.0]]), np.array([[5.0, 9.0], [1.0, 8.0], [3.0, 0.0]])
    # at the first sample the second of the tops and of the bottoms lead: 29, then 12
    assert crests.beyond(tops, bottoms, 0, 11.9)
    assert not crests.beyond(tops, bottoms, 0, 12.0)
    assert not crests.beyond(tops, bottoms, 0, 29.0)
    assert not crests.beyond(np.array([[5.0, 99.0]]), np.array([[0.0, 0.0]]), 0, 5.0)
    assert crests.beyond(np.array([[0.0, 6.0, 6.0]]), np.array([[0.0, 0.0, 0.0]]), 1, 5.0)


@pytest.mark.parametrize("seed", range(150))
def test_against_fractions(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(1, 60), rng.randint(1, 7)))
    tops = [[rng.randint(0, 20) for _ in t] for _ in range(rng.randint(1, 3))]
    bottoms = tops if rng.random() < 0.3 else [[rng.randint(0, 20) for _ in t] for _ in range(rng.randint(1, 3))]
    for level in (-3, 0, 4, 9, 13):
        assert changes(t, tops, bottoms, level) == slowly(t, tops, bottoms, level)
