"""Rate of cure of a reaction that slows down as what can react is used up, and nothing else.

::

    dα/dt = A exp(-E / RT) (1 - α)^n        T in kelvin

Source: the textbook law of formal kinetics (common practice, no single source). Held at one temperature it has a closed form:
((1 - α)^(1-n) - 1)/(n - 1) = k t from α = 0, and 1 - α = exp(-k t) for n = 1. No limit by diffusion, no acceleration by what
has reacted: too simple for most amine-cured epoxies, usual for the later part of their cure.

The law holds for 0 ≤ α ≤ 1 (below 0 it goes on smoothly, without a meaning). From α = 1 on the rate and its slopes are 0. For n < 1
the slope over α grows without bound towards 1.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.powers import power, slope_of_power

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NAME = "nth order"
VALUES = ("A", "E", "n")  # 1/s, J/mol, dimensionless
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def _rate_of_cure(T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:  # noqa: ARG001 - one form for all laws
    """dα/dt [1/s] at a temperature [K]; ``values`` in the order of VALUES; ``branch`` is always 0.

    >>> import numpy as np
    >>> float(_rate_of_cure(400.0, 0.5, np.array([8.0, 0.0, 2.0]), 0))
    2.0
    """
    if alpha >= 1.0:
        return 0.0
    return values[0] * exp(-values[1] / (GAS_CONSTANT * T)) * power(1.0 - alpha, values[2])  # type: ignore[no-any-return]


def _slopes_of_rate(
    T: float,
    alpha: float,
    values: NDArray[np.float64],
    branch: int,  # noqa: ARG001
) -> tuple[float, float]:
    """How dα/dt [1/s] changes with temperature [1/s/K] and with α [1/s]; both 0 once all is cured.

    >>> import numpy as np
    >>> [float(slope) for slope in _slopes_of_rate(400.0, 0.5, np.array([8.0, 0.0, 2.0]), 0)]
    [0.0, -8.0]
    """
    if alpha >= 1.0:
        return 0.0, 0.0
    k, left = values[0] * exp(-values[1] / (GAS_CONSTANT * T)), power(1.0 - alpha, values[2])
    return k * left * values[1] / (GAS_CONSTANT * T * T), -k * slope_of_power(1.0 - alpha, values[2], left)


rate_of_cure = compiled("float64(float64, float64, float64[::1], int64)")(_rate_of_cure)
slopes_of_rate = compiled("UniTuple(float64, 2)(float64, float64, float64[::1], int64)")(_slopes_of_rate)
