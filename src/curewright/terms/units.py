"""Units of the shop floor, and the grains in which every number is compared.

Inside, a temperature is a whole number of microkelvin, a pressure a whole number of millipascal and a time a whole
number of nanoseconds. They are carried as float64 arrays (exact for whole numbers up to 9e15) and times as int64. A
reading and a limit are converted by the same function, so a value printed equal to a limit is equal to it.

A pressure keeps its reference (``absolute``, ``gauge`` or ``vacuum``) until a requirement asks for another one: held
against a gauge limit, a gauge reading needs no barometer. ``vacuum`` counts downwards from the local atmosphere
(bigger is emptier).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import UnitError

if TYPE_CHECKING:
    from numpy.typing import NDArray

NANOSECONDS = {"s": 10**9, "min": 60 * 10**9, "h": 3600 * 10**9, "ms": 10**6, "day": 86400 * 10**9}
SECOND, MINUTE = NANOSECONDS["s"], NANOSECONDS["min"]

# Exact by definition: 1 in = 0.0254 m, 1 lb = 0.45359237 kg, g0 = 9.80665 m/s2 (NIST SP 811), 1 atm = 101325 Pa.
# Inches of mercury are conventional, at 0 degC: 13595.1 kg/m3 x g0 x 0.0254 m (ISO 80000-4 / NIST SP 811: 3386.389 Pa).
PSI = Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2
INHG = Fraction(135951, 10) * Fraction(980665, 10**5) * Fraction(254, 10**4)
TORR = Fraction(101325, 760)
PRESSURES = {
    "Pa": Fraction(1),
    "kPa": Fraction(1000),
    "MPa": Fraction(10**6),
    "hPa": Fraction(100),
    "mbar": Fraction(100),
    "bar": Fraction(10**5),
    "psi": PSI,
    "inHg": INHG,
    "mmHg": INHG * 10 / 254,
    "torr": TORR,
}
REFERENCES = ("absolute", "gauge", "vacuum")
LENGTHS = {"mm": Fraction(1, 1000), "m": Fraction(1), "in": Fraction(254, 10**4), "cm": Fraction(1, 100)}
DEGREES = {
    "K": (Fraction(1), Fraction(0)),
    "degC": (Fraction(1), Fraction(27315, 100)),
    "degF": (Fraction(5, 9), Fraction(45967, 100)),
}


@dataclass(frozen=True)
class Unit:
    """One way of writing a quantity: ``grains = round((number + offset) * scale)``.

    ``quantity`` is one of ``temperature``, ``temperature difference``, ``pressure``, ``pressure difference``,
    ``temperature rate``, ``pressure rate``, ``time``, ``length``, ``viscosity``, ``fraction`` or ``count``.
    ``decimals`` is how many decimals of this unit one grain is worth printing with.
    """

    name: str
    quantity: str
    scale: float
    offset: float = 0.0
    reference: str | None = None
    decimals: int = 6

    @property
    def snapped(self) -> bool:
        """Whether values of this quantity are whole grains (rates are snapped only when held against a limit)."""
        return not self.quantity.endswith("rate")

    def to_grains(self, numbers: NDArray[np.float64]) -> NDArray[np.float64]:
        """Readings in this unit, shape (n,), to grains (whole numbers, except for rates)."""
        grains = (np.asarray(numbers, dtype=np.float64) + self.offset) * self.scale
        return np.rint(grains) if self.snapped else grains

    def grains_of(self, number: Decimal) -> float:
        """One written number to grains, by the same arithmetic as a reading."""
        return float(self.to_grains(np.array([float(number)]))[0])

    def from_grains(self, grains: float) -> float:
        """Grains back to a number in this unit."""
        return grains / self.scale - self.offset

    def decimal_of(self, grains: float) -> Decimal:
        """Grains to the decimal text of this unit, rounded half to even at the last decimal that a grain supports."""
        with localcontext() as context:
            context.prec = 40
            exact = Decimal(repr(float(grains))) / Decimal(repr(self.scale)) - Decimal(repr(self.offset))
            return exact.quantize(Decimal(1).scaleb(-self.decimals))

    def difference(self) -> Unit:
        """The unit of a difference of two values in this unit (scale only; no offset, no reference)."""
        return self._difference

    @cached_property
    def _difference(self) -> Unit:
        if self.quantity == "temperature":
            return Unit(self.name, "temperature difference", self.scale, 0.0, None, self.decimals)
        if self.quantity == "pressure":
            return Unit(self.name, "pressure difference", self.scale, 0.0, None, self.decimals)
        return self


def _temperature(name: str) -> Unit:
    scale, offset = DEGREES[name]
    return Unit(name, "temperature", float(scale * 10**6), float(offset), None, 5)


def _pressure(name: str, reference: str) -> Unit:
    scale = float(PRESSURES[name] * 1000)
    decimals = {"Pa": 3, "kPa": 6, "MPa": 9, "hPa": 5, "mbar": 5, "bar": 8}.get(name, 6)
    written = f"{name} of vacuum" if reference == "vacuum" else f"{name} {reference}"
    return Unit(written, "pressure", scale, 0.0, reference, decimals)


# A rate is carried in grains of 1 mK/min or 1 Pa/min, because a reading snapped to 1 uK may move a one-second rate by 0.06 mK/min.
def _rate(name: str, per: str) -> Unit:
    minutes = Fraction(NANOSECONDS[per], NANOSECONDS["min"])
    if name in DEGREES:
        return Unit(f"{name}/{per}", "temperature rate", float(DEGREES[name][0] * 1000 / minutes), 0.0, None, 3)
    return Unit(f"{name}/{per}", "pressure rate", float(PRESSURES[name] / minutes), 0.0, None, 4)


def _known_units() -> dict[str, Unit]:
    units = {name: _temperature(name) for name in DEGREES}
    for name in PRESSURES:
        for reference in REFERENCES:
            unit = _pressure(name, reference)
            units[unit.name] = unit
        units[f"{name} difference"] = Unit(
            f"{name} difference", "pressure difference", float(PRESSURES[name] * 1000), 0.0, None, 6
        )
    for name in (*DEGREES, *PRESSURES):
        for per in ("s", "min", "h"):
            unit = _rate(name, per)
            units[unit.name] = unit
    for name in DEGREES:
        units[f"{name} difference"] = Unit(
            f"{name} difference", "temperature difference", units[name].scale, 0.0, None, 5
        )
    for name, nanoseconds in NANOSECONDS.items():
        units[name] = Unit(name, "time", float(nanoseconds), 0.0, None, 6)
    for name, metres in LENGTHS.items():
        units[name] = Unit(name, "length", float(metres * 10**9), 0.0, None, 6)
    units["fraction"] = Unit("fraction", "fraction", 1e9, 0.0, None, 9)
    units["percent"] = Unit("percent", "fraction", 1e7, 0.0, None, 7)
    units["Pa s"] = Unit("Pa s", "viscosity", 1e6, 0.0, None, 6)
    units["count"] = Unit("count", "count", 1.0, 0.0, None, 0)
    return units


UNITS: dict[str, Unit] = _known_units()

_SPELLINGS = {
    "°C": "degC", "C": "degC", "deg C": "degC", "celsius": "degC",
    "°F": "degF", "F": "degF", "deg F": "degF", "fahrenheit": "degF",
    "kelvin": "K", "minutes": "min", "minute": "min", "hours": "h", "hour": "h", "seconds": "s", "second": "s",
    "sec": "s", "secs": "s", "mins": "min", "hr": "h", "hrs": "h", "d": "day", "days": "day", "%": "percent", "inch": "in", "inches": "in",
    "psig": "psi gauge", "psia": "psi absolute", "barg": "bar gauge", "bara": "bar absolute",
    "in Hg": "inHg", "inHg vacuum": "inHg of vacuum", "K difference": "K difference",
}  # fmt: skip


def unit_named(text: str) -> Unit:
    """The unit that a text names; raises :class:`UnitError` for one that is unknown or lacks its pressure reference."""
    name = " ".join(text.split())
    name = _SPELLINGS.get(name, name)
    if "/" in name:
        top, _, per = name.partition("/")
        name = f"{_SPELLINGS.get(top.strip(), top.strip())}/{_SPELLINGS.get(per.strip(), per.strip())}"
    if name in UNITS:
        return UNITS[name]
    for pressure in PRESSURES:
        if name == pressure:
            raise UnitError(
                f"the pressure unit '{text}' has no reference",
                expected=f"'{pressure} absolute', '{pressure} gauge' or '{pressure} of vacuum'",
                remedy="write which one the instrument or the paper means; it is never guessed",
            )
    raise UnitError(
        f"'{text}' is not a unit known here",
        expected="one of " + ", ".join(sorted(UNITS)[:12]) + ", …",
        remedy="see docs/units.md",
    )


@dataclass(frozen=True)
class Quantity:
    """A number with its unit as somebody wrote it; ``grains`` is what is compared."""

    number: Decimal
    unit: Unit

    @cached_property
    def grains(self) -> float:
        """The value in grains."""
        return self.unit.grains_of(self.number)

    def __str__(self) -> str:
        return f"{self.number} {self.unit.name}"


def in_unit(grains: float, unit: Unit) -> str:
    """A value in grains as decimal text of a unit, without trailing zeros."""
    text = f"{grains / unit.scale - unit.offset:.{unit.decimals}f}"
    text = text.rstrip("0").rstrip(".") if unit.decimals else text
    return "0" if text == "-0" else text
