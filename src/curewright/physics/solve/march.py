"""Marching a stack through a cure: steps of RODAS3 of a length that keeps the error of each within tolerance.

Steps stop at every kink of the program. A law that jumps keeps each cell's branch through a step; where a cell passed the jump, what it
did wrong in the rest of the step is put right afterwards: its degree of cure at once, the heat of that through the same factorised
system, so that it spreads. A step in which that would be much is cut short at the jump. Output between steps comes from the stages.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.laws import jump, rate
from curewright.physics.solve.heat import (
    BOTTOM,
    C0,
    CA,
    CT,
    HEAT,
    ON_FACE,
    START,
    TOP,
    WIDTH,
    capacity,
    face_at,
    half,
    links,
    through,
)
from curewright.physics.solve.rodas3 import between
from curewright.physics.solve.stages import (
    ALPHA,
    CAP,
    FLOW,
    FLOW_0,
    GHALF,
    K1,
    K2,
    K3,
    K4,
    L1,
    L2,
    L3,
    L4,
    LINK,
    NEW_A,
    NEW_T,
    PUT_RIGHT,
    RATE,
    RATE_0,
    RATE_A,
    RATE_T,
    ROWS,
    STAGE_A,
    STAGE_T,
    TEMPERATURE,
    at_stage,
    at_start,
    factorise,
    solve_rows,
    stage,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Places in `control` and in `found`
TOLERANCE_T, TOLERANCE_A, FIRST, LONGEST, MOST_STEPS, MOST_PUT_RIGHT, CONTROLS = range(7)
STEPS, REFUSED, JUMPS, IN_BOTTOM, IN_TOP, EXCHANGED, STORED, STEEPEST, SHORTEST_STEP, FOUND = range(10)
DONE, TOO_MANY, STUCK = range(3)
# Columns of what is put out of the faces: temperature of the surface and flow into the stack, below and above
FACE_COLUMNS = 4
TINY = 1e-6  # s: a step this short is taken as it comes


def _try_step(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    tau: float,
    h: float,
    faces: NDArray[np.float64],
    edge: NDArray[np.float64],
    control: NDArray[np.float64],
) -> float:
    """One step of h seconds: stages K1 to L4, NEW_T and NEW_A. Returns its error over the tolerance (not a number: no good)."""
    sigma = 2.0 / h
    n = cells.shape[1]
    factorise(cells, ws, varying, sigma, edge)
    T, a, C = ws[TEMPERATURE], ws[ALPHA], ws[CAP]
    F, r = ws[FLOW_0], ws[RATE_0]
    for i in range(n):
        ws[K1, i] = F[i]
        ws[L1, i] = r[i]
    ws[K1, 0] += 0.5 * h * edge[4]
    ws[K1, n - 1] += 0.5 * h * edge[5]
    stage(cells, ws, varying, sigma, ws[K1], ws[L1])
    for i in range(n):
        ws[K2, i] = F[i] + C[i] * (4.0 / h) * ws[K1, i]
        ws[L2, i] = r[i] + (4.0 / h) * ws[L1, i]
        ws[STAGE_T, i] = T[i] + 2.0 * ws[K1, i]
        ws[STAGE_A, i] = a[i] + 2.0 * ws[L1, i]
    ws[K2, 0] += 1.5 * h * edge[4]
    ws[K2, n - 1] += 1.5 * h * edge[5]
    stage(cells, ws, varying, sigma, ws[K2], ws[L2])
    at_stage(cells, blocks, values, branch, laws, line, ws, varying, tau + h, faces)
    F, r = ws[FLOW], ws[RATE]
    for i in range(n):
        ws[K3, i] = F[i] + C[i] / h * (ws[K1, i] - ws[K2, i])
        ws[L3, i] = r[i] + (ws[L1, i] - ws[L2, i]) / h
    stage(cells, ws, varying, sigma, ws[K3], ws[L3])
    for i in range(n):
        ws[STAGE_T, i] += ws[K3, i]
        ws[STAGE_A, i] += ws[L3, i]
    at_stage(cells, blocks, values, branch, laws, line, ws, varying, tau + h, faces)
    for i in range(n):
        ws[K4, i] = F[i] + C[i] / h * (ws[K1, i] - ws[K2, i] - 8.0 / 3.0 * ws[K3, i])
        ws[L4, i] = r[i] + (ws[L1, i] - ws[L2, i] - 8.0 / 3.0 * ws[L3, i]) / h
    stage(cells, ws, varying, sigma, ws[K4], ws[L4])
    worst_T, worst_a = 0.0, 0.0
    for i in range(n):
        ws[NEW_T, i] = ws[STAGE_T, i] + ws[K4, i]
        ws[NEW_A, i] = ws[STAGE_A, i] + ws[L4, i]
        worst_T = max(worst_T, abs(ws[K4, i]))
        worst_a = max(worst_a, abs(ws[L4, i]))
    if not np.isfinite(np.sum(ws[NEW_T])) or not np.isfinite(np.sum(ws[NEW_A])):
        return np.nan
    return max(worst_T / control[TOLERANCE_T], worst_a / control[TOLERANCE_A])  # type: ignore[no-any-return]


try_step = compiled(
    "float64(float64[:,::1], int64[:,::1], float64[:,::1], int64[::1], float64[:,::1], float64[::1], float64[:,::1], int64, float64,"
    " float64, float64[:,::1], float64[::1], float64[::1])"
)(_try_step)


def _passing(ws: NDArray[np.float64], i: int, level: float, m: NDArray[np.float64]) -> float:
    """At which fraction of the step the α of cell i passes ``level``: by halving."""
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        between(middle, m)
        alpha = ws[ALPHA, i] + m[0] * ws[L1, i] + m[1] * ws[L2, i] + m[2] * ws[L3, i] + m[3] * ws[L4, i]
        if alpha > level:
            high = middle
        else:
            low = middle
    return high


passing = compiled("float64(float64[:,::1], int64, float64, float64[::1])")(_passing)


def _jumps(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    ws: NDArray[np.float64],
    h: float,
    m: NDArray[np.float64],
) -> tuple[float, float, int]:
    """PUT_RIGHT: by how much each cell that passed its law's jump in this step must still move in α, by the law of the other branch.

    Returns the greatest of it in kelvin, the earliest passing as a fraction of the step, and how many cells passed.
    """
    most, earliest, count = 0.0, 1.0, 0
    for b in range(blocks.shape[0]):
        level = jump(blocks[b, 2], values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            ws[PUT_RIGHT, i] = 0.0
            if branch[i] == 0 and ws[NEW_A, i] > level:
                theta = passing(ws, i, level, m)
                rest = (1.0 - theta) * h
                between(theta, m)
                T0 = ws[TEMPERATURE, i] + m[0] * ws[K1, i] + m[1] * ws[K2, i] + m[2] * ws[K3, i] + m[3] * ws[K4, i]
                half_way = level + 0.5 * rest * rate(blocks[b, 2], T0, level, values[b], 1)
                end = level + rest * rate(blocks[b, 2], 0.5 * (T0 + ws[NEW_T, i]), half_way, values[b], 1)
                ws[PUT_RIGHT, i] = end - ws[NEW_A, i]
                count += 1
                earliest = min(earliest, theta)
                most = max(most, abs(ws[PUT_RIGHT, i]) * cells[HEAT, i] * cells[WIDTH, i] / ws[CAP, i])
    return most, earliest, count


jumps = compiled(
    "Tuple((float64, float64, int64))(float64[:,::1], int64[:,::1], float64[:,::1], int64[::1], float64[:,::1], float64, float64[::1])"
)(_jumps)


def _put_right(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    branch: NDArray[np.int64],
    ws: NDArray[np.float64],
    h: float,
) -> None:
    """Moves α of the cells that passed the jump, lets the heat of it spread, and puts them on their other branch.

    What the spread heat does to the reaction meanwhile is in the matrix, so it belongs to α too: no heat is made or lost.
    """
    K = ws[STAGE_T]
    for i in range(K.size):
        K[i] = 0.0
    for b in range(blocks.shape[0]):
        level = jump(blocks[b, 2], values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            if branch[i] == 0 and ws[NEW_A, i] > level:
                K[i] = 2.0 / h * cells[WIDTH, i] * cells[HEAT, i] * ws[PUT_RIGHT, i]
                ws[NEW_A, i] += ws[PUT_RIGHT, i]
                branch[i] = 1
    solve_rows(ws, K)
    for i in range(K.size):
        ws[NEW_T, i] += K[i]
        ws[NEW_A, i] += ws[RATE_T, i] * K[i] / (2.0 / h - ws[RATE_A, i])


put_right = compiled("void(float64[:,::1], int64[:,::1], float64[:,::1], int64[::1], float64[:,::1], float64)")(
    _put_right
)


def _put_out(
    cells: NDArray[np.float64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    tau: float,
    m: NDArray[np.float64],
    faces: NDArray[np.float64],
    T: NDArray[np.float64],
    alpha: NDArray[np.float64],
    at_faces: NDArray[np.float64],
) -> None:
    """T, alpha, shape (n,), with the weights m of the stages, and the surfaces then."""
    n = T.size
    for i in range(n):
        T[i] = ws[TEMPERATURE, i] + m[0] * ws[K1, i] + m[1] * ws[K2, i] + m[2] * ws[K3, i] + m[3] * ws[K4, i]
        alpha[i] = ws[ALPHA, i] + m[0] * ws[L1, i] + m[1] * ws[L2, i] + m[2] * ws[L3, i] + m[3] * ws[L4, i]
    surfaces(cells, laws, line, ws, varying, tau, faces, T, alpha, at_faces)


def _surfaces(
    cells: NDArray[np.float64],
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    tau: float,
    faces: NDArray[np.float64],
    T: NDArray[np.float64],
    alpha: NDArray[np.float64],
    at_faces: NDArray[np.float64],
) -> None:
    """``at_faces``, shape (4,): temperature of the lower and of the upper surface [K], flow in there [W/m²]."""
    n = T.size
    g_low, g_high = ws[GHALF, 0], ws[GHALF, n - 1]
    if varying:
        half(cells, T, alpha, ws[STAGE_T])
        g_low, g_high = ws[STAGE_T, 0], ws[STAGE_T, n - 1]
    face_at(laws[0], line, BOTTOM, tau, faces[0])
    face_at(laws[1], line, TOP, tau, faces[1])
    at_faces[2] = through(faces[0], laws[0, ON_FACE], g_low, T[0])[0]
    at_faces[3] = through(faces[1], laws[1, ON_FACE], g_high, T[n - 1])[0]
    at_faces[0] = T[0] + at_faces[2] / g_low
    at_faces[1] = T[n - 1] + at_faces[3] / g_high


SURFACES = (
    "void(float64[:,::1], float64[:,::1], float64[::1], float64[:,::1], int64, float64,{} float64[:,::1], float64[::1], float64[::1],"
    " float64[::1])"
)
surfaces = compiled(SURFACES.format(""))(_surfaces)
put_out = compiled(SURFACES.format(" float64[::1],"))(_put_out)


def _audit(
    cells: NDArray[np.float64],
    ws: NDArray[np.float64],
    varying: int,
    h: float,
    middle_T: NDArray[np.float64],
    middle_a: NDArray[np.float64],
    flows: NDArray[np.float64],
    found: NDArray[np.float64],
) -> None:
    """Adds one step to the heat that went in through the faces (Simpson's rule on ``flows``, shape (3, 4)) and that is stored."""
    for side in range(2):
        q0, q1, q2 = flows[0, 2 + side], flows[1, 2 + side], flows[2, 2 + side]
        found[IN_BOTTOM + side] += h / 6.0 * (q0 + 4.0 * q1 + q2)
        found[EXCHANGED] += h / 6.0 * (abs(q0) + 4.0 * abs(q1) + abs(q2))
    stored = 0.0
    for i in range(middle_T.size):
        T0, T1, T2 = ws[TEMPERATURE, i], middle_T[i], ws[NEW_T, i]
        one = cells[C0, i] * (T2 - T0) + 0.5 * cells[CT, i] * (T2 - T0) * (T2 + T0)
        if varying:
            a0, a1, a2 = ws[ALPHA, i], middle_a[i], ws[NEW_A, i]
            whole = 0.5 * (a0 + a2) * (T2 - T0)
            halves = 0.5 * (a0 + a1) * (T1 - T0) + 0.5 * (a1 + a2) * (T2 - T1)
            one += cells[CA, i] * (4.0 * halves - whole) / 3.0
        stored += cells[WIDTH, i] * one
    found[STORED] += stored


audit = compiled(
    "void(float64[:,::1], float64[:,::1], int64, float64, float64[::1], float64[::1], float64[:,::1], float64[::1])"
)(_audit)


def _steepest(blocks: NDArray[np.int64], alpha: NDArray[np.float64]) -> float:
    """The greatest difference of α between neighbouring cells of one block."""
    found = 0.0
    for b in range(blocks.shape[0]):
        for i in range(blocks[b, 0] + 1, blocks[b, 1]):
            found = max(found, abs(alpha[i] - alpha[i - 1]))
    return found


steepest = compiled("float64(int64[:,::1], float64[::1])")(_steepest)


def _march(
    cells: NDArray[np.float64],
    blocks: NDArray[np.int64],
    values: NDArray[np.float64],
    laws: NDArray[np.float64],
    program: NDArray[np.float64],
    end: float,
    start: NDArray[np.float64],
    times: NDArray[np.float64],
    control: NDArray[np.float64],
    varying: int,
    T_out: NDArray[np.float64],
    alpha_out: NDArray[np.float64],
    face_out: NDArray[np.float64],
    found: NDArray[np.float64],
) -> int:
    """From ``program[0, START]`` to ``end``; fills T_out, alpha_out, shape (times, n), and face_out at ``times``, and ``found``.

    start : float64, shape (2, n): T [K] and α at the start. Returns DONE, TOO_MANY steps, or STUCK (no step is short enough).
    """
    n = cells.shape[1]
    ws = np.zeros((ROWS, n))
    branch = np.zeros(n, dtype=np.int64)
    faces, edge, m, flow = np.zeros((2, 6)), np.zeros(8), np.zeros(4), np.zeros((3, 4))
    middle = np.zeros((2, n))
    ws[TEMPERATURE], ws[ALPHA] = start[0], start[1]
    half(cells, start[0], start[1], ws[GHALF])
    links(cells, ws[GHALF], ws[LINK])
    capacity(cells, start[0], start[1], ws[CAP])
    for b in range(blocks.shape[0]):
        level = jump(blocks[b, 2], values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            branch[i] = 1 if start[1, i] > level else 0
    t, h, out, interval = program[0, START], control[FIRST], 0, 0
    found[SHORTEST_STEP] = end - t
    line, until = program[0], program[1, START] if program.shape[0] > 1 else end
    fresh = True
    while out < times.size and times[out] <= t:
        T_out[out], alpha_out[out] = ws[TEMPERATURE], ws[ALPHA]
        surfaces(cells, laws, line, ws, varying, 0.0, faces, T_out[out], alpha_out[out], face_out[out])
        out += 1
    while t < end:
        if found[STEPS] + found[REFUSED] >= control[MOST_STEPS]:
            return TOO_MANY
        tau = t - line[START]
        if fresh:
            at_start(cells, blocks, values, branch, laws, line, ws, varying, tau, faces, edge)
            fresh = False
            fastest = 0.0
            for i in range(n):
                fastest = max(fastest, ws[RATE_A, i])
        h = min(h, control[LONGEST])
        if fastest * h > 1.3:
            h = 1.3 / fastest
        last = t + h >= until - 1e-9 * h
        if last:
            h = until - t
        elif t + 2.0 * h > until:
            h = 0.5 * (until - t)
        error = try_step(cells, blocks, values, branch, laws, line, ws, varying, tau, h, faces, edge, control)
        if not error <= 1.0 and h > TINY:
            found[REFUSED] += 1
            h *= 0.25 if np.isnan(error) else max(0.1, 0.9 * error ** (-1.0 / 3.0))
            continue
        if np.isnan(error):
            return STUCK
        most, earliest, count = jumps(cells, blocks, values, branch, ws, h, m)
        if most > control[MOST_PUT_RIGHT] and h > 0.1:
            found[REFUSED] += 1
            h *= max(0.25, min(0.9, 1.05 * earliest))
            continue
        if count > 0:
            found[JUMPS] += count
            put_right(cells, blocks, values, branch, ws, h)
        between(0.5, m)
        put_out(cells, laws, line, ws, varying, tau + 0.5 * h, m, faces, middle[0], middle[1], flow[1])
        surfaces(cells, laws, line, ws, varying, tau + h, faces, ws[NEW_T], ws[NEW_A], flow[2])
        if varying:
            surfaces(cells, laws, line, ws, varying, tau, faces, ws[TEMPERATURE], ws[ALPHA], flow[0])
        else:
            flow[0, 2], flow[0, 3] = edge[6], edge[7]
        audit(cells, ws, varying, h, middle[0], middle[1], flow, found)
        arrives = until if last else t + h
        while out < times.size and times[out] <= arrives:
            if times[out] == arrives:
                T_out[out], alpha_out[out], face_out[out] = ws[NEW_T], ws[NEW_A], flow[2]
            else:
                between((times[out] - t) / h, m)
                put_out(
                    cells,
                    laws,
                    line,
                    ws,
                    varying,
                    tau + times[out] - t,
                    m,
                    faces,
                    T_out[out],
                    alpha_out[out],
                    face_out[out],
                )
            out += 1
        found[STEPS] += 1
        found[SHORTEST_STEP] = min(found[SHORTEST_STEP], h)
        for i in range(n):
            ws[TEMPERATURE, i], ws[ALPHA, i] = ws[NEW_T, i], ws[NEW_A, i]
        found[STEEPEST] = max(found[STEEPEST], steepest(blocks, ws[ALPHA]))
        t = arrives
        h *= min(4.0, 0.9 * max(error, 1e-6) ** (-1.0 / 3.0))
        fresh = True
        if last and t < end:
            interval += 1
            line = program[interval]
            until = program[interval + 1, START] if interval + 1 < program.shape[0] else end
    return DONE


march = compiled(
    "int64(float64[:,::1], int64[:,::1], float64[:,::1], float64[:,::1], float64[:,::1], float64, float64[:,::1], float64[::1],"
    " float64[::1], int64, float64[:,::1], float64[:,::1], float64[:,::1], float64[::1])"
)(_march)
