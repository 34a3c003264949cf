"""From a signal of the paper to the envelope that answers for it: by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from curewright.judge import signals
from curewright.judge.envelope import GREATEST, LEAST, ONE
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.scene import Thing
from curewright.judge.signals import common_reference, envelope, of_vessel
from curewright.judge.steps import NEVER
from curewright.terms.errors import SpecificationError
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import Computation, Group, LostThermocouples, Signal
from curewright.terms.verdict import SetAside
from tests.unit.judge.build import COLDEST, EACH, HOTTEST, MIN, PART, channel, load_of, minutes, run_of, specification

S1 = Thing("part", "S1")
AIR, PRESSURE, BAG = Group("air thermocouple"), Group("vessel pressure"), Group("bag vacuum")
MEAN, SPREAD = Signal(PART, "mean"), Signal(PART, "spread")
CHANNELS = (
    channel("TC1", [(0, 10), (1, 20), (2, 30)]),
    channel("TC2", [(0, 30), (1, 30), (2, 30)]),
    channel("AIR1", [(0, 50), (1, 50), (2, 50)]),
    channel("P1", [(0, 85), (1, 85)], "psi gauge"),
    channel("BAG1", [(0, 20), (1, 20)], "inHg of vacuum"),
)


def scene_of(*channels, rulings=(), lost=None, barometer=None, options=None):
    spec = specification(lost=lost)
    run = run_of(*(channels or CHANNELS), barometer=barometer)
    load = load_of(run)
    hall = hall_of(Vessel("V1", (), (), ()), load, run, tuple(rulings), spec.largest_gap)
    return scene_for(hall, load.parts[0], (spec,), options)


def found(signal, scene=None, thing=S1, reference=None):
    return envelope(scene or scene_of(), signal, thing, reference)


def labels(envelope):
    return [atom.label for atom in envelope.sensors]


def test_each_way_to_take_a_group():
    assert [found(signal).kind for signal in (COLDEST, HOTTEST, SPREAD, MEAN)] == [LEAST, GREATEST, GREATEST, ONE]
    assert labels(found(COLDEST)) == ["TC1", "TC2"]
    assert found(COLDEST).less == ()
    spread = found(SPREAD)
    assert spread.less is spread.sensors
    assert labels(found(MEAN)) == ["mean"]
    assert found(MEAN).value(0).value == (found(COLDEST).value(0).value + found(HOTTEST).value(0).value) / 2
    assert found(Signal(AIR, "single")).kind == ONE


def test_envelopes_are_made_once():
    scene = scene_of()
    assert found(COLDEST, scene) is found(Signal(PART, "coldest"), scene)
    assert found(COLDEST, scene, Thing("bag", "B1")) is not found(COLDEST, scene)
    assert found(COLDEST, scene) is not found(HOTTEST, scene)
    air = found(Signal(AIR, "single"), scene)
    other = scene_for(scene.hall, scene.part, (scene.specification,))
    assert found(Signal(AIR, "single"), other) is air  # the vessel's is shared by all parts
    assert found(COLDEST, other) is not found(COLDEST, scene)
    assert found(Signal(AIR, "single"), scene, Thing("bag", "B1")) is air
    wider = replace(scene.specification, largest_gap=9 * MIN)
    assert found(Signal(AIR, "single"), scene_for(scene.hall, scene.part, (wider,))) is not air
    ruled = scene_for(scene.hall, scene.part, (scene.specification,), replace(scene.options, rulings=False))
    assert found(Signal(AIR, "single"), ruled) is not air
    assert found(Signal(PRESSURE, "single"), scene, S1, "gauge") is not found(
        Signal(PRESSURE, "single"), scene, S1, "vacuum"
    )


def test_what_belongs_to_the_vessel():
    air, pressure = Signal(AIR, "mean"), Signal(PRESSURE, "single")
    assert of_vessel(air)
    assert of_vessel(pressure)
    assert of_vessel(replace(air, minus=air))
    assert not of_vessel(COLDEST)
    assert not of_vessel(replace(air, minus=COLDEST))
    assert not of_vessel(Signal(BAG, "single"))
    made = Computation("degree of cure", "card", "A", "x", Decimal("0.01"), True)
    assert not of_vessel(replace(air, computed=made))


def test_several_sensors_where_one_is_meant():
    with pytest.raises(SpecificationError) as caught:
        found(Signal(PART, "single"))
    assert str(caught.value) == (
        "the signal 'single part thermocouple' meets 2 sensors here: TC1, TC2; expected one sensor, or coldest, hottest or"
        " mean. To do: say which, or judge each of them"
    )
    assert labels(found(Signal(Group("part thermocouple", "TC2"), "single"))) == ["TC2"]


def test_a_thermocouple_stands_for_itself():
    scene = scene_of()
    one, two = scene.members(PART, S1)
    thing = Thing("part thermocouple", "TC2", two)
    assert labels(found(EACH, scene, thing)) == ["TC2"]
    assert labels(found(Signal(PART, "single"), scene, thing)) == ["TC2"]
    assert labels(found(COLDEST, scene, thing)) == ["TC1", "TC2"]
    assert labels(found(Signal(AIR, "each"), scene, thing)) == ["AIR1"]
    with pytest.raises(SpecificationError):
        found(EACH, scene_of(), Thing("part thermocouple", "TC2"))
    assert signals.peers_of(scene, (two,), thing) == (one, two)
    air = scene.members(AIR, S1)
    assert signals.peers_of(scene, air, S1) == air
    assert signals.peers_of(scene, (one, two), thing) == (one, two)
    tool = replace(two, role="tool")
    assert signals.peers_of(scene, (tool,), S1) == (tool,)


RULING = Ruling("set aside", "TC2", minutes(0.5), minutes(1.5), "engineer C", "loose")


def test_what_is_set_aside_is_left_out_and_said():
    entry = SetAside("TC2", minutes(0.5), minutes(1.5), "engineer C", "loose")
    coldest = found(COLDEST, scene_of(rulings=[RULING]))
    assert coldest.aside == (entry,)
    assert coldest.cuts == (minutes(0.5), minutes(1.5))
    assert [atom.aside for atom in coldest.sensors] == [(), ((minutes(0.5), minutes(1.5)),)]
    assert coldest.sensors[1].trace.link.tolist() == [2, 2, 1]  # its sample at 1 has no say outside
    assert coldest.sensors[0].trace.link.tolist() == [0, 0, 1]
    mean = found(MEAN, scene_of(rulings=[RULING]))
    assert (mean.aside, mean.cuts) == ((entry,), (minutes(0.5), minutes(1.5)))
    spread = found(SPREAD, scene_of(rulings=[RULING]))
    assert (spread.aside, spread.cuts) == ((entry,), (minutes(0.5), minutes(1.5)))
    assert found(Signal(Group("part thermocouple", "TC1"), "single"), scene_of(rulings=[RULING])).aside == ()


def test_the_rule_looks_among_all_of_the_part():
    lost = channel("TC2", [(0, 30.0), (1, 30.0)])
    long = [channel(name, [(t, v) for t in range(9)]) for name, v in (("TC1", 20.0), ("TC3", 40.0))]
    scene = scene_of(long[0], lost, long[1], lost=LostThermocouples(None, True, 2))
    two = scene.members(PART, S1)[1]
    each = found(EACH, scene, Thing("part thermocouple", "TC2", two))
    assert [(entry.channel, entry.start, entry.end) for entry in each.aside] == [("TC2", MIN, NEVER)]
    assert found(COLDEST, scene).cuts == (MIN, NEVER)
    assert found(HOTTEST, scene).cuts == (MIN, NEVER)
    assert found(SPREAD, scene).cuts == (MIN, NEVER)
    assert found(MEAN, scene).cuts == ()  # a mean needs all of its thermocouples


def less(signal, other, **more):
    return found(replace(signal, minus=other), scene_of(**more))


def test_a_difference_leans_one_way_only():
    air = Signal(AIR, "single")
    assert [less(air, other).kind for other in (COLDEST, HOTTEST, MEAN)] == [GREATEST, LEAST, ONE]
    assert [less(signal, air).kind for signal in (COLDEST, HOTTEST, MEAN)] == [LEAST, GREATEST, ONE]
    assert less(HOTTEST, COLDEST).kind == GREATEST
    assert less(COLDEST, HOTTEST).kind == LEAST
    with pytest.raises(SpecificationError) as caught:
        less(COLDEST, COLDEST)
    assert str(caught.value) == (
        "the difference of the coldest and the coldest of two groups is neither a least nor a greatest; expected a single"
        " sensor or a mean on one side, or the hottest less the coldest. To do: state which of the two groups is taken"
        " sensor by sensor"
    )
    with pytest.raises(SpecificationError, match="the difference of the hottest and the hottest of"):
        less(HOTTEST, HOTTEST)


def test_a_difference_of_two_groups():
    made = less(Signal(AIR, "single"), COLDEST, rulings=[RULING, replace(RULING, sensor="AIR1", start=minutes(1.2))])
    assert labels(made) == ["AIR1"]
    assert [atom.label for atom in made.less] == ["TC1", "TC2"]
    assert [entry.channel for entry in made.aside] == ["AIR1", "TC2"]
    assert made.cuts == (minutes(0.5), minutes(1.2), minutes(1.5))
    assert less(Signal(AIR, "single"), COLDEST).value(0).value == 40_000_000  # 50 less 10 K


def test_in_which_reference_two_pressures_are_subtracted():
    scene = scene_of()
    pressure, vacuum, air = Signal(PRESSURE, "single"), Signal(BAG, "single"), Signal(AIR, "single")
    assert common_reference(scene, pressure, vacuum, S1) == "gauge"
    assert common_reference(scene, air, air, S1) is None
    absolute = channel("P1", [(0, 85), (1, 85)], "psi absolute")
    scene = scene_of(*CHANNELS[:3], absolute, CHANNELS[4], barometer=101_000_000.0)
    assert common_reference(scene, pressure, pressure, S1) == "absolute"
    assert common_reference(scene, pressure, vacuum, S1) == "gauge"
    made = found(replace(pressure, minus=vacuum), scene)
    bar, bag = made.sensors[0].trace.v[0], made.less[0].trace.v[0]
    assert bar == absolute.v[0] - 101_000_000.0
    assert bag == CHANNELS[4].v[0]
    turned = found(replace(vacuum, minus=pressure), scene)
    assert (turned.sensors[0].trace.v[0], turned.less[0].trace.v[0]) == (bag, bar)


def test_raw_values_and_the_reference_asked_for():
    corrected = replace(CHANNELS[0], raw=CHANNELS[0].v + 5)
    scene = scene_of(corrected)
    single = Signal(PART, "single")
    assert (
        found(replace(single, raw=True), scene).sensors[0].trace.v - found(single, scene).sensors[0].trace.v
    ).tolist() == [5] * 3
    vacuum = found(Signal(BAG, "single"), scene_of(), S1, "vacuum")
    assert vacuum.sensors[0].trace.v[0] == -CHANNELS[4].v[0]
    assert [member.name for member in vacuum.sensors[0].members] == ["BAG1"]
