"""Viscosity that grows as an exponential with the degree of cure: below gel only.

::

    μ = μ0 exp(U/RT + K α)        T in kelvin

Source: Lee, Loos and Springer (1982), J. Compos. Mater. 16, 510-520 (second-hand). It does not diverge, so it is no gel detector; ``end``
is the degree of cure up to which it was fitted. A reprint of the constants that has lost the exponent of μ0 is 10¹⁰ times off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

NAME = "lee 1982"
VALUES = ("mu0", "U", "K", "end")  # Pa s, J/mol, dimensionless
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def viscosity(
    T: NDArray[np.float64], alpha: NDArray[np.float64], mu0: float, U: float, K: float, end: float
) -> NDArray[np.float64]:
    """Viscosity [Pa s], shape of T [K] and alpha; not a number unless 0 ≤ α < end. mu0 [Pa s]; U [J/mol].

    >>> float(np.round(viscosity(np.array([393.15]), np.array([0.0]), 7.93e-14, 9.08e4, 14.1, 0.5), 3)[0])
    0.092
    """
    inside = np.where((alpha >= 0.0) & (alpha < end), alpha, np.nan)
    return mu0 * np.exp(U / (GAS_CONSTANT * T) + K * inside)
