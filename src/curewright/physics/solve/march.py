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
from curewright.physics.solve.output import inflows, put_out_step, stored
from curewright.physics.solve.rodas3 import between
from curewright.physics.solve.stages import EDGES, at_start
from curewright.physics.solve.step import inside, jumps, put_right, try_step
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
STEPS, REFUSED, JUMPS, IN_BOTTOM, IN_TOP, EXCHANGED, STORED, SET_FREE, STEEPEST, FOUND = range(10)
DONE, TOO_MANY, STUCK = range(3)
TINY = 1e-6  # s: a step this short is taken as it comes
AFTER_KINK = 0.03  # the first step after a kink, over the last before it: light cells turn at once there
SAFE = 0.7  # of the step that the estimate would allow
MOST_GROWTH = 6.0  # of a step over the one before it
LONGEST_GROWTH = 1.3  # a step is not longer than this over the fastest growth of any cell's reaction


def _begin(
    ws: NDArray[np.float64],
    n: Index,
    cells: NDArray[np.float64],
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    start: NDArray[np.float64],
) -> None:
    """Puts the stack and its start into the workspace, whose rows are cleared as far as they are read."""
    for row in range(np.uint64(ROWS)):
        for i in range(n + ONE):
            ws[row * np.uint64(STRIDE) + i] = 0.0
    for i in range(n):
        width = cells[WIDTH, i]
        ws[CAP_0 + i], ws[CAP_T + i], ws[CAP_A + i] = width * cells[C0, i], width * cells[CT, i], width * cells[CA, i]
        ws[HALF_0 + i] = 2.0 * cells[K0, i] / width
        ws[HALF_T + i], ws[HALF_A + i] = 2.0 * cells[KT, i] / width, 2.0 * cells[KA, i] / width
        ws[HEAT + i], ws[BELOW + i] = width * cells[RELEASED, i], cells[RESISTANCE, i]
        ws[TEMPERATURE + i], ws[ALPHA + i] = start[0, i], start[1, i]
        ws[NEW_T + i], ws[NEW_A + i] = start[0, i], start[1, i]
    for b in range(blocks.shape[0]):
        level = jump(int(blocks[b, 2]), values[b])
        for i in range(blocks[b, 0], blocks[b, 1]):
            ws[BRANCH + i] = 1.0 if start[1, i] > level else 0.0
    properties(ws, n)


begin = compiled("void(float64[::1], uint64, float64[:,::1], uint64[:,::1], float64[:,::1], float64[:,::1])")(_begin)


def _audit(
    h: float,
    before: tuple[float, float],
    middle: tuple[float, float],
    after: tuple[float, float],
    found: NDArray[np.float64],
) -> None:
    """Adds to the heat that came in through the faces over a step: Simpson's rule on the flows there, apart from the cells."""
    for side in range(2):
        found[IN_BOTTOM + side] += h / 6.0 * (before[side] + 4.0 * middle[side] + after[side])
        found[EXCHANGED] += h / 6.0 * (abs(before[side]) + 4.0 * abs(middle[side]) + abs(after[side]))


FLOWS = "UniTuple(float64, 2)"
audit = compiled(f"void(float64, {FLOWS}, {FLOWS}, {FLOWS}, float64[::1])")(_audit)


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


def _length(h: float, growth: float, longest: float, t: float, until: float) -> tuple[float, bool]:
    """How long the next step is, if h would be long enough, and whether it ends at ``until``."""
    h = min(h, longest)
    if growth * h > LONGEST_GROWTH:
        h = LONGEST_GROWTH / growth
    if t + h >= until - 1e-9 * h:
        return until - t, True
    return (0.5 * (until - t) if t + 2.0 * h > until else h), False


def _increasing(times: NDArray[np.float64]) -> bool:
    """Whether there are two times or more, all of them numbers, each later than the one before."""
    for k in range(1, times.size):
        if not times[k] > times[k - 1]:
            return False
    return bool(times.size > 1 and np.isfinite(times[0]) and np.isfinite(times[times.size - 1]))


increasing = compiled("boolean(float64[::1])")(_increasing)
length = compiled("Tuple((float64, boolean))(float64, float64, float64, float64, float64)")(_length)


def _stands(
    ws: NDArray[np.float64],
    n: Index,
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    h: float,
    error: float,
    control: NDArray[np.float64],
    found: NDArray[np.float64],
    m: NDArray[np.float64],
) -> float:
    """1 where the step that was tried stands, what passed a jump put right; else by how much to shorten it; 0 where nothing helps."""
    if not error <= 1.0 and h > TINY:
        return 0.25 if np.isnan(error) else max(0.1, SAFE * error ** (-1.0 / 3.0))
    if np.isnan(error):
        return 0.0
    most, earliest, count = jumps(ws, blocks, values, h, m)
    if most > control[MOST_PUT_RIGHT] and h > 0.1:
        return max(0.25, min(0.9, 1.05 * earliest))
    if count > 0:
        found[JUMPS] += count
        put_right(ws, n, blocks, values, h)
    return 1.0


stands = compiled(
    "float64(float64[::1], uint64, uint64[:,::1], float64[:,::1], float64, float64, float64[::1], float64[::1],"
    " float64[::1])"
)(_stands)


def _march(
    cells: NDArray[np.float64],
    blocks: NDArray[np.uint64],
    values: NDArray[np.float64],
    laws: NDArray[np.float64],
    program: NDArray[np.float64],
    start: NDArray[np.float64],
    times: NDArray[np.float64],
    control: NDArray[np.float64],
    varying: bool,
    T_out: NDArray[np.float64],
    alpha_out: NDArray[np.float64],
    found: NDArray[np.float64],
) -> int:
    """From the first to the last of ``times``; fills T_out, alpha_out, shape (times, n), and ``found``.

    start : float64, shape (2, n): T [K] and α at ``program[0, START]``, which is the first of ``times``.
    Returns DONE, TOO_MANY steps, or STUCK (no step is short enough).
    """
    n = np.uint64(cells.shape[1])
    last, end = n - ONE, times[times.size - 1]
    ws, faces, edge = np.empty(ROWS * STRIDE), np.empty((2, 6)), np.empty(EDGES)
    m, weights = np.empty(4), np.empty(4)  # weights anywhere in a step, and in its middle
    begin(ws, n, cells, blocks, values, start)
    between(0.5, weights)
    tolerances = (control[TOLERANCE_T], control[TOLERANCE_A])
    t, h, interval = program[0, START], control[FIRST], 0
    line, until = program[0], program[1, START] if program.shape[0] > 1 else end
    out = put_out_step(ws, n, (t, h, t), times, 0, T_out, alpha_out, m)
    before = (0.0, 0.0)
    fresh, growth = True, 0.0
    while t < end:
        if found[STEPS] + found[REFUSED] >= control[MOST_STEPS]:
            return TOO_MANY
        tau = t - line[START]
        if fresh:
            at_start(ws, n, varying, blocks, values, laws, line, tau, faces, edge)
            fresh, growth = False, fastest(ws, n)
        if t == line[START]:
            outer = (ws[TEMPERATURE], ws[TEMPERATURE + last], ws[ALPHA], ws[ALPHA + last])
            before = inflows(ws, n, laws, line, tau, faces, outer)
        h, arrives = length(h, growth, control[LONGEST], t, until)
        error = try_step(ws, n, varying, blocks, values, laws, line, tau, faces, edge, h, tolerances)
        shorter = stands(ws, n, blocks, values, h, error, control, found, m)
        if shorter == 0.0:
            return STUCK
        if shorter < 1.0:
            found[REFUSED] += 1
            h *= shorter
            continue
        then = until if arrives else t + h
        out = put_out_step(ws, n, (t, h, then), times, out, T_out, alpha_out, m)
        low, high = inside(ws, np.uint64(0), weights), inside(ws, last, weights)
        middle = inflows(ws, n, laws, line, tau + 0.5 * h, faces, (low[0], high[0], low[1], high[1]))
        outer = (ws[NEW_T], ws[NEW_T + last], ws[NEW_A], ws[NEW_A + last])
        after = inflows(ws, n, laws, line, tau + h, faces, outer)
        audit(h, before, middle, after, found)
        found[STORED] += stored(ws, n, varying, weights)
        found[STEPS] += 1
        found[STEEPEST] = max(found[STEEPEST], accept(ws, n, blocks))
        t, fresh, before = then, True, after
        h *= min(MOST_GROWTH, SAFE * max(error, 1e-6) ** (-1.0 / 3.0))
        if arrives and t < end:
            interval += 1
            h = max(AFTER_KINK * h, control[FIRST])
            line = program[interval]
            until = program[interval + 1, START] if interval + 1 < program.shape[0] else end
    for i in range(n):
        found[SET_FREE] += ws[HEAT + i] * (ws[ALPHA + i] - start[1, i])
    return DONE


march = compiled(
    "int64(float64[:,::1], uint64[:,::1], float64[:,::1], float64[:,::1], float64[:,::1], float64[:,::1], float64[::1],"
    " float64[::1], boolean, float64[:,::1], float64[:,::1], float64[::1])"
)(_march)
