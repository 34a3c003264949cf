"""Whether a clause applies to a part, by hand (semantics § 6.4; cases 41): not applicable only from a condition that is written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.applies import applies
from curewright.terms.load import Part
from curewright.terms.requirement import AttributeCondition, Clause, Limits
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import above, at_least, at_most, below, quantity, within

SOLID = AttributeCondition("construction", equals=("solid", "laminate"))


def asked(*conditions, **attributes):
    part = Part("S1", "PN-1", "A", "L1", "B1", "T1", "EX-1", "A", tuple(attributes.items()))
    return applies(Clause("4.1", "as the paper says", (), for_parts=conditions), part)


def thickness(limits):
    return AttributeCondition("thickness", limits)


def test_a_clause_without_conditions_applies():
    assert asked() == (None, "")


@pytest.mark.parametrize(
    "limits, outcome, wanted",
    [
        (at_most("15 mm"), None, ""),
        (at_least("15 mm"), None, ""),
        (within("10 mm", "15 mm"), None, ""),
        (below("15 mm"), Outcome.NOT_APPLICABLE, "below 15 mm"),
        (above("15 mm"), Outcome.NOT_APPLICABLE, "above 15 mm"),
        (at_most("14.9 mm"), Outcome.NOT_APPLICABLE, "at most 14.9 mm"),
        (at_least("0.6 in"), Outcome.NOT_APPLICABLE, "at least 0.6 in"),  # 15.24 mm
        (at_most("0.6 in"), None, ""),
        (within("1 mm", "14 mm"), Outcome.NOT_APPLICABLE, "1 to 14 mm"),
        (replace(within("1 mm", "15 mm"), high_open=True), Outcome.NOT_APPLICABLE, "1 to 15 mm (ends excluded)"),
    ],
)
def test_a_limit_on_an_attribute(limits, outcome, wanted):
    why = f"thickness of part S1 is 15 mm; the clause is for {wanted}" if wanted else ""
    assert asked(thickness(limits), thickness=quantity("15 mm")) == (outcome, why)


def test_one_of_several_words():
    assert asked(SOLID, construction="solid") == (None, "")
    assert asked(SOLID, construction="laminate") == (None, "")
    assert asked(SOLID, construction="sandwich") == (
        Outcome.NOT_APPLICABLE,
        "construction of part S1 is sandwich; the clause is for solid or laminate",
    )
    assert asked(AttributeCondition("thickness", equals=("15 mm",)), thickness=quantity("15 mm")) == (None, "")


def test_an_attribute_that_nobody_stated():
    missing = (Outcome.NOT_SHOWN, "attribute missing: 'thickness' of part S1 is not stated")
    assert asked(thickness(at_most("15 mm"))) == missing
    assert asked(thickness(at_most("15 mm")), SOLID, construction="solid") == missing
    assert asked(thickness(at_most("15 mm")), SOLID) == missing  # the first that is missing is named
    assert asked(SOLID, thickness(at_most("15 mm"))) == (
        Outcome.NOT_SHOWN,
        "attribute missing: 'construction' of part S1 is not stated",
    )


def test_one_condition_that_surely_fails_is_enough():
    found = asked(thickness(at_most("15 mm")), SOLID, construction="sandwich")
    assert found[0] is Outcome.NOT_APPLICABLE
    found = asked(SOLID, thickness(at_most("15 mm")), construction="solid", thickness=quantity("16 mm"))
    assert found[0] is Outcome.NOT_APPLICABLE


def test_a_word_where_a_number_is_wanted_does_not_fulfil_it():
    assert asked(thickness(at_most("15 mm")), thickness="thin") == (
        Outcome.NOT_APPLICABLE,
        "thickness of part S1 is thin; the clause is for at most 15 mm",
    )


def test_only_a_low_or_a_high_limit():
    assert asked(thickness(Limits(low=quantity("1 mm"))), thickness=quantity("99 mm")) == (None, "")
    assert asked(thickness(Limits(high=quantity("1 mm"))), thickness=quantity("0 mm")) == (None, "")
