"""Every choice of a specification that an outcome can hang on: the events that its clauses use, what clocks do, and forms with a reason.

A choice without ``because`` is one that nobody answers for in the file: it is told all the same, so that whoever audits a record sees it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, Because, Duration
from curewright.text.quantities import duration_text
from curewright.understand.checks import events_needed
from curewright.understand.events import source_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.requirement import Event, Requirement, Specification

UNSTATED = "no reason and approver stated"
EVENT_FIELDS = ("event", "first", "then", "closed", "opened")
RECORD = (RECORD_STARTS, RECORD_ENDS)


@dataclass(frozen=True)
class Choice:
    """What was chosen, of what (an event, or a clause's form), and by whose word; ``because`` None where none is stated."""

    what: str
    chosen: str
    because: Because | None


def choices(specification: Specification) -> tuple[Choice, ...]:
    """The events that a judged clause uses, in the order of the file, then what its forms choose."""
    used = events_used(specification)
    told = [one for one in specification.events if one.because or (one.name in used and not _as_named(one))]
    events = [Choice(one.name, event_words(one), one.because) for one in told]
    forms = [
        each for clause in specification.clauses for form in clause.forms for each in _of_form(clause.number, form)
    ]
    return (*events, *forms)


def events_used(specification: Specification) -> set[str]:
    """The names of all events that a judged clause uses, by itself or through other events."""
    needed = {event.name: events_needed(event) for event in specification.events}
    waiting = [name for clause in specification.clauses for form in clause.forms for name in _names_in(form)]
    used: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name in needed and name not in used:
            used.add(name)
            waiting.extend(needed[name])
    return used


def unanswered(event: Event, used: set[str]) -> bool:
    """Whether a clause uses an event for whose definition nobody answers."""
    return event.name in used and event.because is None and not _as_named(event)


def _as_named(event: Event) -> bool:
    """Whether an event is nothing but what its name says (*5 min after vent begins*): there is nothing to choose in it."""
    return not event.sources and event.name == f"{duration_text(event.delay)} after {event.after}"


def _names_in(noun: object) -> Iterator[str]:
    """The events that a form names: of its phases, of what it judges at, and of what it computes."""
    if isinstance(noun, tuple):
        for each in noun:
            yield from _names_in(each)
    for field in getattr(noun, "__dataclass_fields__", ()):
        found = getattr(noun, field)
        if isinstance(found, str) and field in (*EVENT_FIELDS, "start", "end", "starts"):
            yield found
        elif not isinstance(found, str):
            yield from _names_in(found)


def event_words(event: Event) -> str:
    """When an event is: each way in the order in which they are tried, the level with which of its crossings counts."""
    if not event.sources:
        return f"{duration_text(event.delay)} after '{event.after}'"
    ways = [f"{'inferred: ' * (source.by == 'inferred')}{source_text(source)}" for source in event.sources]
    after = f"; looked for after '{event.after}'" if event.after else ""
    later = f"; {duration_text(event.delay)} later than that" if event.delay else ""
    return f"{'; else '.join(ways)}{after}{later}"


def clock_words(form: Requirement) -> str:
    """What the clock of a duration does when its signal leaves; empty where no clock can be left."""
    if not isinstance(form, Duration):
        return ""
    ways = [way.clock.when_it_leaves for way in form.alternatives if way.clock.runs_while is not None]
    return "; ".join(f"when it leaves, the clock {how}" for how in dict.fromkeys(ways))


def _of_form(clause: str, form: Requirement) -> Iterator[Choice]:
    chosen = clock_words(form)
    if chosen or form.because:
        yield Choice(f"{clause} {form.name}", chosen, form.because)
