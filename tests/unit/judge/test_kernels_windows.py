"""The greatest fall over a sliding window, against every whole instant of traces whose values are whole everywhere."""

from __future__ import annotations

from random import Random

import pytest

from curewright.judge.kernels import windows
from tests.unit.judge.brute import arrays, value


def found(t, v, link, hold, start, end, window):
    return windows.greatest_fall(*arrays(t, v, link), hold, start, end, window)


def slowly(t, v, link, hold, start, end, window):
    """(greatest fall, the earliest instant that ends its window) over all whole instants, None without a known window."""
    falls = []
    for closing in range(start + window, end + 1):
        before, after = value(t, v, link, hold, closing - window), value(t, v, link, hold, closing)
        if before is not None and after is not None:
            falls.append((before - after, -closing))
    return (max(falls)[0], -max(falls)[1]) if falls else None


def test_by_hand():
    t, v = [0, 10, 20, 30], [100, 90, 60, 50]
    # tried: windows that end at a sample (10, 20, 30), that begin at one (0, 10, 20), the first and the last
    assert found(t, v, [0, 0, 0, 1], False, 0, 30, 10) == (8, 30.0, 20)
    assert found(t, v, [0, 0, 0, 1], False, 5, 22, 10) == (4, 30.0, 20)
    assert found(t, v, [0, 0, 0, 1], False, 0, 30, 31) == (0, 0.0, 0)
    assert found(t, v, [0, 0, 0, 1], False, 3, 33, 31)[0] == 0
    assert found(t, v, [0, 2, 0, 1], False, 11, 19, 5) == (0, 0.0, 11)
    assert found(t, [50, 60, 90, 100], [0, 0, 0, 1], False, 0, 30, 30) == (4, -50.0, 30)
    assert found([0, 10], [50, 50], [0, 1], False, 0, 10, 2) == (4, 0.0, 2)  # on ties the earliest


@pytest.mark.parametrize("seed", range(60))
def test_the_greatest_of_all_falls(seed):
    rng = Random(seed)
    t, v = [rng.randint(0, 5)], [rng.randint(0, 50)]
    for _ in range(rng.randint(1, 5)):
        step = rng.randint(1, 6)
        t.append(t[-1] + step)
        v.append(v[-1] + step * rng.randint(-3, 3))
    link = [rng.choice((0, 0, 0, 0, 2)) for _ in t]
    hold = seed % 2 == 1
    for start in range(0, t[-1] + 1, 2):
        for window in (1, 2, 3, 5, 7):
            for end in (start + window, t[-1] - 1, t[-1], t[-1] + 2):
                tried, most, at = found(t, v, link, hold, start, end, window)
                expected = slowly(t, v, link, hold, start, end, window)
                assert (tried == 0) == (expected is None)
                if expected:
                    assert (most, at) == expected


def test_a_held_trace_falls_at_its_samples():
    assert found([0, 10, 20], [9, 5, 1], [0, 0, 1], True, 0, 20, 10)[1:] == (4.0, 10)
    assert found([0, 10, 20], [9, 5, 1], [0, 0, 1], True, 0, 20, 15)[1:] == (8.0, 20)
