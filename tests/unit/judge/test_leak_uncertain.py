"""Leak checks whose instants of closing and opening are known only within bounds, by hand. Vacuum in inHg, W = 5 min."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.terms.requirement import Decision, Group, LeakCheck, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
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
)

INHG = unit_named("inHg of vacuum")
CLOSED = event("source closed", None, by="entry", for_each="bag")


def check(rule="first", loses="2 inHg of vacuum", **more):
    bag = Signal(Group("bag vacuum"), "single")
    head = ("leak check", "bag", INHG, None, None)
    return LeakCheck(*head, bag, "source closed", None, 0, minutes(5), rule, at_most(loses), **more)


def judged(form, points, *, until=20, plus_minus=1, bad=(), barometer=None, decision=None):
    spec = specification(form, events=(CLOSED,), gap=30)
    if decision is not None:
        spec = replace(spec, decision=decision)
    bag = channel("BAG1", points, "inHg of vacuum", bad=bad)
    closed = entry("source closed", 10, until, plus_minus=plus_minus)
    return verdict(spec, run_of(bag, entries=(closed,), barometer=barometer))


def test_the_worst_loss_may_lie_between_the_ends_of_the_uncertainty():
    # closed at 10 +- 1. A dip of 3 inHg at 15 only: the window from 10 to 15 loses 3, those from 9 and from 11 lose nothing.
    dip = [(0, 26), (14, 26), (15, 23), (16, 26), (30, 26)]
    found = judged(check(), dip)
    assert (found.outcome, found.margin.value, found.margin.high) == (Outcome.NOT_SHOWN, "-1", "2")
    assert judged(check(), dip, plus_minus=0).outcome is Outcome.NOT_MET
    assert judged(check(loses="3 inHg of vacuum"), dip).outcome is Outcome.MET


@pytest.mark.parametrize("rule, least, most", [("first", "5", "5"), ("whole", "8", "12"), ("worst", "5", "5")])
def test_bounds_of_a_steady_loss(rule, least, most):
    # 1 inHg a minute; closed from 10 +- 1 to 20 +- 1: the whole interval lasts 8 to 12 min
    steady = [(0, 40), (20, 20), (40, 0)]
    found = judged(check(rule, loses="4 inHg of vacuum"), steady)
    assert found.outcome is Outcome.NOT_MET
    distances = {found.margin.low or found.margin.value, found.margin.high or found.margin.value}
    assert distances == {str(4 - int(least)), str(4 - int(most))}


def test_starting_vacuum():
    # 22 inHg is reached at 10: before that it is less
    rising = [(0, 12), (10, 22), (12, 24), (30, 24)]
    form = check(starting=at_least("22 inHg of vacuum"))
    assert judged(form, rising).outcome is Outcome.NOT_SHOWN
    assert judged(form, rising, plus_minus=0).outcome is Outcome.MET
    assert judged(check(starting=at_least("24 inHg of vacuum")), rising).outcome is Outcome.NOT_MET
    assert "started at 21 inHg" in judged(check(starting=at_least("24 inHg of vacuum")), rising).reason
    level = [(0, 24), (9, 24), (10, 24), (11, 24), (30, 24)]
    assert judged(form, level, bad=(10,)).outcome is Outcome.NOT_SHOWN
    assert judged(form, level).outcome is Outcome.MET


def test_guard_band_on_the_starting_vacuum():
    level = [(0, 22.5), (30, 22.5)]
    guard = Decision("guard", (quantity("1 inHg difference"),), "guard band 1.0 x U")
    form = check(loses="4 inHg of vacuum", starting=at_least("22 inHg of vacuum"))
    assert judged(form, level).outcome is Outcome.MET
    assert judged(form, level, decision=guard).outcome is Outcome.NOT_SHOWN
    assert judged(form, [(0, 23), (30, 23)], decision=guard).outcome is Outcome.MET


def test_pressure_inside_is_judged_over_all_that_may_have_been_isolated():
    # ambient 30 inHg: 26 inHg of vacuum is 4 inHg absolute; at 20.5, half a minute after the stated opening, it is 10
    vacuum = [(0, 26), (20, 26), (20.5, 20), (30, 20)]
    barometer = unit_named("inHg absolute").grains_of(quantity("30 inHg absolute").number)
    form = check(loses="2 inHg of vacuum", pressure_inside=at_most("5 inHg absolute"))
    assert judged(form, vacuum, barometer=barometer).outcome is Outcome.NOT_SHOWN
    assert judged(form, vacuum, barometer=barometer, plus_minus=0).outcome is Outcome.MET
    assert judged(form, vacuum, barometer=barometer, until=25).outcome is Outcome.NOT_MET


def test_the_worst_known_window_breaks_the_limit_whatever_is_unknown_elsewhere():
    falling = [(0, 26), (10, 26), (15, 22), (17, 22), (18, 22), (19, 22), (30, 22)]
    found = judged(check("worst"), falling, plus_minus=0, bad=(18,))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-2")
    assert (
        judged(check("worst", loses="4 inHg of vacuum"), falling, plus_minus=0, bad=(18,)).outcome is Outcome.NOT_SHOWN
    )


def test_an_interval_that_may_be_too_short_is_not_shown():
    level = [(0, 26), (30, 26)]
    found = judged(check(), level, until=16)
    assert found.outcome is Outcome.NOT_SHOWN
    assert "may be, shorter" in found.reason
    assert judged(check(), level, until=17).outcome is Outcome.MET
