"""Recording: the time between neighbouring good samples stays within limits. Manual page: docs/requirements/recording.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import Group, Recording
from curewright.text.fields import phrase
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence
from curewright.understand.signals import group_text, read_group

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "group": "which sensors: part thermocouple, bag vacuum, …",
    "from": common.FIELD_FROM,
    "to": common.FIELD_TO,
    "within": "the time between neighbouring good samples, such as at most 2 min",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("group", "from", "to", "within")
SENTENCES = (
    Sentence(
        "For each {for each}, the time between neighbouring good samples of the group {group} must be {within} "
        "from {from!q} to {to!q}."
    ),
    *common.WHY,
)


def read(form: FormFields) -> Recording:
    """The form from its fields."""
    group: Group | None = form.fields.required("group", phrase(read_group))
    if group is not None:
        form.groups.append(group)
    phase = form.phase()
    measure = form.setting.measure("time")
    limits = form.limits(measure)
    ours = form.finish(common.unit_of(limits, measure))
    assert group is not None
    return Recording(**ours, group=group, phase=phase, limits=limits)


def tree(form: Recording) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    fields: dict[str, Tree | None] = {
        "group": group_text(form.group),
        **common.phase_tree(form.phase),
        "within": form.limits.written,
    }
    return common.form_tree(form, fields)
