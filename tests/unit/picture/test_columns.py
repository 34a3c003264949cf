"""Lowest and highest per column against plain loops: no extreme vanishes, and a gap stays one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.judge.trace import GAP, JOINED, LOST, Trace
from curewright.picture.columns import Columns, columns, highest, lowest, points, samples, values_at

SECOND = 10**9


def trace(t: list[int], v: list[float], link: list[int] | None = None) -> Trace:
    marks = np.zeros(len(t), np.uint8) if link is None else np.array(link, np.uint8)
    if len(marks):
        marks[-1] = GAP
    return Trace("TC", np.array(t, np.int64), np.array(v, float), marks)


@given(
    st.lists(
        st.tuples(st.integers(1, 40), st.integers(-500, 500), st.sampled_from([JOINED] * 6 + [GAP, LOST])),
        min_size=1,
        max_size=120,
    ),
    st.integers(1, 30),
)
def test_every_sample_is_inside_its_column_and_every_extreme_is_kept(
    rows: list[tuple[int, int, int]], count: int
) -> None:
    t = np.cumsum([step for step, _, _ in rows]).tolist()
    v = [float(value) for _, value, _ in rows]
    edges = np.linspace(0, t[-1], count + 1).astype(np.int64)
    found = columns(trace(t, v, [link for _, _, link in rows]), edges)
    for k in range(count):
        inside = [
            value
            for at, value in zip(t, v, strict=True)
            if edges[k] <= at < edges[k + 1] or (k == count - 1 and at == edges[-1])
        ]
        if inside:
            assert found.low[k] <= min(inside)
            assert found.high[k] >= max(inside)
    shown = np.concatenate([found.low, found.high])
    assert np.nanmax(shown) == max(v)
    assert np.nanmin(shown) == min(v)


@given(st.lists(st.integers(-99, 99), min_size=3, max_size=60), st.integers(2, 9))
def test_lines_that_are_drawn_reach_every_extreme(values: list[int], count: int) -> None:
    t = [5 * k for k in range(len(values))]
    edges = np.linspace(0, t[-1], count + 1).astype(np.int64)
    found = columns(trace(t, [float(v) for v in values]), edges)
    drawn = np.concatenate(points(found, edges.astype(float)))
    assert drawn[:, 1].max() == max(values)
    assert drawn[:, 1].min() == min(values)
    assert (np.diff(drawn[:, 0]) >= 0).all()


def test_a_peak_of_one_sample_in_a_million_is_drawn() -> None:
    v = np.zeros(1_000_000)
    v[777_777] = 42.0
    t = np.arange(1_000_000, dtype=np.int64)
    link = np.zeros(len(t), np.uint8)
    link[-1] = GAP
    found = columns(Trace("TC", t, v, link), np.linspace(0, len(t) - 1, 501).astype(np.int64))
    assert np.flatnonzero(found.high == 42.0).tolist() == [388]  # 777777 / 999999 x 500 = 388.9
    assert np.concatenate(points(found, np.arange(501.0)))[:, 1].max() == 42.0


def test_columns_between_samples_hold_the_straight_line() -> None:
    found = columns(trace([0, 100], [0.0, 10.0]), np.array([0, 25, 50, 75, 100]))
    assert found.low.tolist() == [0.0, 2.5, 5.0, 7.5]
    assert found.high.tolist() == [2.5, 5.0, 7.5, 10.0]
    (line,) = points(found, np.array([0.0, 1.0, 2.0, 3.0, 4.0]))
    assert line.tolist() == [[0.0, 0.0], [1.0, 2.5], [2.0, 5.0], [3.0, 7.5], [4.0, 10.0]]


@pytest.mark.parametrize("why", [GAP, LOST])
def test_a_gap_parts_the_line(why: int) -> None:
    one = trace([0, 10, 60, 70], [1.0, 2.0, 3.0, 4.0], [JOINED, why, JOINED, JOINED])
    found = columns(one, np.arange(0, 71, 10))
    assert np.isnan(found.low[2:6]).tolist() == [True, True, True, True]
    lines = points(found, np.arange(8.0))
    assert [line[[0, -1], 1].tolist() for line in lines] == [[1.0, 2.0], [3.0, 4.0]]
    assert [v.tolist() for _, v in samples(one, 0, 70)] == [[1.0, 2.0], [3.0, 4.0]]


def test_values_at_instants() -> None:
    one = trace([0, 10, 20, 30], [0.0, 10.0, 0.0, 5.0], [JOINED, GAP, JOINED, JOINED])
    found = values_at(one, np.array([-1, 0, 5, 10, 15, 20, 25, 30, 31]))
    assert np.array_equal(found, [np.nan, 0.0, 5.0, 10.0, np.nan, 0.0, 2.5, 5.0, np.nan], equal_nan=True)


def test_the_trace_between_two_instants_has_its_values_at_both() -> None:
    ((t, v),) = samples(trace([0, 10, 20], [0.0, 10.0, 0.0]), 5, 15)
    assert t.tolist() == [5, 10, 15]
    assert v.tolist() == [5.0, 10.0, 5.0]
    ((t, v),) = samples(trace([0, 100], [0.0, 10.0]), 20, 40)  # no sample between them
    assert (t.tolist(), v.tolist()) == ([20, 40], [2.0, 4.0])


def test_coldest_and_hottest_of_several() -> None:
    edges = np.array([0, 10, 20])
    several = [columns(trace([0, 20], ends), edges) for ends in ([0.0, 20.0], [15.0, 5.0])]
    cold, hot = lowest(several), highest(several)
    assert cold.low.tolist() == [0.0, 5.0]
    assert hot.high.tolist() == [15.0, 20.0]


def test_of_several_one_that_is_lost_leaves_the_others() -> None:
    edges = np.arange(0, 41, 10)
    several: list[Columns] = [columns(trace([0, 40], [1.0, 1.0]), edges), columns(trace([0, 10], [5.0, 5.0]), edges)]
    assert highest(several).high.tolist() == [5.0, 5.0, 1.0, 1.0]
