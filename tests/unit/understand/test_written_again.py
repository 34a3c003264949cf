"""What single clauses become when the plan is written again as YAML and as English and both are read back: nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from curewright.terms import requirement as rq
from curewright.terms.units import UNITS, Quantity
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand, without_places
from curewright.understand.writer import write
from tests.unit.understand.head import HEAD, clause, text_of

BECAUSE = "because: the paper says so"
PHASE = "from: soak starts, to: soak ends"
CURE = "degree of cure of coldest by card X revision 1 from soak starts starting at 0 named by the specification"


def plan_of(form: str) -> rq.Specification:
    return understand(text_of(clause(form)), "s.yaml")


@pytest.mark.parametrize(
    "form",
    [
        f"band: {{for each: part, signal: coldest, {PHASE}, within: at least 340, while: it is above 100, {BECAUSE}}}",
        f"spread: {{for each: part, signal: spread of part thermocouples, {PHASE}, within: at most 20, "
        f"while: coldest is above 100, {BECAUSE}}}",
        f"band: {{for each: part thermocouple, signal: coldest, {PHASE}, within: at most 350}}",
        f"band: {{for each: part, signal: {CURE}, {PHASE}, within: at least 0.8 fraction, "
        f"except: {{by at most: 0.01 fraction, at a time: 2, in all: not limited}}, {BECAUSE}}}",
        "at event: {for each: part, event: soak ends, signal: coldest, within: at most 60 degC}",
        "count: {for each: part, of: sensors on the map, group: channel X, within: at least 2}",
        "count: {of: sensors on the map, group: air thermocouple, within: at least 2}",
    ],
)
def test_a_clause_reads_back_to_the_same_plan(form: str) -> None:
    plan = plan_of(form)
    assert without_places(understand(write(plan), "again.yaml")) == without_places(plan)
    assert without_places(read_back(english(plan))) == without_places(plan)


@pytest.mark.parametrize("name", ["hottest zone", "valve", "mean"])
def test_a_state_channel_may_be_called_like_a_signal(name: str) -> None:
    event = f"""{{for each: part, when: '"{name}" is "open"'}}"""
    head = HEAD.replace("events:\n", f"events:\n  x: {event}\n")
    plan = understand(text_of('"1":\n  says: a\n  by a person: b\n', head=head), "s.yaml")
    assert plan.event("x").sources[0].condition == rq.StateIs(rq.Group("channel", name), ("open",))
    assert without_places(understand(write(plan), "again.yaml")) == without_places(plan)
    assert without_places(read_back(english(plan))) == without_places(plan)


def test_what_is_written_of_a_thermocouple_is_what_is_judged() -> None:
    """Without a signal it is the thermocouple itself; with one it is that."""
    (form,) = (
        plan_of(f"band: {{for each: part thermocouple, signal: coldest, {PHASE}, within: at most 350}}")
        .clauses[0]
        .forms
    )
    assert form.signal == rq.Signal(rq.Group("part thermocouple"), "coldest")  # type: ignore[union-attr]


def test_the_unit_of_a_form_is_the_one_in_which_its_limit_is_written() -> None:
    text = "at event: {for each: part, event: soak ends, signal: coldest, within: at most 60 degC}"
    (form,) = plan_of(text).clauses[0].forms  # the paper of this test is otherwise in degF
    assert form.unit == UNITS["degC"]


def test_an_allowance_of_what_is_no_temperature_is_in_its_own_unit() -> None:
    (form,) = (
        plan_of(
            f"band: {{for each: part, signal: {CURE}, {PHASE}, within: at least 0.8 fraction, "
            f"except: {{by at most: 0.01 fraction, at a time: 2, in all: not limited}}, {BECAUSE}}}"
        )
        .clauses[0]
        .forms
    )
    assert form.allowance.depth == Quantity(Decimal("0.01"), UNITS["fraction"])  # type: ignore[union-attr]


def test_what_the_vessel_alone_is_asked_for_needs_no_for_each() -> None:
    (form,) = plan_of("count: {of: sensors on the map, group: air thermocouple, within: at least 2}").clauses[0].forms
    assert replace(form, place=None).for_each == "vessel"
