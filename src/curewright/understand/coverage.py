"""Which stretches of a run no clause looks at: a reading of the specification alone, before there is any run.

Events are put in the order in which the specification lets them follow each other; a form covers the stretches between its two
events. What only a condition narrows (``while``, ``for parts``) is told as covered in part.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from curewright.terms.requirement import (
    RECORD_ENDS,
    RECORD_STARTS,
    Band,
    Computed,
    Duration,
    LeakCheck,
    Order,
    Phase,
    Rate,
    Spread,
)
from curewright.understand.checks import events_needed
from curewright.understand.things import groups_in, groups_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.requirement import Clause, Requirement, Specification

LOOKED_AT = {
    "part temperature": "part thermocouple",
    "vessel pressure": "vessel pressure",
    "bag vacuum": "bag vacuum",
}
UPPER = "the upper limit of part temperature"


@dataclass(frozen=True)
class Uncovered:
    """A stretch between two events over which no clause looks at a quantity; ``partly`` names clauses that do so in part."""

    quantity: str
    start: str
    end: str
    partly: tuple[str, ...] = ()

    def __str__(self) -> str:
        text = f"No clause looks at {self.quantity} from '{self.start}' to '{self.end}'"
        return f"{text}, except in part: {', '.join(self.partly)}." if self.partly else f"{text}."


def uncovered(specification: Specification) -> tuple[Uncovered, ...]:
    """The stretches of the run, in the order of the specification's events, over which no clause looks at a quantity."""
    order = event_order(specification)
    return tuple(
        each for quantity in (*LOOKED_AT, UPPER) for each in _joined(_stretches(specification, quantity, order))
    )


def event_order(specification: Specification) -> tuple[str, ...]:
    """All events from the start of the record to its end: what has to be earlier first, else in the order of the file."""
    earlier = _earlier(specification)
    left = [event.name for event in specification.events]
    order: list[str] = []
    while left:
        name = next((each for each in left if not (earlier[each] & set(left) - {each})), left[0])
        left.remove(name)
        order.append(name)
    return (RECORD_STARTS, *order, RECORD_ENDS)


def _earlier(specification: Specification) -> dict[str, set[str]]:
    """For every event those that come before it: what it waits for, phases and required orders."""
    earlier: dict[str, set[str]] = {event.name: set(events_needed(event)) for event in specification.events}
    for clause in specification.clauses:
        for form in clause.forms:
            pairs = [(phase.start, phase.end) for phase in phases_of(form)]
            pairs += [(form.first, form.then)] if isinstance(form, Order) else []
            for first, then in pairs:
                if then in earlier and then not in _all_before(first, earlier):
                    earlier[then].add(first)
    return earlier


def _all_before(name: str, earlier: dict[str, set[str]]) -> set[str]:
    found: set[str] = set()
    waiting = [name]
    while waiting:
        for each in earlier.get(waiting.pop(), ()):
            if each not in found:
                found.add(each)
                waiting.append(each)
    return found


def phases_of(form: Requirement) -> tuple[Phase, ...]:
    """The phases over which a form looks at something; none for a form that looks at instants or counts."""
    match form:
        case Band() | Spread() | Rate():
            return (form.phase,)
        case Duration():
            return tuple(way.phase for way in form.alternatives)
        case Computed(phase=Phase() as phase):
            return (phase,)
        case LeakCheck(closed=closed, opened=str() as opened):
            return (Phase(closed, opened),)
        case _:
            return ()


def _roles(form: Requirement) -> set[str]:
    match form:
        case Band() | Spread() | Rate() | Computed() | LeakCheck():
            return {group.role for group in groups_of(form.signal)}
        case Duration():
            return {group.role for way in form.alternatives for group in groups_in(way.clock.runs_while)}
        case _:
            return set()


def _looks(form: Requirement, quantity: str) -> bool:
    if quantity == UPPER:
        plain = isinstance(form, Band) and form.signal.minus is None and form.signal.computed is None
        return plain and "part thermocouple" in _roles(form) and bool(form.limits.high or form.limits.high_attribute)  # type: ignore[union-attr]
    return LOOKED_AT[quantity] in _roles(form)


def _stretches(specification: Specification, quantity: str, order: tuple[str, ...]) -> Iterator[Uncovered]:
    """Each stretch between neighbouring events that is not covered, with the clauses that cover it in part."""
    place = {name: number for number, name in enumerate(order)}
    for number, (start, end) in enumerate(pairwise(order)):
        partly: list[str] = []
        wholly = False
        for clause in specification.clauses:
            for form in clause.forms:
                here = any(place[phase.start] <= number < place[phase.end] for phase in phases_of(form))
                if here and _looks(form, quantity):
                    narrowed = _narrowed(form, clause)
                    wholly = wholly or not narrowed
                    partly += [f"clause {clause.number}"] if narrowed else []
        if not wholly:
            yield Uncovered(quantity, start, end, tuple(dict.fromkeys(partly)))


def _narrowed(form: Requirement, clause: Clause) -> bool:
    narrowed = isinstance(form, Band | Spread | Rate) and form.while_ is not None
    return narrowed or bool(clause.for_parts)


def _joined(stretches: Iterator[Uncovered]) -> list[Uncovered]:
    """Neighbouring stretches that are alike as one."""
    found: list[Uncovered] = []
    for each in stretches:
        if found and found[-1].end == each.start and found[-1].partly == each.partly:
            found[-1] = Uncovered(each.quantity, found[-1].start, each.end, each.partly)
        else:
            found.append(each)
    return found
