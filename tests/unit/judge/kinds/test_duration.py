"""Durations, by hand (semantics § 5.2, 7.2): the box of what start and end allow, by three clocks.

LOG is at or above 174 degC from 0 to 20 and from 30 to 60 min: 30 unbroken, 50 in all, 60 elapsed.
"""

from __future__ import annotations

import pytest

from curewright.terms.load import Ruling
from curewright.terms.requirement import (
    AllOf,
    Allowance,
    Alternative,
    Clock,
    Compare,
    Comparison,
    Duration,
    Phase,
    StateIs,
)
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome, Reading, Unknown
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    above,
    at_least,
    at_most,
    channel,
    entry,
    event,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    within,
)

HOT = Compare(COLDEST, at_least("174 degC"))
WHOLE = Phase("record starts", "record ends")
LOG = [(0, 174), (20, 174), (21, 150), (29, 150), (30, 174), (60, 174)]
BY_SAMPLE = "first sample in band instead of the exact crossing"
SOAK, OUT = event("soak starts", HOT), event("soak ends", None, by="entry")


def clock(leaves="pauses", runs_while=HOT, allowance=None):
    return Clock("coldest", runs_while, leaves, allowance)


def way(limits, leaves="pauses", phase=WHOLE, **more):
    return Alternative(phase, clock(leaves, **more), limits)


def duration(*ways, for_each="part"):
    return Duration("duration", for_each, unit_named("min"), None, None, ways)


def judged(form, *points, events=(SOAK, OUT), entries=(), gap=30, bad=(), rulings=(), others=(), **more):
    log = channel("TC1", points or LOG, bad=bad)
    return verdict(specification(form, events=events, gap=gap), run_of(log, *others, entries=entries, **more), rulings)


def ends(at, plus_minus=0):
    return (entry("soak ends", at, thing="S1", plus_minus=plus_minus),)


# ------------------------------------------------------------------------------------------------------------- all that is told
def test_long_enough():
    found = judged(duration(way(at_least("45 min"))))
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        "long enough",
        "at least 45 min",
        "duration",
    )
    assert found.margin == Margin("5", "min", minutes(60), "TC1", "50", "at least 45 min")
    assert found.phase == Bounds(0, 0, minutes(60), minutes(60), "record starts", "record ends")
    assert (found.used, found.unknown, found.notes, found.settled) == (("TC1",), (), (), True)
    # held from sample to sample, 174 lasts until 150 is seen at 21
    assert found.others == (
        Reading("the clock restarts when it leaves", "30 min", Outcome.NOT_MET, True),
        Reading("the clock runs on when it leaves", "60 min", Outcome.MET, False),
        Reading(BY_SAMPLE, "51 min", Outcome.MET, False),
    )


@pytest.mark.parametrize(
    "leaves, minutes_counted, others",
    [
        ("restarts", "30", ["pauses", "runs on"]),
        ("pauses", "50", ["restarts", "runs on"]),
        ("runs on", "60", ["restarts", "pauses"]),
    ],
)
def test_three_clocks(leaves, minutes_counted, others):
    found = judged(duration(way(at_least("40 min"), leaves)))
    assert found.margin.actual == minutes_counted
    assert (found.outcome is Outcome.MET) == (leaves != "restarts")
    assert [one.definition for one in found.others[:2]] == [f"the clock {rule} when it leaves" for rule in others]
    exact = float(minutes_counted)
    assert found.margin.value == f"{exact - 40:g}"


def test_to_the_last_nanosecond():
    assert judged(duration(way(at_least("50 min")))).outcome is Outcome.MET
    assert judged(duration(way(above("50 min")))).outcome is Outcome.NOT_MET
    found = judged(duration(way(at_least("50.000001 min"))))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.NOT_MET, "too short", "-0.000001")


def test_a_longest_time_is_elapsed():
    found = judged(duration(way(at_most("60 min"))))
    assert (found.outcome, found.reason) == (Outcome.MET, "within its limits")
    assert found.margin == Margin("0", "min", minutes(60), "TC1", "60", "at most 60 min")
    found = judged(duration(way(at_most("59 min"))))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.NOT_MET, "too long", "-1")


def test_both_limits():
    found = judged(duration(way(within("45 min", "70 min"))))
    assert (found.outcome, found.reason) == (Outcome.MET, "within its limits")
    assert found.margin == Margin("5", "min", minutes(60), "TC1", "50", "45 to 70 min")
    assert found.notes == ("50 min by the clock, 60 min elapsed",)
    found = judged(duration(way(within("45 min", "62 min"))))
    assert found.margin == Margin("2", "min", minutes(60), "TC1", "60", "45 to 62 min")
    found = judged(duration(way(within("51 min", "59 min"))))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.NOT_MET, "too short and too long", "-1")
    assert judged(duration(way(within("45 min", "70 min"), "runs on"))).notes == ()


def test_elapsed_time_without_a_condition():
    found = judged(duration(way(at_least("45 min"), "runs on", runs_while=None)))
    assert found.margin == Margin("15", "min", minutes(60), "", "60", "at least 45 min")
    assert found.used == ()
    assert found.others == (Reading(BY_SAMPLE, "60 min", Outcome.MET, False),)
    assert judged(duration(way(at_least("45 min"), "pauses", runs_while=None))).margin.actual == "60"


def test_in_hours():
    found = judged(duration(way(at_least("1 h"))))
    assert found.margin == Margin("-0.166667", "h", minutes(60), "TC1", "0.833333", "at least 1 h")
    assert found.others[0].actual == "0.5 h"


def test_time_is_rounded_where_the_paper_rounds():
    # rounded to whole hours, at least 55 is anything above 30 before rounding
    form = duration(way(at_least("55 min")))
    spec = specification(form, gap=30, comparison=Comparison("rounding", (quantity("60 min"),)))
    assert verdict(spec, run_of(channel("TC1", LOG))).outcome is Outcome.MET


def test_the_last_to_arrive():
    other = channel("TC2", [(0, 100), (10, 174), (40, 174), (60, 174)])
    form = duration(way(at_least("30 min"), phase=Phase("soak starts", "record ends"), leaves="runs on"))
    found = judged(form, (0, 180), (30, 180), (60, 180), others=(other,))
    assert (found.margin.channel, found.margin.actual, found.used) == ("TC2", "50", ("TC1", "TC2"))


def test_a_condition_on_several_signals_names_the_first():
    air = channel("AIR1", [(0, 200), (30, 200), (60, 200)])
    both = AllOf((HOT, Compare(type(COLDEST)(type(COLDEST.group)("air thermocouple"), "single"), at_least("190 degC"))))
    found = judged(duration(way(at_least("45 min"), runs_while=both)), others=(air,))
    assert (found.margin.actual, found.margin.channel, found.used) == ("50", "TC1", ("TC1",))


def test_a_condition_on_a_state_names_none():
    valve = channel(
        "VALVE1", [(0, "open"), (20, "shut"), (40, "shut"), (60, "shut")], kind="state", states=("open", "shut")
    )
    state = StateIs(type(COLDEST.group)("channel", "source valve"), ("open",))
    found = judged(duration(way(at_least("15 min"), runs_while=state)), others=(valve,))
    assert (found.outcome, found.margin.actual, found.margin.channel, found.used) == (Outcome.MET, "20", "", ())


# ------------------------------------------------------------------------------------------------------------------ alternatives
def test_one_of_several_is_enough():
    for ways, outcome, shown, value in (
        (("55 min", "45 min"), Outcome.MET, 2, "5"),
        (("45 min", "55 min"), Outcome.MET, 1, "5"),
        (("45 min", "40 min"), Outcome.MET, 2, "10"),
        (("70 min", "55 min", "60 min"), Outcome.NOT_MET, 2, "-5"),
        (("45 min", "45 min"), Outcome.MET, 1, "5"),
    ):
        found = judged(duration(*[way(at_least(least)) for least in ways]))
        assert (found.outcome, found.margin.value) == (outcome, value)
        assert found.notes == (f"alternative {shown} of {len(ways)} is the one shown",)


def test_met_comes_before_not_shown_and_that_before_not_met():
    sure = way(at_least("15 min"), phase=Phase("record starts", "soak ends"))
    unsure = way(at_least("21 min"), phase=Phase("record starts", "soak ends"), leaves="runs on")
    short = way(at_least("1 h"), phase=Phase("record starts", "soak ends"))
    for ways, outcome in (
        ((short, unsure, sure), Outcome.MET),
        ((short, unsure), Outcome.NOT_SHOWN),
        ((unsure, short), Outcome.NOT_SHOWN),
        ((short, short), Outcome.NOT_MET),
    ):
        assert judged(duration(*ways), entries=ends(20, 2)).outcome is outcome


# ----------------------------------------------------------------------------------------------------- known only within bounds
def test_the_end_is_known_only_within_bounds():
    # 50 to 54 min elapsed, of which the clock ran for 40 to 44
    phase = Phase("record starts", "soak ends")
    found = judged(duration(way(at_least("42 min"), phase=phase)), entries=ends(52, 2))
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "its start, its end or what lies between is known only within bounds",
        True,
    )
    assert found.margin == Margin("-2", "min", minutes(50), "TC1", "40 to 44", "at least 42 min", "-2", "2", True)
    assert found.phase == Bounds(0, 0, minutes(50), minutes(54), "record starts", "soak ends")
    found = judged(duration(way(at_least("40 min"), phase=phase)), entries=ends(52, 2))
    assert (found.outcome, found.margin.of_known) == (Outcome.MET, False)
    assert (found.margin.low, found.margin.high) == ("0", "4")
    assert judged(duration(way(at_least("44 min"), phase=phase)), entries=ends(52, 2)).outcome is Outcome.NOT_SHOWN
    assert judged(duration(way(at_least("44.1 min"), phase=phase)), entries=ends(52, 2)).outcome is Outcome.NOT_MET
    assert judged(duration(way(at_most("54 min"), phase=phase)), entries=ends(52, 2)).outcome is Outcome.MET
    assert judged(duration(way(at_most("53.9 min"), phase=phase)), entries=ends(52, 2)).outcome is Outcome.NOT_SHOWN
    found = judged(duration(way(at_most("50 min"), phase=phase)), entries=ends(52, 2))
    assert found.margin == Margin("-4", "min", minutes(50), "TC1", "50 to 54", "at most 50 min", "-4", "0", True)
    assert judged(duration(way(at_most("49.9 min"), phase=phase)), entries=ends(52, 2)).outcome is Outcome.NOT_MET


def test_what_lies_between_is_not_known():
    points = [(0, 174), (20, 174), (25, 0), (30, 174), (60, 174)]
    found = judged(duration(way(at_least("55 min"))), *points, bad=(25,))
    assert (found.outcome, found.margin.actual) == (Outcome.NOT_SHOWN, "50 to 60")
    assert found.unknown == (Unknown("TC1", minutes(20), minutes(30), "bad or lost samples"),)
    found = judged(duration(way(at_least("31 min"), "restarts")), *points, bad=(25,))
    assert (found.outcome, found.margin.actual, found.margin.low, found.margin.high) == (
        Outcome.NOT_SHOWN,
        "30 to 60",
        "-1",
        "29",
    )
    found = judged(duration(way(at_least("45 min"))), *points, bad=(25,))
    assert (found.outcome, found.unknown) == (Outcome.MET, ())
    found = judged(duration(way(at_least("45 min"), runs_while=None), ), *points, bad=(25,))  # fmt: skip
    assert found.margin.actual == "60"


def test_unknown_without_a_signal():
    phase = Phase("record starts", "soak ends")
    found = judged(duration(way(at_least("52 min"), runs_while=None, phase=phase)), entries=ends(52, 2))
    assert (found.outcome, found.unknown, found.margin.channel) == (Outcome.NOT_SHOWN, (), "")


def test_a_phase_that_may_be_empty():
    # starts 20 +- 2, ends 21 +- 2: 0 to 5 min
    starts = event("begins", None, by="entry")
    entries = (entry("begins", 20, thing="S1", plus_minus=2), *ends(21, 2))
    phase = Phase("begins", "soak ends")
    found = judged(
        duration(way(at_most("9 min"), "runs on", runs_while=None, phase=phase)), entries=entries, events=(starts, OUT)
    )
    assert found.outcome is Outcome.NOT_SHOWN  # it may not have taken place: nothing is shown, however short
    assert found.margin.actual == "0 to 5"
    found = judged(duration(way(at_least("6 min"), "pauses", phase=phase)), entries=entries, events=(starts, OUT))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "too short")


def test_a_phase_that_never_started():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    for limits in (at_least("45 min"), at_most("45 min")):
        form = duration(way(limits, phase=Phase("never", "record ends")))
        found = judged(form, events=(never,))
        assert (found.outcome, found.reason, found.settled) == (Outcome.NOT_MET, "the phase never started", True)
        assert found.phase == Bounds(None, None, minutes(60), minutes(60), "never", "record ends")
        assert (found.margin.at, found.margin.actual, found.margin.channel) == (None, "0", "")


def test_a_phase_that_never_ends_is_shown_at_the_end_of_the_record():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(duration(way(at_least("45 min"), phase=Phase("record starts", "never"))), events=(never,))
    assert (found.outcome, found.margin.at, found.margin.actual) == (Outcome.MET, minutes(60), "50")


# ---------------------------------------------------------------------------------------------------------------- growing runs
def test_in_a_growing_run():
    found = judged(duration(way(at_least("55 min"))), closed=False)
    assert (found.outcome, found.reason, found.settled) == (Outcome.OPEN, "the phase is not known to its end", False)
    assert found.margin == Margin(
        "-5", "min", minutes(60), "TC1", "50 to ?", "at least 55 min", "-5", "not known", True
    )
    found = judged(duration(way(at_least("50 min"))), closed=False)
    assert (found.outcome, found.reason, found.settled) == (Outcome.MET, "long enough", True)
    assert (found.margin.low, found.margin.high, found.margin.of_known) == ("0", "not known", False)
    found = judged(duration(way(at_most("70 min"))), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)
    assert found.margin == Margin("10", "min", minutes(60), "TC1", "60 to ?", "at most 70 min", "not known", "10", True)
    found = judged(duration(way(at_most("59 min"))), closed=False)
    assert (found.outcome, found.reason, found.settled) == (Outcome.NOT_MET, "too long", True)
    found = judged(duration(way(at_least("55 min"))), covers=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)


def test_settled_in_a_growing_run_where_the_phase_has_ended():
    found = judged(
        duration(way(at_least("42 min"), phase=Phase("record starts", "soak ends"))), entries=ends(52, 2), closed=False
    )
    assert (found.outcome, found.margin.actual, found.settled) == (Outcome.NOT_SHOWN, "40 to 44", True)


def test_before_the_phase_in_a_growing_run():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(
        duration(way(at_least("45 min"), phase=Phase("never", "record ends"))), events=(never,), closed=False
    )
    assert (found.outcome, found.reason) == (Outcome.OPEN, "the phase is not known to its end")
    found = judged(duration(way(at_least("45 min"), phase=Phase("later", "record ends"))),
                   events=(type(never)("later", "part", (), "record ends", minutes(3)),), covers=False)  # fmt: skip
    assert (found.outcome, found.reason, found.margin.actual) == (
        Outcome.NOT_SHOWN,
        "the phase is not known to its end",
        "0 to ?",
    )
    assert found.margin.at is None


# ------------------------------------------------------------------------------------------------------- allowance, set aside
def test_excursions_inside_the_allowance_do_not_stop_the_clock():
    forgiving = Allowance(None, minutes(10), None)
    assert judged(duration(way(at_least("60 min"), allowance=forgiving))).margin.actual == "60"
    both = AllOf((HOT, HOT))
    assert judged(duration(way(at_least("60 min"), allowance=forgiving, runs_while=both))).margin.actual == "50"


def test_what_is_set_aside():
    ruling = Ruling("set aside", "TC2", minutes(0), minutes(60), "engineer C", "loose plug")
    cold = channel("TC2", [(0, 100), (30, 100), (60, 100)])
    found = judged(duration(way(at_least("45 min"))), others=(cold,), rulings=(ruling,))
    assert (found.outcome, found.without_set_aside) == (Outcome.MET, Outcome.NOT_MET)
    assert [one.channel for one in found.set_aside] == ["TC2"]


def test_other_readings_are_left_out_where_nobody_asks():
    from curewright.judge.judge import hall_of, scene_for
    from curewright.judge.kinds.duration import judge_duration
    from curewright.judge.scene import Options, Thing
    from curewright.terms.load import Vessel
    from tests.unit.judge.build import load_of

    form, run = duration(way(at_least("45 min"))), run_of(channel("TC1", LOG))
    hall, spec = hall_of(Vessel("V1", (), (), ()), load_of(run), run), specification(form, gap=30)
    for options, found in ((Options(others=False), 0), (Options(), 3), (Options(held=True), 2)):
        scene = scene_for(hall, hall.load.parts[0], (spec,), options)
        assert len(judge_duration(scene, form, Thing("part", "S1")).others) == found
