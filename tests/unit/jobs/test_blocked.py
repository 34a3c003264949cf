"""What cannot be led back is not shown, whichever way it points; what does not depend on it keeps its outcome."""

import pytest

from curewright.jobs.blocked import with_blocked
from curewright.terms.finding import Finding
from curewright.terms.load import ALWAYS, Assignment, Load, Part
from curewright.terms.verdict import Judgement, Margin, Outcome, Verdict


def line(sensor: str, role: str, thing: str) -> Assignment:
    return Assignment(sensor, f"CH-{sensor}", role, thing, "", -ALWAYS, ALWAYS, "operator A", sensor)


PARTS = tuple(Part(number, "P", "A", "", f"BAG-{number}", "", "EX", "A") for number in ("1", "2"))
MAP = (
    line("TC1", "judging", "1"),
    line("TC2", "judging", "2"),
    line("BT1", "bag transducer", "BAG-1"),
    line("PT1", "vessel pressure", "A2"),
)
LOAD = Load("R-1", "A2", None, PARTS, (), MAP)


def verdict(part: str, thing: str, outcome: Outcome, *used: str) -> Verdict:
    margin = Margin("1", "degC", 5, "TC1", "2", "3")
    return Verdict(part, "EX", "A", "1", "band", "band", thing, outcome, "as measured", "", margin, used=used)


def outcomes(findings: tuple[Finding, ...], *verdicts: Verdict) -> list[Outcome]:
    judgement = Judgement(1, "R-1", verdicts, (), 1, 0, 0)
    return [each.outcome for each in with_blocked(judgement, findings, LOAD).verdicts]


BAG = (Finding("port used twice", "V1", "port V1 stands at two bags", (), ("BAG-1",)),)


@pytest.mark.parametrize("outcome", [Outcome.MET, Outcome.NOT_MET, Outcome.OPEN])
def test_a_blocked_bag_is_not_shown(outcome: Outcome) -> None:
    assert outcomes(BAG, verdict("1", "BAG-1", outcome, "BT1")) == [Outcome.NOT_SHOWN]


def test_a_difference_with_a_sensor_of_a_blocked_bag_is_not_shown() -> None:
    assert outcomes(BAG, verdict("1", "1", Outcome.MET, "PT1 - BT1")) == [Outcome.NOT_SHOWN]


def test_the_rest_keeps_its_outcome() -> None:
    kept = (verdict("1", "1", Outcome.MET, "TC1"), verdict("2", "BAG-2", Outcome.NOT_MET, "PT1"))
    assert outcomes(BAG, *kept) == [Outcome.MET, Outcome.NOT_MET]


@pytest.mark.parametrize("outcome", [Outcome.BY_PERSON, Outcome.NOT_COVERED, Outcome.NOT_APPLICABLE, Outcome.NOT_SHOWN])
def test_what_no_number_decides_stays(outcome: Outcome) -> None:
    assert outcomes(BAG, verdict("1", "BAG-1", outcome, "BT1")) == [outcome]


def test_the_record_says_what_it_would_be_and_marks_the_margin() -> None:
    judgement = Judgement(
        1, "R-1", (verdict("1", "BAG-1", Outcome.MET, "BT1"), verdict("2", "2", Outcome.MET, "TC2")), (), 1, 0, 0
    )
    made = with_blocked(judgement, BAG, LOAD)
    assert made.verdicts[0].reason == "port used twice: port V1 stands at two bags"
    assert "it would be met: as measured" in made.verdicts[0].notes[-1]
    assert made.verdicts[0].margin is not None
    assert made.verdicts[0].margin.of_known
    assert made.roll_up == (("1", Outcome.NOT_SHOWN), ("2", Outcome.MET))
