"""Every picture tells the truth: the passing trace is judged met, the failing one not met, for every requirement of every example."""

from pathlib import Path

import pytest

from curewright.jobs.cards import cards_of
from curewright.judge.judge import judge
from curewright.picture.example_traces import example, shares
from curewright.terms.requirement import KINDS, Clause, Requirement, Specification
from curewright.terms.verdict import Outcome
from curewright.understand.specification import understand

ROOT = Path(__file__).resolve().parents[3]
FILES = (
    *sorted((ROOT / "examples" / "specifications").glob("*.yaml")),
    *sorted((ROOT / "src" / "curewright" / "jobs" / "demo_files").glob("specification-*.yaml")),
    ROOT / "tests" / "unit" / "picture" / "other-kinds.yaml",
)


def forms() -> list[tuple[Specification, Clause, Requirement]]:
    found = [understand(file.read_bytes(), file.name) for file in FILES]
    return [(one, clause, form) for one in found for clause in one.clauses for form in clause.forms]


FORMS = forms()
NAMES = [f"{one.number} {clause.number} {form.name}" for one, clause, form in FORMS]


def test_every_kind_is_among_them() -> None:
    assert len(FILES) >= 8
    assert {type(form) for _, _, form in FORMS} == set(KINDS.values())


@pytest.mark.parametrize("wanted", [Outcome.MET, Outcome.NOT_MET], ids=str)
@pytest.mark.parametrize("one, clause, form", FORMS, ids=NAMES)
def test_a_trace_for_each_outcome(one: Specification, clause: Clause, form: Requirement, wanted: Outcome) -> None:
    cards = cards_of((one,))
    found = example(one, clause, form, wanted, cards)
    assert found is not None
    made = found.drawn
    earlier = shares(found.sketch, clause, form)
    verdicts = judge((one,), made.vessel, made.load, made.run, cards=cards, earlier=earlier).verdicts
    outcomes = [verdict.outcome for verdict in verdicts if (verdict.clause, verdict.form) == (clause.number, form.name)]
    assert (set(outcomes) == {Outcome.MET}) if wanted is Outcome.MET else (Outcome.NOT_MET in outcomes)


def test_both_traces_are_of_the_same_plan() -> None:
    one, clause, form = FORMS[0]
    passing, failing = (example(one, clause, form, wanted) for wanted in (Outcome.MET, Outcome.NOT_MET))
    assert passing is not None
    assert failing is not None
    assert {v.limit for v in passing.verdicts} == {v.limit for v in failing.verdicts}


def test_the_numbers_themselves_without_the_judge() -> None:
    # Plain arithmetic on the samples: microkelvin to degF by definition (ITS-90 degC, 1.8 K per degF).
    one = next(one for one, _, _ in FORMS if one.number == "EX-177-2")
    clause = next(clause for clause in one.clauses if clause.number == "4.7")
    hottest = {}
    for wanted in (Outcome.MET, Outcome.NOT_MET):
        found = example(one, clause, clause.forms[1], wanted)
        assert found is not None
        channels = [c for c in found.drawn.run.channels.values() if c.unit.quantity == "temperature"]
        assert len(channels) == 3
        hottest[wanted] = max(float(c.v.max()) / 1e6 * 9 / 5 - 459.67 for c in channels)
    assert hottest[Outcome.MET] < 365 < hottest[Outcome.NOT_MET]
