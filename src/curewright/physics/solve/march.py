"""Marching a stack through a cure: steps of RODAS3 of a length that keeps the error of each within tolerance.

Steps stop at every kink of the program. A law that jumps keeps each cell's branch through a step; where a cell passed the jump, what it
did wrong in the rest of the step is put right afterwards: its degree of cure at once, the heat of that through the same factorised
system, so that it spreads. A step in which that would be much is cut short at the jump. Output between steps comes from the stages.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.laws import jump
from curewright.physics.solve.heat import C0, CA, CT, K0, KA, KT, RELEASED, RESISTANCE, START, WIDTH, properties
from curewright.physics.solve.rodas3 import between
from curewright.physics.solve.stages import EDGES, at_start
from curewright.physics.solve.step import inside, jumps, put_out, put_right, surfaces, try_step
from curewright.physics.solve.workspace import (
    ALPHA,
    BELOW,
    BRANCH,
    CAP_0,
    CAP_A,
    CAP_T,
    HALF_0,
    HALF_A,
    HALF_T,
    HEAT,
    NEW_A,
    NEW_T,
    ONE,
    RATE_A,
    ROWS,
    STRIDE,
    TEMPERATURE,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index

# Places in `control` and in `found`
TOLERANCE_T, TOLERANCE_A, FIRST, LONGEST, MOST_STEPS, MOST_PUT_RIGHT = range(6)
STEPS, REFUSED, JUMPS, IN_BOTTOM, IN_TOP, EXCHANGED, STORED, STEEPEST, SHORTEST_STEP, FOUND = range(10)
DONE, TOO_MANY, STUCK = range(3)
# Columns of what is put out of the faces: temperature of the surface and flow into the stack, below and above
FACE_COLUMNS = 4
TINY = 1e-6  # s: a step this short is taken as it comes
AFTER_KINK = 0.03  # the first step after a kink, over the last before it: light cells turn at once there
LONGEST_GROWTH = 1.3  # a step is not longer than this over the fastest growth of any cell's reaction


def _begin(
    ws: NDArray[np.float64],
    n: Index,
    cells: NDArray[np.float64],
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    start: NDArray[np.float64],
) -> None:
    """Puts the stack and its start into the workspace."""
    for i in range(n):
        width = cells[WIDTH, i]
        ws[CAP_0 + i], ws[CAP_T + i], ws[CAP_A + i] = width * cells[C0, i], width * cells[CT, i], width * cells[CA, i]
        ws[HALF_0 + i] = 2.0 * cells[K0, i] / width
        ws[HALF_T + i], ws[HALF_A + i] = 2.0 * cells[KT, i] / width, 2.0 * cells[KA, i] / width
        ws[HEAT + i], ws[BELOW + i] = width * cells[RELEASED, i], cells[RESISTANCE, i]
        ws[TEMPERATURE + i], ws[ALPHA + i] = start[0, i], start[1, i]
    for b in range(blocks.shape[0]):
        level = jump(int(blocks[b, 2]), values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            ws[BRANCH + i] = 1.0 if start[1, i] > level else 0.0
    properties(ws, n)


begin = compiled("void(float64[::1], uint64, float64[:,::1], uint64[:,::1], float64[:,::1], float64[:,::1])")(_begin)


def _stored(ws: NDArray[np.float64], n: Index, varying: bool, m: NDArray[np.float64]) -> float:
    """Heat that the cells took up over the step [J/m²]: ∫ C dT along it; ``m``: weights of the stages at its middle."""
    total = 0.0
    for i in range(n):
        T0, T2 = ws[TEMPERATURE + i], ws[NEW_T + i]
        total += (ws[CAP_0 + i] + 0.5 * ws[CAP_T + i] * (T2 + T0)) * (T2 - T0)
    if varying:
        for i in range(n):
            T0, T2, a0, a2 = ws[TEMPERATURE + i], ws[NEW_T + i], ws[ALPHA + i], ws[NEW_A + i]
            T1, a1 = inside(ws, i, m)
            whole = 0.5 * (a0 + a2) * (T2 - T0)
            halves = 0.5 * (a0 + a1) * (T1 - T0) + 0.5 * (a1 + a2) * (T2 - T1)
            total += ws[CAP_A + i] * (4.0 * halves - whole) / 3.0
    return total


stored = compiled("float64(float64[::1], uint64, boolean, float64[::1])")(_stored)


def _audit(h: float, flow: NDArray[np.float64], found: NDArray[np.float64]) -> None:
    """Adds to the heat that came in through the faces over a step: Simpson's rule on ``flow``, shape (3, 4), apart from the cells."""
    for side in range(2):
        q0, q1, q2 = flow[0, 2 + side], flow[1, 2 + side], flow[2, 2 + side]
        found[IN_BOTTOM + side] += h / 6.0 * (q0 + 4.0 * q1 + q2)
        found[EXCHANGED] += h / 6.0 * (abs(q0) + 4.0 * abs(q1) + abs(q2))


audit = compiled("void(float64, float64[:,::1], float64[::1])")(_audit)


def _accept(ws: NDArray[np.float64], n: Index, blocks: NDArray[np.uint64]) -> float:
    """Makes the end of the step the start of the next; returns the greatest difference of α between neighbouring cells of one block."""
    for i in range(n):
        ws[TEMPERATURE + i], ws[ALPHA + i] = ws[NEW_T + i], ws[NEW_A + i]
    greatest = np.int64(0)
    for b in range(blocks.shape[0]):
        for i in range(blocks[b, 0] + ONE, blocks[b, 1]):
            difference = np.float64(abs(ws[ALPHA + i] - ws[ALPHA + i - ONE]))
            greatest = max(greatest, difference.view(np.int64))
    return np.int64(greatest).view(np.float64)


accept = compiled("float64(float64[::1], uint64, uint64[:,::1])")(_accept)


def _fastest(ws: NDArray[np.float64], n: Index) -> float:
    """The fastest growth of a reaction by itself [1/s]; 0 where none speeds itself up."""
    greatest = np.int64(0)
    for i in range(n):
        greatest = max(greatest, np.float64(ws[RATE_A + i]).view(np.int64))
    return np.int64(greatest).view(np.float64)


fastest = compiled("float64(float64[::1], uint64)")(_fastest)


def _march(
    cells: NDArray[np.float64],
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    laws: NDArray[np.float64],
    program: NDArray[np.float64],
    end: float,
    start: NDArray[np.float64],
    times: NDArray[np.float64],
    control: NDArray[np.float64],
    varying: bool,
    T_out: NDArray[np.float64],
    alpha_out: NDArray[np.float64],
    face_out: NDArray[np.float64],
    found: NDArray[np.float64],
) -> int:
    """From ``program[0, START]`` to ``end``; fills T_out, alpha_out, shape (times, n), and face_out at ``times``, and ``found``.

    start : float64, shape (2, n): T [K] and α at the start. Returns DONE, TOO_MANY steps, or STUCK (no step is short enough).
    """
    n = np.uint64(cells.shape[1])
    last = n - ONE
    ws = np.zeros(ROWS * STRIDE)
    faces, edge, m, flow = np.zeros((2, 6)), np.zeros(EDGES), np.zeros(4), np.zeros((3, 4))
    begin(ws, n, cells, blocks, values, start)
    tolerances = (control[TOLERANCE_T], control[TOLERANCE_A])
    t, h, out, interval = program[0, START], control[FIRST], 0, 0
    found[SHORTEST_STEP] = end - t
    line, until = program[0], program[1, START] if program.shape[0] > 1 else end
    fresh, growth = True, 0.0
    while out < times.size and times[out] <= t:
        for i in range(n):
            T_out[out, i], alpha_out[out, i] = ws[TEMPERATURE + i], ws[ALPHA + i]
        outer = (start[0, 0], start[0, last], start[1, 0], start[1, last])
        surfaces(ws, n, laws, line, 0.0, faces, outer, face_out[out])
        out += 1
    while t < end:
        if found[STEPS] + found[REFUSED] >= control[MOST_STEPS]:
            return TOO_MANY
        tau = t - line[START]
        if fresh:
            at_start(ws, n, varying, blocks, values, laws, line, tau, faces, edge)
            fresh, growth = False, fastest(ws, n)
            outer = (ws[TEMPERATURE], ws[TEMPERATURE + last], ws[ALPHA], ws[ALPHA + last])
            surfaces(ws, n, laws, line, tau, faces, outer, flow[0])
        h = min(h, control[LONGEST])
        if growth * h > LONGEST_GROWTH:
            h = LONGEST_GROWTH / growth
        arrives_there = t + h >= until - 1e-9 * h
        if arrives_there:
            h = until - t
        elif t + 2.0 * h > until:
            h = 0.5 * (until - t)
        error = try_step(ws, n, varying, blocks, values, laws, line, tau, faces, edge, h, tolerances)
        if not error <= 1.0 and h > TINY:
            found[REFUSED] += 1
            h *= 0.25 if np.isnan(error) else max(0.1, 0.8 * error ** (-1.0 / 3.0))
            continue
        if np.isnan(error):
            return STUCK
        most, earliest, count = jumps(ws, blocks, values, h, m)
        if most > control[MOST_PUT_RIGHT] and h > 0.1:
            found[REFUSED] += 1
            h *= max(0.25, min(0.9, 1.05 * earliest))
            continue
        if count > 0:
            found[JUMPS] += count
            put_right(ws, n, blocks, values, h)
        outer = (ws[NEW_T], ws[NEW_T + last], ws[NEW_A], ws[NEW_A + last])
        surfaces(ws, n, laws, line, tau + h, faces, outer, flow[2])
        arrives = until if arrives_there else t + h
        while out < times.size and times[out] <= arrives:
            if times[out] == arrives:
                for i in range(n):
                    T_out[out, i], alpha_out[out, i] = ws[NEW_T + i], ws[NEW_A + i]
                face_out[out] = flow[2]
            else:
                between((times[out] - t) / h, m)
                put_out(ws, n, m, T_out[out], alpha_out[out])
                outer = (T_out[out, 0], T_out[out, last], alpha_out[out, 0], alpha_out[out, last])
                surfaces(ws, n, laws, line, tau + times[out] - t, faces, outer, face_out[out])
            out += 1
        between(0.5, m)
        low, high = inside(ws, np.uint64(0), m), inside(ws, last, m)
        surfaces(ws, n, laws, line, tau + 0.5 * h, faces, (low[0], high[0], low[1], high[1]), flow[1])
        audit(h, flow, found)
        found[STORED] += stored(ws, n, varying, m)
        found[STEPS] += 1
        found[SHORTEST_STEP] = min(found[SHORTEST_STEP], h)
        found[STEEPEST] = max(found[STEEPEST], accept(ws, n, blocks))
        t = arrives
        h *= min(6.0, 0.8 * max(error, 1e-6) ** (-1.0 / 3.0))
        fresh = True
        if arrives_there and t < end:
            interval += 1
            h *= AFTER_KINK
            line = program[interval]
            until = program[interval + 1, START] if interval + 1 < program.shape[0] else end
    return DONE


march = compiled(
    "int64(float64[:,::1], uint64[:,::1], float64[:,::1], float64[:,::1], float64[:,::1], float64, float64[:,::1], float64[::1],"
    " float64[::1], boolean, float64[:,::1], float64[:,::1], float64[:,::1], float64[::1])"
)(_march)
