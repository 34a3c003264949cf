"""The ceiling of a growing run: a channel with too much that matters is given up, and what is said of it then."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from curewright.judge.behind import members_behind
from curewright.judge.ceiling import ROOM, _short, channels_behind, check_same_run
from curewright.judge.judge import hall_of, judge, scene_for
from curewright.judge.live import FOLD_AT, Live
from curewright.judge.scene import Thing
from curewright.terms.errors import CurewrightError
from curewright.terms.load import Vessel
from curewright.terms.requirement import (
    AtEvent,
    Band,
    Clause,
    Compare,
    Computation,
    Computed,
    Count,
    Group,
    LostThermocouples,
    Phase,
    Recording,
    Signal,
    StateIs,
)
from curewright.terms.run import Closing
from curewright.terms.units import unit_named
from curewright.terms.verdict import Excursion, Outcome, Verdict
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    MIN,
    PART,
    at_least,
    at_most,
    channel,
    event,
    load_of,
    minutes,
    run_of,
    specification,
)
from tests.unit.judge.kinds.test_computed import CARD

V1 = Vessel("V1", (), (), ())
WHOLE = Phase("record starts", "record ends")
degC = unit_named("degC")
TC = "part thermocouple"
NAMES = ("TC1", "TC2")
LOW = Band("low", TC, degC, None, None, EACH, WHOLE, at_least("20 degC"))
HIGH = Band("high", "part", degC, None, None, COLDEST, WHOLE, at_most("90 degC"))
SMALL = 50


def wavering(k, j):
    """TC1 is on the other side of 20 degC at every other sample; TC2 stands at 50 degC."""
    return 50.0 if j else 20.5 - k % 2


def grown(rows, *forms, value=wavering, room=SMALL, load=None, **more):
    """A growing run of so many rows, one a minute, folded every 40; and the whole of it."""
    spec = specification(*forms, **more)
    whole = run_of(*(channel(name, [(k, value(k, j)) for k in range(rows)]) for j, name in enumerate(NAMES)))
    empty = {
        c.name: replace(c, t=c.t[:0], v=c.v[:0], raw=c.raw[:0], bad=c.bad[:0], row=c.row[:0])
        for c in whole.channels.values()
    }
    growing = Live((spec,), V1, load or load_of(whole), replace(whole, channels=empty, closing=None))
    growing.given_up.room = room
    most = 0
    for k in range(rows):
        growing.feed(NAMES, minutes(k), np.array([whole.channels[name].v[k] for name in NAMES]))
        if k % 40 == 39:
            growing.fold()
            most = max(most, growing.samples_kept)
    return growing, whole, most


def said(verdicts):
    return {(one.form, one.thing): one.outcome for one in verdicts}


def test_a_channel_that_never_stops_wavering_is_given_up():
    growing, _, most = grown(1000, LOW)
    assert list(growing.given_up.since) == ["TC1"]
    # the record reached to 79 when more than 50 samples older than 4 min (3 to a loss, and 1) mattered
    assert growing.given_up.since["TC1"] == minutes(79)
    assert most < 2 * (SMALL + 40 + 5)
    assert said(growing.verdicts()) == {("low", "TC1"): Outcome.NOT_MET, ("low", "TC2"): Outcome.OPEN}


def test_the_ceiling_holds_for_a_run_that_is_nothing_but_crossings():
    """Docs, speed: room, samples of the look-back and the largest gap, and rows that wait, for each channel."""
    rng = np.random.default_rng(7)
    rows, room, names = 15_000, 1_000, ("TC1", "TC2", "TC3")
    units = degC.to_grains(np.round(20 + rng.normal(0, 1, (rows, 3)), 1))
    bad = rng.random((rows, 3)) < np.array([0.0, 0.3, 0.02])
    spec = specification(LOW, HIGH, events=(event("hot", Compare(COLDEST, at_least("20 degC")), stays=30),))
    begun = run_of(*(channel(name, [(0, 20)]) for name in names), closed=False)
    nothing = {name: channel(name, []) for name in names}
    growing = Live((spec,), V1, load_of(begun), replace(begun, channels=nothing))
    growing.given_up.room = room
    every, second = 2, 10**9  # a row every two seconds
    look_back = growing._look_back() + spec.largest_gap
    assert look_back == minutes(31) + minutes(2)  # a stay of 30 min and a minute, and the largest gap
    ceiling = room + look_back // (every * second) + 1
    most = 0
    for k in range(rows):
        growing.feed(names, every * k * second, units[k], bad[k])
        if growing.due:
            growing.fold()
            most = max(most, *(len(one.t) for one in growing.run.channels.values()))
            assert all(len(one.t) <= ceiling for one in growing.run.channels.values())
    assert most > 900  # which it does not hold for want of crossings
    assert set(growing.given_up.since) == set(names)
    assert growing.samples_kept <= len(names) * (ceiling + FOLD_AT)


def test_with_room_enough_all_of_it_stays():
    growing, _, most = grown(1000, LOW, room=ROOM)
    assert growing.given_up.since == {}
    assert most > 950


def test_what_had_settled_stays_as_it_was_and_says_so():
    growing, whole, _ = grown(400, LOW, HIGH)
    first = growing.verdicts()[0]
    assert first.outcome is Outcome.NOT_MET
    assert first.settled
    assert first.margin.value == "-0.5"
    assert first.notes[-1] == "listed are the 20 deepest of 40 excursions"  # below 20 at every other minute, up to 79
    assert [one.start // MIN for one in first.excursions] == list(range(0, 40, 2))  # all equally deep: the first ones
    assert first.notes[-2] == (
        "settled by +1:19:00, with margin and evidence of what was there then: more than 50 samples of TC1 still"
        " matter, which is more than a growing run keeps; the judgement of the whole record has the last word"
    )
    assert said(growing.close(whole.closing))["low", "TC1"] is Outcome.NOT_MET


def test_what_had_not_settled_is_left_open_and_says_why():
    growing, whole, _ = grown(400, LOW, HIGH)
    for verdicts in (growing.verdicts(), growing.close(whole.closing)):
        coldest = verdicts[-1]
        assert (coldest.form, coldest.outcome, coldest.settled) == ("high", Outcome.OPEN, False)
        assert coldest.reason == (
            "left open: more than 50 samples of TC1 still matter, which is more than a growing run keeps; the judgement"
            " of the whole record has the last word"
        )
        assert (coldest.margin, coldest.excursions, coldest.samples) == (None, (), ())
        assert coldest.limit == "at most 90 degC"
        assert coldest.behind == NAMES
    assert growing.roll_up() == (("S1", Outcome.NOT_MET),)


def test_the_whole_record_has_the_last_word():
    growing, whole, _ = grown(400, LOW, HIGH)
    final = growing.close(whole.closing, replace(whole, closing=None))
    expected = judge(growing.specifications, V1, growing.load, whole).verdicts
    assert [(v.outcome, v.margin, v.excursions) for v in final] == [
        (v.outcome, v.margin, v.excursions) for v in expected
    ]
    assert Outcome.OPEN not in said(final).values()


def test_a_record_of_another_run_is_refused():
    growing, whole, _ = grown(400, LOW)
    shorter = run_of(*(channel(name, [(k, 20) for k in range(399)]) for name in NAMES))
    with pytest.raises(CurewrightError) as caught:
        growing.close(whole.closing, shorter)
    assert str(caught.value) == (
        "in the record given, TC1 ends at +6:38:00; in the growing run it ended at +6:39:00; expected the whole record of"
        " this very run. To do: give the recorder's file, read to its end"
    )
    with pytest.raises(CurewrightError, match="TC2 ends at no sample"):
        check_same_run(replace(whole, channels={"TC1": whole.channels["TC1"]}), whole)
    check_same_run(whole, whole)


def test_a_count_and_a_recording_interval_are_left_open_too():
    """Neither sees the past that is gone: what is not there would look like a sensor that never worked."""
    count = Count("count", "part", unit_named("count"), None, None, "working sensors", PART, WHOLE, at_least("2 count"))
    recording = Recording("recording", TC, unit_named("min"), None, None, PART, WHOLE, at_most("2 min"))
    growing, whole, _ = grown(400, LOW, count, recording)
    found = said(growing.verdicts())
    assert found["count", "S1"] is Outcome.OPEN
    assert found["recording", "TC1"] is Outcome.OPEN
    closed = said(growing.close(whole.closing))
    assert (closed["count", "S1"], closed["recording", "TC1"]) == (Outcome.OPEN, Outcome.OPEN)
    assert closed["low", "TC2"] is Outcome.MET  # which stands on TC2 alone


def test_a_state_that_chatters_is_given_up_as_well():
    states = ("on", "off")
    names = ("VALVE1", "P1")
    whole = run_of(
        channel("VALVE1", [(k, states[k % 2]) for k in range(400)], kind="state", states=states),
        channel("P1", [(k, 20) for k in range(400)], "psi gauge"),
    )
    vent = event("vent", StateIs(Group("channel", "source valve"), ("off",)), by="state", for_each="bag", stays=5)
    pressure = Signal(Group("vessel pressure"), "single")
    form = AtEvent("at event", "bag", unit_named("psi gauge"), None, None, "vent", pressure, at_least("5 psi gauge"))
    empty = {
        c.name: replace(c, t=c.t[:0], v=c.v[:0], raw=c.raw[:0], bad=c.bad[:0], row=c.row[:0])
        for c in whole.channels.values()
    }
    spec = specification(form, events=(vent,))
    growing = Live((spec,), V1, load_of(whole), replace(whole, channels=empty, closing=None))
    growing.given_up.room = SMALL
    for k in range(400):
        growing.feed(names, minutes(k), np.array([whole.channels[name].v[k] for name in names]))
        if k % 40 == 39:
            growing.fold()
    assert list(growing.given_up.since) == ["VALVE1"]
    assert [one.outcome for one in growing.verdicts()] == [Outcome.OPEN]
    # the last sample shows 'off': its stay is cut off by the end of the record and may have been one (semantics 4.4)
    (final,) = growing.close(Closing("author A", True, minutes(399)), whole)
    assert final.outcome is Outcome.NOT_SHOWN


def scene_of(*forms, channels, **more):
    spec = specification(*forms, **more)
    run = run_of(*channels)
    load = load_of(run)
    return scene_for(hall_of(V1, load, run, (), spec.largest_gap), load.parts[0], (spec,))


STEADY = tuple(channel(name, [(k, 50) for k in range(20)]) for name in NAMES)


def test_which_channels_a_verdict_hangs_on():
    hot = event("hot", Compare(COLDEST, at_least("30 degC")))
    after = Band("after", "vessel", degC, None, None, Signal(PART, "hottest"), Phase("hot", "record ends"), LOW.limits)
    scene = scene_of(
        LOW, channels=STEADY, events=(hot,), clauses=(Clause("1", "x", (LOW,)), Clause("2", "y", (after,)))
    )
    found = channels_behind(scene)
    assert found["1", "low", "TC1"] == {"TC1"}
    assert found["1", "low", "TC2"] == {"TC2"}
    assert found["1", "low", ""] == {"TC1", "TC2"}
    assert found["2", "after", "V1"] == {"TC1", "TC2"}


def test_a_lost_thermocouple_hangs_on_those_that_the_rule_looks_at():
    """Whether it is set aside depends on what the others read when it was lost."""
    lost = channel("TC1", [(k, 50) for k in range(5)])
    own = LostThermocouples(1, True, 1)

    def behind(channels, rule):
        scene = scene_of(LOW, channels=channels, lost=rule)
        member = next(one for one in scene.members(PART, Thing("part", "S1")) if one.name == "TC1")
        return {one.name for one in members_behind(scene, LOW, Thing(TC, "TC1", member))}

    assert behind(STEADY, own) == {"TC1"}
    assert behind((lost, STEADY[1]), own) == {"TC1", "TC2"}
    assert behind((lost, STEADY[1]), replace(own, may_set_aside=False)) == {"TC1"}


def test_what_is_computed_is_left_open_until_the_whole_record_is_there():
    """Degree of cure hangs on every sample since its start; a growing run has let most of them go."""
    degree = Signal(
        PART, "coldest", computed=Computation("degree of cure", CARD.name, CARD.revision, "warm", Decimal("0.5"), True)
    )
    fraction = unit_named("fraction")
    cured = Computed("cured", "part", fraction, None, None, degree, None, WHOLE, at_least("0.4 fraction"))
    event_of_it = event("half cured", Compare(degree, at_least("0.6 fraction")))
    after = Band("after", "part", degC, None, None, COLDEST, Phase("half cured", "record ends"), at_least("20 degC"))
    warm = event("warm", Compare(COLDEST, at_least("40 degC")))
    growing, whole, _ = grown(
        30, HIGH, cured, after, value=lambda k, j: 50.0 + j, events=(warm, event_of_it), room=ROOM
    )
    open_, record = Outcome.OPEN, replace(whole, closing=None)
    for verdicts in (growing.verdicts(), growing.close(whole.closing)):
        found = said(verdicts)
        assert (found["cured", "S1"], found["after", "S1"]) == (open_, open_)
    assert verdicts[1].reason == (
        "left open: what is computed along a run needs every sample; the judgement of the whole record gives it"
    )
    assert found["high", "S1"] is Outcome.MET
    growing.cards = (CARD,)
    final = growing.close(whole.closing, record)
    # from 0.5, what is uncured is halved every 10 min: 0.6 after 3.2 min, and never below 0.4
    assert said(final) == {("high", "S1"): Outcome.MET, ("cured", "S1"): Outcome.MET, ("after", "S1"): Outcome.MET}


def test_the_deepest_excursions_are_listed_in_the_order_of_time():
    deep = [7, 11, 9.5] + [k / 10 for k in range(1, 31)]
    excursions = tuple(Excursion("TC1", k, k + 1, str(depth), "degC", k) for k, depth in enumerate(deep))
    names = ("S1", "EX-1", "A", "1", "low", "band", "TC1")
    found = _short(Verdict(*names, Outcome.NOT_MET, "", "", excursions=excursions))
    assert [float(one.depth) for one in found.excursions] == [7, 11, 9.5, *(k / 10 for k in range(14, 31))]
    assert found.notes == ("listed are the 20 deepest of 33 excursions",)
    few = Verdict(*names, Outcome.NOT_MET, "", "", excursions=excursions[:20])
    assert _short(few) is few
