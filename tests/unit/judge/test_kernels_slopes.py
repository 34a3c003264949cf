"""Rates over windows: each window worked out anew with whole numbers from the samples that lie in it."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import slopes
from tests.unit.judge.brute import arrays, value

MS = 10**6


def known_since(t, link, i, start):
    """From when on all is known up to sample i, not before start."""
    k = i
    while k > 0 and not link[k - 1] and t[k - 1] >= start:
        k -= 1
    return start if k > 0 and not link[k - 1] and t[k] >= start else t[k]


def windows(t, link, start, end, window, samples):
    """(index of the closing sample, indices of the samples in the window) of every window that counts."""
    for i, closing in enumerate(t):
        if start <= closing <= end and closing - window >= known_since(t, link, i, start):
            inside = [k for k in range(i + 1) if t[k] >= closing - window]
            if len(inside) >= max(samples, 2):
                yield i, inside


def laid_out(t, start, end, rates):
    first = sum(there < start for there in t)
    count = sum(start <= there <= end for there in t)
    return first, [rates.get(first + k) for k in range(count)]


def least_squares(t, v, link, start, end, window, samples):
    ms = [(there + 500000) // MS for there in t]
    rates = {}
    for i, inside in windows(t, link, start, end, window, samples):
        x, y, n = [ms[k] - ms[i] for k in inside], [v[k] - v[i] for k in inside], len(inside)
        above = n * sum(a * b for a, b in zip(x, y, strict=True)) - sum(x) * sum(y)
        below = n * sum(a * a for a in x) - sum(x) ** 2
        if below:
            rates[i] = above / below * 60.0
    return laid_out(t, start, end, rates)


def end_points(t, v, link, start, end, window, samples):
    rates = {
        i: (v[i] - value(t, v, link, False, t[i] - window)) * (6.0e7 / window)
        for i, _ in windows(t, link, start, end, window, samples)
    }
    return laid_out(t, start, end, rates)


def neighbours(t, v, link, start, end):
    rates = {
        i: (v[i] - v[i - 1]) * 6.0e7 / (t[i] - t[i - 1])
        for i in range(1, len(t))
        if not link[i - 1] and t[i - 1] >= start and t[i] <= end
    }
    return laid_out(t, start, end, rates)


def given(found):
    first, rates = found
    return int(first), [None if np.isnan(rate) else float(rate) for rate in rates]


def fitted(t, v, link, *stretch):
    t, v, link = arrays(t, v, link)
    return given(slopes.each_least_squares(t, slopes.milliseconds(t), v, link, *stretch))


def ends(t, v, link, *stretch):
    return given(slopes.each_end_points(*arrays(t, v, link), *stretch))


def steps(t, v, link, *stretch):
    return given(slopes.each_sample_to_sample(*arrays(t, v, link), *stretch))


def test_a_straight_line_by_hand():
    t, v, link = [0, 1000 * MS, 2000 * MS, 3000 * MS], [10, 60, 110, 160], [0, 0, 0, 1]
    # 50 grains a second are 3000 a minute: 3 of the thousands of grains in which rates are given
    assert fitted(t, v, link, 0, 3000 * MS, 2000 * MS, 3) == (0, [None, None, 3.0, 3.0])
    assert fitted(t, v, link, 0, 3000 * MS, 2000 * MS, 4) == (0, [None] * 4)
    assert fitted(t, v, link, 1, 3000 * MS, 2000 * MS, 2) == (1, [None, None, 3.0])
    assert fitted(t, v, link, 1000 * MS, 2999 * MS, 1000 * MS, 2) == (1, [None, 3.0])
    assert fitted(t, v, link, 2500 * MS, 2600 * MS, 10, 0) == (3, [])
    assert fitted(t, v, link, 2600 * MS, 900 * MS, 10, 0) == (3, [])
    assert ends(t, v, link, 0, 3000 * MS, 2000 * MS, 3) == (0, [None, None, 3.0, 3.0])
    assert ends(t, v, link, 0, 3000 * MS, 1500 * MS, 2) == (0, [None, None, 3.0, 3.0])
    assert ends(t, v, link, 0, 3000 * MS, 1500 * MS, 3) == (0, [None] * 4)
    assert ends(t, v, link, 2500 * MS, 2600 * MS, 10, 0) == (3, [])
    assert ends(t, v, link, 2600 * MS, 900 * MS, 10, 0) == (3, [])
    assert steps(t, v, link, 0, 3000 * MS, 0, 0) == (0, [None, 3.0, 3.0, 3.0])
    assert steps(t, v, link, 1, 2000 * MS, 0, 0) == (1, [None, 3.0])
    assert steps(t, v, link, 2500 * MS, 2600 * MS, 0, 0) == (3, [])
    assert steps(t, v, link, 2600 * MS, 900 * MS, 0, 0) == (3, [])


def test_instants_in_whole_milliseconds():
    t = np.array([0, 499_999, 500_000, 1_499_999, 1_500_000, -500_001], np.int64)
    assert slopes.milliseconds(t).tolist() == [0, 0, 1, 1, 2, -1]


def test_least_and_greatest_rate_with_the_earliest_instants():
    t = np.arange(0, 80, 10, dtype=np.int64)
    rates = np.array([np.nan, 2.0, 1.0, 1.0, np.nan, 3.0, 3.0])
    assert slopes.reduced(t, rates, 1) == (5, 1.0, 30, 3.0, 60)
    assert slopes.reduced(t, np.array([np.nan]), 1) == (0, 0.0, 0, 0.0, 0)
    assert slopes.reduced(t, np.array([-5.0]), 2) == (1, -5.0, 20, -5.0, 20)
    assert slopes.reduced(t, np.array([5.0, 7.0]), 0) == (2, 5.0, 0, 7.0, 10)


def test_since_when_a_trace_is_known():
    t, _, link = arrays([0, 10, 20], [0, 0, 0], [0, 2, 1])
    assert [slopes.known_from(t, link, i, 5) for i in (0, 1, 2)] == [0, 5, 20]
    assert slopes.known_from(t, link, 1, 0) == 10
    assert slopes.known_from(t, link, 0, -5) == 0


@pytest.mark.parametrize("seed", range(40))
def test_every_window_against_its_own_samples(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(0, 40 * MS, MS // 4), rng.randint(3, 18)))
    v = [rng.randint(-500, 500) for _ in t]
    link = [rng.choice((0, 0, 0, 0, 0, 1, 2)) for _ in t]
    for start, end in ((0, 40 * MS), (t[1], t[-1]), (t[0] + MS // 8, t[-2]), (10 * MS, 30 * MS)):
        assert steps(t, v, link, start, end, 0, 0) == neighbours(t, v, link, start, end)
        for window in (2 * MS, 5 * MS, 11 * MS, t[2] - t[0], t[-1] - t[-2]):
            for samples in (0, 2, 3, 5):
                case = (t, v, link, start, end, window, samples)
                assert fitted(*case) == least_squares(*case)
                assert ends(*case) == end_points(*case)


def test_two_samples_in_one_millisecond_have_no_slope():
    t, v, link = [0, 100, 5 * MS], [1, 2, 3], [0, 0, 1]
    assert fitted(t, v, link, 0, 5 * MS, 100, 2) == (0, [None, None, None])


def over_all(kind, t, v, link, regions, window, samples):
    whole, values, links = arrays(t, v, link)
    starts, stops = (np.array([region[i] for region in regions], np.int64) for i in (0, 1))
    found = slopes.steepest(kind, whole, slopes.milliseconds(whole), values, links, starts, stops, window, samples)
    return tuple(float(x) for x in found)


def outermost(kind, t, v, link, regions, window, samples):
    """(how many, least, its instant, greatest, its instant), the first of equals."""
    rates = []
    for start, end in regions:
        if kind == 2:
            first, found = neighbours(t, v, link, start, end)
        else:
            first, found = (least_squares, end_points)[kind](t, v, link, start, end, window, samples)
        rates += [(rate, t[first + k]) for k, rate in enumerate(found) if rate is not None]
    if not rates:
        return (0, 0, 0, 0, 0)
    least, most = min(rate for rate, _ in rates), max(rate for rate, _ in rates)
    least_at, most_at = (next(at for rate, at in rates if rate == sought) for sought in (least, most))
    return (len(rates), least, least_at, most, most_at)


@pytest.mark.parametrize("seed", range(40))
def test_the_steepest_of_all_stretches(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(0, 40 * MS, MS // 2), rng.randint(4, 20)))
    v = [rng.randint(-4, 4) for _ in t]
    link = [rng.choice((0, 0, 0, 0, 0, 2)) for _ in t]
    edges = [0, *sorted(rng.sample(range(40 * MS), 3)), 40 * MS]
    regions = [(edges[0], edges[1]), (edges[2], edges[3]), (edges[3] + 1, edges[4])]
    for kind in (0, 1, 2):
        for some in (regions, regions[::-1], regions[:1], [], [(0, 1), *regions]):
            case = (kind, t, v, link, some, 4 * MS, 2)
            assert over_all(*case) == outermost(*case)
