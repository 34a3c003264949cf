"""Properties of a laminate from those of fibre and resin: density and specific heat by what is weighed, conductivity by mixing rules.

Specific heat is per kilogram, so shares of mass weigh it. Weighing by volume, as one benchmark does, is 2.8 % high for a 57 %
carbon laminate.
"""

from __future__ import annotations

from math import atan, pi, sqrt

from curewright.terms.errors import CurewrightError


class MixingError(CurewrightError):
    """Shares or conductivities for which a mixing rule says nothing."""


def mass_share_of_fibre(fibre_volume: float, fibre_density: float, resin_density: float) -> float:
    """The fibre's share of the mass from its share of the volume (no voids); densities in kg/m³.

    >>> round(1 - mass_share_of_fibre(0.5742, 1790, 1300), 3)  # a supplier prints 35 % resin by weight for 57.42 % fibre by volume
    0.35
    """
    fibre = _share(fibre_volume) * fibre_density
    return fibre / (fibre + (1.0 - fibre_volume) * resin_density)


def density(fibre_volume: float, fibre_density: float, resin_density: float) -> float:
    """Density of a laminate without voids [kg/m³].

    >>> round(density(0.5742, 1790, 1300))  # a supplier prints 1580
    1581
    """
    return _share(fibre_volume) * fibre_density + (1.0 - fibre_volume) * resin_density


def specific_heat(fibre_mass: float, of_fibre: float, of_resin: float) -> float:
    """Specific heat of a laminate [J/kg/K], weighed by mass, as energy per kilogram demands.

    >>> round(specific_heat(mass_share_of_fibre(0.574, 1790, 1300), 914, 1304.2))
    1051
    """
    return _share(fibre_mass) * of_fibre + (1.0 - fibre_mass) * of_resin


def springer_tsai(fibre_volume: float, k_fibre: float, k_resin: float) -> float:
    """Conductivity across unidirectional fibres [W/m/K]; k_fibre is that across the fibre.

    ::

        B = 2 (k_m/k_f - 1)    s² = B² V/π
        k = k_m {1 - 2 √(V/π) + (1/B) [π - (4/√(1 - s²)) atan(√(1 - s²) / (1 + B √(V/π)))]}

    For fibre volumes up to π/4 (square packing) and s² < 1; beyond that it is refused. Source: Springer and Tsai (1967), J. Compos.
    Mater. 1, 166 (second-hand).

    >>> round(springer_tsai(0.574, 3.96, 0.212), 3), round(springer_tsai(0.5, 26, 0.167), 3)
    (0.637, 0.455)
    """
    if not 0.0 <= fibre_volume < pi / 4:
        raise MixingError(f"a fibre volume of {fibre_volume:g}", expected="0 to 0.785, where square packing touches")
    B = 2.0 * (k_resin / k_fibre - 1.0)
    root = sqrt(fibre_volume / pi)
    left = 1.0 - (B * root) ** 2
    if abs(B) < 1e-9:  # fibre and resin conduct alike
        return k_resin
    if left <= 0.0:
        raise MixingError("a resin that conducts much better than the fibre", expected="B² V/π below 1")
    bracket = pi - 4.0 / sqrt(left) * atan(sqrt(left) / (1.0 + B * root))
    return k_resin * (1.0 - 2.0 * root + bracket / B)


def concentric_cylinders(fibre_volume: float, k_fibre: float, k_resin: float) -> float:
    """Conductivity across unidirectional fibres [W/m/K] by coated cylinders of all sizes, the lower bound for fibres that conduct better.

    Source: Hashin (1979), J. Appl. Mech. 46, 543 (from memory); the rule of Halpin and Tsai with ξ = 1 is the same.

    >>> round(concentric_cylinders(0.574, 3.96, 0.212), 3)
    0.663
    """
    _share(fibre_volume)
    up, down = k_fibre + k_resin, fibre_volume * (k_fibre - k_resin)
    return k_resin * (up + down) / (up - down)


def in_series(fibre_volume: float, k_fibre: float, k_resin: float) -> float:
    """The least that any arrangement can conduct [W/m/K]: layers one behind the other (Wiener's bound, textbook)."""
    return 1.0 / (_share(fibre_volume) / k_fibre + (1.0 - fibre_volume) / k_resin)


def side_by_side(fibre_volume: float, k_fibre: float, k_resin: float) -> float:
    """The most that any arrangement can conduct [W/m/K], and what a laminate conducts along its fibres (Wiener's bound, textbook)."""
    return _share(fibre_volume) * k_fibre + (1.0 - fibre_volume) * k_resin


def _share(share: float) -> float:
    if not 0.0 <= share <= 1.0:
        raise MixingError(f"a share of {share:g}", expected="0 to 1")
    return share


RULES = {
    "springer tsai": springer_tsai,
    "concentric cylinders": concentric_cylinders,
    "in series": in_series,
    "side by side": side_by_side,
}
