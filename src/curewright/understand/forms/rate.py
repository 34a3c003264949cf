"""Rate: how fast a signal rises or falls over a phase, by a stated definition. Manual page: docs/requirements/rate.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Rate, RateDefinition
from curewright.text import quantities
from curewright.text.fields import one_of, phrase
from curewright.text.quantities import Measure, amount, amount_text, duration_text
from curewright.understand.conditions import read_condition
from curewright.understand.forms import common
from curewright.understand.sentences import Sentence
from curewright.understand.signals import heating_only, read_signal

if TYPE_CHECKING:
    from curewright.terms.requirement import Condition
    from curewright.text.phrase import Words
    from curewright.text.yaml import Node
    from curewright.understand.forms.common import FormFields
    from curewright.understand.setting import Heard, Setting
    from curewright.understand.tree import Tree

THROUGHOUT = "throughout"
SENSES = {"heating": "rising", "cooling": "falling", "rising": "rising", "falling": "falling"}
_WINDOWED = ("least squares", "end points")
FIELDS = {
    "for each": common.FIELD_FOR_EACH,
    "signal": common.FIELD_SIGNAL,
    "from": common.FIELD_FROM,
    "to": common.FIELD_TO,
    "sense": "heating, cooling, rising or falling; a rate of cooling is positive",
    "within": "the limits, such as 1 to 5 degF/min",
    "by": "the definition of the rate",
    "while": "a condition that narrows the phase to where it holds, or: throughout",
    "because": common.FIELD_BECAUSE,
}
REQUIRED = ("from", "to", "sense", "within", "by", "while")
SENTENCES = (
    Sentence("For each {for each}, the {sense} rate of {signal} must be {within} from {from!q} to {to!q}."),
    Sentence("The {sense} rate of each {for each} must be {within} from {from!q} to {to!q}."),
    Sentence("The rate is taken by {by}."),
    Sentence("It counts throughout.", {"while": THROUGHOUT}),
    common.WHILE,
    *common.WHY,
)
DEFINITIONS = (
    "least squares over 10 min with at least 8 samples",
    "end points over 10 min with at least 8 samples",
    "between levels LOW and HIGH",
    "whole phase",
    "sample to sample",
)
_OPEN = {
    "sense": (
        "the rate does not say whether it is of heating or of cooling",
        tuple(f"sense: {sense}" for sense in SENSES),
    ),
    "by": ("the rate has no definition", tuple(f"by: {definition}" for definition in DEFINITIONS)),
    "while": ("the rate does not say over which range it counts", ("while: it is … to …", f"while: {THROUGHOUT}")),
}


def read(form: FormFields) -> Rate:
    """The form from its fields."""
    for key, (found, choices) in _OPEN.items():
        if key not in form.fields:
            form.fields.known.append(key)
            form.fields.refuse(AmbiguousClause(found, choices=choices, where=form.fields.place))
    sense = SENSES.get(form.fields.optional("sense", one_of(*SENSES), None) or "", "")
    heard = _signal(form, heating=sense == "rising")
    phase = form.phase()
    measure = _rate_measure(form, heard)
    limits = form.limits(measure)
    definition = form.fields.optional("by", phrase(lambda words: _definition(words, heard, form.setting)), None)
    while_ = form.fields.optional("while", lambda node: _while(node, form, heard), None)
    form.choices.extend(["'by'"] + (["'while'"] if while_ is not None else []))
    ours = form.finish(common.unit_of(limits, measure))
    assert heard is not None
    assert definition is not None
    return Rate(
        **ours, signal=heard.signal, phase=phase, definition=definition, sense=sense, limits=limits, while_=while_
    )


def _signal(form: FormFields, *, heating: bool) -> Heard | None:
    if "signal" not in form.fields:
        return form.signal()

    def read_it(words: Words) -> Heard:
        heard = read_signal(words, form.setting)
        heating_only(heard, form.setting, heating=heating)
        return heard

    return form.heard(form.fields.required("signal", phrase(read_it)))


def _rate_measure(form: FormFields, heard: Heard | None) -> Measure | None:
    if heard is None:
        return None
    quantity = heard.measure.quantity.removesuffix(" difference")
    if quantity not in ("temperature", "pressure") or "vacuum" in heard.measure.references:
        found = "a rate of a vacuum" if quantity == "pressure" else f"a rate of a {quantity}"
        where = form.fields.place_of("signal")
        form.fields.refuse(
            FileError(found, expected="a rate of a temperature or of a pressure ('bag pressure')", where=where)
        )
        return None
    return form.setting.measure(f"{quantity} rate")


def _while(node: Node, form: FormFields, heard: Heard | None) -> Condition | None:
    if heard is None:
        return None

    def read_it(words: Words) -> Condition | None:
        if words.accept(THROUGHOUT):
            return None
        return read_condition(words, form.setting.seen_from(form.thing, heard))

    return phrase(read_it)(node)


def _definition(words: Words, heard: Heard | None, setting: Setting) -> RateDefinition:
    kind = words.one_of(
        ("least squares", "end points", "between levels", "whole phase", "sample to sample"), "a definition of the rate"
    )
    if kind == "between levels":
        measure = heard.measure if heard is not None else Measure("temperature")
        first = amount(words, measure)
        words.expect("and")
        return RateDefinition(kind, first_level=first, second_level=amount(words, measure))
    if kind not in _WINDOWED:
        return RateDefinition(kind)
    return _window(words, kind, setting)


def _window(words: Words, kind: str, setting: Setting) -> RateDefinition:
    if not words.accept("over"):
        raise AmbiguousClause(
            f"'{kind}' has no window", choices=(f"{kind} over 10 min with at least 8 samples",), where=words.place
        )
    place = words.place
    window = quantities.duration(words, setting.units.get("time"))
    if window == 0:
        raise FileError("a window of 0 min", expected="a window that has some length", where=place)
    if not words.accept("with", "at", "least"):
        choices = (f"{kind} over {duration_text(window)} with at least … samples",)
        raise AmbiguousClause("how many samples a window must hold is not stated", choices=choices, where=words.place)
    place = words.place
    samples = quantities.number(words)
    words.expect("samples")
    if samples < 2 or samples % 1:
        raise FileError(f"'{samples}' samples", expected="a whole number, 2 or more", where=place)
    return RateDefinition(kind, window=window, samples=int(samples))


def definition_text(definition: RateDefinition) -> str:
    """The definition of a rate as it is read back."""
    if definition.first_level is not None and definition.second_level is not None:
        return f"{definition.kind} {amount_text(definition.first_level)} and {amount_text(definition.second_level)}"
    if definition.window is None:
        return definition.kind
    return f"{definition.kind} over {duration_text(definition.window)} with at least {definition.samples} samples"


def sense_text(form: Rate) -> str:
    """Heating or cooling of a temperature, rising or falling of a pressure."""
    if form.unit.quantity == "temperature rate":
        return {"rising": "heating", "falling": "cooling"}[form.sense]
    return form.sense


def tree(form: Rate) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    return common.form_tree(
        form,
        {
            "signal": common.signal_tree(form),
            **common.phase_tree(form.phase),
            "sense": sense_text(form),
            "within": form.limits.written,
            "by": definition_text(form.definition),
            "while": common.while_tree(form.while_, form.signal) or THROUGHOUT,
        },
    )
