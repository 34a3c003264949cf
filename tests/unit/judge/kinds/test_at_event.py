"""Values at events, by hand: read from straight lines between samples (semantics § 4.3, 7.2, 7.5)."""

from __future__ import annotations

from curewright.terms.load import Ruling
from curewright.terms.requirement import AtEvent, Compare, Decision, Group, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome, Reading, SetAside, Unknown
from tests.unit.judge.build import (
    COLDEST,
    EACH,
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
    verdicts,
    within,
)

AIR = Signal(Group("air thermocouple"), "single")
VENT = event("vent", None, by="entry", for_each="bag")
HEATED = event("heated", Compare(COLDEST, at_least("100 degC")))
NOTE = "'vent' by hand entry of inspector B"
RISING = ((0, 100), (10, 110), (20, 120), (30, 120), (40, 100))  # 1 K/min to 20 min, level to 30, 2 K/min down


def at(limits, *, name="vent", signal=COLDEST, for_each="part"):
    return AtEvent("at event", for_each, unit_named("degC"), None, None, name, signal, limits)


def judged(form, *channels, events=(VENT,), entries=(), gap=30, rulings=(), decision=None, **more):
    changes = {} if decision is None else {"decision": decision}
    spec = specification(form, events=events, gap=gap, **changes)
    return verdict(spec, run_of(*channels, entries=entries, **more), rulings)


def tc(*points, name="TC1", **more):
    return channel(name, points, **more)


def vent(at_minute, plus_minus=0):
    return (entry("vent", at_minute, plus_minus=plus_minus),)


def test_met():
    found = judged(at(within("100 degC", "120 degC")), tc(*RISING), entries=vent(14))
    text = "100 to 120 degC"
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        "within the limits at the event",
        text,
        "at event",
    )
    assert found.margin == Margin("6", "degC", minutes(14), "TC1", "114", text)  # 100 + 14; 120 - 114 = 6
    assert found.phase == Bounds(minutes(14), minutes(14), minutes(14), minutes(14), "vent", "vent")
    assert (found.notes, found.used, found.unknown, found.others, found.settled) == ((NOTE,), ("TC1",), (), (), True)


def test_not_met():
    found = judged(at(at_most("113 degC")), tc(*RISING), entries=vent(14))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits at the event")
    assert found.margin == Margin("-1", "degC", minutes(14), "TC1", "114", "at most 113 degC")
    found = judged(at(at_least("115 degC")), tc(*RISING), entries=vent(14))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-1")
    assert judged(at(above("114 degC")), tc(*RISING), entries=vent(14)).outcome is Outcome.NOT_MET
    assert judged(at(at_least("114 degC")), tc(*RISING), entries=vent(14)).outcome is Outcome.MET


def test_of_several_the_one_that_decides():
    found = judged(
        at(at_most("130 degC"), signal=HOTTEST),
        tc(*RISING),
        tc((0, 125), (20, 125), (40, 125), name="TC2"),
        entries=vent(14),
    )
    assert (found.margin.value, found.margin.channel, found.used) == ("5", "TC2", ("TC1", "TC2"))


# ------------------------------------------------------------------------------------------------- known only within bounds
def test_within_the_limits_at_every_instant_that_is_possible():
    # 14 +- 2: 112 to 116
    found = judged(at(within("100 degC", "120 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.outcome, found.reason) == (Outcome.MET, "within the limits at the event")
    assert found.phase == Bounds(minutes(12), minutes(16), minutes(12), minutes(16), "vent", "vent")
    # worst 120 - 116 = 4, best 112: 8 from the nearer limit
    assert found.margin == Margin("4", "degC", minutes(16), "TC1", "116", "100 to 120 degC", "4", "8")


def test_the_best_may_lie_in_the_middle_of_the_band():
    found = judged(at(within("110 degC", "118 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("2", "2", "4")  # 114 is 4 from either
    found = judged(at(within("104 degC", "118 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("2", "2", "6")  # 112: nearer the middle, 111
    found = judged(at(within("110 degC", "126 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("2", "2", "6")  # 116: nearer the middle, 118


def test_no_ends_where_the_margin_is_the_same_at_all_instants():
    found = judged(at(at_most("125 degC")), tc(*RISING), entries=vent(25, 2))
    assert found.margin == Margin("5", "degC", minutes(23), "TC1", "120", "at most 125 degC")


def test_outside_at_every_instant_that_is_possible():
    found = judged(at(at_most("111 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits at the event")
    assert found.margin == Margin("-5", "degC", minutes(16), "TC1", "116", "at most 111 degC", "-5", "-1")


def test_within_at_some_of_them():
    found = judged(at(at_most("115 degC")), tc(*RISING), entries=vent(14, 2))
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the instant of the event is known only within bounds",
        True,
    )
    assert found.margin == Margin("-1", "degC", minutes(16), "TC1", "116", "at most 115 degC", "-1", "3", True)
    assert found.unknown == ()


def test_the_value_is_not_known():
    lost = tc((0, 100), (10, 110), (14, 0), (20, 120), bad=(14,))
    found = judged(at(at_most("125 degC")), lost, entries=vent(14))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "the value at the event is not known",
        None,
        True,
    )
    assert found.unknown == (Unknown("TC1", minutes(10), minutes(20), "bad or lost samples"),) or found.unknown
    found = judged(at(at_most("125 degC")), lost, entries=vent(20, 2))
    # 18 to 20 is unknown; 120 at 20, and nothing after it
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the instant of the event is known only within bounds")
    assert found.margin == Margin("5", "degC", minutes(20), "TC1", "120", "at most 125 degC", of_known=True)
    assert found.unknown == (Unknown("TC1", minutes(18), minutes(20), "bad or lost samples"),)


def test_one_that_is_not_known_can_only_be_colder():
    other = tc((0, 114), (20, 114), (40, 114), name="TC2")
    lost = tc((0, 100), (10, 110), (14, 0), (20, 120), (40, 120), bad=(14,))
    found = judged(at(at_least("115 degC")), lost, other, entries=vent(14))
    assert (found.outcome, found.margin.value, found.unknown) == (Outcome.NOT_MET, "-1", ())
    found = judged(at(at_least("110 degC")), lost, other, entries=vent(14))
    assert found.unknown != ()
    assert (found.outcome, found.margin.value, found.margin.of_known) == (Outcome.NOT_SHOWN, "4", True)


# ------------------------------------------------------------------------------------------------------- that did not happen
def test_never():
    found = judged(at(at_most("200 degC"), name="heated"), tc((0, 20), (10, 30)), events=(HEATED,))
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_MET,
        "'heated' never happened",
        None,
        True,
    )
    assert found.phase == Bounds(None, None, None, None, "heated", "heated")


def test_it_may_never_have_happened():
    unclear = tc((0, 20), (1, 30), (2, 0), (3, 30), bad=(2,))
    air = channel("AIR1", [(0, 50), (3, 80)])
    form = at(at_most("100 degC"), name="heated", signal=AIR)
    found = judged(form, unclear, air, events=(HEATED,))
    # from 1 min on, or never; met at every instant at which it can have happened, but it may not have
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "'heated' is not known to have happened",
        True,
    )
    assert found.phase == Bounds(minutes(1), None, minutes(1), None, "heated", "heated")
    # 60 at 1 min to 80 at the end of the record
    assert found.margin == Margin("20", "degC", minutes(3), "AIR1", "80", "at most 100 degC", "20", "40", True)
    form = at(at_most("59 degC"), name="heated", signal=AIR)
    found = judged(form, unclear, air, events=(HEATED,))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "'heated' is not known to have happened")
    assert (found.margin.value, found.margin.high) == ("-21", "-1")
    found = judged(at(at_most("61 degC"), name="heated", signal=AIR), unclear, air, events=(HEATED,))
    assert found.outcome is Outcome.NOT_SHOWN
    found = judged(form, unclear, air, events=(HEATED,), covers=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)  # it may come after the end of the record


def test_after_the_end_of_the_record():
    later = event("later", None, after="heated", delay=5, by="")
    later = type(later)("later", "part", (), "heated", minutes(5))
    log = tc((0, 90), (10, 110))
    found = judged(at(at_most("200 degC"), name="later"), log, events=(HEATED, later), gap=30)
    assert (found.outcome, found.phase.earliest_start) == (Outcome.MET, minutes(10))  # heated at 5, and 5 min
    later = type(later)("later", "part", (), "heated", minutes(6))
    for more, outcome, settled in (
        ({}, Outcome.NOT_SHOWN, True),
        ({"covers": False}, Outcome.NOT_SHOWN, True),
        ({"closed": False}, Outcome.OPEN, False),
    ):
        found = judged(at(at_most("200 degC"), name="later"), log, events=(HEATED, later), **more)
        assert (found.outcome, found.reason, found.settled, found.margin) == (
            outcome,
            "'later' is not known to have happened",
            settled,
            None,
        )


def test_in_a_growing_run():
    cold = tc((0, 20), (10, 30))
    found = judged(at(at_most("200 degC"), name="heated"), cold, events=(HEATED,), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "'heated' is not known to have happened",
        False,
    )
    found = judged(at(at_most("200 degC")), tc(*RISING), entries=vent(14), closed=False)
    assert (found.outcome, found.settled) == (Outcome.MET, True)
    found = judged(at(at_most("115 degC")), tc(*RISING), entries=vent(14, 2), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)  # nothing that follows tells more
    found = judged(at(at_most("115 degC")), tc(*RISING), entries=vent(39, 2), closed=False)
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)  # 37 to 41, and the record ends at 40
    found = judged(at(at_most("99 degC")), tc(*RISING), entries=vent(39, 2), closed=False)
    assert (found.outcome, found.reason) == (Outcome.OPEN, "the instant of the event is known only within bounds")
    for limits, outcome in ((at_most("115 degC"), Outcome.MET), (at_most("99 degC"), Outcome.NOT_MET)):
        # nothing happens after the end of a record that covers the run
        assert judged(at(limits), tc(*RISING), entries=vent(39, 2)).outcome is outcome
        assert judged(at(limits), tc(*RISING), entries=vent(39, 2), covers=False).outcome is Outcome.NOT_SHOWN


# ------------------------------------------------------------------------------------------------------------ other readings
def test_at_the_first_sample_instead_of_the_exact_crossing():
    # 100 degC is crossed at 5 min (air 55) and first seen at 10 (air 60)
    log, air = tc((0, 90), (10, 110), (20, 110)), channel("AIR1", [(0, 50), (10, 60), (20, 70)])
    definition = "first sample that shows the event instead of the exact crossing"
    found = judged(at(at_most("58 degC"), name="heated", signal=AIR), log, air, events=(HEATED,))
    assert (found.outcome, found.margin.value) == (Outcome.MET, "3")
    assert found.others == (Reading(definition, "60 degC", Outcome.NOT_MET, True),)
    found = judged(at(at_most("65 degC"), name="heated", signal=AIR), log, air, events=(HEATED,))
    assert found.others == (Reading(definition, "60 degC", Outcome.MET, False),)
    found = judged(
        at(at_most("65 degC"), name="heated", signal=AIR), log, channel("AIR1", [(0, 50), (8, 60)]), events=(HEATED,)
    )
    assert found.others == (Reading(definition, "not known", Outcome.NOT_SHOWN, True),)


# ---------------------------------------------------------------------------------------------------- guard band, set aside
def test_guard_band():
    wide = Decision("guard", (quantity("7 degC difference"),), "guard band 1.0 x U")
    found = judged(at(at_most("120 degC")), tc(*RISING), entries=vent(14), decision=wide)
    assert (found.outcome, found.reason, found.margin.value, found.margin.of_known) == (
        Outcome.NOT_SHOWN,
        "inside the guard band of the decision rule",
        "6",
        True,
    )
    narrow = Decision("guard", (quantity("6 degC difference"),), "guard band 1.0 x U")
    assert judged(at(at_most("120 degC")), tc(*RISING), entries=vent(14), decision=narrow).outcome is Outcome.MET
    # the event itself is not shifted: 100 degC is reached at 0 whatever the guard band
    found = judged(at(at_most("120 degC"), name="heated"), tc(*RISING), events=(HEATED,), decision=wide)
    assert (found.phase.earliest_start, found.outcome) == (0, Outcome.MET)


def test_a_sensor_that_is_set_aside_at_the_event_has_no_verdict():
    ruling = Ruling("set aside", "TC1", minutes(13), minutes(15), "engineer C", "loose plug")
    form = at(at_most("120 degC"), signal=EACH, for_each="part thermocouple")
    spec = specification(form, events=(VENT,), gap=30)
    run = run_of(tc(*RISING), tc((0, 80), (20, 80), (40, 80), name="TC2"), entries=vent(14))
    found = verdicts(spec, run, (ruling,))
    assert [(one.thing, one.outcome) for one in found] == [("TC2", Outcome.MET)]
    # a group that is without it is judged by the others, and says so
    spec = specification(at(at_most("120 degC"), signal=HOTTEST), events=(VENT,), gap=30)
    (found,) = verdicts(spec, run, (ruling,))
    assert found.margin.value == "40"
    assert found.set_aside == (SetAside("TC1", minutes(13), minutes(15), "engineer C", "loose plug"),)


def test_a_sensor_that_is_set_aside_at_some_of_the_possible_instants_has_no_verdict_either():
    ruling = Ruling("set aside", "TC1", minutes(11), minutes(13), "engineer C", "loose plug")
    form = at(at_most("120 degC"), signal=EACH, for_each="part thermocouple")
    run = run_of(tc(*RISING), tc((0, 80), (20, 80), (40, 80), name="TC2"), entries=vent(14, 2))  # 12 to 16
    found = verdicts(specification(form, events=(VENT,), gap=30), run, (ruling,))
    assert [(one.thing, one.outcome) for one in found] == [("TC2", Outcome.MET)]


def test_at_the_very_end_of_the_record():
    found = judged(at(at_most("120 degC"), name="record ends"), tc(*RISING))
    assert (found.outcome, found.margin.at, found.margin.actual) == (Outcome.MET, minutes(40), "100")
    found = judged(at(at_most("120 degC")), tc(*RISING), entries=vent(40), covers=False)
    assert (found.outcome, found.margin.value) == (Outcome.MET, "20")


def test_a_gauge_read_as_vacuum():
    form = AtEvent(
        "at event", "bag", unit_named("kPa of vacuum"), None, None, "vent", Signal(Group("bag vacuum"), "single"),
        at_least("80 kPa of vacuum"),
    )  # fmt: skip
    found = judged(form, channel("BAG1", [(0, -85), (10, -81)], "kPa gauge"), entries=vent(10))
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.MET, "1", "81")
