"""A material card: the constants of published laws for one resin, each with its source, and the range over which it may be used."""

from __future__ import annotations

from dataclasses import dataclass

CONFIDENCES = ("read", "second-hand", "from memory", "our own choice")


@dataclass(frozen=True)
class Value:
    """One constant. ``number`` in SI units (seconds, kelvin); ``written``, ``unit``, ``low`` and ``high`` as on the card."""

    name: str
    number: float
    written: str
    unit: str
    source: str
    confidence: str  # one of CONFIDENCES
    low: str = ""
    high: str = ""
    note: str = ""


@dataclass(frozen=True)
class Law:
    """A law by its name, and its constants in the order in which the law takes them."""

    name: str
    values: tuple[Value, ...]

    @property
    def numbers(self) -> tuple[float, ...]:
        """The constants in SI units."""
        return tuple(value.number for value in self.values)


@dataclass(frozen=True)
class Range:
    """What a card may be used for: ends included, in SI units, with source and confidence."""

    low: float
    high: float
    unit: str
    source: str
    confidence: str


@dataclass(frozen=True)
class Card:
    """A card named after author and year of its published source.

    temperature [K], heating [K/s] (the fastest counts; cooling is not limited), start: degree of cure that integration may start from.
    """

    name: str
    revision: str
    work: str
    resin: str
    temperature: Range
    heating: Range
    start: Range
    degree_of_cure: Law
    glass_transition: Law | None = None
    viscosity: Law | None = None
    notes: tuple[str, ...] = ()
    file: str = ""

    def law(self, quantity: str) -> Law | None:
        """The law for ``degree of cure``, ``glass transition`` or ``viscosity``; None where the card has none."""
        return {
            "degree of cure": self.degree_of_cure,
            "glass transition": self.glass_transition,
            "viscosity": self.viscosity,
        }[quantity]
