"""A growing run: what is buffered, folded and let go, by hand; and the same verdicts as from the whole log."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.judge import live
from curewright.judge.judge import judge
from curewright.judge.live import CHUNK, FOLD_AT, LateDataError, Live, Table
from curewright.judge.scene import Options
from curewright.terms.load import ALWAYS, Assignment, Part, Vessel
from curewright.terms.requirement import (
    Band,
    Clause,
    Compare,
    Count,
    LeakCheck,
    Phase,
    Rate,
    RateDefinition,
    Recording,
    Signal,
    Spread,
)
from curewright.terms.run import Closing
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    MIN,
    PART,
    at_least,
    at_most,
    channel,
    entry,
    event,
    load_of,
    minutes,
    run_of,
    specification,
    within,
)

S = 10**9
WHOLE = Phase("record starts", "record ends")
degC = unit_named("degC")
BAND = Band("band", "part", degC, None, None, COLDEST, WHOLE, at_least("10 degC"))
NAMES = ("TC1", "TC2")
V1 = Vessel("V1", (), (), ())


def empty(names=NAMES):
    return [channel(name, []) for name in names]


def growing(*forms, names=NAMES, events=(), load=None, **more):
    """A run without samples yet, open, under one specification."""
    spec = specification(*(forms or (BAND,)), events=events, **more)
    whole = replace(run_of(*[channel(name, [(0, 20)]) for name in names], closed=False))
    run = replace(whole, channels=dict(zip(names, empty(names), strict=True)))
    return Live((spec,), V1, load or load_of(run), run)


def rows(count, value=lambda k, j: 20.0 + j):
    """(minute, values in grains) of a log, one row a minute."""
    return [(k, degC.to_grains(np.array([value(k, j) for j in range(2)]))) for k in range(count)]


def fed(count=3, **more):
    found = growing(**more)
    for at, v in rows(count):
        found.feed(NAMES, minutes(at), v)
    return found


def test_verdicts_may_be_asked_for_between_two_slices_of_taking_in():
    found = fed(12)
    slices = found.folding()
    assert next(slices) == "TC1"
    found.feed(NAMES, minutes(12), np.full(2, 293.15e6))
    assert [verdict.outcome for verdict in found.verdicts()] == [Outcome.OPEN]
    assert [len(found.run.channels[name].t) for name in NAMES] == [13, 13]
    found.feed(NAMES, minutes(13), np.full(2, 293.15e6))
    assert "S1" in list(slices)
    assert [verdict.outcome for verdict in found.verdicts()] == [Outcome.OPEN]
    assert [int(found.run.channels[name].t[-1]) // MIN for name in NAMES] == [13, 13]
    assert found.run.channels["TC1"].row.tolist()[-3:] == [13, 14, 15]


# --------------------------------------------------------------------------------------------------------------- buffer


def test_an_empty_table_has_room():
    table = Table.of(["A", "B"])
    assert table.names == ("A", "B")
    assert (table.t.shape, table.v.shape, table.bad.shape) == ((CHUNK,), (CHUNK, 2), (CHUNK, 2))
    assert (table.t.dtype, table.v.dtype, table.bad.dtype) == (np.int64, float, bool)
    assert not table.bad.any()
    assert (table.rows, table.seen) == (0, 0)


def test_a_full_piece_is_put_aside_as_it_is():
    table = Table.of(["A"])
    table.t[:], table.v[:], table.bad[:] = np.arange(CHUNK), np.arange(CHUNK)[:, None], True
    full = (table.t, table.v, table.bad)
    table.put_aside()
    assert table.waiting == CHUNK
    assert all(kept is one for kept, one in zip(table.full[0], full, strict=True))
    assert (table.t.shape, table.v.shape, table.bad.shape) == ((CHUNK,), (CHUNK, 1), (CHUNK, 1))
    assert (table.t.dtype, table.v.dtype, table.bad.dtype) == (np.int64, float, bool)
    assert not table.bad.any()
    table.t[0], table.v[0], table.rows = 999, 7.0, 1
    assert table.waiting == CHUNK + 1
    pieces = table.taken()
    assert [len(t) for t, _, _ in pieces] == [CHUNK, 1]
    assert (pieces[1][0].tolist(), pieces[1][1].tolist()) == ([999], [[7.0]])
    assert (table.waiting, table.rows, table.seen) == (0, 0, CHUNK + 1)


def test_emptied_pieces_are_written_into_again():
    found = growing()
    for k in range(2 * CHUNK + 3):
        found.feed(NAMES, k * S, np.array([k, -k]), np.array([True, False]))
    table = found.tables[NAMES]
    pieces = [piece[1] for piece in table.full]
    found.verdicts()
    assert [piece[1] is one for piece, one in zip(table.spare, pieces, strict=True)] == [True, True]
    for k in range(2 * CHUNK + 3, 4 * CHUNK + 3):
        found.feed(NAMES, k * S, np.array([k, -k]))
    assert (len(table.full), len(table.spare)) == (2, 0)
    assert table.v is pieces[0]
    found.verdicts()
    one = found.run.channels["TC1"]
    assert one.v.tolist() == list(range(4 * CHUNK + 3))
    assert one.bad.tolist() == [True] * (2 * CHUNK + 3) + [False] * (
        2 * CHUNK
    )  # what was bad there before is forgotten
    table.emptied([live._room(2)] * 20)
    assert len(table.spare) == FOLD_AT // CHUNK


def test_more_rows_than_a_piece_holds():
    found = growing()
    for k in range(2 * CHUNK + 3):
        found.feed(NAMES, k * S, np.array([k, -k]), np.array([k == CHUNK, False]))
    assert [len(t) for t, _, _ in found.tables[NAMES].full] == [CHUNK, CHUNK]
    assert found.samples_kept == 2 * (2 * CHUNK + 3)
    found.verdicts()
    one, two = (found.run.channels[name] for name in NAMES)
    assert one.t.tolist() == [k * S for k in range(2 * CHUNK + 3)]
    assert two.v.tolist() == [-k for k in range(2 * CHUNK + 3)]
    assert np.flatnonzero(one.bad).tolist() == [CHUNK]
    assert one.row.tolist() == list(range(2, 2 * CHUNK + 5))


def test_rows_are_buffered_and_taken_in_when_asked():
    found = growing()
    found.feed(NAMES, 0, np.array([1.0, 2.0]))
    found.feed(NAMES, 5 * S, np.array([3.0, 4.0]), np.array([False, True]))
    assert [len(found.run.channels[name].t) for name in NAMES] == [0, 0]
    assert found.samples_kept == 4
    found.verdicts()
    one, two = (found.run.channels[name] for name in NAMES)
    assert (one.t.tolist(), one.v.tolist(), one.bad.tolist()) == ([0, 5 * S], [1, 3], [False, False])
    assert (two.t.tolist(), two.v.tolist(), two.bad.tolist()) == ([0, 5 * S], [2, 4], [False, True])
    assert (one.row.tolist(), one.raw.tolist(), one.bridged.tolist()) == ([2, 3], [1, 3], [False, False])
    assert found.samples_kept == 4
    found.feed(NAMES, 9 * S, np.array([5.0, 6.0]))
    assert found.samples_kept == 6
    found.verdicts()
    one, two = (found.run.channels[name] for name in NAMES)
    assert (one.row.tolist(), two.bad.tolist(), two.v.tolist()) == ([2, 3, 4], [False, True, False], [2, 4, 6])


def test_two_recorders_have_a_table_each():
    found = growing(names=("TC1", "TC2", "TC3"))
    found.feed(("TC1", "TC2"), 5 * S, np.array([1.0, 2.0]))
    found.feed(("TC3",), 3 * S, np.array([3.0]))
    assert set(found.tables) == {("TC1", "TC2"), ("TC3",)}
    found.verdicts()
    assert [found.run.channels[name].t.tolist() for name in ("TC1", "TC2", "TC3")] == [[5 * S], [5 * S], [3 * S]]
    found.feed(("TC3",), 8 * S, np.array([4.0]))  # the other recorder has nothing new
    found.verdicts()
    assert [found.run.channels[name].t.tolist() for name in ("TC1", "TC3")] == [[5 * S], [3 * S, 8 * S]]


def test_a_row_that_is_not_later_is_refused():
    found = fed(2)
    for late in (MIN, MIN - 1):
        with pytest.raises(LateDataError) as caught:
            found.feed(NAMES, late, np.zeros(2))
        assert str(caught.value) == (
            f"a row at {late} ns is not later than the last one; expected rows in the order of time."
            " To do: judge the sorted log anew"
        )
    found.feed(NAMES, MIN + 1, np.zeros(2))
    assert found.samples_kept == 6
    fresh = growing()
    with pytest.raises(LateDataError, match="a row at -1 ns"):
        fresh.feed(NAMES, -1, np.zeros(2))


def test_when_folding_is_due():
    found = growing()
    for k in range(FOLD_AT - 1):
        found.feed(NAMES, k * S, np.array([k, -k]))
    assert not found.due
    found.feed(NAMES, FOLD_AT * S, np.zeros(2))
    assert found.due
    table = found.tables[NAMES]
    assert table.waiting == FOLD_AT
    assert table.full[1][0].tolist() == [k * S for k in range(CHUNK, 2 * CHUNK)]
    assert table.full[1][1][10].tolist() == [CHUNK + 10, -CHUNK - 10]


# --------------------------------------------------------------------------------------------------------------- folding


def test_what_lies_beside_bad_samples_is_kept():
    bad = np.array([0, 0, 1, 1, 1, 1, 0, 0, 0, 1, 0], bool)
    assert np.flatnonzero(live._beside_bad(bad)).tolist() == [1, 2, 5, 6, 8, 9, 10]
    assert np.flatnonzero(live._beside_bad(np.array([1, 1, 1], bool))).tolist() == [0, 2]
    assert live._beside_bad(np.array([], bool)).tolist() == []


def ticks(count, bad=(), **more):
    return replace(channel("TC1", [(t, t) for t in range(count)], bad=bad), **more)


def test_a_thinner_channel():
    found = live._thinner(ticks(12, bad=(6,)), np.array([minutes(3)]), minutes(10))
    assert (found.t // MIN).tolist() == [0, 3, 5, 6, 7, 10, 11]
    assert found.bridged.tolist() == [True, True, False, False, True, False, False]
    assert found.row.tolist() == [2, 5, 7, 8, 9, 12, 13]
    assert found.bad.tolist() == [False, False, False, True, False, False, False]
    assert (found.v == found.raw).all()
    shared = live._thinner(replace(ticks(12), raw=ticks(12).v), np.array([minutes(3)]), minutes(10))
    assert (shared.raw is shared.v) is False  # two arrays before, two after
    one = ticks(12)
    shared = live._thinner(replace(one, raw=one.v), np.array([minutes(3)]), minutes(10))
    assert shared.raw is shared.v
    assert found.v.tolist() == ticks(12).v[[0, 3, 5, 6, 7, 10, 11]].tolist()
    again = live._thinner(found, np.array([minutes(5)]), minutes(11))
    assert (again.t // MIN).tolist() == [0, 5, 6, 7, 11]
    assert again.bridged.tolist() == [True, False, False, True, False]
    later = live._thinner(found, found.t, minutes(99))
    assert later.bridged.tolist() == found.bridged.tolist()


def test_a_longer_channel():
    first = ticks(2, bridged=np.array([True, False]))
    t, v = np.array([minutes(5)]), np.array([7.0])
    found = live._longer(first, t, v, np.array([True]), np.array([9]))
    assert (found.t // MIN).tolist() == [0, 1, 5]
    assert found.v.tolist() == [*first.v.tolist(), 7]
    assert found.raw is found.v
    assert (found.bad.tolist(), found.row.tolist()) == ([False, False, True], [2, 3, 9])
    assert found.bridged.tolist() == [True, False, False]
    assert live._longer(ticks(2), t, v, np.array([True]), np.array([9])).bridged.tolist() == [False] * 3


def look_back(*forms, **more):
    return growing(*forms, **more)._look_back()


RATE = Rate(
    "rate", "part", unit_named("degC/min"), None, None, COLDEST, WHOLE,
    RateDefinition("end points", minutes(7), 2), "rising", at_most("3 degC/min"),
)  # fmt: skip


def test_how_far_a_run_looks_back():
    assert look_back(gap=2, lost_after=3) == 4 * MIN
    assert look_back(gap=5, lost_after=3) == 6 * MIN
    assert look_back(gap=0, lost_after=0) == 61 * S
    assert look_back(RATE) == 8 * MIN
    assert look_back(replace(RATE, definition=RateDefinition("whole phase"))) == 4 * MIN
    hot = Compare(COLDEST, at_least("1 degC"))
    assert look_back(events=(event("a", hot, stays=9), event("b", hot, stays=1))) == 10 * MIN
    bag = Signal(PART, "coldest")
    leak = LeakCheck("leak", "bag", degC, None, None, bag, "a", None, 0, minutes(6), "first", at_most("1 degC"))
    assert look_back(leak, events=(event("a", hot),)) == 7 * MIN
    assert look_back(clauses=(Clause("1", "x", (BAND,)), Clause("2", "y", (RATE,)))) == 8 * MIN


def test_an_entry_about_what_was_let_go_is_refused():
    found = fed(12)
    found.enter(entry("x", 0))
    found.fold()
    assert found.let_go_before == 7 * MIN  # the record reaches to 11; 3 to a loss and 1 more
    with pytest.raises(LateDataError) as caught:
        found.enter(entry("source closed", 8, plus_minus=1.5))
    assert str(caught.value) == (
        "the entry 'source closed' of inspector B is about a time of which samples have been let go; expected an entry"
        " made soon after the fact. To do: judge the sorted log anew"
    )
    found.enter(entry("y", 8, plus_minus=1))
    assert [one.name for one in found.run.entries] == ["x", "y"]
    found.let_go_before = 9 * MIN
    found.fold()
    assert found.let_go_before == 9 * MIN


def test_folding_goes_part_by_part():
    base = growing()
    second = Part("S2", "PN-1", "A", "L1", "B1", "T1", "EX-1", "A", ())
    line = Assignment("TC2", "TC2", "judging", "S2", "", -ALWAYS, ALWAYS, "operator A")
    load = replace(base.load, parts=(*base.load.parts, second), map=(base.load.map[0], line))
    found = fed(12, load=load)
    slices = found.folding()
    assert [next(slices), next(slices)] == ["TC1", "TC2"]  # rows are taken in
    assert next(slices) == "S1"
    assert [len(found.run.channels[name].t) for name in NAMES] == [12, 12]
    found.feed(NAMES, minutes(12), np.zeros(2))  # a row between two slices
    later = list(slices)
    assert list(dict.fromkeys(later)) == ["S1", "S2", "TC1", "TC2", "memory"]
    assert found.tables[NAMES].rows == 1
    assert [verdict.part for verdict in found.verdicts()] == ["S1", "S2"]
    assert [verdict.part for verdict in found.verdicts("S2")] == ["S2"]
    # 20 degC throughout until the zeros (0 K) of the row in between
    assert found.roll_up() == (("S1", Outcome.NOT_MET), ("S2", Outcome.NOT_MET))
    assert found.run.channels["TC1"].row.tolist()[-2:] == [13, 14]


def test_what_is_kept_of_a_level_line():
    found = fed(40)
    found.fold()
    # ends, cuts (0, and the end of the record) with three on each side, and what is recent: from minute 35 on
    kept = (found.run.channels["TC1"].t // MIN).tolist()
    assert kept[0] == 0
    assert kept[-5:] == [35, 36, 37, 38, 39]
    assert len(kept) < 15
    assert found.samples_kept == 2 * len(kept)


def test_closing_gives_the_final_verdicts():
    found = fed(12)
    assert [verdict.outcome for verdict in found.verdicts()] == [Outcome.OPEN]
    closing = Closing("author A", True, minutes(11))
    assert [verdict.outcome for verdict in found.close(closing)] == [Outcome.MET]
    assert found.run.closing is closing
    assert found.roll_up() == (("S1", Outcome.MET),)
    late = fed(12)
    late.feed(NAMES, minutes(12), degC.to_grains(np.array([5.0, 20.0])))
    assert [verdict.outcome for verdict in late.close(Closing("author A", True, minutes(12)))] == [Outcome.NOT_MET]


# ------------------------------------------------------------------------------------- the same verdicts as the whole log


def waves(k, j):
    """A cure with noise that depends on the sample and the sensor only."""
    ramp = min(20 + 2.5 * k, 180) if k < 100 else max(180 - 3 * (k - 100), 30)
    return ramp + (7 * k * (j + 3) + 5 * j) % 11 / 20 - j


HOT = event("hot", Compare(COLDEST, at_least("170 degC")), stays=2)
COOL = event("cool", Compare(HOTTEST, at_most("100 degC")), after="hot")
SOAK = Phase("hot", "cool")
FORMS = (
    BAND,
    Band("top", "part", degC, None, None, HOTTEST, WHOLE, at_most("182 degC")),
    Band("soak", "part", degC, None, None, COLDEST, SOAK, within("170 degC", "185 degC"), None, Compare(HOTTEST, at_least("178 degC"))),
    RATE,
    replace(RATE, name="falling", sense="falling", phase=SOAK),
    replace(RATE, name="fitted", definition=RateDefinition("least squares", minutes(5), 3), phase=Phase("record starts", "hot")),
    replace(RATE, name="steps", definition=RateDefinition("sample to sample"), phase=SOAK),
    Spread("spread", "part", unit_named("degC difference"), None, None, Signal(PART, "spread"), WHOLE, at_most("4 degC difference")),
)  # fmt: skip


def points(j, bad=()):
    return channel(NAMES[j], [(k, waves(k, j)) for k in range(160)], bad=bad)


def plain(verdicts):
    return [
        (
            one.form,
            one.outcome,
            one.reason,
            one.margin,
            one.excursions,
            one.phase,
            one.unknown,
            one.samples,
            one.set_aside,
        )
        for one in verdicts
    ]


@pytest.mark.parametrize("every, bad", [(7, ()), (7, (50, 51, 52)), (40, ()), (40, (120,)), (159, (70,))])
def test_any_folding_gives_the_verdicts_of_the_whole_log(every, bad):
    found = growing(*FORMS, events=(HOT, COOL))
    whole = run_of(points(0), points(1, bad))
    for k in range(160):
        v = np.array([whole.channels[name].v[k] for name in NAMES])
        found.feed(NAMES, minutes(k), v, np.array([False, k in bad]))
        if k % every == every - 1:
            found.fold()
    spec = found.specifications[0]
    expected = judge((spec,), V1, found.load, whole, ()).verdicts
    closed = found.close(whole.closing)
    assert plain(closed) == plain(expected)
    assert found.options == Options(others=False)
    assert found.samples_kept < 2 * 120


def test_a_sensor_that_was_plugged_elsewhere_is_not_joined_over_what_was_let_go():
    base = growing()
    first = replace(base.load.map[0], end=minutes(50), position="edge")
    second = replace(base.load.map[1], start=minutes(50), position="edge")
    load = replace(base.load, map=(first, second))
    form = Band("band", "part", degC, None, None, Signal(PART, "coldest"), WHOLE, at_least("10 degC"))
    found = growing(form, load=load)
    for at, v in rows(100):
        found.feed(NAMES, minutes(at), v)
    found.fold()
    whole = run_of(*(channel(name, [(k, 20.0 + j) for k in range(100)]) for j, name in enumerate(NAMES)))
    expected = judge(found.specifications, V1, load, whole, ()).verdicts
    assert plain(found.close(whole.closing)) == plain(expected)
    assert [one.outcome for one in expected] == [Outcome.NOT_SHOWN]  # nothing is joined from 49 to 50


@pytest.mark.parametrize(
    "form",
    [
        Count("count", "part", unit_named("count"), None, None, "working sensors", PART, WHOLE, at_least("2 count")),
        Recording("recording", "part", unit_named("min"), None, None, PART, WHOLE, at_most("2 min")),
    ],
)
def test_sensors_of_which_no_value_is_asked_for_keep_what_is_known_of_them(form):
    found = growing(form)
    for at, v in rows(60):
        if at not in (20, 21):  # three minutes between two rows
            found.feed(NAMES, minutes(at), v)
    found.fold()
    assert found.samples_kept < 40
    whole = run_of(
        *(channel(name, [(k, 20.0 + j) for k in range(60) if k not in (20, 21)]) for j, name in enumerate(NAMES))
    )
    expected = judge(found.specifications, V1, found.load, whole, ()).verdicts
    assert plain(found.close(whole.closing)) == plain(expected)
    assert expected[0].outcome is Outcome.NOT_MET  # nothing is joined over three minutes here, so none works in between
