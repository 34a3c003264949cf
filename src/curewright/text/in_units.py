"""The units in which predictions are shown: those of the user's specification."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification
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


@dataclass(frozen=True)
class ShownByPart:
    """Each part in the units of its own specification. Where all have the same, a heading says them; else every number does."""

    parts: dict[str, Shown]
    first: Shown = Shown()

    def of(self, serial: str) -> Shown:
        """The units of a part; the first specification's where it has none."""
        return self.parts.get(serial, self.first)

    @property
    def same(self) -> bool:
        """Whether all parts are shown in the same units."""
        return len({*self.parts.values()}) < 2

    def headed(self, words: str) -> str:
        """The heading over temperatures, with their unit where it is the same for all."""
        return f"{words}, {next(iter(self.parts.values()), self.first).temperature.name}" if self.same else words

    def headed_pressure(self, words: str) -> str:
        """The heading over differences of pressure, with their unit where it is the same for all."""
        return f"{words}, {next(iter(self.parts.values()), self.first).pressure_difference}" if self.same else words

    def degrees(self, serial: str, number: str) -> str:
        """A temperature, or several, in a cell of a part: with the unit where its heading cannot have it."""
        return number if self.same else f"{number} {self.of(serial).temperature.name}"

    def pressed(self, serial: str, number: str) -> str:
        """A difference of pressures in a cell of a part, likewise."""
        return number if self.same else f"{number} {self.of(serial).pressure_difference}"


def shown_by_part(load: Load, specifications: Sequence[Specification]) -> ShownByPart:
    """Every part of a load in the units of the specification that it follows."""
    stated = {(one.number, one.revision): shown_in(one.units) for one in specifications}
    first = shown_in(specifications[0].units) if specifications else Shown()
    return ShownByPart(
        {part.serial: stated.get((part.specification, part.specification_revision), first) for part in load.parts},
        first,
    )
