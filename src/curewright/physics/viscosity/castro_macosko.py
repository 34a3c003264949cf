"""Viscosity that grows without bound towards gel.

::

    μ = Au exp(Eu/RT) [g/(g - α)]^(A + B α)        T in kelvin, g the degree of cure at gel

Source: Castro and Macosko (1982), AIChE J. 28, 250-260 (from memory); with other constants and the same form: Kenny (1992), and
Hubert, Johnston, Poursartip and Nelson (2001), 46th Int. SAMPE Symposium (second-hand). Constants were fitted together with one
kinetic law: with another one they give another minimum (by a factor of four for one resin).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

NAME = "castro macosko"
VALUES = ("Au", "Eu", "A", "B", "gel")  # Pa s, J/mol, dimensionless
GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants


def viscosity(
    T: NDArray[np.float64], alpha: NDArray[np.float64], Au: float, Eu: float, A: float, B: float, gel: float
) -> NDArray[np.float64]:
    """Viscosity [Pa s], shape of T [K] and alpha; not a number unless 0 ≤ α < g. Au [Pa s]; Eu [J/mol].

    >>> float(np.round(viscosity(np.array([393.15]), np.array([0.01]), 3.45e-10, 76536, 3.8, 2.5, 0.47), 2)[0])
    5.53
    """
    inside = np.where((alpha >= 0.0) & (alpha < gel), alpha, np.nan)
    return Au * np.exp(Eu / (GAS_CONSTANT * T)) * (gel / (gel - inside)) ** (A + B * inside)
