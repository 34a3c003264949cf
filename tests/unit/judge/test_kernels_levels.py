"""Where a trace reaches a level: by hand, and sample by sample with exact fractions where blocks are skipped."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import levels
from tests.unit.judge.brute import arrays, normal, packed


def changes(t, v, level, *, strict=False, link=None, hold=False):
    times, codes = levels.level_changes(*packed(t, v, link, hold), float(level), strict)
    return [(time, at, after) for time, (at, after) in zip(times.tolist(), codes.tolist(), strict=True)]


def slowly(t, v, level, *, strict=False, link=None, hold=False):
    link = [0] * (len(t) - 1) + [1] if link is None else link
    points = []
    for i, (time, x) in enumerate(zip(t, v, strict=True)):
        here = 2 * (x > level or (x == level and not strict))
        after, crossing = here, None
        if i + 1 == len(t) or link[i]:
            after = 1
        elif not hold:
            there = 2 * (v[i + 1] > level or (v[i + 1] == level and not strict))
            if there != here:
                crossing = time + round(Fraction((level - x) * (t[i + 1] - time), v[i + 1] - x))
                after = there if crossing == time else here
        points.append((time, here, after))
        if crossing is not None and time < crossing < t[i + 1]:
            points.append((crossing, 0 if strict else 2, there))
    return normal(points)


def test_a_rising_line_by_hand():
    assert changes([0, 10], [0, 100], 50) == [(0, 0, 0), (5, 2, 2), (10, 2, 1)]
    assert changes([0, 10], [0, 100], 50, strict=True) == [(0, 0, 0), (5, 0, 2), (10, 2, 1)]
    assert changes([0, 10], [0, 100], 0) == [(0, 2, 2), (10, 2, 1)]
    assert changes([0, 10], [0, 100], 0, strict=True) == [(0, 0, 2), (10, 2, 1)]
    assert changes([0, 10], [0, 100], 100) == [(0, 0, 0), (10, 2, 1)]
    assert changes([0, 10], [0, 100], 100, strict=True) == [(0, 0, 0), (10, 0, 1)]
    assert changes([0, 10], [0, 100], 101) == [(0, 0, 0), (10, 0, 1)]


def test_a_falling_line_by_hand():
    assert changes([0, 10], [100, 0], 50) == [(0, 2, 2), (5, 2, 0), (10, 0, 1)]
    assert changes([0, 10], [100, 0], 50, strict=True) == [(0, 2, 2), (5, 0, 0), (10, 0, 1)]
    assert changes([0, 10], [100, 0], 100) == [(0, 2, 0), (10, 0, 1)]
    assert changes([0, 10], [100, 0], 99) == [(0, 2, 0), (10, 0, 1)]  # 0.1 after the sample: the sample itself
    assert changes([0, 10], [100, 0], 1) == [(0, 2, 2), (10, 0, 1)]  # 9.9: the next sample


def test_a_peak_at_the_level_by_hand():
    assert changes([0, 10, 20], [0, 50, 0], 50) == [(0, 0, 0), (10, 2, 0), (20, 0, 1)]
    assert changes([0, 10, 20], [0, 50, 0], 50, strict=True) == [(0, 0, 0), (20, 0, 1)]
    assert changes([0, 10, 20], [99, 50, 99], 50) == [(0, 2, 2), (20, 2, 1)]
    assert changes([0, 10, 20], [99, 50, 99], 50, strict=True) == [(0, 2, 2), (10, 0, 2), (20, 2, 1)]


def test_what_is_not_joined_is_unknown_between():
    assert changes([0, 10, 20], [0, 100, 100], 50, link=[2, 0, 1]) == [(0, 0, 1), (10, 2, 2), (20, 2, 1)]
    assert changes([7], [100], 50) == [(7, 2, 1)]
    assert changes([], [], 50, link=[]) == []


def test_a_held_value_changes_at_its_samples_only():
    assert changes([0, 10, 20], [0, 100, 0], 50, hold=True) == [(0, 0, 0), (10, 2, 2), (20, 0, 1)]


def test_blocks_by_hand():
    v = [*range(128), *range(500, 628), 3, 9]
    link = [0] * 257 + [1]
    link[5], link[130], link[131] = 2, 1, 2
    low, high, broken = levels.summarise(*arrays(range(258), v, link)[1:])
    assert (low.tolist(), high.tolist(), broken.tolist()) == ([0, 3, 3], [500, 627, 9], [2, 3, 1])
    low, high, broken = levels.summarise(*arrays(range(128), [5, 3, *[4] * 126])[1:])
    assert (low.tolist(), high.tolist(), broken.tolist()) == ([3], [5], [1])
    assert [len(part) for part in levels.summarise(*arrays([], [], [])[1:])] == [0, 0, 0]


@pytest.mark.parametrize("seed", range(60))
def test_short_traces_against_fractions(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(60), rng.randint(2, 25)))
    v = [rng.randint(0, 9) for _ in t]
    link = [rng.choice((0, 0, 0, 0, 1, 2)) for _ in t]
    for level in (0, 3, 9):
        for strict in (False, True):
            for hold in (False, True):
                more = {"strict": strict, "link": link, "hold": hold}
                assert changes(t, v, level, **more) == slowly(t, v, level, **more)


BLOCKS = {
    "at": [5] * 128,
    "above": [7] * 128,
    "under": [2] * 128,
    "touches": [*[7] * 60, 5, *[7] * 67],
    "reaches": [*[2] * 60, 5, *[2] * 67],
    "dips": [*[7] * 60, 2, *[7] * 67],
    "rises": [*[2] * 60, 7, *[2] * 67],
    "begins under": [2, *[7] * 127],
    "ends under": [*[7] * 127, 2],
    "ends above": [*[2] * 127, 7],
    "begins above": [7, *[2] * 127],
}


@pytest.mark.parametrize("first", BLOCKS)
@pytest.mark.parametrize("second", BLOCKS)
def test_blocks_of_samples_are_skipped_only_where_nothing_happens(first, second):
    v = [*BLOCKS["at"][:1], *BLOCKS["above"][:127], *BLOCKS[first], *BLOCKS[second], 6]
    t = [3 * i for i in range(len(v))]
    for link in (None, [0] * 200 + [2] + [0] * (len(v) - 202) + [1]):
        for strict in (False, True):
            assert changes(t, v, 5, strict=strict, link=link) == slowly(t, v, 5, strict=strict, link=link)


@pytest.mark.parametrize("last", [128, 129, 256, 257])
def test_the_last_block_ends_the_trace(last):
    for value in (7, 5, 2):
        v = [*[value] * (last - 1), 7 - value]
        t = list(range(0, 4 * last, 4))
        for strict in (False, True):
            assert changes(t, v, 5, strict=strict) == slowly(t, v, 5, strict=strict)


def test_many_changes_find_room():
    t = list(range(0, 600, 10))
    v = [0, 8] * 30
    assert changes(t, v, 4) == slowly(t, v, 4)
    assert len(changes(t, v, 4)) == 61  # the first sample, a crossing for each of 59 pieces, the last sample


QUIET = [
    (7, 7, False),
    (7, 7, True),
    (7, 5, False),
    (5, 5, False),
    (2, 2, False),
    (2, 2, True),
    (2, 5, True),
    (5, 5, True),
]


@pytest.mark.parametrize("value, following, strict", QUIET)
def test_a_block_without_news_is_not_read_at_all(value, following, strict):
    """Shown by a value changed behind the back of the block's extremes, which nobody then sees."""
    v = [*[value] * 256, following, *[value] * 10]
    t, values, link, *rest = packed(range(len(v)), v)
    quiet = levels.level_changes(t, values, link, *rest, 5.0, strict)
    changed = values.copy()
    changed[150] = 9 - value
    hidden = levels.level_changes(t, changed, link, *rest, 5.0, strict)
    assert [part.tolist() for part in hidden] == [part.tolist() for part in quiet]


def test_a_block_at_the_very_end_is_read_whatever_its_flags_say():
    t, v, link = arrays(range(256), [7] * 255 + [2], [0] * 256)
    times, _ = levels.level_changes(t, v, link, False, *levels.summarise(v, link), 5.0, False)
    assert times.tolist() == [0, 254, 255]
    t, v, link = arrays(range(257), [7] * 257, [0] * 257)
    more = levels.summarise(v, link)
    v[200] = 2
    times, _ = levels.level_changes(t, v, link, False, *more, 5.0, False)
    assert times.tolist() == [0, 256]


def test_kinds_of_numbers():
    for count in (1, 60):  # with and without finding more room
        times, codes = levels.level_changes(
            *packed(range(count), [0, 8] * (count // 2) + [0] * (count % 2)), 4.0, False
        )
        assert (times.dtype, codes.dtype) == (np.int64, np.uint8)
    low, high, broken = levels.summarise(*arrays([0], [0])[1:])
    assert (low.dtype, high.dtype, broken.dtype) == (float, float, np.uint8)


def test_a_crossing_at_the_start_of_the_run_itself():
    assert changes([-5, 5], [0, 100], 50) == [(-5, 0, 0), (0, 2, 2), (5, 2, 1)]
