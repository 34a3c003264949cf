"""The stages of a step of RODAS3 for a stack, with the degree of cure eliminated cell by cell: each is one tridiagonal solve.

With σ = 1/(γ h) a cell's own equation gives K_α = (R_α + r_T K_T) / (σ - r_α); put into the equations of temperature, only a
tridiagonal system for K_T is left. The Jacobian is exact, dependent properties included.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.laws import rate, slopes
from curewright.physics.solve.heat import (
    BOTTOM,
    CA,
    CT,
    HEAT,
    KA,
    KT,
    ON_FACE,
    TOP,
    WIDTH,
    capacity,
    face_at,
    half,
    links,
    through,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Rows of the workspace, shape (ROWS, n)
(
    TEMPERATURE, ALPHA, STAGE_T, STAGE_A, FLOW, RATE, RATE_T, RATE_A, GHALF, LINK, CAP, LOWER, DIAGONAL, UPPER, RIGHT, RIGHT_A,
    K1, K2, K3, K4, L1, L2, L3, L4, NEW_T, NEW_A, PUT_RIGHT, INVERSE, COUPLE_DOWN, COUPLE_UP, COUPLE_OWN,
    FLOW_0, RATE_0, GHALF_STAGE, LINK_STAGE,
) = range(35)  # fmt: skip
ROWS = 35


def _chemistry(
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    T: NDArray[np.float64],
    alpha: NDArray[np.float64],
    r: NDArray[np.float64],
) -> None:
    """Rates of cure, shape (n,) [1/s], of the cells that react; ``blocks``, shape (b, 3): first cell, end, law; α kept within 0 to 1."""
    for b in range(blocks.shape[0]):
        for i in range(blocks[b, 0], blocks[b, 1]):
            r[i] = rate(blocks[b, 2], T[i], min(max(alpha[i], 0.0), 1.0), values[b], branch[i])


def _chemistry_slopes(
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    T: NDArray[np.float64],
    alpha: NDArray[np.float64],
    r_T: NDArray[np.float64],
    r_a: NDArray[np.float64],
) -> None:
    """How the rates change with T and with α."""
    for b in range(blocks.shape[0]):
        for i in range(blocks[b, 0], blocks[b, 1]):
            r_T[i], r_a[i] = slopes(blocks[b, 2], T[i], min(max(alpha[i], 1e-12), 1.0), values[b], branch[i])


chemistry = compiled("void(int64[:,::1], float64[:,::1], int64[::1], float64[::1], float64[::1], float64[::1])")(
    _chemistry
)
chemistry_slopes = compiled(
    "void(int64[:,::1], float64[:,::1], int64[::1], float64[::1], float64[::1], float64[::1], float64[::1])"
)(_chemistry_slopes)


def _flows(
    cells: NDArray[np.float64],
    G: NDArray[np.float64],
    T: NDArray[np.float64],
    r: NDArray[np.float64],
    ends: tuple[float, float],
    F: NDArray[np.float64],
) -> None:
    """F, shape (n,): what each cell gains [W/m²] from its neighbours, the faces (``ends``) and its chemistry."""
    n = T.size
    for i in range(n):
        F[i] = cells[WIDTH, i] * cells[HEAT, i] * r[i]
    for i in range(1, n):
        q = G[i] * (T[i - 1] - T[i])
        F[i] += q
        F[i - 1] -= q
    F[0] += ends[0]
    F[n - 1] += ends[1]


flows = compiled("void(float64[:,::1], float64[::1], float64[::1], float64[::1], UniTuple(float64, 2), float64[::1])")(
    _flows
)


def _factorise(
    cells: NDArray[np.float64], ws: NDArray[np.float64], varying: int, sigma: float, edge: NDArray[np.float64]
) -> None:
    """The tridiagonal matrix of K_T at this step length, factorised: LOWER, INVERSE (of the pivots), UPPER.

    ``edge``: slope over T and over g of the flow through the lower and the upper face.
    """
    T, G, C, r_T, r_a = ws[TEMPERATURE], ws[LINK], ws[CAP], ws[RATE_T], ws[RATE_A]
    low, diagonal, up, inverse = ws[LOWER], ws[DIAGONAL], ws[UPPER], ws[INVERSE]
    n = T.size
    for i in range(n):
        own = cells[WIDTH, i] * cells[HEAT, i]
        diagonal[i] = sigma * C[i] - own * r_T[i] * sigma / (sigma - r_a[i])
    for i in range(1, n):
        low[i] = -G[i]
        up[i - 1] = -G[i]
        diagonal[i] += G[i]
        diagonal[i - 1] += G[i]
    diagonal[0] -= edge[0]
    diagonal[n - 1] -= edge[2]
    if varying:
        _depends(cells, ws, sigma, edge)
    inverse[0] = 1.0 / diagonal[0]
    for i in range(1, n):
        low[i] *= inverse[i - 1]
        inverse[i] = 1.0 / (diagonal[i] - low[i] * up[i - 1])


def _dependence(cells: NDArray[np.float64], ws: NDArray[np.float64], sigma: float, edge: NDArray[np.float64]) -> None:
    """Adds to the matrix what comes of C and k depending on T and α; keeps the slopes over α (COUPLE_*) for the right-hand sides."""
    T, G, g, C, F = ws[TEMPERATURE], ws[LINK], ws[GHALF], ws[CAP], ws[FLOW_0]
    r_T, r_a, low, diagonal, up = ws[RATE_T], ws[RATE_A], ws[LOWER], ws[DIAGONAL], ws[UPPER]
    own, below, above = ws[COUPLE_OWN], ws[COUPLE_DOWN], ws[COUPLE_UP]
    n = T.size
    for i in range(n):
        share = F[i] / C[i] * cells[WIDTH, i]
        diagonal[i] += share * cells[CT, i]
        own[i] = -share * cells[CA, i]
        below[i] = 0.0
        above[i] = 0.0
    for i in range(1, n):
        difference = (T[i - 1] - T[i]) * G[i] * G[i]
        down = difference / (g[i - 1] * g[i - 1]) * 2.0 / cells[WIDTH, i - 1]
        here = difference / (g[i] * g[i]) * 2.0 / cells[WIDTH, i]
        # flow i enters cell i and leaves cell i - 1; the matrix holds minus the slopes
        low[i] -= down * cells[KT, i - 1]
        diagonal[i] -= here * cells[KT, i]
        up[i - 1] += here * cells[KT, i]
        diagonal[i - 1] += down * cells[KT, i - 1]
        below[i] += down * cells[KA, i - 1]
        own[i] += here * cells[KA, i]
        above[i - 1] -= here * cells[KA, i]
        own[i - 1] -= down * cells[KA, i - 1]
    for side in range(2):
        i = 0 if side == 0 else n - 1
        outside = edge[2 * side + 1] * 2.0 / cells[WIDTH, i]
        diagonal[i] -= outside * cells[KT, i]
        own[i] += outside * cells[KA, i]
    for i in range(n):
        diagonal[i] -= own[i] * r_T[i] / (sigma - r_a[i])
        if i > 0:
            low[i] -= below[i] * r_T[i - 1] / (sigma - r_a[i - 1])
        if i < n - 1:
            up[i] -= above[i] * r_T[i + 1] / (sigma - r_a[i + 1])


_depends = compiled("void(float64[:,::1], float64[:,::1], float64, float64[::1])")(_dependence)
factorise = compiled("void(float64[:,::1], float64[:,::1], int64, float64, float64[::1])")(_factorise)


def _solve(ws: NDArray[np.float64], K: NDArray[np.float64]) -> None:
    """K := the solution for the right-hand side in K, with the factorised matrix."""
    low, up, inverse = ws[LOWER], ws[UPPER], ws[INVERSE]
    n = K.size
    for i in range(1, n):
        K[i] -= low[i] * K[i - 1]
    K[n - 1] *= inverse[n - 1]
    for j in range(n - 1):
        i = n - 2 - j
        K[i] = (K[i] - up[i] * K[i + 1]) * inverse[i]


solve_rows = compiled("void(float64[:,::1], float64[::1])")(_solve)


def _stage(
    cells: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    sigma: float,
    K: NDArray[np.float64],
    L: NDArray[np.float64],
) -> None:
    """One stage: K holds the right-hand side of temperature [W/m²], L that of α [1/s]; they become K_T and K_α."""
    r_T, r_a = ws[RATE_T], ws[RATE_A]
    n = K.size
    for i in range(n):
        L[i] /= sigma - r_a[i]
        K[i] += cells[WIDTH, i] * cells[HEAT, i] * r_a[i] * L[i]
    if varying:
        own, below, above = ws[COUPLE_OWN], ws[COUPLE_DOWN], ws[COUPLE_UP]
        for i in range(n):
            K[i] += own[i] * L[i]
            if i > 0:
                K[i] += below[i] * L[i - 1]
            if i < n - 1:
                K[i] += above[i] * L[i + 1]
    solve_rows(ws, K)
    for i in range(n):
        L[i] += r_T[i] * K[i] / (sigma - r_a[i])


stage = compiled("void(float64[:,::1], float64[:,::1], int64, float64, float64[::1], float64[::1])")(_stage)


def _at_start(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    tau: float,
    faces: NDArray[np.float64],
    edge: NDArray[np.float64],
) -> None:
    """Everything that a step needs at its start, whatever its length: properties, rates, flows, slopes.

    ``edge``, shape (8,): of the flow through the lower face over T and g, the same of the upper; of both over time; both flows.
    """
    T, a = ws[TEMPERATURE], ws[ALPHA]
    n = T.size
    if varying:
        half(cells, T, a, ws[GHALF])
        links(cells, ws[GHALF], ws[LINK])
        capacity(cells, T, a, ws[CAP])
    chemistry(blocks, values, branch, T, a, ws[RATE_0])
    chemistry_slopes(blocks, values, branch, T, a, ws[RATE_T], ws[RATE_A])
    face_at(laws[0], line, BOTTOM, tau, faces[0])
    face_at(laws[1], line, TOP, tau, faces[1])
    bottom, edge[0], edge[1], edge[4] = through(faces[0], laws[0, ON_FACE], ws[GHALF, 0], T[0])
    top, edge[2], edge[3], edge[5] = through(faces[1], laws[1, ON_FACE], ws[GHALF, n - 1], T[n - 1])
    edge[6], edge[7] = bottom, top
    flows(cells, ws[LINK], T, ws[RATE_0], (bottom, top), ws[FLOW_0])


at_start = compiled(
    "void(float64[:,::1], int64[:,::1], float64[:,::1], int64[::1], float64[:,::1], float64[::1], float64[:,::1], int64, float64,"
    " float64[:,::1], float64[::1])"
)(_at_start)


def _at_stage(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    tau: float,
    faces: NDArray[np.float64],
) -> None:
    """FLOW and RATE at STAGE_T, STAGE_A; FLOW is scaled to the capacities at the start of the step."""
    T, a = ws[STAGE_T], ws[STAGE_A]
    n = T.size
    g, G = ws[GHALF], ws[LINK]
    if varying:
        g, G = ws[GHALF_STAGE], ws[LINK_STAGE]
        half(cells, T, a, g)
        links(cells, g, G)
    chemistry(blocks, values, branch, T, a, ws[RATE])
    face_at(laws[0], line, BOTTOM, tau, faces[0])
    face_at(laws[1], line, TOP, tau, faces[1])
    bottom = through(faces[0], laws[0, ON_FACE], g[0], T[0])[0]
    top = through(faces[1], laws[1, ON_FACE], g[n - 1], T[n - 1])[0]
    flows(cells, G, T, ws[RATE], (bottom, top), ws[FLOW])
    if varying:
        capacity(cells, T, a, g)
        for i in range(n):
            ws[FLOW, i] *= ws[CAP, i] / g[i]


at_stage = compiled(
    "void(float64[:,::1], int64[:,::1], float64[:,::1], int64[::1], float64[:,::1], float64[::1], float64[:,::1], int64, float64,"
    " float64[:,::1])"
)(_at_stage)
