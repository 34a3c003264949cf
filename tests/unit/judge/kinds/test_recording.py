"""Recording intervals, by hand: the longest time without a good sample of each sensor (semantics § 2.2, 6.3)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from curewright.terms.requirement import Compare, Comparison, Group, Phase, Recording
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome
from tests.unit.judge.build import (
    HOTTEST,
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
    verdicts,
)

WHOLE = Phase("record starts", "record ends")
PART = Group("part thermocouple")
STARTS, ENDS = event("starts", None, by="entry"), event("ends", None, by="entry")
INSIDE = Phase("starts", "ends")


def recording(limit, *, phase=WHOLE, for_each="part", unit="min"):
    return Recording("recording", for_each, unit_named(unit), None, None, PART, phase, at_most(limit))


def tc(*times, name="TC1", bad=()):
    return channel(name, [(t, 100.0) for t in times], bad=bad)


def judged(form, *channels, events=(), **more):
    return verdict(specification(form, events=events), run_of(*channels, **more))


def between(start, end, limit, *channels, unit="min", **more):
    entries = (entry("starts", start, thing="S1"), entry("ends", end, thing="S1"))
    return judged(recording(limit, phase=INSIDE, unit=unit), *channels, events=(STARTS, ENDS), entries=entries, **more)


def test_often_enough():
    found = judged(recording("3 min"), tc(0, 1, 2, 5, 6))
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        "recorded often enough throughout the phase",
        "at most 3 min",
        "recording",
    )
    assert found.margin == Margin("0", "min", minutes(2), "TC1", "3", "at most 3 min")
    assert found.phase == Bounds(0, 0, minutes(6), minutes(6), "record starts", "record ends")
    assert (found.used, found.settled, found.notes) == (("TC1",), True, ())


def test_too_far_apart():
    found = judged(recording("120 s", unit="s"), tc(0, 1, 2, 5, 6))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "samples too far apart in the phase")
    assert found.margin == Margin("-60", "s", minutes(2), "TC1", "180", "at most 120 s")


def test_the_first_of_equal_ones():
    assert judged(recording("3 min"), tc(0, 2, 3, 5)).margin.at == 0


def test_a_bad_sample_is_none():
    found = judged(recording("1 min"), tc(0, 1, 2, 3, bad=(2,)))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1", minutes(1))


def test_every_sensor_of_the_group():
    one, two = tc(0, 1, 2, 3, 4), tc(0, 1, 4, name="TC2")
    found = judged(recording("2 min"), one, two)
    assert found.margin == Margin("-1", "min", minutes(1), "TC2", "3", "at most 2 min")
    assert found.used == ("TC1", "TC2")
    each = verdicts(specification(recording("2 min", for_each="part thermocouple")), run_of(one, two))
    assert [(v.thing, v.outcome, v.used) for v in each] == [
        ("TC1", Outcome.MET, ("TC1",)),
        ("TC2", Outcome.NOT_MET, ("TC2",)),
    ]


def test_the_longest_of_several_and_the_earliest_on_ties():
    found = judged(recording("9 min"), tc(0, 1, 4, 5), tc(0, 3, 5, name="TC2"))
    assert (found.margin.at, found.margin.channel) == (0, "TC2")
    found = judged(recording("9 min"), tc(0, 3, 5), tc(0, 3, 5, name="TC2"))
    assert (found.margin.at, found.margin.channel) == (0, "TC2")


def test_up_to_the_end_of_the_phase():
    found = judged(recording("2 min"), tc(0, 1, 2), end=5)
    assert found.margin == Margin("-1", "min", minutes(2), "TC1", "3", "at most 2 min")


def test_from_the_start_of_the_phase():
    found = judged(recording("2 min"), tc(4, 5, 6))
    assert found.margin == Margin("-2", "min", 0, "TC1", "4", "at most 2 min")


def test_nothing_recorded_at_all():
    found = judged(recording("2 min"), tc(0, 1, 2), tc(0, 1, 2, name="TC2", bad=(0, 1, 2)))
    assert found.margin == Margin("0", "min", 0, "TC2", "2", "at most 2 min")


def test_only_inside_the_phase():
    log = tc(0, 5, 6, 7, 8, 14)
    found = between(5, 8, "1 min", log)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "0", minutes(5))
    assert found.phase == Bounds(minutes(5), minutes(5), minutes(8), minutes(8), "starts", "ends")
    assert len(found.notes) == 2
    # from one second into the gap before, or to one second into the gap after: the whole gap counts
    assert between("4.9", 8, "1 min", log).margin == Margin("-4", "min", 0, "TC1", "5", "at most 1 min")
    assert between(5, "8.1", "1 min", log).margin == Margin("-5", "min", minutes(8), "TC1", "6", "at most 1 min")
    assert between("9", "10", "1 min", log).margin == Margin("-5", "min", minutes(8), "TC1", "6", "at most 1 min")
    assert between("0.5", "0.5", "1 min", log).outcome is Outcome.NOT_MET
    assert between(5, 5, "1 min", log).margin == Margin("1", "min", minutes(5), "TC1", "0", "at most 1 min")


def test_instants_known_only_within_bounds():
    log = tc(0, 5, 6, 7, 8, 14)
    entries = (entry("starts", 6, thing="S1", plus_minus=2), entry("ends", 8, thing="S1"))
    form = recording("1 min", phase=INSIDE)
    found = judged(form, log, events=(STARTS, ENDS), entries=entries)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the phase is known only within bounds",
        True,
    )
    assert (found.margin.value, found.margin.at) == ("-4", 0)
    entries = (entry("starts", 6, thing="S1", plus_minus=1), entry("ends", 9, thing="S1"))
    found = judged(form, log, events=(STARTS, ENDS), entries=entries)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-5", minutes(8))


def test_a_phase_that_never_started():
    heated = event("heated", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(recording("1 min", phase=Phase("heated", "record ends")), tc(0, 1, 2), events=(heated,))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "it is not known whether the phase took place",
        None,
        True,
    )


def test_in_a_growing_run():
    found = judged(recording("1 min"), tc(0, 1, 2), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "the phase is known only within bounds",
        False,
    )
    assert judged(recording("1 min"), tc(0, 1, 3), closed=False).outcome is Outcome.NOT_MET
    assert judged(recording("1 min"), tc(0, 1, 2), covers=False).outcome is Outcome.NOT_SHOWN


def test_samples_that_a_live_run_let_go_were_recorded():
    log = tc(0, 1, 6, 8, 9)
    bridged = replace(log, bridged=np.array([False, True, False, False, False]))
    assert judged(recording("3 min"), log).margin.actual == "5"
    assert judged(recording("3 min"), bridged).margin == Margin("1", "min", minutes(6), "TC1", "2", "at most 3 min")
    late = tc(2, 3, 8, 10, 11)
    bridged = replace(late, bridged=np.array([False, True, False, False, False]))
    assert judged(recording("3 min"), bridged).margin == Margin("1", "min", 0, "TC1", "2", "at most 3 min")
    assert judged(recording("3 min"), bridged, end=14).margin.at == minutes(11)


def test_an_interval_is_rounded_where_the_paper_rounds():
    # rounded to tens of minutes, at most 3 is at most 5 before rounding
    spec = specification(recording("3 min"), comparison=Comparison("rounding", (quantity("10 min"),)))
    assert verdict(spec, run_of(tc(0, 4, 6))).outcome is Outcome.MET


def test_not_met_shows_the_sure_part():
    # 8 min without a sample where the phase may not have begun, 3 where it surely had
    log = tc(0, 8, 9, 12, 13)
    entries = (entry("starts", 5, thing="S1", plus_minus=4), entry("ends", 13, thing="S1"))
    found = judged(recording("2 min", phase=INSIDE), log, events=(STARTS, ENDS), entries=entries)
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1", minutes(9))


def test_settled_in_a_growing_run_where_the_phase_has_ended():
    log = tc(0, 8, 9, 10, 11)
    entries = (entry("starts", 6, thing="S1", plus_minus=3), entry("ends", 10, thing="S1"))
    found = judged(recording("2 min", phase=INSIDE), log, events=(STARTS, ENDS), entries=entries, closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the phase is known only within bounds",
        True,
    )


def test_a_phase_that_may_not_have_taken_place():
    heated = event("heated", Compare(HOTTEST, at_least("1000 degC")))
    found = judged(recording("9 min", phase=Phase("heated", "record ends")), tc(0, 1, 2, 3, bad=(2,)), events=(heated,))
    assert (found.outcome, found.reason, found.margin.actual) == (
        Outcome.NOT_SHOWN,
        "it is not known whether the phase took place",
        "2",
    )


def test_a_sample_at_the_end_of_the_phase_ends_the_interval():
    assert between(5, 6, "9 min", tc(0, 5, 6, 14)).margin.actual == "1"


def test_to_the_nanosecond():
    log = tc(0, 1, 2)
    assert between(1, 1, "5 ms", log, unit="ms").margin.actual == "0"
    bridged = replace(tc(0, 1, 2), bridged=np.array([True, True, False]))
    assert judged(recording("5 ms", unit="ms"), bridged).margin.actual == "0"
