"""The smallest pieces of a card file: a constant with unit, source and confidence, a range, a law with its constants."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.physics.card import CONFIDENCES, CONSTANT, PROPERTY_LAWS, Law, Range, Value
from curewright.physics.glass import laws as glass
from curewright.physics.kinetics import laws as kinetics
from curewright.physics.viscosity import laws as viscosity
from curewright.terms.errors import FileError
from curewright.text.fields import Fields, one_of, prose, record, table, text
from curewright.text.yaml import Scalar

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from curewright.text.fields import Reader
    from curewright.text.yaml import Node

UNITS = {  # factor and offset to SI: number = (written + offset) * factor
    "1": (1.0, 0.0),
    "1/K": (1.0, 0.0),
    "1/min": (1 / 60, 0.0),
    "1/s": (1.0, 0.0),
    "J/mol": (1.0, 0.0),
    "kJ/mol": (1e3, 0.0),
    "K": (1.0, 0.0),
    "K/min": (1 / 60, 0.0),
    "Pa s": (1.0, 0.0),
    "degC": (1.0, 273.15),
    "J/kg": (1.0, 0.0),
    "kJ/kg": (1e3, 0.0),
    "kg/m3": (1.0, 0.0),
    "g/cm3": (1e3, 0.0),
    "J/kg/K": (1.0, 0.0),
    "J/kg/K2": (1.0, 0.0),
    "W/m/K": (1.0, 0.0),
    "W/m/K2": (1.0, 0.0),
    "m": (1.0, 0.0),
    "mm": (1e-3, 0.0),
}
SORTS = {  # what may stand for what; other units are their own
    "1/min": "rate",
    "1/s": "rate",
    "K": "temperature",
    "degC": "temperature",
    "kJ/mol": "J/mol",
    "J/kg": "heat",
    "kJ/kg": "heat",
    "kg/m3": "density",
    "g/cm3": "density",
    "m": "length",
    "mm": "length",
}
SORT_OF_VALUE = {  # of the constants of the laws; others are dimensionless
    **dict.fromkeys(("A1", "A2", "A3"), "rate"),
    **dict.fromkeys(("E1", "E2", "E3", "E", "U", "Eu"), "J/mol"),
    **dict.fromkeys(("mu0", "Au"), "Pa s"),
    **dict.fromkeys(("Tg0", "Tg1", "c0"), "temperature"),
    **dict.fromkeys(("c1", "c2", "c3", "c4", "c5"), "K"),
    "aCT": "1/K",
}
RATE_LAWS: Mapping[str, tuple[str, ...]] = kinetics.VALUES
GLASS_LAWS: Mapping[str, tuple[str, ...]] = glass.VALUES
VISCOSITY_LAWS: Mapping[str, tuple[str, ...]] = viscosity.VALUES


def sort_of_rate_constant(name: str) -> str:
    """The sort of a constant of a kinetic law: there A is a rate (of viscosity it is an exponent)."""
    return "rate" if name == "A" else SORT_OF_VALUE.get(name, "1")


def sort_of(unit: str) -> str:
    """What a unit is a unit of: units of one sort may stand for each other."""
    return SORTS.get(unit, unit)


def number(node: Node) -> tuple[float, str]:
    """A number with or without an exponent, and how it was written."""
    written = text(node)
    try:
        found = float(written)
    except ValueError:
        found = float("nan")
    if not isinstance(node, Scalar) or not abs(found) < float("inf") or "_" in written:
        raise FileError(f"'{written}'", expected="a number such as 0.47 or 2.101e9", where=node.place)
    return found, written


def si(found: float, unit: str) -> float:
    """A written number in SI units."""
    factor, offset = UNITS[unit]
    return (found + offset) * factor


def a_range(units: tuple[str, ...]) -> Reader[Range]:
    """A reader of a range in one of these units."""

    def read(fields: Fields) -> Range:
        low, high = fields.required("from", number), fields.required("to", number)
        unit = fields.required("unit", one_of(*units))
        source, confidence = fields.required("source", prose), fields.required("confidence", one_of(*CONFIDENCES))
        fields.close()
        if not low[0] < high[0]:
            raise FileError(f"a range from {low[1]} to {high[1]}", expected="the lower end first", where=fields.place)
        return Range(si(low[0], unit), si(high[0], unit), unit, source, confidence)

    return record(read, "a range")


def value_fields(fields: Fields) -> Value:
    """A constant from the fields of its mapping, which are left open."""
    found = fields.required("value", number)
    unit = fields.required("unit", one_of(*UNITS))
    source, confidence = fields.required("source", prose), fields.required("confidence", one_of(*CONFIDENCES))
    ends = fields.optional("from", number, None), fields.optional("to", number, None)
    note = fields.optional("note", prose, "")
    if fields.errors:
        fields.close()
    between = _between(found, ends, unit, fields)
    low, high = (end[1] if end else "" for end in ends)
    return Value("", si(found[0], unit), found[1], unit, source, confidence, low, high, note, between)


def _between(
    found: tuple[float, str], ends: tuple[tuple[float, str] | None, tuple[float, str] | None], unit: str, fields: Fields
) -> tuple[float, float] | None:
    """Both ends in SI units; None where none is written. Raises where only one is, or the value lies outside."""
    low, high = ends
    if low is None and high is None:
        return None
    if low is None or high is None or not low[0] <= found[0] <= high[0]:
        stated = f"from {low[1] if low else 'nothing'} to {high[1] if high else 'nothing'}"
        raise FileError(
            f"a value of {found[1]} with a range {stated}",
            expected="both ends, with the value between them",
            where=fields.place,
        )
    return si(low[0], unit), si(high[0], unit)


def _value(fields: Fields) -> Value:
    found = value_fields(fields)
    fields.close()
    return found


def value(name: str, sort: str) -> Reader[Value]:
    """A reader of a single constant of one sort."""

    def read(fields: Fields) -> Value:
        return named(name, _value(fields), sort, fields, "unit")

    return record(read, name)


def named(name: str, found: Value, sort: str, fields: Fields, field: str) -> Value:
    """The constant with its name. Raises where its unit is of another sort."""
    if sort not in (sort_of(found.unit), found.unit):
        raise FileError(f"{name} in {found.unit}", expected=f"a unit of {sort}", where=fields.place_of(field))
    return replace(found, name=name)


def law(laws: Mapping[str, tuple[str, ...]], sorts: Callable[[str], str] | None = None) -> Reader[Law]:
    """A reader of one of these laws with its constants; ``sorts`` says of what sort the unit of each has to be."""
    return record(lambda fields: law_fields(fields, laws, sorts), "a law")


def law_fields(fields: Fields, laws: Mapping[str, tuple[str, ...]], sorts: Callable[[str], str] | None = None) -> Law:
    """A law from the fields of its mapping, which are closed."""
    name = fields.required("law", one_of(*laws))
    values = fields.required("values", table(record(_value, "a constant")))
    fields.close()
    given = dict(values)
    if set(given) != set(laws[name]):
        raise FileError(
            f"the constants {', '.join(given)}",
            expected=f"{', '.join(laws[name])} for the law '{name}'",
            where=fields.place_of("values"),
        )
    of = sorts or (lambda key: SORT_OF_VALUE.get(key, "1"))
    return Law(name, tuple(named(key, given[key], of(key), fields, "values") for key in laws[name]))


def a_property(sort: str) -> Reader[Law]:
    """A reader of density, specific heat or conductivity: one constant, or a straight line in temperature (and cure)."""
    per = {"value": sort, "at 0 degC": sort, "per K": f"{sort}2", "per degree of cure": sort}

    def read(node: Node) -> Law:
        if "law" in Fields(node, "a property"):
            return law(PROPERTY_LAWS, per.__getitem__)(node)
        return Law(CONSTANT, (value("value", sort)(node),))

    return read
