"""The JSON Schema of specification files, for editors. It knows the fields; what a phrase means is said by Curewright itself."""

from __future__ import annotations

from typing import Any

from curewright.terms.requirement import KINDS, THINGS
from curewright.understand.because import BY_THE_PAPER
from curewright.understand.forms.duration import LEAVES, WAY_FIELDS
from curewright.understand.forms.exposure import CURES, TIME
from curewright.understand.forms.kinds import MODULES
from curewright.understand.forms.leak_check import WINDOWS
from curewright.understand.forms.rate import SENSES
from curewright.understand.rules import ABSOLUTE, GUARD, NOT_ALLOWED, ROUNDING, SET_ASIDE, SIMPLE, UNIT_NAMES

# YAML in an editor takes 4.10 for a number and yes for a truth value; Curewright reads both as text.
TEXT: dict[str, Any] = {"type": ["string", "number", "boolean"]}
TEXTS: dict[str, Any] = {"anyOf": [TEXT, {"type": "array", "items": TEXT}]}
_CHOICES = {
    "for each": THINGS,
    "sense": tuple(SENSES),
    "window": WINDOWS,
    "when it leaves": tuple(LEAVES),
}
_OF = {"exposure": (CURES, TIME), "count": ("working sensors", "sensors on the map", "vacuum ports")}
_EVENT = {
    "for each": "whose event it is: vessel, part, bag, or each thermocouple",
    "when": "a condition ('… reaches …', '… falls below … for good'), 'hand entry', or '5 min after EVENT'",
    "else": "what is tried where the run cannot show that; one or a list",
    "else inferred": "a trace that only suggests what somebody did; one or a list",
    "when inferred": "the same, where there is nothing better",
    "after": "the event from which it is looked for",
    "delay": "how much later than that the event is",
    "because": "why a stay or an inference was chosen, and who approved it",
}
_CLAUSE = {
    "says": "the sentence of the paper",
    "by a person": "who judges it",
    "not covered": "what of the sentence is not judged",
    "illustrative": "what of it was invented for an example",
}


def specification_schema() -> dict[str, Any]:
    """The schema (JSON Schema 2020-12)."""
    properties = {
        **dict.fromkeys(("specification", "revision", "approved by", "title", "source"), TEXT),
        "status": {"enum": ["draft", "approved"]},
        "units": _object(dict.fromkeys(UNIT_NAMES, TEXT)),
        "comparison": {"type": "string", "pattern": f"^({ABSOLUTE}|{ROUNDING} .+)$"},
        "decision": {"type": "string", "pattern": f"^({SIMPLE}|{GUARD} .+)$"},
        "recording": _object({"largest gap": TEXT, "lost after": TEXT}, ("largest gap", "lost after")),
        "thermocouples": _thermocouples(),
        "second recorder": _second_recorder(),
        "events": {"$ref": "#/$defs/events"},
        "clauses": {"type": "object", "minProperties": 1, "additionalProperties": {"$ref": "#/$defs/clause"}},
    }
    optional = ("approved by", "units", "events")
    required = tuple(key for key in properties if key not in optional)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Curewright specification file",
        **_object(properties, required),
        "$defs": {"because": _because(), "except": _except(), "events": _events(), "clause": _clause(), **_forms()},
    }


def _object(properties: dict[str, Any], required: tuple[str, ...] = ()) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(required), "additionalProperties": False}


def _thermocouples() -> dict[str, Any]:
    fields = {
        "per part": TEXT,
        "lost ones": {"enum": list(SET_ASIDE)},
        "remaining": TEXT,
        "including": {"type": "array", "items": TEXT},
    }
    return _object(fields, ("per part", "lost ones"))


def _second_recorder() -> dict[str, Any]:
    keys = ("at a time", "in all", "procedure")
    return {"anyOf": [{"const": NOT_ALLOWED}, _object(dict.fromkeys(keys, TEXT), keys)]}


def _because() -> dict[str, Any]:
    keys = ("text", "approved by")
    text = {"type": "string", "pattern": f"^{BY_THE_PAPER}$|, approved by "}
    return {"anyOf": [text, _object(dict.fromkeys(keys, TEXT), keys)]}


def _except() -> dict[str, Any]:
    keys = ("by at most", "at a time", "in all")
    return _object(dict.fromkeys(keys, TEXT), keys)


def _events() -> dict[str, Any]:
    fields = {key: _field(key, description, "") for key, description in _EVENT.items()}
    return {"type": "object", "additionalProperties": _object(fields)}


def _clause() -> dict[str, Any]:
    properties: dict[str, Any] = {key: {**TEXT, "description": description} for key, description in _CLAUSE.items()}
    properties["for parts"] = {"type": "object", "additionalProperties": TEXT}
    properties["events"] = {"$ref": "#/$defs/events"}
    patterns = {f"^{kind}( .+)?$": {"$ref": f"#/$defs/{kind}"} for kind in KINDS}
    return {**_object(properties, ("says",)), "patternProperties": patterns}


def _forms() -> dict[str, Any]:
    forms = {}
    for kind, module in MODULES.items():
        fields = {key: _field(key, description, kind) for key, description in module.FIELDS.items()}
        forms[kind] = _object(fields, module.REQUIRED)
    return forms


def _field(key: str, description: str, kind: str) -> dict[str, Any]:
    """One field: words to choose from, a list, a reference, or a phrase."""
    if key == "either":
        way = _object({name: _field(name, MODULES[kind].FIELDS[name], kind) for name in WAY_FIELDS})
        return {"type": "array", "minItems": 2, "items": way, "description": description}
    if key in ("because", "except"):
        return {"$ref": f"#/$defs/{key}", "description": description}
    if key in ("when", "else", "else inferred", "when inferred"):
        return {**TEXTS, "description": description}
    choices = _OF.get(kind) if key == "of" else _CHOICES.get(key)
    return {"enum": list(choices), "description": description} if choices else {**TEXT, "description": description}
