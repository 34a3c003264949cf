"""One step of RODAS3 for a stack: tried, put right where a law jumped, and looked at between its ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.elementary import fused
from curewright.physics.kinetics.laws import jump, rate
from curewright.physics.solve.rodas3 import between, cubic
from curewright.physics.solve.stages import OVER_TIME, at_stage, factorise, matrix, solve_rows, stage
from curewright.physics.solve.workspace import (
    ALPHA,
    BRANCH,
    CAP,
    FLOW,
    FLOW_0,
    HEAT,
    HEATED,
    K1,
    K2,
    K3,
    K4,
    L1,
    L2,
    L3,
    L4,
    NEW_A,
    NEW_T,
    ONE,
    OWN,
    PUT_RIGHT,
    RATE,
    RATE_0,
    RATE_T,
    RIGHT,
    RIGHT_A,
    STAGE_A,
    STAGE_T,
    TEMPERATURE,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index

INFINITE = np.int64(
    9218868437227405312
)  # the bits of infinity: those of a positive number are in its order, no number is above


def _try_step(
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
    h: float,
    tolerances: tuple[float, float],
) -> float:
    """One step of h seconds: K1 to L4, NEW_T and NEW_A. Returns its error over the tolerances of T and α (not a number: no good)."""
    last, per_h = n - ONE, 1.0 / h
    matrix(ws, n, varying, 2.0 * per_h, edge)
    factorise(ws, n)
    for i in range(n):
        ws[RIGHT_A + i] = ws[RATE_0 + i]
        ws[RIGHT + i] = fused(ws[HEATED + i], ws[RATE_0 + i], ws[FLOW_0 + i])
    ws[RIGHT] += 0.5 * h * edge[OVER_TIME]
    ws[RIGHT + last] += 0.5 * h * edge[OVER_TIME + 1]
    stage(ws, n, varying)
    for i in range(n):
        ws[K1 + i], ws[L1 + i] = ws[RIGHT + i], ws[RIGHT_A + i]
        ws[STAGE_T + i] = fused(2.0, ws[K1 + i], ws[TEMPERATURE + i])
        ws[STAGE_A + i] = fused(2.0, ws[L1 + i], ws[ALPHA + i])
        right_a = fused(4.0 * per_h, ws[L1 + i], ws[RATE_0 + i])
        ws[RIGHT_A + i] = right_a
        ws[RIGHT + i] = fused(ws[HEATED + i], right_a, fused(ws[CAP + i], 4.0 * per_h * ws[K1 + i], ws[FLOW_0 + i]))
    ws[RIGHT] += 1.5 * h * edge[OVER_TIME]
    ws[RIGHT + last] += 1.5 * h * edge[OVER_TIME + 1]
    stage(ws, n, varying)
    at_stage(ws, n, varying, blocks, values, laws, line, tau + h, faces)
    for i in range(n):
        ws[K2 + i], ws[L2 + i] = ws[RIGHT + i], ws[RIGHT_A + i]
        right_a = fused(per_h, ws[L1 + i] - ws[L2 + i], ws[RATE + i])
        ws[RIGHT_A + i] = right_a
        before = per_h * (ws[K1 + i] - ws[K2 + i])
        ws[RIGHT + i] = fused(ws[HEATED + i], right_a, fused(ws[CAP + i], before, ws[FLOW + i]))
    stage(ws, n, varying)
    for i in range(n):
        ws[K3 + i], ws[L3 + i] = ws[RIGHT + i], ws[RIGHT_A + i]
        ws[STAGE_T + i] += ws[K3 + i]
        ws[STAGE_A + i] += ws[L3 + i]
    at_stage(ws, n, varying, blocks, values, laws, line, tau + h, faces)
    for i in range(n):
        right_a = fused(per_h, fused(-8.0 / 3.0, ws[L3 + i], ws[L1 + i] - ws[L2 + i]), ws[RATE + i])
        ws[RIGHT_A + i] = right_a
        before = per_h * fused(-8.0 / 3.0, ws[K3 + i], ws[K1 + i] - ws[K2 + i])
        ws[RIGHT + i] = fused(ws[HEATED + i], right_a, fused(ws[CAP + i], before, ws[FLOW + i]))
    stage(ws, n, varying)
    worst_T, worst_a = np.int64(0), np.int64(0)
    for i in range(n):
        ws[K4 + i], ws[L4 + i] = ws[RIGHT + i], ws[RIGHT_A + i]
        ws[NEW_T + i] = ws[STAGE_T + i] + ws[K4 + i]
        ws[NEW_A + i] = ws[STAGE_A + i] + ws[L4 + i]
        worst_T = max(worst_T, np.float64(abs(ws[RIGHT + i])).view(np.int64))
        worst_a = max(worst_a, np.float64(abs(ws[RIGHT_A + i])).view(np.int64))
    if worst_T >= INFINITE or worst_a >= INFINITE:
        return np.nan
    error_T, error_a = np.int64(worst_T).view(np.float64), np.int64(worst_a).view(np.float64)
    return max(error_T / tolerances[0], error_a / tolerances[1])


PLACE = "float64[::1], uint64, boolean, uint64[:,::1], float64[:,::1], float64[:,::1], float64[::1], float64, float64[:,::1]"
try_step = compiled(f"float64({PLACE}, float64[::1], float64, UniTuple(float64, 2))")(_try_step)


def _inside(ws: NDArray[np.float64], i: Index, m: NDArray[np.float64]) -> tuple[float, float]:
    """T and α of cell i inside the step, with the weights m of the stages."""
    T = ws[TEMPERATURE + i] + m[0] * ws[K1 + i] + m[1] * ws[K2 + i] + m[2] * ws[K3 + i] + m[3] * ws[K4 + i]
    return T, ws[ALPHA + i] + m[0] * ws[L1 + i] + m[1] * ws[L2 + i] + m[2] * ws[L3 + i] + m[3] * ws[L4 + i]


inside = compiled("UniTuple(float64, 2)(float64[::1], uint64, float64[::1])")(_inside)


def _passing(ws: NDArray[np.float64], i: Index, level: float) -> float:
    """At which fraction of the step the α of cell i passes ``level``, to 1e-9: by Newton on the cubic of the stages, within bounds."""
    line, square, cube = cubic(ws[L1 + i], ws[L2 + i], ws[L3 + i], ws[L4 + i])
    rest, low, high, theta = level - ws[ALPHA + i], 0.0, 1.0, 0.5
    for _ in range(60):
        over = theta * (line + theta * (square + theta * cube)) - rest
        if over > 0.0:
            high = theta
        else:
            low = theta
        nearer = theta - over / (line + theta * (2.0 * square + theta * 3.0 * cube))
        if not low < nearer < high:
            nearer = 0.5 * (low + high)
        moved, theta = abs(nearer - theta), nearer
        if moved < 1e-9:
            break
    return theta


passing = compiled("float64(float64[::1], uint64, float64)")(_passing)


def _jumps(
    ws: NDArray[np.float64],
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    h: float,
    m: NDArray[np.float64],
) -> tuple[float, float, int]:
    """PUT_RIGHT: by how much each cell that passed its law's jump in this step must still move in α, by the law of the other branch.

    Returns the greatest of it in kelvin, the earliest passing as a fraction of the step, and how many cells passed.
    """
    most, earliest, count = 0.0, 1.0, 0
    for b in range(blocks.shape[0]):
        law = int(blocks[b, 2])
        level = jump(law, values[b])
        if level > 1.0:
            continue
        for i in range(blocks[b, 0], blocks[b, 1]):
            if ws[BRANCH + i] == 0.0 and ws[NEW_A + i] > level:
                theta = passing(ws, i, level)
                rest = (1.0 - theta) * h
                between(theta, m)
                T = inside(ws, i, m)[0]
                half_way = level + 0.5 * rest * rate(law, T, level, values[b], 1)
                end = level + rest * rate(law, 0.5 * (T + ws[NEW_T + i]), half_way, values[b], 1)
                ws[PUT_RIGHT + i] = end - ws[NEW_A + i]
                count += 1
                earliest = min(earliest, theta)
                most = max(most, abs(ws[PUT_RIGHT + i]) * ws[HEAT + i] / ws[CAP + i])
    return most, earliest, count


jumps = compiled(
    "Tuple((float64, float64, int64))(float64[::1], uint64[:,::1], float64[:,::1], float64, float64[::1])"
)(_jumps)


def _put_right(
    ws: NDArray[np.float64], n: Index, blocks: NDArray[np.uint64], values: NDArray[np.float64], h: float
) -> None:
    """Moves α of the cells that passed the jump, lets the heat of it spread, and puts them on their other branch.

    What the spread heat does to the reaction meanwhile is in the matrix, so it belongs to α too: no heat is made or lost.
    """
    for i in range(n):
        ws[RIGHT + i] = 0.0
    for b in range(blocks.shape[0]):
        level = jump(int(blocks[b, 2]), values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            if ws[BRANCH + i] == 0.0 and ws[NEW_A + i] > level:
                ws[RIGHT + i] = 2.0 / h * ws[HEAT + i] * ws[PUT_RIGHT + i]
                ws[NEW_A + i] += ws[PUT_RIGHT + i]
                ws[BRANCH + i] = 1.0
    solve_rows(ws, n)
    for i in range(n):
        ws[NEW_T + i] += ws[RIGHT + i]
        ws[NEW_A + i] += ws[RATE_T + i] * ws[RIGHT + i] * ws[OWN + i]


put_right = compiled("void(float64[::1], uint64, uint64[:,::1], float64[:,::1], float64)")(_put_right)
