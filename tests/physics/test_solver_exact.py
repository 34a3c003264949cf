"""The solver against what has a closed form: conduction series, ramp lag, layers in series, adiabatic rise, and the energy that went in."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics.solve.places import cure_at, shown_by, temperature_at
from curewright.physics.solve.solve import solve
from tests.physics.stacks import (
    FIXED,
    LEE,
    RESINS,
    Face,
    Film,
    Layer,
    Probe,
    Stack,
    course,
    cycle,
    laminate,
    minutes,
    solid,
    steady,
)


def slab_series(Bi: float, Fo: float, place: float) -> float:
    """Carslaw and Jaeger, Conduction of Heat in Solids (1959), 3.11 (from memory): a slab at 1 in a gas at 0; place: 0 centre, 1 face."""
    total = 0.0
    for k in range(60):
        low, high = k * np.pi + 1e-12, (k + 0.5) * np.pi
        for _ in range(200):
            z = 0.5 * (low + high)
            low, high = (z, high) if z * np.tan(z) < Bi else (low, z)
        total += 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z)) * np.exp(-z * z * Fo) * np.cos(z * place)
    return float(total)


# (Bi, Fo): centre, face; computed from the series for physics.md § 8.1, agrees with the textbook tables in four digits
TABLE = {
    (0.1, 1.0): (0.922389, 0.878126),
    (0.5, 0.5): (0.864114, 0.686882),
    (1.0, 0.2): (0.950642, 0.643391),
    (1.0, 1.0): (0.533859, 0.348177),
    (2.0, 0.5): (0.659618, 0.313133),
    (5.0, 0.5): (0.523109, 0.133032),
    (10.0, 1.0): (0.163818, 0.023172),
}


@pytest.mark.parametrize("Bi, Fo", TABLE)
def test_slab_with_convection_follows_the_series(Bi, Fo):
    L, k, capacity = 0.01, 0.5, 1.6e6
    h, a = Bi * k / L, k / capacity
    stack = Stack("slab", (Layer("slab", solid(1000, 1600, k), 2 * L, cells=120),))
    face = Face(steady(300.0), h)
    end = Fo * L * L / a
    solution = solve(stack, (face, face), [0.0, end / 2, end], start=400.0, tolerance=1e-3)
    for depth, expected in ((0.5, TABLE[Bi, Fo][0]), (0.0, TABLE[Bi, Fo][1]), (1.0, TABLE[Bi, Fo][1])):
        theta = (temperature_at(solution, "slab", depth)[-1] - 300.0) / 100.0
        assert theta == pytest.approx(expected, abs=1e-4)
        assert expected == pytest.approx(slab_series(Bi, Fo, abs(2 * depth - 1)), abs=1e-6)


@pytest.mark.parametrize("h", [80.0, 20.0])
def test_centre_lags_a_long_ramp_by_the_formula(h):
    """r (L²/2a + ρ c L/h), L the half thickness: physics.md § 8.2, a textbook result (common practice)."""
    r, L, k, capacity = 2.5 / 60.0, 12.7e-3, 0.4457, 1520 * 942.0
    stack = Stack("slab", (Layer("slab", solid(1520, 942, k), 2 * L, cells=80),))
    face = Face(course([(0, 300.0), (40000, 300.0 + 40000 * r)]), h)
    solution = solve(stack, (face, face), np.linspace(0, 40000, 11), tolerance=1e-3)
    lag = 300.0 + 40000 * r - temperature_at(solution, "slab", 0.5)[-1]
    assert lag == pytest.approx(r * (L * L * capacity / (2 * k) + capacity * L / h), rel=1e-4)
    if h == 80.0:
        assert lag == pytest.approx(10.80 + 9.47, abs=0.01)  # the figures of physics.md § 8.2


def test_layers_in_series_share_out_a_steady_difference_exactly():
    """Steady state: the flow is the difference over the sum of the resistances, on any grid (conservative scheme)."""
    h = (30.0, 90.0)
    layers = (
        Layer("tool", solid(8000, 500, 13.0), 0.02),
        Film("contact", 0.004),
        Layer("part", solid(1600, 1000, 0.6), 0.01),
        Layer("breather", solid(150, 1300, 0.07), 0.003),
        Film("bag", 0.0002),
    )
    faces = Face(steady(400.0), h[0]), Face(steady(300.0), h[1])
    solution = solve(Stack("series", layers), faces, [0.0, 4e5], start=350.0)
    total = 1 / h[0] + 0.02 / 13.0 + 0.004 + 0.01 / 0.6 + 0.003 / 0.07 + 0.0002 + 1 / h[1]
    flow = 100.0 / total
    assert solution.flows[-1] == pytest.approx([flow, -flow], rel=1e-6)
    part = 400.0 - flow * (1 / h[0] + 0.02 / 13.0 + 0.004)
    assert temperature_at(solution, "part", 0.0)[-1] == pytest.approx(part, abs=1e-3)
    assert temperature_at(solution, "tool", 1.0)[-1] == pytest.approx(part + 0.004 * flow, abs=1e-3)
    assert temperature_at(solution, "part", 0.5)[-1] == pytest.approx(part - flow * 0.005 / 0.6, abs=1e-3)


def test_a_sub_structure_as_a_film_slows_the_tool_as_less_convection_does():
    """1/h + R in series is one smaller h: the two must not differ at all."""
    tool, part = Layer("tool", solid(8000, 500, 13.0), 0.02), Layer("part", solid(1600, 1000, 0.6), 0.01)
    air = cycle(20.0, (3.0, 180.0, 60.0))
    times = np.linspace(0, air.t[-1], 50)
    with_film = solve(
        Stack("film", (Film("sub-structure", 0.02), tool, part)), (Face(air, 50.0), Face(air, 50.0)), times
    )
    without = solve(Stack("plain", (tool, part)), (Face(air, 1 / (1 / 50.0 + 0.02)), Face(air, 50.0)), times)
    assert np.abs(with_film.T - without.T).max() < 1e-6


@pytest.mark.parametrize("resin", RESINS)
def test_without_faces_all_heat_of_cure_warms_the_part(resin):
    """Adiabatic: ΔT = heat × Δα / capacity (closed form)."""
    material = RESINS[resin]
    closed = Face(steady(420.0), 0.0)
    stack = Stack("adiabatic", (Layer("part", material, 0.01, cured=max(material.start[0], 0.01)),))
    solution = solve(stack, (closed, closed), np.linspace(0, 4 * 3600, 40), start=420.0)
    rise = material.heat_of_cure * (solution.alpha - solution.alpha[0]) / (material.density * material.specific_heat[0])
    assert rise[-1].max() > 5.0
    assert np.abs(solution.T - 420.0 - rise).max() < 2e-3
    assert np.ptp(solution.T, axis=1).max() < 1e-9


def test_lee_above_its_jump_follows_the_closed_form():
    """1 - α = (1 - α0) exp(-K3 t) at one temperature (physics.md § 1.1)."""
    material = laminate("lee 1982", LEE, 0.0, 1e6, 1.0, 0.0)
    face = Face(steady(430.0), FIXED)
    times = np.linspace(0, 3600, 13)
    solution = solve(Stack("lee", (Layer("part", material, 1e-3, cured=0.35),)), (face, face), times)
    K3 = 3266.7 * np.exp(-5.66e4 / (8.314 * 430.0))
    assert np.abs(solution.alpha[:, 0] - (1 - 0.65 * np.exp(-K3 * times))).max() < 2e-5


def test_isothermal_lee_reaches_its_jump_and_later_cure_when_it_should():
    """177 °C from 0: α = 0.30 after 2.40 min, 0.90 after 39.1 min (physics.md § 1.1, computed there apart)."""
    material = laminate("lee 1982", LEE, 0.0, 1e6, 1.0, 0.0)
    face = Face(steady(450.15), FIXED)
    solution = solve(Stack("lee", (Layer("part", material, 1e-3),)), (face, face), np.array([0.0, 2.40, 39.1]) * 60)
    assert solution.alpha[1:, 0] == pytest.approx([0.30, 0.90], abs=1e-3)


# physics.md § 4.2, computed there with another program (finite volumes, LSODA at 1e-7): peak of the centre in °C, minute of it
POLYESTER_CYCLE = cycle(25.0, (2.5, 90.0, 60.0), (2.5, 130.0, 90.0))
REFERENCE = {
    "A": (RESINS["polyester"], 13.8e-3, 1e-4, POLYESTER_CYCLE, 130.00, None),
    "B": (RESINS["polyester"], 18.5e-3, 1e-4, POLYESTER_CYCLE, 130.00, None),
    "C": (RESINS["polyester"], 25.4e-3, 1e-4, POLYESTER_CYCLE, 135.42, 78.46),
    "E": (RESINS["lee"], 10e-3, 0.0, cycle(25.0, (2.5, 116.0, 60.0), (2.5, 177.0, 120.0)), 180.23, 122.49),
}


@pytest.mark.parametrize("case", REFERENCE)
def test_reference_solutions_with_fixed_faces(case):
    material, thickness, start, air, peak, minute = REFERENCE[case]
    material = laminate(
        material.law,
        material.constants,
        material.heat_of_cure,
        1000 * material.specific_heat[0],
        material.conductivity[0],
        0.0,
    )
    stack = Stack(case, (Layer("part", material, thickness, cured=start),))
    times = np.arange(0.0, air.t[-1] + 1, 5.0)
    solution = solve(stack, (Face(air, FIXED), Face(air, FIXED)), times)
    centre = temperature_at(solution, "part", 0.5)
    assert centre.max() - 273.15 == pytest.approx(peak, abs=0.05)
    if minute:
        # the fourth digit of the gas constant (8.314 or 8.3145) alone moves the peak of C by 0.06 K and 0.12 min
        assert times[centre.argmax()] / 60 == pytest.approx(minute, abs=0.15)
    assert cure_at(solution, "part", 0.5)[-1] == pytest.approx({"E": 0.99933}.get(case, 0.99999), abs=1e-5)


def test_reference_solution_of_a_thick_part_on_a_tool():
    """Case I of physics.md § 4.2: set H, 30 mm on 20 mm, 70 W/m²K below and 120 above."""
    constants = (1.528e5, 6.65e4, 0.8129, 2.736, 43.09, -1.684, 5.475e-3)
    part = laminate("autocatalytic with diffusion", constants, 0.426 * 1300 * 540e3, 1581.3 * 1080.2, 0.6386, 0.0)
    stack = Stack("I", (Layer("tool", solid(8150, 510, 13.0), 0.02), Layer("part", part, 0.03, cured=0.05)))
    air = minutes((0, 20), (64, 180), (200, 180))
    times = np.arange(0.0, 200 * 60 + 1, 10.0)
    solution = solve(stack, (Face(air, 70.0), Face(air, 120.0)), times)
    middle = temperature_at(solution, "part", 0.5)
    assert middle.max() - 273.15 == pytest.approx(203.59, abs=0.05)
    assert times[middle.argmax()] / 60 == pytest.approx(90.17, abs=0.2)
    assert solution.T.max() - 273.15 == pytest.approx(203.71, abs=0.05)
    hottest = solution.T.max(axis=0).argmax()
    assert 1000 * solution.grid.centres[hottest] == pytest.approx(36.2, abs=0.6)
    cured = solution.alpha[-1, solution.grid.parts["part"][0] :]
    assert cured.max() == pytest.approx(0.8460, abs=1e-4)
    assert cured.min() == pytest.approx(0.8343, abs=4e-4)  # of the outermost cell there; ours are wider


def test_an_edge_thermocouple_shows_part_of_the_air():
    """shown = f × air + (1 - f) × place, by definition."""
    air = minutes((0, 20), (30, 80))
    faces = Face(air, 50.0), Face(air, 50.0)
    solution = solve(Stack("plate", (Layer("part", solid(1600, 1000, 0.6), 0.01),)), faces, np.linspace(0, 1800, 7))
    place = temperature_at(solution, "part", 1.0)
    shown = shown_by(solution, Probe("edge", "part", 1.0, air=0.3), faces)
    assert shown == pytest.approx(0.3 * air.at(solution.t) + 0.7 * place, abs=1e-9)
    assert shown_by(solution, Probe("bare", "part", 1.0), faces) == pytest.approx(place)
