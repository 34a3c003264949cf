"""Least-squares and end-point rates against NumPy and SciPy, and the noise that a window lets through."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy.stats import linregress

from curewright.judge.kinds.rate import rates_in
from curewright.judge.trace import trace_of
from curewright.terms.load import ALWAYS
from curewright.terms.requirement import RateDefinition
from curewright.terms.run import Channel
from curewright.terms.units import UNITS

MINUTE = 60 * 10**9


def trace(milliseconds, numbers, unit="degC"):
    """A trace from readings in a unit at whole milliseconds."""
    t = np.asarray(milliseconds, np.int64) * 10**6
    v = UNITS[unit].to_grains(np.asarray(numbers, float))
    channel = Channel("TC1", UNITS[unit], "continuous", t, v, np.zeros(len(t), bool), v, np.arange(len(t)))
    return trace_of("TC1", [(channel, -ALWAYS, ALWAYS)], 10 * MINUTE)


def rates(made, kind, window, samples=3):
    """(index of the last sample, K/min) of every window over the whole trace."""
    definition = RateDefinition(kind, window, samples)
    first, found = rates_in(made, definition, int(made.t[0]), int(made.t[-1]))
    return {first + i: rate / 1000 for i, rate in enumerate(found.tolist()) if not np.isnan(rate)}


def irregular(seed):
    """A heat-up with noise, 200 samples 2 to 90 s apart."""
    rng = np.random.default_rng(seed)
    milliseconds = np.cumsum(rng.integers(2_000, 90_000, 200))
    numbers = 20 + milliseconds / 60_000 * 1.7 + rng.normal(0, 2, 200) + 15 * np.sin(milliseconds / 900_000)
    return milliseconds, np.round(numbers, 2)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("minutes", [5, 10, 17])
def test_every_window_against_polyfit_and_linregress(seed, minutes):
    milliseconds, numbers = irregular(seed)
    made = trace(milliseconds, numbers)
    found = rates(made, "least squares", minutes * MINUTE)
    expected = {}
    for i in range(len(made.t)):
        opening = made.t[i] - minutes * MINUTE
        inside = (made.t >= opening) & (made.t <= made.t[i])
        if opening >= made.t[0] and inside.sum() >= 3:
            x, y = (made.t[inside] - made.t[i]) / MINUTE, made.v[inside] / 1e6
            expected[i] = np.polyfit(x, y - y.mean(), 1)[0]
            assert linregress(x, y).slope == pytest.approx(expected[i], rel=1e-9, abs=1e-9)
    assert found.keys() == expected.keys()
    assert len(expected) > 100
    for i, slope in expected.items():
        assert found[i] == pytest.approx(slope, rel=1e-9, abs=1e-10)


@pytest.mark.parametrize("seed", range(6))
def test_end_points_against_numpys_interpolation(seed):
    milliseconds, numbers = irregular(seed)
    made = trace(milliseconds, numbers)
    found = rates(made, "end points", 8 * MINUTE)
    kelvin = made.v / 1e6
    for i, rate in found.items():
        opening = np.interp(float(made.t[i] - 8 * MINUTE), made.t.astype(float), kelvin)
        assert rate == pytest.approx((kelvin[i] - opening) / 8, abs=2e-7)  # an interpolated value is a whole grain
    assert len(found) > 100


def test_noise_that_passes_a_window_of_5_min():
    """White noise of 0.1 degC every half minute, 11 samples: slope sd = sigma sqrt(12 / (n (n**2 - 1))) / dt = 0.0191 degC/min, by end
    points sqrt(2) sigma / 5 = 0.0283 (worked by hand from textbook formulas). 4000 separate windows: the sd of an sd is sd / sqrt(2 N).
    """
    n, windows, sigma, step = 11, 4000, 0.1, 0.5
    rng = np.random.default_rng(20310304)
    made = trace(np.arange(n * windows) * 30_000, 180 + rng.normal(0, sigma, n * windows))
    for kind, sd in (
        ("least squares", sigma * sqrt(12 / (n * (n**2 - 1))) / step),
        ("end points", sqrt(2) * sigma / 5),
    ):
        found = rates(made, kind, 5 * MINUTE)
        separate = np.array([found[i] for i in range(n - 1, n * windows, n)])
        assert len(separate) == windows
        assert abs(separate.std() - sd) < 4 * sd / sqrt(2 * windows)
        assert abs(separate.mean()) < 4 * sd / sqrt(windows)
    assert round(sigma * sqrt(12 / (n * (n**2 - 1))) / step, 4) == 0.0191
    assert round(sqrt(2) * sigma / 5, 4) == 0.0283


def test_a_constant_offset_of_a_thermocouple_cancels_and_a_gain_does_not():
    milliseconds, numbers = irregular(7)
    plain = rates(trace(milliseconds, numbers), "least squares", 10 * MINUTE)
    offset = rates(trace(milliseconds, numbers + 3), "least squares", 10 * MINUTE)
    gain = rates(trace(milliseconds, numbers * 1.02), "least squares", 10 * MINUTE)
    for i, rate in plain.items():
        assert offset[i] == pytest.approx(rate, abs=1e-6)
        assert gain[i] == pytest.approx(rate * 1.02, abs=1e-6)


def test_slope_of_the_leak_series():
    """29.20, 29.17, 29.15, 29.13, 29.12, 29.11 inHg at 0 to 5 min (published by a distributor): -0.01771 inHg/min."""
    made = trace(np.arange(6) * 60_000, [29.20, 29.17, 29.15, 29.13, 29.12, 29.11], "inHg of vacuum")
    definition = RateDefinition("least squares", 5 * MINUTE, 6)
    _, (*_, last) = rates_in(made, definition, 0, int(made.t[-1]))
    assert last / UNITS["inHg/min"].scale == pytest.approx(-0.01771, abs=5e-6)
