"""Fitting a vessel: what made the air is known here (by SciPy's integrator), so it has to be found again within what the fit says."""

from datetime import UTC, datetime
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from curewright.physics.fitting.least_squares import CannotTellError
from curewright.predict.fit_vessel import FittedVessel, fit_vessel
from curewright.terms.errors import CurewrightError
from curewright.terms.load import ALWAYS, Assignment, Load
from curewright.terms.run import Run
from tests.unit.judge.build import channel

LOAD = Load(
    "r", "v", None, (), (),
    (Assignment("A", "A", "air", "v", "", 0, ALWAYS, "P"), Assignment("S", "S", "set point", "v", "", 0, ALWAYS, "P")),
)  # fmt: skip
CYCLE = ((0, 20), (10, 20), (60, 140), (90, 140), (105, 170), (135, 170), (190, 60), (210, 60))  # min, degC
SHORT = ((0, 20), (5, 20), (40, 120), (60, 120), (90, 60), (100, 60))
STEPS = ((0, 20), (10, 20), (10.01, 150), (150, 150), (150.01, 60), (280, 60))
TRUTH = {"lag": 180.0, "heating": 1e9, "cooling": 1e9, "offset": 0.0}
MINUTE = 1 / 60


@cache
def air(points, *, every=0.5, **truth) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Minutes, set point and air [degC] of a first-order lag whose rate is limited, by SciPy's integrator."""
    has = TRUTH | truth
    minute, celsius = np.array(points, dtype=float).T

    def rate(t: float, T: np.ndarray) -> np.ndarray:
        return np.clip((np.interp(t / 60, minute, celsius) - T) / has["lag"], -has["cooling"], has["heating"])

    t = np.arange(0.0, minute[-1] + every / 2, every)
    solved = solve_ivp(rate, (0.0, t[-1] * 60), [celsius[0]], t_eval=t * 60, max_step=30.0, rtol=1e-7, atol=1e-7)
    return t, np.interp(t, minute, celsius), solved.y[0] + has["offset"]


def run(t, wanted, shown) -> Run:
    channels = {
        "A": channel("A", list(zip(t.tolist(), shown.tolist(), strict=True))),
        "S": channel("S", list(zip(t.tolist(), wanted.tolist(), strict=True))),
    }
    return Run("R-1", datetime(2031, 3, 4, tzinfo=UTC), "v", channels)


def fitted(points=CYCLE, *, noise=0.0, together=0.0, seed=1, every=0.5, **truth) -> FittedVessel:
    """``together``: correlation of neighbouring noise."""
    t, wanted, exact = air(points, every=every, **truth)
    fresh = np.random.default_rng(seed).normal(0.0, noise, t.size) if noise else np.zeros(t.size)
    scatter = fresh.copy()
    for i in range(1, t.size):
        scatter[i] = together * scatter[i - 1] + np.sqrt(1.0 - together**2) * fresh[i]
    return fit_vessel(run(t, wanted, exact + scatter), LOAD)


@pytest.mark.parametrize("lag", [20.0, 120.0, 900.0])
def test_a_lag_is_found_again_and_an_air_that_was_never_held_back_gives_lower_bounds(lag: float) -> None:
    found = fitted(lag=lag, offset=-1.5)
    assert found.lag == pytest.approx(lag, rel=5e-3)
    assert found.offset == pytest.approx(-1.5, abs=0.02)
    assert found.rms < 0.05
    assert found.heating is not None
    assert found.cooling is not None
    assert found.heating.at_least
    assert found.cooling.at_least
    _, _, exact = air(CYCLE, lag=lag, offset=-1.5)
    over_5_min = exact[10:] - exact[:-10]
    assert found.heating.value == pytest.approx(over_5_min.max() / 300, rel=3e-3)
    assert found.cooling.value == pytest.approx(-over_5_min.min() / 300, rel=3e-3)


@pytest.mark.parametrize("heating, cooling", [(1.5 * MINUTE, 1e9), (1e9, 1.2 * MINUTE), (1.8 * MINUTE, 1.4 * MINUTE)])
def test_limits_that_held_the_air_back_are_found_again(heating: float, cooling: float) -> None:
    found = fitted(noise=0.2, heating=heating, cooling=cooling)
    assert abs(found.lag - 180.0) < 4 * found.lag_error
    for told, truth in ((found.heating, heating), (found.cooling, cooling)):
        assert told is not None
        assert told.at_least == (truth == 1e9)
        if told.standard_error is not None:
            assert abs(told.value - truth) < 4 * told.standard_error
            assert told.standard_error < 0.02 * truth


def test_a_set_point_that_jumps_shows_both_limits() -> None:
    found = fitted(STEPS, noise=0.2, heating=2 * MINUTE, cooling=1.5 * MINUTE, lag=240.0)
    assert found.heating is not None
    assert found.cooling is not None
    assert found.heating.value == pytest.approx(2 * MINUTE, rel=0.01)
    assert found.cooling.value == pytest.approx(1.5 * MINUTE, rel=0.01)
    assert found.lag == pytest.approx(240.0, rel=0.05)


@pytest.mark.parametrize("together", [0.0, 0.9])
def test_the_standard_error_is_as_wide_as_the_scatter(together: float) -> None:
    """Of scatter that is fresh at every sample, and of scatter that goes together; no limit is made of either."""
    found = [fitted(SHORT, noise=0.5, together=together, seed=seed) for seed in range(10)]
    off = np.array([(one.lag - 180.0) / one.lag_error for one in found])
    assert np.abs(off).max() < 4.0
    assert 0.4 < np.sqrt(np.mean(off**2)) < 1.8  # about 1 where the errors are honest
    assert all(told is not None and told.at_least for one in found for told in (one.heating, one.cooling))


def test_a_run_that_ends_hot_tells_nothing_of_cooling() -> None:
    found = fitted(CYCLE[:6])
    assert found.cooling is None
    assert found.heating is not None


def test_samples_that_are_no_values_are_bridged_and_told() -> None:
    t, wanted, exact = air(CYCLE)
    whole = run(t, wanted, exact)
    holed = channel(
        "S", list(zip(t.tolist(), wanted.tolist(), strict=True)), bad=tuple(t[(t > 80) & (t < 90)].tolist())
    )
    found = fit_vessel(Run("R-1", whole.start, "v", {**whole.channels, "S": holed}), LOAD)
    assert found.lag == pytest.approx(180.0, rel=5e-3)
    assert any("S: 10.0 min without a value" in note for note in found.notes)


def test_a_flat_run_tells_nothing() -> None:
    with pytest.raises(CannotTellError, match=r"the air moves by 10\.0 K in this run; expected at least 20 K: a ramp"):
        fitted(((0, 20), (60, 30), (120, 30)))


def test_a_short_run_tells_nothing() -> None:
    with pytest.raises(CannotTellError, match=r"21 means of the air .* expected 30 or more"):
        fitted(((0, 20), (10, 80)))


def test_samples_that_are_too_seldom_for_the_lag_tell_nothing() -> None:
    with pytest.raises(CannotTellError, match=r"the control lag comes out as|ends on its bound"):
        fitted(lag=5.0, noise=1.0, together=0.9, every=5.0)


def test_an_air_that_does_not_follow_its_set_point_is_refused() -> None:
    t, wanted, exact = air(CYCLE)
    with pytest.raises(CannotTellError, match=r"the control lag comes out as|ends on its bound"):
        fit_vessel(run(t, wanted[::-1].copy(), exact), LOAD)


def test_a_run_without_a_set_point_or_air_says_what_to_record() -> None:
    t, wanted, exact = air(CYCLE)
    whole = run(t, wanted, exact)
    with pytest.raises(CannotTellError, match="no set point of the air was recorded as a temperature"):
        fit_vessel(Run("R-1", whole.start, "v", {"A": whole.channels["A"]}), LOAD)
    program = channel("S", [(0, "up"), (10, "soak")], kind="state", states=("up", "soak"))
    with pytest.raises(CannotTellError, match="no set point of the air was recorded as a temperature"):
        fit_vessel(Run("R-1", whole.start, "v", {**whole.channels, "S": program}), LOAD)
    with pytest.raises(CurewrightError, match="no air thermocouple"):
        fit_vessel(Run("R-1", whole.start, "v", {"S": whole.channels["S"]}), LOAD)
