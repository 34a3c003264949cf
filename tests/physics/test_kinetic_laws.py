"""Rates of the kinetic laws and their exact slopes, against the laws as the papers print them, written here a second time.

Slopes are held against complex steps (Squire and Trapp 1998, SIAM Review 40, 110): exact to rounding, without differences. Constants:
published ones where there are any (second-hand or from memory), else invented.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from curewright.physics.kinetics.along_a_trace import degree_of_cure
from curewright.physics.kinetics.laws import LAWS, NEVER, VALUES, jump, rate, slopes

if TYPE_CHECKING:
    from numpy.typing import NDArray

R = 8.314
Formula = Callable[[complex, complex, dict[str, float]], complex]


def K(A: float, E: float, T: complex) -> complex:
    return A * np.exp(-E / (R * T))


def lee_below(T: complex, a: complex, v: dict[str, float]) -> complex:
    return (K(v["A1"], v["E1"], T) + K(v["A2"], v["E2"], T) * a) * (1 - a) * (v["B"] - a)


def lee_above(T: complex, a: complex, v: dict[str, float]) -> complex:
    return K(v["A3"], v["E3"], T) * (1 - a)


def with_diffusion(T: complex, a: complex, v: dict[str, float]) -> complex:
    return (
        K(v["A"], v["E"], T) * a ** v["m"] * (1 - a) ** v["n"] / (1 + np.exp(v["C"] * (a - (v["aC0"] + v["aCT"] * T))))
    )


def two_rates(T: complex, a: complex, v: dict[str, float]) -> complex:
    slowed = 1 + np.exp(v["D"] * (a - (v["aC0"] + v["aCT"] * T)))
    first = K(v["A1"], v["E1"], T) * a ** v["m1"] * (1 - a) ** v["n1"]
    return first + K(v["A2"], v["E2"], T) * a ** v["m2"] * (1 - a) ** v["n2"] / slowed


def nth_order(T: complex, a: complex, v: dict[str, float]) -> complex:
    return K(v["A"], v["E"], T) * (1 - a) ** v["n"]


def kamal_sourour(T: complex, a: complex, v: dict[str, float]) -> complex:
    return (K(v["A1"], v["E1"], T) + K(v["A2"], v["E2"], T) * a ** v["m"]) * (1 - a) ** v["n"]


def autocatalytic(T: complex, a: complex, v: dict[str, float]) -> complex:
    return K(v["A"], v["E"], T) * a ** v["m"] * (1 - a) ** v["n"]


LEE = {
    "A1": 2.101e9 / 60,
    "A2": -2.014e9 / 60,
    "A3": 1.960e5 / 60,
    "E1": 8.07e4,
    "E2": 7.78e4,
    "E3": 5.66e4,
    "B": 0.47,
    "switch": 0.3,
}
SLOWED = {"D": 44.3, "aC0": -1.4, "aCT": 5.33e-3}
CASES: list[tuple[str, Formula, int, dict[str, float]]] = [
    ("lee 1982", lee_below, 0, LEE),
    ("lee 1982", lee_above, 1, LEE),
    (
        "autocatalytic with diffusion",
        with_diffusion,
        0,
        {"A": 1.528e5, "E": 6.65e4, "m": 0.8129, "n": 2.736, "C": 43.09, "aC0": -1.684, "aCT": 5.475e-3},
    ),
    (
        "two rates with diffusion",
        two_rates,
        0,
        dict(A1=2.53e4, A2=4.84e4, E1=60628, E2=61752, m1=0.55, n1=21.11, m2=0.80, n2=1.18, **SLOWED),
    ),
    ("nth order", nth_order, 0, {"A": 1e5, "E": 6e4, "n": 1.4}),
    ("nth order", nth_order, 0, {"A": 1e5, "E": 6e4, "n": 1.0}),
    ("kamal sourour", kamal_sourour, 0, {"A1": 3e3, "A2": 2e5, "E1": 6e4, "E2": 5.7e4, "m": 0.9, "n": 1.6}),
    ("kamal sourour", kamal_sourour, 0, {"A1": 3e3, "A2": 2e5, "E1": 6e4, "E2": 5.7e4, "m": 1.0, "n": 1.0}),
    ("autocatalytic", autocatalytic, 0, {"A": 3.7e22 / 60, "E": 1.674e5, "m": 0.524, "n": 1.476}),
]
NAMES = [f"{name}, branch {branch}, {len(values)} constants" for name, _, branch, values in CASES]
each_case = pytest.mark.parametrize("name, formula, branch, values", CASES, ids=NAMES)


def ordered(name: str, values: dict[str, float]) -> NDArray[np.float64]:
    return np.array([values[key] for key in VALUES[name]])


def test_every_law_is_here() -> None:
    assert {name for name, *_ in CASES} == set(LAWS) == set(VALUES)
    assert sorted(LAWS.values()) == list(range(len(LAWS)))


@each_case
def test_rate_as_printed(name: str, formula: Formula, branch: int, values: dict[str, float]) -> None:
    constants = ordered(name, values)
    for T in (300.0, 353.15, 400.0, 450.15, 480.0):
        for alpha in (1e-4, 0.01, 0.2999, 0.47, 0.8, 0.999):
            expected = formula(T, alpha, values)
            assert rate(LAWS[name], T, alpha, constants, branch) == pytest.approx(expected.real, rel=1e-12, abs=1e-300)


@each_case
def test_slopes_by_complex_steps(name: str, formula: Formula, branch: int, values: dict[str, float]) -> None:
    constants, h = ordered(name, values), 1e-30
    for T in (300.0, 353.15, 400.0, 450.15, 480.0):
        for alpha in (1e-4, 0.01, 0.2999, 0.47, 0.8, 0.999):
            over_T, over_alpha = slopes(LAWS[name], T, alpha, constants, branch)
            assert over_T == pytest.approx(formula(T + 1j * h, alpha, values).imag / h, rel=1e-11)
            by_alpha = formula(T, alpha + 1j * h, values).imag / h
            scale = abs(formula(T, alpha, values)) / alpha / (1 - alpha)  # the terms that cancel
            assert over_alpha == pytest.approx(by_alpha, rel=1e-11, abs=1e-13 * scale)


@each_case
def test_slopes_by_differences_of_the_rate(name: str, formula: Formula, branch: int, values: dict[str, float]) -> None:
    """The slopes belong to the rate that the program itself uses, not only to the formula."""
    constants, law = ordered(name, values), LAWS[name]
    for T, alpha in ((380.0, 0.1), (420.0, 0.35), (450.0, 0.7)):
        over_T, over_alpha = slopes(law, T, alpha, constants, branch)
        dT, da = 1e-2, 1e-5
        up, down = rate(law, T + dT, alpha, constants, branch), rate(law, T - dT, alpha, constants, branch)
        assert over_T == pytest.approx((up - down) / (2 * dT), rel=1e-6)
        up, down = rate(law, T, alpha + da, constants, branch), rate(law, T, alpha - da, constants, branch)
        assert over_alpha == pytest.approx((up - down) / (2 * da), rel=1e-5, abs=1e-12)


SEEDED = ("autocatalytic", "autocatalytic with diffusion", "two rates with diffusion")


@pytest.mark.parametrize("name, formula, branch, values", [case for case in CASES if case[2] == 0])
def test_ends_of_the_range(name: str, formula: Formula, branch: int, values: dict[str, float]) -> None:
    constants, law = ordered(name, values), LAWS[name]
    if name != "lee 1982":  # which pulls back from beyond 1 by itself
        for alpha in (1.0, 1.0 + 1e-9, 1.5):
            assert (rate(law, 450.0, alpha, constants, 0), *slopes(law, 450.0, alpha, constants, 0)) == (0, 0, 0)
    if name in (*SEEDED, "kamal sourour"):
        assert np.isnan(rate(law, 450.0, -1e-12, constants, 0)), (
            "a power of a negative number is never made 0 in silence"
        )
        assert np.isnan(slopes(law, 450.0, -1e-12, constants, 0)[1])
    at_nothing = rate(law, 450.0, 0.0, constants, 0)
    assert at_nothing == 0.0 if name in SEEDED else at_nothing > 0.0
    exponent = min((values[key] for key in ("m", "m1", "m2") if key in values), default=1.0)
    assert np.isinf(slopes(law, 450.0, 0.0, constants, 0)[1]) == (exponent < 1.0)


def test_the_ceiling_of_diffusion_halves_the_rate_there_and_stops_what_is_taken_for_kelvin() -> None:
    name, _formula, _, values = CASES[2]
    constants = ordered(name, values)
    ceiling = values["aC0"] + values["aCT"] * 450.15
    free = dict(values, C=0.0)  # the last factor is then 1/2 everywhere
    assert rate(LAWS[name], 450.15, ceiling, constants, 0) == pytest.approx(
        rate(LAWS[name], 450.15, ceiling, ordered(name, free), 0), rel=1e-9
    )
    assert rate(LAWS[name], 177.0, 0.3, constants, 0) < 1e-15, "°C instead of K"


def test_only_lee_jumps() -> None:
    for name, law in LAWS.items():
        at = jump(law, ordered(name, next(values for other, _, _, values in CASES if other == name)))
        assert at == (0.3 if name == "lee 1982" else NEVER)


@pytest.mark.parametrize("n", [0.5, 1.0, 1.4, 2.0, 3.0])
def test_nth_order_has_a_closed_form(n: float) -> None:
    """((1 − α)^(1−n) − 1)/(n − 1) = k t, and 1 − α = exp(−k t) for n = 1 (textbook)."""
    constants = np.array([1e5, 6e4, n])
    k = 1e5 * np.exp(-6e4 / (R * 420.0))
    t = np.array([0.2, 0.5, 1.0, 1.5]) / k
    solved = solve_ivp(
        lambda _, a: [rate(LAWS["nth order"], 420.0, a[0], constants, 0)],
        (0, t[-1]),
        [0.0],
        t_eval=t,
        rtol=1e-10,
        atol=1e-12,
    )
    expected = 1 - np.exp(-k * t) if n == 1 else 1 - (1 + (n - 1) * k * t) ** (1 / (1 - n))
    assert solved.y[0] == pytest.approx(expected, abs=1e-8)


# -------------------------------------------------------------------------------------------------------- along a trace
STARTS = {name: (0.01 if name in SEEDED else 0.0) for name in LAWS}
TRACE_MIN = np.array([0.0, 9, 69, 83, 88, 95, 103, 223, 260])
TRACE_C = {  # the usual two-stage cure; the fast polyester at its own temperatures
    "autocatalytic": np.array([40.0, 70, 80, 95, 100, 104, 104, 100, 60]),
}
USUAL_C = np.array([82.0, 107, 107, 150, 171, 178.5, 177, 176, 90])


@pytest.mark.parametrize("name, formula, branch, values", [case for case in CASES if case[0] != "lee 1982"])
def test_along_a_trace_every_law_agrees_with_scipy(
    name: str, formula: Formula, branch: int, values: dict[str, float]
) -> None:
    """DOP853 at rtol 1e-10 between the kinks of a two-stage cure (Lee's law has a test of its own, for its jump)."""
    celsius = TRACE_C.get(name, USUAL_C)
    start, alpha, found = STARTS[name], STARTS[name], [STARTS[name]]
    for (t0, t1), (T0, T1) in zip(itertools.pairwise(TRACE_MIN), itertools.pairwise(celsius), strict=True):
        slope = (T1 - T0) / (60 * (t1 - t0))

        def dadt(s: float, a: list[float], T0: float = T0, slope: float = slope) -> list[float]:
            return [float(np.real(formula(T0 + 273.15 + slope * s, min(a[0], 1.0), values)))]

        solved = solve_ivp(dadt, (0.0, 60 * (t1 - t0)), [alpha], method="DOP853", rtol=1e-10, atol=1e-13)
        alpha = float(solved.y[0, -1])
        found.append(alpha)
    ours = degree_of_cure(
        LAWS[name], np.round(TRACE_MIN * 60e9).astype(np.int64), celsius + 273.15, start, ordered(name, values)
    )
    assert ours == pytest.approx(np.array(found), abs=1e-7)
    assert ours[-1] > 0.4


@given(
    case=st.sampled_from(CASES),
    celsius=st.lists(st.floats(20.0, 220.0), min_size=2, max_size=12),
    minutes=st.floats(0.1, 60.0),
)
def test_cure_only_goes_forward_and_never_beyond_whole(
    case: tuple[str, Formula, int, dict[str, float]], celsius: list[float], minutes: float
) -> None:
    name, _, _, values = case
    t = np.round(np.arange(len(celsius)) * minutes * 60e9).astype(np.int64)
    alpha = degree_of_cure(LAWS[name], t, np.array(celsius) + 273.15, STARTS[name], ordered(name, values))
    assert (np.diff(alpha) >= -1e-9).all()
    assert alpha[0] == STARTS[name]
    assert alpha[-1] <= 1.0, "beyond 1 no law of the glass transition gives a number"


@given(celsius=st.floats(90.0, 200.0), hours=st.floats(1.0, 20.0))
def test_a_law_with_diffusion_stays_near_its_ceiling(celsius: float, hours: float) -> None:
    """Past its ceiling by a tenth the rate has fallen 74 times (exp(4.3)): within a working day it gets no further."""
    name, _, _, values = CASES[2]
    ceiling = values["aC0"] + values["aCT"] * (celsius + 273.15)
    t = np.array([0, round(hours * 3600e9)])
    alpha = degree_of_cure(LAWS[name], t, np.full(2, celsius + 273.15), 0.01, ordered(name, values))[-1]
    assert alpha < ceiling + 0.12
