"""Rate of cure of a resin whose reaction is speeded by what has already reacted, with a single rate.

::

    dα/dt = A exp(-E / RT) α^m (1 - α)^n        T in kelvin

Source: as used by Bogetti and Gillespie (1991), J. Compos. Mater. 25, 239-273, for a glass/polyester (form second-hand). Needs a start
above 0: at α = 0 nothing ever begins. Below about 1e-3 the start hardly matters for what follows. No limit by diffusion.

The law holds for 0 < α ≤ 1: below 0 it is not a number (never clipped), from 1 on the rate and its slopes are 0. At α = 0 the slope
over α is infinite for m < 1.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.powers import power, slope_of_power

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NAME = "autocatalytic"
VALUES = ("A", "E", "m", "n")  # 1/s, J/mol, dimensionless
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:  # noqa: ARG001 - one form for all laws
    """dα/dt [1/s] at a temperature [K]; ``values`` in the order of VALUES; ``branch`` is always 0.

    >>> import numpy as np
    >>> float(_rate_of_cure(400.0, 0.25, np.array([8.0, 0.0, 0.5, 1.0]), 0))  # 8 × √0.25 × 0.75
    3.0
    """
    if alpha >= 1.0:
        return 0.0
    k = values[0] * exp(-values[1] / (GAS_CONSTANT * T))
    return k * power(alpha, values[2]) * power(1.0 - alpha, values[3])  # type: ignore[no-any-return]


def _slopes_of_rate(
    T: float,
    alpha: float,
    values: NDArray[np.float64],
    branch: int,  # noqa: ARG001
) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s]."""
    if alpha >= 1.0:
        return 0.0, 0.0
    k = values[0] * exp(-values[1] / (GAS_CONSTANT * T))
    begun, left = power(alpha, values[2]), power(1.0 - alpha, values[3])
    over_alpha = slope_of_power(alpha, values[2], begun) * left - begun * slope_of_power(1.0 - alpha, values[3], left)
    return k * begun * left * values[1] / (GAS_CONSTANT * T * T), k * over_alpha


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
