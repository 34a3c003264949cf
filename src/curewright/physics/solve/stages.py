"""The stages of a step of RODAS3 for a stack, with the degree of cure eliminated cell by cell: each is one tridiagonal solve.

With σ = 1/(γ h) a cell's own equation gives K_α = (R_α + r_T K_T) / (σ - r_α); put into the equations of temperature, only a
tridiagonal system for K_T is left. The Jacobian is exact, dependent properties included. The system is eliminated from both ends at
once, which halves the length of the chain of sums that nothing can shorten otherwise.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.elementary import fused
from curewright.physics.solve.heat import (
    BOTTOM,
    ON_FACE,
    TOP,
    face_at,
    flows,
    halves_at_stage,
    into,
    properties,
    through,
)
from curewright.physics.solve.rates import rates, rates_and_slopes
from curewright.physics.solve.workspace import (
    ACROSS,
    ALPHA,
    CAP,
    CAP_A,
    CAP_T,
    DIAGONAL,
    FLOW,
    FLOW_0,
    HALF,
    HALF_A,
    HALF_STAGE,
    HALF_T,
    HEAT,
    HEATED,
    INVERSE,
    LINK,
    LINK_STAGE,
    LOWER,
    ON_ABOVE,
    ON_BELOW,
    ON_OWN,
    ONE,
    OWN,
    PIVOT,
    RATE,
    RATE_0,
    RATE_A,
    RATE_T,
    RIGHT,
    RIGHT_A,
    STAGE_A,
    STAGE_T,
    TEMPERATURE,
    UPPER,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index

# Places in `edge`: slopes of the flow through the lower and the upper face over T, over g, over time; the flows themselves
OVER_T, OVER_G, OVER_TIME, INTO, EDGES = 0, 2, 4, 6, 8


def _at_start(
    ws: NDArray[np.float64],
    n: Index,
    varying: bool,
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    tau: float,
    faces: NDArray[np.float64],
    edge: NDArray[np.float64],
) -> None:
    """What a step needs at its start, whatever its length: properties, RATE_0, FLOW_0, slopes of the rates, ``edge``, shape (EDGES,)."""
    if varying:
        properties(ws, n)
        for i in range(n):
            ws[HALF_STAGE + i] = ws[HALF + i]
            ws[LINK_STAGE + i] = ws[LINK + i]
    for i in range(n):
        ws[STAGE_T + i] = ws[TEMPERATURE + i]
        ws[STAGE_A + i] = ws[ALPHA + i]
    rates_and_slopes(ws, blocks, values)
    for side in range(2):
        last = np.uint64(0) if side == 0 else n - ONE
        face_at(laws[side], line, BOTTOM if side == 0 else TOP, tau, faces[side])
        q, over_T, over_g, over_t = through(faces[side], laws[side, ON_FACE], ws[HALF + last], ws[TEMPERATURE + last])
        edge[OVER_T + side], edge[OVER_G + side], edge[OVER_TIME + side], edge[INTO + side] = over_T, over_g, over_t, q
    flows(ws, n, varying, edge[INTO], edge[INTO + 1])
    for i in range(n):
        ws[FLOW_0 + i] = ws[FLOW + i]
        ws[RATE_0 + i] = ws[RATE + i]


def _at_stage(
    ws: NDArray[np.float64],
    n: Index,
    varying: bool,
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    tau: float,
    faces: NDArray[np.float64],
) -> None:
    """FLOW and RATE at STAGE_T and STAGE_A, ``tau`` seconds into the interval."""
    half = HALF
    if varying:
        halves_at_stage(ws, n)
        half = HALF_STAGE
    rates(ws, blocks, values)
    face_at(laws[0], line, BOTTOM, tau, faces[0])
    face_at(laws[1], line, TOP, tau, faces[1])
    bottom = into(faces[0], laws[0, ON_FACE], ws[half], ws[STAGE_T])
    top = into(faces[1], laws[1, ON_FACE], ws[half + n - ONE], ws[STAGE_T + n - ONE])
    flows(ws, n, varying, bottom, top)


PLACE = "float64[::1], uint64, boolean, uint64[:,::1], float64[:,::1], float64[:,::1], float64[::1], float64, float64[:,::1]"
at_start = compiled(f"void({PLACE}, float64[::1])")(_at_start)
at_stage = compiled(f"void({PLACE})")(_at_stage)


def _matrix(ws: NDArray[np.float64], n: Index, varying: bool, sigma: float, edge: NDArray[np.float64]) -> None:
    """DIAGONAL, LOWER, UPPER of the system for K_T, OWN = 1 / (σ - r_α), and HEATED, the heat from K_α over its right-hand side."""
    for i in range(n):
        ws[OWN + i] = 1.0 / (sigma - ws[RATE_A + i])
        ws[HEATED + i] = ws[HEAT + i] * ws[RATE_A + i] * ws[OWN + i]
        chemistry = ws[HEAT + i] * ws[RATE_T + i] * sigma * ws[OWN + i]
        ws[DIAGONAL + i] = sigma * ws[CAP + i] - chemistry + ws[LINK + i] + ws[LINK + i + ONE]
        ws[LOWER + i] = -ws[LINK + i]
        ws[UPPER + i] = -ws[LINK + i + ONE]
    ws[DIAGONAL] -= edge[OVER_T]
    ws[DIAGONAL + n - ONE] -= edge[OVER_T + 1]
    if varying:
        depends(ws, n, edge)


def _depends(ws: NDArray[np.float64], n: Index, edge: NDArray[np.float64]) -> None:
    """Adds to the matrix what comes of C and k depending on T and α; keeps the slopes of the flows over α (ON_...).

    Flow i, G_i (T_(i-1) - T_i), enters cell i and leaves cell i - 1; the matrix holds minus the slopes.
    """
    for i in range(n):
        share = ws[FLOW_0 + i] / ws[CAP + i]
        ws[DIAGONAL + i] += share * ws[CAP_T + i]
        ws[ON_OWN + i] = -share * ws[CAP_A + i]
        ws[ON_BELOW + i] = 0.0
        ws[ON_ABOVE + i] = 0.0
    for i in range(ONE, n):
        j = i - ONE
        flow = (ws[TEMPERATURE + j] - ws[TEMPERATURE + i]) * ws[LINK + i] * ws[LINK + i]
        down, here = flow / (ws[HALF + j] * ws[HALF + j]), flow / (ws[HALF + i] * ws[HALF + i])
        ws[LOWER + i] -= down * ws[HALF_T + j]
        ws[DIAGONAL + i] -= here * ws[HALF_T + i]
        ws[UPPER + j] += here * ws[HALF_T + i]
        ws[DIAGONAL + j] += down * ws[HALF_T + j]
        ws[ON_BELOW + i] += down * ws[HALF_A + j]
        ws[ON_OWN + i] += here * ws[HALF_A + i]
        ws[ON_ABOVE + j] -= here * ws[HALF_A + i]
        ws[ON_OWN + j] -= down * ws[HALF_A + j]
    for side in range(2):
        outer = np.uint64(0) if side == 0 else n - ONE
        ws[DIAGONAL + outer] -= edge[OVER_G + side] * ws[HALF_T + outer]
        ws[ON_OWN + outer] += edge[OVER_G + side] * ws[HALF_A + outer]
    for i in range(n):
        ws[DIAGONAL + i] -= ws[ON_OWN + i] * ws[RATE_T + i] * ws[OWN + i]
    for i in range(ONE, n):
        j = i - ONE
        ws[LOWER + i] -= ws[ON_BELOW + i] * ws[RATE_T + j] * ws[OWN + j]
        ws[UPPER + j] -= ws[ON_ABOVE + j] * ws[RATE_T + i] * ws[OWN + i]


def _factorise(ws: NDArray[np.float64], n: Index) -> None:
    """Eliminates from both ends to the middle cell m: INVERSE of the pivots; LOWER and UPPER become what :func:`_solve` multiplies by.

    A pivot over its diagonal is the quotient of two neighbouring determinants of the scaled matrix, d_j = d_(j-1) - p_j d_(j-2) with p_j
    the product across the diagonal: so no division waits for the one before. They fall by about half a cell: no matter for 500 cells.
    """
    m, last = n // np.uint64(2), n - ONE
    for i in range(n):
        ws[INVERSE + i] = 1.0 / ws[DIAGONAL + i]
    for i in range(ONE, n):
        ws[ACROSS + i] = ws[LOWER + i] * ws[UPPER + i - ONE] * (ws[INVERSE + i] * ws[INVERSE + i - ONE])
    low_before, low, high_before, high = 1.0, 1.0, 1.0, 1.0
    ws[PIVOT], ws[PIVOT + last] = 1.0, 1.0
    for j in range(ONE, last - m):
        k = last - j
        low_before, low = low, fused(-ws[ACROSS + j], low_before, low)
        high_before, high = high, fused(-ws[ACROSS + k + ONE], high_before, high)
        ws[PIVOT + j], ws[PIVOT + k] = low, high
    for j in range(last - m, m):  # one more below where n is even
        low_before, low = low, fused(-ws[ACROSS + j], low_before, low)
        ws[PIVOT + j] = low
    both = fused(-ws[ACROSS + m], low_before / low, 1.0)
    ws[INVERSE + m] /= fused(-ws[ACROSS + m + ONE], high_before / high, both)
    for i in range(ONE, m):
        ws[INVERSE + i] *= ws[PIVOT + i - ONE] / ws[PIVOT + i]
    for k in range(m + ONE, last):
        ws[INVERSE + k] *= ws[PIVOT + k + ONE] / ws[PIVOT + k]
    for i in range(m):  # below the middle: upwards by the pivot below, back by its own
        ws[UPPER + i] *= ws[INVERSE + i]
    for i in range(ONE, m + ONE):
        ws[LOWER + i] *= ws[INVERSE + i - ONE]
    for k in range(m + ONE, n):
        ws[LOWER + k] *= ws[INVERSE + k]
    for k in range(m, last):
        ws[UPPER + k] *= ws[INVERSE + k + ONE]


def _solve(ws: NDArray[np.float64], n: Index) -> None:
    """RIGHT := the solution for the right-hand side in it, with the factorised matrix."""
    m, last = n // np.uint64(2), n - ONE
    up, down = ws[RIGHT], ws[RIGHT + last]
    for j in range(ONE, last - m):
        k = last - j
        up = fused(-ws[LOWER + j], up, ws[RIGHT + j])
        down = fused(-ws[UPPER + k], down, ws[RIGHT + k])
        ws[RIGHT + j], ws[RIGHT + k] = up, down
    for j in range(last - m, m):
        up = fused(-ws[LOWER + j], up, ws[RIGHT + j])
        ws[RIGHT + j] = up
    up = (ws[RIGHT + m] - (ws[LOWER + m] * up + ws[UPPER + m] * down)) * ws[INVERSE + m]
    down, ws[RIGHT + m] = up, up
    for j in range(ONE, last - m + ONE):
        i, k = m - j, m + j
        up = fused(-ws[UPPER + i], up, ws[RIGHT + i] * ws[INVERSE + i])
        down = fused(-ws[LOWER + k], down, ws[RIGHT + k] * ws[INVERSE + k])
        ws[RIGHT + i], ws[RIGHT + k] = up, down
    for j in range(last - m + ONE, m + ONE):
        i = m - j
        up = fused(-ws[UPPER + i], up, ws[RIGHT + i] * ws[INVERSE + i])
        ws[RIGHT + i] = up


depends = compiled("void(float64[::1], uint64, float64[::1])")(_depends)
matrix = compiled("void(float64[::1], uint64, boolean, float64, float64[::1])")(_matrix)
factorise = compiled("void(float64[::1], uint64)")(_factorise)
solve_rows = compiled("void(float64[::1], uint64)")(_solve)


def _stage(ws: NDArray[np.float64], n: Index, varying: bool) -> None:
    """One stage: RIGHT_A [1/s] holds its right-hand side, RIGHT [W/m²] its own and HEATED times the other; they become K_α and K_T."""
    if varying:
        for i in range(n):
            ws[RIGHT + i] += ws[ON_OWN + i] * ws[OWN + i] * ws[RIGHT_A + i]
        for i in range(ONE, n):
            j = i - ONE
            ws[RIGHT + i] += ws[ON_BELOW + i] * ws[OWN + j] * ws[RIGHT_A + j]
            ws[RIGHT + j] += ws[ON_ABOVE + j] * ws[OWN + i] * ws[RIGHT_A + i]
    solve_rows(ws, n)
    for i in range(n):
        ws[RIGHT_A + i] = ws[OWN + i] * fused(ws[RATE_T + i], ws[RIGHT + i], ws[RIGHT_A + i])


stage = compiled("void(float64[::1], uint64, boolean)")(_stage)
