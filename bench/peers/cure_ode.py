"""A stack as ordinary differential equations for general-purpose solvers: a right-hand side of its own, one state per cell T and α in turn.

Written apart from the solver that it is held against; only the rates of cure are the same functions. The state is T0, α0, T1, α1, ...
(inert cells keep α = 0), so the Jacobian has two diagonals to each side (three where properties depend on α).
"""

from __future__ import annotations

from dataclasses import dataclass

import numba
import numpy as np

from curewright.physics.kinetics.laws import LAWS, jump, rate
from curewright.physics.solve import heat
from curewright.physics.solve.grid import grid_of, program_of

NO_LAW = -1


@dataclass
class Problem:
    """What the equations need: law, shape (n,), and rows, shape (n, values), of each cell's law; switch: α above which branch 1 holds."""

    cells: np.ndarray
    law: np.ndarray
    rows: np.ndarray
    switch: np.ndarray
    laws: np.ndarray
    program: np.ndarray
    start: np.ndarray
    end: float


def problem_of(stack, faces, end, finer=1):
    """The equations of a stack on the grid of the solver, or one so many times as fine, from the gas temperature of the lower face."""
    grid = grid_of(stack, finer)
    program, laws = program_of(faces, 0.0, end)
    laws[:, 3] = grid.on_faces
    n = grid.cured.size
    law, rows, switch = np.full(n, NO_LAW), np.zeros((n, 14)), np.full(n, 9.0)
    for layer in stack.layers:
        if layer.name in grid.parts and layer.material.law:
            part = slice(*grid.parts[layer.name])
            law[part] = LAWS[layer.material.law]
            rows[part, : len(layer.material.constants)] = layer.material.constants
            switch[part] = jump(LAWS[layer.material.law], rows[part][0])
    start = np.vstack([np.full(n, program[0, 1]), grid.cured])
    return Problem(grid.cells, law, rows, switch, laws, program, start, end)


@numba.njit(error_model="numpy", cache=True)
def right_hand_side(t, y, yp, cells, law, values, switch, laws, program):
    """dT/dt and dα/dt at t; law, shape (n,): number of the law or -1; switch: α above which branch 1 holds."""
    n = cells.shape[1]
    row = np.searchsorted(program[:, 0], t, side="right") - 1
    row = max(row, 0)
    tau = t - program[row, 0]
    below = 0.0
    for i in range(n):
        T, a = y[2 * i], y[2 * i + 1]
        k = cells[heat.K0, i] + cells[heat.KT, i] * T + cells[heat.KA, i] * a
        half = cells[heat.WIDTH, i] / (2.0 * k)
        if i == 0:
            below = _face(laws[0], program[row, 1:7], tau, half, T)
        if i == n - 1:
            above = -_face(laws[1], program[row, 7:13], tau, half, T)
        else:
            T2, a2 = y[2 * i + 2], y[2 * i + 3]
            k2 = cells[heat.K0, i + 1] + cells[heat.KT, i + 1] * T2 + cells[heat.KA, i + 1] * a2
            above = (T - T2) / (half + cells[heat.RESISTANCE, i + 1] + cells[heat.WIDTH, i + 1] / (2.0 * k2))
        r = 0.0
        if law[i] >= 0:
            inside = min(max(a, 0.0), 1.0)
            r = rate(law[i], T, inside, values[i], 1 if a > switch[i] else 0)
        C = cells[heat.C0, i] + cells[heat.CT, i] * T + cells[heat.CA, i] * a
        yp[2 * i] = ((below - above) / cells[heat.WIDTH, i] + cells[heat.RELEASED, i] * r) / C
        yp[2 * i + 1] = r
        below = above


@numba.njit(error_model="numpy", cache=True)
def _face(law, line, tau, half, T):
    gas, u, imposed = line[0] + line[1] * tau, line[2] + line[3] * tau, line[4] + line[5] * tau
    h = law[0] + law[1] * u ** law[2]
    inside = law[3] + half
    surface = (h * gas + imposed + T / inside) / (h + 1.0 / inside)
    return (surface - T) / inside


def _of(args, piece):
    def f(t, y, yp):
        right_hand_side(t, y, yp, *args, piece)

    return f


def cvode(problem, times, rtol, atol, max_step=0.0):
    """T and α, shape (times, n), by SUNDIALS CVODE (BDF, banded), restarted at every kink of the program."""
    from sksundae.cvode import CVODE

    n = problem.cells.shape[1]
    y = np.empty(2 * n)
    y[0::2], y[1::2] = problem.start
    band = 3 if np.any(problem.cells[heat.KA]) or np.any(problem.cells[heat.KT]) else 2
    args = (problem.cells, problem.law, problem.rows, problem.switch, problem.laws)
    kinks = [*problem.program[:, 0], problem.end]
    found = np.empty((len(times), 2 * n))
    found[0] = y
    for j in range(len(kinks) - 1):
        piece = problem.program[j : j + 1]

        solver = CVODE(
            _of(args, piece),
            method="BDF",
            rtol=rtol,
            atol=atol,
            linsolver="band",
            lband=band,
            uband=band,
            max_num_steps=10**6,
            max_step=max_step,
        )
        inside = np.flatnonzero((times > kinks[j]) & (times <= kinks[j + 1]))
        asked = times[inside]
        at = np.unique(np.concatenate(([kinks[j]], asked, [kinks[j + 1]])))
        got = solver.solve(at, y)
        assert got.success, got.message
        found[inside] = got.y[np.searchsorted(at, asked)]
        y = got.y[-1].copy()
    return found[:, 0::2], found[:, 1::2]


def cvode_through_kinks(problem, times, rtol, atol):
    """The same without stops at the kinks: the error control of CVODE finds them."""
    from sksundae.cvode import CVODE

    n = problem.cells.shape[1]
    y = np.empty(2 * n)
    y[0::2], y[1::2] = problem.start
    band = 3 if np.any(problem.cells[heat.KA]) or np.any(problem.cells[heat.KT]) else 2
    args = (problem.cells, problem.law, problem.rows, problem.switch, problem.laws)
    solver = CVODE(
        _of(args, problem.program),
        method="BDF",
        rtol=rtol,
        atol=atol,
        linsolver="band",
        lband=band,
        uband=band,
        max_num_steps=10**6,
    )
    got = solver.solve(times, y)
    assert got.success, got.message
    return got.y[:, 0::2], got.y[:, 1::2]


def scipy_bdf(problem, times, rtol):
    """T and α by SciPy's BDF with the sparsity of the Jacobian, the right-hand side compiled."""
    from scipy.integrate import solve_ivp
    from scipy.sparse import diags

    n = problem.cells.shape[1]
    y = np.empty(2 * n)
    y[0::2], y[1::2] = problem.start
    args = (problem.cells, problem.law, problem.rows, problem.switch, problem.laws, problem.program)
    out = np.empty(2 * n)

    def f(t, y):
        right_hand_side(t, y, out, *args)
        return out.copy()

    sparsity = diags([np.ones(2 * n)] * 7, [-3, -2, -1, 0, 1, 2, 3], shape=(2 * n, 2 * n))
    atol = np.tile([rtol, 0.1 * rtol], n)
    got = solve_ivp(
        f, (times[0], times[-1]), y, method="BDF", t_eval=times, rtol=rtol, atol=atol, jac_sparsity=sparsity
    )
    return got.y[0::2].T, got.y[1::2].T
