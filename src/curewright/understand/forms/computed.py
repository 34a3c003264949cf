"""Computed: degree of cure, glass transition or viscosity by a card, at an event or over a phase. Manual: docs/requirements/computed.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Computed
from curewright.understand.forms import common

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "signal": "degree of cure of SIGNAL by card NAME revision REVISION from EVENT starting at NUMBER [not] named by the specification",
    "event": "the event at which it is read",
    "from": common.FIELD_FROM + " (instead of an event)",
    "to": common.FIELD_TO + " (instead of an event)",
    "within": common.FIELD_WITHIN,
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("signal", "within")
SENTENCES = (
    common.AT_EVENT[0],
    common.STAYS[0],
    *common.WHY,
)


def read(form: FormFields) -> Computed:
    """The form from its fields."""
    heard = form.signal()
    if heard is not None and heard.signal.computed is None:
        where = form.fields.place_of("signal")
        form.fields.refuse(
            FileError("a signal that is measured", expected="'degree of cure of …', by a card", where=where)
        )
    at_event, over_phase = "event" in form.fields, "from" in form.fields or "to" in form.fields
    if at_event == over_phase:
        choices = ("event: (at which it is read)", "from: and to: (over which it is judged)")
        found = "both an event and a phase" if at_event else "neither an event nor a phase"
        form.fields.refuse(AmbiguousClause(found, choices=choices, where=form.fields.place))
    event = form.optional_event("event")
    phase = form.phase() if over_phase else None
    measure = heard.measure if heard else None
    limits = form.limits(measure)
    ours = form.finish(common.unit_of(limits, measure))
    assert heard is not None
    return Computed(**ours, signal=heard.signal, event=event, phase=phase, limits=limits)


def tree(form: Computed) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    phase = common.phase_tree(form.phase) if form.phase else {}
    return common.form_tree(
        form,
        {"signal": common.signal_tree(form), "event": form.event, **phase, "within": form.limits.written},
    )
