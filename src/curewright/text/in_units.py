"""The units in which predictions are shown: those of the user's specification."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.terms.units import Unit


@dataclass(frozen=True)
class Shown:
    """The units in which a prediction is shown: those of the user's specification."""

    temperature: Unit = UNITS["degC"]
    pressure: Unit = UNITS["bar gauge"]

    def hot(self, kelvin: float, decimals: int = 1) -> str:
        """A temperature as a number."""
        return f"{self.temperature.from_grains(kelvin * 1e6):.{decimals}f}"

    def by(self, kelvin: float) -> str:
        """A difference of temperatures as a number, to a tenth."""
        return f"{self.temperature.difference().from_grains(kelvin * 1e6):.1f}"

    def pressed(self, pascal: float, decimals: int = 2) -> str:
        """A difference of pressures as a number."""
        return f"{self.pressure.difference().from_grains(pascal * 1e3):.{decimals}f}"

    @property
    def pressure_difference(self) -> str:
        """The name of the unit of :meth:`pressed`."""
        return self.pressure.difference().name.split()[0]


def shown_in(units: Iterable[tuple[str, Unit]]) -> Shown:
    """The units of a specification, where it states them."""
    stated = dict(units)
    return Shown(stated.get("temperature", Shown.temperature), stated.get("pressure", Shown.pressure))
