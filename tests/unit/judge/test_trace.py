"""Traces: what is joined, what is unknown and why, by hand."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from curewright.judge import trace as traces
from curewright.judge.steps import NEVER, NOT_KNOWN, Steps
from curewright.judge.trace import GAP, JOINED, LOST, Extremes, Trace, combined, difference
from curewright.terms.run import Channel
from curewright.terms.units import UNITS
from tests.unit.judge.brute import FOREVER, arrays, unknown, value

ALWAYS = (-NEVER, NEVER)


def trace(t, v, link=None, hold=False, **more):
    return Trace("TC1", *arrays(t, v, link), hold, **more)


def channel(t, v, bad=(), *, kind="continuous", raw=None, bridged=None):
    v = np.array(v, float)
    flags = np.array([there in bad for there in t], bool)
    raw = v if raw is None else np.array(raw, float)
    let_go = None if bridged is None else np.array(bridged, bool)
    return Channel("C1", UNITS["K"], kind, np.array(t, np.int64), v, flags, raw, np.arange(len(t)), bridged=let_go)


def seen(found):
    """Everything a trace is, in plain Python."""
    let_go = None if found.bridged is None else found.bridged.tolist()
    return (
        found.t.tolist(),
        found.v.tolist(),
        found.link.tolist(),
        found.hold,
        found.lost_before,
        found.lost_after,
        let_go,
    )


# ------------------------------------------------------------------------------------------------------------ of channels


def test_samples_are_joined_up_to_the_largest_gap():
    found = traces.trace_of("TC1", [(channel([0, 10, 21, 30], [1, 2, 3, 4]), *ALWAYS)], 10)
    assert found.name == "TC1"
    assert seen(found) == ([0, 10, 21, 30], [1, 2, 3, 4], [0, 1, 0, 1], False, False, False, None)
    assert found.link.dtype == np.uint8


def test_a_bad_sample_breaks_what_it_lies_between_however_short():
    whole = channel([0, 10, 15, 20, 31, 40, 45], [1, 2, 3, 4, 5, 6, 7], bad=(10, 45))
    found = traces.trace_of("TC1", [(whole, *ALWAYS)], 10)
    assert seen(found) == ([0, 15, 20, 31, 40], [1, 3, 4, 5, 6], [2, 0, 1, 0, 1], False, False, True, None)
    found = traces.trace_of("TC1", [(channel([0, 10, 20], [1, 2, 3], bad=(0,), kind="state"), *ALWAYS)], 10)
    assert seen(found) == ([10, 20], [2, 3], [0, 1], True, True, False, None)
    assert found.name == "TC1"
    assert found.link.dtype == np.uint8


def test_nothing_but_bad_samples_is_lost_before_and_after():
    found = traces.trace_of("TC1", [(channel([0, 10], [1, 2], bad=(0, 10), kind="state"), *ALWAYS)], 10)
    assert seen(found) == ([], [], [], True, True, True, None)
    assert found.name == "TC1"


def test_no_samples_at_all():
    assert seen(traces.trace_of("TC1", [(channel([], []), *ALWAYS)], 10)) == ([], [], [], False, False, False, None)


def test_corrected_values_are_judged_unless_the_paper_says_raw():
    whole = channel([0, 10], [1, 2], raw=[5, 6])
    assert traces.trace_of("TC1", [(whole, *ALWAYS)], 10).v.tolist() == [1, 2]
    assert traces.trace_of("TC1", [(whole, *ALWAYS)], 10, raw=True).v.tolist() == [5, 6]
    assert traces.trace_of("TC1", [(whole, 0, 10)], 10, raw=True).v.tolist() == [5]
    assert traces.trace_of("TC1", [(whole, 0, 10)], 10).v.tolist() == [1]


def test_samples_that_were_let_go_leave_no_gap():
    whole = channel([0, 100, 110, 200], [1, 2, 3, 4], bridged=[True, False, False, False])
    assert seen(traces.trace_of("TC1", [(whole, *ALWAYS)], 10))[2:] == (
        [0, 0, 1, 1], False, False, False, [True, False, False, False],
    )  # fmt: skip
    whole = channel([0, 100, 110, 200, 300], [1, 2, 3, 4, 5], (110,), bridged=[True, True, True, True, False])
    assert seen(traces.trace_of("TC1", [(whole, *ALWAYS)], 10)) == (
        [0, 100, 200, 300], [1, 2, 4, 5], [0, 2, 0, 1], False, False, False, [True, False, True, False],
    )  # fmt: skip


def test_a_sensor_that_was_plugged_elsewhere_is_not_joined_across():
    first, second = channel([0, 10, 20, 30], [1, 2, 3, 4]), channel([5, 15, 20, 25, 35], [50, 51, 52, 53, 54])
    found = traces.trace_of("TC1", [(second, 20, NEVER), (first, -NEVER, 20)], 10)
    assert seen(found) == ([0, 10, 20, 25, 35], [1, 2, 52, 53, 54], [0, 1, 0, 0, 1], False, False, False, None)
    assert found.name == "TC1"


def test_one_piece_is_cut_where_the_map_does_not_cover_it():
    whole = channel([0, 10, 20], [1, 2, 3])
    assert seen(traces.trace_of("TC1", [(whole, 0, 21)], 10))[0] == [0, 10, 20]
    assert seen(traces.trace_of("TC1", [(whole, 0, 20)], 10))[:3] == ([0, 10], [1, 2], [0, 1])
    assert seen(traces.trace_of("TC1", [(whole, 1, 99)], 10))[:3] == ([10, 20], [2, 3], [0, 1])
    assert seen(traces.trace_of("TC1", [(whole, 30, 40)], 10)) == ([], [], [], False, False, False, None)


def test_what_is_lost_at_the_ends_of_pieces():
    bad_ends = channel([0, 10, 20, 30], [1, 2, 3, 4], bad=(0, 30))
    good, none = channel([40, 50], [5, 6]), channel([60], [7], bad=(60,))
    found = traces.trace_of("TC1", [(bad_ends, 0, 40), (good, 40, 60)], 10)
    assert seen(found) == ([10, 20, 40, 50], [2, 3, 5, 6], [0, 1, 0, 1], False, True, False, None)
    found = traces.trace_of("TC1", [(good, 40, 60), (replace(bad_ends, t=bad_ends.t + 60), 60, 100)], 10)
    assert seen(found)[0] == [40, 50, 70, 80]
    assert seen(found)[4:6] == (False, True)
    found = traces.trace_of("TC1", [(none, 0, 70), (none, 70, 80)], 10)
    assert seen(found) == ([], [], [], False, False, True, None)
    found = traces.trace_of("TC1", [(none, 0, 61), (channel([70], [8], kind="state"), 61, 80)], 10)
    assert seen(found) == ([70], [8], [1], False, False, False, None)


def test_pieces_keep_what_was_let_go():
    one, other = channel([0, 50], [1, 2], bridged=[True, False]), channel([60, 70], [3, 4])
    found = traces.trace_of("TC1", [(one, 0, 60), (other, 60, 99)], 10)
    assert seen(found)[2] == [0, 1, 0, 1]
    assert seen(found)[6] == [True, False, False, False]
    whole = channel([0, 50, 60], [1, 2, 3], bridged=[True, False, True])
    assert seen(traces.trace_of("TC1", [(whole, 0, 60)], 10))[6] == [True, False]


def test_a_cut_keeps_every_array_of_the_channel():
    whole = replace(channel([0, 10, 20, 30], [1, 2, 3, 4], bad=(20,), raw=[5, 6, 7, 8]), row=np.arange(2, 6))
    found = traces._cut(whole, 10, 30)
    assert (found.t.tolist(), found.v.tolist(), found.bad.tolist()) == ([10, 20], [2, 3], [False, True])
    assert (found.raw.tolist(), found.row.tolist(), found.bridged) == ([6, 7], [3, 4], None)


# -------------------------------------------------------------------------------------------------------- what one can ask


@pytest.mark.parametrize("seed", range(20))
def test_known_and_unknown_against_the_links(seed):
    rng = Random(seed)
    t = sorted(rng.sample(range(2, 30), rng.randint(1, 7)))
    link = [rng.choice((0, 0, 1, 2)) for _ in t]
    found = trace(t, [1.0] * len(t), link)
    steps = found.known()
    assert (steps.before, steps.after[-1]) == (1, 1)
    for instant in range(32):
        assert steps.value(instant) == (2 if value(t, [1] * len(t), link, True, instant) is not None else 1)
    assert len(set(steps.times)) == len(steps.times)
    why = {-FOREVER: GAP, t[-1]: GAP, **{t[i]: link[i] for i in range(len(t) - 1)}}
    for start in range(0, 32, 3):
        for end in range(start + 1, 33, 3):
            expected = [(max(a, start), min(b, end), why[a]) for a, b in unknown(t, link) if a < end and b > start]
            assert found.unknown_stretches(start, end) == expected


def test_known_by_hand():
    assert trace([0, 10, 20, 30], [0] * 4, [0, 2, 1, 1]).known() == Steps(
        (0, 10, 20, 30), (2, 2, 2, 2), (2, 1, 1, 1), 1
    )
    assert trace([0, 10], [0] * 2).known() == Steps((0, 10), (2, 2), (2, 1), 1)
    assert trace([5], [0]).known() == Steps((5,), (2,), (1,), 1)
    assert trace([], [], []).known() is NOT_KNOWN


def test_why_a_stretch_at_an_end_is_unknown():
    lost = trace([10, 20], [0, 0], lost_before=True, lost_after=True)
    assert lost.unknown_stretches(0, 30) == [(0, 10, LOST), (20, 30, LOST)]
    assert lost.unknown_stretches(0, 5) == [(0, 5, LOST)]
    assert lost.unknown_stretches(25, 30) == [(25, 30, LOST)]
    assert lost.unknown_stretches(10, 20) == []
    assert lost.unknown_stretches(5, 5) == [(5, 5, LOST)]
    assert trace([], [], [], lost_after=True).unknown_stretches(1, 9) == [(1, 9, LOST)]
    assert trace([], [], []).unknown_stretches(1, 9) == [(1, 9, GAP)]
    assert trace([0, 9], [0, 0], [LOST, GAP]).unknown_stretches(9, 9) == []


def test_extremes_and_the_first_unknown_stretch_inside():
    found = trace([0, 10, 20, 30], [5, 9, 1, 3], [0, 2, 0, 1])
    assert found.extremes(0, 30) == Extremes(True, 1, 20, 9, 10, (10, 20))
    assert found.extremes(12, 25) == Extremes(True, 1, 20, 2, 25, (12, 20))
    assert found.extremes(5, 15) == Extremes(True, 7, 5, 9, 10, (10, 15))
    assert found.extremes(20, 30) == Extremes(True, 1, 20, 3, 30, None)
    assert found.extremes(40, 50) == Extremes(False, 0, 40, 0, 40, (40, 50))
    assert found.extremes(-9, 0) == Extremes(True, 5, 0, 5, 0, (-9, 0))
    assert found.extremes(0, 30) is found.extremes(0, 30)


def test_a_value_is_known_or_none():
    found = trace([0, 10, 20], [0, 10, 20], [0, 2, 1])
    assert [found.value(instant) for instant in (-1, 0, 5, 10, 15, 20, 21)] == [None, 0, 5, 10, None, 20, None]
    held = found.as_held()
    assert (held.hold, held.value(5)) == (True, 0)


def test_the_four_sides_of_a_level():
    found = trace([0, 10, 20], [0, 100, 0])
    assert found.at_least(50) == Steps((0, 5, 15, 20), (0, 2, 2, 0), (0, 2, 0, 1), 1)
    assert found.above(50) == Steps((0, 5, 15, 20), (0, 0, 0, 0), (0, 2, 0, 1), 1)
    assert found.at_most(50) == Steps((0, 5, 15, 20), (2, 2, 2, 2), (2, 0, 2, 1), 1)
    assert found.below(50) == Steps((0, 5, 15, 20), (2, 0, 0, 2), (2, 0, 2, 1), 1)
    assert found.levels_asked() == {(50, False): found.at_least(50), (50, True): found.above(50)}
    assert found.at_least(50) is found.at_least(50)


def test_another_reference_and_the_same():
    found = trace([0, 10], [3, 5])
    assert found.mapped(1.0, 0.0) is found
    assert found.mapped(-1.0, 0.0).v.tolist() == [-3, -5]
    assert found.mapped(1.0, 2.0).v.tolist() == [5, 7]
    assert found.mapped(-1.0, 100.0).v.tolist() == [97, 95]


def test_instants_in_milliseconds_are_made_once_for_all_that_share_them():
    one = trace([0, 1_500_000, 3_000_000], [0, 0, 0])
    assert one.ms.tolist() == [0, 2, 3]
    assert replace(one, v=one.v + 1).ms is one.ms
    for _ in range(3 * traces.AXES_KEPT):
        assert trace([0, 2_600_000], [0, 0]).ms.tolist() == [0, 3]
        assert len(traces._MILLISECONDS) <= traces.AXES_KEPT + 1


def test_no_window_reaches_over_what_was_let_go():
    assert trace([0, 9], [0, 0]).window_link.tolist() == [0, 1]
    bridged = trace([0, 9, 20], [0, 0, 0], bridged=np.array([True, False, False])).window_link
    assert bridged.tolist() == [1, 0, 1]
    assert bridged.dtype == np.uint8


# ------------------------------------------------------------------------------------------------------------- set aside


def test_a_sample_inside_a_stretch_set_aside_has_no_say_outside():
    found = trace([0, 10, 20, 30, 40], [1, 2, 3, 4, 5])
    assert found.unheard([(15, 35)]).link.tolist() == [0, 2, 0, 2, 1]
    assert found.unheard([(10, 30)]).link.tolist() == [0, 2, 2, 0, 1]  # the ends themselves are outside
    assert found.unheard([(12, 18)]) is found
    assert found.unheard([]) is found
    assert found.unheard([(5, 15), (35, NEVER)]).link.tolist() == [2, 2, 0, 2, 1]
    assert found.link.tolist() == [0, 0, 0, 0, 1]


def test_what_is_set_aside_is_left_out():
    let_go = np.array([True, False, False, True, False])
    found = trace([0, 10, 20, 30, 40], [1, 2, 3, 4, 5], lost_after=True, bridged=let_go)
    assert seen(found.without([(15, 35)])) == (
        [0, 10, 40], [1, 2, 5], [0, 2, 1], False, False, True, [True, False, False],
    )  # fmt: skip
    assert seen(found.without([(12, 18)]))[:3] == ([0, 10, 20, 30, 40], [1, 2, 3, 4, 5], [0, 2, 0, 0, 1])
    assert seen(found.without([(10, 20)]))[:3] == ([0, 10, 20, 30, 40], [1, 2, 3, 4, 5], [0, 2, 0, 0, 1])
    assert seen(found.without([(10, 30)]))[:3] == ([0, 10, 30, 40], [1, 2, 4, 5], [0, 2, 0, 1])
    assert seen(found.without([(-5, 5), (35, 45)]))[:3] == ([10, 20, 30], [2, 3, 4], [0, 0, 2])
    assert seen(trace([0, 10, 20], [1, 2, 3]).without([(5, 15)]))[6] is None
    assert seen(found.without([]))[2] == [0, 0, 0, 0, 1]
    assert found.link.tolist() == [0, 0, 0, 0, 1]


def test_where_a_kept_sample_followed_a_dropped_one_nothing_is_joined():
    found = trace([0, 10, 20, 30], [1, 2, 3, 4])
    kept = traces._kept(found, np.array([True, False, True, True]), found.link)
    assert seen(kept)[:3] == ([0, 20, 30], [1, 3, 4], [2, 0, 1])


# ------------------------------------------------------------------------------------------------------- several together


def test_the_axis_of_several():
    one = trace([0, 10, 20], [0, 0, 0])
    assert traces.union_axis([one, replace(one, v=one.v + 1)]) is one.t
    assert traces.union_axis([one, trace([5, 10, 25], [0, 0, 0])]).tolist() == [0, 5, 10, 20, 25]
    assert traces.union_axis([trace([3, 9], [0, 0], hold=True)]).tolist() == [3, 8, 9]
    assert traces.union_axis([one, trace([3, 9], [0, 0], hold=True)]).tolist() == [0, 3, 8, 9, 10, 20]
    empty = trace([], [], [])
    assert traces.union_axis([empty, trace([], [], [])]).tolist() == []
    assert traces.union_axis([empty, one]).tolist() == [0, 10, 20]


def test_inside_a_bridge_there_is_no_value():
    bridge = trace([10, 50, 60], [0, 0, 0], bridged=np.array([True, False, False]))
    other = trace([0, 10, 20, 50, 55, 60, 70], [0] * 7)
    assert traces.union_axis([bridge, other]).tolist() == [0, 10, 50, 55, 60, 70]
    empty = trace([], [], [], bridged=np.array([], bool))
    assert traces.union_axis([other, empty, bridge]).tolist() == [0, 10, 50, 55, 60, 70]


def test_whether_something_was_let_go_between_instants():
    bridge = trace([10, 50, 60], [0, 0, 0], bridged=np.array([True, False, False]))
    other = trace([10, 30, 80], [0, 0, 0], bridged=np.array([False, True, False]))
    plain = trace([0, 9], [0, 0])
    empty = trace([], [], [], bridged=np.array([], bool))
    axis = np.array([0, 10, 50, 60, 80, 90])
    assert traces.bridged_on([bridge], axis).tolist() == [False, True, False, False, False, False]
    assert traces.bridged_on([plain, empty, bridge, other], axis).tolist() == [False, True, True, True, False, False]
    assert traces.bridged_on([plain], axis).tolist() == [False] * 6
    assert traces.bridged_on([bridge], np.array([20, 40])).tolist() == [True, False]  # no next one after the last
    assert traces.bridged_on([bridge], np.array([50])).tolist() == [False]
    assert traces.bridged_on([bridge], np.array([], np.int64)).tolist() == []
    assert traces.with_bridges(plain, [plain, trace([0], [1])]) is plain
    assert traces.with_bridges(plain, [plain, replace(bridge, t=bridge.t - 10)]).bridged.tolist() == [True, False]


def test_values_of_several_on_one_axis():
    one, other = trace([0, 10, 20], [0, 100, 200], [0, 2, 1]), trace([5, 15], [7, 9])
    axis = np.array([0, 5, 10, 15, 20])
    values, state = traces.on_axis([one, other], axis)
    assert values.tolist() == [[0, 50, 100, 0, 200], [0, 7, 8, 9, 0]]
    assert state.tolist() == [0, 3, 1, 0, 0]
    values, state = traces.on_axis([one], one.t)
    assert (values.tolist(), state.tolist()) == ([[0, 100, 200]], [3, 1, 1])
    values, state = traces.on_axis([one, replace(one, link=np.array([1, 0, 1], np.uint8))], one.t)
    assert state.tolist() == [1, 1, 1]


def test_a_trace_made_of_several_is_known_where_all_are():
    axis, state = np.array([0, 5, 10, 15, 20]), np.array([3, 3, 1, 0, 3], np.uint8)
    found = traces.derived("x", axis, np.array([1.0, 2, 3, 4, 5]), state, lost=True)
    assert seen(found) == ([0, 5, 10, 20], [1, 2, 3, 5], [0, 0, 2, 2], False, True, True, None)
    assert found.name == "x"
    found = traces.derived("x", axis, np.array([1.0, 2, 3, 4, 5]), np.array([3, 2, 3, 3, 1], np.uint8), lost=False)
    assert seen(found) == ([0, 10, 15, 20], [1, 3, 4, 5], [1, 0, 0, 1], False, False, False, None)
    found = traces.derived("x", axis, np.zeros(5), np.array([1, 3, 1, 1, 3], np.uint8), lost=False)
    assert (found.link.tolist(), found.link.dtype) == ([1, 0, 1, 1, 1], np.uint8)  # known at, not up to the next
    assert seen(traces.derived("x", axis, np.zeros(5), np.zeros(5, np.uint8), lost=True))[0] == []


def test_a_difference_on_a_shared_axis_and_on_two():
    one = trace([0, 10, 20], [1, 5, 8])
    found = traces.combined("d", [one, replace(one, v=np.array([1.0, 1, 2]))], [1.0, -1.0])
    assert found.name == "d"
    assert found.t is one.t
    assert seen(found) == ([0, 10, 20], [0, 4, 6], [0, 0, 1], False, False, False, None)
    found = traces.combined("d", [one, trace([0, 5, 20], [1, 2, 4])], [0.5, 0.5])
    assert found.name == "d"
    assert seen(found) == (
        [0, 5, 10, 20],
        [1, 2, 4, 6],
        [0, 0, 0, 1],
        False,
        False,
        False,
        None,
    )  # at 5: 2.5, half to even


def test_a_combination_over_part_of_the_axis_and_with_what_was_let_go():
    one = trace([0, 10, 20], [1, 5, 8])
    assert seen(traces.combined("d", [one], [2.0], np.array([10, 20])))[:3] == ([10, 20], [10, 16], [0, 1])
    bridge = replace(one, bridged=np.array([True, False, False]))
    assert seen(traces.combined("d", [bridge, one], [1.0, 1.0]))[6] == [True, False, False]
    assert seen(traces.combined("d", [bridge, trace([0, 20], [0, 0])], [1.0, 1.0]))[6] == [True, False, False]


@pytest.mark.parametrize(
    "more, why", [({}, GAP), ({"lost_after": True}, LOST), ({"link": [0, 2, 1]}, LOST), ({"link": [0, 1, 1]}, GAP)]
)
def test_why_a_combination_is_not_known(more, why):
    one, other = trace([0, 10, 20], [1, 5, 8], **more), trace([0, 12], [0, 0])
    found = traces.combined("d", [one, other], [1.0, 1.0])
    assert found.link.tolist()[-1] == why
    assert (found.lost_before, found.lost_after) == (why == LOST, why == LOST)


def test_a_combination_of_nothing_is_empty():
    empty = trace([], [], [])
    assert seen(traces.combined("d", [empty, empty], [1.0, 1.0]))[:3] == ([], [], [])
    assert JOINED == 0


def a_trace_with_holes(rng):
    n = int(rng.integers(1, 12))
    t = np.sort(rng.choice(60, n, replace=False)).astype(np.int64)
    link = rng.choice([0, 0, 0, 1, 2], n).astype(np.uint8)
    link[-1] = 1
    bridged = None
    if rng.random() < 0.7:
        bridged = rng.random(n) < 0.3
        bridged[-1] = False
        link[bridged] = 0
    v = rng.integers(-9, 9, n).astype(float)
    return Trace("x", t, v, link, False, False, bool(rng.random() < 0.2), bridged)


@pytest.mark.parametrize("seed", range(200))
def test_a_difference_in_one_pass_is_that_of_both_on_one_axis(seed):
    rng = np.random.default_rng(seed)
    one, other = a_trace_with_holes(rng), a_trace_with_holes(rng)
    found, plain = difference("d", one, other), combined("d", (one, other), (1.0, -1.0))
    for name in ("t", "v", "link"):
        assert getattr(found, name).tolist() == getattr(plain, name).tolist()
    assert found.bridges.tolist() == plain.bridges.tolist()
    assert (found.lost_before, found.lost_after) == (plain.lost_before, plain.lost_after)
    turned = difference("e", other, one)
    assert (turned.name, turned.v.tolist(), turned.t.tolist()) == ("e", (-plain.v).tolist(), plain.t.tolist())
