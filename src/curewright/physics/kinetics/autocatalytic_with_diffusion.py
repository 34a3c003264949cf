"""Rate of cure of an autocatalytic epoxy that slows down as it turns to glass.

::

    dα/dt = A exp(-E / RT) α^m (1 - α)^n / (1 + exp(C (α - (aC0 + aCT T))))        T in kelvin

Source: Hubert, Johnston, Poursartip and Nelson (2001), 46th International SAMPE Symposium, for 180 °C toughened epoxies
(second-hand). Needs a start above 0. aC0 is negative; the straight line aC0 + aCT T must not be carried below about 80 °C. In °C
the last factor stops the reaction at once. Two published sets of constants differ by 9 % of cure after two hours at 177 °C: never hold a
degree of cure from one against a limit that came with the other.

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

NAME = "autocatalytic with diffusion"
VALUES = ("A", "E", "m", "n", "C", "aC0", "aCT")  # 1/s, J/mol, dimensionless, 1/K
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:  # noqa: ARG001 - one form for all laws
    """dα/dt [1/s] at a temperature [K], 0 once all is cured; ``values`` in the order of VALUES; ``branch`` is always 0.

    >>> import numpy as np
    >>> values = np.array([1.528e5, 6.65e4, 0.8129, 2.736, 43.09, -1.684, 5.475e-3])
    >>> round(float(60 * _rate_of_cure(450.15, 0.3, values, 0)), 4)  # 1/min
    0.0249
    >>> bool(_rate_of_cure(177.0, 0.3, values, 0) < 1e-15)  # °C instead of K
    True
    """
    if alpha >= 1.0:
        return 0.0
    reaction = (
        values[0] * exp(-values[1] / (GAS_CONSTANT * T)) * power(alpha, values[2]) * power(1.0 - alpha, values[3])
    )
    return reaction / (1.0 + exp(values[4] * (alpha - (values[5] + values[6] * T))))  # type: ignore[no-any-return]


def _slopes_of_rate(
    T: float,
    alpha: float,
    values: NDArray[np.float64],
    branch: int,  # noqa: ARG001
) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s]."""
    if alpha >= 1.0:
        return 0.0, 0.0
    growth = exp(values[4] * (alpha - (values[5] + values[6] * T)))
    k = values[0] * exp(-values[1] / (GAS_CONSTANT * T)) / (1.0 + growth)
    slowing = values[4] * growth / (1.0 + growth)  # how much faster the logarithm of the last factor falls with alpha
    begun, left = power(alpha, values[2]), power(1.0 - alpha, values[3])
    over_alpha = slope_of_power(alpha, values[2], begun) * left - begun * slope_of_power(1.0 - alpha, values[3], left)
    over_T = k * begun * left * (values[1] / (GAS_CONSTANT * T * T) + slowing * values[6])
    return over_T, k * (over_alpha - begun * left * slowing)


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
