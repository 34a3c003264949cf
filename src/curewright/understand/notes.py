"""What the reading-back explains beside the exact sentences: limits in other units, dips and returns, clocks, definitions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import (
    AtEvent,
    Band,
    Computed,
    Count,
    Duration,
    Exposure,
    LeakCheck,
    Limits,
    Order,
    Rate,
    Recording,
    Spread,
)
from curewright.terms.units import UNITS, Quantity
from curewright.text.quantities import decimal_text, unit_text
from curewright.understand.events import leaves

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.terms.requirement import Clause, Event, Requirement, Source, Specification
    from curewright.terms.units import Unit

# The unit in which a level is told a second time, and the decimals that are worth telling.
_SECOND = {
    "degF": ("degC", 2),
    "degC": ("degF", 2),
    "degF difference": ("degC difference", 2),
    "degC difference": ("degF difference", 2),
    "degF/min": ("degC/min", 2),
    "degC/min": ("degF/min", 2),
    "psi gauge": ("kPa gauge", 1),
    "psi absolute": ("kPa absolute", 1),
    "psi difference": ("kPa difference", 1),
    "bar gauge": ("psi gauge", 1),
    "bar absolute": ("psi absolute", 1),
    "bar difference": ("psi difference", 1),
    "inHg of vacuum": ("kPa of vacuum", 2),
    "inHg difference": ("kPa difference", 2),
    "mbar of vacuum": ("inHg of vacuum", 2),
    "mbar difference": ("inHg difference", 2),
}
_FIRST = (
    "'the first time': the first start of it counts; if the signal comes back and does it again, that changes nothing."
)
_FOR_GOOD = "'for good': from then on it holds to the end of the record; where the signal comes back before that, it was not yet it."
_STAY = "It must hold that long without a break; the instant is the start of the stay. A shorter visit is passed over."
_NO_STAY = "It need not hold for any time: touching the level once is enough."
_INFERRED = "An inferred event cannot tell a command from an accident (a pump that trips, a leak); the record says that it was inferred."
_ENTRY = "A hand entry counts with its time and uncertainty, and is marked where it decides."
_LEAVES = {
    "restarts": "When the signal leaves, the time so far is lost: the longest unbroken stretch counts.",
    "pauses": "When the signal leaves, the clock stops and goes on when it returns: all stretches are added.",
    "runs on": "The clock does not stop: the time from event to event counts, wherever the signal is.",
}
_MAXIMUM = "A longest time is always held against the elapsed time, from event to event."
_RATES = {
    "least squares": "A straight line is fitted to all samples of every window that lies wholly in the phase.",
    "end points": "The first and the last value of every window that lies wholly in the phase are taken.",
    "between levels": "The time from first reaching the one level to first reaching the other after it is taken, once.",
    "whole phase": "The first and the last value of the phase are taken, once.",
    "sample to sample": "Every pair of neighbouring samples is taken; the resolution of the recorder counts fully.",
}
_WINDOWS = {
    "first": "Only the first window after settling is looked at; what the bag loses later is not.",
    "worst": "Every window of that length in the isolated time is looked at.",
    "whole": "The isolated time is looked at as a whole.",
}


# ------------------------------------------------------------------------------------------------------------ the whole file
def counts(specification: Specification) -> tuple[str, ...]:
    """How many clauses are judged by the program, by a person, and how many are not covered or not wholly."""
    clauses = specification.clauses
    program = sum(bool(clause.forms) for clause in clauses)
    person = sum(clause.by_person is not None for clause in clauses)
    wholly = sum(clause.not_covered is not None and not clause.forms and clause.by_person is None for clause in clauses)
    partly = sum(clause.not_covered is not None for clause in clauses) - wholly
    illustrative = sum(clause.illustrative is not None for clause in clauses)
    more = f"; of {partly} more a part is not covered" if partly else ""
    found = [f"{len(clauses)} clauses: {program} judged by program, {person} by a person, {wholly} not covered{more}."]
    if illustrative:
        found.append(f"Clauses with figures that were invented for an example: {illustrative}.")
    return tuple(found)


def rule_notes(specification: Specification) -> tuple[str, ...]:
    """What the rules at the head mean for what is unknown."""
    found = ["What lies in a larger gap is unknown, and unknown never helps a part."]
    if specification.comparison.method == "rounding":
        found.append(
            "Rounding is half to even, on the value in the unit of the requirement. Events use unrounded values."
        )
    if specification.decision.rule == "guard":
        kinds = " and ".join(width.unit.quantity.removesuffix(" difference") for width in specification.decision.widths)
        found.append(
            f"Limits on {kinds} are tightened by the guard band; others are held as they are. Events never shift."
        )
    if specification.lost.may_set_aside:
        found.append("A lost thermocouple that decided the signal when it was lost is never set aside by the rule.")
    else:
        found.append("A lost thermocouple leaves its group unknown, unless a named person sets it aside with a reason.")
    if not specification.second_recorder.allowed:
        found.append("A gap of the first recorder stays unknown, whatever a second one shows.")
    return tuple(found)


# --------------------------------------------------------------------------------------------------------------------- events
def event_notes(event: Event) -> tuple[str, ...]:
    """What an event does when its signal dips and returns, and how sure its source is."""
    found: list[str] = []
    for source in event.sources:
        found.extend(note for note in _source_notes(source) if note not in found)
    return tuple(found)


def _source_notes(source: Source) -> tuple[str, ...]:
    if source.by == "entry":
        return (_ENTRY,)
    found = [_FOR_GOOD if source.which == "for good" else _FIRST]
    if source.stays:
        found.append(_STAY)
    elif source.which == "first" and (source.by == "inferred" or leaves(source.condition)):
        found.append(_NO_STAY)
    if source.by == "inferred":
        found.append(_INFERRED)
    return tuple(found)


# ---------------------------------------------------------------------------------------------------------------------- forms
def clause_notes(clause: Clause) -> tuple[str, ...]:
    """What conditions on the part do."""
    if not clause.for_parts:
        return ()
    return ("For other parts it is not applicable; where nobody stated the attribute it is not shown.",)


def form_notes(form: Requirement) -> tuple[str, ...]:
    """The limits once more in other words and units, and what the choices of the form do."""
    match form:
        case Band() | Spread() | AtEvent() | Computed() | Exposure() | Recording() | Count():
            return limit_notes(form.limits)
        case Rate():
            return (*limit_notes(form.limits), _RATES[form.definition.kind], *_cooling(form))
        case Order():
            return () if form.limits is None else limit_notes(form.limits)
        case LeakCheck():
            return (*limit_notes(form.loses), _WINDOWS[form.window_rule], *_isolated(form))
        case Duration():
            return _duration_notes(form)


def _cooling(form: Rate) -> tuple[str, ...]:
    return ("The rate is of falling: a fall counts as positive.",) if form.sense == "falling" else ()


def _isolated(form: LeakCheck) -> tuple[str, ...]:
    if form.opened is not None:
        return ()
    return ("It counts as isolated to the end of the hand entry, or as long as the state shows it.",)


def _duration_notes(form: Duration) -> tuple[str, ...]:
    found: list[str] = []
    for way in form.alternatives:
        for note in (*limit_notes(way.limits), _LEAVES[way.clock.when_it_leaves]):
            if note not in found:
                found.append(note)
    if any(way.limits.high is not None or way.limits.high_attribute for way in form.alternatives):
        found.append(_MAXIMUM)
    return tuple(found)


def limit_notes(limits: Limits) -> tuple[str, ...]:
    """Both ends of a toleranced limit, so that +15/-0 cannot be misread, and the same in another unit."""
    levels = [level for level in (limits.low, limits.high) if level is not None]
    ends = _ends([decimal_text(level.number) for level in levels], limits)
    found = []
    if levels and ("±" in limits.written or "/-" in limits.written):
        found.append(f"that is {ends} {unit_text(levels[0].unit)}, both ends included")
    second = _SECOND.get(levels[0].unit.name) if levels else None
    if second is not None:
        unit = UNITS[second[0]]
        numbers = [in_other_unit(level, unit, second[1]) for level in levels]
        apart = " of difference" if levels[0].unit.quantity == "temperature difference" else ""
        found.append(f"in other units {_ends(numbers, limits)} {unit_text(unit)}{apart}")
    return tuple(f"{each[0].upper()}{each[1:]}." for each in found)


def _ends(numbers: Iterable[str], limits: Limits) -> str:
    shown = list(numbers)
    if len(shown) == 2:
        return " to ".join(shown)
    return f"{_side(limits)} {shown[0]}" if shown else ""


def _side(limits: Limits) -> str:
    if limits.low is not None:
        return "above" if limits.low_open else "at least"
    return "below" if limits.high_open else "at most"


def in_other_unit(level: Quantity, unit: Unit, decimals: int) -> str:
    """A level in another unit of the same quantity and reference, rounded to so many decimals."""
    number = unit.from_grains(level.grains)
    return f"{number:.{decimals}f}"
