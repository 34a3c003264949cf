"""Whose requirement it is: the things that are judged, and which of them another thing can look up to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause
from curewright.understand.conditions import comparisons, state_channels

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.terms.errors import Place
    from curewright.terms.requirement import Condition, Group, Signal

# Each thing is part of the next one: a thermocouple of its part, a part of its bag, a bag of the vessel.
BELONGS_TO = {
    "part thermocouple": "part",
    "tool thermocouple": "part",
    "part": "bag",
    "bag": "vessel",
    "air thermocouple": "vessel",
}
_VESSEL_GROUPS = ("vessel pressure", "air thermocouple")
_CHOICES = ("for each: part", "for each: bag", "for each: part thermocouple", "for each: vessel")


def line_of(thing: str) -> tuple[str, ...]:
    """A thing and all that it belongs to, up to the vessel."""
    found = [thing]
    while found[-1] in BELONGS_TO:
        found.append(BELONGS_TO[found[-1]])
    return tuple(found)


def parts_of(signal: Signal) -> tuple[Signal, ...]:
    """A signal alone, or both signals of a difference."""
    return (signal,) if signal.minus is None else (signal, signal.minus)


def groups_of(signal: Signal) -> tuple[Group, ...]:
    """The groups of sensors that a signal is made of."""
    return tuple(part.group for part in parts_of(signal))


def groups_in(condition: Condition | None) -> tuple[Group, ...]:
    """The groups of sensors that a condition looks at."""
    compared = tuple(group for each in comparisons(condition) for group in groups_of(each.signal))
    return compared + tuple(each.group for each in state_channels(condition))


def settled_thing(thing: str | None, groups: Iterable[Group], events: Iterable[str], place: Place) -> str:
    """The thing judged; it may be left out only where nothing but the vessel itself is looked at (``events``: whose they are)."""
    if thing is not None:
        return thing
    roles = [group.role for group in groups]
    if roles and all(role in _VESSEL_GROUPS for role in roles) and all(each == "vessel" for each in events):
        return "vessel"
    raise AmbiguousClause("no 'for each': it is not said what this is judged for", choices=_CHOICES, where=place)
