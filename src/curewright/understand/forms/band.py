"""Band: a signal stays within limits over a phase. Manual page: docs/requirements/band.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import Band
from curewright.understand.forms import common

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "signal": common.FIELD_SIGNAL,
    "from": common.FIELD_FROM,
    "to": common.FIELD_TO,
    "within": common.FIELD_WITHIN,
    "while": common.FIELD_WHILE,
    "except": common.FIELD_EXCEPT,
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("from", "to", "within")
SENTENCES = (
    *common.STAYS,
    common.WHILE,
    common.OUTSIDE,
    *common.WHY,
)


def read(form: FormFields) -> Band:
    """The form from its fields."""
    heard = form.signal()
    measure = heard.measure if heard else None
    phase = form.phase()
    limits = form.limits(measure)
    while_ = form.condition_on("while", heard)
    allowance = form.allowance(measure)
    form.choices.extend(["'while'"] if while_ is not None else [])
    ours = form.finish(common.unit_of(limits, measure))
    assert heard is not None
    return Band(**ours, signal=heard.signal, phase=phase, limits=limits, allowance=allowance, while_=while_)


def tree(form: Band) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    return common.form_tree(
        form,
        {
            "signal": common.signal_tree(form),
            **common.phase_tree(form.phase),
            "within": form.limits.written,
            "while": common.while_tree(form.while_, form.signal),
            "except": common.allowance_tree(form.allowance),
        },
    )
