"""What can only be seen in a specification as a whole: events in circles, places of rounding that are missing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.units import UNITS
from curewright.text.quantities import difference_of
from curewright.understand.conditions import comparisons
from curewright.understand.things import line_of, parts_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.errors import CurewrightError
    from curewright.terms.requirement import Event, Specification


def errors_in(specification: Specification) -> tuple[CurewrightError, ...]:
    """All that is wrong with a specification whose events and clauses could each be read."""
    return (*_circles(specification), *_owners(specification), *_places_of_rounding(specification))


# --------------------------------------------------------------------------------------------------------------------- events
def events_needed(event: Event) -> tuple[str, ...]:
    """The events that have to be known before this one."""
    computed = tuple(
        signal.computed.starts
        for source in event.sources
        for each in comparisons(source.condition)
        for signal in parts_of(each.signal)
        if signal.computed is not None
    )
    return (() if event.after is None else (event.after,)) + computed


def _circles(specification: Specification) -> Iterator[CurewrightError]:
    needed = {event.name: events_needed(event) for event in specification.events}
    reported: set[str] = set()
    for event in specification.events:
        circle = _circle_from(event.name, needed)
        if circle and event.name not in reported:
            reported.update(circle)
            shown = " → ".join((*circle, circle[0]))
            found = f"events that wait for each other: {shown}"
            yield FileError(found, expected="an event that does not need itself", where=event.place)


def _circle_from(name: str, needed: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The events on the way from an event back to itself; none where it does not lead back."""
    paths: list[tuple[str, ...]] = [(name,)]
    while paths:
        path = paths.pop()
        for each in needed.get(path[-1], ()):
            if each == name:
                return path
            if each not in path:
                paths.append((*path, each))
    return ()


def _owners(specification: Specification) -> Iterator[CurewrightError]:
    """An event can only wait for an event of the same thing, or of something that the thing belongs to."""
    whose = {event.name: event.for_each for event in specification.events}
    for event in specification.events:
        for name in events_needed(event):
            owner = whose.get(name, "vessel")
            if owner not in line_of(event.for_each):
                found = (
                    f"'{event.name}' is for each {event.for_each}, but waits for '{name}', which is for each {owner}"
                )
                yield AmbiguousClause(
                    found, choices=(f"for each: {owner}", f"an event for each {event.for_each}"), where=event.place
                )


# ------------------------------------------------------------------------------------------------------------------- rounding
def _places_of_rounding(specification: Specification) -> Iterator[CurewrightError]:
    """Where values are rounded, every unit in which something is judged has its place."""
    comparison = specification.comparison
    if comparison.method == "absolute":
        return
    stated = {difference_of(place.unit).name for place in comparison.places}
    for clause in specification.clauses:
        for form in clause.forms:
            if form.unit != UNITS["count"] and difference_of(form.unit).name not in stated:
                found = f"'{form.name}' is judged in {form.unit.name}, to which no place of rounding is stated"
                choices = (f"comparison: rounding to …, 1 {form.unit.name}", "comparison: absolute")
                yield AmbiguousClause(found, choices=choices, where=form.place)
