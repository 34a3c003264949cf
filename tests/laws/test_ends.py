"""Ends of bands belong: a reading printed equal to a limit is equal to it, and a level read back at its crossing is that level."""

from __future__ import annotations

import itertools
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.judge.trace import trace_of
from curewright.terms.load import ALWAYS
from curewright.terms.requirement import Allowance, Band, Decision, Group, LeakCheck, Limits, Phase, Signal, Spread
from curewright.terms.run import Channel
from curewright.terms.units import UNITS, Quantity
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    EACH,
    MIN,
    PART,
    at_most,
    channel,
    entry,
    event,
    quantity,
    run_of,
    specification,
    verdict,
    within,
)

CENTRES = {"degF": range(50, 501), "degC": range(10, 261), "K": range(283, 534)}
WHOLE = Phase("record starts", "record ends")


@pytest.mark.parametrize("unit", CENTRES)
def test_every_whole_degree_centre_and_half_width(unit):
    """Case 3 in full: readings converted as an array equal limits converted as written numbers, printed with decimals or not."""
    centres = np.array(CENTRES[unit])
    halves = np.arange(1, 26)
    for sign in (-1, 1):
        readings = centres[:, None] + sign * halves[None, :]
        grains = UNITS[unit].to_grains(readings.astype(np.float64).ravel())
        limits = [UNITS[unit].grains_of(Decimal(int(n))) for n in readings.ravel()]
        printed = UNITS[unit].to_grains(np.array([float(f"{n}.00") for n in readings.ravel()]))
        assert len(limits) == len(centres) * len(halves)
        assert np.array_equal(grains, limits)
        assert np.array_equal(printed, limits)


@pytest.mark.parametrize("unit", ["degF", "degC"])
def test_every_reading_to_a_tenth_is_exact_to_a_microkelvin(unit):
    """Grains are the exact value in microkelvin, rounded half to even, for every tenth of a degree from 0 to 500."""
    scale, offset = {"degF": (Fraction(5, 9), Fraction(45967, 100)), "degC": (Fraction(1), Fraction(27315, 100))}[unit]
    tenths = np.arange(0, 5001)
    grains = UNITS[unit].to_grains(tenths / 10)
    exact = [round((Fraction(int(n), 10) + offset) * scale * 10**6) for n in tenths]
    assert grains.tolist() == exact


@given(
    unit=st.sampled_from(sorted(CENTRES)),
    data=st.data(),
    half=st.integers(1, 25),
    past=st.sampled_from(("0.1", "0.01", "0.001")),
)
def test_the_judge_lets_the_end_of_a_band_belong_to_it(unit, data, half, past):
    centre = data.draw(st.sampled_from(CENTRES[unit]))
    form = Band(
        "band",
        "part thermocouple",
        UNITS[unit],
        None,
        None,
        EACH,
        WHOLE,
        within(f"{centre - half} {unit}", f"{centre + half} {unit}"),
    )
    for side in (-1, 1):
        limit = Decimal(centre + side * half)
        for beyond, outcome in ((Decimal(0), Outcome.MET), (Decimal(past), Outcome.NOT_MET)):
            points = [(0, centre), (1, float(limit + side * beyond)), (2, centre)]
            found = verdict(specification(form), run_of(channel("TC1", points, unit)))
            assert found.outcome is outcome
            assert Decimal(found.margin.value) == -beyond
            assert found.margin.at == 60 * 10**9


@given(
    readings=st.lists(st.integers(0, 5000), min_size=2, max_size=12),
    steps=st.lists(st.integers(1_000, 600_000), min_size=11, max_size=11),
    level=st.integers(0, 5000),
    strict=st.booleans(),
)
def test_a_level_read_back_at_its_crossing_is_that_level(readings, steps, level, strict):
    """For tenths of a degree, samples 1 s to 10 min apart: at most 0.5 uK a nanosecond, so a whole nanosecond is near enough."""
    t = np.cumsum([0, *steps[: len(readings) - 1]]).astype(np.int64) * 10**6
    v = UNITS["degC"].to_grains(np.array(readings) / 10)
    nothing_bad = np.zeros(len(t), bool)
    made = Channel("TC1", UNITS["degC"], "continuous", t, v, nothing_bad, v, np.arange(len(t)))
    trace = trace_of("TC1", [(made, -ALWAYS, ALWAYS)], 600 * 10**9)
    grains = Quantity(Decimal(level) / 10, UNITS["degC"]).grains
    reached = trace.above(grains) if strict else trace.at_least(grains)
    crossings = [time for time in reached.times if t[0] < time < t[-1] and time not in t]
    expected = sum((a - level) * (b - level) < 0 for a, b in itertools.pairwise(readings))
    assert len(crossings) == expected
    for time in crossings:
        assert trace.value(time) == grains
        assert reached.value(time) == (0 if strict else 2)


# ------------------------------------------------------------------------------------------- differences printed equal
@given(
    unit=st.sampled_from(("degF", "degC", "K")),
    base=st.integers(1000, 4000),
    apart=st.integers(0, 300),
    strict=st.booleans(),
)
def test_a_spread_printed_equal_to_its_limit_is_equal_to_it(unit, base, apart, strict):
    """Tenths of a degree: 363.4 - 358.1 degF is 5.3 degF, though each of the three is rounded to a microkelvin."""
    high = Quantity(Decimal(apart) / 10, UNITS[f"{unit} difference"])
    form = Spread(
        "spread", "part", high.unit, None, None, Signal(PART, "spread"), WHOLE, Limits(high=high, high_open=strict)
    )
    for beyond, within_limit in ((0, not strict), (1, False), (-1, True)):
        if apart + beyond < 0:
            continue
        warm, cold = (base + apart + beyond) / 10, base / 10
        run = run_of(*(channel(name, [(0, v), (1, v)], unit) for name, v in (("TC1", warm), ("TC2", cold))))
        found = verdict(specification(form), run)
        assert found.outcome is (Outcome.MET if within_limit else Outcome.NOT_MET), (warm, cold, high, strict)
        assert Decimal(found.margin.value) == pytest.approx(Decimal(-beyond) / 10, abs=Decimal("0.00001"))


@given(
    unit=st.sampled_from(("inHg", "kPa", "mbar", "psi")),
    start=st.integers(100, 299),
    lost=st.integers(0, 100),
    rule=st.sampled_from(("first", "worst", "whole")),
)
def test_a_loss_of_vacuum_printed_equal_to_its_limit_is_equal_to_it(unit, start, lost, rule):
    name = f"{unit} of vacuum"
    closed = event("source closed", None, by="entry", for_each="bag")
    loses = at_most(f"{Decimal(lost) / 10} {name}")
    head = ("leak check", "bag", UNITS[name], None, None)
    form = LeakCheck(*head, Signal(Group("bag vacuum"), "single"), "source closed", None, 0, 5 * MIN, rule, loses)
    for beyond, outcome in ((0, Outcome.MET), (1, Outcome.NOT_MET)):
        bag = channel("BAG1", [(0, start / 10), (5, (start - lost - beyond) / 10)], name)
        run = run_of(bag, entries=(entry("source closed", 0, 5),))
        assert verdict(specification(form, events=(closed,), gap=5), run).outcome is outcome


@given(limit=st.integers(100, 400), by=st.integers(0, 20), unit=st.sampled_from(("degF", "degC")))
def test_an_excursion_printed_as_deep_as_its_allowance_is_inside_it(limit, by, unit):
    allowance = Allowance(quantity(f"{by} {unit} difference"), None, None)
    head = ("band", "part thermocouple", UNITS[unit], None, None)
    form = Band(*head, EACH, WHOLE, at_most(f"{limit} {unit}"), allowance)
    for beyond, outcome in ((0, Outcome.MET), (1, Outcome.NOT_MET)):
        run = run_of(channel("TC1", [(0, limit - 5), (1, limit + by + beyond / 10), (2, limit - 5)], unit))
        assert verdict(specification(form), run).outcome is outcome


@given(limit=st.integers(1000, 4000), width=st.integers(1, 40), unit=st.sampled_from(("degF", "degC")))
def test_a_reading_printed_equal_to_a_guarded_limit_is_equal_to_it(limit, width, unit):
    """Limits are added in the specification's own decimals before they are converted."""
    guard = Decision("guard", (quantity(f"{Decimal(width) / 10} {unit} difference"),), "guard band")
    head = ("band", "part thermocouple", UNITS[unit], None, None)
    form = Band(*head, EACH, WHOLE, at_most(f"{Decimal(limit) / 10} {unit}"))
    for beyond, outcome in ((0, Outcome.MET), (1, Outcome.NOT_SHOWN)):
        reading = (limit - width + beyond) / 10
        run = run_of(channel("TC1", [(0, reading), (1, reading)], unit))
        assert verdict(specification(form, decision=guard), run).outcome is outcome
