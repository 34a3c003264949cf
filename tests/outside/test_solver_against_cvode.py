"""The solver against SUNDIALS CVODE (Hindmarsh et al. 2005) through scikit-sundae, on random stacks of 5 to 50 mm and every kinetic law.

CVODE gets a right-hand side written apart (bench/peers/cure_ode.py), at rtol 1e-9, restarted at every kink. The number of stacks is
CUREWRIGHT_STACKS, 24 unless it is set (``CUREWRIGHT_STACKS=200 pytest tests/outside/test_solver_against_cvode.py``).
"""

from __future__ import annotations

import os

import numpy as np
import pytest

from bench.peers.cure_ode import cvode, problem_of
from curewright.physics.solve.solve import NotResolvedError, solve
from tests.physics.stacks import RESINS, random_case

STACKS = int(os.environ.get("CUREWRIGHT_STACKS", "24"))
WORST, MEDIAN = 0.2, 0.05  # K


def case(number: int):
    resin = list(RESINS)[number % len(RESINS)]
    return random_case(1000 + number, resin)


@pytest.fixture(scope="module")
def errors() -> dict[str, float]:
    """Greatest difference of temperature over all cells and minutes, of each stack that is not refused, on the solver's own grid."""
    found = {}
    for number in range(STACKS):
        stack, faces, end = case(number)
        times = np.append(np.arange(0.0, end, 60.0), end)
        try:
            solution = solve(stack, faces, times)
        except NotResolvedError:
            assert "polyester" in stack.name, (
                f"{number}: {stack.name} refused"
            )  # only fronts may be, and only this resin has them
            continue
        T, alpha = cvode(problem_of(stack, faces, end, solution.finer), times, 1e-9, 1e-9)
        found[f"{number}: {stack.name}"] = float(np.abs(solution.T - T).max())
        assert np.abs(solution.alpha - alpha).max() < 0.01, stack.name
    return found


def test_every_stack_is_within_a_fifth_of_a_kelvin_or_refused(errors):
    assert len(errors) > 0.85 * STACKS
    far = {name: error for name, error in errors.items() if error > WORST}
    assert not far


def test_half_of_them_within_a_twentieth(errors):
    assert np.median(list(errors.values())) < MEDIAN


@pytest.mark.parametrize("number", [0, 1, 4, 7])
def test_the_grid_is_fine_enough(number):
    """Against CVODE on a grid three times as fine, whose every third cell has the same middle: the whole error, of time and space."""
    stack, faces, end = case(number)
    times = np.append(np.arange(0.0, end, 120.0), end)
    solution = solve(stack, faces, times)
    T, _ = cvode(problem_of(stack, faces, end, 3 * solution.finer), times, 1e-7, 1e-7)
    assert np.abs(solution.T - T[:, 1::3]).max() < WORST


def test_properties_that_depend_on_temperature_and_cure():
    """Specific heat and conductivity that grow with both: exact Jacobian, energy closed, same answer."""
    from dataclasses import replace

    from curewright.terms.stack import Stack

    stack, faces, end = case(1)
    material = replace(RESINS["toughened H"], specific_heat=(900.0, 1.8, -60.0), conductivity=(0.25, 7e-4, 0.06))
    layers = tuple(replace(layer, material=material) if layer.name == "laminate" else layer for layer in stack.layers)
    times = np.append(np.arange(0.0, end, 60.0), end)
    solution = solve(Stack("varying", layers), faces, times)
    T, alpha = cvode(problem_of(Stack("varying", layers), faces, end), times, 1e-9, 1e-9)
    assert np.abs(solution.T - T).max() < WORST
    assert np.abs(solution.alpha - alpha).max() < 0.005
    assert abs(solution.heat.open) < 1e-4
    assert solution.steps < 400  # a wrong slope would cost steps, not only digits


def test_convection_that_follows_the_pressure():
    """h = a + b p^n with p rising in the middle: kinks of pressure are stops too."""
    from dataclasses import replace

    from curewright.terms.course import course

    stack, faces, end = case(3)
    pressure = course(
        [(0, 1.0e5), (1800, 1.0e5), (3600, 7.0e5), (end - 1800, 7.0e5), (end - 1800, 1.0e5)]
    )  # with a jump
    pressed = tuple(
        replace(face, a=5.0, b=80.0 / 7.0e5**0.6, exponent=0.6, depends_on=pressure, factor=1.2) for face in faces
    )
    times = np.append(np.arange(0.0, end, 60.0), end)
    solution = solve(stack, pressed, times)
    T, _ = cvode(problem_of(stack, pressed, end), times, 1e-9, 1e-9)
    assert np.abs(solution.T - T).max() < WORST
    p = np.interp(times, pressure.t, pressure.value)
    h = 1.2 * (5.0 + 80.0 * (p / 7.0e5) ** 0.6)
    expected = h * (faces[0].gas.at(times) - solution.surfaces[:, 0])
    apart = np.abs(times - (end - 1800)) > 1.0
    assert solution.flows[apart, 0] == pytest.approx(expected[apart], abs=1e-6 * np.abs(expected).max())
