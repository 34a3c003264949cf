"""For which things a requirement is judged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.scene import Thing
from curewright.judge.things import things_of
from curewright.terms.errors import Place, TraceabilityError
from curewright.terms.requirement import Band, Group, Phase, Recording, Signal
from curewright.terms.units import unit_named
from tests.unit.judge.build import EACH, at_least, at_most, channel
from tests.unit.judge.test_scene import CHANNELS, S1, scene_of

WHOLE = Phase("record starts", "record ends")
BAND = Band("band", "part", unit_named("degC"), None, None, EACH, WHOLE, at_least("1 degC"))
SCENE = scene_of(*CHANNELS, places={"TC2": "edge"})


def found(form, scene=SCENE):
    return [(thing.kind, thing.name, thing.member) for thing in things_of(scene, form)]


def members(role):
    return SCENE.members(Group(role), S1)


def test_the_part_its_bag_and_the_vessel():
    assert found(BAND) == [("part", "S1", None)]
    assert found(replace(BAND, for_each="bag")) == [("bag", "B1", None)]
    assert found(replace(BAND, for_each="vessel")) == [("vessel", "V1", None)]
    assert found(replace(BAND, for_each="run")) == [("vessel", "V1", None)]


def test_each_thermocouple():
    one, two = members("part thermocouple")
    each = replace(BAND, for_each="part thermocouple")
    assert found(each) == [("part thermocouple", "TC1", one), ("part thermocouple", "TC2", two)]
    edge = replace(each, signal=Signal(Group("part thermocouple", place="edge"), "each"))
    assert found(edge) == [("part thermocouple", "TC2", two)]
    (tool,) = members("tool thermocouple")
    assert found(replace(BAND, for_each="tool thermocouple")) == [("tool thermocouple", "TOOL1", tool)]


def test_the_group_that_a_form_without_a_signal_names():
    edge = Group("part thermocouple", place="edge")
    form = Recording("r", "part thermocouple", unit_named("s"), None, None, edge, WHOLE, at_most("60 s"))
    assert found(form) == [("part thermocouple", "TC2", members("part thermocouple")[1])]


def test_a_part_without_such_a_sensor():
    place = Place("spec.yaml", 3)
    form = replace(BAND, for_each="air thermocouple", place=place)
    scene = scene_of(channel("TC1", [(0, 1), (1, 1)]))
    with pytest.raises(TraceabilityError) as caught:
        things_of(scene, form)
    assert str(caught.value) == (
        "spec.yaml:3: part S1 has no air thermocouple on the sensor map; expected at least one air thermocouple."
        " To do: complete the sensor map of the load"
    )
    assert Thing("part", "S1").member is None
