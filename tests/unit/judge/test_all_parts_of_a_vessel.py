"""'Coldest part thermocouple' of a vessel or a bag means all parts in it; of a part, its own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.judge import judge
from curewright.terms.load import Vessel
from curewright.terms.requirement import Band, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import COLDEST, at_least, channel, load_of, run_of, specification

WHOLE = Phase("record starts", "record ends")


def outcomes(for_each, *, bag="B1", same_name=False):
    """Outcome and deciding sensor for part S1 (180 degC) in a load with S2 (150 degC), against at least 170 degC."""
    run = run_of(channel("TC1", [(0, 180), (1, 180)]), channel("TC2", [(0, 150), (1, 150)]))
    load = load_of(run)
    second = replace(load.parts[0], serial="S2", bag=bag)
    lines = tuple(replace(line, thing="S2") if line.channel == "TC2" else line for line in load.map)
    if same_name:
        lines = tuple(replace(line, position="T") for line in lines)
    load = replace(load, parts=(load.parts[0], second), map=lines)
    form = Band("band", for_each, unit_named("degC"), None, None, COLDEST, WHOLE, at_least("170 degC"))
    found = judge((specification(form),), Vessel("V1", (), (), ()), load, run).verdicts
    return [(verdict.outcome, verdict.margin.channel) for verdict in found if verdict.part == "S1"]


def test_of_a_part_its_own():
    assert outcomes("part") == [(Outcome.MET, "TC1")]


def test_of_a_vessel_all_parts_in_it():
    assert outcomes("vessel") == [(Outcome.NOT_MET, "TC2")]


@pytest.mark.parametrize("bag, expected", [("B1", (Outcome.NOT_MET, "TC2")), ("B2", (Outcome.MET, "TC1"))])
def test_of_a_bag_all_parts_in_it(bag, expected):
    assert outcomes("bag", bag=bag) == [expected]


def test_thermocouples_of_the_same_name_are_told_apart():
    assert outcomes("vessel", same_name=True) == [(Outcome.NOT_MET, "S2 T")]
