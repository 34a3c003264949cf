"""Leak check: an isolated bag loses at most so much vacuum in a window. Manual page: docs/requirements/leak-check.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Group, LeakCheck, Limits, Signal
from curewright.text import quantities
from curewright.text.fields import duration, phrase
from curewright.text.fields import one_of as one_of_words
from curewright.text.quantities import Measure, difference_of, duration_text
from curewright.text.yaml import Scalar
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence
from curewright.understand.setting import Heard

if TYPE_CHECKING:
    from curewright.terms.units import Unit
    from curewright.text.yaml import Node
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

WINDOWS = ("first", "worst", "whole")
_THINGS = ("bag", "part")
FIELDS = {
    "for each": "bag (or part: then of the bag that it lies in)",
    "isolated by": "the event with which the source is closed",
    "until": "the event with which it is opened; without it the end of the hand entry, or as long as the state shows it",
    "starting": "limits on the vacuum when the source is closed",
    "settling": "how long after closing the first window begins; 0 min where it begins at once",
    "window": "first, worst or whole: which stretch of the isolated time is looked at",
    "loses": "the limit on the loss and the time, such as: at most 5 inHg in 5 min",
    "pressure inside": "limits on the absolute pressure in the bag over the window",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("isolated by", "settling", "window", "loses")
SENTENCES = (
    Sentence(
        "For each {for each}, the bag is isolated by {isolated by!q}; in the {window} window the loss must be {loses}."
    ),
    Sentence("It stays isolated until {until!q}."),
    Sentence("When it is isolated the vacuum must be {starting}."),
    Sentence("The first window begins {settling} later."),
    Sentence("The absolute pressure inside must be {pressure inside}."),
    *common.WHY,
)
_OPEN = {
    "loses": ("the leak check does not say how much may be lost in what time", ("loses: at most … inHg in … min",)),
    "window": ("the leak check does not say which window", tuple(f"window: {window}" for window in WINDOWS)),
    "settling": ("the leak check does not say when its first window begins", ("settling: 0 min", "settling: 1 min")),
}


def read(form: FormFields) -> LeakCheck:
    """The form from its fields."""
    for key, (found, choices) in _OPEN.items():
        if key not in form.fields:
            form.fields.known.append(key)
            form.fields.refuse(AmbiguousClause(found, choices=choices, where=form.fields.place))
    signal = Signal(Group("bag vacuum"), "single")
    vacuum = form.setting.measure("vacuum", ("vacuum",))
    form.heard(Heard(signal, vacuum))
    if form.thing is not None and form.thing not in _THINGS:
        where = form.fields.place_of("for each")
        form.fields.refuse(FileError(f"a leak check for each {form.thing}", expected="'for each: bag'", where=where))
    time = form.setting.units.get("time")
    closed, opened = form.event("isolated by"), form.optional_event("until")
    settling = form.fields.optional("settling", duration(time), 0)
    window_rule = form.fields.optional("window", one_of_words(*WINDOWS), "")
    lost: tuple[Limits, int] | None = form.fields.optional("loses", lambda node: _loss(node, vacuum.unit, time), None)
    starting = form.fields.optional("starting", common.limits_reader(vacuum), None)
    inside = form.fields.optional(
        "pressure inside", common.limits_reader(Measure("pressure", None, ("absolute",))), None
    )
    form.choices.extend((["'settling'"] if settling else []) + (["'window: first'"] if window_rule == "first" else []))
    ours = form.finish(common.unit_of(lost[0], None) if lost else None)
    assert lost is not None
    loses, window = lost
    return LeakCheck(
        **ours,
        signal=signal,
        closed=closed,
        opened=opened,
        settling=settling,
        window=window,
        window_rule=window_rule,
        loses=loses,
        starting=starting,
        pressure_inside=inside,
    )


def _loss(node: Node, vacuum: Unit | None, time: Unit | None) -> tuple[Limits, int]:
    """``at most 5 inHg in 5 min``: the loss (a difference) and the time."""
    if not isinstance(node, Scalar) or " in " not in node.text:
        raise AmbiguousClause(
            "a loss without the time in which it is lost", choices=("loses: at most … inHg in … min",), where=node.place
        )
    loss, _, window = node.text.rpartition(" in ")
    measure = Measure("pressure difference", difference_of(vacuum) if vacuum is not None else None)
    limits = phrase(lambda words: quantities.limits(words, measure))(
        Scalar(loss, node.place, node.style, node.one_line)
    )
    where = node.at(len(loss) + len(" in "))
    length = duration(time)(Scalar(window, where, "plain", node.one_line))
    if length == 0:
        raise FileError("a window of 0 min", expected="a window that has some length", where=where)
    return limits, length


def tree(form: LeakCheck) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    return common.form_tree(
        form,
        {
            "isolated by": form.closed,
            "until": form.opened,
            "starting": form.starting.written if form.starting else None,
            "settling": duration_text(form.settling),
            "window": form.window_rule,
            "loses": f"{form.loses.written} in {duration_text(form.window)}",
            "pressure inside": form.pressure_inside.written if form.pressure_inside else None,
        },
    )
