"""Whose budget is taken, and where a probability of conformance is not given; expected values by Φ of the standard library.

Tolerances of type K wire are those of ASTM E230 (standard: 2.2 K or 0.75 % of the temperature in °C, the greater; from memory), a
rectangular error, taken at the next whole kelvin: 400 °C is 673.15 K, so that 0.75 % of 400.85 °C count.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import sqrt

import pytest

from curewright.judge.judge import judge
from curewright.terms.load import Recorder, Sensor
from curewright.terms.requirement import (
    AtEvent,
    Compare,
    Computation,
    Group,
    Phase,
    Signal,
    Spread,
)
from curewright.terms.units import unit_named
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
    quantity,
    run_of,
    specification,
)
from tests.unit.judge.test_probability import (
    AIR,
    ALL,
    BAG,
    ENDS,
    EXACT_RECORDER,
    PHI,
    STARTS,
    VESSEL,
    band,
    chances,
    flat,
    gauge,
    judgement,
    known,
    slow_soak,
    soak,
    tc,
    vessel,
)

PRESSURE_RECORDER = replace(EXACT_RECORDER, accuracy=quantity("0 bar difference"))


# ------------------------------------------------------------------------------------------------------------- whose budget
def test_one_more_is_said_where_five_lack_the_same():
    sensors = [Sensor(f"TC{i}", f"TC{i}", "temperature", wire="K", tolerance="special") for i in range(1, 6)]
    made = judgement(sensors, run_of(*(flat(f"TC{i}", 180) for i in range(1, 6))), band(at_most("185 degC")))
    assert "verdicts from TC1, TC2, TC3, TC4 and 1 more: " in made.notes[0]
    made = judgement(sensors[:4], run_of(*(flat(f"TC{i}", 180) for i in range(1, 5))), band(at_most("185 degC")))
    assert "verdicts from TC1, TC2, TC3, TC4: " in made.notes[0]


def test_a_recorder_that_the_vessel_does_not_describe_is_what_is_missing():
    made = judgement([known("TC1")], run_of(flat("TC1", 180)), band(at_most("185 degC")), recorder=Recorder("another"))
    assert made.verdicts[0].probability is None
    assert "does not state recorder accuracy and reference junction. " in made.notes[0]
    assert "in a unit of what the sensor measures; 'reference junction' of the recorder (" in made.notes[0]


def test_the_file_in_which_to_state_it_is_named():
    one = replace(vessel(known("TC1"), recorder=Recorder("another")), file="shop.vessel.yaml")
    run = run_of(flat("TC1", 180))
    (note,) = judge((specification(band(at_most("185 degC")), gap=120),), one, load_of(run), run).notes
    assert "TC1: shop.vessel.yaml does not state " in note


def test_a_channel_named_by_itself_has_the_budget_of_the_sensor_on_it():
    """Φ((185 − 183)/1), and Φ((185 − 183)/2) for the sensor on the other channel; also where the sensor map has no line for it."""
    run = run_of(flat("TC1", 183), flat("TC2", 183))
    load = load_of(run)
    for name, p in (("TC1", PHI(2)), ("TC2", PHI(1))):
        form = band(at_most("185 degC"), Signal(Group("channel", name), "single"))
        for lines in (load.map, ()):
            sensors = [known("TC1"), known("TC2", "2 K")]
            assert chances(sensors, run, form, load=replace(load, map=lines)) == [f"{p:.3f}"]


def test_a_place_that_two_sensors_had_has_no_one_budget_even_where_all_is_known():
    noted = event("noted", None, by="entry")
    run = replace(run_of(tc("TC1", 180, 180, 180), tc("TC2", 180, 180, 180)), entries=(entry("noted", 45, thing="S1"),))
    load = load_of(run)
    one, two = load.map
    moved = replace(
        load, map=(replace(one, end=minutes(30), position="A"), replace(two, start=minutes(30), position="A"))
    )
    form = AtEvent("at event", "part", unit_named("degC"), None, None, "noted", HOTTEST, at_most("182 degC"))
    sensors = [known("TC1"), known("TC2")]
    assert chances(sensors, run, form, events=(noted,), load=moved) == [None]
    assert chances(sensors[1:], run, form, events=(noted,), load=moved) == [None]  # the vessel knows only the later one
    assert chances(sensors[:1], replace(run, channels={"TC1": run.channels["TC1"]}), form, events=(noted,)) == ["0.977"]


@pytest.mark.parametrize("unit, value, limit", [("bar absolute", 6, "5.9"), ("bar gauge", 5, "4.9")])
def test_no_barometer_is_in_it_where_no_reference_changes(unit, value, limit):
    form = band(at_least(f"{limit} {unit}"), Signal(VESSEL, "single"), unit, for_each="vessel")
    sensors, run = [gauge("P", "0.1 bar difference")], run_of(flat("P", value, unit), flat("TC1", 20))
    assert chances(sensors, run, form, recorder=PRESSURE_RECORDER) == [f"{PHI(1):.3f}"]


def test_a_vacuum_read_as_negative_gauge_needs_no_barometer_either():
    run = run_of(flat("BAG", -0.8, "bar gauge"), flat("TC1", 20))
    form = band(at_least("0.7 bar of vacuum"), Signal(BAG, "single"), "bar of vacuum")
    sensors = [gauge("BAG", "0.1 bar difference")]
    assert chances(sensors, run, form, recorder=PRESSURE_RECORDER) == [f"{PHI(1):.3f}"]


# --------------------------------------------------------------------------------------- a tolerance that grows with temperature
AT_400 = 0.0075 * 400.85 / sqrt(3)
WIRE = Sensor("TC1", "TC1", "temperature", wire="K", tolerance="standard", roll="W-1", drift=quantity("0 K"))


def test_the_tolerance_is_that_of_the_hottest_sample():
    run = run_of(tc("TC1", 300, 400, 300))
    assert chances([WIRE], run, band(at_most("402 degC"))) == [f"{PHI(2 / AT_400):.3f}"]


def test_between_two_samples_it_is_that_of_the_next_one():
    noted = event("noted", None, by="entry")
    run = replace(run_of(tc("TC1", 300, 400, 300)), entries=(entry("noted", 15, thing="S1"),))
    form = AtEvent("at event", "part", unit_named("degC"), None, None, "noted", HOTTEST, at_most("352 degC"))
    assert chances([WIRE], run, form, events=(noted,)) == [f"{PHI(2 / AT_400):.3f}"]


# --------------------------------------------------------------------------------------------------- what counts, what does not
def test_only_where_the_while_condition_holds():
    """177 °C while there is pressure, 170 before: Φ((177 − 175)/1)."""
    run = run_of(
        channel("TC1", [(0, 170), (29, 170), (30, 177), (60, 177)]),
        channel("P", [(0, 0), (31, 0), (31.001, 6), (60, 6)], "bar gauge"),
    )
    pressed = Compare(Signal(VESSEL, "single"), at_least("5 bar gauge"))
    assert chances([known("TC1")], run, band(at_least("175 degC"), COLDEST, while_=pressed)) == [f"{PHI(2):.3f}"]


def test_a_spread_of_one_thermocouple_is_none_and_of_unlike_instants_has_no_number():
    limit = at_most("10 K difference")
    form = Spread("spread", "part", unit_named("K difference"), None, None, Signal(PART, "spread"), ALL, limit)
    assert chances([known("TC1")], run_of(flat("TC1", 180)), form) == ["0.999"]
    apart = run_of(flat("TC1", 180), channel("TC2", [(0, 181), (29, 181), (60, 181)]))
    assert chances([known("TC1"), known("TC2")], apart, form) == [None]


def test_no_number_for_one_of_several_alternatives():
    form = soak(at_least("120 min"))
    both = replace(form, alternatives=(*form.alternatives, *form.alternatives))
    assert chances([known("TC1")], slow_soak(122), form, events=(STARTS, ENDS)) == [f"{PHI(0.5):.3f}"]
    assert chances([known("TC1")], slow_soak(122), both, events=(STARTS, ENDS)) == [None]


AIR_1 = Signal(AIR, "single")
CURE = Computation("degree of cure", "card", "A", "record starts", Decimal("0.02"), True)


@pytest.mark.parametrize(
    "signal",
    [
        Signal(PART, "coldest", minus=AIR_1),  # one error of the air in each difference
        Signal(PART, "mean", minus=replace(AIR_1, raw=True)),
        Signal(PART, "mean", minus=replace(AIR_1, computed=CURE)),
    ],
)
def test_no_number_for_such_a_difference(signal):
    run = run_of(flat("TC1", 180), flat("TC2", 181), flat("AIR1", 171))
    form = band(at_least("5 K difference"), signal, "K difference")
    sensors = [known("TC1"), known("TC2"), known("AIR1")]
    assert chances(sensors, run, form) == [None]
    assert chances(sensors, run, replace(form, signal=Signal(PART, "mean", minus=AIR_1))) != [None]


def test_no_number_where_only_the_beginning_or_only_the_end_is_at_the_limit():
    """As the soak that begins when the coldest reaches 174.4, with another end (and the other way round)."""
    points = [(t, 154.4 + 0.5 * t) for t in range(0, 121, 5)]  # 174.4 at 40 min, 180 at 51.2
    run = replace(run_of(channel("TC1", points)), entries=(entry("noted", 45, thing="S1"),))
    reached = event("reached", Compare(COLDEST, at_least("174.4 degC")))
    hot = event("hot", Compare(COLDEST, at_least("180 degC")))
    noted = event("noted", None, by="entry")
    later = replace(event("later", None), sources=(), after="reached", delay=minutes(1))
    how = {"events": (reached, hot, noted, later)}
    form = band(at_least("174.4 degC"), COLDEST)
    for start, end in (("reached", "hot"), ("later", "hot")):
        assert chances([known("TC1")], run, replace(form, phase=Phase(start, end)), **how) == [None]
    form = band(at_most("180 degC"), HOTTEST, phase=Phase("record starts", "hot"))
    assert chances([known("TC1")], run, form, **how) == [None]
    form = band(at_least("174.4 degC"), COLDEST, phase=Phase("noted", "record ends"))
    assert chances([known("TC1")], run, form, **how) == [f"{PHI(2.5):.3f}"]  # 176.9 at 45 min
