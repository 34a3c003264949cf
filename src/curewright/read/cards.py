"""The material cards that come with the program, and cards of the same form that a user writes.

Every constant stands with its unit, source and confidence; a card without them, with a constant too many or too few, or in a unit that
its law does not take, is refused with file, line and column.
"""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from curewright.physics import glass, viscosity
from curewright.physics.card import CONFIDENCES, Card, Law, Range, Value
from curewright.physics.kinetics import laws
from curewright.terms.errors import FileError
from curewright.text.fields import Fields, items, one_of, prose, record, table, text
from curewright.text.packaged import packaged_text
from curewright.text.yaml import Scalar, read_text

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from curewright.text.fields import Reader
    from curewright.text.yaml import Node

UNITS = {  # factor and offset to SI: number = (written + offset) * factor
    "1/min": (1 / 60, 0.0),
    "1/s": (1.0, 0.0),
    "K/min": (1 / 60, 0.0),
    "J/mol": (1.0, 0.0),
    "1": (1.0, 0.0),
    "1/K": (1.0, 0.0),
    "Pa s": (1.0, 0.0),
    "K": (1.0, 0.0),
    "degC": (1.0, 273.15),
}
SORTS = {"1/min": "rate", "1/s": "rate", "K": "temperature", "degC": "temperature"}  # others are their own
SORT_OF_VALUE = {
    **dict.fromkeys(("A1", "A2", "A3"), "rate"),
    **dict.fromkeys(("E1", "E2", "E3", "E", "U", "Eu"), "J/mol"),
    **dict.fromkeys(("mu0", "Au"), "Pa s"),
    **dict.fromkeys(("Tg0", "Tg1"), "temperature"),
    "aCT": "1/K",
}
RATE_LAWS: Mapping[str, tuple[str, ...]] = laws.VALUES
GLASS_LAWS: Mapping[str, tuple[str, ...]] = {glass.NAME: glass.VALUES}
VISCOSITY_LAWS: Mapping[str, tuple[str, ...]] = viscosity.VALUES


@cache
def packaged_cards() -> tuple[str, ...]:
    """The names of the cards that come with the program."""
    folder = resources.files("curewright.physics").joinpath("cards")
    return tuple(sorted(file.name.removesuffix(".yaml") for file in folder.iterdir() if file.name.endswith(".yaml")))


@cache
def packaged_card(name: str) -> Card:
    """A card that comes with the program. Raises :class:`FileError` for a name that none of them has."""
    if name not in packaged_cards():
        raise FileError(
            f"no card is named '{name}'",
            expected=" or ".join(packaged_cards()),
            remedy="write a card file, or name one of these",
        )
    return read_card(packaged_text("curewright.physics", "cards", f"{name}.yaml"), f"{name}.yaml")


def card_of_revision(name: str, revision: str) -> Card:
    """A packaged card in one revision. Raises :class:`FileError` where the program has another one."""
    card = packaged_card(name)
    if card.revision != revision:
        raise FileError(
            f"card {name} is here in revision {card.revision}",
            expected=f"revision {revision}",
            remedy="have the difference approved in the specification, or use the program version that has the other revision",
        )
    return card


def read_card(words: str, file: str) -> Card:
    """A card from the text of its file. Raises :class:`~curewright.terms.errors.Errors` with all that is wrong in it."""
    return _card(Fields(read_text(words, file), "a card"), file)


def _card(fields: Fields, file: str) -> Card:
    ranges = fields.required("range", record(_ranges, "the range of a card"))
    kinetics = fields.required("degree of cure", _law(RATE_LAWS))
    glassy = fields.optional("glass transition", _law(GLASS_LAWS), None)
    flow = fields.optional("viscosity", _law(VISCOSITY_LAWS), None)
    name, revision = fields.required("card", text), fields.required("revision", text)
    work, resin = fields.required("work", prose), fields.required("resin", prose)
    notes = fields.optional("notes", items(prose), ())
    fields.close()
    temperature, heating, start = ranges
    return Card(name, revision, work, resin, temperature, heating, start, kinetics, glassy, flow, notes, file)


def _ranges(fields: Fields) -> tuple[Range, Range, Range]:
    found = (
        fields.required("temperature", record(_range(("degC", "K")), "a range")),
        fields.required("heating", record(_range(("K/min",)), "a range")),
        fields.required("start", record(_range(("1",)), "a range")),
    )
    fields.close()
    return found


def _range(units: tuple[str, ...]) -> Callable[[Fields], Range]:
    def read(fields: Fields) -> Range:
        low, high = fields.required("from", _number), fields.required("to", _number)
        unit = fields.required("unit", one_of(*units))
        source, confidence = fields.required("source", prose), fields.required("confidence", one_of(*CONFIDENCES))
        fields.close()
        if not low[0] < high[0]:
            raise FileError(f"a range from {low[1]} to {high[1]}", expected="the lower end first", where=fields.place)
        return Range(_si(low[0], unit), _si(high[0], unit), unit, source, confidence)

    return read


def _law(laws: Mapping[str, tuple[str, ...]]) -> Reader[Law]:
    def read(fields: Fields) -> Law:
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
        return Law(name, tuple(_named(key, given[key], fields) for key in laws[name]))

    return record(read, "a law")


def _value(fields: Fields) -> Value:
    number = fields.required("value", _number)
    unit = fields.required("unit", one_of(*UNITS))
    source, confidence = fields.required("source", prose), fields.required("confidence", one_of(*CONFIDENCES))
    low, high = fields.optional("from", text, ""), fields.optional("to", text, "")
    note = fields.optional("note", prose, "")
    fields.close()
    return Value("", _si(number[0], unit), number[1], unit, source, confidence, low, high, note)


def _named(name: str, value: Value, fields: Fields) -> Value:
    wanted = SORT_OF_VALUE.get(name, "rate" if name == "A" and value.unit in ("1/s", "1/min") else "1")
    if SORTS.get(value.unit, value.unit) != wanted:
        raise FileError(f"{name} in {value.unit}", expected=f"a unit of {wanted}", where=fields.place_of("values"))
    return Value(
        name, value.number, value.written, value.unit, value.source, value.confidence, value.low, value.high, value.note
    )


def _number(node: Node) -> tuple[float, str]:
    """A number with or without an exponent, and how it was written."""
    written = text(node)
    try:
        number = float(written)
    except ValueError:
        number = float("nan")
    if not isinstance(node, Scalar) or not abs(number) < float("inf") or "_" in written:
        raise FileError(f"'{written}'", expected="a number such as 0.47 or 2.101e9", where=node.place)
    return number, written


def _si(number: float, unit: str) -> float:
    factor, offset = UNITS[unit]
    return (number + offset) * factor
