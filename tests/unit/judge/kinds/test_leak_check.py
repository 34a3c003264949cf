"""Leak checks, by hand (semantics § 6.3; cases 28 to 30). Vacuum in inHg on straight lines; windows of 5 min.

STEADY loses 0.2 inHg a minute; LATE loses 1 in the first five minutes and 6 in the next five.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from curewright.judge.envelope import Extreme
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.kinds.leak_check import judge_leak_check
from curewright.judge.kinds.leak_loss import Isolated, Loss
from curewright.judge.limits import Pair, Threshold
from curewright.judge.scene import Options, Thing
from curewright.judge.steps import NEVER, When
from curewright.terms.errors import NeedsBarometer
from curewright.terms.load import Vessel
from curewright.terms.requirement import Compare, Comparison, Decision, Group, LeakCheck, Limits, Signal, StateIs
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome, Reading
from tests.unit.judge.build import (
    HOTTEST,
    at_least,
    at_most,
    channel,
    entry,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
)

INHG = unit_named("inHg of vacuum")
VACUUM = Signal(Group("bag vacuum"), "single")
CLOSED, OPENED = (event(f"source {what}", None, by="entry", for_each="bag") for what in ("closed", "opened"))
STEADY, LATE = [(0, 26.0), (20, 22.0), (40, 18.0)], [(0, 26.0), (5, 25.0), (10, 19.0), (30, 19.0)]
NOTE = "'source closed' by hand entry of inspector B"
TEXT = "loses at most 5 inHg of vacuum in 5 min (first window)"


def check(rule="first", loses="5 inHg of vacuum", *, opened=None, settling=0, window=5, closed="source closed", **more):
    loses = loses if isinstance(loses, Limits) else at_most(loses)
    head = ("leak check", "bag", INHG, None, None, VACUUM, closed, opened, minutes(settling), minutes(window))
    return LeakCheck(*head, rule, loses, **more)


def judged(
    form, points=LATE, *, entries=None, events=(CLOSED, OPENED), gap=30, bad=(), others=(), decision=None, **more
):
    changes = {} if decision is None else {"decision": decision}
    bag = channel("BAG1", points, "inHg of vacuum", bad=bad)
    entries = (entry("source closed", 0, 10),) if entries is None else entries
    return verdict(
        specification(form, events=events, gap=gap, **changes), run_of(bag, *others, entries=entries, **more)
    )


# ------------------------------------------------------------------------------------------------------------- all that is told
def test_tight_enough():
    found = judged(check())
    assert (found.outcome, found.reason, found.limit, found.kind) == (Outcome.MET, "tight enough", TEXT, "leak check")
    assert found.margin == Margin("4", "inHg of vacuum", minutes(5), "BAG1", "1", "at most 5 inHg of vacuum")
    assert found.phase == Bounds(0, 0, minutes(10), minutes(10), "source closed", "opened")
    assert (found.notes, found.used, found.settled) == ((NOTE,), ("BAG1",), True)
    # the worst five minutes lose 6, all ten 7
    assert found.others == (
        Reading("worst window", "6 inHg of vacuum", Outcome.NOT_MET, True),
        Reading("whole isolated interval", "7 inHg of vacuum", Outcome.NOT_MET, True),
    )


@pytest.mark.parametrize(
    "rule, word, lost, at, outcome",
    [
        ("first", "first window", "1", 5, Outcome.MET),
        ("worst", "worst window", "6", 10, Outcome.NOT_MET),
        ("whole", "whole isolated interval", "7", 10, Outcome.NOT_MET),
    ],
)
def test_three_window_rules(rule, word, lost, at, outcome):
    found = judged(check(rule))
    assert found.limit == f"loses at most 5 inHg of vacuum in 5 min ({word})"
    assert (found.outcome, found.margin.actual, found.margin.at) == (outcome, lost, minutes(at))
    assert found.reason == ("tight enough" if outcome is Outcome.MET else "lost too much vacuum")
    assert found.margin.value == str(5 - int(lost))
    assert word not in [one.definition for one in found.others]
    assert len(found.others) == 2


def test_printed_equal_to_the_limit_is_equal_to_it():
    assert judged(check(loses="1 inHg of vacuum")).outcome is Outcome.MET
    assert judged(check(loses="0.99 inHg of vacuum")).outcome is Outcome.NOT_MET


def test_a_least_loss():
    found = judged(check(loses=at_least("2 inHg of vacuum")))  # nobody asks for that, but it has a meaning
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-1")
    assert judged(check(loses=at_least("1 inHg of vacuum"))).outcome is Outcome.MET


def test_settling():
    for settling, lost in ((0, "1"), (5, "6"), (2, "3")):
        # from 2 to 7 min: 25.6 to 22.6
        found = judged(check(settling=settling))
        assert found.margin.actual == lost
        assert found.margin.at == minutes(settling + 5)
    found = judged(check("whole", settling=5))
    assert found.margin.actual == "6"
    found = judged(check(settling=6))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "the isolated interval is, or may be, shorter than settling and window",
        None,
        True,
    )
    assert found.others == ()


def test_a_short_interval():
    for until, outcome in ((5, Outcome.MET), (4.9, Outcome.NOT_SHOWN)):
        assert judged(check(), entries=(entry("source closed", 0, until),)).outcome is outcome


# ------------------------------------------------------------------------------------------------------------------- isolation
def test_isolation_is_not_proven():
    found = judged(check(), entries=())
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "isolation is not proven: no state channel, event or hand entry shows that the source was closed",
        None,
        True,
    )
    assert found.phase == Bounds(0, None, 0, None, "source closed", "opened")
    assert (found.limit, found.used) == (TEXT, ("BAG1",))
    found = judged(check(), entries=(), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)


def test_an_entry_without_an_end_does_not_prove_it():
    found = judged(check(), entries=(entry("source closed", 0),))
    assert (found.outcome, found.phase.earliest_end, found.phase.latest_end) == (Outcome.NOT_SHOWN, 0, None)
    assert found.reason == "the isolated interval is, or may be, shorter than settling and window"


def test_never_closed():
    shut = event("shut", StateIs(Group("channel", "source valve"), ("shut",)), by="state", for_each="bag")
    valve = channel("VALVE1", [(0, "open"), (20, "open"), (40, "open")], kind="state", states=("open", "shut"))
    found = judged(check(closed="shut"), STEADY, events=(shut,), others=(valve,))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_MET,
        "the source was never closed: no leak check was made",
        None,
        True,
    )
    assert found.phase == Bounds(None, None, None, None, "shut", "opened")


def test_opened_by_an_event():
    found = judged(check("whole", opened="source opened"), STEADY,
                   entries=(entry("source closed", 5, 30), entry("source opened", 15)))  # fmt: skip
    assert found.phase == Bounds(minutes(5), minutes(5), minutes(15), minutes(15), "source closed", "source opened")
    assert found.margin.actual == "2"  # ten minutes at 0.2 a minute
    assert found.notes == (NOTE, "'source opened' by hand entry of inspector B")


def test_isolated_as_long_as_the_state_shows_it():
    shut = event("shut", StateIs(Group("channel", "source valve"), ("shut",)), by="state", for_each="bag")
    valve = channel(
        "VALVE1", [(0, "open"), (10, "shut"), (20, "open"), (40, "open")], kind="state", states=("open", "shut")
    )
    found = judged(check("whole", closed="shut"), STEADY, events=(shut,), others=(valve,))
    assert (found.outcome, found.margin.actual, found.notes) == (Outcome.MET, "2", ())
    assert found.phase == Bounds(minutes(10), minutes(10), minutes(20), minutes(20), "shut", "opened")
    still = channel("VALVE1", [(0, "open"), (10, "shut"), (40, "shut")], kind="state", states=("open", "shut"))
    found = judged(check("whole", closed="shut"), STEADY, events=(shut,), others=(still,))
    # to the end of a record that covers the run: 30 min at 0.2
    assert (found.outcome, found.margin.actual, found.phase.latest_end) == (Outcome.NOT_MET, "6", minutes(40))
    found = judged(check("whole", closed="shut"), STEADY, events=(shut,), others=(still,), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "the bag may be isolated beyond the end of the record",
        False,
    )
    found = judged(check(closed="shut"), STEADY, events=(shut,), others=(still,), closed=False)
    assert (found.outcome, found.settled) == (Outcome.MET, True)  # the first window is over
    found = judged(
        check("worst", "0.9 inHg of vacuum", closed="shut"), STEADY, events=(shut,), others=(still,), closed=False
    )
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)


@pytest.mark.parametrize("rule", ["first", "worst", "whole"])
def test_an_interval_before_the_record_is_told_so(rule):
    points = [(20, 26), (40, 26)]  # the entry of 0 to 10 min is an hour off, or the recorder was switched on late
    found = judged(check(rule), points)
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)
    assert found.reason == "the isolated interval lies before the first reading of the bag"


def test_the_loss_is_not_known():
    for points, bad in (([(0, 26), (5, 0), (10, 25)], (5,)), ([(1, 26), (5, 25), (10, 25)], ())):
        found = judged(check(), points, bad=bad)
        assert (found.outcome, found.reason, found.margin) == (
            Outcome.NOT_SHOWN,
            "the reading at the start or the end of the window is not known",
            None,
        )
    found = judged(check("whole"), [(0, 26), (5, 26), (10, 0), (11, 26)], bad=(10,))
    assert found.reason == "the reading at the start or the end of the window is not known"
    found = judged(check("whole"), [(0, 26), (4, 0), (8, 26), (10, 25)], bad=(4,))
    assert (found.outcome, found.margin.actual) == (Outcome.MET, "1")  # only its ends are read
    found = judged(check("worst"), [(0, 26), (5, 25), (7, 24), (8, 0), (9, 23), (10, 23)], bad=(8,))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "not known throughout the isolated interval")
    assert (found.margin.actual, found.margin.of_known) == ("2.2", True)  # [4, 9]: 25.2 to 23; 1.6 on [2, 7]


# --------------------------------------------------------------------------------------------------- starting vacuum, pressure
def test_starting_vacuum():
    found = judged(check(starting=at_least("26 inHg of vacuum")))
    assert (found.outcome, found.reason) == (Outcome.MET, "tight enough")
    found = judged(check(starting=at_least("27 inHg of vacuum")))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_MET,
        "started at 26 inHg of vacuum, at least 27 inHg of vacuum wanted when the source was closed",
    )
    assert found.margin.value == "4"  # of the loss
    lost = [(0, 26), (1, 0), (2, 26), (7, 26), (10, 26)]
    found = judged(
        check(starting=at_least("27 inHg of vacuum")), lost, bad=(1,), entries=(entry("source closed", 1, 9),)
    )
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "the reading at the start or the end of the window is not known",
    )
    found = judged(
        check(settling=1, starting=at_least("27 inHg of vacuum")),
        lost,
        bad=(1,),
        entries=(entry("source closed", 1, 9),),
    )
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "the vacuum when the source was closed is not known well enough",
    )
    assert (found.margin.value, found.margin.of_known) == ("5", True)


def test_started_at_an_uncertain_instant():
    # closed at 5 +- 1: 25 at 4 to 24 at 6 or so; all below 26
    found = judged(
        check(starting=at_least("26 inHg of vacuum")),
        [(0, 25), (20, 24)],
        entries=(entry("source closed", 5, 15, plus_minus=1),),
    )
    assert (found.outcome, found.reason) == (
        Outcome.NOT_MET,
        "started at 24.8 inHg of vacuum, at least 26 inHg of vacuum wanted when the source was closed",
    )


def test_pressure_inside():
    ambient = quantity("30 inHg absolute").grains
    # 26 to 19 inHg of vacuum under 30 inHg: 4 to 11 inHg absolute
    for most, outcome, reason in (
        ("11 inHg absolute", Outcome.MET, "tight enough"),
        (
            "10 inHg absolute",
            Outcome.NOT_MET,
            "pressure in the bag, at most 10 inHg absolute wanted: outside the limits in the phase",
        ),
    ):
        found = judged(check(pressure_inside=at_most(most)), barometer=ambient)
        assert (found.outcome, found.reason) == (outcome, reason)
    with pytest.raises(NeedsBarometer, match="BAG1 reads gauge pressure and the requirement is stated absolute"):
        judged(check(pressure_inside=at_most("11 inHg absolute")))
    found = judged(
        check(pressure_inside=at_most("11 inHg absolute")),
        [(0, 26), (5, 26), (7, 0), (10, 26)],
        bad=(7,),
        barometer=ambient,
    )
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "pressure in the bag, at most 11 inHg absolute wanted: not known throughout the phase",
    )


def test_the_worst_of_the_three_is_shown():
    found = judged(check(loses="0.5 inHg of vacuum", starting=at_least("27 inHg of vacuum")))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "lost too much vacuum")  # the loss speaks first


# ---------------------------------------------------------------------------------------------------------------- guard, others
def test_guard_bands():
    narrow, wide = (Decision("guard", (quantity(f"{w} inHg difference"),), "") for w in (4, "4.1"))
    assert judged(check(), decision=narrow).outcome is Outcome.MET
    found = judged(check(), decision=wide)
    assert (found.outcome, found.reason, found.margin.of_known) == (
        Outcome.NOT_SHOWN,
        "inside the guard band of the decision rule",
        True,
    )
    ambient = quantity("30 inHg absolute").grains
    one = Decision("guard", (quantity("1 inHg difference"),), "")
    inside = check(pressure_inside=at_most("11.5 inHg absolute"))
    assert judged(inside, barometer=ambient).outcome is Outcome.MET
    found = judged(inside, barometer=ambient, decision=one)
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "pressure in the bag, at most 11.5 inHg absolute wanted: inside the guard band of the decision rule",
    )


def test_rounded():
    coarse = specification(
        check(loses="0.8 inHg of vacuum"),
        events=(CLOSED,),
        gap=30,
        comparison=Comparison("rounding", (quantity("1 inHg of vacuum"),)),
    )
    bag = channel("BAG1", [(0, 26.0), (5, 25.6), (10, 25)], "inHg of vacuum")
    # at most 0.8 after rounding to whole inHg is 0: up to 0.5
    assert verdict(coarse, run_of(bag, entries=(entry("source closed", 0, 10),))).outcome is Outcome.MET
    bag = channel("BAG1", [(0, 26.0), (5, 25.4), (10, 25)], "inHg of vacuum")
    assert verdict(coarse, run_of(bag, entries=(entry("source closed", 0, 10),))).outcome is Outcome.NOT_MET


@pytest.mark.parametrize("others", [True, False])
def test_other_readings_are_left_out_where_nobody_asks(others):
    form = check()
    run = run_of(channel("BAG1", LATE, "inHg of vacuum"), entries=(entry("source closed", 0, 10),))
    spec, hall = specification(form, events=(CLOSED,), gap=30), hall_of(Vessel("V1", (), (), ()), load_of(run), run)
    scene = scene_for(hall, hall.load.parts[0], (spec,), Options(others=others))
    assert len(judge_leak_check(scene, form, Thing("bag", "B1")).others) == (2 if others else 0)


def test_other_readings_lie_inside_the_bounds():
    found = judged(check(), STEADY, entries=(entry("source closed", 5, 25, plus_minus=2),))
    # from 7 to 23 min for sure: 3.2 inHg
    assert [(one.definition, one.actual, one.outcome, one.flips) for one in found.others] == [
        ("worst window", "1 inHg of vacuum", Outcome.MET, False),
        ("whole isolated interval", "3.2 inHg of vacuum", Outcome.MET, False),
    ]


# --------------------------------------------------------------------------------------------------------- the loss and its bounds
def at_(value):
    return Extreme(value, 0, "BAG1")


@pytest.mark.parametrize(
    "least, most, low, high, met, broken",
    [
        (10, 20, None, 20, True, False),
        (10, 20, None, 19, True, False),  # a grain beside the limit is equal to it
        (10, 20, None, 18, False, False),
        (10, 20, None, 9, False, False),
        (10, 20, None, 8, False, True),
        (10, 20, 10, None, True, False),
        (10, 20, 11, None, True, False),
        (10, 20, 12, None, False, False),
        (10, 20, 21, None, False, False),
        (10, 20, 22, None, False, True),
        (None, 20, None, 50, False, False),
        (10, None, None, 50, False, False),
        (None, 20, 22, None, False, True),
        (10, None, None, 8, False, True),
        (None, None, 0, 50, False, False),
        (None, 20, 0, 8, False, False),
        (10, None, 22, 50, False, False),
    ],
)
def test_what_bounds_of_a_loss_show(least, most, low, high, met, broken):
    lost = Loss(None if least is None else at_(float(least)), None if most is None else at_(float(most)))
    pair = Pair(*[None if end is None else Threshold(float(end), False) for end in (low, high)])
    assert (lost.met(pair), lost.broken(pair)) == (met, broken)


def test_isolated():
    closed, opened = When(10, 12), When(30, 34)
    inside = Isolated(closed, opened, 40)
    assert (inside.proven, inside.open_end, inside.begins(3), inside.ends) == (True, False, (13, 15), (30, 34))
    cut = Isolated(closed, opened, 32, covers=False)
    assert (cut.proven, cut.open_end, cut.ends) == (True, True, (30, 32))
    assert Isolated(closed, opened, 32).open_end is False
    assert Isolated(closed, opened, 34, covers=False).open_end is False
    assert Isolated(closed, opened, 20).ends == (30, 30)
    assert Isolated(When(10, NEVER), opened, 40).proven is False
    assert Isolated(closed, When(NEVER, NEVER), 40).proven is False
    assert Isolated(closed, When(30, NEVER), 40).proven is True


def test_closed_by_a_condition_that_never_was():
    hot = event("hot", Compare(HOTTEST, at_least("1000 degC")), for_each="part")
    tc = channel("TC1", [(0, 20), (20, 20), (40, 20)])
    found = judged(check(closed="hot"), STEADY, events=(hot,), others=(tc,))
    assert found.outcome is Outcome.NOT_MET
    found = judged(check(closed="hot"), STEADY, events=(hot,), others=(tc,), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)


# --------------------------------------------------------------------------------------------- instants known only within bounds
def around(at, until=20, plus_minus=1):
    return (entry("source closed", at, until, plus_minus=plus_minus),)


def flat_but(*corners):
    """26 inHg from 0 to 30 min, but for these corners."""
    return sorted({(0, 26), *corners, (30, corners[-1][1] if corners else 26)})


TWO = "2 inHg of vacuum"
DEPENDS = "depends on the uncertainty of the instants of isolation"


def test_a_loss_that_depends_on_when_it_was_closed():
    dip = flat_but((14, 26), (15, 23), (16, 26))
    found = judged(check(loses=TWO), dip, entries=around(10))
    assert (found.outcome, found.reason, found.settled) == (Outcome.NOT_SHOWN, DEPENDS, True)
    # from 10 to 15 it loses 3, from 9 and from 11 nothing
    assert found.margin == Margin(
        "-1", "inHg of vacuum", minutes(15), "BAG1", "3", "at most 2 inHg of vacuum", "-1", "2", True
    )
    # nothing that follows can tell: the interval ended inside the record, at its very end at the latest
    assert judged(check(loses=TWO), dip, entries=around(10), closed=False).settled
    assert judged(check(loses=TWO), dip, entries=around(10, 29), closed=False).settled
    found = judged(check("whole", loses=TWO), dip, entries=around(10, 30), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)


def test_first_window_over_all_closings():
    # level to 14 min, 1.5 inHg a minute to 16: from 9 to 14 nothing is lost, from 11 to 16 three
    found = judged(check(loses=TWO), flat_but((14, 26), (16, 23)), entries=around(10))
    assert (found.outcome, found.margin.low, found.margin.high) == (Outcome.NOT_SHOWN, "-1", "2")
    # the other way round: three from 9 to 14, none from 11 to 16
    found = judged(check(loses=TWO), flat_but((9, 26), (11, 23)), entries=around(10))
    assert (found.outcome, found.margin.low, found.margin.high) == (Outcome.NOT_SHOWN, "-1", "2")
    for lost in ("9.5", "10.5", "14.5", "15.5"):
        points = [(t / 2, 26) for t in range(61)]
        found = judged(check(loses=TWO), points, entries=around(10), bad=(lost,))
        assert (found.outcome, found.reason) == (
            Outcome.NOT_SHOWN,
            "the reading at the start or the end of the window is not known",
        )
    assert judged(check(loses=TWO), points, entries=around(10), bad=("12.5",)).outcome is Outcome.MET


def test_whole_interval_over_all_bounds():
    # 0.2 inHg a minute, from 9 to 11 until 19 to 21: 1.6 to 2.4
    found = judged(check("whole", loses=TWO), STEADY, entries=around(10))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, DEPENDS)
    assert found.margin == Margin(
        "-0.4", "inHg of vacuum", minutes(21), "BAG1", "2.4", "at most 2 inHg of vacuum", "-0.4", "0.4", True
    )
    assert judged(check("whole", loses="1.5 inHg of vacuum"), STEADY, entries=around(10)).outcome is Outcome.NOT_MET
    assert judged(check("whole", loses="2.4 inHg of vacuum"), STEADY, entries=around(10)).outcome is Outcome.MET


def test_worst_window_over_all_bounds():
    for corners in (
        ((20, 26), (21, 23)),
        ((9, 26), (10, 23)),
    ):  # lost after it may have been opened, before it surely was closed
        found = judged(check("worst", loses=TWO), flat_but(*corners), entries=around(10))
        assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, DEPENDS)
        assert (found.margin.low, found.margin.high) == ("-1", "2")
    points = [(t / 2, 26) for t in range(61)]
    for lost in ("9.5", "15", "20.5"):
        found = judged(check("worst", loses=TWO), points, entries=around(10), bad=(lost,))
        assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "not known throughout the isolated interval")
        assert found.margin.actual == "0"
    assert judged(check("worst", loses=TWO), points, entries=around(10), bad=("8.5", "21.5")).outcome is Outcome.MET


def test_no_window_is_known():
    # known to 2 and from 8 min: no two readings that are 5 min apart
    points = [(0, 26), (2, 26), (5, 0), (8, 26), (9.9, 26)]
    found = judged(check("worst"), points, bad=(5,), entries=around(0, "9.9", 0))
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)


# ---------------------------------------------------------------------------------------------------- read by hand, for information
def by_hand(end, doubt, *, lasts=5):
    """A leak check by hand from 26 inHg of vacuum, as two readings; a vacuum is kept as negative gauge."""
    changes = {
        "gauge": "G-17",
        "unit": INHG,
        "value_plus_minus": None if doubt is None else INHG.grains_of(Decimal(doubt)),
    }
    first, last = (
        replace(entry("reading", at, thing="B1"), value=-INHG.grains_of(Decimal(vacuum)), **changes)
        for at, vacuum in ((0, "26"), (lasts, end))
    )
    return (entry("source closed", 0, 10), entry("leak check", 0, lasts), first, last)


@pytest.mark.parametrize(
    "end, doubt, lasts, told",
    [
        ("25.2", "0.5", 5, "so 0.8 inHg of vacuum lost (± 1); within at most 5 inHg of vacuum with all of that doubt"),
        (
            "21.5", "0.5", 5,
            "so 4.5 inHg of vacuum lost (± 1); the doubt reaches over the limit of at most 5 inHg of vacuum: these readings do not tell",
        ),
        ("19", "0.5", 5, "so 7 inHg of vacuum lost (± 1); past at most 5 inHg of vacuum with all of that doubt"),
        ("21.5", None, 5, "so 4.5 inHg of vacuum lost (nobody said how uncertain); within at most 5 inHg of vacuum as read"),
        ("25.2", "0.5", 8, "so 0.8 inHg of vacuum lost (± 1); not held against the limit, which is for 5 min"),
    ],
)  # fmt: skip
def test_readings_by_hand_stand_beside_the_verdict_and_decide_nothing(end, doubt, lasts, told):
    found = judged(check(), entries=by_hand(end, doubt, lasts=lasts))
    note = found.notes[-1]
    assert note.endswith(told)
    by = "" if doubt is None else " ± 0.5 inHg"
    assert (
        f"(gauge G-17, inspector B), for information: 26 inHg of vacuum{by} to {end} inHg of vacuum{by} in {lasts} min"
        in note
    )
    plain = judged(check())
    assert (found.outcome, found.reason, found.margin) == (plain.outcome, plain.reason, plain.margin)


def test_readings_by_hand_of_another_bag_are_not_told():
    entries = [replace(one, thing="B2") if one.name != "source closed" else one for one in by_hand("25.2", "0.5")]
    assert judged(check(), entries=tuple(entries)).notes == (NOTE,)
