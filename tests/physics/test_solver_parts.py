"""The parts of the solver, each against something simpler: exponential, rates, the method's order conditions, the tridiagonal solve."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics.compiled import compiled, uncompiled
from curewright.physics.elementary import exponential, fused, logarithm
from curewright.physics.kinetics.laws import LAWS, VALUES, jump, rate, slopes
from curewright.physics.solve import rodas3
from curewright.physics.solve import workspace as W  # noqa: N812 - rows are read as W.K1
from curewright.physics.solve.rates import ANY, form_of, rates, rates_and_slopes
from curewright.physics.solve.stages import factorise, solve_rows
from curewright.physics.solve.step import inside, passing
from tests.physics.stacks import RESINS


def test_exponential_and_logarithm_agree_with_the_standard_library():
    x = np.concatenate([np.linspace(-700, 700, 4001), np.linspace(-1, 1, 2001)])
    found = np.array([exponential(one) for one in x])
    assert np.abs(found / np.exp(x) - 1).max() < 1e-11
    y = np.concatenate([np.exp(np.linspace(-600, 600, 4001)), np.linspace(0.5, 2.0, 2001)])
    logs = np.array([logarithm(one) for one in y])
    assert np.abs(logs - np.log(y)).max() < 1e-12


@pytest.mark.parametrize("resin", RESINS)
def test_rates_of_a_row_of_cells_are_those_of_the_law(resin):
    material, n = RESINS[resin], 50
    law = LAWS[material.law]
    form, numbers = form_of(law, material.constants)
    assert form != ANY
    rng = np.random.default_rng(3)
    T, alpha = rng.uniform(290.0, 480.0, n), rng.uniform(0.001, 0.999, n)
    constants = np.array([*material.constants, *[0.0] * 4])
    branch = (alpha > jump(law, constants)).astype(float)
    expected = np.array([rate(law, T[i], alpha[i], constants, int(branch[i])) for i in range(n)])
    tilts = np.array([slopes(law, T[i], alpha[i], constants, int(branch[i])) for i in range(n)])
    for one in (form, ANY):
        ws = np.zeros(W.ROWS * W.STRIDE)
        for row, values in ((W.STAGE_T, T), (W.STAGE_A, alpha), (W.BRANCH, branch)):
            ws[int(row) : int(row) + n] = values
        blocks = np.array([[0, n, law, one]], dtype=np.uint64)
        values = np.array([numbers if one == form else [*material.constants, *[0.0] * 14][:14]])
        rates(ws, blocks, values)
        assert ws[int(W.RATE) : int(W.RATE) + n] == pytest.approx(expected, rel=1e-10, abs=1e-18)
        rates_and_slopes(ws, blocks, values)
        assert ws[int(W.RATE) : int(W.RATE) + n] == pytest.approx(expected, rel=1e-10, abs=1e-18)
        for row, column in ((W.RATE_T, 0), (W.RATE_A, 1)):
            found = ws[int(row) : int(row) + n]
            assert found == pytest.approx(tilts[:, column], rel=1e-9, abs=1e-12 * np.abs(tilts[:, column]).max())


def test_every_law_is_covered_by_a_resin_here():
    assert {material.law for material in RESINS.values()} == set(LAWS) == set(VALUES)


def classical():
    """α_ij, γ_ij and b of the method from its K-form (Hairer and Wanner, Solving ODEs II, IV.7, from memory)."""
    c = np.zeros((4, 4))
    a = np.zeros((4, 4))
    for i in range(4):
        c[i, :i], a[i, :i] = rodas3.C[i], rodas3.A[i]
    gamma = np.linalg.inv(np.eye(4) / rodas3.GAMMA - c)
    return a @ gamma, gamma, np.array(rodas3.M) @ gamma


def test_order_conditions_of_the_method():
    """Order 3, embedded order 2, stiffly accurate, L-stable; α_i and γ_i as stated."""
    alpha, gamma, b = classical()
    beta = alpha + gamma
    sums = beta.sum(axis=1)
    assert alpha.sum(axis=1) == pytest.approx(rodas3.AT)
    assert gamma.sum(axis=1) == pytest.approx(rodas3.GT)
    assert [b.sum(), b @ sums, b @ alpha.sum(axis=1) ** 2, b @ beta @ sums] == pytest.approx([1, 1 / 2, 1 / 3, 1 / 6])
    second = (np.array(rodas3.M) - [0, 0, 0, 1]) @ gamma
    assert [second.sum(), second @ sums] == pytest.approx([1, 1 / 2])
    assert second @ beta @ sums != pytest.approx(1 / 6)
    assert b == pytest.approx(beta[3])  # stiffly accurate
    assert 1 - b @ np.linalg.solve(beta, np.ones(4)) == pytest.approx(
        0, abs=1e-12
    )  # nothing is left of what is infinitely stiff


@pytest.mark.parametrize("theta", [0.2, 0.5, 0.9, 1.0])
def test_conditions_of_the_output_between_steps(theta):
    """Order 3 for linear problems, and stiff parts follow a quadratic forcing exactly."""
    alpha, gamma, _ = classical()
    beta, m = alpha + gamma, np.zeros(4)
    sums = beta.sum(axis=1)
    rodas3.between(theta, m)
    b = m @ gamma
    assert [b.sum(), b @ sums, b @ beta @ sums] == pytest.approx([theta, theta**2 / 2, theta**3 / 6])
    assert b @ np.linalg.solve(beta, alpha.sum(axis=1) ** 2) == pytest.approx(theta**2)


@pytest.mark.parametrize("n", [1, 2, 3, 4, 5, 8, 61])
def test_elimination_from_both_ends_solves_the_system(n):
    rng = np.random.default_rng(n)
    low, up = -rng.uniform(0.5, 2.0, n), -rng.uniform(0.5, 2.0, n)
    low[0], up[-1] = 0.0, 0.0
    diagonal = 1.0 + np.abs(low) + np.abs(up) + rng.uniform(0, 1, n)
    right = rng.normal(size=n)
    found = eliminated(low, up, diagonal, right)
    matrix = np.diag(diagonal) + np.diag(low[1:], -1) + np.diag(up[:-1], 1)
    assert found == pytest.approx(np.linalg.solve(matrix, right), rel=1e-12)


@pytest.mark.parametrize("stored", [1.0, 1e-3, 1e-6])
def test_elimination_of_as_many_cells_as_there_may_be(stored):
    """Cells that store little beside what they pass on: determinants fall by half a cell, to 1e-155, and still divide. By LAPACK."""
    n = W.STRIDE - 2
    link = np.full(n + 1, 1.0)
    link[0], link[-1] = 0.0, 0.0
    diagonal = link[:-1] + link[1:] + stored
    right = stored * np.random.default_rng(1).normal(size=n)
    matrix = np.diag(diagonal) - np.diag(link[1:-1], -1) - np.diag(link[1:-1], 1)
    found, expected = eliminated(-link[:-1], -link[1:], diagonal, right), np.linalg.solve(matrix, right)
    assert np.abs(found - expected).max() < 1e-13 / stored * np.abs(expected).max()


def eliminated(low, up, diagonal, right):
    """The solution of a tridiagonal system as the solver finds it."""
    n, ws = diagonal.size, np.zeros(W.ROWS * W.STRIDE)
    for row, values in ((W.LOWER, low), (W.UPPER, up), (W.DIAGONAL, diagonal)):
        ws[int(row) : int(row) + n] = values
    factorise(ws, np.uint64(n))
    ws[int(W.RIGHT) : int(W.RIGHT) + n] = right
    solve_rows(ws, np.uint64(n))
    return ws[int(W.RIGHT) : int(W.RIGHT) + n].copy()


def test_a_cell_passes_a_level_where_its_cubic_does():
    """Against NumPy's roots of the same cubic; the α of the cell grows through the level once."""
    rng, i = np.random.default_rng(2), np.uint64(3)
    for _ in range(200):
        ws = np.zeros(W.ROWS * W.STRIDE)
        line, square, cube = rng.uniform(0.0, 0.2, 3)  # grows everywhere
        start, L4 = rng.uniform(0.1, 0.3), cube / 4.0
        L2 = 1.0 * rng.uniform(-0.1, 0.1)
        L1 = (line + L2 - 6.0 * L4) / 5.0
        L3 = square + 3.0 * L1 - L2 + 9.0 * L4
        for row, value in ((W.ALPHA, start), (W.L1, L1), (W.L2, L2), (W.L3, L3), (W.L4, L4)):
            ws[int(row + i)] = value
        level = start + rng.uniform(0.01, 0.99) * (line + square + cube)
        roots = np.roots([cube, square, line, start - level])
        expected = [root.real for root in roots if abs(root.imag) < 1e-9 and 0.0 <= root.real <= 1.0]
        assert passing(ws, i, level) == pytest.approx(expected[0], abs=1e-8)
        m = np.zeros(4)
        rodas3.between(expected[0], m)
        assert inside(ws, i, m)[1] == pytest.approx(level, abs=1e-12)  # the same curve as the output between steps


def test_a_product_and_a_sum_are_rounded_once_in_kernels():
    """(1 + ε)(1 - ε) - 1 = -ε², which two roundings lose (IEEE 754, fusedMultiplyAdd)."""
    kernel = compiled("float64(float64, float64, float64)")(_of_three)
    small = 2.0**-30
    assert kernel(1.0 + small, 1.0 - small, -1.0) == (0.0 if uncompiled() else -(small**2))


def _of_three(a, b, c):
    return fused(a, b, c)
