"""Viscosity of an uncured resin from temperature and degree of cure, below gel; beyond a law's range there is no number."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

GAS_CONSTANT = 8.314  # J/mol/K, as in the sources of the constants
EXPONENTIAL, GELLING = "lee 1982", "hubert 2001"
VALUES = {EXPONENTIAL: ("mu0", "U", "K", "end"), GELLING: ("Au", "Eu", "A", "B", "gel")}  # Pa s, J/mol, dimensionless


def exponential(
    T: NDArray[np.float64], alpha: NDArray[np.float64], mu0: float, U: float, K: float, end: float
) -> NDArray[np.float64]:
    """Viscosity [Pa s], shape of T: μ = μ0 exp(U/RT + K α), for 0 ≤ α < end (it does not diverge: no gel detector).

    T [K]; mu0 [Pa s]; U [J/mol]. Source: Lee, Loos and Springer (1982), J. Compos. Mater. 16, 510-520 (second-hand).

    >>> float(np.round(exponential(np.array([393.15]), np.array([0.0]), 7.93e-14, 9.08e4, 14.1, 0.5), 3)[0])
    0.092
    """
    inside = np.where((alpha >= 0.0) & (alpha < end), alpha, np.nan)
    return mu0 * np.exp(U / (GAS_CONSTANT * T) + K * inside)


def gelling(
    T: NDArray[np.float64], alpha: NDArray[np.float64], Au: float, Eu: float, A: float, B: float, gel: float
) -> NDArray[np.float64]:
    """Viscosity [Pa s], shape of T: μ = Au exp(Eu/RT) [g/(g - α)]^(A + B α), for 0 ≤ α < g, the degree of cure at gel.

    T [K]; Au [Pa s]; Eu [J/mol]. Source: Hubert, Johnston, Poursartip and Nelson (2001), 46th Int. SAMPE Symposium (second-hand).

    >>> float(np.round(gelling(np.array([393.15]), np.array([0.01]), 3.45e-10, 76536, 3.8, 2.5, 0.47), 2)[0])
    5.53
    """
    inside = np.where((alpha >= 0.0) & (alpha < gel), alpha, np.nan)
    return Au * np.exp(Eu / (GAS_CONSTANT * T)) * (gel / (gel - inside)) ** (A + B * inside)
