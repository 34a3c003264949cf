"""Extremes, values and the first unknown stretch of a trace, against exact fractions over every stretch of small traces."""

from __future__ import annotations

from random import Random

import pytest

from curewright.judge.kernels import extremes
from tests.unit.judge.brute import FOREVER, arrays, packed, unknown, value


def found(t, v, link, hold, start, end):
    return extremes.extremes(*packed(t, v, link, hold), start, end)


def slowly(t, v, link, hold, start, end):
    inside = [(there, x) for there, x in zip(t, v, strict=True) if start <= there <= end]
    ends = [(edge, value(t, v, link, hold, edge)) for edge in (start, end)]
    known = sorted({*inside, *((at, x) for at, x in ends if x is not None)})
    first = next(((a, b) for a, b in unknown(t, link) if a < end and b > start), (FOREVER, FOREVER))
    if not known:
        return (False, 0.0, start, 0.0, start, *first)
    least, most = min(x for _, x in known), max(x for _, x in known)
    least_at, most_at = (next(at for at, x in known if x == sought) for sought in (least, most))
    return (True, least, least_at, most, most_at, *first)


def test_between_two_samples_by_hand():
    t, v, _ = arrays([0, 10], [0, 100])
    assert extremes.between(t, v, 0, False, 3) == 30
    assert extremes.between(t, v, 0, True, 3) == 0
    t, v, _ = arrays([4, 8, 20], [9, 10, 14])
    assert extremes.between(t, v, 1, False, 11) == 11
    assert extremes.between(t, v, 0, False, 6) == 10  # 9.5, half to even
    assert extremes.between(t, v, 1, True, 11) == 10


@pytest.mark.parametrize("seed", range(12))
def test_values_against_fractions(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(2, 40), rng.randint(1, 8)))
    v, link = [rng.randint(0, 9) for _ in t], [rng.choice((0, 0, 1, 2)) for _ in t]
    for hold in (False, True):
        for instant in range(42):
            known, x = extremes.value_at(*arrays(t, v, link), hold, instant)
            expected = value(t, v, link, hold, instant)
            assert (known, x) == ((False, 0.0) if expected is None else (True, expected))
    assert extremes.value_at(*arrays([], [], []), False, 3) == (False, 0.0)


@pytest.mark.parametrize("seed", range(25))
def test_every_stretch_of_a_small_trace(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(2, 24), rng.randint(1, 6)))
    v, link = [rng.randint(0, 9) for _ in t], [rng.choice((0, 0, 0, 1, 2)) for _ in t]
    hold = seed % 3 == 0
    for start in range(26):
        for end in range(start, 26):
            assert found(t, v, link, hold, start, end) == slowly(t, v, link, hold, start, end)


def test_of_no_samples_nothing_is_known():
    assert found([], [], [], False, 3, 9) == (False, 0.0, 3, 0.0, 3, -FOREVER, FOREVER)


LONG = [50, *[40] * 60, 30, *[45] * 66, *[44] * 50, 60, *[44] * 77, *[41] * 128, 20]


@pytest.mark.parametrize("broken", [None, 40, 150, 300])
@pytest.mark.parametrize("change", [None, (130, 30), (131, 29), (140, 30), (300, 60), (301, 61), (383, 99), (256, 7)])
def test_blocks_are_skipped_only_where_nothing_new_happens(broken, change):
    v, t = list(LONG), list(range(0, 2 * len(LONG), 2))
    if change:
        v[change[0]] = change[1]
    link = [0] * (len(v) - 1) + [1]
    if broken is not None:
        link[broken] = 2
    for start in (0, 1, 2, 100, 255, 256, 257):
        for end in (258, 510, 511, 512, 513, 766, 767, 768, 770):
            assert found(t, v, link, False, start, end) == slowly(t, v, link, False, start, end)


def hidden(v, link=None, *, at, end, start=0):
    """Extremes where a value was changed to 999 behind the back of its block's extremes."""
    t, values, *rest = packed(range(len(v)), v, link)
    changed = values.copy()
    changed[at] = 999
    return extremes.extremes(t, changed, *rest, start, end)


def test_a_block_without_news_is_not_read_at_all():
    v = [40, 50, *[45] * 126, *[50, 40] * 64, *[45] * 100]
    assert hidden(v, at=150, end=300) == (True, 40, 0, 50, 1, FOREVER, FOREVER)
    assert hidden(v, at=150, end=256) == (True, 40, 0, 50, 1, FOREVER, FOREVER)
    assert hidden(v, at=150, end=255)[3:5] == (999, 150)  # not the whole block and what follows it: read
    assert hidden(v, at=150, end=200)[3:5] == (999, 150)
    assert hidden(v, at=150, end=300, start=2)[1:5] == (40, 129, 50, 128)  # where its own extremes are
    assert hidden(v, at=260, end=300)[3:5] == (999, 260)


def test_a_broken_block_is_read_for_the_first_unknown_stretch_only():
    v = [40, 50, *[45] * 354]
    link = [0] * 355 + [1]
    link[200] = 2
    assert hidden(v, link, at=150, end=300) == (True, 40, 0, 50, 1, 200, 201)
    link[3] = 2
    assert hidden(v, link, at=150, end=300)[3:] == (50, 1, 3, 4)


def test_values_that_are_not_whole_numbers():
    v = [0.5, *[0.25] * 200, 0.75, *[0.5] * 200]
    assert found(range(402), v, [0] * 401 + [1], False, 0, 401)[1:5] == (0.25, 1, 0.75, 201)
