"""Numbers for predictions with units that no requirement uses: conductances, powers, heat capacities, shares."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.read.forms import Kind
from curewright.terms.errors import FileError
from curewright.text import fields as text_fields
from curewright.text.quantities import Measure, amount

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.text.phrase import Words
    from curewright.text.yaml import Node

SHAPE = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?)\s*(.*)")
CONDUCTANCES = {"W/m2/K": 1.0, "W/m²/K": 1.0}
PER_PASCAL = {"W/m2/K/Pa": 1.0, "W/m²/K/Pa": 1.0, "W/m2/K/bar": 1e-5, "W/m²/K/bar": 1e-5}
POWERS = {"W": 1.0, "kW": 1e3, "MW": 1e6}
HEAT_CAPACITIES = {"J/K": 1.0, "kJ/K": 1e3, "MJ/K": 1e6}
SHARES = {"": 1.0, "1": 1.0, "%": 0.01, "percent": 0.01}
NUMBERS = {"": 1.0, "1": 1.0}
GRAINS_IN_SI = {
    "temperature": 1e6, "pressure": 1e3, "time": 1e9, "length": 1e9, "temperature rate": 60e3, "pressure rate": 60.0
}  # fmt: skip


def physical(units: dict[str, float], low: float, high: float, example: str) -> Kind:
    """A number in one of some units, in SI, within a range that is possible at all (ends included)."""

    def read(node: Node) -> float:
        written = text_fields.text(node)
        shape = SHAPE.fullmatch(written)
        if shape is None or shape[2] not in units:
            raise FileError(f"'{written}'", expected=f"a number such as '{example}'", where=node.place)
        value = float(Decimal(shape[1]) * Decimal(str(units[shape[2]])))
        if not low <= value <= high:
            raise FileError(
                f"'{written}' is not possible", expected=f"from {low:g} to {high:g} in SI units", where=node.place
            )
        return value

    return Kind(read, {"type": ["string", "number"], "examples": [example]})


def in_si(measure: Measure, *examples: str) -> Kind:
    """A quantity in a unit of the shop floor, as a number in SI (K, Pa with its own reference, s, m, K/s, Pa/s)."""

    def quantity(words: Words) -> float:
        found = amount(words, measure)
        return found.grains / GRAINS_IN_SI[found.unit.quantity]

    return Kind(_whole(quantity), {"type": "string", "examples": list(examples)})


def gauge(*examples: str) -> Kind:
    """A pressure against the atmosphere in Pa; vacuum is read as negative gauge."""

    def quantity(words: Words) -> float:
        found = amount(words, Measure("pressure", references=("gauge", "vacuum")))
        return found.grains / 1e3 * (-1.0 if found.unit.reference == "vacuum" else 1.0)

    return Kind(_whole(quantity), {"type": "string", "examples": list(examples)})


def _whole(quantity: Callable[[Words], float]) -> Callable[[Node], float]:
    return text_fields.phrase(quantity)


def rate(measure: Measure, *examples: str) -> Kind:
    """A rate of change that goes forward: more than nothing, in K/s or Pa/s."""
    kind = in_si(measure, *examples)

    def read(node: Node) -> float:
        found: float = kind.read(node)
        if found <= 0:
            raise FileError(
                f"'{text_fields.text(node)}'",
                expected="a rate above 0; the target says whether it goes up or down",
                where=node.place,
            )
        return found

    return Kind(read, kind.schema)


SHARE = physical(SHARES, 0.0, 1.0, "0.3")
FACTOR = physical(NUMBERS, 0.01, 10.0, "0.8")
ERROR = physical(SHARES, 0.0, 2.0, "0.1")
CONDUCTANCE = physical(CONDUCTANCES, 1e-3, 1e5, "60 W/m2/K")
POWER = physical(POWERS, 1.0, 1e8, "250 kW")
HEAT_CAPACITY = physical(HEAT_CAPACITIES, 1.0, 1e10, "900 kJ/K")
TEMPERATURE = in_si(Measure("temperature"), "180 degC", "355 degF")
THICKNESS = in_si(Measure("length"), "8 mm", "0.3 in")
SECONDS = in_si(Measure("time"), "120 min", "2 h")
HEATING = rate(Measure("temperature rate"), "2 degC/min", "3 degF/min")
PRESSING = rate(Measure("pressure rate"), "0.5 bar/min", "5 psi/min")
ABSOLUTE = in_si(Measure("pressure", references=("absolute",)), "1.013 bar absolute")
MASS = physical({"kg": 1.0, "g": 1e-3}, 1e-4, 1e5, "2.4 kg")
AREA = physical({"m2": 1.0, "m²": 1.0, "cm2": 1e-4, "cm²": 1e-4}, 1e-6, 1e4, "0.05 m2")
SPECIFIC_HEAT = physical({"J/kg/K": 1.0, "kJ/kg/K": 1e3, "J/g/K": 1e3}, 50.0, 1e4, "900 J/kg/K")
CONDUCTIVITY = physical({"W/m/K": 1.0}, 1e-2, 1e4, "170 W/m/K")
