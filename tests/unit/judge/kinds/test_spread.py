"""Spreads, by hand: the hottest less the coldest, which turns only where a line has a corner (semantics § 3)."""

from __future__ import annotations

import pytest

from curewright.judge.judge import hall_of, scene_for
from curewright.judge.kinds.spread import judge_spread
from curewright.judge.scene import Thing
from curewright.terms.errors import Place, SpecificationError
from curewright.terms.load import Vessel
from curewright.terms.requirement import Limits, Phase, Signal, Spread
from curewright.terms.units import unit_named
from curewright.terms.verdict import Excursion, Margin, Outcome
from tests.unit.judge.build import (
    PART,
    at_least,
    at_most,
    channel,
    load_of,
    minutes,
    run_of,
    specification,
    verdict,
    within,
)

WHOLE = Phase("record starts", "record ends")
PLACE = Place("spec.yaml", 7, 3, "4.2")


def spread(limits):
    return Spread("spread", "part", unit_named("degC difference"), None, PLACE, Signal(PART, "spread"), WHOLE, limits)


def judged(limits, *channels):
    return verdict(specification(spread(limits), gap=30), run_of(*channels))


def test_met():
    found = judged(
        at_most("10 degC difference"),
        channel("TC1", [(0, 100), (10, 108), (20, 110)]), channel("TC2", [(0, 100), (10, 101), (20, 108)]),
    )  # fmt: skip
    assert (found.outcome, found.reason, found.kind) == (
        Outcome.MET,
        "within the limits throughout the phase",
        "spread",
    )
    # 0, 7 and 2 apart
    assert found.margin == Margin("3", "degC difference", minutes(10), "TC1 - TC2", "7", "at most 10 degC difference")
    assert found.used == ("TC1", "TC2")


def test_not_met():
    found = judged(
        at_most("10 degC difference"),
        channel("TC1", [(0, 100), (10, 120), (20, 110)]), channel("TC2", [(0, 100), (10, 100), (20, 110)]),
    )  # fmt: skip
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.NOT_MET, "-10", "20")
    # 0 to 20 in ten minutes and back: beyond 10 from 5 to 15 min; a grain (1 uK at 2 K/min: 30 us) beside 10 is still equal to it
    grain = 30_000
    assert found.excursions == (
        Excursion("TC1 - TC2", minutes(5) + grain, minutes(15) - grain, "10", "degC difference", minutes(10), True),
    )


def test_unknown_can_only_be_farther_apart():
    found = judged(
        at_most("10 degC difference"),
        channel("TC1", [(0, 100), (10, 0), (20, 110)], bad=(10,)), channel("TC2", [(0, 100), (10, 100), (20, 110)]),
    )  # fmt: skip
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "not known throughout the phase: TC1 unknown over (+0:00:00, +0:20:00)",
    )


@pytest.mark.parametrize(
    "limits",
    [
        at_least("2 degC difference"),
        within("2 degC difference", "10 degC difference"),
        Limits(high=at_most("5 degC difference").high, low_attribute="least spread"),
    ],
)
def test_a_least_spread_is_refused(limits):
    form = spread(limits)
    run = run_of(channel("TC1", [(0, 100), (1, 100)]), channel("TC2", [(0, 100), (1, 100)]))
    load = load_of(run)
    scene = scene_for(hall_of(Vessel("V1", (), (), ()), load, run), load.parts[0], (specification(form),))
    with pytest.raises(SpecificationError) as refused:
        judge_spread(scene, form, Thing("part", "S1"))
    assert str(refused.value) == (
        "spec.yaml:7:3 (clause 4.2): a spread with a least value; expected 'at most' a spread. To do: state the greatest spread"
    )
    found = verdict(specification(form), run)
    assert (found.outcome, found.reason, found.limit) == (Outcome.NOT_SHOWN, str(refused.value), "")
