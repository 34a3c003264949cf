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

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Rows of `cells`, shape (CELL_ROWS, n): width [m]; C0 + CT T + CA α [J/m³K]; K0 + KT T + KA α [W/mK]; heat of reaction [J/m³];
# resistance at the cell's lower side [m²K/W]
WIDTH, C0, CT, CA, K0, KT, KA, HEAT, RESISTANCE = range(9)
CELL_ROWS = 9
# Columns of `program`, one row an interval: its start [s]; then for the lower and the upper face value and slope of the gas [K, K/s],
# of what convection depends on [any], of the imposed heat flow [W/m²]
START, BOTTOM, TOP, PROGRAM_COLUMNS = 0, 1, 7, 13
# Columns of `faces`, shape (2, 4): h = a + b u^n, and the resistance of what lies on the face [m²K/W]
A, B, N, ON_FACE = range(4)
# Places in the array of a face: gas, h, imposed flow, and how they change
GAS, H, IMPOSED, GAS_SLOPE, H_SLOPE, IMPOSED_SLOPE = range(6)


def _half(
    cells: NDArray[np.float64], T: NDArray[np.float64], alpha: NDArray[np.float64], g: NDArray[np.float64]
) -> None:
    """g = 2 k / Δ, shape (n,) [W/m²K]: the conductance of half a cell."""
    for i in range(T.size):
        g[i] = 2.0 * (cells[K0, i] + cells[KT, i] * T[i] + cells[KA, i] * alpha[i]) / cells[WIDTH, i]


def _capacity(
    cells: NDArray[np.float64], T: NDArray[np.float64], alpha: NDArray[np.float64], C: NDArray[np.float64]
) -> None:
    """Δ C, shape (n,) [J/m²K]."""
    for i in range(T.size):
        C[i] = cells[WIDTH, i] * (cells[C0, i] + cells[CT, i] * T[i] + cells[CA, i] * alpha[i])


def _links(cells: NDArray[np.float64], g: NDArray[np.float64], G: NDArray[np.float64]) -> None:
    """G, shape (n,) [W/m²K]: between each cell and the one below; 0 for the lowest."""
    G[0] = 0.0
    for i in range(1, g.size):
        G[i] = 1.0 / (1.0 / g[i - 1] + cells[RESISTANCE, i] + 1.0 / g[i])


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


def _through(face: NDArray[np.float64], on_face: float, g: float, T: float) -> tuple[float, float, float, float]:
    """Flow into the outermost cell [W/m²]; how it changes with that cell's T, with its g, and with time."""
    outside = 1.0 / (on_face + 1.0 / g)
    both = face[H] + outside
    pull = face[H] * (face[GAS] - T) + face[IMPOSED]
    pull_slope = face[H_SLOPE] * (face[GAS] - T) + face[H] * face[GAS_SLOPE] + face[IMPOSED_SLOPE]
    over_g = pull * face[H] / (both * both) * (outside / g) * (outside / g)
    over_t = outside * (pull_slope * both - pull * face[H_SLOPE]) / (both * both)
    return outside * pull / both, -outside * face[H] / both, over_g, over_t


half = compiled("void(float64[:,::1], float64[::1], float64[::1], float64[::1])")(_half)
capacity = compiled("void(float64[:,::1], float64[::1], float64[::1], float64[::1])")(_capacity)
links = compiled("void(float64[:,::1], float64[::1], float64[::1])")(_links)
face_at = compiled("void(float64[::1], float64[::1], int64, float64, float64[::1])")(_face)
through = compiled("UniTuple(float64, 4)(float64[::1], float64, float64, float64)")(_through)
