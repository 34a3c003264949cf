"""The JSON Schema of a card file, made from the same tables of laws and units that read it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.physics.card import CONFIDENCES, PROPERTY_LAWS
from curewright.physics.plausible import HEAT
from curewright.read.card_file import CURING, SOLID
from curewright.read.card_values import (
    GLASS_LAWS,
    RATE_LAWS,
    SORT_OF_VALUE,
    UNITS,
    VISCOSITY_LAWS,
    sort_of,
    sort_of_rate_constant,
)
from curewright.read.forms import DRAFT

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from curewright.read.forms import Schema

TEXT: Schema = {"type": "string", "minLength": 1}
NUMBER: Schema = {"type": ["string", "number"]}
GROUNDS: Schema = {"source": TEXT, "confidence": {"enum": list(CONFIDENCES)}}


def card_schema() -> Schema:
    """A card of a resin or a laminate, or of a fibre, a tool, a core or a layer of a bag."""
    return {
        "$schema": DRAFT,
        "title": "Curewright: material card",
        "description": "Constants of published laws, each with unit, source and confidence.",
        "oneOf": [*(_curing(kind) for kind in CURING), *(_solid(kind) for kind in SOLID)],
        "$defs": _defined(),
    }


def _defined() -> Schema:
    """What is referred to from several places."""
    sorts = {sort_of(unit) for unit in UNITS} | {"K"}
    values = {_key(sort): _value(sort) for sort in sorted(sorts)}
    return values | {
        "properties": _properties(),
        "glass": _laws(GLASS_LAWS, _others),
        "text": TEXT,
        "number": NUMBER,
    }


def _key(sort: str) -> str:
    return "value-" + sort.replace("/", "-per-").replace(" ", "-")


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(properties: Schema, optional: tuple[str, ...] = (), text: str = "") -> Schema:
    found: Schema = {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }
    return found | ({"description": text} if text else {})


def _units(sort: str) -> list[str]:
    return [unit for unit in UNITS if sort in (sort_of(unit), unit)]


def _value(sort: str, more: Mapping[str, Any] | None = None) -> Schema:
    fields = {"value": NUMBER, "unit": {"enum": _units(sort)}, **GROUNDS, "from": NUMBER, "to": NUMBER, "note": TEXT}
    return _object(fields | dict(more or {}), ("from", "to", "note"))


def _range(*units: str) -> Schema:
    return _object({"from": NUMBER, "to": NUMBER, "unit": {"enum": list(units)}, **GROUNDS})


def _laws(laws: Mapping[str, tuple[str, ...]], sorts: Callable[[str], str], more: Schema | None = None) -> Schema:
    return {
        "oneOf": [
            _object(
                dict(more or {})
                | {"law": {"const": name}, "values": _object({key: _ref(_key(sorts(key))) for key in constants})}
            )
            for name, constants in laws.items()
        ]
    }


def _others(name: str) -> str:
    return SORT_OF_VALUE.get(name, "1")


def _property(sort: str) -> Schema:
    per = {"value": sort, "at 0 degC": sort, "per K": f"{sort}2", "per degree of cure": sort}
    laws = {name: keys for name, keys in PROPERTY_LAWS.items() if sort != "density" or len(keys) == 1}
    return {"oneOf": [_ref(_key(sort)), *_laws(laws, per.__getitem__)["oneOf"]]}


def _properties() -> Schema:
    fields = {
        "density": _property("density"),
        "specific heat": _property("J/kg/K"),
        "conductivity": _property("W/m/K"),
        "conductivity along": _property("W/m/K"),
    }
    return _object(fields, tuple(fields), "across, unless along is said")


def _head(kind: str) -> Schema:
    return {"card": TEXT, "revision": TEXT | {"type": ["string", "number"]}, "work": TEXT, kind: TEXT}


def _curing(kind: str) -> Schema:
    kelvins = _range("degC", "K")
    known = dict.fromkeys(("celsius", "start", "reaches", "minutes", "within percent"), NUMBER) | GROUNDS
    optional: Schema = {
        "glass transition": _ref("glass"),
        "other glass transitions": {"type": "array", "items": _laws(GLASS_LAWS, _others, {"work": TEXT})},
        "viscosity": _laws(VISCOSITY_LAWS, _others),
        "gel": _ref("value-1"),
        "heat of reaction": _value("heat", {"per": {"enum": list(HEAT)}}),
        "properties": _ref("properties"),
        "fibre volume": _ref("value-1"),
        "known times": {"type": "array", "items": _object(known)},
        "notes": {"type": "array", "items": TEXT},
    }
    ranges = {"temperature": kelvins, "heating": _range("K/min"), "start": _range("1"), "predictions": kelvins}
    required = {
        "range": _object(ranges, ("predictions",), "what the card may be used for"),
        "cured at": _ref("value-temperature"),
        "degree of cure": _laws(RATE_LAWS, sort_of_rate_constant),
    }
    return _object(_head(kind) | required | optional, tuple(optional))


def _solid(kind: str) -> Schema:
    optional: Schema = {"thickness": _range("mm", "m"), "notes": {"type": "array", "items": TEXT}}
    required = {"range": _object({"temperature": _range("degC", "K")}), "properties": _ref("properties")}
    return _object(_head(kind) | required | optional, tuple(optional))
