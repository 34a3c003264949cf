"""Clauses: each sentence of the paper with its exact forms, the person who judges it, or what of it is not covered."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, CurewrightError, FileError, flat
from curewright.terms.requirement import KINDS, AttributeCondition, Clause
from curewright.text import quantities
from curewright.text.fields import Fields, prose, table
from curewright.text.near import did_you_mean
from curewright.text.phrase import bare, words_of
from curewright.text.quantities import ANYTHING, begins_limits
from curewright.understand.forms.common import FormFields
from curewright.understand.forms.kinds import MODULES, kind_of, module_of

if TYPE_CHECKING:
    from curewright.terms.requirement import Requirement
    from curewright.text.yaml import Node, Scalar
    from curewright.understand.setting import Setting
    from curewright.understand.tree import Tree

_HOW = (
    "an exact form ('band: …', 'rate: …', …)",
    "by a person: (who judges it)",
    "not covered: (what of the sentence is not judged)",
)


def read_clause(number: Scalar, node: Node, setting: Setting) -> Clause:
    """One clause; every complaint about it names the clause."""
    try:
        return _clause(number, node, setting)
    except CurewrightError as error:
        for single in flat(error):
            if single.where is not None:
                single.where = replace(single.where, clause=number.text)
        raise


def _clause(number: Scalar, node: Node, setting: Setting) -> Clause:
    fields = Fields(node, "the clause")
    says = fields.required(
        "says", prose, remedy="quote the sentence of the paper, so that the two can be held against each other"
    )
    by_person = fields.optional("by a person", prose, None)
    not_covered = fields.optional("not covered", prose, None)
    for_parts = fields.optional("for parts", table(_attribute_value), ())
    illustrative = fields.optional("illustrative", prose, None)
    fields.known.append("events")  # read beforehand, with those at the head of the file
    forms = _forms(fields, setting, number.text)
    if not (forms or by_person or not_covered or fields.errors):
        fields.refuse(AmbiguousClause("the clause says nothing of how it is judged", choices=_HOW, where=number.place))
    fields.close()
    conditions = tuple(replace(condition, attribute=name) for name, condition in for_parts)
    return Clause(number.text, says, forms, by_person, not_covered, conditions, illustrative, number.place)


def _forms(fields: Fields, setting: Setting, number: str) -> tuple[Requirement, ...]:
    forms = []
    for key, value in fields.others():
        fields.known.append(key.text)
        kind = kind_of(key.text)
        try:
            if kind is None:
                remedy = did_you_mean(key.text, (*fields.known[:5], *KINDS))
                raise FileError(f"'{key.text}' is no kind of requirement", where=key.place, remedy=remedy)
            forms.append(MODULES[kind].read(FormFields(key.text, value, setting, number)))
        except CurewrightError as error:
            fields.refuse(error)
    return tuple(forms)


def _attribute_value(node: Node) -> AttributeCondition:
    """``above 0.6 in`` or ``sandwich`` (several texts joined by ``or``); the attribute's name is the key."""
    words = words_of(node)
    if begins_limits(words):
        limits = quantities.limits(words, ANYTHING)
        words.done()
        return AttributeCondition("", limits)
    texts = [words.name("a text")]
    while words.accept("or"):
        texts.append(words.name("a text"))
    words.done()
    return AttributeCondition("", equals=tuple(texts))


# -------------------------------------------------------------------------------------------------------------------- writing
def clause_tree(clause: Clause) -> dict[str, Tree]:
    """A clause as :func:`read_clause` reads it back."""
    tree: dict[str, Tree] = {"says": clause.says}
    for key, value in (
        ("by a person", clause.by_person),
        ("not covered", clause.not_covered),
        ("illustrative", clause.illustrative),
    ):
        if value is not None:
            tree[key] = value
    if clause.for_parts:
        tree["for parts"] = {condition.attribute: attribute_text(condition) for condition in clause.for_parts}
    for form in clause.forms:
        tree[form.name] = module_of(form).tree(form)
    return tree


def attribute_text(condition: AttributeCondition) -> str:
    """A condition on an attribute as it is read back."""
    if condition.limits is not None:
        return condition.limits.written
    return " or ".join(bare(each) for each in condition.equals)
