"""Duration: a time to be spent, on a stated clock; one of several ways may be enough. Manual page: docs/requirements/duration.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Alternative, Clock, Duration
from curewright.text.fields import items, one_of, phrase
from curewright.text.yaml import Mapping, Node, mapping_of
from curewright.understand.conditions import comparisons
from curewright.understand.forms import common
from curewright.understand.forms.common import FormFields
from curewright.understand.sentences import Sentence
from curewright.understand.signals import heard_text, read_whole_signal

if TYPE_CHECKING:
    from curewright.terms.requirement import Condition
    from curewright.understand.setting import Heard
    from curewright.understand.tree import Tree

LEAVES = {"the clock restarts": "restarts", "the clock pauses": "pauses", "the clock runs on": "runs on"}
_LEAVES_TEXT = {value: words for words, value in LEAVES.items()}
FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "from": common.FIELD_FROM,
    "to": common.FIELD_TO,
    "clock of": "whose clock it is: a signal, such as coldest part thermocouple",
    "runs while": "the condition in which the clock counts, such as: it is at least 340 degF",
    "when it leaves": "the clock restarts (longest unbroken stretch), pauses (sum), or runs on (elapsed time)",
    "within": "the limits on the time",
    "except": "excursions that do not stop the clock: by at most, at a time, in all",
    "either": "several ways, each with these fields; one is enough",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ()
WAY_FIELDS = ("from", "to", "clock of", "runs while", "when it leaves", "within", "except")
_CLOCK_SENTENCES = (
    Sentence("The clock runs while {runs while}."),
    Sentence("When it leaves, {when it leaves}."),
    Sentence(
        "Excursions that do not stop it: by at most: {except.by at most}; at a time: {except.at a time}; in all: {except.in all}."
    ),
)
WAY_SENTENCES = (
    Sentence("The time from {from!q} to {to!q} on the clock of {clock of} must be {within}."),
    *_CLOCK_SENTENCES,
)
SENTENCES = (
    Sentence("For each {for each}, the time from {from!q} to {to!q} on the clock of {clock of} must be {within}."),
    Sentence("For each {for each}, one of these ways is enough."),
    *_CLOCK_SENTENCES,
    *common.WHY,
)
_OPEN = {
    "clock of": (
        "the duration does not say whose clock it is",
        ("clock of: coldest part thermocouple", "clock of: hottest part thermocouple"),
    ),
    "when it leaves": (
        "the duration does not say what happens when the signal leaves and returns",
        tuple(f"when it leaves: {how}" for how in LEAVES),
    ),
}


def read(form: FormFields) -> Duration:
    """The form from its fields; those that all ways share may be written once."""
    ways = form.fields.optional("either", items(lambda node: _way_of(node, form)), None)
    if ways is not None and len(ways) < 2:
        form.fields.refuse(
            FileError("'either' with less than two ways", expected="two or more", where=form.fields.place_of("either"))
        )
    if "either" in form.fields:
        form.fields.known.extend(WAY_FIELDS)
    else:
        ways = (_way(form),)
    ours = form.finish(None)
    assert ways is not None
    ours["unit"] = common.unit_of(ways[0].limits, None)
    return Duration(**ours, alternatives=ways)


def _way_of(node: Node, form: FormFields) -> Alternative:
    own = mapping_of(node, "a way")
    shared = tuple(
        (key, value) for key, value in form.fields.node.items if key.text in WAY_FIELDS and own.get(key.text) is None
    )
    inner = FormFields(form.name, Mapping(own.items + shared, own.place), form.setting)
    inner.thing, inner.setting = form.thing, form.setting
    way = _way(inner)
    inner.fields.known.remove("for each")
    inner.fields.known.remove("because")
    inner.fields.close()
    form.groups.extend(inner.groups)
    form.used.extend(inner.used)
    form.choices.extend(choice for choice in inner.choices if choice not in form.choices)
    return way


def _way(form: FormFields) -> Alternative:
    for key, (found, choices) in _OPEN.items():
        if key not in form.fields:
            form.fields.known.append(key)
            form.fields.refuse(AmbiguousClause(found, choices=choices, where=form.fields.place))
    phase = form.phase()
    heard = form.heard(
        form.fields.optional("clock of", phrase(lambda words: read_whole_signal(words, form.setting)), None)
    )
    runs_while = form.condition_on("runs while", heard)
    leaves = LEAVES.get(form.fields.optional("when it leaves", one_of(*LEAVES), None) or "", "")
    _refuse_clock(form, heard, runs_while, leaves)
    allowance = form.allowance(heard.measure if heard else None)
    limits = form.limits(form.setting.measure("time"))
    whose = heard_text(heard) if heard else ""
    return Alternative(phase, Clock(whose, runs_while, leaves, allowance), limits)


def _refuse_clock(form: FormFields, heard: Heard | None, runs_while: Condition | None, leaves: str) -> None:
    if leaves in ("restarts", "pauses") and "runs while" not in form.fields:
        found = f"a clock that {leaves} when the signal leaves, but nothing says what it leaves"
        choices = ("runs while: it is (limits)", "when it leaves: the clock runs on")
        form.fields.refuse(AmbiguousClause(found, choices=choices, where=form.fields.place_of("when it leaves")))
    if (
        heard is not None
        and runs_while is not None
        and all(each.signal != heard.signal for each in comparisons(runs_while))
    ):
        found = f"the clock of {heard_text(heard)} runs while something else is so"
        where = form.fields.place_of("runs while")
        form.fields.refuse(FileError(found, expected="a condition on the signal whose clock it is", where=where))


def way_tree(way: Alternative) -> dict[str, Tree]:
    """One way as it is read back."""
    fields: dict[str, Tree | None] = {
        **common.phase_tree(way.phase),
        "clock of": way.clock.whose,
        "runs while": common.while_tree(way.clock.runs_while, None),
        "when it leaves": _LEAVES_TEXT[way.clock.when_it_leaves],
        "except": common.allowance_tree(way.clock.allowance),
        "within": way.limits.written,
    }
    return {key: value for key, value in fields.items() if value is not None}


def tree(form: Duration) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    if len(form.alternatives) == 1:
        return common.form_tree(form, way_tree(form.alternatives[0]))
    ways: list[Tree] = [dict(way_tree(way)) for way in form.alternatives]
    return common.form_tree(form, {"either": ways})
