"""Whether a clause applies to a part, from the part's stated attributes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.limits import Pair, Threshold, written
from curewright.terms.units import Quantity
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from curewright.terms.load import Part
    from curewright.terms.requirement import AttributeCondition, Clause, Limits


def applies(clause: Clause, part: Part) -> tuple[Outcome | None, str]:
    """(None, '') where the clause applies, else the outcome that stands instead, and why.

    A condition that is surely not fulfilled: not applicable. One that needs an attribute nobody stated: not shown.
    """
    missing = ""
    for condition in clause.for_parts:
        stated = part.attribute(condition.attribute)
        if stated is None:
            missing = missing or f"attribute missing: '{condition.attribute}' of part {part.serial} is not stated"
        elif not _fulfilled(condition, stated):
            return (
                Outcome.NOT_APPLICABLE,
                f"{condition.attribute} of part {part.serial} is {stated}; the clause is for {_wanted(condition)}",
            )
    return (Outcome.NOT_SHOWN, missing) if missing else (None, "")


def _fulfilled(condition: AttributeCondition, stated: Quantity | str) -> bool:
    if condition.limits is None:
        return str(stated) in condition.equals
    return isinstance(stated, Quantity) and _pair(condition.limits).met(stated.grains)


def _pair(limits: Limits) -> Pair:
    low = None if limits.low is None else Threshold(limits.low.grains, limits.low_open)
    high = None if limits.high is None else Threshold(limits.high.grains, limits.high_open)
    return Pair(low, high)


def _wanted(condition: AttributeCondition) -> str:
    if condition.limits is None:
        return " or ".join(condition.equals)
    return written(condition.limits.low, condition.limits.high, condition.limits)
