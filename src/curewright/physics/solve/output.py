"""What a march tells on its way: temperatures and degrees of cure between steps, surfaces and flows, and the heat stored in a step."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.elementary import fused
from curewright.physics.solve.heat import BOTTOM, K0, KA, KT, ON_FACE, START, TOP, WIDTH, face_at, into
from curewright.physics.solve.rodas3 import between
from curewright.physics.solve.step import inside
from curewright.physics.solve.workspace import (
    ALPHA,
    CAP_0,
    CAP_A,
    CAP_T,
    HALF_0,
    HALF_A,
    HALF_T,
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
    TEMPERATURE,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index


def _inflows(
    ws: NDArray[np.float64],
    n: Index,
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    tau: float,
    faces: NDArray[np.float64],
    outer: tuple[float, float, float, float],
) -> tuple[float, float]:
    """Heat flow in through the lower and the upper face [W/m²]; ``outer``: T of the lowest and of the highest cell, α of the two."""
    last = n - ONE
    g0 = ws[HALF_0] + ws[HALF_T] * outer[0] + ws[HALF_A] * outer[2]
    g1 = ws[HALF_0 + last] + ws[HALF_T + last] * outer[1] + ws[HALF_A + last] * outer[3]
    face_at(laws[0], line, BOTTOM, tau, faces[0])
    face_at(laws[1], line, TOP, tau, faces[1])
    return into(faces[0], laws[0, ON_FACE], g0, outer[0]), into(faces[1], laws[1, ON_FACE], g1, outer[1])


inflows = compiled(
    "UniTuple(float64, 2)(float64[::1], uint64, float64[:,::1], float64[::1], float64, float64[:,::1], UniTuple(float64, 4))"
)(_inflows)


def _at_faces(
    cells: NDArray[np.float64],
    laws: NDArray[np.float64],
    program: NDArray[np.float64],
    times: NDArray[np.float64],
    T: NDArray[np.float64],
    alpha: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Temperatures of the lower and of the upper surface [K], heat flows in there [W/m²], shape (times, 4), from those of the outer cells.

    Where something jumps, what holds before the jump.
    """
    found, face, j = np.empty((times.size, 4)), np.empty(6), 0
    for k in range(times.size):
        while j + 1 < program.shape[0] and program[j + 1, START] < times[k]:
            j += 1
        for side in range(2):
            i = side * (cells.shape[1] - 1)
            conductivity = cells[K0, i] + cells[KT, i] * T[k, i] + cells[KA, i] * alpha[k, i]
            g = 2.0 * conductivity / cells[WIDTH, i]
            face_at(laws[side], program[j], BOTTOM if side == 0 else TOP, times[k] - program[j, START], face)
            q = into(face, laws[side, ON_FACE], g, T[k, i])
            found[k, side], found[k, 2 + side] = T[k, i] + q / g, q
    return found


at_faces = compiled(
    "float64[:,::1](float64[:,::1], float64[:,::1], float64[:,::1], float64[::1], float64[:,::1], float64[:,::1])"
)(_at_faces)


def _put_out(
    ws: NDArray[np.float64], n: Index, m: NDArray[np.float64], T: NDArray[np.float64], alpha: NDArray[np.float64]
) -> None:
    """T and alpha, shape (n,), inside the step, with the weights m of the stages."""
    m1, m2, m3, m4 = m[0], m[1], m[2], m[3]
    for i in range(n):
        early = fused(m2, ws[K2 + i], fused(m1, ws[K1 + i], ws[TEMPERATURE + i]))
        T[i] = fused(m4, ws[K4 + i], fused(m3, ws[K3 + i], early))
    for i in range(n):
        early = fused(m2, ws[L2 + i], fused(m1, ws[L1 + i], ws[ALPHA + i]))
        alpha[i] = fused(m4, ws[L4 + i], fused(m3, ws[L3 + i], early))


put_out = compiled("void(float64[::1], uint64, float64[::1], float64[::1], float64[::1])")(_put_out)


def _put_out_step(
    ws: NDArray[np.float64],
    n: Index,
    step: tuple[float, float, float],
    times: NDArray[np.float64],
    first: int,
    T_out: NDArray[np.float64],
    alpha_out: NDArray[np.float64],
    m: NDArray[np.float64],
) -> int:
    """Puts out what is asked for inside the step and at its end, from ``times[first]`` on; returns the next one.

    step : its start, length and end; m, shape (4,): room for weights.
    """
    (t, h, end), k = step, first
    while k < times.size and times[k] < end:
        between((times[k] - t) / h, m)
        put_out(ws, n, m, T_out[k], alpha_out[k])
        k += 1
    if k < times.size and times[k] == end:
        for i in range(n):
            T_out[k, i], alpha_out[k, i] = ws[NEW_T + i], ws[NEW_A + i]
        k += 1
    return k


put_out_step = compiled(
    "int64(float64[::1], uint64, UniTuple(float64, 3), float64[::1], int64, float64[:,::1], float64[:,::1],"
    " float64[::1])"
)(_put_out_step)


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
