"""Concessions: a limit changed for one serial by an authority, as an overlay; the original outcome stays visible."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import Duration, LeakCheck

if TYPE_CHECKING:
    from curewright.terms.load import Concession, Part
    from curewright.terms.requirement import Clause, Limits, Requirement, Specification


def conceded(part: Part, clause: Clause, form: Requirement) -> Concession | None:
    """The concession of a part for one form of a clause, None where there is none."""
    return next((c for c in part.concessions if (c.clause, c.form) == (clause.number, form.name)), None)


def with_limits(form: Requirement, limits: Limits) -> Requirement:
    """A form with other limits: those of its value, time or loss. Raises :class:`CurewrightError` where it has several, or other units."""
    if isinstance(form, Duration):
        if len(form.alternatives) > 1:
            raise CurewrightError(
                f"a concession on '{form.name}' does not say which of its {len(form.alternatives)} alternatives it changes",
                expected="a requirement with one limit",
                remedy="write the conceded alternative into a revision of the specification",
            )
        (only,) = form.alternatives
        _same_quantity(form, only.limits, limits)
        return replace(form, alternatives=(replace(only, limits=limits),))
    if isinstance(form, LeakCheck):
        _same_quantity(form, form.loses, limits)
        return replace(form, loses=limits)
    if form.limits is None:
        raise CurewrightError(
            f"a concession on '{form.name}', which has no limit to change",
            expected="a requirement with a limit",
            remedy="correct the concession in the load",
        )
    _same_quantity(form, form.limits, limits)
    return replace(form, limits=limits)


def _same_quantity(form: Requirement, own: Limits, other: Limits) -> None:
    wanted = {quantity.unit.quantity for quantity in (own.low, own.high) if quantity is not None}
    given = {quantity.unit.quantity for quantity in (other.low, other.high) if quantity is not None}
    if wanted and given and not given <= wanted:
        raise CurewrightError(
            f"a concession on '{form.name}' is stated as {' and '.join(sorted(given))}",
            expected=" and ".join(sorted(wanted)),
            remedy="state it in a unit of that quantity",
        )


def check_concessions(part: Part, specification: Specification) -> None:
    """Raises :class:`CurewrightError` for a concession that names no form of the specification, or cannot be laid over it."""
    forms = {(clause.number, form.name): form for clause in specification.clauses for form in clause.forms}
    for concession in part.concessions:
        form = forms.get((concession.clause, concession.form))
        if form is None:
            raise CurewrightError(
                f"part {part.serial} has a concession for clause {concession.clause} '{concession.form}', "
                f"which {specification.number} lacks",
                expected="one of: " + ", ".join(f"{number} '{name}'" for number, name in forms),
                remedy="correct the concession in the load",
            )
        with_limits(form, concession.limits)
