"""Powers of a degree of cure and their slopes, the same at the ends of the range whether compiled or not, and no number below 0."""

from __future__ import annotations

from math import inf, nan

from curewright.physics.compiled import compiled


def _power(x: float, exponent: float) -> float:
    """x to a power that is not negative; not a number for x below 0.

    >>> [_power(x, 0.5) for x in (4.0, 0.0, -1.0)], _power(0.0, 0.0)
    ([2.0, 0.0, nan], 1.0)
    """
    if x < 0.0:
        return nan
    if x == 0.0:
        return 1.0 if exponent == 0.0 else 0.0
    return x**exponent  # type: ignore[no-any-return] # of a float


def _slope_of_power(x: float, exponent: float, power_of_x: float) -> float:
    """How that power changes with x, from the power itself; infinite at 0 for an exponent between 0 and 1.

    >>> _slope_of_power(3.0, 2.0, 9.0), [_slope_of_power(0.0, n, 0.0) for n in (0.0, 0.5, 1.0, 2.0)]
    (6.0, [0.0, inf, 1.0, 0.0])
    """
    if x == 0.0:
        if exponent == 0.0 or exponent > 1.0:
            return 0.0
        return 1.0 if exponent == 1.0 else inf
    return exponent * power_of_x / x


power = compiled("float64(float64, float64)")(_power)
slope_of_power = compiled("float64(float64, float64, float64)")(_slope_of_power)
