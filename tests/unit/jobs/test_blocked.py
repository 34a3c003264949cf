"""What cannot be led back is not shown, save that a doubt never helps a part; what does not depend on it keeps its outcome."""

from dataclasses import replace

import pytest

from curewright.jobs.blocked import with_blocked
from curewright.terms.finding import Finding
from curewright.terms.load import ALWAYS, Assignment, Load, Part
from curewright.terms.verdict import Judgement, Margin, Outcome, SetAside, Verdict


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


def verdict(part: str, thing: str, outcome: Outcome, *used: str, behind: tuple[str, ...] = ()) -> Verdict:
    margin = Margin("1", "degC", 5, "TC1", "2", "3")
    return Verdict(
        part, "EX", "A", "1", "band", "band", thing, outcome, "as measured", "", margin, used=used, behind=behind
    )


def outcomes(findings: tuple[Finding, ...], *verdicts: Verdict) -> list[Outcome]:
    judgement = Judgement(1, "R-1", verdicts, (), 1, 0, 0)
    return [each.outcome for each in with_blocked(judgement, findings, LOAD).verdicts]


BAG = (Finding("port used twice", "V1", "port V1 stands at two bags", (), ("BAG-1",)),)


@pytest.mark.parametrize("outcome", [Outcome.MET, Outcome.OPEN])
def test_a_blocked_bag_is_not_shown(outcome: Outcome) -> None:
    assert outcomes(BAG, verdict("1", "BAG-1", outcome, "BT1")) == [Outcome.NOT_SHOWN]


def test_a_doubt_does_not_help_a_part_that_is_not_met() -> None:
    judgement = Judgement(1, "R-1", (verdict("1", "BAG-1", Outcome.NOT_MET, "BT1"),), (), 1, 0, 0)
    (made,) = with_blocked(judgement, BAG, LOAD).verdicts
    assert (made.outcome, made.reason) == (Outcome.NOT_MET, "as measured")
    assert made.margin is not None
    assert not made.margin.of_known
    assert made.notes == ("in doubt, which does not help the part: port used twice: port V1 stands at two bags",)


VESSEL = (Finding("calibration out of date", "PT1", "the calibration of PT1 was due", (), ("A2",)),)


def test_a_sensor_behind_an_event_counts() -> None:
    # A thermocouple against its own limit, from the start until the pressure is released: when that was, PT1 says.
    until_release = verdict("1", "TC1", Outcome.MET, "TC1", behind=("PT1", "TC1"))
    whole_record = verdict("1", "TC1", Outcome.MET, "TC1", behind=("TC1",))
    assert outcomes(VESSEL, until_release, whole_record) == [Outcome.NOT_SHOWN, Outcome.MET]


def test_a_doubtful_sensor_of_the_vessel_doubts_what_it_speaks_for_alone() -> None:
    load = replace(LOAD, map=(*MAP, line("AIR1", "air", "A2"), line("SEG", "set point", "A2")))
    pressure = (replace(VESSEL[0], sensors=("PT1",)),)
    verdicts = (
        verdict("1", "A2", Outcome.MET, "PT1", behind=("PT1",)),
        verdict("1", "A2", Outcome.MET, "AIR1", behind=("AIR1",)),
        verdict("1", "TC1", Outcome.MET, "TC1", behind=("SEG", "TC1")),
        verdict("1", "TC1", Outcome.MET, "TC1", behind=("PT1", "SEG", "TC1")),
    )
    made = with_blocked(Judgement(1, "R-1", verdicts, (), 1, 0, 0), pressure, load).verdicts
    assert [each.outcome is Outcome.NOT_SHOWN for each in made] == [True, False, False, True]


def test_a_calibration_doubts_what_stands_on_that_sensor_alone() -> None:
    # What the pressure of a bag shows does not stand on a thermocouple of its part, unless an event behind it does.
    due = (Finding("calibration out of date", "TC1", "the calibration of TC1 was due", (), ("1",), ("TC1",)),)
    vacuum = verdict("1", "BAG-1", Outcome.MET, "BT1", behind=("BT1",))
    assert outcomes(
        due,
        vacuum,
        replace(vacuum, behind=("BT1", "TC1")),
        verdict("1", "1", Outcome.MET, "TC1", behind=("TC1",)),
        replace(vacuum, used=(), behind=()),
        verdict("2", "2", Outcome.MET, "TC2", behind=("TC2",)),
    ) == [Outcome.MET, Outcome.NOT_SHOWN, Outcome.NOT_SHOWN, Outcome.NOT_SHOWN, Outcome.MET]


def test_where_anything_is_set_aside_a_calibration_doubts_the_thing_as_a_whole() -> None:
    due = (Finding("calibration out of date", "TC1", "the calibration of TC1 was due", (), ("1",), ("TC1",)),)
    aside = replace(
        verdict("1", "BAG-1", Outcome.MET, "BT1", behind=("BT1",)), set_aside=(SetAside("TC3", 0, 1, "rule", "lost"),)
    )
    assert outcomes(due, aside) == [Outcome.NOT_SHOWN]


def test_a_sensor_inside_a_mean_counts() -> None:
    air = replace(LOAD, map=(*MAP, line("AIR1", "air", "A2")))
    mean = verdict("1", "A2 mean", Outcome.MET, "mean", behind=("AIR1",))
    judgement = Judgement(1, "R-1", (mean, replace(mean, behind=())), (), 1, 0, 0)
    assert [each.outcome for each in with_blocked(judgement, VESSEL, air).verdicts] == [Outcome.NOT_SHOWN, Outcome.MET]


def test_the_same_position_on_another_part_is_another_place() -> None:
    here, there = (replace(line(f"S{number}", "judging", number), position="edge") for number in ("1", "2"))
    load = replace(LOAD, map=(here, there))
    other = (Finding("too few thermocouples", "2", "part 2 has 1", (), ("2",)),)
    judgement = Judgement(1, "R-1", (verdict("1", "edge", Outcome.MET, "edge", behind=("edge",)),), (), 1, 0, 0)
    assert with_blocked(judgement, other, load).verdicts[0].outcome is Outcome.MET


def test_a_finding_that_blocks_nothing_changes_nothing() -> None:
    silent = (Finding("channel nobody claims", "X", "no line claims it"),)
    assert outcomes(silent, verdict("1", "BAG-1", Outcome.MET, "BT1")) == [Outcome.MET]


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
