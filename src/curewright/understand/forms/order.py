"""Order: one event comes at or before another, within a time if one is stated. Manual page: docs/requirements/order.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import Order
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence

if TYPE_CHECKING:
    from curewright.terms.requirement import Limits
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "first": "the event that comes first, or at the same instant",
    "then": "the event that comes after it",
    "within": "limits on the time between them; without it any time will do",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("first", "then")
SENTENCES = (
    Sentence("For each {for each}, {first!q} must come before {then!q}, or at the same instant."),
    Sentence("The time between them must be {within}."),
    *common.WHY,
)


def read(form: FormFields) -> Order:
    """The form from its fields."""
    first, then = form.event("first"), form.event("then")
    measure = form.setting.measure("time")
    limits: Limits | None = form.fields.optional("within", common.limits_reader(measure), None)
    ours = form.finish(common.unit_of(limits, measure) or common.MINUTES)
    return Order(**ours, first=first, then=then, limits=limits)


def tree(form: Order) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    within = form.limits.written if form.limits is not None else None
    return common.form_tree(form, {"first": form.first, "then": form.then, "within": within})
