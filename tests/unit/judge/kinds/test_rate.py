"""Rates, by hand (semantics § 5.4): straight lines have the same slope by every definition, so the expected rates are exact."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from curewright.judge.judge import hall_of, scene_for
from curewright.judge.kinds.rate import judge_rate, rates_in
from curewright.judge.scene import Options, Thing
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import Compare, Comparison, Decision, Group, Phase, Rate, RateDefinition, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome, Reading, Unknown
from tests.unit.judge.build import (
    COLDEST,
    EACH,
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
    verdicts,
    within,
)

WHOLE = Phase("record starts", "record ends")
LEAST_SQUARES = RateDefinition("least squares", minutes(10), 3)
END_POINTS = RateDefinition("end points", minutes(10), 2)
SAMPLES = RateDefinition("sample to sample")
WHOLE_PHASE = RateDefinition("whole phase")
ALL_MET = "all rates within the limits"
BROKEN = "a rate outside the limits"


def levels(first, second):
    return RateDefinition("between levels", None, None, quantity(first), quantity(second))


def rate(
    limits,
    definition=LEAST_SQUARES,
    *,
    signal=COLDEST,
    phase=WHOLE,
    sense="rising",
    while_=None,
    unit="degC/min",
    for_each="part",
):
    return Rate("rate", for_each, unit_named(unit), None, None, signal, phase, definition, sense, limits, while_)


def judged(form, *channels, events=(), gap=2, rulings=(), decision=None, **more):
    changes = {} if decision is None else {"decision": decision}
    return verdict(specification(form, events=events, gap=gap, **changes), run_of(*channels, **more), rulings)


def line(slope, *, until=40, name="TC1", start=100.0, step=1, but=(), bad=(), first=0):
    times = [t for t in range(first, until + 1, step) if t not in but]
    return channel(name, [(t, start + slope * t) for t in times], bad=bad)


def bent(*corners, name="TC1", **more):
    """Samples every minute on straight lines between corners (minutes, degC)."""
    points = []
    for (t0, v0), (t1, v1) in pairwise(corners):
        points += [(t, v0 + (v1 - v0) * (t - t0) / (t1 - t0)) for t in range(t0, t1)]
    return channel(name, [*points, corners[-1]], **more)


# ------------------------------------------------------------------------------------------------------------- all that is told
def test_met():
    found = judged(rate(within("1 degC/min", "4 degC/min")), line(2))
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        ALL_MET,
        "1 to 4 degC/min",
        "rate",
    )
    # every window is 2 K/min: 1 from the low limit; the first one ends at 10 min
    assert found.margin == Margin("1", "degC/min", minutes(10), "TC1", "2", "1 to 4 degC/min")
    assert found.phase == Bounds(0, 0, minutes(40), minutes(40), "record starts", "record ends")
    assert (found.unknown, found.notes, found.used, found.settled) == ((), (), ("TC1",), True)
    assert found.others == (
        Reading("end points over 10 min", "2.00 to 2.00 degC/min", Outcome.MET, False),
        Reading("sample to sample", "2.00 to 2.00 degC/min", Outcome.MET, False),
        Reading("whole phase", "2.00 to 2.00 degC/min", Outcome.MET, False),
    )


def test_not_met():
    found = judged(rate(at_most("1.5 degC/min")), line(2))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, BROKEN)
    assert found.margin == Margin("-0.5", "degC/min", minutes(10), "TC1", "2", "at most 1.5 degC/min")
    found = judged(rate(at_least("2.5 degC/min")), line(2))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-0.5")
    assert judged(rate(at_most("2 degC/min")), line(2)).outcome is Outcome.MET
    assert judged(rate(at_least("2 degC/min")), line(2)).outcome is Outcome.MET


def test_end_points_by_hand():
    # 1 K/min to 20 min, 3 K/min after: end points over 10 min are 1 up to 20, then grow by 0.2 a minute to 3 at 30
    log = bent((0, 100), (20, 120), (40, 180))
    found = judged(rate(at_most("2.9 degC/min"), END_POINTS), log)
    assert (found.outcome, found.margin.value, found.margin.actual, found.margin.at) == (
        Outcome.NOT_MET,
        "-0.1",
        "3",
        minutes(30),
    )
    found = judged(rate(at_least("1 degC/min"), END_POINTS), log)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "0", minutes(10))
    assert [one.definition for one in found.others] == ["least squares over 10 min", "sample to sample", "whole phase"]
    assert found.others[2].actual == "2.00 to 2.00 degC/min"  # 80 in 40 min


def test_sample_to_sample_by_hand():
    log = channel("TC1", [(0, 100), (1, 101), (2, 104), (3, 105)])
    found = judged(rate(at_most("2 degC/min"), SAMPLES), log)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1", minutes(2))
    assert [one.definition for one in found.others] == [
        "least squares over 10 min",
        "end points over 10 min",
        "whole phase",
    ]
    assert [(one.actual, one.outcome, one.flips) for one in found.others] == [
        ("no full window", Outcome.NOT_SHOWN, True),
        ("no full window", Outcome.NOT_SHOWN, True),
        ("1.67 to 1.67 degC/min", Outcome.MET, True),  # 5 in 3 min
    ]


def test_whole_phase_by_hand():
    found = judged(rate(at_most("3 degC/min"), WHOLE_PHASE), bent((0, 100), (20, 120), (40, 180)))
    assert found.margin == Margin("1", "degC/min", minutes(40), "TC1", "2", "at most 3 degC/min")
    assert [one.definition for one in found.others] == [
        "least squares over 10 min",
        "end points over 10 min",
        "sample to sample",
    ]
    assert found.others[2].actual == "1.00 to 3.00 degC/min"


def test_the_window_of_the_definition_is_taken_for_the_others():
    found = judged(rate(at_most("9 degC/min"), RateDefinition("end points", minutes("2.5"), 2)), line(2))
    assert found.others[0].definition == "least squares over 2.5 min"


def test_least_samples():
    sparse = line(2, step=5)
    for samples, outcome in ((3, Outcome.MET), (4, Outcome.NOT_SHOWN)):
        found = judged(
            rate(at_most("3 degC/min"), RateDefinition("least squares", minutes(10), samples)), sparse, gap=5
        )
        assert found.outcome is outcome
    assert (found.reason, found.margin) == ("no full window in the phase", None)
    assert found.others[0] == Reading("end points over 10 min", "no full window", Outcome.NOT_SHOWN, False)


# ---------------------------------------------------------------------------------------------------------------------- falling
def test_falling_is_the_negative():
    found = judged(rate(at_most("3 degC/min"), sense="falling"), line(-2, start=200.0))
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.MET, "1", "2")
    found = judged(rate(at_most("3 degC/min"), sense="falling"), line(2))
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.MET, "5", "-2")
    assert found.others[1].actual == "-2.00 to -2.00 degC/min"
    assert found.others[2].actual == "-2.00 to -2.00 degC/min"


def test_falling_has_its_least_and_most_the_other_way_round():
    log = bent((0, 200), (20, 180), (40, 120))  # falls by 1, then by 3 K/min
    found = judged(rate(within("0.5 degC/min", "3.1 degC/min"), END_POINTS, sense="falling"), log)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "0.1", minutes(30))
    found = judged(rate(within("0.95 degC/min", "3.1 degC/min"), END_POINTS, sense="falling"), log)
    assert (found.margin.value, found.margin.at, found.margin.actual) == ("0.05", minutes(10), "1")
    assert found.others[1].actual == "1.00 to 3.00 degC/min"
    assert judged(rate(at_most("2.9 degC/min"), END_POINTS, sense="falling"), log).outcome is Outcome.NOT_MET
    assert judged(rate(at_least("1.1 degC/min"), END_POINTS, sense="falling"), log).outcome is Outcome.NOT_MET


def test_a_pressure_rate():
    pressure = channel("P1", [(t, 5.0 * t) for t in range(21)], "psi gauge")
    form = rate(
        at_most("6 psi/min"),
        SAMPLES,
        signal=Signal(Group("vessel pressure"), "single"),
        unit="psi/min",
        for_each="vessel",
    )
    found = judged(form, pressure)
    assert (found.outcome, found.margin.value, found.margin.actual, found.margin.unit) == (
        Outcome.MET,
        "1",
        "5",
        "psi/min",
    )


# --------------------------------------------------------------------------------------------------------------- between levels
def test_between_levels():
    log = bent((0, 50), (5, 60), (35, 120), (40, 125))
    found = judged(rate(within("1 degC/min", "4 degC/min"), levels("60 degC", "120 degC")), log)
    assert (found.outcome, found.reason) == (Outcome.MET, ALL_MET)
    assert found.margin == Margin("1", "degC/min", minutes(35), "TC1", "2", "1 to 4 degC/min")
    assert len(found.others) == 4
    assert found.others[0].definition == "least squares over 10 min"
    found = judged(rate(at_most("1.9 degC/min"), levels("60 degC", "120 degC")), log)
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-0.1")


def test_between_falling_levels():
    log = bent((0, 130), (5, 120), (35, 60), (40, 50))
    found = judged(rate(at_most("4 degC/min"), levels("120 degC", "60 degC"), sense="falling"), log)
    assert (found.outcome, found.margin.actual, found.margin.at) == (Outcome.MET, "2", minutes(35))


def test_the_second_level_after_the_first():
    # 60 is passed at 5 min; 50 is reached (again) at 25 only
    log = bent((0, 40), (5, 60), (25, 50), (40, 45))
    found = judged(rate(at_most("4 degC/min"), levels("60 degC", "50 degC"), sense="falling"), log)
    assert found.outcome is Outcome.NOT_SHOWN  # at or below 60 already at 0: the first of it is 0, and 50 as well
    assert found.reason == "the levels are not known to be apart"


def test_levels_that_are_not_reached():
    for first, second in (("60 degC", "200 degC"), ("150 degC", "200 degC")):
        found = judged(rate(at_most("4 degC/min"), levels(first, second)), bent((0, 50), (40, 125)))
        assert (found.outcome, found.reason, found.margin, found.settled) == (
            Outcome.NOT_SHOWN,
            "the two levels are not reached in the phase",
            None,
            True,
        )


def test_levels_reached_after_the_phase():
    ends = event("ends", None, by="entry")
    log, phase = bent((0, 50), (5, 60), (35, 120), (40, 125)), Phase("record starts", "ends")
    for at, outcome in ((34, Outcome.NOT_SHOWN), (35, Outcome.MET), (36, Outcome.MET)):
        form = rate(at_most("4 degC/min"), levels("60 degC", "120 degC"), phase=phase)
        found = judged(form, log, events=(ends,), entries=(entry("ends", at, thing="S1"),))
        assert found.outcome is outcome
    form = rate(at_most("4 degC/min"), levels("60 degC", "120 degC"), phase=phase)
    found = judged(form, log, events=(ends,), entries=(entry("ends", 36, thing="S1", plus_minus=2),))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "its instants are known only within bounds")


def test_levels_reached_at_an_uncertain_instant():
    # 120 reached between 34 and 36 min: 60 K in 29 to 31 min
    log = bent((0, 50), (5, 60), (35, 120), (40, 125), bad=(35,))
    found = judged(rate(at_most("4 degC/min"), levels("60 degC", "120 degC")), log)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "its instants are known only within bounds")
    assert (found.margin.value, found.margin.at, found.margin.of_known) == ("1.931", minutes(34), True)  # 4 - 60/29
    assert found.unknown == (Unknown("TC1", minutes(34), minutes(36), "bad or lost samples"),)
    found = judged(rate(at_least("1.9 degC/min"), levels("60 degC", "120 degC")), log)
    assert (found.margin.value, found.margin.at) == ("0.035", minutes(36))  # 60/31 - 1.9
    found = judged(rate(at_most("1 degC/min"), levels("60 degC", "120 degC")), log)
    assert found.outcome is Outcome.NOT_SHOWN
    log = bent((0, 50), (5, 60), (35, 120), (40, 125), bad=(39, 40))
    found = judged(rate(at_most("4 degC/min"), levels("60 degC", "124.9 degC")), log)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the two levels are not known to be reached")


# --------------------------------------------------------------------------------------------------------------- whole phase
def test_a_phase_whose_ends_are_not_known():
    starts = event("starts", None, by="entry")
    form = rate(at_most("4 degC/min"), WHOLE_PHASE, phase=Phase("starts", "record ends"))
    for plus_minus, outcome in ((0, Outcome.MET), (1, Outcome.NOT_SHOWN)):
        found = judged(
            form, line(2), events=(starts,), entries=(entry("starts", 10, thing="S1", plus_minus=plus_minus),)
        )
        assert found.outcome is outcome
    assert found.reason == "the ends of the phase are not known exactly"
    form = rate(at_most("4 degC/min"), WHOLE_PHASE, phase=Phase("record starts", "starts"))
    found = judged(form, line(2), events=(starts,), entries=(entry("starts", 10, thing="S1", plus_minus=1),))
    assert found.reason == "the ends of the phase are not known exactly"
    found = judged(form, line(2), events=(starts,), entries=(entry("starts", 0, thing="S1"),))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "the values at the ends of the phase are not known",
    )
    for bad in ((0,), (40,)):
        found = judged(rate(at_most("4 degC/min"), WHOLE_PHASE), line(2, bad=bad))
        assert found.reason == "the values at the ends of the phase are not known"


def test_a_whole_phase_without_an_end():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(
        rate(at_most("4 degC/min"), WHOLE_PHASE, phase=Phase("record starts", "never")), line(2), events=(never,)
    )
    assert (found.outcome, found.margin.actual, found.margin.at) == (Outcome.MET, "2", minutes(40))


# ----------------------------------------------------------------------------------------------------------- where windows lie
def test_while():
    log = bent((0, 50), (10, 50), (60, 150))
    narrow = Compare(EACH, within("60 degC", "120 degC"))
    form = rate(within("1 degC/min", "3 degC/min"), while_=narrow, signal=EACH, for_each="part thermocouple")
    found = judged(form, log)
    # 60 at 15 min, 120 at 45: the first window that counts ends at 25
    assert (found.outcome, found.margin.value, found.margin.at, found.margin.channel) == (
        Outcome.MET,
        "1",
        minutes(25),
        "TC1",
    )
    found = judged(replace(form, while_=Compare(EACH, within("60 degC", "75 degC"))), log)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "no full window in the phase")


def test_the_phase_bounds_the_windows():
    log = bent((0, 100), (20, 120), (40, 180))
    starts, ends = event("starts", None, by="entry"), event("ends", None, by="entry")

    def over(start, end, plus_minus=0):
        entries = (entry("starts", start, thing="S1", plus_minus=plus_minus), entry("ends", end, thing="S1"))
        form = rate(at_most("2 degC/min"), END_POINTS, phase=Phase("starts", "ends"))
        return judged(form, log, events=(starts, ends), entries=entries)

    found = over(5, 20)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "1", minutes(15))
    assert len(found.notes) == 2
    assert over(5, 25).outcome is Outcome.MET  # [15, 25]: 2 K/min
    assert over(5, 26).outcome is Outcome.NOT_MET
    found = over(5, 14)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "no full window in the phase")
    # the phase begins between 14 and 18: the window [14, 24] is 1.8, [17, 27] 2.4; [18, 28] 2.6 would be sure
    found = over(16, 27, 2)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "no full window in the phase")
    assert (found.margin.value, found.margin.of_known) == ("-0.4", True)
    assert over(16, 28, 2).outcome is Outcome.NOT_MET


def test_broken_only_where_the_phase_may_not_have_begun():
    # 3 K/min to 20 min, then 1: windows that end by 24 min are too fast; the phase began between 12 and 16
    log = bent((0, 100), (20, 160), (60, 200))
    starts = event("starts", None, by="entry")
    form = rate(at_most("1.9 degC/min"), END_POINTS, phase=Phase("starts", "record ends"))
    found = judged(form, log, events=(starts,), entries=(entry("starts", 14, thing="S1", plus_minus=2),))
    # sure from 16: [16, 26] is 1.8; possible from 12: [12, 22] is 2.6
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "a rate outside the limits where it is not known whether the phase had begun or ended",
        True,
    )
    assert found.margin == Margin("-0.7", "degC/min", minutes(22), "TC1", "2.6", "at most 1.9 degC/min", of_known=True)
    form = rate(at_most("1.7 degC/min"), END_POINTS, phase=Phase("starts", "record ends"))
    found = judged(form, log, events=(starts,), entries=(entry("starts", 14, thing="S1", plus_minus=2),))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-0.1", minutes(26))


def test_absent_rows_only_cost_windows():
    found = judged(rate(within("1 degC/min", "3 degC/min")), line(2, until=36, but=range(21, 26)))
    assert (found.outcome, found.reason) == (Outcome.MET, ALL_MET)


def test_a_gap_whose_own_rate_breaks_the_limit():
    # 100 to 120 at 2 K/min, 30 K in the 6 min of the gap: 5 K/min
    log = channel("TC1", [(t, 100.0 + 2 * t) for t in range(11)] + [(t, 118.0 + 2 * t) for t in range(16, 41)])
    found = judged(rate(at_most("3 degC/min"), RateDefinition("end points", minutes(5), 2)), log)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the end-to-end rate over a gap is outside the limits",
        True,
    )
    assert found.unknown == (Unknown("TC1", minutes(10), minutes(16), "gap in the record"),)
    assert found.margin.value == "1"
    assert judged(rate(at_most("5 degC/min"), RateDefinition("end points", minutes(5), 2)), log).outcome is Outcome.MET
    falling = channel("TC1", [(t, 200.0 - 2 * t) for t in range(11)] + [(t, 182.0 - 2 * t) for t in range(16, 41)])
    form = rate(at_most("3 degC/min"), RateDefinition("end points", minutes(5), 2), sense="falling")
    assert judged(form, falling).reason == "the end-to-end rate over a gap is outside the limits"
    form = rate(at_least("-3 degC/min"), RateDefinition("end points", minutes(5), 2))
    assert judged(form, falling).reason == "the end-to-end rate over a gap is outside the limits"


def test_bad_samples_where_a_window_would_lie():
    found = judged(rate(at_most("3 degC/min")), line(2, bad=(20,)))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "bad or lost samples where a window would lie")
    assert found.unknown == (Unknown("TC1", minutes(19), minutes(21), "bad or lost samples"),)
    assert (found.margin.value, found.margin.of_known) == ("1", True)
    found = judged(rate(at_most("1.9 degC/min")), line(2, bad=(20,)))
    assert (found.outcome, found.unknown) == (Outcome.NOT_MET, ())
    found = judged(rate(at_most("3 degC/min")), line(2, until=15, bad=(8,)))
    assert (found.outcome, found.reason, found.margin) == (
        Outcome.NOT_SHOWN,
        "bad or lost samples where a window would lie",
        None,
    )


def test_bad_samples_where_no_window_would_lie():
    narrow = Compare(COLDEST, at_least("120 degC"))
    # 120 at 10 min: what is bad before it, outside the while range, costs nothing
    assert judged(rate(at_most("3 degC/min"), while_=narrow), line(2, bad=(5,))).outcome is Outcome.MET
    found = judged(rate(at_most("3 degC/min"), while_=narrow), line(2, bad=(20,)))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "bad or lost samples where a window would lie")


def test_no_window_across_a_change_of_membership():
    ruling = Ruling("set aside", "TC2", minutes(20), minutes(41), "engineer C", "loose plug")
    one, two = line(2), line(2, name="TC2", start=90.0)
    # the coldest jumps from 130 to 140 at 20 min: no window sees the jump
    found = judged(rate(within("1.9 degC/min", "2.1 degC/min"), END_POINTS), one, two, rulings=(ruling,))
    assert (found.outcome, found.margin.value, found.margin.channel) == (Outcome.MET, "0.1", "S1")  # of all together
    assert [entry_.channel for entry_ in found.set_aside] == ["TC2"]


# ------------------------------------------------------------------------------------------------------- phases, growing runs
def test_a_phase_that_never_started():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    for definition in (LEAST_SQUARES, WHOLE_PHASE, levels("110 degC", "120 degC")):
        found = judged(
            rate(at_most("3 degC/min"), definition, phase=Phase("never", "record ends")), line(2), events=(never,)
        )
        assert (found.outcome, found.reason, found.margin, found.settled, found.unknown) == (
            Outcome.NOT_SHOWN,
            "the phase never started: nothing to judge",
            None,
            True,
            (),
        )


def test_in_a_growing_run():
    found = judged(rate(at_most("3 degC/min")), line(2), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "the phase reaches beyond the record",
        False,
    )
    assert (found.margin.value, found.margin.of_known) == ("1", True)
    found = judged(rate(at_most("1.9 degC/min")), line(2), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)
    found = judged(rate(at_most("3 degC/min")), line(2), covers=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)
    later = event("later", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(
        rate(at_most("3 degC/min"), phase=Phase("later", "record ends")), line(2), events=(later,), closed=False
    )
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)


# ----------------------------------------------------------------------------------------------------- guard bands, rounding
def test_guard_band():
    for width, outcome in (("1 degC/min", Outcome.MET), ("1.1 degC/min", Outcome.NOT_SHOWN)):
        found = judged(rate(at_most("3 degC/min")), line(2), decision=Decision("guard", (quantity(width),), ""))
        assert found.outcome is outcome
    assert (found.reason, found.margin.value) == ("inside the guard band of the decision rule", "1")


def test_rounded():
    spec = specification(rate(at_most("2 degC/min")), comparison=Comparison("rounding", (quantity("1 degC/min"),)))
    assert verdict(spec, run_of(line(2.4))).outcome is Outcome.MET
    assert verdict(spec, run_of(line(2.6))).outcome is Outcome.NOT_MET


# -------------------------------------------------------------------------------------------------------------------- the rest
def test_each_thermocouple():
    form = rate(at_most("3 degC/min"), signal=EACH, for_each="part thermocouple")
    found = verdicts(specification(form), run_of(line(2), line(4, name="TC2")))
    assert [(one.thing, one.outcome, one.margin.channel) for one in found] == [
        ("TC1", Outcome.MET, "TC1"),
        ("TC2", Outcome.NOT_MET, "TC2"),
    ]


@pytest.mark.parametrize("others", [True, False])
def test_other_readings_are_left_out_where_nobody_asks(others):
    form, run = rate(at_most("3 degC/min")), run_of(line(2))
    hall = hall_of(Vessel("V1", (), (), ()), load_of(run), run)
    scene = scene_for(hall, hall.load.parts[0], (specification(form),), Options(others=others))
    thing = Thing("part", "S1")
    assert len(judge_rate(scene, form, thing).others) == (3 if others else 0)
    ((trace, noted, where),) = [found for key, found in scene.kept.items() if key[0] == "windows"]
    assert (noted, trace.name, where.stretch.sure) == (form, "TC1", (0, minutes(40)))
    assert [key for key in scene.kept if key[0] == "windows"] == [("windows", scene.hall.token(form), "part", "S1")]


def test_at_most_twenty_unknown_stretches_are_listed():
    log = line(2, until=120, bad=range(10, 120, 4))
    assert len(judged(rate(at_most("3 degC/min"), SAMPLES), log).unknown) == 20


def test_the_rate_at_each_sample():
    # 1 K/min to 20 min, 3 K/min after; rates in mK/min
    run = run_of(bent((0, 100), (20, 120), (40, 180)))
    hall = hall_of(Vessel("V1", (), (), ()), load_of(run), run)
    (member,) = hall.members_of("judging", "S1")
    trace = hall.trace(member, minutes(2), raw=False, held=False)

    def known(definition, start, end):
        first, rates = rates_in(trace, definition, minutes(start), minutes(end))
        return {first + i: round(float(rate), 6) for i, rate in enumerate(rates) if rate == rate}

    found = known(END_POINTS, 0, 40)
    assert sorted(found) == list(range(10, 41))
    assert (found[20], found[25], found[30], found[40]) == (1000, 2000, 3000, 3000)
    found = known(LEAST_SQUARES, 5, 25)
    assert sorted(found) == list(range(15, 26))
    # least squares over 20 to 30 would be 3; half and half (15 to 25) it is 2 by symmetry
    assert (found[15], found[20], found[25]) == (1000, 1000, 2000)
    found = known(SAMPLES, 18, 23)
    assert found == {19: 1000, 20: 1000, 21: 3000, 22: 3000, 23: 3000}
    assert known(RateDefinition("least squares", minutes(10), 12), 0, 40) == {}  # eleven samples in a window
    assert known(RateDefinition("end points", minutes(10), 12), 0, 40) == {}
    assert known(RateDefinition("end points", minutes(10)), 0, 10) == {10: 1000}
