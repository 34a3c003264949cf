"""Rate of cure of two autocatalytic reactions, the second of which slows down as the resin turns to glass.

::

    dα/dt = K1 α^m1 (1 - α)^n1 + K2 α^m2 (1 - α)^n2 / (1 + exp(D (α - (aC0 + aCT T))))        K_i = A_i exp(-E_i / RT), T in kelvin

Source: Kratz, Hsiao, Fernlund and Hubert (2013), J. Compos. Mater. 47, 341-352, for epoxies cured outside an autoclave (from memory).
Needs a start above 0. aC0 is negative; the straight line aC0 + aCT T must not be carried below about 80 °C.

The law holds for 0 < α ≤ 1: below 0 it is not a number (never clipped), from 1 on the rate and its slopes are 0. At α = 0 the slope
over α is infinite for an m below 1.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.powers import power, slope_of_power

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NAME = "two rates with diffusion"
VALUES = ("A1", "A2", "E1", "E2", "m1", "n1", "m2", "n2", "D", "aC0", "aCT")  # 1/s, J/mol, dimensionless, 1/K
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:  # noqa: ARG001 - one form for all laws
    """dα/dt [1/s] at a temperature [K]; ``values`` in the order of VALUES; ``branch`` is always 0.

    >>> import numpy as np
    >>> plain = np.array([0.0, 8.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0, 40.0, 0.5, 0.0])
    >>> float(_rate_of_cure(400.0, 0.5, plain, 0))  # 8 × 0.5 × 0.5, halved at its ceiling
    1.0
    """
    if alpha >= 1.0:
        return 0.0
    K1 = values[0] * exp(-values[2] / (GAS_CONSTANT * T))
    K2 = values[1] * exp(-values[3] / (GAS_CONSTANT * T))
    first = K1 * power(alpha, values[4]) * power(1.0 - alpha, values[5])
    second = K2 * power(alpha, values[6]) * power(1.0 - alpha, values[7])
    return first + second / (1.0 + exp(values[8] * (alpha - (values[9] + values[10] * T))))  # type: ignore[no-any-return]


def _slopes_of_rate(
    T: float,
    alpha: float,
    values: NDArray[np.float64],
    branch: int,  # noqa: ARG001
) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s]."""
    if alpha >= 1.0:
        return 0.0, 0.0
    per_T = 1.0 / (GAS_CONSTANT * T * T)
    K1 = values[0] * exp(-values[2] / (GAS_CONSTANT * T))
    begun, left = power(alpha, values[4]), power(1.0 - alpha, values[5])
    T1 = K1 * begun * left * values[2] * per_T
    a1 = slope_of_power(alpha, values[4], begun) * left - begun * slope_of_power(1.0 - alpha, values[5], left)
    growth = exp(values[8] * (alpha - (values[9] + values[10] * T)))
    K2 = values[1] * exp(-values[3] / (GAS_CONSTANT * T)) / (1.0 + growth)
    slowing = values[8] * growth / (1.0 + growth)
    begun, left = power(alpha, values[6]), power(1.0 - alpha, values[7])
    T2 = K2 * begun * left * (values[3] * per_T + slowing * values[10])
    a2 = slope_of_power(alpha, values[6], begun) * left - begun * slope_of_power(1.0 - alpha, values[7], left)
    return T1 + T2, K1 * a1 + K2 * (a2 - begun * left * slowing)


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
