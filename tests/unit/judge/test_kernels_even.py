"""The steepest windows where samples are evenly spaced, against the plain kernel and against SciPy: the same to the last bit."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import linregress

from curewright.judge.kernels import even, slopes

SECOND = 10**9


def a_log(rng, samples, step):
    """A log mostly at one step: rows absent, a change of step, bad samples; drifting and noisy values in whole grains."""
    steps = np.full(samples, step, np.int64)
    for _ in range(rng.integers(0, 4)):
        steps[rng.integers(0, samples)] = rng.integers(1, 200) * SECOND // 2
    if rng.random() < 0.4:
        steps[rng.integers(0, samples) :] = rng.choice([1, 2, 3]) * SECOND
    t = np.cumsum(steps) + int(rng.integers(-3, 3)) * 123_456_789
    v = np.rint(np.cumsum(rng.normal(0, 1, samples)) * 10.0 ** rng.integers(2, 7))
    link = np.zeros(samples, np.uint8)
    link[-1] = 1
    for _ in range(rng.integers(0, 3)):
        link[rng.integers(0, samples)] = 2
    return t, v, link


def some_stretches(rng, t):
    edges = np.sort(rng.integers(t[0] - 10 * SECOND, t[-1] + 10 * SECOND, 2 * rng.integers(1, 4)))
    if rng.random() < 0.5:
        edges = np.sort(rng.choice(t, len(edges)))
    return np.ascontiguousarray(edges[::2]), np.ascontiguousarray(edges[1::2])


def by_each(t, v, link, starts, ends, window, samples, wanted=7):
    runs = even.even_runs(t, link)
    more = (*runs, starts, ends, window, samples, float(v.max() - v.min()))
    instants, rates = even.steepest_by_each(wanted, t, slopes.milliseconds(t), v, link, *more)
    return [(i[0], r[0], i[1], r[1], i[2]) for i, r in zip(instants.tolist(), rates.tolist(), strict=True)]


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("step", [SECOND, 2 * SECOND, SECOND // 3])
def test_the_same_bits_as_the_plain_way(seed, step):
    rng = np.random.default_rng(seed)
    t, v, link = a_log(rng, int(rng.choice([3, 80, 300, 700])), step)
    starts, ends = some_stretches(rng, t)
    for window in (SECOND, 7 * SECOND, 60 * SECOND, 333 * SECOND):
        found = by_each(t, v, link, starts, ends, window, 2)
        for kind in range(3):
            plain = slopes.steepest(kind, t, slopes.milliseconds(t), v, link, starts, ends, window, 2)
            assert found[kind] == plain


@pytest.mark.parametrize(
    "first", [0.0, 2e13, -2e13]
)  # a fall or a rise at the beginning, so that only the other end is close
@pytest.mark.parametrize("seed", range(20))
def test_the_same_bits_where_windows_differ_by_less_than_a_division_tells_apart(seed, first):
    """A zigzag, now and then a grain higher: which window is steepest is decided by rounding alone (in about one of four such
    zigzags another one comes out if only the windows with the greatest sums are divided). The values lie about as far apart as whole
    numbers allow (6 * 10**13 grains, a sample a millisecond), so that sums go beyond 2**53.
    """
    rng = np.random.default_rng(seed)
    v = (np.tile(rng.integers(-3 * 10**13, 3 * 10**13, 2), 350) + rng.integers(0, 2, 700)).astype(float)
    v[:30] += first
    t = np.arange(700, dtype=np.int64) * (SECOND // 1000)
    link = np.zeros(700, np.uint8)
    window = 60 * SECOND // 1000
    plain = slopes.steepest(0, t, slopes.milliseconds(t), v, link, t[:1], t[-1:], window, 2)
    assert by_each(t, v, link, t[:1], t[-1:], window, 2)[0] == plain


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("step", [500_000, 1_500_000, 2_500_000])
def test_the_same_bits_where_a_step_is_no_whole_number_of_milliseconds(seed, step):
    rng = np.random.default_rng(seed)
    t, link = np.arange(300, dtype=np.int64) * step, np.zeros(300, np.uint8)
    v = np.rint(np.cumsum(rng.normal(0, 1e5, 300)))
    for window in (30_000_000, 60_000_000):
        found = by_each(t, v, link, t[:1], t[-1:], window, 2)
        assert found == [
            slopes.steepest(kind, t, slopes.milliseconds(t), v, link, t[:1], t[-1:], window, 2) for kind in range(3)
        ]


def test_of_equals_the_earliest_is_named():
    """A zigzag of 100 s up and 100 s down at one grain a second, which is 0.06 thousand grains a minute, by hand."""
    t, link = np.arange(801, dtype=np.int64) * SECOND, np.zeros(801, np.uint8)
    v = 100.0 - np.abs(np.arange(801) % 200 - 100.0)
    squares, ends, steps = by_each(t, v, link, t[:1], t[-1:], 60 * SECOND, 2)
    for found, first in ((squares, 60), (ends, 60), (steps, 1)):
        assert (found[1], found[3]) == (-found[3], pytest.approx(0.06))
        assert (found[2], found[4]) == ((100 + first) * SECOND, first * SECOND)
    # the same course in two stretches: the earlier one is named
    starts, ends_ = t[[0, 400]], t[[400, 800]]
    for found, first in zip(by_each(t, v, link, starts, ends_, 60 * SECOND, 2), (60, 60, 1), strict=True):
        assert (found[2], found[4]) == ((100 + first) * SECOND, first * SECOND)


def test_a_single_sample_after_a_long_run_ends_a_window_too():
    """A jump at the very last sample, which stands apart from the run before it: the steepest windows end there."""
    t = np.array([*range(100), 101], np.int64) * SECOND
    v, link = np.array([*[0.0] * 100, 5e6]), np.zeros(101, np.uint8)
    for found in by_each(t, v, link, t[:1], t[-1:], 60 * SECOND, 2):
        assert (found[3] > 0, found[4]) == (True, 101 * SECOND)


@pytest.mark.parametrize("samples", [2, 61, 62])
def test_windows_need_their_least_number_of_samples(samples):
    t = np.arange(200, dtype=np.int64) * SECOND
    v, link = np.arange(200) * 100.0, np.zeros(200, np.uint8)
    squares, ends, steps = by_each(t, v, link, t[:1], t[-1:], 60 * SECOND, samples)
    assert (squares[0], ends[0], steps[0]) == ((140, 140, 199) if samples < 62 else (0, 0, 199))


def test_against_a_general_library():
    """SciPy's straight-line fit of the window that is named, to rounding."""
    rng = np.random.default_rng(7)
    t = np.arange(1500, dtype=np.int64) * SECOND
    v = np.rint(1e5 * np.sin(np.arange(1500) / 200.0) + rng.normal(0, 3e3, 1500))
    link = np.zeros(1500, np.uint8)
    squares, *_ = by_each(t, v, link, t[:1], t[-1:], 300 * SECOND, 8)
    for rate, at in ((squares[1], squares[2]), (squares[3], squares[4])):
        last = at // SECOND
        window = slice(last - 300, last + 1)
        fitted = linregress(t[window] / 6e10, v[window] / 1000.0)
        assert rate == pytest.approx(fitted.slope, rel=1e-12)
    slopes_of_all = [linregress(t[k - 300 : k + 1] / 6e10, v[k - 300 : k + 1] / 1000.0).slope for k in range(300, 1500)]
    assert squares[1] == pytest.approx(min(slopes_of_all), rel=1e-12)
    assert squares[3] == pytest.approx(max(slopes_of_all), rel=1e-12)


def test_only_what_is_wanted():
    t = np.arange(200, dtype=np.int64) * SECOND
    v, link = np.arange(200) * 100.0, np.zeros(200, np.uint8)
    found = by_each(t, v, link, t[:1], t[-1:], 60 * SECOND, 2, wanted=2)
    assert [each[0] for each in found] == [0, 140, 0]


def test_long_runs_at_one_step():
    t = np.array([*range(100), *range(101, 200), *range(300, 310)], np.int64)
    link = np.zeros(len(t), np.uint8)
    firsts, lasts = even.even_runs(t, link)
    assert (firsts.tolist(), lasts.tolist()) == ([0, 100], [99, 198])
    link[30] = 2
    firsts, lasts = even.even_runs(t, link)
    assert (firsts.tolist(), lasts.tolist()) == ([31, 100], [99, 198])
    assert even.even_runs(t[:64], link[:64] * 0)[0].tolist() == []
    assert even.even_runs(t[:65], link[:65] * 0)[0].tolist() == [0]


def test_whole_numbers():
    assert even.all_whole(np.array([1.0, -3.0, 2.0**60]))
    assert not even.all_whole(np.array([1.0, 0.5]))
    assert not even.all_whole(np.array([0.5, 1.0, 2.0]))
    assert even.all_whole(np.empty(0))
