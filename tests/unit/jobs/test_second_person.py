"""A ruling of one person alone never makes met of not met; every other change it may bring."""

import pytest

from curewright.jobs.second_person import judged_with_rulings
from curewright.terms.load import Load, Part, Ruling
from curewright.terms.verdict import Judgement, Outcome, Verdict

LOAD = Load("R-1", "A2", None, (Part("1", "P", "A", "", "B", "", "EX", "A"),), (), ())


def ruling(second: str = "", sensor: str = "TC1") -> Ruling:
    return Ruling("set aside", sensor, 0, 10, "engineer C", "open circuit", second)


def judged(outcome: Outcome) -> Judgement:
    verdict = Verdict("1", "EX", "A", "1", "band", "band", "1", outcome, str(outcome), "")
    return Judgement(1, "R-1", (verdict,), (("1", outcome),), 1, 0, 0)


def result(without: Outcome, with_it: Outcome, *rulings: Ruling) -> Judgement:
    """A judge to whom unseconded rulings make the difference."""
    return judged_with_rulings(lambda kept: judged(with_it if len(kept) == len(rulings) else without), rulings, LOAD)


def test_alone_it_does_not_help() -> None:
    made = result(Outcome.NOT_MET, Outcome.MET, ruling())
    assert made.verdicts[0].outcome is Outcome.NOT_MET
    assert made.roll_up == (("1", Outcome.NOT_MET),)
    assert "needs a second person (engineer C sets TC1 aside: open circuit)" in made.verdicts[0].notes[-1]


@pytest.mark.parametrize("second", ["engineer C", " engineer C ", "", "  "])
def test_the_same_person_twice_is_one(second: str) -> None:
    assert result(Outcome.NOT_MET, Outcome.MET, ruling(second)).verdicts[0].outcome is Outcome.NOT_MET


def test_with_a_second_person_it_counts() -> None:
    assert result(Outcome.NOT_MET, Outcome.MET, ruling("quality engineer D")).verdicts[0].outcome is Outcome.MET


def test_one_seconded_and_one_not() -> None:
    made = result(Outcome.NOT_MET, Outcome.MET, ruling("quality engineer D"), ruling(sensor="TC2"))
    assert made.verdicts[0].outcome is Outcome.NOT_MET


@pytest.mark.parametrize(
    "without, with_it",
    [(Outcome.NOT_SHOWN, Outcome.MET), (Outcome.MET, Outcome.NOT_MET), (Outcome.NOT_MET, Outcome.NOT_SHOWN)],
)
def test_any_other_change_needs_one_person(without: Outcome, with_it: Outcome) -> None:
    assert result(without, with_it, ruling()).verdicts[0].outcome is with_it
