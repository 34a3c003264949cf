"""Every unit against pint, a general units library; pressure references, which pint does not know, by explicit arithmetic.

Exact factors: 1 in = 0.0254 m, 1 lb = 0.45359237 kg, g = 9.80665 m/s² (NIST SP 811). Inches of mercury are at 0 °C.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest

from curewright.terms.errors import UnitError
from curewright.terms.units import PRESSURES, UNITS, Unit, unit_named

PINT = pint.UnitRegistry()
NUMBERS = ("0", "1", "14.7", "22.5", "85", "176.667", "350", "1013.25")
PRESSURE_NAMES = {"inHg": "inch_Hg_32F", **{name: name for name in PRESSURES if name != "inHg"}}
TEMPERATURE_NAMES = {"K": "kelvin", "degC": "degC", "degF": "degF"}
DELTAS = {"K": "kelvin", "degC": "delta_degC", "degF": "delta_degF"}
PERS = {"s": "second", "min": "minute", "h": "hour"}
# pint's mmHg is 13.5951 g/cm³ × g × 1 mm, as ours; its inHg is rounded nowhere. One grain: 1 µK or 1 mPa.


def magnitude(number: str, name: str, to: str) -> float:
    return float(PINT.Quantity(float(number), name).to(to).magnitude)


@pytest.mark.parametrize("name", TEMPERATURE_NAMES)
@pytest.mark.parametrize("number", [*NUMBERS, "-40", "-18"])
def test_temperatures(name: str, number: str) -> None:
    expected = magnitude(number, TEMPERATURE_NAMES[name], "kelvin")
    assert UNITS[name].grains_of(Decimal(number)) == pytest.approx(expected * 1e6, abs=0.51)


@pytest.mark.parametrize("name", TEMPERATURE_NAMES)
@pytest.mark.parametrize("number", NUMBERS)
def test_differences_of_temperature_convert_by_scale_only(name: str, number: str) -> None:
    expected = magnitude(number, DELTAS[name], "kelvin") * 1e6
    assert UNITS[f"{name} difference"].grains_of(Decimal(number)) == pytest.approx(expected, abs=0.51)
    assert UNITS[name].difference().grains_of(Decimal(number)) == pytest.approx(expected, abs=0.51)


@pytest.mark.parametrize("reference", ["absolute", "gauge", "of vacuum", "difference"])
@pytest.mark.parametrize("name", PRESSURES)
def test_pressures(name: str, reference: str) -> None:
    for number in NUMBERS:
        expected = magnitude(number, PRESSURE_NAMES[name], "pascal") * 1e3
        assert UNITS[f"{name} {reference}"].grains_of(Decimal(number)) == pytest.approx(expected, rel=1e-12, abs=0.51)


@pytest.mark.parametrize("per", PERS)
@pytest.mark.parametrize("name", [*TEMPERATURE_NAMES, *PRESSURES])
def test_rates_have_neither_offset_nor_reference(name: str, per: str) -> None:
    """A rate is carried in mK/min or Pa/min."""
    unit = f"{DELTAS.get(name) or PRESSURE_NAMES[name]} / {PERS[per]}"
    base, factor = ("kelvin / minute", 1e3) if name in DELTAS else ("pascal / minute", 1.0)
    for number in NUMBERS:
        expected = magnitude(number, unit, base) * factor
        assert UNITS[f"{name}/{per}"].to_grains(np.array([float(number)]))[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "name, theirs, base, grains",
    [
        *((name, name if name != "day" else "day", "second", 1e9) for name in ("ms", "s", "min", "h", "day")),
        *((name, name if name != "in" else "inch", "meter", 1e9) for name in ("mm", "cm", "m", "in")),
        ("fraction", "dimensionless", "dimensionless", 1e9),
        ("percent", "percent", "dimensionless", 1e9),
        ("Pa s", "pascal * second", "pascal * second", 1e6),
        ("count", "dimensionless", "dimensionless", 1.0),
    ],
)
def test_times_lengths_and_the_rest(name: str, theirs: str, base: str, grains: float) -> None:
    for number in ("0", "1", "7", "120"):
        expected = magnitude(number, theirs, base) * grains
        assert UNITS[name].grains_of(Decimal(number)) == pytest.approx(expected, rel=1e-12)


def test_no_unit_is_left_out_of_these_checks() -> None:
    checked = {
        *TEMPERATURE_NAMES,
        *(f"{name} difference" for name in (*TEMPERATURE_NAMES, *PRESSURES)),
        *(f"{name} {reference}" for name in PRESSURES for reference in ("absolute", "gauge", "of vacuum")),
        *(f"{name}/{per}" for name in (*TEMPERATURE_NAMES, *PRESSURES) for per in PERS),
        *("ms", "s", "min", "h", "day", "mm", "cm", "m", "in", "fraction", "percent", "Pa s", "count"),
    }
    assert set(UNITS) == checked


def test_inches_of_mercury_at_0_degC_are_not_those_at_60_degF() -> None:
    """3386.389 Pa (NIST SP 811, 0 °C) against 3376.85 Pa (60 °F): 0.28 %, 0.08 inHg in 29.92."""
    ours = UNITS["inHg of vacuum"].grains_of(Decimal(1)) / 1e3
    at_60F = magnitude("1", "inch_Hg_60F", "pascal")
    assert ours == pytest.approx(3386.389, abs=5e-4)
    assert at_60F == pytest.approx(3376.85, abs=5e-3)
    assert (ours - at_60F) / ours == pytest.approx(0.00282, abs=5e-6)


def test_gauge_absolute_and_vacuum_are_tied_by_the_barometer_and_by_nothing_else() -> None:
    """85 psi gauge at 101.325 kPa is 687.379 kPa absolute; 22 inHg of vacuum is 26.824 kPa absolute."""
    barometer = UNITS["kPa absolute"].grains_of(Decimal("101.325"))
    gauge, vacuum = UNITS["psi gauge"].grains_of(Decimal(85)), UNITS["inHg of vacuum"].grains_of(Decimal(22))
    absolute = magnitude("85", "psi", "kilopascal") + 101.325
    assert (gauge + barometer) / 1e6 == pytest.approx(absolute, abs=1e-6)
    assert (barometer - vacuum) / 1e6 == pytest.approx(101.325 - magnitude("22", "inch_Hg_32F", "kilopascal"), abs=1e-6)
    assert (gauge + barometer) / 1e6 == pytest.approx(687.379, abs=5e-4)
    assert (barometer - vacuum) / 1e6 == pytest.approx(26.824, abs=5e-4)
    for name in ("psi", "bar", "inHg"):
        references = {UNITS[f"{name} {reference}"].reference for reference in ("absolute", "gauge", "of vacuum")}
        assert references == {"absolute", "gauge", "vacuum"}
        assert len({UNITS[f"{name} {reference}"].scale for reference in ("absolute", "gauge", "of vacuum")}) == 1


@pytest.mark.parametrize(
    "number, unit, kilopascal",
    [
        ("22", "inHg difference", 74.50),  # field manuals of composite repair print 10.8 psi for it
        ("1", "inHg difference", 3.386389),
        ("1", "torr difference", 0.133322),
        ("15", "torr difference", 2.0),
        ("85", "psi difference", 586.05),
        ("100", "psi difference", 689.48),
    ],
)
def test_values_that_the_trade_prints(number: str, unit: str, kilopascal: float) -> None:
    found = UNITS[unit].grains_of(Decimal(number)) / 1e6
    assert found == pytest.approx(kilopascal, rel=2e-4)


def test_one_bar_is_29_53_inches_of_mercury_and_one_inch_0_4911542_psi() -> None:
    assert UNITS["inHg difference"].from_grains(UNITS["bar difference"].grains_of(Decimal(1))) == pytest.approx(
        29.53, abs=5e-4
    )
    assert UNITS["psi difference"].from_grains(UNITS["inHg difference"].grains_of(Decimal(1))) == pytest.approx(
        0.4911542, abs=1e-6
    )


@pytest.mark.parametrize("name", PRESSURES)
def test_a_pressure_without_its_reference_is_never_guessed(name: str) -> None:
    with pytest.raises(UnitError, match="has no reference"):
        unit_named(name)


# ------------------------------------------------------------------------------------------------ an edge is met by its own value
TEMPERATURES = [UNITS[name] for name in ("degC", "degF", "K")]
GAUGES = [UNITS[name] for name in ("psi gauge", "bar gauge", "kPa gauge", "inHg of vacuum", "mbar absolute")]


@pytest.mark.parametrize("unit", [*TEMPERATURES, *GAUGES], ids=lambda unit: unit.name)
def test_case_3_every_whole_centre_and_half_width_meets_its_own_edge(unit: Unit) -> None:
    """The limit is added in its own decimals and then converted; the recorder's value is parsed and then converted."""
    centres, halves = range(0, 401), range(1, 31)
    low = np.array([[unit.grains_of(Decimal(centre) - Decimal(half)) for half in halves] for centre in centres])
    high = np.array([[unit.grains_of(Decimal(centre) + Decimal(half)) for half in halves] for centre in centres])
    recorded_low = unit.to_grains(np.array([[float(centre - half) for half in halves] for centre in centres]))
    recorded_high = unit.to_grains(np.array([[float(centre + half) for half in halves] for centre in centres]))
    assert np.array_equal(low, recorded_low)
    assert np.array_equal(high, recorded_high)
    step = Decimal(1).scaleb(-unit.decimals + 1)
    assert unit.grains_of(Decimal(360) + step) > unit.grains_of(Decimal(360)), "and the next printed value is beyond it"


def test_a_whole_degree_celsius_is_the_same_instant_of_temperature_in_fahrenheit_and_kelvin() -> None:
    """In plain floating point most of the 201 whole °C differ from the K of the same temperature in °F; in grains none does."""
    plain = 0
    for tenths in range(-500, 4001):
        celsius = Decimal(tenths) / 10
        fahrenheit, kelvin = celsius * 9 / 5 + 32, celsius + Decimal("273.15")
        grains = {UNITS["degC"].grains_of(celsius), UNITS["degF"].grains_of(fahrenheit), UNITS["K"].grains_of(kelvin)}
        assert len(grains) == 1, celsius
        whole = tenths % 10 == 0 and 0 <= tenths <= 2000
        plain += whole and float(celsius) + 273.15 != (float(fahrenheit) + 459.67) * 5 / 9
    assert plain > 100, "the trap is real on this machine"


def test_half_degrees_and_tenths_in_fahrenheit_land_on_the_nearest_grain() -> None:
    """Exact fractions: (F + 459.67) × 5/9 K, rounded half to even to 1 µK."""
    for tenths in range(-600, 8001):
        exact = (Fraction(tenths, 10) + Fraction(45967, 100)) * Fraction(5, 9) * 10**6
        assert UNITS["degF"].grains_of(Decimal(tenths) / 10) == round(exact)


@pytest.mark.parametrize("unit", [*TEMPERATURES, *GAUGES], ids=lambda unit: unit.name)
def test_what_is_printed_back_is_what_was_written(unit: Unit) -> None:
    for tenths in range(-200, 4000, 7):
        number = Decimal(tenths) / 10
        assert unit.decimal_of(unit.grains_of(number)) == number


def test_case_4_of_the_binding_cases_in_grains() -> None:
    """182.22 °C is 359.996 °F and met against 360 °F; 182.23 °C is 360.014 °F and not."""
    limit = UNITS["degF"].grains_of(Decimal(360))
    left = [
        Fraction(int(limit - UNITS["degC"].grains_of(Decimal(text)))) * Fraction(9, 5) / 10**6
        for text in ("182.22", "182.23")
    ]
    assert [round(float(one), 3) for one in left] == [0.004, -0.014]
