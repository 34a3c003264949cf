"""A computed signal that is not shown says where the run left what the card covers. The card's numbers are made up for these tests."""

from decimal import Decimal

import pytest

from curewright.judge.judge import judge
from curewright.physics.card import Card, Law, Range, Value
from curewright.terms.load import Vessel
from curewright.terms.requirement import Computation, Computed, Group, Phase, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import at_least, channel, load_of, run_of, specification

# A slow law that may be used from 20 to 150 °C and up to 2 K/min. The constants are of no resin.
NUMBERS = {"A1": 1e5, "A2": 1e4, "A3": 1e4, "E1": 8e4, "E2": 8e4, "E3": 6e4, "B": 0.5, "switch": 0.3}
LAW = Law("lee 1982", tuple(Value(name, n, str(n), "1", "made up", "our own choice") for name, n in NUMBERS.items()))
CARD = Card(
    "made_up", "1", "none", "none",
    Range(293.15, 423.15, "K", "made up", "our own choice"),
    Range(0.0, 2 / 60, "K/s", "made up", "our own choice"),
    Range(0.0, 0.9, "1", "made up", "our own choice"),
    LAW,
)  # fmt: skip


def verdict_of(*channels, phase=("record starts", "record ends")):
    asked = Computation("degree of cure", "made_up", "1", "record starts", Decimal("0.02"), True)
    signal = Signal(Group("part thermocouple"), "coldest", computed=asked)
    form = Computed(
        "computed", "part", unit_named("fraction"), None, None, signal, None, Phase(*phase), at_least("0.01 fraction")
    )
    run = run_of(*channels)
    spec = specification(form, gap=120)
    (found,) = judge((spec,), Vessel("V1", (), (), ()), load_of(run), run, cards=(CARD,)).verdicts
    return found


def test_inside_the_range_it_is_judged():
    found = verdict_of(channel("TC1", [(0, 100.0), (60, 150.0)]))
    assert (found.outcome, "range of card" in found.reason) == (Outcome.MET, False)


@pytest.mark.parametrize(
    "points, where, why",
    [
        ([(0, 100.0), (30, 149.0), (60, 151.5)], "+1:00:00", "151.5 °C is outside 20 to 150 °C"),
        ([(0, 100.0), (10, 130.0), (60, 140.0)], "+0:10:00", "heating at 3.00 K/min is faster than 2 K/min"),
    ],
)
def test_outside_it_is_not_shown_and_says_which_thermocouple_when_and_why(points, where, why):
    found = verdict_of(channel("TC1", [(t, 100.0) for t in range(0, 61, 10)]), channel("TC2", points))
    assert found.outcome is Outcome.NOT_SHOWN
    assert f"TC2 at {where}: {why}" in found.reason
    assert "card made_up revision 1" in found.reason


def test_the_first_to_leave_is_the_one_named():
    hot, hotter = [(0, 100.0), (30, 120.0), (90, 155.0)], [(0, 100.0), (60, 156.0), (90, 156.0)]
    found = verdict_of(channel("TC1", hot), channel("TC2", hotter))
    assert "TC2 at +1:00:00: 156.0 °C" in found.reason
    assert "TC1 at" not in found.reason


def test_what_is_unknown_for_another_reason_is_not_laid_on_the_card():
    found = verdict_of(channel("TC1", [(t, 100.0) for t in range(0, 61, 10)], bad=[30]))
    assert found.outcome is Outcome.NOT_SHOWN
    assert "card" not in found.reason
