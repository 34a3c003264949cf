"""Kinetics from runs with known answers: made-up curves of others (shared data), and curves solved with SciPy from published constants."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from curewright.physics.fitting.conversion import Conversion, from_degree_of_cure, from_heat_flow
from curewright.physics.fitting.friedman import friedman
from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.rate_law import fit_law

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

R = 8.314
LEVELS = np.arange(0.05, 0.951, 0.05)


def made_up(folder: Path, case: str) -> list[Conversion]:
    """Four curves of mass at 2.5 to 20 K/min (example data of pICNIK, MIT licence), from first to last mass."""
    found = []
    for rate in ("2.5", "5", "10", "20"):
        t, T, mass = np.loadtxt(folder / "kinetics_synthetic" / f"E_{case}_{rate}.csv", delimiter=",", skiprows=1).T
        found.append(from_degree_of_cure(rate, 60 * t, T + 273.15, (mass[0] - mass) / (mass[0] - mass[-1])))
    return found


def test_constant_activation_energy(shared_data: Path) -> None:
    """Published with the data: 75 kJ/mol; Friedman's method gives 75.0 ± 0.2."""
    runs = made_up(shared_data, "cnt")
    found = friedman(runs, LEVELS)
    assert pytest.approx(75.0e3, abs=200) == found.E
    assert found.one_reaction
    assert (found.low < found.E).all()
    assert (found.high - found.low < 200).all()
    fitted = fit_law("nth order", runs, {"A": 1e4, "E": 6e4, "n": 1.5})
    assert fitted.constant("E") == pytest.approx(75.0e3, abs=200)
    assert fitted.constant("n") == pytest.approx(1.0, abs=0.01), "first order, by what the curves look like"
    assert fitted.fit.residual_deviation < 1e-4


def test_two_steps(shared_data: Path) -> None:
    """75, then 115 kJ/mol."""
    found = friedman(made_up(shared_data, "2S"), LEVELS)
    assert found.E[LEVELS < 0.5] == pytest.approx(75e3, abs=200)
    assert found.E[LEVELS > 0.72] == pytest.approx(115e3, abs=200)
    assert not found.one_reaction


def test_varying_activation_energy(shared_data: Path) -> None:
    """70 to 105 kJ/mol."""
    runs = made_up(shared_data, "var")
    found = friedman(runs, LEVELS)
    assert found.E[LEVELS < 0.36] == pytest.approx(70e3, abs=250)
    assert found.E[LEVELS > 0.58] == pytest.approx(105e3, abs=300)
    between = found.E[(LEVELS > 0.36) & (LEVELS < 0.58)]
    assert (np.diff(between) > 0).all()
    assert not found.one_reaction
    assert fit_law("nth order", runs, {"A": 1e4, "E": 6e4, "n": 1.5}).fit.residual_deviation > 0.02, (
        "one reaction does not fit"
    )


def solved(
    rate: Callable[[float, float], float], t: np.ndarray, T: Callable[[float], float], start: float
) -> np.ndarray:
    """The degree of cure by SciPy's LSODA at rtol 1e-10."""
    found = solve_ivp(
        lambda s, a: [rate(T(s), a[0])], (t[0], t[-1]), [start], t_eval=t, method="LSODA", rtol=1e-10, atol=1e-12
    )
    return found.y[0]


def diffusion(T: float, a: float) -> float:
    """Hubert and others 2001 (second-hand)."""
    slowed = 1 + np.exp(43.09 * (a - (-1.684 + 5.475e-3 * T)))
    return float(1.528e5 * np.exp(-6.65e4 / (R * T)) * a**0.8129 * (1 - a) ** 2.736 / slowed)


def held(
    celsius: float, minutes: float, rate: Callable[[float, float], float], start: float, n: int = 400
) -> Conversion:
    t = np.linspace(0, 60 * minutes, n)
    alpha = solved(rate, t, lambda s: celsius + 273.15, start)
    return from_degree_of_cure(f"{celsius} °C", t, np.full(n, celsius + 273.15), alpha)


def heated(per_minute: float, rate: Callable[[float, float], float], start: float, to: float = 290) -> Conversion:
    t = np.linspace(0, 60 * (to - 40) / per_minute, 600)
    alpha = solved(rate, t, lambda s: 313.15 + s * per_minute / 60, start)
    return from_degree_of_cure(f"{per_minute} K/min", t, 313.15 + t * per_minute / 60, alpha)


@pytest.fixture(scope="module")
def runs() -> list[Conversion]:
    """Three isothermal and two heated runs of one law."""
    isothermal = [held(celsius, minutes, diffusion, 0.01) for celsius, minutes in ((150, 240), (165, 180), (180, 150))]
    return isothermal + [heated(per_minute, diffusion, 0.01) for per_minute in (2.0, 10.0)]


def test_isothermal_and_heated_runs_together_give_the_published_constants_back(runs: list[Conversion]) -> None:
    start = {"A": 5e4, "E": 6e4, "m": 0.5, "n": 1.5, "C": 30.0, "aC0": -1.5, "aCT": 5e-3}
    found = fit_law("autocatalytic with diffusion", runs, start)
    expected = {"E": 6.65e4, "m": 0.8129, "n": 2.736, "C": 43.09, "aC0": -1.684, "aCT": 5.475e-3}
    for name, value in expected.items():
        assert found.constant(name) == pytest.approx(value, rel=2e-4), name
    assert np.log(found.constant("A") / 1.528e5) == pytest.approx(0, abs=2e-3)
    assert found.fit.residual_deviation < 1e-6


def test_two_rates(runs: list[Conversion]) -> None:
    """Of the second rate alone the law of Hubert is a case: the first one is then told to be nothing, or not to be told."""

    def two(T: float, a: float) -> float:
        first = 2.53e4 * np.exp(-60628 / (R * T)) * a**0.55 * (1 - a) ** 21.11
        slowed = 1 + np.exp(44.3 * (a - (-1.4 + 5.33e-3 * T)))
        return float(first + 4.84e4 * np.exp(-61752 / (R * T)) * a**0.8 * (1 - a) ** 1.18 / slowed)

    curves = [
        held(celsius, minutes, two, 0.01) for celsius, minutes in ((100, 600), (121, 400), (140, 240), (160, 120))
    ]
    curves += [heated(per_minute, two, 0.01) for per_minute in (2.0, 10.0)]
    known = {"m1": 0.55, "n1": 21.11, "D": 44.3, "aCT": 5.33e-3}
    start = {"A1": 1e4, "A2": 1e4, "E1": 6e4, "E2": 6e4, "m2": 1.0, "n2": 1.5, "aC0": -1.5}
    found = fit_law("two rates with diffusion", curves, start, held=known)
    assert found.constant("E1") == pytest.approx(60628, rel=2e-3)
    assert found.constant("E2") == pytest.approx(61752, rel=2e-3)
    assert (found.constant("m2"), found.constant("n2")) == pytest.approx((0.8, 1.18), rel=2e-3)
    assert found.constant("m1") == 0.55


def first_order(T: float, a: float) -> float:
    return float(2e5 * np.exp(-6.2e4 / (R * T)) * (1 - a) ** 1.3)


def noisy(one: Conversion, rng: np.random.Generator, size: float, along: float) -> Conversion:
    """With a first-order autoregressive error on the degree of cure."""
    fresh, e = rng.normal(0, size, one.t.size), np.zeros(one.t.size)  # a run starts where it starts
    for i in range(1, e.size):
        e[i] = along * e[i - 1] + np.sqrt(1 - along**2) * fresh[i]
    return Conversion(one.name, one.t, one.T, one.alpha + e, one.rate)


@pytest.mark.parametrize("along", [0.0, 0.9])
def test_limits_hold_the_truth_about_as_often_as_they_say(along: float) -> None:
    """95 % limits of E and n over 120 noisy repetitions, also where the error of neighbouring samples goes together."""
    clean = [held(celsius, 120, first_order, 0.0, 100) for celsius in (130, 150, 170)]
    rng, inside, naive = np.random.default_rng(7), np.zeros(2), np.zeros(2)
    for _ in range(120):
        found = fit_law("nth order", [noisy(one, rng, 0.01, along) for one in clean], {"A": 1e5, "E": 6e4, "n": 1.0})
        for j, (name, truth) in enumerate((("E", 6.2e4), ("n", 1.3))):
            low, high = found.limits(name)
            inside[j] += low <= truth <= high
            low, high = found.fit.limits()
            naive[j] += low[found.fit.names.index(name)] <= truth <= high[found.fit.names.index(name)]
    assert (inside / 120 > 0.88).all()
    if along:
        assert (naive / 120 < 0.75).all(), "what taking samples for independent would have claimed"


def test_the_error_of_ln_A_belongs_to_k_and_E_together() -> None:
    clean = [held(celsius, 120, first_order, 0.0, 100) for celsius in (130, 150, 170)]
    rng, found = np.random.default_rng(8), []
    for _ in range(60):
        found.append(
            fit_law("nth order", [noisy(one, rng, 0.01, 0.0) for one in clean], {"A": 1e5, "E": 6e4, "n": 1.0})
        )
    scatter = np.std([np.log(one.constant("A")) for one in found], ddof=1)
    stated = np.mean([one.standard_error_of_ln_A() for one in found])
    assert stated == pytest.approx(scatter, rel=0.3)


def test_what_the_runs_cannot_tell_is_refused() -> None:
    alone = [held(150, 120, first_order, 0.0)]
    with pytest.raises(CannotTellError, match=r"tell only a combination of ln k, E|do not depend on E"):
        fit_law("nth order", alone, {"A": 1e5, "E": 6e4, "n": 1.0})
    assert fit_law("nth order", alone, {"A": 1e5, "n": 1.0}, held={"E": 6.2e4}).constant("n") == pytest.approx(
        1.3, rel=1e-4
    )
    early = [held(celsius, minutes, diffusion, 0.01, 60) for celsius, minutes in ((150, 15), (160, 12), (170, 8))]
    with pytest.raises(CannotTellError, match=r"C|ceiling|aCT"):  # nothing has turned to glass yet
        fit_law(
            "autocatalytic with diffusion",
            early,
            {"A": 1e5, "E": 6.6e4, "m": 0.8, "n": 2.7, "C": 43.0, "aC0": -1.0, "aCT": 5e-3},
        )
    with pytest.raises(CannotTellError, match="the law 'lee 1982' cannot be fitted; expected autocatalytic"):
        fit_law("lee 1982", alone, {})
    with pytest.raises(CannotTellError, match="no start for n"):
        fit_law("nth order", alone, {"A": 1e5, "E": 6e4})


def test_friedman_on_isothermal_and_heated_runs_before_glass(runs: list[Conversion]) -> None:
    """The published activation energy, as long as diffusion does not slow the reaction (to α = 0.3 here)."""
    found = friedman(runs, [0.1, 0.2, 0.3])
    assert pytest.approx(6.65e4, rel=5e-3) == found.E
    assert found.one_reaction


def test_friedman_refuses_what_it_cannot_tell(runs: list[Conversion]) -> None:
    with pytest.raises(CannotTellError, match=r"2 run\(s\)"):
        friedman(runs[:2], [0.5])
    with pytest.raises(CannotTellError, match=r"150 °C does not pass a degree of cure of 0.95"):
        friedman(runs, [0.95])
    with pytest.raises(CannotTellError, match="within 0 K"):
        friedman([runs[0]] * 3, [0.3])
    with pytest.raises(CannotTellError, match="kelvin, not °C"):
        from_degree_of_cure("a run", np.arange(5.0), np.full(5, 150.0), np.linspace(0, 1, 5))


def test_runs_that_are_none_are_refused() -> None:
    t, T = np.linspace(0, 100, 6), np.full(6, 420.0)
    with pytest.raises(CannotTellError, match="a run: 4 samples; expected five or more"):
        from_degree_of_cure("a run", t[:4], T[:4], t[:4] / 200)
    with pytest.raises(CannotTellError, match="time rising"):
        Conversion("a run", t[::-1], T, t / 200, t)
    with pytest.raises(CannotTellError, match="samples that are missing"):
        from_degree_of_cure("a run", t, T, np.array([0, 0.1, np.nan, 0.3, 0.4, 0.5]))


def test_a_level_that_is_passed_at_rest_has_no_rate() -> None:
    run = Conversion("a run", np.arange(5.0), np.full(5, 400.0), np.array([0.1, 0.2, 0.3, 0.4, 0.5]), np.zeros(5))
    assert run.at(0.3) is None
    assert run.at(0.05) is None, "passed before the run"
    assert run.at(0.9) is None, "never reached"


def test_heat_flow_becomes_a_degree_of_cure() -> None:
    """A heated run whole, an isothermal one by its share of the total: 540 kJ/kg over a drifting baseline."""
    ramp, flat = heated(5.0, first_order, 0.0), held(170, 240, first_order, 0.0, 6000)
    for run, baseline, drift in ((ramp, "straight", 2.0), (flat, "level", 0.0)):
        exact = np.array([first_order(T, a) for T, a in zip(run.T, run.alpha, strict=True)])
        flow = 540e3 * exact + 3.0 + drift * run.t / run.t[-1]
        found, heat = from_heat_flow("run", run.t, run.T, flow, baseline=baseline, total_heat=None)
        under = (
            exact[-1] if baseline == "level" else (exact[0] + exact[-1]) / 2
        )  # what the baseline takes for no reaction
        assert heat == pytest.approx(540e3 * (run.alpha[-1] - under * run.t[-1]), rel=1e-3)
        assert found.alpha == pytest.approx(run.alpha, abs=0.015)
        assert found.rate == pytest.approx(exact, abs=0.02 * exact.max())
    half, whole = from_heat_flow("run", flat.t, flat.T, flow, baseline="level", total_heat=1080e3)
    assert whole == 1080e3
    assert half.alpha[-1] == pytest.approx(0.5, abs=0.003)
    with pytest.raises(CannotTellError, match="expected an exotherm"):
        from_heat_flow("run", ramp.t, ramp.T, -np.sin(np.pi * ramp.t / ramp.t[-1]), baseline="straight")
    with pytest.raises(CannotTellError, match="what is left of the total"):
        from_heat_flow("run", flat.t, flat.T, flow, baseline="level", start=0.01, total_heat=200e3)
