"""Exposure: something added up over all runs of a part, earlier ones from their verdicts. Manual page: docs/requirements/exposure.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Exposure
from curewright.text.fields import one_of
from curewright.text.quantities import COUNT
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

CURES, TIME = "cures", "time"
FIELDS = {
    "for each": "part, or each thermocouple of a part",
    "of": "cures (runs in which the phase began), or time (in which the condition held)",
    "from": common.FIELD_FROM,
    "to": common.FIELD_TO,
    "runs while": "the condition in which the time counts (time only)",
    "within": "the limits: a number of cures, or a time",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("of", "from", "to", "within")
SENTENCES = (
    Sentence("For each {for each}, over all runs of the part, the {of} from {from!q} to {to!q} must be {within}."),
    Sentence("The time counts while {runs while}."),
    *common.WHY,
)


def read(form: FormFields) -> Exposure:
    """The form from its fields."""
    of = form.fields.required("of", one_of(CURES, TIME))
    phase = form.phase()
    runs_while = form.condition("runs while", None)
    where = form.fields.place
    if of == TIME and "runs while" not in form.fields:
        choices = ("runs while: (a condition)", "of: cures")
        form.fields.refuse(
            AmbiguousClause("an exposure in time that does not say when it counts", choices=choices, where=where)
        )
    if of == CURES and "runs while" in form.fields:
        place = form.fields.place_of("runs while")
        form.fields.refuse(FileError("'runs while' where cures are counted", expected="'of: time'", where=place))
    if form.thing in ("bag", "vessel", "air thermocouple"):
        place = form.fields.place_of("for each")
        form.fields.refuse(FileError(f"an exposure of each {form.thing}", expected="'for each: part'", where=place))
    measure = form.setting.measure("time") if of == TIME else COUNT
    limits = form.limits(measure if of else None)
    ours = form.finish(common.unit_of(limits, measure))
    return Exposure(**ours, of=of, phase=phase, runs_while=runs_while, limits=limits)


def tree(form: Exposure) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    return common.form_tree(
        form,
        {
            "of": form.of,
            **common.phase_tree(form.phase),
            "runs while": common.while_tree(form.runs_while, None),
            "within": form.limits.written,
        },
    )
