"""What a march tells on its way: temperatures and degrees of cure between steps, surfaces and flows, and the heat stored in a step."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.elementary import fused
from curewright.physics.solve.heat import BOTTOM, ON_FACE, START, TOP, face_at, into
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


def _surfaces(
    ws: NDArray[np.float64],
    n: Index,
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    tau: float,
    faces: NDArray[np.float64],
    outer: tuple[float, float, float, float],
    at_faces: NDArray[np.float64],
) -> None:
    """``at_faces``, shape (4,): temperature of the lower and of the upper surface [K], flow in there [W/m²].

    ``outer``: T of the lowest and of the highest cell, α of the two.
    """
    for side in range(2):
        last = np.uint64(0) if side == 0 else n - ONE
        T = outer[0] if side == 0 else outer[1]
        alpha = outer[2] if side == 0 else outer[3]
        g = ws[HALF_0 + last] + ws[HALF_T + last] * T + ws[HALF_A + last] * alpha
        face_at(laws[side], line, BOTTOM if side == 0 else TOP, tau, faces[side])
        q = into(faces[side], laws[side, ON_FACE], g, T)
        at_faces[side], at_faces[2 + side] = T + q / g, q


surfaces = compiled(
    "void(float64[::1], uint64, float64[:,::1], float64[::1], float64, float64[:,::1], UniTuple(float64, 4), float64[::1])"
)(_surfaces)


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
    laws: NDArray[np.float64],
    line: NDArray[np.float64],
    step: tuple[float, float, float],
    faces: NDArray[np.float64],
    at_end: NDArray[np.float64],
    times: NDArray[np.float64],
    first: int,
    T_out: NDArray[np.float64],
    alpha_out: NDArray[np.float64],
    face_out: NDArray[np.float64],
) -> int:
    """Puts out what is asked for inside the step and at its end, from ``times[first]`` on; returns the next one.

    step : its start, length and end; at_end, shape (4,): surfaces and flows at its end.
    """
    t, h, end = step
    m, k = np.empty(4), first
    while k < times.size and times[k] < end:
        between((times[k] - t) / h, m)
        put_out(ws, n, m, T_out[k], alpha_out[k])
        outer = (T_out[k, 0], T_out[k, n - ONE], alpha_out[k, 0], alpha_out[k, n - ONE])
        surfaces(ws, n, laws, line, times[k] - line[START], faces, outer, face_out[k])
        k += 1
    if k < times.size and times[k] == end:
        for i in range(n):
            T_out[k, i], alpha_out[k, i] = ws[NEW_T + i], ws[NEW_A + i]
        face_out[k] = at_end
        k += 1
    return k


put_out_step = compiled(
    "int64(float64[::1], uint64, float64[:,::1], float64[::1], UniTuple(float64, 3), float64[:,::1], float64[::1], float64[::1],"
    " int64, float64[:,::1], float64[:,::1], float64[:,::1])"
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
