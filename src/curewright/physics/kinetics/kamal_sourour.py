"""Rate of cure of two reactions side by side: one that begins by itself, one that is speeded by what has reacted.

::

    dα/dt = (K1 + K2 α^m)(1 - α)^n        K_i = A_i exp(-E_i / RT), T in kelvin

Source: Kamal and Sourour (1973), Polym. Eng. Sci. 13, 59-64 (from memory; the form is in every textbook). Starts from α = 0 without a
seed. No limit by diffusion: it always runs on to 1.

The law holds for 0 ≤ α ≤ 1: below 0 it is not a number (never clipped), from 1 on the rate and its slopes are 0. At α = 0 the slope
over α is infinite for m < 1: a solver that needs the slope starts a little above.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.powers import power, slope_of_power

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NAME = "kamal sourour"
VALUES = ("A1", "A2", "E1", "E2", "m", "n")  # 1/s, J/mol, dimensionless
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:  # noqa: ARG001 - one form for all laws
    """dα/dt [1/s] at a temperature [K]; ``values`` in the order of VALUES; ``branch`` is always 0.

    >>> import numpy as np
    >>> float(_rate_of_cure(400.0, 0.5, np.array([1.0, 4.0, 0.0, 0.0, 1.0, 2.0]), 0))  # (1 + 4/2) / 4
    0.75
    """
    if alpha >= 1.0:
        return 0.0
    K1 = values[0] * exp(-values[2] / (GAS_CONSTANT * T))
    K2 = values[1] * exp(-values[3] / (GAS_CONSTANT * T))
    return (K1 + K2 * power(alpha, values[4])) * power(1.0 - alpha, values[5])  # type: ignore[no-any-return]


def _slopes_of_rate(
    T: float,
    alpha: float,
    values: NDArray[np.float64],
    branch: int,  # noqa: ARG001
) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s]."""
    if alpha >= 1.0:
        return 0.0, 0.0
    K1 = values[0] * exp(-values[2] / (GAS_CONSTANT * T))
    K2 = values[1] * exp(-values[3] / (GAS_CONSTANT * T))
    begun, left = power(alpha, values[4]), power(1.0 - alpha, values[5])
    over_T = (K1 * values[2] + K2 * values[3] * begun) * left / (GAS_CONSTANT * T * T)
    faster = K2 * slope_of_power(alpha, values[4], begun) * left
    return over_T, faster - (K1 + K2 * begun) * slope_of_power(1.0 - alpha, values[5], left)


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
