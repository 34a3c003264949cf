"""Which unit a header states for a column, and what it leaves open."""

from __future__ import annotations

import re

from curewright.terms.errors import UnitError
from curewright.terms.units import PRESSURES, UNITS, unit_named

WRITTEN = {
    "c": "degC", "°c": "degC", "ºc": "degC", "degc": "degC", "deg c": "degC", "deg. c": "degC", "celsius": "degC", "grad c": "degC",
    "f": "degF", "°f": "degF", "ºf": "degF", "degf": "degF", "deg f": "degF", "deg. f": "degF", "fahrenheit": "degF",
    "k": "K", "kelvin": "K", "℃": "degC", "℉": "degF",
    "psig": "psi gauge", "psi(g)": "psi gauge", "psi g": "psi gauge", "psia": "psi absolute",
    "psi(a)": "psi absolute", "psi a": "psi absolute",
    "barg": "bar gauge", "bar(g)": "bar gauge", "bar g": "bar gauge", "bara": "bar absolute",
    "bar(a)": "bar absolute", "bar a": "bar absolute",
    "bar abs": "bar absolute", "mbarg": "mbar gauge", "mbar(g)": "mbar gauge", "mbara": "mbar absolute", "mbar(a)": "mbar absolute",
    "mbar abs": "mbar absolute", "kpag": "kPa gauge", "kpa(g)": "kPa gauge", "kpaa": "kPa absolute", "kpa(a)": "kPa absolute",
    "kpa abs": "kPa absolute", "%": "percent", "percent": "percent",
}  # fmt: skip
BARE_PRESSURES = {name.lower(): name for name in PRESSURES} | {
    '"hg': "inHg",
    "in hg": "inHg",
    "in.hg": "inHg",
    "in. hg": "inHg",
}
REFERENCES = ("absolute", "gauge", "of vacuum")


def stated(text: str) -> tuple[str, tuple[str, ...]]:
    """The unit that a text of a header names, and the choices that it leaves open.

    >>> stated("[°C]")
    ('degC', ())
    >>> stated("bar")
    ('', ('bar absolute', 'bar gauge', 'bar of vacuum'))
    """
    bare = (
        " ".join(text.split()).strip("[](){}<> ")
        if text.count("(") != 1 or text.startswith("(")
        else " ".join(text.split())
    )
    low = bare.lower()
    if low in WRITTEN:
        return WRITTEN[low], ()
    if low in BARE_PRESSURES:
        return "", tuple(f"{BARE_PRESSURES[low]} {reference}" for reference in REFERENCES)
    try:
        unit = unit_named(bare)
    except UnitError:
        return "", ()
    return (unit.name, ()) if unit.name in UNITS and not unit.quantity.endswith("difference") else ("", ())


def is_unit(text: str) -> bool:
    """Whether a cell of a header is a unit, with or without its reference."""
    unit, choices = stated(text)
    return bool(unit or choices)


def in_heading(heading: str) -> str:
    """The unit that stands in a heading: ``TC 1 [°C]``, ``Part TC 1 (degF)``, ``P / bar``, ``T_degC``; '' for none."""
    for pattern in (
        r"\[([^\]]+)\]\s*$",
        r"\(([^()]+(?:\([ag]\))?)\)\s*$",
        r"(?:/|,|;)\s*(\S+(?: \S+)?)\s*$",
        r"[ _](°?\w+)\s*$",
    ):
        found = re.search(pattern, heading)
        if found and is_unit(found[1]) and (pattern.startswith((r"\[", r"\(")) or _measures(found[1])):
            return found[1]
    return ""


def _measures(text: str) -> bool:
    """Whether a text without brackets around it is surely a unit: of a temperature or a pressure, with more than one letter."""
    unit, choices = stated(text)
    return len(text) > 1 and (bool(choices) or UNITS[unit].quantity in ("temperature", "pressure"))
