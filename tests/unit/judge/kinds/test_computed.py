"""Computed signals against closed forms: a law of first order that halves what is uncured every 10 min, whatever the temperature.

alpha = 1 - (1 - alpha0) / 2**(t / 10 min), from alpha0 = 0.5: 0.75 after 10 min, 0.875 after 20. The glass transition is a straight
line, 20 + 200 alpha degC; the viscosity is 3 exp(2 alpha) Pa s up to 0.8. The card is invented for these checks.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import exp, log

import pytest

from curewright.judge.judge import judge
from curewright.physics.card import Card, Law, Range, Value
from curewright.terms.load import Vessel
from curewright.terms.requirement import Compare, Computation, Computed, Group, Phase, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Outcome, Unknown
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
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
)


def law(name, **numbers):
    return Law(
        name,
        tuple(Value(key, number, str(number), "", "invented", "our own choice") for key, number in numbers.items()),
    )


def span(low, high, unit):
    return Range(low, high, unit, "invented", "our own choice")


FIRST_ORDER = law("lee 1982", A1=0.0, A2=0.0, A3=log(2) / 600, E1=0.0, E2=0.0, E3=0.0, B=1.0, switch=0.3)
CARD = Card(
    "invented", "B", "none", "none", span(283.15, 473.15, "K"), span(0.0, 1.0, "K/s"), span(0.3, 0.9, ""), FIRST_ORDER,
    law("dibenedetto", Tg0=293.15, Tg1=493.15, ratio=1.0), law("lee 1982", mu0=3.0, U=0.0, K=2.0, end=0.8),
)  # fmt: skip
OLDER = replace(
    CARD,
    revision="A",
    degree_of_cure=replace(FIRST_ORDER, values=law("x", A1=0, A2=0, A3=0, E1=0, E2=0, E3=0, B=1, switch=0.3).values),
)
WHOLE = Phase("record starts", "record ends")
VENT = event("vent", None, by="entry", for_each="bag")
ESTIMATE = "an estimate by card invented revision B, which the controlling specification does not name"


def signal(
    quantity="degree of cure", *, take="coldest", starts="record starts", named=True, revision="B", initial="0.5"
):
    return Signal(PART, take, computed=Computation(quantity, "invented", revision, starts, Decimal(initial), named))


def computed(limits, *, of=None, at=None, unit="fraction", for_each="part", phase=WHOLE):
    return Computed(
        "computed", for_each, unit_named(unit), None, None, of or signal(), at, None if at else phase, limits
    )


def judged(form, *channels, events=(VENT,), entries=(), cards=(OLDER, CARD), gap=5, **more):
    run = run_of(*channels, entries=entries, **more)
    load = load_of(run)
    spec = specification(form, events=events, gap=gap)
    found = judge((spec,), Vessel("V1", (), (), ()), load, run, cards=cards).verdicts
    return found[0] if len(found) == 1 else found


def tc(*, name="TC1", until=20, start=0, step=1, bad=(), value=100.0):
    return channel(name, [(t, value) for t in range(start, until + 1, step)], bad=bad)


def about(text):
    return pytest.approx(float(text), abs=2e-6)


def vent(at_minute, plus_minus=0):
    return (entry("vent", at_minute, plus_minus=plus_minus),)


# ----------------------------------------------------------------------------------------------------------- value at an event
def test_at_an_event():
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(), entries=vent(10))
    assert (found.outcome, found.reason, found.kind, found.limit) == (
        Outcome.MET,
        "within the limits at the event",
        "computed",
        "at least 0.7 fraction",
    )
    assert (float(found.margin.value), float(found.margin.actual)) == (about(0.05), about(0.75))
    assert (found.margin.at, found.margin.channel, found.margin.unit) == (minutes(10), "TC1", "fraction")
    assert found.phase == Bounds(*[minutes(10)] * 4, "vent", "vent")
    found = judged(computed(at_least("0.9 fraction"), at="vent"), tc(), entries=vent(20))
    assert (found.outcome, float(found.margin.actual)) == (Outcome.NOT_MET, about(0.875))


def test_glass_transition_and_viscosity():
    form = computed(at_least("169 degC"), of=signal("glass transition"), at="vent", unit="degC")
    found = judged(form, tc(), entries=vent(10))
    assert (found.outcome, float(found.margin.actual)) == (Outcome.MET, about(170))  # 20 + 200 x 0.75
    form = computed(at_most("12 Pa s"), of=signal("viscosity"), at="vent", unit="Pa s")
    found = judged(form, tc(), entries=vent(0))
    assert (found.outcome, float(found.margin.actual)) == (Outcome.MET, about(3 * exp(1)))
    found = judged(form, tc(), entries=vent(20))  # 0.875 lies beyond the law's range of 0.8
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)
    found = judged(form, tc(), entries=vent(13))  # 1 - 0.5/2**1.3 = 0.797
    assert float(found.margin.actual) == pytest.approx(3 * exp(2 * (1 - 0.5 / 2**1.3)), abs=1e-5)


def test_the_card_has_to_be_named_by_the_specification():
    form = computed(at_least("0.7 fraction"), of=signal(named=False), at="vent")
    found = judged(form, tc(), entries=vent(10))
    assert (found.outcome, found.reason, found.settled) == (Outcome.NOT_SHOWN, ESTIMATE, True)
    assert float(found.margin.actual) == about(0.75)
    form = computed(at_least("0.9 fraction"), of=signal(named=False), at="vent")
    found = judged(form, tc(), entries=vent(10))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits at the event")
    found = judged(computed(at_least("0.7 fraction"), of=signal(named=False)), tc(value=5.0))
    assert found.outcome is Outcome.NOT_SHOWN
    assert ESTIMATE not in found.reason


def test_a_card_that_is_not_at_hand():
    form = computed(at_least("0.7 fraction"), of=signal(revision="C"), at="vent")
    found = judged(form, tc(), entries=vent(10))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "material card invented revision C is not at hand; expected one of: invented revision A, invented revision B. "
        "To do: add the card, or correct its name and revision in the specification",
    )
    found = judged(form, tc(), entries=vent(10), cards=())
    assert "expected one of: none." in found.reason


def test_the_revision_decides_which_card_it_is():
    # revision A does not react at all
    form = computed(at_least("0.5 fraction"), of=signal(revision="A"), at="vent")
    assert float(judged(form, tc(), entries=vent(10)).margin.actual) == about(0.5)


# ----------------------------------------------------------------------------------------------------------------- over a phase
def test_over_a_phase():
    found = judged(computed(at_least("0.5 fraction")), tc())
    assert (found.outcome, found.reason) == (Outcome.MET, "within the limits throughout the phase")
    assert (found.margin.value, found.margin.at) == ("0", 0)
    assert found.phase == Bounds(0, 0, minutes(20), minutes(20), "record starts", "record ends")
    found = judged(computed(at_most("0.8 fraction")), tc())
    assert (found.outcome, float(found.margin.value), found.margin.at) == (Outcome.NOT_MET, about(-0.075), minutes(20))
    found = judged(computed(at_least("0.5 fraction"), of=signal(named=False)), tc())
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, ESTIMATE)


def test_what_a_computed_band_keeps_of_its_form():
    form = computed(at_most("0.8 fraction"), of=signal(take="each"), for_each="part thermocouple")
    found = judged(form, tc(), tc(name="TC2", until=10))
    assert [(one.thing, one.form, one.kind) for one in found] == [
        ("TC1", "computed", "computed"),
        ("TC2", "computed", "computed"),
    ]
    assert found[0].outcome is Outcome.NOT_MET
    assert found[1].outcome is Outcome.NOT_SHOWN  # nothing known of it after 10 min


# --------------------------------------------------------------------------------------------------- which places, from when on
def test_the_least_and_the_greatest_of_all_places():
    # TC2 starts being known at 10 min only: no start, no degree of cure
    started = event("started", Compare(HOTTEST, at_least("50 degC")))
    late = channel("TC2", [(t, 20.0 if t < 10 else 100.0) for t in range(21)])
    both = {"events": (VENT, started), "entries": vent(20)}
    found = judged(computed(at_least("0.8 fraction"), of=signal(take="hottest"), at="vent"), tc(), late, **both)
    assert found.margin.channel == "TC1"
    assert found.used == ("TC1", "TC2")
    hot = replace(
        CARD,
        degree_of_cure=law(
            "lee 1982",
            A1=0.0,
            A2=0.0,
            A3=100 * log(2) / 600,
            E1=0.0,
            E2=0.0,
            E3=8.314 * 373.15 * log(100),
            B=1.0,
            switch=0.3,
        ),
    )
    # by this card the 100 degC place halves every 10 min, a colder one takes longer
    colder = tc(name="TC2", value=60.0)
    for take, outcome in (("coldest", Outcome.NOT_MET), ("hottest", Outcome.MET)):
        form = computed(at_least("0.7 fraction"), of=signal(take=take), at="vent")
        found = judged(form, tc(), colder, entries=vent(10), cards=(hot,))
        assert (found.outcome, found.margin.channel) == (outcome, {"coldest": "TC2", "hottest": "TC1"}[take])
    assert float(found.margin.actual) == about(0.75)


def test_several_places_at_once_are_refused():
    form = computed(at_least("0.7 fraction"), of=signal(take="single"), at="vent")
    found = judged(form, tc(), tc(name="TC2"), entries=vent(10))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "the computed degree of cure is asked of 2 thermocouples at once; expected coldest (the least), hottest (the greatest), "
        "or each. To do: say which",
    )
    assert judged(form, tc(), entries=vent(10)).outcome is Outcome.MET


def test_each_place():
    for take in ("each", "single"):
        form = computed(at_least("0.7 fraction"), of=signal(take=take), at="vent", for_each="part thermocouple")
        found = judged(form, tc(), tc(name="TC2", until=10), entries=vent(10))
        assert [(one.thing, one.used, one.outcome) for one in found] == [
            ("TC1", ("TC1",), Outcome.MET),
            ("TC2", ("TC2",), Outcome.MET),
        ]


def test_from_the_event_on():
    started = event("started", None, by="entry")
    form = computed(at_least("0.7 fraction"), of=signal(starts="started"), at="vent")
    entries = (entry("started", "5.5", thing="S1"), *vent(15))  # between samples: 9.5 min of cure at the sample at 15
    found = judged(form, tc(), events=(VENT, started), entries=entries)
    assert (found.outcome, float(found.margin.actual)) == (Outcome.MET, about(1 - 0.5 / 2**0.95))
    entries = (entry("started", 5, thing="S1"), *vent(15))
    assert float(judged(form, tc(), events=(VENT, started), entries=entries).margin.actual) == about(0.75)
    entries = (entry("started", 5, thing="S1"), *vent(4))
    assert judged(form, tc(), events=(VENT, started), entries=entries).margin is None  # not yet begun
    for plus_minus, at in ((1, 5), (0, 30)):  # not known when; beyond what was recorded
        entries = (entry("started", at, thing="S1", plus_minus=plus_minus), *vent(15))
        found = judged(form, tc(), events=(VENT, started), entries=entries)
        assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)
    found = judged(form, tc(), events=(VENT, started), entries=vent(15))
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)


def test_to_the_first_gap():
    for log_ in (tc(bad=(15,)), channel("TC1", [(t, 100.0) for t in (*range(15), 21)])):
        found = judged(computed(at_least("0.7 fraction"), at="vent"), log_, entries=vent(14))
        assert float(found.margin.actual) == about(1 - 0.5 / 2**1.4)
        found = judged(computed(at_least("0.7 fraction"), at="vent"), log_, entries=vent(16))
        assert (found.outcome, found.reason, found.margin) == (
            Outcome.NOT_SHOWN,
            "the value at the event is not known",
            None,
        )


def test_where_the_run_leaves_the_card():
    # 200 degC is the end of the card's range: 201 at 12 min is outside it, so nothing is known after 11
    hot = channel("TC1", [(t, 201.0 if t == 12 else 195.0) for t in range(21)])
    found = judged(computed(at_least("0.7 fraction"), at="vent"), hot, entries=vent(11))
    assert float(found.margin.actual) == about(1 - 0.5 / 2**1.1)
    found = judged(computed(at_least("0.7 fraction"), at="vent"), hot, entries=vent(15))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "the value at the event is not known; TC1 at +0:12:00: 201.0 °C is outside 10 to 200 °C, the range of card invented revision B",
    )
    found = judged(computed(at_least("0.5 fraction")), hot)
    assert found.outcome is Outcome.NOT_SHOWN
    assert found.reason.endswith(
        "TC1 at +0:12:00: 201.0 °C is outside 10 to 200 °C, the range of card invented revision B"
    )
    assert found.unknown == (Unknown("TC1", minutes(11), minutes(20), "bad or lost samples"),)


def test_the_first_place_to_leave_the_card():
    hot = channel("TC1", [(t, 201.0 if t == 12 else 195.0) for t in range(21)])
    hotter = channel("TC2", [(t, 201.0 if t == 9 else 195.0) for t in range(21)])
    found = judged(computed(at_least("0.5 fraction")), hot, hotter)
    assert "; TC2 at +0:09:00: 201.0 °C" in found.reason


def test_leaving_the_card_after_the_phase_is_no_reason():
    late = event("late", None, by="entry")
    hot = channel("TC1", [(t, 201.0 if t == 12 else 195.0) for t in range(21)])
    form = computed(at_least("0.5 fraction"), phase=Phase("record starts", "late"))
    found = judged(form, hot, events=(late,), entries=(entry("late", 5, thing="S1"),))
    assert found.outcome is Outcome.MET
    form = computed(at_least("0.7 fraction"), at="vent")
    found = judged(form, hot, entries=vent(5, 5))  # 0.5 to 0.75 by then
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the instant of the event is known only within bounds")


def test_it_leaves_the_card_with_its_last_sample_inside():
    # 195 degC at 11, 201 at 12 min: from 11 on nothing is known; an event that may be as late as 11 does not touch that
    hot = channel("TC1", [(t, 201.0 if t == 12 else 195.0) for t in range(21)])
    form = computed(at_least("0.7 fraction"), at="vent")
    found = judged(form, hot, entries=vent("5.5", "5.5"))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the instant of the event is known only within bounds")
    for latest in (6, "5.51"):
        found = judged(form, hot, entries=vent(latest, latest))
        assert found.reason.startswith("the instant of the event is known only within bounds; TC1 at +0:12:00")


def test_it_leaves_the_card_right_after_the_start():
    # 195 degC at 0, 201 at 4 min: nothing is known after the very first sample, and an event at 2 min is not covered
    hot = channel("TC1", [(t, 195.0 if t == 0 else 201.0) for t in range(0, 21, 4)])
    found = judged(computed(at_least("0.5 fraction"), at="vent"), hot, entries=vent(2))
    assert found.reason.startswith("the value at the event is not known; TC1 at +0:04:00: 201.0 °C is outside")


def test_a_start_at_a_sample_after_which_nothing_is_known():
    alone = channel("TC1", [(0, 100.0), *[(t, 100.0) for t in range(10, 21)]])
    found = judged(computed(at_least("0.5 fraction"), at="vent"), alone, entries=vent(0))
    assert (found.outcome, float(found.margin.actual)) == (Outcome.MET, about(0.5))


def test_between_two_samples_it_is_the_straight_line():
    # samples at 10 and 15 min: 0.75 and 1 - 0.5/2**1.5, two fifths of the way
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(step=5), entries=vent(12))
    assert float(found.margin.actual) == about(0.75 * 0.6 + (1 - 0.5 / 2**1.5) * 0.4)


def test_where_it_begins_is_not_known_and_the_first_sample_is_colder_than_the_card_allows():
    started = event("started", None, by="entry")
    form = computed(at_least("0.5 fraction"), of=signal(starts="started"))
    cold = channel("TC1", [(t, 5.0 if t == 0 else 100.0) for t in range(21)])
    found = judged(form, cold, events=(started,), entries=(entry("started", 5, thing="S1", plus_minus=1),))
    assert (found.outcome, found.margin, "card" in found.reason) == (Outcome.NOT_SHOWN, None, False)


def test_where_it_begins_is_not_known():
    started = event("started", None, by="entry")
    form = computed(at_least("0.5 fraction"), of=signal(starts="started"))
    found = judged(form, tc(), events=(started,), entries=(entry("started", 5, thing="S1", plus_minus=1),))
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)
    assert found.unknown == (Unknown("TC1", 0, minutes(20), "bad or lost samples"),)


def test_before_it_begins_it_is_not_known():
    started = event("started", None, by="entry")
    form = computed(at_least("0.5 fraction"), of=signal(starts="started"))
    found = judged(form, tc(), events=(started,), entries=(entry("started", 5, thing="S1"),))
    assert found.unknown == (Unknown("TC1", 0, minutes(5), "bad or lost samples"),)


def test_a_thermocouple_judged_by_the_coldest_of_its_part():
    form = computed(at_least("0.7 fraction"), at="vent", for_each="part thermocouple")
    found = judged(form, tc(), tc(name="TC2"), entries=vent(10))
    assert [(one.thing, one.used) for one in found] == [("TC1", ("TC1", "TC2")), ("TC2", ("TC1", "TC2"))]


def test_a_start_that_the_card_does_not_allow():
    found = judged(computed(at_least("0.5 fraction"), of=signal(initial="0.2")), tc())
    assert found.outcome is Outcome.NOT_SHOWN
    assert found.reason.startswith("card invented cannot start from a degree of cure of 0.2")


def test_a_group_without_sensors():
    form = replace(computed(at_least("0.5 fraction")), signal=replace(signal(), group=Group("tool thermocouple")))
    found = judged(form, tc())
    assert found.reason.startswith("no channel on the sensor map is a tool thermocouple of part S1")


def test_in_a_growing_run():
    found = judged(computed(at_least("0.5 fraction")), tc(), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(), entries=vent(10), closed=False)
    assert (found.outcome, found.settled) == (Outcome.MET, True)
    hot = event("hot", Compare(COLDEST, at_least("150 degC")))
    found = judged(computed(at_least("0.7 fraction"), at="hot"), tc(), events=(hot,), closed=False)
    assert (found.outcome, found.reason) == (Outcome.OPEN, "'hot' is not known to have happened")


def test_a_verdict_says_which_constants_of_its_card_nobody_has_verified():
    """Of what the number rests on: a degree of cure does not rest on the viscosity."""
    remembered = tuple(replace(one, confidence="from memory") for one in CARD.degree_of_cure.values)
    card = replace(CARD, degree_of_cure=replace(CARD.degree_of_cure, values=remembered))
    said = "card invented revision B: degree of cure rests on values from memory, not verified"
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(), entries=vent(10), cards=(card,))
    assert (found.outcome, found.notes[-1]) == (Outcome.MET, said)
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(), entries=vent(10))
    assert said not in found.notes
    flows = replace(
        CARD,
        viscosity=replace(
            CARD.viscosity, values=tuple(replace(v, confidence="second-hand") for v in CARD.viscosity.values)
        ),
    )
    found = judged(computed(at_least("0.7 fraction"), at="vent"), tc(), entries=vent(10), cards=(flows,))
    assert not any("verified" in note for note in found.notes)
    form = computed(at_most("12 Pa s"), of=signal("viscosity"), at="vent", unit="Pa s")
    assert judged(form, tc(), entries=vent(0), cards=(flows,)).notes[-1] == (
        "card invented revision B: viscosity rests on values second-hand, not verified"
    )
