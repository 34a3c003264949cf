"""Counts, by hand: a sensor works where it is known and not set aside (semantics § 2.2, 6.3, 7.2)."""

from __future__ import annotations

from dataclasses import replace

from curewright.judge.judge import judge
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import Compare, Comparison, Count, Group, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome, SetAside
from tests.unit.judge.build import (
    HOTTEST,
    at_least,
    at_most,
    channel,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    within,
)

WHOLE = Phase("record starts", "record ends")
PART = Group("part thermocouple")
TIMES = range(5)


def count(limits, *, of="working sensors", phase=WHOLE, group=PART):
    return Count("count", "part", unit_named("count"), None, None, of, group, phase, limits)


def tc(name, *, bad=(), times=TIMES):
    return channel(name, [(t, 100.0 + t) for t in times], bad=bad)


def judged(form, *channels, events=(), rulings=(), **more):
    return verdict(specification(form, events=events), run_of(*channels, **more), rulings)


def test_enough_work_throughout():
    found = judged(count(at_least("2 count")), tc("TC1"), tc("TC2"))
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        "enough throughout the phase",
        "at least 2 count",
        "count",
    )
    assert found.margin == Margin("0", "count", 0, "", "2", "at least 2 count")
    assert found.phase == Bounds(0, 0, minutes(4), minutes(4), "record starts", "record ends")
    assert (found.used, found.set_aside, found.settled) == (("TC1", "TC2"), (), True)


def test_one_is_unknown_between_its_good_neighbours():
    found = judged(count(at_least("2 count")), tc("TC1"), tc("TC2", bad=(2,)))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "too few or too many in the phase")
    assert found.margin == Margin("-1", "count", minutes(1), "", "1", "at least 2 count")
    assert judged(count(at_least("1 count")), tc("TC1"), tc("TC2", bad=(2,))).margin.value == "0"


def test_both_unknown_at_one_instant_only():
    # TC1 is unknown from 0 to 2 min, TC2 from 2 to 4: at 2 min sharp both are known
    found = judged(count(at_most("1 count")), tc("TC1", bad=(1,)), tc("TC2", bad=(3,)))
    assert (found.outcome, found.margin.value, found.margin.at, found.margin.actual) == (Outcome.NOT_MET, "-1", 0, "2")
    found = judged(count(within("1 count", "2 count")), tc("TC1", bad=(1,)), tc("TC2", bad=(3,)))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "0", 0)


def test_too_many():
    found = judged(count(at_most("1 count")), tc("TC1", bad=(0, 1)), tc("TC2"))
    # TC1 works from 2 min on
    assert found.outcome is Outcome.NOT_MET
    assert found.margin == Margin("-1", "count", minutes(2), "", "2", "at most 1 count")


def test_margin_of_the_fewest_and_of_the_most():
    one, two, three = tc("TC1", bad=(0, 1)), tc("TC2"), tc("TC3")
    found = judged(count(within("2 count", "9 count")), one, two, three)
    assert (found.margin.value, found.margin.at, found.margin.actual) == ("0", 0, "2")
    found = judged(count(within("0 count", "4 count")), one, two, three)
    assert (found.margin.value, found.margin.at, found.margin.actual) == ("1", minutes(2), "3")


def test_set_aside_does_not_work():
    ruling = Ruling("set aside", "TC2", minutes(1), minutes(3), "engineer C", "loose plug")
    found = judged(count(at_least("2 count")), tc("TC1"), tc("TC2"), rulings=(ruling,))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1", minutes(1))
    assert found.set_aside == (SetAside("TC2", minutes(1), minutes(3), "engineer C", "loose plug"),)


def test_the_rule_for_lost_thermocouples_does_not_excuse_a_count():
    found = judged(count(at_least("2 count")), tc("TC1", times=range(11)), tc("TC2", times=range(5)))
    assert (found.outcome, found.margin.at) == (Outcome.NOT_MET, minutes(4))


HEATED = event("heated", Compare(HOTTEST, at_least("1000 degC")))


def test_a_phase_that_never_started():
    form = count(at_least("1 count"), phase=Phase("heated", "record ends"))
    found = judged(form, tc("TC1"), events=(HEATED,))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_MET,
        "the phase never started",
        None,
        True,
    )
    assert found.phase == Bounds(None, None, minutes(4), minutes(4), "heated", "record ends")
    assert (found.used, found.limit) == (("TC1",), "at least 1 count")


def test_a_phase_that_ended_before_it_could_start_in_a_record_that_does_not_reach():
    from tests.unit.judge.build import entry

    ends = event("ends", None, by="entry")
    form = count(at_least("1 count"), phase=Phase("heated", "ends"))
    more = {"events": (HEATED, ends), "entries": (entry("ends", 1, thing="S1"),)}
    found = judged(form, tc("TC1"), closed=False, **more)
    # heating may yet come, but only after the end: never, however the run goes on
    assert (found.reason, found.phase.latest_end) == ("the phase never started", minutes(1))
    assert found.outcome is Outcome.OPEN
    assert judged(form, tc("TC1"), covers=False, **more).outcome is Outcome.NOT_SHOWN
    assert judged(form, tc("TC1"), **more).outcome is Outcome.NOT_MET


def bounded():
    """The phase began between 1 and 3 min."""
    starts = event("starts", Compare(HOTTEST, at_least("1000 degC")))
    hot = channel("TC9", [(0, 20), (1, 20), (2, 0), (3, 1000), (4, 1000), (5, 1000)], bad=(2,))
    return starts, hot


def test_too_few_only_where_the_phase_may_not_have_begun():
    starts, hot = bounded()
    form = count(at_least("1 count"), phase=Phase("starts", "record ends"))
    found = judged(form, hot, events=(starts,))
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "too few or too many where it is not known whether the phase had begun or ended",
        True,
    )
    assert found.phase == Bounds(minutes(1), minutes(3), minutes(5), minutes(5), "starts", "record ends")
    assert found.margin == Margin("-1", "count", minutes(1), "", "0", "at least 1 count")


def test_too_few_in_the_sure_part_is_shown_there():
    starts, hot = bounded()
    form = count(at_least("2 count"), phase=Phase("starts", "record ends"))
    found = judged(form, hot, events=(starts,))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1", minutes(3))


def test_a_phase_that_may_not_have_taken_place():
    starts = event("starts", Compare(HOTTEST, at_least("1000 degC")))
    unclear = tc("TC1", bad=(2,))
    form = count(at_most("5 count"), phase=Phase("starts", "record ends"))
    found = judged(form, unclear, events=(starts,))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the phase is not known to its end")
    assert found.margin == Margin("4", "count", minutes(1), "", "1", "at most 5 count")


def test_in_a_growing_run():
    found = judged(count(at_least("2 count")), tc("TC1"), tc("TC2"), closed=False)
    assert (found.outcome, found.reason, found.settled) == (Outcome.OPEN, "the phase is not known to its end", False)
    assert found.margin.value == "0"
    found = judged(count(at_least("3 count")), tc("TC1"), tc("TC2"), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)
    found = judged(count(at_least("2 count")), tc("TC1"), tc("TC2"), covers=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)


def test_sensors_on_the_map():
    for phase in (None, WHOLE):
        form = count(at_least("2 count"), of="sensors on the map", phase=phase)
        found = judged(form, tc("TC1"), tc("TC2"), tc("AIR1"))
        assert (found.outcome, found.reason, found.phase) == (Outcome.MET, "counted from the sensor map", None)
        assert found.margin == Margin("0", "count", None, "", "2", "at least 2 count")
    found = judged(count(at_least("4 count"), of="sensors on the map"), tc("TC1"), tc("TC2"))
    assert (found.outcome, found.margin.value, found.margin.actual, found.limit) == (
        Outcome.NOT_MET,
        "-2",
        "2",
        "at least 4 count",
    )
    assert judged(count(at_least("1 count"), phase=None), tc("TC1", bad=TIMES)).outcome is Outcome.MET


def test_vacuum_ports():
    form = count(at_least("2 count"), of="vacuum ports", phase=None)
    found = judged(form, tc("TC1"))  # bag B1 has ports 1 and 2
    assert (found.outcome, found.reason, found.margin.actual) == (Outcome.MET, "counted from the sensor map", "2")
    run = run_of(tc("TC1"))
    load = replace(load_of(run), bags=())
    (found,) = judge((specification(form),), Vessel("V1", (), (), ()), load, run).verdicts
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.NOT_MET, "-2", "0")


def test_a_count_is_not_rounded():
    # rounded to tens, at least 4 would be at least 5 before rounding
    form = count(at_least("4 count"))
    spec = specification(form, comparison=Comparison("rounding", (quantity("10 count"),)))
    assert verdict(spec, run_of(tc("TC1"), tc("TC2"), tc("TC3"), tc("TC4"))).outcome is Outcome.MET


def test_notes_of_the_phase():
    from tests.unit.judge.build import entry

    begins = event("begins", None, by="entry")
    form = count(at_least("1 count"), phase=Phase("begins", "record ends"))
    found = judged(form, tc("TC1"), events=(begins,), entries=(entry("begins", 1, thing="S1"),))
    assert (found.outcome, found.notes) == (Outcome.MET, ("'begins' by hand entry of inspector B",))


def test_settled_in_a_growing_run_where_the_phase_has_ended():
    from tests.unit.judge.build import entry

    starts, hot = bounded()
    ends = event("ends", None, by="entry")
    form = count(at_least("1 count"), phase=Phase("starts", "ends"))
    found = judged(form, hot, events=(starts, ends), entries=(entry("ends", 4, thing="S1"),), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)


def test_a_phase_that_begins_after_the_end_of_an_open_record():
    later = type(HEATED)("later", "part", (), "record ends", minutes(3))
    found = judged(
        count(at_least("1 count"), phase=Phase("later", "record ends")), tc("TC1"), events=(later,), covers=False
    )
    assert (found.outcome, found.reason, found.margin) == (Outcome.NOT_SHOWN, "the phase is not known to its end", None)
