"""Observed orders of the solver: 3 in time on smooth kinetics, 2 in space, against exact and manufactured solutions."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics.solve import march as marching
from curewright.physics.solve.grid import grid_of, program_of
from curewright.physics.solve.solve import solve
from tests.physics.stacks import RESINS, Face, Layer, Stack, course, laminate, solid, steady


def end_state(stack, faces, end, step, start):
    """T and α at the end, by steps of one length (tolerances that accept everything)."""
    grid = grid_of(stack)
    program, laws = program_of(faces, 0.0, end)
    n = grid.cured.size
    begin = np.vstack([np.broadcast_to(start, n), grid.cured])
    control = np.array([1e9, 1e9, step, step, 1e7, 1e9])
    T, alpha = np.empty((2, n)), np.empty((2, n))
    found = np.zeros(marching.FOUND)
    status = marching.march(
        grid.cells,
        grid.blocks,
        grid.values,
        laws,
        program,
        begin,
        np.array([0.0, end]),
        control,
        grid.varying,
        T,
        alpha,
        found,
    )
    assert status == marching.DONE
    assert found[marching.STEPS] == pytest.approx(end / step)
    return np.concatenate([T[-1], alpha[-1]])


def orders(errors):
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


SMOOTH = ["toughened H", "toughened N", "two rates", "nth order", "kamal"]


@pytest.mark.parametrize("resin", SMOOTH)
def test_third_order_in_time(resin):
    """A part that reacts in a gas that warms steadily; each step length against a very short one on the same grid."""
    stack = Stack("part", (Layer("tool", solid(8000, 500, 13.0), 5e-3), Layer("part", RESINS[resin], 8e-3, cured=0.05)))
    face = Face(course([(0, 430.0), (1024, 450.0)]), 80.0)
    start = np.full(grid_of(stack).cured.size, 430.0)
    exact = end_state(stack, (face, face), 1024.0, 0.25, start)
    errors = [np.abs(end_state(stack, (face, face), 1024.0, step, start) - exact).max() for step in (8.0, 4.0, 2.0)]
    assert np.all(orders(errors) > 2.7), errors


def test_third_order_in_time_with_varying_properties():
    from dataclasses import replace

    material = replace(RESINS["toughened N"], specific_heat=(900.0, 1.8, -60.0), conductivity=(0.25, 7e-4, 0.06))
    stack = Stack("part", (Layer("part", material, 8e-3, cured=0.05),))
    face = Face(course([(0, 430.0), (1024, 450.0)]), 80.0)
    exact = end_state(stack, (face, face), 1024.0, 0.5, 430.0)
    errors = [np.abs(end_state(stack, (face, face), 1024.0, step, 430.0) - exact).max() for step in (16.0, 8.0, 4.0)]
    assert np.all(orders(errors) > 2.7), errors


def test_the_gas_at_work_in_time_is_third_order_too():
    """Conduction alone, the gas and its convection both changing: their slopes over time are in the method."""
    stack = Stack("plate", (Layer("plate", solid(1600, 1000, 0.6), 8e-3),))
    face = Face(
        course([(0, 300.0), (1024, 400.0)]), a=20.0, b=1e-4, exponent=0.8, depends_on=course([(0, 1e5), (1024, 7e5)])
    )
    exact = end_state(stack, (face, face), 1024.0, 1.0, 300.0)
    errors = [np.abs(end_state(stack, (face, face), 1024.0, step, 300.0) - exact).max() for step in (64.0, 32.0, 16.0)]
    assert np.all(orders(errors) > 2.5), errors


A, HEAT, CAPACITY, K, L, H = 1e-3, 1.0e8, 1.6e6, 0.5, 0.01, 60.0


def reacting_slab(x, t):
    """Manufactured: rate A (1 - α), so α = 1 - e^(-A t), in a gas at 400 K; T - 400 = p(x) e^(-A t), x from the middle.

    p = -Q/C + c cos κx with κ² = A C/k; c so that -k p' = h p at x = L.
    """
    kappa = np.sqrt(A * CAPACITY / K)
    c = H * HEAT / CAPACITY / (H * np.cos(kappa * L) - K * kappa * np.sin(kappa * L))
    return 400.0 + (c * np.cos(kappa * x) - HEAT / CAPACITY) * np.exp(-A * t)


def slab_error(cells: int) -> float:
    material = laminate("nth order", (A, 0.0, 1.0), HEAT, CAPACITY, K, 0.0)
    stack = Stack("slab", (Layer("slab", material, 2 * L, cells=cells),))
    grid = grid_of(stack)
    x = grid.centres - L
    face = Face(steady(400.0), H)
    times = np.linspace(0.0, 2000.0, 21)
    solution = solve(stack, (face, face), times, start=reacting_slab(x, 0.0), tolerance=2e-5)
    assert np.abs(solution.alpha - (1 - np.exp(-A * times))[:, None]).max() < 1e-6
    return float(np.abs(solution.T - reacting_slab(x[None], times[:, None])).max())


def test_second_order_in_space_on_a_manufactured_solution_with_reaction():
    errors = [slab_error(cells) for cells in (40, 80, 160)]
    assert orders(errors) == pytest.approx([2.0, 2.0], abs=0.1), errors


def test_second_order_in_space_across_layers():
    """Three layers of very different conductivity: finer grids converge with order 2, to the finest of them."""
    layers = (
        Layer("tool", solid(8000, 500, 13.0), 0.012),
        Layer("part", RESINS["toughened N"], 0.02),
        Layer("breather", solid(150, 1300, 0.07), 0.003),
    )
    face = Face(course([(0, 300.0), (6000, 450.0)]), 60.0)
    times = np.linspace(0.0, 9000.0, 31)
    peaks = [
        solve(Stack("three", layers), (face, face), times, start=300.0, tolerance=2e-4, finer=finer).surfaces
        for finer in (1, 2, 4, 8)
    ]
    errors = [np.abs(one - peaks[-1]).max() for one in peaks[:-1]]
    # against the grid of 8: (1 - 1/64) : (1/4 - 1/64) : (1/16 - 1/64)
    assert errors[0] / errors[1] == pytest.approx(63 / 15, rel=0.15)
    assert errors[1] / errors[2] == pytest.approx(15 / 3, rel=0.15)
    assert errors[0] < 0.2
