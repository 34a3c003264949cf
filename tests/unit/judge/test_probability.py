"""The probability of conformance beside a verdict, against values worked out by hand.

Sources: vectors of JCGM 106:2012 with a two-sided tolerance (180 ± 5 °C with u = 1 °C, 350 ± 10 °F with u = 2 °F), a channel budget
of wire, instrument and reference junction (J special ±1.1, instrument ±1.1, junction ±0.5 °C, each rectangular: u = 0.94340 °C;
standard wire ±2.2: u = 1.44914 °C; tolerances of ASTM E230), and for a run the integral over the common error in closed form,
Φ((T_U − y_max)/u) − Φ((T_L − y_min)/u). Φ is the standard library's.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from math import sqrt
from statistics import NormalDist

import pytest

from curewright.judge.judge import hall_of, judge, judge_part, scene_for
from curewright.judge.scene import Options
from curewright.terms.load import Calibration, Concession, Correction, Port, Recorder, Sensor, Vessel
from curewright.terms.requirement import (
    Allowance,
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Decision,
    Duration,
    Group,
    Limits,
    Phase,
    Signal,
    Spread,
)
from curewright.terms.units import Quantity, unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    MIN,
    at_least,
    at_most,
    below,
    channel,
    entry,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    within,
)

PHI = NormalDist().cdf
ALL = Phase("record starts", "record ends")
AIR, VESSEL, BAG = Group("air thermocouple"), Group("vessel pressure"), Group("bag vacuum")
EXACT_RECORDER = Recorder("main", quantity("0 K"), quantity("0 K"))


def known(name, u="1 K", roll=None):
    """A thermocouple of which a certificate states u as a standard uncertainty, and nothing else is off: its own, or its roll's."""
    year = (date(2031, 1, 1), date(2031, 12, 31))
    correction = Correction(quantity("0 K"), "C-1", *year, of="wire roll" if roll else "sensor")
    calibration = Calibration("C-1", year[1], quantity(u), standard=True)
    return Sensor(
        name,
        name,
        "temperature",
        roll=roll or "",
        corrections=(correction,),
        calibration=calibration,
        drift=quantity("0 K"),
    )


def gauge(name, u):
    return Sensor(
        name,
        name,
        "pressure",
        calibration=Calibration("C-2", date(2031, 12, 31), quantity(u), standard=True),
        drift=quantity("0 bar difference"),
    )


def vessel(*sensors, recorder=EXACT_RECORDER):
    return Vessel("V1", tuple(sensors), tuple[Port, ...](), (recorder,))


def judgement(sensors, run, *forms, recorder=EXACT_RECORDER, load=None, **more):
    spec = specification(*forms, gap=120, **more)
    return judge((spec,), vessel(*sensors, recorder=recorder), load or load_of(run), run)


def chances(sensors, run, *forms, **more):
    return [verdict.probability for verdict in judgement(sensors, run, *forms, **more).verdicts]


def band(limits, signal=EACH, unit="degC", name="band", *, for_each=None, phase=ALL, **more):
    each = for_each or ("part thermocouple" if signal is EACH else "part")
    return Band(name, each, unit_named(unit), None, None, signal, phase, limits, **more)


def flat(name, value, unit="degC"):
    return channel(name, [(0, value), (60, value)], unit)


def tc(name, *values, unit="degC"):
    return channel(name, [(30 * i, value) for i, value in enumerate(values)], unit)


# ------------------------------------------------------------------------------------------------ one channel, one value
@pytest.mark.parametrize(
    "y, p", [(177, 0.97725), (179, 0.999968), (182, 0.99865), (183, 0.97725), (185, 0.5), (188, 0.00135)]
)
def test_180_plus_or_minus_5_with_u_of_1(y, p):
    """JCGM 106, two-sided, normal; 188: Φ(−3) by the same formula. What is nearer to 0 or 1 than 0.001 is shown as that."""
    expected = f"{min(p, 0.999):.3f}"
    assert chances([known("TC1")], run_of(flat("TC1", y)), band(within("175 degC", "185 degC"))) == [expected]


@pytest.mark.parametrize("y, p", [(340, 0.5), (341, 0.691462), (342, 0.841345), (344, 0.97725)])
def test_350_plus_or_minus_10_degF_with_u_of_2(y, p):
    run = run_of(flat("TC1", y, "degF"))
    assert chances([known("TC1", "2 degF")], run, band(within("340 degF", "360 degF"), unit="degF")) == [f"{p:.3f}"]


@pytest.mark.parametrize("tolerance, p", [("special", 0.96136), ("standard", 0.87495)])
def test_a_channel_budget_of_wire_instrument_and_junction(tolerance, p):
    sensor = Sensor("TC1", "TC1", "temperature", wire="J", tolerance=tolerance, roll="W-1", drift=quantity("0 K"))
    recorder = Recorder("main", quantity("1.1 K"), quantity("0.5 K"))
    run = run_of(flat("TC1", 343, "degF"))
    (found,) = chances([sensor], run, band(within("340 degF", "360 degF"), unit="degF"), recorder=recorder)
    assert found == f"{p:.3f}"


def test_over_a_run_the_lowest_and_the_highest_value_count_once_because_the_error_stays():
    """Φ((185 − 183)/1) − Φ((175 − 177)/1) = 0.9545, however many samples lie at 177 and 183."""
    run = run_of(tc("TC1", *[177.0, 183.0] * 20))
    assert chances([known("TC1")], run, band(within("175 degC", "185 degC"))) == ["0.954"]  # 0.954500 rounds to even


def test_limits_are_the_plain_ones_where_a_guard_band_decides():
    """At 182 with U = 2 the upper limit 183 is guarded to 181: not shown; Φ((183 − 182)/1) = 0.841."""
    guard = Decision("guard", (quantity("2 K"),))
    made = judgement([known("TC1")], run_of(flat("TC1", 182)), band(at_most("183 degC")), decision=guard)
    (found,) = made.verdicts
    assert (found.outcome, found.probability) == (Outcome.NOT_SHOWN, "0.841")


# ------------------------------------------------------------------------------------------------------- several channels
def three(*levels):
    return run_of(*(tc(f"TC{i}", level, level + 1, level) for i, level in enumerate(levels, 1)))


@pytest.mark.parametrize(
    "signal, limits, p",
    [
        (COLDEST, at_least("175 degC"), PHI(1.0)),  # lowest of all: 176
        (HOTTEST, at_most("180 degC"), PHI(0.5)),  # highest of all: 178.5 + 1
    ],
)
def test_thermocouples_of_one_roll_are_off_together(signal, limits, p):
    """The common error in closed form: only the outermost of all channels counts, whatever else is near the limit."""
    sensors = [known(f"TC{i}", roll="W-1") for i in (1, 2, 3)]
    (found,) = chances(sensors, three(176, 176, 178.5), band(limits, signal))
    assert found == f"{p:.3f}"


def test_thermocouples_that_share_nothing_multiply():
    """Φ(1)·Φ(1)·Φ(3.5) = 0.708 × 0.99977: two at 176 and one at 178.5 above 175."""
    sensors = [known(f"TC{i}") for i in (1, 2, 3)]
    (found,) = chances(sensors, three(176, 176, 178.5), band(at_least("175 degC"), COLDEST))
    assert found == f"{PHI(1) ** 2 * PHI(3.5):.3f}"
    assert found == "0.708"


def test_rolls_and_a_recorder_between_them():
    """Two rolls: independent of one another; the same roll: one error. Φ(1) for the pair of W-1, Φ(1) for W-2."""
    sensors = [known("TC1", roll="W-1"), known("TC2", roll="W-1"), known("TC3", roll="W-2")]
    (found,) = chances(sensors, three(176, 176, 176), band(at_least("175 degC"), COLDEST))
    assert found == f"{PHI(1) ** 2:.3f}"


@pytest.mark.parametrize("roll, u", [(None, 1 / sqrt(4)), ("W-1", 1.0)])
def test_the_mean_of_four_is_off_by_half_as_much_unless_they_are_off_together(roll, u):
    run = run_of(
        *(flat(f"AIR{i}", 184.4 + 0.1 * i) for i in (0, 1, 2, 1)[:1]), *(flat(f"AIR{i}", 184.5) for i in (1, 2, 3))
    )
    sensors = [known(f"AIR{i}", roll=roll) for i in range(4)]
    signal = Signal(AIR, "mean")
    (found,) = chances(sensors, run, band(at_most("185 degC"), signal, for_each="vessel"))
    mean = (184.4 + 3 * 184.5) / 4
    assert found == f"{PHI((185 - mean) / u):.3f}"


@pytest.mark.parametrize("rolls, u", [((None, None), sqrt(2)), (("W-1", "W-2"), sqrt(2)), (("W-1", "W-1"), 0.0)])
def test_a_difference_of_two_loses_what_both_share(rolls, u):
    """TC1 − AIR = 9 against at most 10: Φ(1/√2) where the errors are each one's own; sure where they are one and the same."""
    run = run_of(flat("TC1", 180), flat("AIR1", 171))
    sensors = [known("TC1", roll=rolls[0]), known("AIR1", roll=rolls[1])]
    signal = Signal(Group("part thermocouple"), "single", minus=Signal(AIR, "single"))
    form = band(Limits(high=Quantity(Decimal(10), unit_named("K difference"))), signal, "K difference")
    (found,) = chances(sensors, run, form)
    assert found == (f"{PHI(1 / u):.3f}" if u else "0.999")


def test_a_spread_near_its_limit_is_decided_by_one_pair():
    """TC1 and TC2 are 9 K apart, limit 10: Φ(1/√2) = 0.760; TC3 lies in the middle, 4.5 K from both (risk 5e-5 each)."""
    run = run_of(tc("TC1", 171, 172), tc("TC2", 180, 180), tc("TC3", 175.5, 175.5))
    form = Spread(
        "spread",
        "part",
        unit_named("K difference"),
        None,
        None,
        Signal(Group("part thermocouple"), "spread"),
        ALL,
        Limits(high=Quantity(Decimal(10), unit_named("K difference"))),
    )
    (found,) = chances([known(f"TC{i}") for i in (1, 2, 3)], run, form)
    assert found == f"{PHI(1 / sqrt(2)):.3f}"
    same_roll = [known(f"TC{i}", roll="W-1") for i in (1, 2, 3)]
    assert chances(same_roll, run, form) == ["0.999"]  # what all share leaves a difference as it is
    crowded = run_of(tc("TC1", 171, 171), tc("TC2", 180, 180), tc("TC3", 180, 180))
    assert chances([known(f"TC{i}") for i in (1, 2, 3)], crowded, form) == [None]  # between 0.521 and 0.760: no number


def test_pressures():
    """85 psi gauge against at least 84, u = 1 psi: Φ(1). No barometer needed, no thermocouple in it."""
    run = run_of(flat("P", 85, "psi gauge"), flat("TC1", 20))
    form = band(at_least("84 psi gauge"), Signal(VESSEL, "single"), "psi gauge", for_each="vessel")
    recorder = replace(EXACT_RECORDER, accuracy=quantity("0 psi difference"))
    assert chances([gauge("P", "1 psi difference")], run, form, recorder=recorder) == [f"{PHI(1):.3f}"]


def test_a_change_of_reference_takes_in_an_ambient_pressure_of_which_nobody_says_how_far_it_is_off():
    run = replace(
        run_of(flat("P", 99.7, "psi absolute"), flat("TC1", 20)), barometer=quantity("14.7 psi absolute").grains
    )
    form = band(at_least("84 psi gauge"), Signal(VESSEL, "single"), "psi gauge", for_each="vessel")
    recorder = replace(EXACT_RECORDER, accuracy=quantity("0 psi difference"))
    made = judgement([gauge("P", "1 psi difference")], run, form, recorder=recorder)
    assert [(v.outcome, v.probability) for v in made.verdicts] == [(Outcome.MET, None)]
    assert made.notes == (
        "no probability of conformance is printed beside verdicts from P: its uncertainty is not known (ambient pressure)",
    )


def test_so_does_a_difference_of_a_gauge_and_an_absolute_reading():
    barometer = quantity("1 bar absolute").grains
    run = replace(
        run_of(flat("P", 6, "bar gauge"), flat("BAG", 1, "bar absolute"), flat("TC1", 20)), barometer=barometer
    )
    recorder = replace(EXACT_RECORDER, accuracy=quantity("0 bar difference"))
    sensors = [gauge("P", "0.1 bar difference"), gauge("BAG", "0.1 bar difference")]
    signal = Signal(VESSEL, "single", minus=Signal(BAG, "single"))
    form = band(at_least("5.9 bar difference"), signal, "bar difference", for_each="part")
    made = judgement(sensors, run, form, recorder=recorder)
    assert [(v.outcome, v.probability) for v in made.verdicts] == [(Outcome.MET, None)]
    alike = run_of(flat("P", 6, "bar gauge"), flat("BAG", 0, "bar gauge"), flat("TC1", 20))
    (found,) = chances(sensors, alike, form, recorder=recorder)  # 0.1 bar above the limit, off by 0.1·√2 bar
    assert found == f"{PHI(1 / sqrt(2)):.3f}"


# ---------------------------------------------------------------------------------------------------- events and durations
def test_a_value_at_an_event():
    """Pressure released at 60 min, the hottest at 59 °C then: Φ((60 − 59)/1)."""
    run = run_of(
        channel("TC1", [(0, 180), (60, 59), (120, 30)]), channel("P", [(0, 6), (60, 6), (61, 0), (120, 0)], "bar gauge")
    )
    released = event(
        "released", Compare(Signal(VESSEL, "single"), below("6 bar gauge")), which="for good", for_each="vessel"
    )
    form = AtEvent("at event", "part", unit_named("degC"), None, None, "released", HOTTEST, at_most("60 degC"))
    assert chances([known("TC1")], run, form, events=(released,)) == [f"{PHI(1):.3f}"]


STARTS = event("starts", Compare(COLDEST, at_least("174.4 degC")))
ENDS = event("ends", Compare(COLDEST, below("174.4 degC")), which="for good")


def soak(limits, start="starts", end="ends"):
    phase = Phase(start, end)
    clock = Clock("coldest", Compare(COLDEST, at_least("174.4 degC")), "pauses")
    return Duration("duration", "part", unit_named("min"), None, None, (Alternative(phase, clock, limits),))


def slow_soak(length):
    """Up through 174.4 °C at 0.5 K/min at 40 min, down through it at 0.5 K/min so many minutes later; every 5 min."""
    points = [(t, 174.4 + 0.5 * (t - 40)) for t in range(0, 55, 5)]
    points += [(t, 174.4 + 0.5 * (40 + length - t)) for t in range(40 + length - 10, 40 + length + 40, 5)]
    return run_of(channel("TC1", points))


def test_a_duration_is_uncertain_by_u_over_the_slope_at_both_ends():
    """u(t) = u/|dT/dt|: at 0.5 K/min, u = 1 K gives 2 min at each end. One error moves both ends apart: 4 min in all.
    122 min against at least 120: Φ(2/4) = 0.691."""
    (found,) = chances([known("TC1")], slow_soak(122), soak(at_least("120 min")), events=(STARTS, ENDS))
    assert found == f"{PHI(0.5):.3f}"


def test_a_duration_from_an_instant_that_no_measurement_shows():
    """Only the end is off, by 2 min: Φ(2/2)."""
    started = event("starts", None, by="entry", entry="starts")
    run = slow_soak(122)
    run = replace(run, entries=(entry("starts", 40, thing="S1"),))
    (found,) = chances([known("TC1")], run, soak(at_least("120 min")), events=(started, ENDS))
    assert found == f"{PHI(1):.3f}"


def test_an_end_so_much_later_than_a_crossing_is_as_uncertain_as_that():
    later = replace(event("after", None), sources=(), after="starts", delay=minutes(10))
    (found,) = chances(
        [known("TC1")], slow_soak(122), soak(at_least("111 min"), start="after"), events=(STARTS, ENDS, later)
    )
    assert found == f"{PHI((112 - 111) / 4):.3f}"


def test_a_time_between_two_rising_crossings_loses_what_both_have():
    """Up at 2 K/min through 60 °C at 20 min, at 1 K/min through 120 °C at 65 min: the same error of 1 K moves the one by 0.5 min and
    the other by 1 min the same way, so the time between is off by 0.5 min. 45 min against at most 45.5: Φ(0.5/0.5)."""
    points = [(t, 20.0 + 2 * t) for t in range(0, 40, 5)] + [(t, 95.0 + (t - 40)) for t in range(40, 90, 5)]
    first = event("warm", Compare(COLDEST, at_least("60 degC")))
    second = event("hot", Compare(COLDEST, at_least("120 degC")))
    clock = Clock("coldest", None, "runs on")
    form = Duration(
        "duration",
        "part",
        unit_named("min"),
        None,
        None,
        (Alternative(Phase("warm", "hot"), clock, at_most("45.5 min")),),
    )
    (found,) = chances([known("TC1")], run_of(channel("TC1", points)), form, events=(first, second))
    assert found == f"{PHI(1):.3f}"


def test_no_number_for_a_clock_that_stood_still():
    """As the slow soak, with a dip of 10 min in the middle that the clock leaves out."""
    whole = slow_soak(122).channels["TC1"]
    points = [(t / MIN, v / 1e6 - 273.15) for t, v in zip(whole.t.tolist(), whole.v.tolist(), strict=True)]
    middle = [(90, 180.0), (95, 168.8), (100, 168.8), (105, 180.0)]
    run = run_of(channel("TC1", sorted(points + middle)))
    made = judgement([known("TC1")], run, soak(at_least("60 min")), events=(STARTS, ENDS))
    assert [(v.outcome, v.probability) for v in made.verdicts] == [(Outcome.MET, None)]
    runs_on = replace(soak(at_least("120 min")).alternatives[0], clock=Clock("coldest", None, "runs on"))
    form = replace(soak(at_least("120 min")), alternatives=(runs_on,))
    assert chances([known("TC1")], run, form, events=(STARTS, ENDS)) == [
        f"{PHI(0.5):.3f}"
    ]  # by elapsed time as without the dip


def test_no_number_for_a_start_that_was_so_already():
    """Above the level all along: it began with the record, at 180 °C, and that is no crossing."""
    points = [(t, 180.0 + 0.1 * t) for t in range(120)]
    run = run_of(channel("TC1", points))
    form = soak(at_least("60 min"), "starts", "record ends")
    made = judgement([known("TC1")], run, form, events=(STARTS,))
    assert [(v.outcome, v.probability) for v in made.verdicts] == [(Outcome.MET, None)]


def test_no_number_for_a_time_between_instants_that_no_measurement_shows():
    started = event("starts", None, by="entry", entry="starts")
    run = replace(run_of(flat("TC1", 180)), entries=(entry("starts", 10, thing="S1"),))
    form = soak(at_least("20 min"), "starts", "record ends")
    assert chances([known("TC1")], run, form, events=(started,)) == [None]


# ----------------------------------------------------------------------------------------------------------- no number
def unknown_cases():
    limits = within("175 degC", "185 degC")
    steady = run_of(flat("TC1", 180), flat("TC2", 181))
    gap = run_of(channel("TC1", [(0, 180), (300, 180)]), flat("TC2", 181), end=300)
    spared = Allowance(quantity("5 K"), 2 * MIN, None)
    return {
        "an allowance": (steady, band(limits, allowance=spared)),
        "raw readings": (
            steady,
            band(limits, Signal(Group("part thermocouple"), "each", raw=True), for_each="part thermocouple"),
        ),
        "the coldest at most": (steady, band(at_most("185 degC"), COLDEST)),
        "the hottest at least": (steady, band(at_least("175 degC"), HOTTEST)),
        "both sides of the coldest": (steady, band(limits, COLDEST)),
        "something unknown": (gap, band(at_least("175 degC"), COLDEST)),
        "a run that is not closed": (run_of(flat("TC1", 180), flat("TC2", 181), closed=False), band(limits)),
    }


@pytest.mark.parametrize("case", unknown_cases())
def test_no_number_for(case):
    run, form = unknown_cases()[case]
    found = chances([known("TC1"), known("TC2")], run, form)
    assert found
    assert set(found) == {None}


def test_no_number_where_the_judged_sensors_begin_the_phase_by_reaching_the_limit():
    """A soak that begins when the coldest reaches 174.4: that it then is at least 174.4 does not hang on a certificate."""
    phase = Phase("starts", "ends")
    run = slow_soak(122)
    assert chances([known("TC1")], run, band(at_least("174.4 degC"), COLDEST, phase=phase), events=(STARTS, ENDS)) == [
        None
    ]
    wider = chances([known("TC1")], run, band(at_least("173.4 degC"), COLDEST, phase=phase), events=(STARTS, ENDS))
    assert wider == [f"{PHI(1):.3f}"]


def test_what_is_missing_of_a_budget_is_told_once_and_by_name():
    sensors = [Sensor(f"TC{i}", f"TC{i}", "temperature", wire="K", tolerance="special") for i in range(1, 7)]
    run = run_of(*(flat(f"TC{i}", 180) for i in range(1, 7)))
    made = judgement(sensors, run, band(at_most("185 degC")), band(at_most("185 degC"), HOTTEST, name="band 2"))
    assert {v.probability for v in made.verdicts} == {None}
    (note,) = made.notes
    assert note.startswith(
        "no probability of conformance is printed beside verdicts from TC1, TC2, TC3, TC4 and 2 more:"
    )
    for said in (
        "the vessel file does not state drift.",
        "To have it, write there",
        "'drift: 0.2 degC'",
        "No verdict needs it",
    ):
        assert said in note
    assert all(not v.notes for v in made.verdicts)


def test_nothing_is_said_where_nobody_states_any_of_it():
    bare = [Sensor("TC1", "TC1", "temperature")]
    made = judgement(bare, run_of(flat("TC1", 180)), band(at_most("185 degC")), recorder=Recorder("main"))
    assert (made.notes, made.verdicts[0].probability) == ((), None)


def test_a_wire_that_no_standard_knows_at_that_temperature():
    sensor = Sensor(
        "TC1", "TC1", "temperature", wire="T", tolerance="special", drift=quantity("0 K")
    )  # ASTM E230: to 370 °C
    made = judgement([sensor], run_of(flat("TC1", 400)), band(at_most("500 degC")))
    assert made.verdicts[0].outcome is Outcome.MET
    assert made.verdicts[0].probability is None
    (note,) = made.notes
    assert "TC1" in note
    assert "tolerance" in note


def test_a_sensor_that_was_replugged_has_no_one_budget():
    run = run_of(flat("TC1", 180), flat("TC2", 180))
    load = load_of(run)
    (one, two) = load.map
    moved = replace(load, map=(replace(one, end=30 * MIN, position="A"), replace(two, start=30 * MIN, position="A")))
    assert chances([known("TC1"), known("TC2")], run, band(at_most("185 degC")), load=moved) == [None]


# ------------------------------------------------------------------------------------------- information, never an input
def test_a_concession_is_held_against_its_own_limit():
    run = run_of(flat("TC1", 186))
    load = load_of(run)
    eased = Concession("1", "band", at_most("187 degC"), "engineering authority")
    load = replace(load, parts=(replace(load.parts[0], concessions=(eased,)),))
    made = judgement([known("TC1")], run, band(at_most("185 degC")), load=load)
    assert (made.verdicts[0].outcome, made.verdicts[0].probability) == (Outcome.MET, f"{PHI(1):.3f}")


def test_a_sensor_set_aside_does_not_count():
    from curewright.terms.load import ALWAYS, Ruling

    run = run_of(flat("TC1", 184), flat("TC2", 190))
    ruling = Ruling("set aside", "TC2", -ALWAYS, ALWAYS, "engineer C", "loose")
    spec = specification(band(at_most("185 degC"), HOTTEST), gap=120)
    made = judge((spec,), vessel(known("TC1"), known("TC2")), load_of(run), run, (ruling,))
    assert (made.verdicts[0].outcome, made.verdicts[0].probability) == (Outcome.MET, f"{PHI(1):.3f}")


def test_none_while_live_where_samples_have_been_let_go():
    run = run_of(flat("TC1", 183))
    load, spec = load_of(run), specification(band(at_most("185 degC")), gap=120)
    hall = hall_of(vessel(known("TC1")), load, run, (), minutes(120))
    for others, expected in ((True, "0.977"), (False, None)):
        scene = scene_for(hall, load.parts[0], (spec,), Options(others=others))
        assert [v.probability for v in judge_part(scene, {})] == [expected]


def test_no_outcome_depends_on_it():
    """Every field of every verdict but the number itself is the same with budgets, with half of them, and without any."""
    forms = (
        band(within("175 degC", "185 degC")),
        band(at_least("174.4 degC"), COLDEST, name="band 2", phase=Phase("starts", "ends")),
        band(at_most("170 degC"), HOTTEST, name="band 3"),
        soak(at_least("120 min")),
        soak(at_least("130 min")),
        AtEvent("at event", "part", unit_named("degC"), None, None, "ends", HOTTEST, at_most("175 degC")),
    )
    run = slow_soak(122)
    budgets = [
        vessel(known("TC1")),
        vessel(known("TC1", "9 K")),
        vessel(Sensor("TC1", "TC1", "temperature", wire="K", tolerance="special")),
        Vessel("V1", (), (), ()),
    ]
    judged = [
        judge((specification(*forms, gap=120, events=(STARTS, ENDS)),), one, load_of(run), run) for one in budgets
    ]
    bare = [[replace(v, probability=None) for v in made.verdicts] for made in judged]
    assert all(one == bare[-1] for one in bare)
    assert {v.outcome for v in judged[0].verdicts} == {Outcome.MET, Outcome.NOT_MET}
    assert any(v.probability for v in judged[0].verdicts)
    assert not any(v.probability for v in (*judged[2].verdicts, *judged[3].verdicts))
