"""What the local atmosphere makes impossible: no bag holds more vacuum than there is air outside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import Unattainable
from curewright.terms.requirement import AtEvent, Band, Duration, LeakCheck
from curewright.terms.units import UNITS
from curewright.understand.conditions import comparisons

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.errors import Place
    from curewright.terms.requirement import Condition, Limits, Requirement, Specification
    from curewright.terms.units import Unit

_TODO = "cure where the air pressure allows it, or have the limit changed by those who own the specification"
_LOWEST = {"gauge": -1.0, "absolute": 0.0}  # the lowest pressure that there is, in local atmospheres


def attainable(specification: Specification, barometer_grains: float) -> list[Unattainable]:
    """Everything in a specification that cannot be at this local pressure (mPa absolute); an empty list where all can.

    Looked at are limits on a pressure or vacuum: of requirements, starting vacuum, clocks and events.
    """
    found = []
    for event in specification.events:
        for limits in _of_conditions(source.condition for source in event.sources):
            if impossible(limits, barometer_grains):
                what = f"the event '{event.name}' can never be: {limits.written}"
                found.append(_error(what, limits, barometer_grains, event.place))
    for clause in specification.clauses:
        for form in clause.forms:
            for limits in _impossible_in(form, barometer_grains):
                found.append(_error(f"'{form.name}' asks for {limits.written}", limits, barometer_grains, form.place))
    return found


def why_impossible(form: Requirement, barometer_grains: float) -> str:
    """Why a form can never be met at this local pressure (mPa absolute), '' where it can: the first of its limits that cannot be.

    This is what the judge says of a run that was made all the same; before the run :func:`attainable` refuses it.
    """
    for limits in _impossible_in(form, barometer_grains):
        written = limits.written or str(limits.low or limits.high)
        return f"{written} is impossible here: {_at_most_there_is(limits, barometer_grains)}"
    return ""


def _of_conditions(conditions: Iterator[Condition | None]) -> Iterator[Limits]:
    for condition in conditions:
        for each in comparisons(condition):
            yield each.limits


def _impossible_in(form: Requirement, barometer: float) -> list[Limits]:
    """The limits of a form that cannot be met; of a duration only where no way can be."""
    if isinstance(form, Duration):
        ways = [_impossible_way(way.clock.runs_while, barometer) for way in form.alternatives]
        return [limits for way in ways for limits in way] if all(ways) else []
    asked: tuple[Limits | None, ...] = ()
    if isinstance(form, Band | AtEvent):
        asked = (form.limits,)
    elif isinstance(form, LeakCheck):
        asked = (form.starting, form.pressure_inside)
    return [limits for limits in asked if limits is not None and impossible(limits, barometer)]


def _impossible_way(runs_while: Condition | None, barometer: float) -> list[Limits]:
    return [each.limits for each in comparisons(runs_while) if impossible(each.limits, barometer)]


def impossible(limits: Limits, barometer: float) -> bool:
    """Whether no pressure at this barometer can be within limits; limits on anything but a pressure never are."""
    low, high = limits.low, limits.high
    if low is not None and low.unit.reference == "vacuum":
        return low.grains > barometer or (limits.low_open and low.grains == barometer)
    if high is not None and high.unit.reference in _LOWEST:
        lowest = _LOWEST[high.unit.reference] * barometer
        return high.grains < lowest or (limits.high_open and high.grains == lowest)
    return False


def _error(what: str, limits: Limits, barometer: float, where: Place | None) -> Unattainable:
    return Unattainable(f"{what}, but {_at_most_there_is(limits, barometer)}", where=where, remedy=_TODO)


def _at_most_there_is(limits: Limits, barometer: float) -> str:
    unit = next(level.unit for level in (limits.low, limits.high) if level is not None)
    kilopascal = UNITS["kPa absolute"].from_grains(barometer)
    return f"{_all_there_is(unit, barometer)} at {kilopascal:.2f} kPa absolute"


def _all_there_is(unit: Unit, barometer: float) -> str:
    if unit.reference == "vacuum":
        return f"{_four_digits(unit.from_grains(barometer))} {unit.name} is all there is"
    lowest = unit.from_grains(_LOWEST[unit.reference or ""] * barometer)
    return f"{_four_digits(lowest)} {unit.name} is the lowest there is"


def _four_digits(number: float) -> str:
    return f"{number:.0f}" if abs(number) >= 1000 else f"{number:.4g}"
