"""Rate of cure in two pieces, with a jump between them, for an amine-cured 177 °C epoxy.

::

    α ≤ 0.3:   dα/dt = (K1 + K2 α)(1 - α)(B - α)        K_i = A_i exp(-E_i / RT)
    α > 0.3:   dα/dt = K3 (1 - α)

Source: Lee, Loos and Springer (1982), J. Compos. Mater. 16, 510-520 (form and constants second-hand). The law knows no limit by
diffusion: it always runs on to α = 1 and must not be used for a glass transition or for what a short dwell left uncured. A2 is
negative; below about 280 K the rate of the first piece turns negative (the card's range ends above that). The jump is a
branch: ``branch`` 0 holds up to and including the switch, 1 above it. Both pieces are smooth beyond their ends (a solver may look a
little past the jump, or past 1, where the rate pulls back); neither means anything there.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NAME = "lee 1982"
VALUES = ("A1", "A2", "A3", "E1", "E2", "E3", "B", "switch")  # 1/s, J/mol, dimensionless
SWITCH = VALUES.index("switch")
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:
    """dα/dt [1/s] at a temperature [K]; ``values`` in the order of VALUES.

    >>> import numpy as np
    >>> minute = np.array([2.101e9, -2.014e9, 1.960e5]) / 60
    >>> values = np.array([*minute, 8.07e4, 7.78e4, 5.66e4, 0.47, 0.3])
    >>> round(float(60 * _rate_of_cure(450.15, 0.5, values, 1)), 4)  # 1/min: half of K3 = 1.96e5 exp(-5.66e4 / (8.314 * 450.15))
    0.0265
    """
    if branch == 0:
        K1 = values[0] * exp(-values[3] / (GAS_CONSTANT * T))
        K2 = values[1] * exp(-values[4] / (GAS_CONSTANT * T))
        return (K1 + K2 * alpha) * (1.0 - alpha) * (values[6] - alpha)  # type: ignore[no-any-return]
    return values[2] * exp(-values[5] / (GAS_CONSTANT * T)) * (1.0 - alpha)  # type: ignore[no-any-return]


def _slopes_of_rate(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s], on its branch.

    >>> import numpy as np
    >>> values = np.array([0, 0, 2.0, 0, 0, 0, 0.47, 0.3])
    >>> [float(slope) for slope in _slopes_of_rate(450.15, 0.5, values, 1)]
    [0.0, -2.0]
    """
    per_T = 1.0 / (GAS_CONSTANT * T * T)
    if branch == 0:
        K1 = values[0] * exp(-values[3] / (GAS_CONSTANT * T))
        K2 = values[1] * exp(-values[4] / (GAS_CONSTANT * T))
        left, short = 1.0 - alpha, values[6] - alpha
        over_alpha = K2 * left * short - (K1 + K2 * alpha) * (left + short)
        return (K1 * values[3] + K2 * values[4] * alpha) * per_T * left * short, over_alpha
    K3 = values[2] * exp(-values[5] / (GAS_CONSTANT * T))
    return K3 * (1.0 - alpha) * values[5] * per_T, -K3


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
