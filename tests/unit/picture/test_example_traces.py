"""Every picture tells the truth: the passing trace is judged met, the failing one not met, for every requirement of every example."""

from pathlib import Path

import pytest

from curewright.judge.judge import judge
from curewright.picture.example_traces import example
from curewright.terms.requirement import Clause, Requirement, Specification
from curewright.terms.verdict import Outcome
from curewright.understand.specification import understand

ROOT = Path(__file__).resolve().parents[3]
FILES = (
    *sorted((ROOT / "examples" / "specifications").glob("*.yaml")),
    *sorted((ROOT / "src" / "curewright" / "jobs" / "demo_files").glob("specification-*.yaml")),
)


def forms() -> list[tuple[Specification, Clause, Requirement]]:
    found = [understand(file.read_bytes(), file.name) for file in FILES]
    return [(one, clause, form) for one in found for clause in one.clauses for form in clause.forms]


FORMS = forms()
NAMES = [f"{one.number} {clause.number} {form.name}" for one, clause, form in FORMS]


def test_there_are_examples_of_many_kinds() -> None:
    assert len(FILES) >= 8
    assert len({type(form) for _, _, form in FORMS}) >= 9


@pytest.mark.parametrize("wanted", [Outcome.MET, Outcome.NOT_MET], ids=str)
@pytest.mark.parametrize("one, clause, form", FORMS, ids=NAMES)
def test_a_trace_for_each_outcome(one: Specification, clause: Clause, form: Requirement, wanted: Outcome) -> None:
    found = example(one, clause, form, wanted)
    assert found is not None
    outcomes = [
        v.outcome
        for v in judge((one,), found.drawn.vessel, found.drawn.load, found.drawn.run).verdicts
        if (v.clause, v.form) == (clause.number, form.name)
    ]
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
