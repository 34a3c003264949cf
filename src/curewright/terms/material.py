"""What a layer of a stack is made of, as the heat balance takes it: numbers in SI units, temperatures in kelvin."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LayerMaterial:
    """One material of a stack: bag, breather, caul, laminate, core, tool.

    Specific heat and conductivity are straight in temperature and degree of cure: three coefficients (c0, cT, cα) stand for
    c0 + cT T + cα α with T in kelvin.
    """

    name: str
    density: float
    """kg/m³"""
    specific_heat: tuple[float, float, float]
    """J/kg/K, J/kg/K², J/kg/K"""
    conductivity: tuple[float, float, float]
    """W/m/K, W/m/K², W/m/K, through the thickness"""
    heat_of_cure: float = 0.0
    """J per m³ of the layer (not of its resin), released from degree of cure 0 to 1"""
    law: str = ""
    """the kinetic law by name; empty for what does not react"""
    constants: tuple[float, ...] = ()
    """the constants of that law in its own order, in SI units"""
    start: tuple[float, float] = (0.0, 1.0)
    """degrees of cure from which the law may be started"""
    temperature: tuple[float, float] = (0.0, float("inf"))
    """K: over which the numbers may be used for an estimate"""
    law_covers: tuple[float, float] = (0.0, float("inf"))
    """K: over which the kinetic law may be used for more than an estimate; a result from outside has to say so"""
    cards: tuple[str, ...] = ()
    """the material cards that it was made from, each with its revision"""
    warnings: tuple[str, ...] = ()
    """what every result that uses it has to say, such as constants that nobody has verified"""

    @property
    def reacts(self) -> bool:
        """Whether it cures."""
        return bool(self.law)

    def specific_heat_at(self, kelvin: float, cured: float = 0.0) -> float:
        """J/kg/K at a temperature [K] and degree of cure.

        >>> LayerMaterial("a resin", 1300.0, (1000.0, 3.0, -50.0), (0.2, 0.0, 0.0)).specific_heat_at(300.0, 0.5)
        1875.0
        """
        return _straight(self.specific_heat, kelvin, cured)

    def conductivity_at(self, kelvin: float, cured: float = 0.0) -> float:
        """W/m/K through the thickness at a temperature [K] and degree of cure."""
        return _straight(self.conductivity, kelvin, cured)


def _straight(coefficients: tuple[float, float, float], kelvin: float, cured: float) -> float:
    return coefficients[0] + coefficients[1] * kelvin + coefficients[2] * cured
