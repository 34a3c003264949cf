"""Pressures at the first sample: levels by hand (an atmosphere is about 100 kPa)."""

from datetime import UTC, datetime

import pytest

from curewright.read.pressures_at_start import at_start
from curewright.terms.load import ALWAYS, Assignment, Load
from curewright.terms.run import Run
from tests.unit.judge.build import channel


def findings(vessel: str, bag: str, *, bad: bool = False) -> list[str]:
    lines = tuple(
        Assignment(name, name, role, thing, "", 0, ALWAYS, "P")
        for name, role, thing in (("P", "vessel pressure", "v"), ("B", "bag transducer", "B1"))
    )
    channels = {}
    for name, text in (("P", vessel), ("B", bag)):
        number, _, unit = text.partition(" ")
        channels[name] = channel(name, [(0, float(number)), (1, float(number))], unit, bad=(0,) if bad else ())
    run = Run("r", datetime(2031, 3, 4, tzinfo=UTC), "v", channels)
    return [str(one) for one in at_start(Load("r", "v", None, (), (), lines), run)]


@pytest.mark.parametrize(
    "vessel, bag, asks",
    [
        ("0.00 bar absolute", "-800 mbar gauge", "is it gauge?"),
        ("1.01 bar gauge", "-800 mbar gauge", "is it absolute?"),
        ("0.01 bar gauge", "880 mbar gauge", "is its sign, or its unit, another one?"),
        ("0.01 bar gauge", "-880 mbar of vacuum", "is its sign, or its unit, another one?"),
    ],
)
def test_what_is_strange_is_asked_about_by_name(vessel: str, bag: str, asks: str) -> None:
    (only,) = findings(vessel, bag)
    assert only.startswith("pressure strange at the start: ")
    assert asks in only


@pytest.mark.parametrize(
    "vessel, bag",
    [
        ("0.01 bar gauge", "-880 mbar gauge"),
        ("1.01 bar absolute", "880 mbar of vacuum"),
        ("0.98 bar absolute", "120 mbar absolute"),
        ("6.3 bar gauge", "300 mbar gauge"),  # the recorder was started late
    ],
)
def test_what_makes_sense_is_not_spoken_of(vessel: str, bag: str) -> None:
    assert findings(vessel, bag) == []


def test_a_first_sample_that_is_no_value_tells_nothing() -> None:
    assert findings("0.00 bar absolute", "880 mbar gauge", bad=True) == []
