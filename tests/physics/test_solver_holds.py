"""What must hold of any simulated cure, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench.peers.cure_ode import cvode, problem_of
from curewright.physics.solve.grid import StackError
from curewright.physics.solve.many import Case, solve_all
from curewright.physics.solve.places import temperature_at
from curewright.physics.solve.solve import NotResolvedError, solve
from tests.physics.stacks import (
    BREATHER,
    RESINS,
    TOOLS,
    Course,
    Face,
    Layer,
    Probe,
    Stack,
    course,
    cycle,
    random_case,
    solid,
    steady,
)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("resin", RESINS)
def test_cure_only_grows_within_its_ceiling_and_the_energy_closes(resin, seed):
    stack, faces, end = random_case(seed, resin, thickness=min(0.01 * seed, 0.012 if resin == "polyester" else 1.0))
    solution = solve(stack, faces, np.linspace(0.0, end, 200))
    cured = solution.alpha[:, slice(*solution.grid.parts["laminate"])]
    assert np.diff(cured, axis=0).min() > -1e-5
    assert cured.max() < 1.0 + 1e-6
    assert abs(solution.heat.open) < 1e-4
    assert solution.heat.released == pytest.approx(
        RESINS[resin].heat_of_cure * stack.layers[1].thickness * float((cured[-1] - cured[0]).mean()), rel=1e-9
    )
    assert np.all(solution.alpha[:, : solution.grid.parts["tool"][1]] == 0.0)


def test_what_diffusion_stops_ends_near_its_ceiling():
    """Set H at 180 °C: the ceiling is aC0 + aCT T = 0.797; two hours end within a few hundredths above it (physics.md § 1.3: 0.822)."""
    face = Face(steady(453.15), 1e7)
    solution = solve(Stack("thin", (Layer("part", RESINS["toughened H"], 1e-3),)), (face, face), [0.0, 7200.0])
    assert solution.alpha[-1, 0] == pytest.approx(0.822, abs=1e-3)


def test_a_thin_part_on_a_thin_tool_follows_the_air():
    """Lumped: lag = r (Σ ρ c L) / Σ h (common practice); here 0.7 K at 2 K/min."""
    layers = (Layer("tool", TOOLS["aluminium"], 1e-3), Layer("part", RESINS["toughened H"], 1e-3))
    air = cycle(20.0, (2.0, 100.0, 30.0))
    times = np.linspace(0.0, air.t[1], 41)
    solution = solve(Stack("thin", layers), (Face(air, 100.0), Face(air, 100.0)), times)
    capacity = 2700 * 896 * 1e-3 + 1581 * 1051 * 1e-3
    stored = solution.grid.cells[0] * solution.grid.cells[1]  # width × C0 of each cell
    lag = air.at(times)[-1] - np.average(solution.T[-1], weights=stored)
    assert lag == pytest.approx(2.0 / 60.0 * capacity / 200.0, rel=0.04)  # Bi is 0.1


def peak_of_centre(h: float, thickness: float = 0.05):
    air = cycle(20.0, (2.0, 130.0, 90.0), (2.0, 180.0, 120.0))
    stack = Stack("thick", (Layer("part", RESINS["toughened N"], thickness),))
    faces = (Face(air, h), Face(air, h))
    return stack, faces, np.append(np.arange(0.0, air.t[-1], 30.0), air.t[-1])


def test_peak_of_a_thick_part_against_convection_has_a_minimum_as_cvode_finds_it():
    """Little convection traps the heat; much of it heats the part fast and all at once. Between, the overshoot is least."""
    curve = [20.0, 40.0, 80.0, 160.0, 320.0, 640.0, 1280.0]
    ours, theirs = [], []
    for h in curve:
        stack, faces, times = peak_of_centre(h)
        ours.append(temperature_at(solve(stack, faces, times), "part", 0.5).max())
        T, _ = cvode(problem_of(stack, faces, float(times[-1])), times, 1e-8, 1e-8)
        middle = T.shape[1] // 2
        theirs.append((0.5 * (T[:, middle - 1] + T[:, middle])).max())
    assert ours == pytest.approx(theirs, abs=0.1)
    least = int(np.argmin(ours))
    assert 0 < least < len(curve) - 1, ours
    assert np.all(np.diff(ours[: least + 1]) < 0.0)
    assert np.all(np.diff(ours[least:]) > 0.0)


def test_a_front_is_refined_and_said_so():
    stack, faces, end = random_case(6, "polyester")
    with pytest.raises(NotResolvedError, match="reaction front"):
        solve(stack, faces, np.linspace(0.0, end, 200), finer=1)
    solution = solve(stack, faces, np.linspace(0.0, end, 200))
    assert solution.finer > 1
    assert any("reaction front" in note for note in solution.notes)
    cured = solution.alpha[:, slice(*solution.grid.parts["laminate"])]
    assert np.abs(np.diff(cured, axis=1)).max() <= 0.1


def test_a_front_too_thin_for_any_grid_is_refused():
    """54 mm of glass and polyester heated fast: 'do not use as a regression number' (physics.md § 4.2)."""
    air = cycle(25.0, (2.5, 90.0, 60.0), (2.5, 130.0, 90.0))
    stack = Stack("very thick", (Layer("part", RESINS["polyester"], 0.054),))
    with pytest.raises(NotResolvedError, match="does not resolve"):
        solve(stack, (Face(air, 1e7), Face(air, 1e7)), np.linspace(0.0, float(air.t[-1]), 100))


def test_output_at_more_times_changes_nothing():
    stack, faces, end = random_case(5, "lee")
    few, many = np.linspace(0.0, end, 11), np.linspace(0.0, end, 101)
    one, two = solve(stack, faces, few), solve(stack, faces, many)
    assert np.array_equal(one.T, two.T[::10])
    assert one.steps == two.steps


def test_at_a_jump_of_the_gas_the_faces_show_what_was_before_it():
    """h (T_gas - T_surface) by hand, with the gas before the jump at the jump and the gas after it a moment later."""
    gas = course([(0.0, 300.0), (600.0, 300.0), (600.0, 350.0), (1200.0, 350.0)])
    stack = Stack("plate", (Layer("plate", solid(1600, 1000, 0.6), 8e-3),))
    times = [0.0, 300.0, 600.0, 600.001, 1200.0]
    solution = solve(stack, (Face(gas, 50.0), Face(gas, 80.0)), times, start=400.0)
    before = np.array([300.0, 300.0, 300.0, 350.0, 350.0])
    for side, h in ((0, 50.0), (1, 80.0)):
        assert solution.flows[:, side] == pytest.approx(h * (before - solution.surfaces[:, side]), rel=1e-9)


def test_a_recorded_gas_with_a_kink_at_every_row_takes_hardly_more_steps_than_rows():
    stack, faces, end = random_case(1, "toughened N")
    t = np.arange(0.0, end, 10.0)
    noise = np.random.default_rng(0).normal(0.0, 0.3, t.size)
    recorded = Course(t, faces[0].gas.at(t) + noise)
    times = np.append(np.arange(0.0, end, 60.0), end)
    exposed = (replace(faces[0], gas=recorded), replace(faces[1], gas=recorded))
    solution = solve(stack, exposed, times)
    assert solution.steps + solution.refused < 1.1 * t.size
    close = solve(stack, exposed, times, tolerance=2e-4)
    assert np.abs(solution.T - close.T).max() < 0.05


def test_many_cases_come_in_order_and_a_refused_one_stops_none():
    stack, faces, end = random_case(7, "toughened H")
    times = np.linspace(0.0, end, 20)
    broken = Stack("broken", (replace(stack.layers[0], thickness=-1.0),))
    found = solve_all([Case(stack, faces, times), Case(broken, faces, times), Case(stack, faces, times)])
    assert np.array_equal(found[0].T, found[2].T)
    assert isinstance(found[1], StackError)


GOOD = Layer("part", RESINS["toughened H"], 0.01)
FACE = Face(steady(300.0), 50.0)
REFUSED = {
    "no layer": (Stack("s", ()), FACE, [0.0, 1.0], "no layer"),
    "one name twice": (Stack("s", (GOOD, GOOD)), FACE, [0.0, 1.0], "two layers"),
    "thickness": (Stack("s", (replace(GOOD, thickness=0.0),)), FACE, [0.0, 1.0], "0 m thick"),
    "start below the law's": (
        Stack("s", (replace(GOOD, cured=0.0),)),
        FACE,
        [0.0, 1.0],
        "start from a degree of cure of 0",
    ),
    "unknown law": (
        Stack("s", (replace(GOOD, material=replace(GOOD.material, law="guess")),)),
        FACE,
        [0.0, 1.0],
        "cures by 'guess'",
    ),
    "no conductivity": (
        Stack("s", (replace(GOOD, material=replace(GOOD.material, conductivity=(0.0, 0.0, 0.0))),)),
        FACE,
        [0.0, 1.0],
        "no positive density",
    ),
    "negative convection": (Stack("s", (GOOD,)), Face(steady(300.0), -1.0), [0.0, 1.0], "convection"),
    "°C for K": (Stack("s", (GOOD,)), Face(course([(0, 20.0), (60, -5.0)]), 50.0), [0.0, 1.0], "-5 K"),
    "times back": (Stack("s", (GOOD,)), FACE, [0.0, 2.0, 1.0], "do not increase"),
    "too many cells": (Stack("s", (replace(GOOD, cells=2000),)), FACE, [0.0, 1.0], "2000 cells"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_computed_is_refused_by_name(what):
    stack, face, times, words = REFUSED[what]
    with pytest.raises(StackError, match=words):
        solve(stack, (face, face), times)


def test_notes_say_what_the_materials_say():
    material = replace(RESINS["toughened H"], warnings=("from memory",), temperature=(293.15, 440.0))
    face = Face(steady(450.0), 1e3)
    solution = solve(Stack("noted", (Layer("part", material, 0.01),)), (face, face), [0.0, 3600.0], start=300.0)
    assert any("from memory" in note for note in solution.notes)
    assert any("outside of what the numbers" in note for note in solution.notes)


def test_places_that_are_not_there_are_refused():
    from curewright.physics.solve.places import shown_by

    solution = solve(Stack("s", (GOOD,)), (FACE, FACE), [0.0, 60.0])
    with pytest.raises(StackError, match="no layer 'tool'"):
        temperature_at(solution, "tool", 0.5)
    with pytest.raises(StackError, match=r"1\.5 of the way"):
        temperature_at(solution, "part", 1.5)
    with pytest.raises(StackError, match="sees 2 of the air"):
        shown_by(solution, Probe("odd", "part", 0.5, air=2.0), (FACE, FACE))


def test_a_breather_of_no_account_changes_little():
    """A tenth of a millimetre of breather at 0.07 W/mK is a film of 1.4e-3 m²K/W: as a layer and as a film the same within its heat."""
    from tests.physics.stacks import Film

    air = cycle(20.0, (2.0, 180.0, 60.0))
    times = np.linspace(0.0, air.t[-1], 60)
    faces = (Face(air, 70.0), Face(air, 70.0))
    part = Layer("part", RESINS["toughened N"], 0.01)
    layer = solve(Stack("layer", (part, Layer("breather", BREATHER, 1e-4))), faces, times)
    film = solve(Stack("film", (part, Film("breather", 1e-4 / 0.07))), faces, times)
    n = film.T.shape[1]
    assert np.abs(layer.T[:, :n] - film.T).max() < 0.1
    assert solid(1, 1, 1).law == ""
