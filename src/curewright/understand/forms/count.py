"""Count: so many sensors of a group are known over a phase, or stand on the map. Manual page: docs/requirements/count.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import FileError
from curewright.terms.requirement import Count, Group
from curewright.text.fields import one_of, phrase
from curewright.text.quantities import COUNT
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence
from curewright.understand.signals import group_text, read_group

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

WORKING, ON_THE_MAP, PORTS = "working sensors", "sensors on the map", "vacuum ports"
FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "of": f"{WORKING} (known at every instant of the phase), {ON_THE_MAP}, or {PORTS}",
    "group": "which sensors: part thermocouple, bag vacuum, …",
    "from": common.FIELD_FROM + f" ({WORKING} only)",
    "to": common.FIELD_TO + f" ({WORKING} only)",
    "within": "how many, such as at least 3",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("of", "group", "within")
SENTENCES = (
    Sentence("For each {for each}, the number of {of} of the group {group} must be {within} from {from!q} to {to!q}."),
    Sentence("For each {for each}, the number of {of} of the group {group} must be {within}."),
    *common.WHY,
)


def read(form: FormFields) -> Count:
    """The form from its fields."""
    of = form.fields.required("of", one_of(WORKING, ON_THE_MAP, PORTS))
    group: Group | None = form.fields.required("group", phrase(read_group))
    if group is not None:
        form.groups.append(group)
    phase = form.phase() if of == WORKING else None
    if of == PORTS and group is not None and group.role != "bag vacuum":
        where = form.fields.place_of("group")
        form.fields.refuse(FileError(f"vacuum ports of a {group.role}", expected="'group: bag vacuum'", where=where))
    limits = form.limits(COUNT)
    ours = form.finish(common.COUNT)
    assert group is not None
    return Count(**ours, of=of, group=group, phase=phase, limits=limits)


def tree(form: Count) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    phase = common.phase_tree(form.phase) if form.phase else {}
    return common.form_tree(
        form, {"of": form.of, "group": group_text(form.group), **phase, "within": form.limits.written}
    )
