"""A channel that the map names and the run does not have, and what a set-aside sensor has to say: by hand."""

from __future__ import annotations

from dataclasses import replace

from curewright.terms.load import ALWAYS, Assignment, Ruling
from curewright.terms.requirement import AtEvent, Band, Compare, Event, Group, Phase, Signal, Source, StateIs
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    at_least,
    at_most,
    below,
    channel,
    load_of,
    minutes,
    run_of,
    specification,
    verdict,
)

WHOLE = Phase("record starts", "record ends")
STEADY = channel("TC1", [(t, 180.0) for t in range(11)])


def with_line(load, name, role, thing):
    line = Assignment(name, name, role, thing, "", -ALWAYS, ALWAYS, "operator A")
    return replace(load, map=(*load.map, line))


def test_a_thermocouple_whose_column_is_missing_is_unknown():
    form = Band("band", "part", unit_named("degC"), None, None, COLDEST, WHOLE, at_least("175 degC"))
    run = run_of(STEADY)
    assert verdict(specification(form), run).outcome is Outcome.MET
    load = with_line(load_of(run), "TC2", "judging", "S1")
    assert verdict(specification(form), run, load=load).outcome is Outcome.NOT_SHOWN
    form = replace(form, limits=at_least("185 degC"))
    assert verdict(specification(form), run, load=load).outcome is Outcome.NOT_MET


def test_a_valve_whose_column_is_missing_is_not_replaced_by_what_a_trace_suggests():
    pressure = channel("P1", [(0, 0), (10, 10)], "psi gauge")
    source = channel("SRC1", [(0, 26), (4, 26), (5, 0), (10, 0)], "inHg of vacuum")
    shown = Source("state", StateIs(Group("channel", "source valve"), ("atmosphere",)), 0, "first")
    low = Compare(Signal(Group("source vacuum"), "single"), below("20 inHg of vacuum"))
    vent = Event("vent begins", "bag", (shown, Source("inferred", low, 0, "first")))
    pressure_then = Signal(Group("vessel pressure"), "single")
    form = AtEvent(
        "at event", "bag", unit_named("psi gauge"), None, None, "vent begins", pressure_then, at_most("5 psi gauge")
    )
    run = run_of(pressure, source)
    spec = specification(form, events=(vent,), gap=10)
    assert verdict(spec, run).outcome is Outcome.MET  # case 45: no such channel, so inferred
    load = with_line(load_of(run), "VALVE1", "source valve", "B1")
    assert verdict(spec, run, load=load).outcome is Outcome.NOT_SHOWN


def test_a_sample_that_is_set_aside_has_no_say_before_its_stretch_either():
    # 160 at minute 5 is set aside from 4.5 to 6: nobody knows what TC2 was between 4 and 4.5
    dip = channel("TC2", [(t, 160.0 if t == 5 else 181.0) for t in range(11)])
    form = Band("band", "part", unit_named("degC"), None, None, COLDEST, WHOLE, at_least("175 degC"))
    run = run_of(STEADY, dip)
    for start, outcome in (("4", Outcome.MET), ("4.5", Outcome.NOT_SHOWN)):
        ruling = Ruling("set aside", "TC2", minutes(start), minutes(6), "engineer C", "loose plug")
        assert verdict(specification(form), run, (ruling,)).outcome is outcome


def test_two_trusted_samples_stay_joined_around_a_stretch_between_them():
    form = Band("band", "part", unit_named("degC"), None, None, COLDEST, WHOLE, at_least("175 degC"))
    run = run_of(STEADY, channel("TC2", [(t, 181.0) for t in range(11)]))
    ruling = Ruling("set aside", "TC2", minutes("4.2"), minutes("4.8"), "engineer C", "plug pulled and put back")
    assert verdict(specification(form), run, (ruling,)).outcome is Outcome.MET
