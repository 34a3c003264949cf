"""What the local atmosphere makes impossible (case 31 of the binding cases), and what it does not."""

from __future__ import annotations

import pytest

from curewright.terms.errors import Place, Unattainable
from curewright.terms.units import UNITS
from curewright.understand.attainable import attainable
from curewright.understand.specification import understand
from tests.unit.understand.head import HEAD, clause, text_of

HIGH_SITE = 79.50e6  # mPa: 79.50 kPa, as in case 31
SEA_LEVEL = 101.325e6
REMEDY = ". To do: cure where the air pressure allows it, or have the limit changed by those who own the specification"


def said(form: str, barometer: float = HIGH_SITE, head: str = HEAD) -> list[str]:
    return [str(error) for error in attainable(understand(text_of(clause(form), head=head), "s.yaml"), barometer)]


BAND = "band: {{for each: part, signal: {}, from: soak starts, to: soak ends, within: {}}}"


def test_case_31() -> None:
    """25 inHg of vacuum at 79.50 kPa: 79.50 / 3.386389 = 23.48 inHg is all there is (NIST SP 811, inch of mercury at 0 °C)."""
    (error,) = attainable(understand(text_of(clause(BAND.format("bag vacuum", "at least 25"))), "s.yaml"), HIGH_SITE)
    assert isinstance(error, Unattainable)
    assert error.where == Place("s.yaml", 25, 11, "1")
    assert str(error) == (
        "s.yaml:25:11 (clause 1): 'band' asks for at least 25 inHg of vacuum, but 23.48 inHg of vacuum is all there is at 79.50 kPa absolute"  # noqa: E501
        + REMEDY
    )


@pytest.mark.parametrize(
    "signal, limits, possible",
    [
        ("bag vacuum", "at least 22", True),
        ("bag vacuum", "at most 25", True),
        ("bag vacuum", "at least 79.5 kPa of vacuum", True),
        ("bag vacuum", "above 79.5 kPa of vacuum", False),
        ("bag vacuum", "at least 79.6 kPa of vacuum", False),
        ("bag pressure", "at most -79.5 kPa gauge", True),
        ("bag pressure", "below -79.5 kPa gauge", False),
        ("bag pressure", "at most -0.8 bar gauge", False),
        ("bag pressure", "at least -0.9 bar gauge", True),
        ("bag pressure", "at most 0 kPa absolute", True),
        ("bag pressure", "below 0 kPa absolute", False),
        ("bag pressure", "at most -1 kPa absolute", False),
        ("vessel pressure minus bag pressure", "at most -20 bar", True),
        ("coldest", "at most -400", True),
    ],
)
def test_limits(signal: str, limits: str, possible: bool) -> None:
    assert (said(BAND.format(signal, limits)) == []) is possible


def test_how_low_a_pressure_can_be_is_told() -> None:
    assert said(BAND.format("bag pressure", "at most -0.8 bar gauge")) == [
        "s.yaml:25:11 (clause 1): 'band' asks for at most -0.8 bar gauge, but -0.795 bar gauge is the lowest there is "
        "at 79.50 kPa absolute" + REMEDY
    ]
    for limits, barometer, told in (
        ("at most -1 kPa absolute", HIGH_SITE, "but 0 kPa absolute is the lowest there is"),
        ("at most -80000 Pa gauge", HIGH_SITE, "but -79500 Pa gauge is the lowest there is"),
        ("at most -1001 mbar gauge", 1e8, "but -1000 mbar gauge is the lowest there is"),
    ):
        assert told in said(BAND.format("bag pressure", limits), barometer)[0]
    assert (
        "but 999 mbar of vacuum is all there is"
        in said(BAND.format("bag vacuum", "at least 1001 mbar of vacuum"), 9.99e7)[0]
    )


def test_at_event_and_leak_check() -> None:
    assert len(said("at event: {for each: bag, event: vent begins, signal: bag vacuum, within: at least 25}")) == 1
    leak = "leak check: {for each: bag, isolated by: source closed, settling: 0 min, window: worst, loses: at most 30 inHg in 5 min"
    assert said(leak + "}") == []
    assert said(leak + ", starting: at least 22}") == []
    (starting,) = said(leak + ", starting: at least 25}")
    assert "'leak check' asks for at least 25 inHg of vacuum" in starting
    assert len(said(leak + ", starting: at least 25, pressure inside: at most -1 kPa absolute}")) == 2


WAY = "{{runs while: it is at least {}, within: at least 1}}"


@pytest.mark.parametrize("levels, impossible", [((25, 26), 2), ((25, 20), 0), ((20, 21), 0)])
def test_a_duration_only_where_no_way_is_left(levels: tuple[int, int], impossible: int) -> None:
    ways = ", ".join(WAY.format(level) for level in levels)
    form = f"duration: {{for each: part, from: soak starts, to: soak ends, clock of: bag vacuum, when it leaves: the clock pauses, either: [{ways}]}}"  # noqa: E501
    assert len(said(form)) == impossible


def test_an_event_that_can_never_be() -> None:
    head = HEAD.replace(
        "events:\n", "events:\n  pumped: {for each: bag, when: hand entry, else: bag vacuum reaches 25}\n"
    )
    order = "order: {for each: bag, first: source closed, then: pressure released}"
    assert said(order, head=head) == [
        "s.yaml:13:11: the event 'pumped' can never be: at least 25 inHg of vacuum, but 23.48 inHg of vacuum is all there is "
        "at 79.50 kPa absolute" + REMEDY
    ]
    assert said(order, SEA_LEVEL, head) == []


def test_at_sea_level_there_are_29_92_inches() -> None:
    """101.325 kPa are 29.92 inHg (the standard atmosphere of every handbook)."""
    assert said(BAND.format("bag vacuum", "at least 29.92"), SEA_LEVEL) == []
    assert "29.92 inHg of vacuum is all there is" in said(BAND.format("bag vacuum", "at least 29.93"), SEA_LEVEL)[0]
    assert UNITS["kPa absolute"].from_grains(SEA_LEVEL) == pytest.approx(101.325)
