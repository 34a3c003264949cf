"""At event: a signal's value at an event lies within limits. Manual page: docs/requirements/at-event.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import AtEvent
from curewright.understand.forms import common

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "event": "the event at which the signal is read",
    "signal": common.FIELD_SIGNAL,
    "within": common.FIELD_WITHIN,
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("event", "within")
SENTENCES = (
    *common.AT_EVENT,
    *common.WHY,
)


def read(form: FormFields) -> AtEvent:
    """The form from its fields."""
    event = form.event("event")
    heard = form.signal()
    measure = heard.measure if heard else None
    limits = form.limits(measure)
    ours = form.finish(common.unit_of(limits, measure))
    assert heard is not None
    return AtEvent(**ours, event=event, signal=heard.signal, limits=limits)


def tree(form: AtEvent) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    fields: dict[str, Tree | None] = {
        "event": form.event,
        "signal": common.signal_tree(form),
        "within": form.limits.written,
    }
    return common.form_tree(form, fields)
