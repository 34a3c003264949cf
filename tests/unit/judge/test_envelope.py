"""Envelopes: the coldest, the hottest, a spread, a mean and differences, by hand and against exact fractions."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction
from random import Random

import numpy as np
import pytest

from curewright.judge.envelope import (
    GREATEST,
    LEAST,
    ONE,
    Atom,
    Envelope,
    Extreme,
    _axis_within,
    _chained,
    mean_of,
    pairs_of,
)
from curewright.judge.steps import NEVER, Steps
from curewright.judge.trace import Trace
from tests.unit.judge.brute import arrays


def atom(label, t, v, link=None, aside=(), hold=False, members=(), **more):
    return Atom(label, Trace(label, *arrays(t, v, link), hold, **more), members or (label,), tuple(aside))


def shared(*rows, link=None):
    """Atoms A, B, … on the very same instants 0, 10, 20, …"""
    first = atom("A", range(0, 10 * len(rows[0]), 10), rows[0], link)
    others = [
        Atom(name, replace(first.trace, v=np.array(row, float)), (name,))
        for name, row in zip("BCDE", rows[1:], strict=False)
    ]
    return (first, *others)


def plainly(envelope):
    """The same without the swift way over the crest: each difference one by one, on an array of instants of its own."""
    return Envelope(envelope.kind, envelope.atoms, envelope.aside)


# -------------------------------------------------------------------------------------------------------------- levels


A = atom("A", [0, 10], [0, 100])
B = atom("B", [0, 10], [100, 0])


def test_the_coldest_has_reached_a_level_when_all_have_and_the_hottest_when_one_has():
    coldest, hottest = Envelope(LEAST, (A, B)), Envelope(GREATEST, (A, B))
    assert coldest.at_least(40) == Steps((0, 4, 6, 10), (0, 2, 2, 0), (0, 2, 0, 1), 1) != hottest.at_least(40)
    assert coldest.at_least(40, above=True) == Steps((0, 4, 6, 10), (0, 0, 0, 0), (0, 2, 0, 1), 1)
    assert hottest.at_least(60) == Steps((0, 4, 6, 10), (2, 2, 2, 2), (2, 0, 2, 1), 1)
    assert hottest.at_least(60, above=True) == Steps((0, 4, 6, 10), (2, 0, 0, 2), (2, 0, 2, 1), 1)
    assert hottest.at_most(60) == Steps((0, 4, 6, 10), (0, 2, 2, 0), (0, 2, 0, 1), 1)
    assert hottest.at_most(60, below=True) == Steps((0, 4, 6, 10), (0, 0, 0, 0), (0, 2, 0, 1), 1)
    assert coldest.at_most(40) == Steps((0, 4, 6, 10), (2, 2, 2, 2), (2, 0, 2, 1), 1)
    assert coldest.at_most(40, below=True) == Steps((0, 4, 6, 10), (2, 0, 0, 2), (2, 0, 2, 1), 1)


def test_one_trace_is_itself():
    one = Envelope(ONE, (A,))
    assert one.at_least(40) == A.trace.at_least(40)
    assert one.at_most(40) == A.trace.at_most(40)
    assert one.at_least(40, above=True) == A.trace.above(40)
    assert one.at_most(40, below=True) == A.trace.below(40)


def test_one_trace_set_aside_is_unknown_there():
    aside = Envelope(ONE, (replace(A, aside=((2, 6),)),))
    assert aside.at_least(30) == Steps((0, 2, 6, 10), (0, 0, 2, 2), (0, 1, 2, 1), 1)
    assert aside.known() == Steps((0, 2, 6, 10), (2, 2, 2, 2), (2, 1, 2, 1), 1)


def test_a_member_set_aside_has_no_say():
    gone = replace(B, aside=((5, NEVER),))
    assert Envelope(LEAST, (A, gone)).at_least(40) == Steps((0, 4, 10), (0, 2, 2), (0, 2, 1), 1)
    assert Envelope(GREATEST, (A, gone)).at_least(70) == Steps((0, 3, 7, 10), (2, 2, 2, 2), (2, 0, 2, 1), 1)
    assert Envelope(GREATEST, (A, gone)).at_most(70) == Steps((0, 3, 7, 10), (0, 2, 2, 0), (0, 2, 0, 1), 1)
    assert Envelope(LEAST, (A, gone)).at_most(30) == Steps((0, 3, 10), (2, 2, 0), (2, 0, 1), 1)


def test_where_all_are_set_aside_nothing_is_known():
    both = Envelope(LEAST, (replace(A, aside=((2, 8),)), replace(B, aside=((4, 6), (7, 9)))))
    assert both.all_aside() == [(4, 6), (7, 8)]
    assert both.known() == Steps((0, 4, 6, 7, 8, 10), (2,) * 6, (2, 1, 2, 1, 2, 1), 1)
    assert Envelope(LEAST, (replace(A, aside=((2, 8),)), B)).all_aside() == []
    assert Envelope(LEAST, (A, replace(B, aside=((2, 8),)))).all_aside() == []
    assert Envelope(ONE, (replace(A, aside=((2, 8), (8, 9))),)).all_aside() == [(2, 8), (8, 9)]


def test_known_where_every_one_that_counts_is():
    broken = atom("C", [0, 10, 20], [0, 0, 0], [2, 0, 1])
    whole = atom("D", [5, 20], [0, 0])
    assert Envelope(GREATEST, (broken, whole)).known() == Steps((10, 20), (2, 2), (2, 1), 1)


def test_who_counts_when():
    gone, back = replace(A, aside=((2, 8),)), replace(B, aside=((4, NEVER),))
    both = Envelope(LEAST, (gone, back))
    assert both.counting(0, 10) == [(0, 2, (gone, back)), (2, 4, (back,)), (4, 8, ()), (8, 10, (gone,))]
    assert both.counting(2, 4) == [(2, 4, (back,))]
    assert both.counting(3, 3) == [(3, 3, (back,))]
    assert both.counting(2, 2) == [(2, 2, (gone, back))]
    assert both.counting(8, 8) == [(8, 8, (gone,))]
    assert both.counting(4, 4) == [(4, 4, (back,))]
    assert both.counting(5, 7) == [(5, 7, ())]


# ------------------------------------------------------------------------------------------------------------- extremes


def test_the_outermost_value_and_the_turning_point():
    coldest, hottest = Envelope(LEAST, (A, B)), Envelope(GREATEST, (A, B))
    assert coldest.least(0, 10) == Extreme(0, 0, "A")
    assert coldest.least(1, 9) == Extreme(10, 1, "A")
    assert coldest.greatest(0, 10) == Extreme(50, 5, "A")
    assert coldest.greatest(6, 10) == Extreme(40, 6, "B")
    assert hottest.greatest(0, 10) == Extreme(100, 0, "B")
    assert hottest.greatest(1, 9) == Extreme(90, 1, "B")
    assert hottest.least(0, 10) == Extreme(50, 5, "A")
    assert hottest.least(0, 3) == Extreme(70, 3, "B")
    assert Envelope(ONE, (A,)).least(2, 8) == Extreme(20, 2, "A")
    assert Envelope(ONE, (A,)).greatest(2, 8) == Extreme(80, 8, "A")


def test_extremes_where_nothing_is_known():
    assert Envelope(LEAST, (A, B)).least(20, 30) is None
    assert Envelope(LEAST, (A, B)).greatest(20, 30) is None
    assert Envelope(LEAST, (A, atom("C", [20, 30], [1, 1]))).greatest(0, 30) is None
    assert Envelope(LEAST, (A, atom("C", [20, 30], [1, 1]))).least(0, 30) == Extreme(0, 0, "A")
    assert Envelope(ONE, (replace(A, aside=((0, 10),)),)).least(2, 8) is None


def test_extremes_over_a_change_of_membership():
    gone = replace(B, aside=((6, NEVER),))
    assert Envelope(LEAST, (A, gone)).greatest(0, 10) == Extreme(100, 10, "A")
    assert Envelope(LEAST, (A, gone)).least(5, 10) == Extreme(40, 6, "B")
    assert Envelope(GREATEST, (A, gone)).least(0, 10) == Extreme(50, 5, "A")


def test_a_turning_point_only_where_all_are_known_together():
    one = atom("C", [0, 10, 20], [0, 100, 0], [0, 2, 1])
    other = atom("D", [0, 10, 20], [100, 0, 100])
    assert Envelope(LEAST, (one, other)).greatest(0, 20) == Extreme(50, 5, "C")
    assert Envelope(LEAST, (one, other)).greatest(11, 20) == Extreme(0, 20, "C")
    warmer = atom("D", [0, 10, 20], [100, 60, 200])
    assert Envelope(LEAST, (one, warmer)).greatest(0, 20) == Extreme(71, 7, "C")  # 71.4 at 7.1; 83.3 is in the gap
    bridge = replace(one.trace, link=np.array([0, 0, 1], np.uint8), bridged=np.array([True, False, False]))
    assert Envelope(LEAST, (replace(one, trace=bridge), other)).greatest(0, 20) == Extreme(50, 15, "C")


@pytest.mark.parametrize("seed", range(40))
def test_turning_points_against_fractions(seed):
    rng = Random(seed)
    atoms = []
    for name in "ABC"[: rng.randint(2, 3)]:
        t = [0, *sorted(rng.sample(range(1, 60), rng.randint(1, 4))), 60]
        atoms.append(atom(name, t, [rng.randint(-900, 900) for _ in t]))

    def at(one, instant):
        t, v = one.trace.t.tolist(), [int(x) for x in one.trace.v]
        k = max(i for i in range(len(t) - 1) if t[i] <= instant)
        return v[k] + Fraction(v[k + 1] - v[k]) * Fraction(instant - t[k]) / (t[k + 1] - t[k])

    def turn(sign, start, end):
        """Greatest over time of the least of sign * value, to within half a grain and the rounding of joints."""
        marks = sorted({start, end, *(there for one in atoms for there in one.trace.t.tolist() if start < there < end)})
        best = []
        for a, b in itertools.pairwise(marks):
            spots = [Fraction(a), Fraction(b)]
            for one in atoms:
                for other in atoms:
                    gap, last = at(one, a) - at(other, a), at(one, b) - at(other, b)
                    if gap * last < 0:
                        spots.append(a + (b - a) * gap / (gap - last))
            best += [(min(sign * at(one, spot) for one in atoms), spot) for spot in spots]
        return max(best)[0]

    for start, end in ((0, 60), (7, 41), (13, 14)):
        found = Envelope(LEAST, tuple(atoms)).greatest(start, end)
        assert abs(found.value - turn(1, start, end)) <= 1
        assert start <= found.at <= end
        found = Envelope(GREATEST, tuple(atoms)).least(start, end)
        assert abs(found.value + turn(-1, start, end)) <= 1
        assert start <= found.at <= end


def test_ties_go_to_the_earliest_and_then_by_name():
    same = shared([5, 5], [5, 5])
    assert Envelope(GREATEST, same[::-1]).greatest(0, 10) == Extreme(5, 0, "A")
    assert Envelope(LEAST, same[::-1]).least(3, 10) == Extreme(5, 3, "A")
    assert Envelope(LEAST, same[::-1]).greatest(3, 10) == Extreme(5, 3, "A")
    assert Envelope(LEAST, same[::-1]).value(3) == Extreme(5, 3, "A")


def test_a_value_needs_all_that_count():
    assert Envelope(LEAST, (A, B)).value(2) == Extreme(20, 2, "A")
    assert Envelope(GREATEST, (A, B)).value(2) == Extreme(80, 2, "B")
    assert Envelope(LEAST, (A, atom("C", [20, 30], [1, 1]))).value(2) is None
    assert Envelope(LEAST, (A, atom("C", [20, 30], [1, 1], aside=((-5, 20),)))).value(2) == Extreme(20, 2, "A")
    assert Envelope(ONE, (replace(A, aside=((0, 10),)),)).value(2) is None
    assert Envelope(ONE, (A,)).value(11) is None


# --------------------------------------------------------------------------------------------------------------- spreads


def spread(*rows, kind=GREATEST, **more):
    atoms = shared(*rows, **more)
    return Envelope(kind, atoms, less=atoms)


def difference(kind, tops, bottoms):
    """Tops and bottoms on one axis."""
    atoms = shared(*tops, *bottoms)
    return Envelope(kind, atoms[: len(tops)], less=atoms[len(tops) :])


def test_all_differences_of_two():
    atoms = shared([0, 10], [5, 5], [20, 0])
    pairs = pairs_of(atoms, atoms)
    assert [pair.label for pair in pairs] == ["A - B", "A - C", "B - A", "B - C", "C - A", "C - B"]
    assert [pair.trace.v.tolist() for pair in pairs][:2] == [[-5, 5], [-20, 10]]
    assert pairs[0].trace.name == "A - B"
    assert pairs[0].members == ("A", "B")
    gone = replace(atoms[0], aside=((7, 9), (1, 3)))
    assert pairs_of((gone,), (replace(atoms[1], aside=((1, 3), (2, 4))),))[0].aside == ((1, 3), (2, 4), (7, 9))


def test_all_sensors_once():
    whole = spread([0, 1], [2, 3])
    assert [one.label for one in whole.all_sensors] == ["A", "B"]
    assert len(whole.atoms) == 2
    assert Envelope(LEAST, (A, B)).atoms == (A, B)


def test_a_crest_only_where_all_are_sampled_together_and_known():
    assert spread([0, 1], [4, 9]).crest.v.tolist() == [4, 8]
    assert spread([0, 1], [4, 9], kind=LEAST).crest.v.tolist() == [-4, -8]
    assert difference(GREATEST, [[9, 8], [5, 9]], [[1, 2]]).crest.v.tolist() == [8, 7]
    assert difference(LEAST, [[9, 8], [5, 9]], [[1, 2]]).crest.v.tolist() == [4, 6]
    assert difference(LEAST, [[9, 8]], [[1, 2], [0, 5]]).crest.v.tolist() == [8, 3]
    assert difference(GREATEST, [[9, 8]], [[1, 2], [0, 5]]).crest.v.tolist() == [9, 6]
    whole = difference(GREATEST, [[9, 8]], [[1, 2]])
    top, bottom = whole.sensors[0], whole.less[0]
    assert whole.crest.name == ""
    assert whole.crest.bridged is None
    assert replace(whole, less=()).crest is None
    assert replace(whole, kind=ONE).crest is None
    assert replace(whole, less=(replace(bottom, aside=((0, 5),)),)).crest is None
    assert replace(whole, less=(replace(bottom, trace=replace(bottom.trace, t=bottom.trace.t.copy())),)).crest is None
    assert replace(whole, less=(replace(bottom, trace=replace(bottom.trace, hold=True)),)).crest is None
    broken = replace(bottom.trace, link=np.array([2, 1], np.uint8))
    assert replace(whole, less=(replace(bottom, trace=broken),)).crest is None
    empty = atom("A", [], [])
    assert Envelope(GREATEST, (empty,), less=(replace(empty, label="B"),)).crest is None
    let_go = replace(bottom.trace, bridged=np.array([True, False]))
    assert replace(whole, less=(replace(bottom, trace=let_go),)).crest.bridged.tolist() == [True, False]
    let_go = replace(top.trace, bridged=np.array([True, False]))
    assert replace(whole, sensors=(replace(top, trace=let_go),)).crest.bridged.tolist() == [True, False]


@pytest.mark.parametrize("seed", range(40))
def test_the_crest_says_what_all_differences_say(seed):
    rng = Random(seed)
    rows = [[rng.randint(0, 30) for _ in range(5)] for _ in range(3)]
    kind = rng.choice((LEAST, GREATEST))
    whole = spread(*rows, kind=kind) if seed % 2 else difference(kind, rows[:2], rows[2:])
    apart = plainly(whole)
    assert whole.crest is not None
    assert apart.crest is None
    for level in (-31, -12, -3, 0, 4, 15, 31):
        for instant in range(-1, 42):
            assert whole.at_most(level).value(instant) == apart.at_most(level).value(instant)
            assert whole.at_least(level).value(instant) == apart.at_least(level).value(instant)
        assert whole.at_most(level, below=True) == apart.at_most(level, below=True)
        assert whole.at_least(level, above=True) == apart.at_least(level, above=True)
    for start, end in ((0, 40), (3, 17), (11, 19), (20, 20), (12, 30), (0, 1)):
        outer = (whole.greatest, apart.greatest) if kind == GREATEST else (whole.least, apart.least)
        # rounding to whole grains once (of a difference) or twice (of each of the two)
        assert abs(outer[0](start, end).value - outer[1](start, end).value) <= 1
        inner = (whole.least, apart.least) if kind == GREATEST else (whole.greatest, apart.greatest)
        assert inner[0](start, end) == inner[1](start, end)


def test_a_spread_by_hand():
    whole = spread([0, 20, 0], [0, 0, 40])
    assert whole.at_most(10) == Steps((0, 5, 12, 15, 20), (2, 2, 2, 2, 0), (2, 0, 2, 0, 1), 1)
    assert whole.greatest(0, 20) == Extreme(40, 20, "B - A")
    assert whole.greatest(0, 10) == Extreme(20, 10, "A - B")
    assert whole.greatest(2, 5) == Extreme(10, 5, "A - B")
    assert whole.greatest(14, 14) == Extreme(4, 14, "B - A")
    assert whole.value(5) == Extreme(10, 5, "A - B")
    assert whole.value(21) is None
    assert whole.greatest(21, 30) is None
    assert whole.greatest(15, 30) == Extreme(40, 20, "B - A")
    assert whole.greatest(-9, 5) == Extreme(10, 5, "A - B")


def test_the_least_difference_by_hand():
    whole = difference(LEAST, [[10, 30]], [[0, 0], [5, 0]])
    assert whole.least(0, 10) == Extreme(5, 0, "A - C")
    assert whole.value(10) == Extreme(30, 10, "A - B")
    assert whole.at_least(5) == Steps((0, 10), (2, 2), (2, 1), 1)
    assert whole.at_least(6) == Steps((0, 10), (0, 2), (2, 1), 1)  # from 0.4 on: the sample itself
    assert whole.at_most(5).value(0) == 2
    assert whole.least(11, 12) is None


def test_a_crest_that_is_within_at_every_sample_is_within_throughout():
    whole = spread([0, 20, 0], [0, 0, 0])
    assert whole.at_most(20) == Steps((0, 20), (2, 2), (2, 1), 1)
    assert whole.at_most(19) == Steps((0, 10, 20), (2, 0, 2), (2, 2, 1), 1)  # to 9.5 and from 10.5: half to even
    assert whole.at_most(20) is whole.at_most(20)
    assert (20, True) in whole.crest.levels_asked()
    least = difference(LEAST, [[20, 0, 20]], [[0, 0, 0]])
    assert least.at_least(0) == Steps((0, 20), (2, 2), (2, 1), 1)
    assert least.at_least(1) == Steps((0, 10, 20), (2, 0, 2), (2, 2, 1), 1)
    assert least.at_least(10) == Steps((0, 5, 15, 20), (2, 2, 2, 2), (2, 0, 2, 1), 1)
    assert (0, True) in least.crest.levels_asked()


# ----------------------------------------------------------------------------------------------------------- one trace


def seen(trace):
    let_go = None if trace.bridged is None else trace.bridged.tolist()
    return (trace.t.tolist(), trace.v.tolist(), trace.link.tolist(), trace.lost_before, trace.lost_after, let_go)


def test_a_single_one_as_one_trace():
    assert Envelope(ONE, (A,)).one_trace("x") is A.trace
    aside = Envelope(ONE, (atom("C", [0, 10, 20], [1, 2, 3], aside=((5, 15),)),))
    assert seen(aside.one_trace("x")) == ([0, 20], [1, 3], [2, 1], False, False, None)


def test_the_coldest_as_one_trace():
    other = atom("C", [0, 5, 10], [100, 30, 100])
    trace = Envelope(LEAST, (A, other)).one_trace("x")
    assert trace.name == "x"
    assert seen(trace) == ([0, 5, 10], [0, 30, 100], [0, 0, 2], True, True, None)
    assert seen(Envelope(GREATEST, (A, other)).one_trace("x"))[1] == [100, 50, 100]


def test_one_trace_is_not_joined_across_a_change_of_membership():
    gone = atom("C", [0, 10, 20], [10, 10, 10], aside=((12, NEVER),))
    whole = atom("D", [0, 10, 20], [50, 50, 50])
    trace = Envelope(LEAST, (whole, gone)).one_trace("x")
    assert trace.name == "x"
    assert seen(trace) == ([0, 10, 12, 13, 20], [10, 10, 10, 50, 50], [0, 0, 0, 0, 2], True, True, None)
    let_go = replace(whole.trace, bridged=np.array([False, True, False]))
    trace = Envelope(LEAST, (replace(whole, trace=let_go), gone)).one_trace("x")
    assert seen(trace)[5] == [False, True, True, True, False]
    none = Envelope(LEAST, (replace(whole, aside=((-NEVER, NEVER),)), replace(gone, aside=((-NEVER, NEVER),))))
    assert seen(none.one_trace("x")) == ([], [], [], True, True, None)
    assert none.one_trace("x").name == "x"
    assert none.one_trace("x").t.dtype == np.int64
    assert none.one_trace("x").hold is False
    assert none.one_trace("x").link.dtype == np.uint8


def test_pieces_chained():
    one, other = atom("A", [0, 10], [1, 2], lost_before=True).trace, atom("B", [30, 40], [3, 4], lost_after=True).trace
    empty = atom("C", [], []).trace
    trace = _chained("x", [empty, one, empty, other])
    assert trace.name == "x"
    assert seen(trace) == ([0, 10, 30, 40], [1, 2, 3, 4], [0, 1, 0, 1], True, True, None)
    assert trace.hold is False
    assert seen(_chained("x", [other, replace(one, t=one.t + 40)])) == (
        [30, 40, 41, 50], [3, 4, 1, 2], [0, 0, 0, 1], False, False, None,
    )  # fmt: skip
    assert seen(_chained("x", [empty])) == ([], [], [], True, True, None)
    assert other.t.tolist() == [30, 40]
    let_go = replace(one, bridged=np.array([True, False]))
    assert seen(_chained("x", [let_go, other]))[5] == [True, False, False, False]


def test_the_axis_within_a_stretch():
    one, other = atom("A", [0, 10, 20], [0] * 3), atom("B", [5, 10, 25], [0] * 3)
    assert _axis_within((one, other), -NEVER, NEVER).tolist() == [0, 5, 10, 20, 25]
    assert _axis_within((one, other), -NEVER, 12).tolist() == [0, 5, 10, 12]
    assert _axis_within((one, other), 12, NEVER).tolist() == [12, 20, 25]
    assert _axis_within((one, other), 5, 20).tolist() == [5, 10, 20]


# ------------------------------------------------------------------------------------------------------------------ means


def test_a_mean_of_those_that_count():
    one, other = atom("A", [0, 10], [0, 100]), atom("B", [0, 10], [100, 100])
    mean = mean_of((one, other))
    assert (mean.label, mean.members, mean.aside, mean.trace.name) == ("mean", ("A", "B"), (), "mean")
    assert seen(mean.trace) == ([0, 10], [50, 100], [0, 1], False, False, None)
    gone = replace(other, aside=((5, 20),))
    mean = mean_of((one, gone))
    assert seen(mean.trace)[:2] == ([0, 5, 6, 10], [50, 75, 50, 100])
    assert mean.trace.name == "mean"
    assert mean.aside == ()
    mean = mean_of((replace(one, aside=((2, 8),)), gone))
    assert mean.aside == ((5, 8),)
    assert seen(mean.trace)[:3] == ([0, 2, 3, 5, 8, 10], [50, 60, 100, 100, 80, 100], [0, 0, 0, 1, 0, 1])
    mean = mean_of((replace(one, aside=((-NEVER, NEVER),)), replace(other, aside=((-NEVER, NEVER),))))
    assert seen(mean.trace)[0] == []
    assert mean.aside == ((-NEVER, NEVER),)
