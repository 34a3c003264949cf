"""A ruling of one person alone never makes met of not met; every other change it may bring."""

from dataclasses import replace
from unittest.mock import ANY

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


@pytest.mark.parametrize("second", ["engineer C", " engineer C ", "Engineer  c", "", "  "])
def test_the_same_person_twice_is_one(second: str) -> None:
    assert result(Outcome.NOT_MET, Outcome.MET, ruling(second)).verdicts[0].outcome is Outcome.NOT_MET


def test_with_a_second_person_it_counts() -> None:
    assert result(Outcome.NOT_MET, Outcome.MET, ruling("quality engineer D")).verdicts[0].outcome is Outcome.MET


def test_one_seconded_and_one_not() -> None:
    made = result(Outcome.NOT_MET, Outcome.MET, ruling("quality engineer D"), ruling(sensor="TC2"))
    assert made.verdicts[0].outcome is Outcome.NOT_MET


OTHER_CHANGES = ((Outcome.NOT_SHOWN, Outcome.MET), (Outcome.MET, Outcome.NOT_MET), (Outcome.NOT_MET, Outcome.NOT_SHOWN))


@pytest.mark.parametrize("without, with_it", OTHER_CHANGES)
def test_any_other_change_needs_one_person(without: Outcome, with_it: Outcome) -> None:
    assert result(without, with_it, ruling()).verdicts[0].outcome is with_it


def test_a_sensor_set_aside_does_not_take_its_not_met_away() -> None:
    other = Verdict("1", "EX", "A", "1", "band", "band", "TC2", Outcome.MET, "", "")
    hot = Verdict("1", "EX", "A", "1", "band", "band", "TC1", Outcome.NOT_MET, "", "")

    def judge(kept: tuple[Ruling, ...]) -> Judgement:
        return Judgement(1, "R-1", (other,) if kept else (hot, other), (), 1, 0, 0)

    alone = judged_with_rulings(judge, (ruling(),), LOAD)
    assert [verdict.thing for verdict in alone.verdicts] == ["TC1", "TC2"]
    assert alone.roll_up == (("1", Outcome.NOT_MET),)
    assert "would take this away and needs a second person" in alone.verdicts[0].notes[-1]
    seconded = judged_with_rulings(judge, (ruling("quality engineer D"),), LOAD)
    assert [verdict.thing for verdict in seconded.verdicts] == ["TC2"]


def test_who_is_back_with_its_own_not_met_is_not_spoken_for() -> None:
    hot = Verdict("1", "EX", "A", "1", "band", "band", "TC1", Outcome.NOT_MET, "", "")
    other = Verdict("1", "EX", "A", "1", "band", "band", "TC2", Outcome.MET, "", "", notes=("by hand entry",))
    note = "TC1 is set aside over the whole phase; without that it would be not met"
    speaking = replace(other, notes=(*other.notes, note), without_set_aside=Outcome.NOT_MET)

    def judge(kept: tuple[Ruling, ...]) -> Judgement:
        return Judgement(1, "R-1", (speaking,) if kept else (hot, other), (), 1, 0, 0)

    alone = judged_with_rulings(judge, (ruling(),), LOAD)
    assert [verdict.outcome for verdict in alone.verdicts] == [Outcome.NOT_MET, Outcome.MET]
    assert alone.verdicts[1] == other
    seconded = judged_with_rulings(judge, (ruling("quality engineer D"),), LOAD)
    assert seconded.verdicts == (speaking,)


def test_what_it_would_be_without_anything_aside_stays_where_another_ruling_shaped_it() -> None:
    # The rule for lost ones decides TC2 in both judgements: with nothing set aside it is not shown, whatever the ruling says.
    hot = Verdict("1", "EX", "A", "1", "band", "band", "TC1", Outcome.NOT_MET, "", "")
    other = Verdict(
        "1", "EX", "A", "1", "band", "band", "TC2", Outcome.MET, "", "", without_set_aside=Outcome.NOT_SHOWN
    )
    note = "TC1 is set aside over the whole phase; without that it would be not met"

    def judge(kept: tuple[Ruling, ...]) -> Judgement:
        return Judgement(1, "R-1", (replace(other, notes=(note,)),) if kept else (hot, other), (), 1, 0, 0)

    assert judged_with_rulings(judge, (ruling(),), LOAD).verdicts == (replace(hot, notes=ANY), other)


def test_a_sensor_that_is_trusted_needs_nobody_else() -> None:
    trusted = replace(ruling(), kind="trusted")
    asked: list[tuple[Ruling, ...]] = []

    def judge(kept: tuple[Ruling, ...]) -> Judgement:
        asked.append(kept)
        return judged(Outcome.NOT_MET)

    made = judged_with_rulings(judge, (trusted,), LOAD)
    assert asked == [(trusted,)], "nothing is set aside, so nothing is judged a second time"
    assert made.verdicts[0].notes == ()
