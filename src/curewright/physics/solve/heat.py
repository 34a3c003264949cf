"""Heat through a row of cells: conservative finite volumes, both faces convective, every slope exact.

Cell i of width Δ_i gains what flows in below and above and what its chemistry releases::

    Δ_i C_i dT_i/dt = q_i - q_(i+1) + Δ_i Q_i rate_i        q_i = G_i (T_(i-1) - T_i)
    1/G_i = Δ_(i-1) / 2 k_(i-1) + R_i + Δ_i / 2 k_i

so that layers in series have exactly their series resistance. Each flow enters one cell as it leaves the other: no heat is lost.
C and k may depend linearly on T and α, each with the values of its own cell. At a face: q = g (h (T_gas - T) + q') / (h + g) with 1/g the
half cell and what lies on it, q' a heat flow imposed on the outside. Common practice (conservative finite volumes), no single source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.solve.workspace import (
    ALPHA,
    BELOW,
    CAP,
    CAP_0,
    CAP_A,
    CAP_T,
    FLOW,
    HALF,
    HALF_0,
    HALF_A,
    HALF_STAGE,
    HALF_T,
    HEAT,
    LINK,
    LINK_STAGE,
    ONE,
    RATE,
    STAGE_A,
    STAGE_T,
    TEMPERATURE,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index

# Rows of `cells`, shape (CELL_ROWS, n): width [m]; C0 + CT T + CA α [J/m³K]; K0 + KT T + KA α [W/mK]; heat of reaction [J/m³];
# resistance at the cell's lower side [m²K/W]
WIDTH, C0, CT, CA, K0, KT, KA, RELEASED, RESISTANCE = range(9)
CELL_ROWS = 9
# Columns of `program`, one row an interval: its start [s]; then for the lower and the upper face value and slope of the gas [K, K/s],
# of what convection depends on [any], of the imposed heat flow [W/m²]
START, BOTTOM, TOP, PROGRAM_COLUMNS = 0, 1, 7, 13
# Columns of `laws`, shape (2, 4): h = a + b u^n, and the resistance of what lies on the face [m²K/W]
A, B, N, ON_FACE = range(4)
# Places in the array of a face: gas, h, imposed flow, and how they change
GAS, H, IMPOSED, GAS_SLOPE, H_SLOPE, IMPOSED_SLOPE = range(6)


def _properties(ws: NDArray[np.float64], n: Index) -> None:
    """CAP, HALF = 2 k / Δ and LINK [W/m²K] (from each cell to the one below) at the start of a step."""
    for i in range(n):
        ws[CAP + i] = ws[CAP_0 + i] + ws[CAP_T + i] * ws[TEMPERATURE + i] + ws[CAP_A + i] * ws[ALPHA + i]
        ws[HALF + i] = ws[HALF_0 + i] + ws[HALF_T + i] * ws[TEMPERATURE + i] + ws[HALF_A + i] * ws[ALPHA + i]
    for i in range(ONE, n):
        ws[LINK + i] = 1.0 / (1.0 / ws[HALF + i - ONE] + ws[BELOW + i] + 1.0 / ws[HALF + i])


def _halves_at_stage(ws: NDArray[np.float64], n: Index) -> None:
    """HALF_STAGE and LINK_STAGE at STAGE_T and STAGE_A."""
    for i in range(n):
        ws[HALF_STAGE + i] = ws[HALF_0 + i] + ws[HALF_T + i] * ws[STAGE_T + i] + ws[HALF_A + i] * ws[STAGE_A + i]
    for i in range(ONE, n):
        ws[LINK_STAGE + i] = 1.0 / (1.0 / ws[HALF_STAGE + i - ONE] + ws[BELOW + i] + 1.0 / ws[HALF_STAGE + i])


def _flows(ws: NDArray[np.float64], n: Index, varying: bool, bottom: float, top: float) -> None:
    """FLOW: what each cell gains [W/m²] at STAGE_T and RATE: from its neighbours, the faces and its chemistry.

    Where properties vary, FLOW is put on the capacities at the start of the step.
    """
    if varying:
        for i in range(ONE, n):
            below = ws[LINK_STAGE + i] * (ws[STAGE_T + i - ONE] - ws[STAGE_T + i])
            above = ws[LINK_STAGE + i + ONE] * (ws[STAGE_T + i] - ws[STAGE_T + i + ONE])
            ws[FLOW + i] = ws[HEAT + i] * ws[RATE + i] + (below - above)
        above = ws[LINK_STAGE + ONE] * (ws[STAGE_T] - ws[STAGE_T + ONE])
    else:
        for i in range(ONE, n):
            below = ws[LINK + i] * (ws[STAGE_T + i - ONE] - ws[STAGE_T + i])
            above = ws[LINK + i + ONE] * (ws[STAGE_T + i] - ws[STAGE_T + i + ONE])
            ws[FLOW + i] = ws[HEAT + i] * ws[RATE + i] + (below - above)
        above = ws[LINK + ONE] * (ws[STAGE_T] - ws[STAGE_T + ONE])
    ws[FLOW] = ws[HEAT] * ws[RATE] - above + bottom
    ws[FLOW + n - ONE] += top
    if varying:
        for i in range(n):
            here = ws[CAP_0 + i] + ws[CAP_T + i] * ws[STAGE_T + i] + ws[CAP_A + i] * ws[STAGE_A + i]
            ws[FLOW + i] *= ws[CAP + i] / here


def _face(law: NDArray[np.float64], line: NDArray[np.float64], at: int, tau: float, face: NDArray[np.float64]) -> None:
    """Fills ``face``, shape (6,), with what a face sees ``tau`` seconds into an interval; ``at``: BOTTOM or TOP."""
    u = line[at + 2] + line[at + 3] * tau
    face[GAS] = line[at] + line[at + 1] * tau
    face[GAS_SLOPE] = line[at + 1]
    face[IMPOSED] = line[at + 4] + line[at + 5] * tau
    face[IMPOSED_SLOPE] = line[at + 5]
    if law[N] == 1.0:
        face[H] = law[A] + law[B] * u
        face[H_SLOPE] = law[B] * line[at + 3]
    else:
        face[H] = law[A] + law[B] * u ** law[N]
        face[H_SLOPE] = law[B] * law[N] * u ** (law[N] - 1.0) * line[at + 3]


def _into(face: NDArray[np.float64], on_face: float, g: float, T: float) -> float:
    """Flow into the outermost cell [W/m²], with 1/g its half."""
    pull = face[H] * (face[GAS] - T) + face[IMPOSED]
    return pull * g / (face[H] * (1.0 + on_face * g) + g)  # type: ignore[no-any-return]


def _through(face: NDArray[np.float64], on_face: float, g: float, T: float) -> tuple[float, float, float, float]:
    """Flow into the outermost cell [W/m²]; how it changes with that cell's T, with its g, and with time."""
    outside = 1.0 / (on_face + 1.0 / g)
    both = 1.0 / (face[H] + outside)
    pull = face[H] * (face[GAS] - T) + face[IMPOSED]
    pull_slope = face[H_SLOPE] * (face[GAS] - T) + face[H] * face[GAS_SLOPE] + face[IMPOSED_SLOPE]
    over_g = pull * face[H] * both * both * (outside / g) * (outside / g)
    over_t = outside * (pull_slope - pull * face[H_SLOPE] * both) * both
    return outside * pull * both, -outside * face[H] * both, over_g, over_t


properties = compiled("void(float64[::1], uint64)")(_properties)
halves_at_stage = compiled("void(float64[::1], uint64)")(_halves_at_stage)
flows = compiled("void(float64[::1], uint64, boolean, float64, float64)")(_flows)
face_at = compiled("void(float64[::1], float64[::1], int64, float64, float64[::1])")(_face)
into = compiled("float64(float64[::1], float64, float64, float64)")(_into)
through = compiled("UniTuple(float64, 4)(float64[::1], float64, float64, float64)")(_through)
