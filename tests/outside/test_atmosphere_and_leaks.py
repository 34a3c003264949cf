"""Local atmosphere against the standard atmosphere, and leak series against worked figures.

The standard atmosphere: ISO 2533 / US Standard Atmosphere 1976, through the library ``fluids`` and by its closed form below 11 km.
Leak series: a distributor's note on infusion (the readings of a bag over five minutes) and worked figures for it and for two rules;
US Army TM 1-1500-204-23-11 for the rules of 1 inHg in 1 min and 5 inHg in 5 min.
"""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from curewright.judge.kernels.slopes import each_least_squares, milliseconds
from curewright.judge.kernels.windows import greatest_fall
from curewright.terms.units import UNITS

INHG, KPA = UNITS["inHg of vacuum"], UNITS["kPa absolute"]
MINUTE = 60 * 10**9
# Altitude m, kPa, inHg as the trade's tables print them.
ALTITUDES = [
    (0, 101.325, 29.92),
    (400, 96.61, 28.53),
    (1000, 89.87, 26.54),
    (1500, 84.56, 24.97),
    (1640, 83.11, 24.54),
    (2000, 79.50, 23.47),
]


@pytest.mark.parametrize("altitude, kilopascal, inches", ALTITUDES)
def test_barometer_and_altitude_table(altitude: int, kilopascal: float, inches: float) -> None:
    isa = 101.325 * (1 - 0.0065 * altitude / 288.15) ** 5.25588
    by_library = ATMOSPHERE_1976(altitude).P / 1000
    grains = KPA.grains_of(Decimal(repr(round(isa, 6))))
    assert isa == pytest.approx(kilopascal, abs=5.1e-3)
    assert by_library == pytest.approx(isa, abs=0.01)  # the library corrects for geopotential height
    assert INHG.from_grains(grains) == pytest.approx(inches, abs=6e-3)


def test_T14_case_31_how_much_vacuum_there_is_at_2000_m() -> None:
    """25 inHg is more than the 23.48 inHg that 79.50 kPa leaves; 23.4 inHg is not."""
    there_is = KPA.grains_of(Decimal("79.50"))
    assert INHG.from_grains(there_is) == pytest.approx(23.48, abs=5e-3)
    assert INHG.grains_of(Decimal(25)) > there_is
    assert INHG.grains_of(Decimal("23.4")) < there_is


def test_the_same_reading_leaves_less_air_high_up() -> None:
    """22 inHg leaves 26.8 kPa absolute at sea level and 8.6 kPa at 1640 m; a barometer falling 3 kPa reads 0.9 inHg with no leak."""
    reading = INHG.grains_of(Decimal(22))
    assert (KPA.grains_of(Decimal("101.325")) - reading) / 1e6 == pytest.approx(26.8, abs=0.05)
    assert (KPA.grains_of(Decimal("83.11")) - reading) / 1e6 == pytest.approx(8.6, abs=0.05)
    assert INHG.from_grains(KPA.grains_of(Decimal(3))) == pytest.approx(0.9, abs=0.02)


# --------------------------------------------------------------------------------------------------------------- T13: leaks
SERIES = ("29.20", "29.17", "29.15", "29.13", "29.12", "29.11")  # inHg at 0 to 5 min


def series() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    t = np.arange(6, dtype=np.int64) * MINUTE
    v = np.array([INHG.grains_of(Decimal(text)) for text in SERIES])
    return t, v, np.zeros(6, dtype=np.uint8)


def test_T13_the_series_loses_0_09_inHg_and_passes_less_than_1_in_5() -> None:
    t, v, link = series()
    tried, fall, at = greatest_fall(t, v, link, False, 0, 5 * MINUTE, 5 * MINUTE)
    assert tried >= 1
    assert INHG.decimal_of(fall) == Decimal("0.090000")
    assert fall < INHG.grains_of(Decimal(1))
    assert at == 5 * MINUTE


def test_T13_the_least_squares_slope_of_the_series() -> None:
    """−0.01771 inHg/min, also by NumPy's polynomial fit."""
    t, v, link = series()
    first, rates = each_least_squares(t, milliseconds(t), v, link, 0, 5 * MINUTE, 5 * MINUTE, 6)
    slope = UNITS["inHg/min"].from_grains(rates[5 - first])
    assert slope == pytest.approx(-0.01771, abs=5e-6)
    assert slope == pytest.approx(np.polyfit(np.arange(6), np.array([float(text) for text in SERIES]), 1)[0], abs=1e-7)
    assert np.isnan(rates[: 5 - first]).all(), "one full window only"


def test_T13_five_inches_in_five_minutes_as_a_rate() -> None:
    """56.44 Pa/s, 33.86 mbar/min, 1 inHg/min."""
    rate = UNITS["inHg/min"].to_grains(np.array([1.0]))[0]  # Pa/min
    assert rate / 60 == pytest.approx(56.44, abs=5e-3)
    assert UNITS["mbar/min"].from_grains(rate) == pytest.approx(33.86, abs=5e-3)
