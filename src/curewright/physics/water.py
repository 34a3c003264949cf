"""Saturation pressure of water.

Source: IAPWS-IF97, region 4 (International Association for the Properties of Water and Steam, 1997; coefficients from memory, checked
against the release's own test values and CoolProp): ends at the triple and the critical point, refused outside.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

RANGE = (273.15, 647.096)  # K
N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def saturation_pressure(T: NDArray[np.float64]) -> NDArray[np.float64]:
    """Pressure of saturated water vapour [Pa], shape of T [K]; not a number outside 273.15 to 647.096 K.

    >>> [f"{p:.9g}" for p in saturation_pressure(np.array([300.0, 500.0])) / 1e6]  # as the release prints them, in MPa
    ['0.00353658941', '2.63889776']
    """
    inside = np.where((RANGE[0] <= T) & (RANGE[1] >= T), T, np.nan)
    theta = inside + N[8] / (inside - N[9])
    A = theta**2 + N[0] * theta + N[1]
    B = N[2] * theta**2 + N[3] * theta + N[4]
    C = N[5] * theta**2 + N[6] * theta + N[7]
    return 1e6 * (2.0 * C / (-B + np.sqrt(B * B - 4.0 * A * C))) ** 4
