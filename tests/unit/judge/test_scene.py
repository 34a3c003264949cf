"""Who speaks for a part, in which reference, and what is made once: by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.judge.judge import hall_of, scene_for
from curewright.judge.scene import NOTHING, Member, Options, Thing
from curewright.terms.errors import NeedsBarometer, TraceabilityError
from curewright.terms.load import ALWAYS, Assignment, Bag, Part, Vessel
from curewright.terms.requirement import Group
from tests.unit.judge.build import MIN, PART, channel, load_of, run_of, specification

S1 = Thing("part", "S1")


def points(*values):
    return list(enumerate(values))


CHANNELS = (
    channel("TC2", points(1, 2, 3)),
    channel("TC1", points(4, 5, 6)),
    channel("TOOL1", points(7, 8)),
    channel("AIR1", points(9, 9)),
    channel("BAG1", points(20, 21), "inHg of vacuum"),
    channel("SRC1", points(25, 25), "inHg of vacuum"),
    channel("P1", points(0, 85), "psi gauge"),
)


def scene_of(*channels, load=None, options=None, barometer=None, **more):
    run = run_of(*(channels or CHANNELS), barometer=barometer)
    load = load or load_of(run, **more)
    hall = hall_of(Vessel("V1", (), (), ()), load, run, (), 2 * MIN)
    return scene_for(hall, load.parts[0], (specification(),), options)


def names(members):
    return [member.name for member in members]


def line(sensor, channel, role, thing, start=-ALWAYS, end=ALWAYS, **more):
    return Assignment(sensor, channel, role, thing, "", start, end, "operator A", **more)


def remapped(*lines, channels=CHANNELS):
    return scene_of(*channels, load=replace(load_of(run_of(*channels)), map=lines))


def test_each_group_has_its_sensors():
    scene = scene_of()
    for role, expected in (
        ("part thermocouple", ["TC1", "TC2"]),
        ("tool thermocouple", ["TOOL1"]),
        ("air thermocouple", ["AIR1"]),
        ("bag vacuum", ["BAG1"]),
        ("source vacuum", ["SRC1"]),
        ("vessel pressure", ["P1"]),
    ):
        assert names(scene.members(Group(role), S1)) == expected
        assert scene.members(Group(role), S1) is scene.members(Group(role), S1)
    assert scene.end == 2 * MIN
    assert scene.hall.members_of("judging", "S1")[0].role == "judging"


def test_a_group_by_place_and_by_name():
    scene = scene_of(places={"TC1": "edge"})
    assert names(scene.members(Group("part thermocouple", place="edge"), S1)) == ["TC1"]
    assert names(scene.members(Group("part thermocouple", place="TC2"), S1)) == ["TC2"]
    assert names(scene.members(Group("part thermocouple", place="core"), S1)) == []
    assert names(scene.members(Group("part thermocouple", name="TC2"), S1)) == ["TC2"]
    scene = remapped(line("W1", "TC1", "judging", "S1"), line("W2", "TC2", "judging", "S1"))
    assert names(scene.members(Group("part thermocouple", name="TC2"), S1)) == ["W2"]
    assert names(scene.members(Group("part thermocouple", name="W1"), S1)) == ["W1"]


def test_owners_are_asked_in_turn():
    scene = remapped(line("TOOL1", "TOOL1", "tool", "T1"), line("SRC1", "SRC1", "source", "vessel"))
    assert names(scene.members(Group("tool thermocouple"), S1)) == ["TOOL1"]
    assert names(scene.members(Group("source vacuum"), S1)) == ["SRC1"]
    assert names(scene.members(Group("bag vacuum"), S1)) == []
    for thing in ("V1", "vessel", ""):
        assert names(remapped(line("P1", "P1", "vessel pressure", thing)).members(Group("vessel pressure"), S1)) == [
            "P1"
        ]
    assert names(remapped(line("P1", "P1", "vessel pressure", "V2")).members(Group("vessel pressure"), S1)) == []
    nearest = remapped(line("A", "AIR1", "air", "V1"), line("B", "AIR1", "air", "vessel"))
    assert names(nearest.members(Group("air thermocouple"), S1)) == ["A"]
    assert scene_of().near == ("S1", "B1", "T1", "V1", "run", "vessel", "")


def with_two_parts(bag="B1", names=("TC1", "TC2"), role="judging"):
    run = run_of(*CHANNELS)
    load = load_of(run)
    second = Part("S2", "PN-1", "A", "L1", bag, "T2", "EX-1", "A", ())
    lines = (line(names[0], "TC1", role, "S1"), line(names[1], "TC2", role, "S2"))
    load = replace(load, parts=(*load.parts, second), bags=(*load.bags, Bag("B2", ("3",))), map=lines)
    return scene_of(load=load)


def test_thermocouples_of_all_parts_in_a_bag_or_vessel():
    assert names(with_two_parts().members(PART, S1)) == ["TC1"]
    assert names(with_two_parts().members(PART, Thing("bag", "B1"))) == ["TC1", "TC2"]
    assert names(with_two_parts("B2").members(PART, Thing("bag", "B1"))) == ["TC1"]
    assert names(with_two_parts("B2").members(PART, Thing("vessel", "V1"))) == ["TC1", "TC2"]
    same = with_two_parts(names=("TC", "TC"))
    assert names(same.members(PART, Thing("vessel", "V1"))) == ["S1 TC", "S2 TC"]
    assert names(same.members(PART, S1)) == ["TC"]
    tools = with_two_parts(names=("A", "B"), role="tool")
    assert names(tools.members(Group("tool thermocouple"), Thing("bag", "B1"))) == ["A", "B"]


def test_a_position_is_one_sensor_with_all_its_lines():
    first = line("W1", "TC1", "judging", "S1", end=MIN, position="edge")
    second = line("W2", "TC2", "judging", "S1", start=MIN, position="edge")
    (member,) = remapped(first, second).members(PART, S1)
    assert (member.name, member.role, member.assignments) == ("edge", "judging", (first, second))
    assert [(piece.name, start, end) for piece, start, end in member.pieces] == [
        ("TC1", -ALWAYS, MIN), ("TC2", MIN, ALWAYS),
    ]  # fmt: skip
    assert member.channel.name == "TC1"


def test_a_channel_that_the_run_does_not_have_is_unknown_and_not_gone():
    (member,) = remapped(line("W1", "TC9", "judging", "S1")).members(PART, S1)
    assert (member.channel.name, len(member.channel.t), member.channel.unit.name) == ("TC9", 0, "K")
    lines = (
        line("W1", "TC9", "judging", "S1", end=MIN, position="p"),
        line("W2", "TC1", "judging", "S1", MIN, position="p"),
    )
    (member,) = remapped(*lines).members(PART, S1)
    assert [(piece.name, start, end) for piece, start, end in member.pieces] == [
        ("TC1", MIN, ALWAYS), ("TC9", -ALWAYS, MIN),
    ]  # fmt: skip
    missing = member.pieces[1][0]
    assert (missing.unit.name, missing.file, missing.flags) == (CHANNELS[1].unit.name, "log.csv", ())
    assert [len(array) for array in (missing.t, missing.v, missing.bad, missing.raw, missing.row)] == [0] * 5
    assert NOTHING.kind == "continuous"


def test_a_channel_by_any_of_its_names_nearest_thing_first():
    lines = (
        line("W1", "TC1", "judging", "S1", position="edge"),
        line("W2", "TC2", "judging", "S1", position="core"),
        line("G", "AIR1", "air", "V1"),
        line("F", "SRC1", "air", "S1"),
    )
    scene = remapped(*lines)
    for name, expected in (
        ("judging", ["core", "edge"]),
        ("W1", ["edge"]),
        ("TC2", ["core"]),
        ("edge", ["edge"]),
        ("air", ["F"]),  # the part's own before the vessel's
        ("G", ["G"]),
        ("P1", ["P1"]),  # on no line of the map: the column itself
        ("none", []),
    ):
        assert names(scene.members(Group("channel", name), S1)) == expected
    (column,) = scene.members(Group("channel", "P1"), S1)
    assert (column.role, column.place, column.assignments) == ("channel", "", ())
    assert [(piece.name, start, end) for piece, start, end in column.pieces] == [("P1", -ALWAYS, ALWAYS)]
    assert scene.members(Group("channel", "W1"), S1)[0].role == "judging"
    assert scene.members(Group("channel"), S1) == ()


def test_a_sensor_that_the_map_does_not_name_is_asked_for():
    scene = remapped(line("W1", "TC1", "judging", "S1"))
    assert names(scene.need(PART, S1)) == ["W1"]
    with pytest.raises(TraceabilityError) as caught:
        scene.need(Group("bag vacuum"), S1)
    assert str(caught.value) == (
        "no channel on the sensor map is a bag vacuum of part S1; expected a line of the sensor map that names one."
        " To do: complete the sensor map of the load"
    )
    with pytest.raises(TraceabilityError, match=r"^no channel on the sensor map is 'door' of part S1; expected"):
        scene.need(Group("channel", "door"), S1)


BAROMETER = 101_000_000.0  # mPa


@pytest.mark.parametrize(
    "own, wanted, expected",
    [
        ("gauge", "gauge", (1.0, 0.0)),
        ("absolute", "absolute", (1.0, 0.0)),
        ("vacuum", "vacuum", (1.0, 0.0)),
        ("gauge", "vacuum", (-1.0, 0.0)),
        ("vacuum", "gauge", (-1.0, 0.0)),
        ("absolute", "gauge", (1.0, -BAROMETER)),
        ("absolute", "vacuum", (-1.0, BAROMETER)),
        ("gauge", "absolute", (1.0, BAROMETER)),
        ("vacuum", "absolute", (-1.0, BAROMETER)),
    ],
)
def test_from_one_reference_to_another(own, wanted, expected):
    assert scene_of(barometer=BAROMETER).change_of_reference(own, wanted, "P1") == expected
    if 0.0 in expected:
        assert scene_of().change_of_reference(own, wanted, "P1") == expected


def test_a_barometer_is_asked_for_where_one_is_needed():
    with pytest.raises(NeedsBarometer) as caught:
        scene_of().change_of_reference("gauge", "absolute", "P1")
    assert str(caught.value) == (
        "P1 reads gauge pressure and the requirement is stated absolute; expected the ambient pressure of the run, or the"
        " site pressure of the vessel. To do: give the barometer reading in the run sheet"
    )
    with pytest.raises(NeedsBarometer, match=r"^P1 reads absolute pressure and the requirement is stated as vacuum;"):
        scene_of().change_of_reference("absolute", "vacuum", "P1")


def test_traces_are_made_once_and_in_the_reference_asked_for():
    scene = scene_of(barometer=BAROMETER)
    (pressure,) = scene.members(Group("vessel pressure"), S1)
    plain = scene.trace(pressure, None)
    assert plain is scene.trace(pressure, "gauge")
    absolute = scene.trace(pressure, "absolute")
    assert absolute is scene.trace(pressure, "absolute")
    assert (absolute.v - plain.v).tolist() == [BAROMETER, BAROMETER]
    assert scene.trace(pressure, "vacuum").v.tolist() == (-plain.v).tolist()
    (air,) = scene.members(Group("air thermocouple"), S1)
    assert scene.trace(air, "absolute") is scene.trace(air, None)


def test_traces_know_the_largest_gap_the_raw_values_and_how_they_are_held():
    corrected = replace(channel("TC1", [(0, 1), (2, 2), (5, 3)]), raw=np.array([7.0, 8.0, 9.0]))
    scene = scene_of(corrected, channel("TC2", [(0, 1), (2, 2), (5, 3)]))
    one, other = scene.members(PART, S1)
    trace = scene.trace(one, None)
    assert trace.link.tolist() == [0, 1, 1]
    assert (trace.name, trace.hold) == ("TC1", False)
    assert scene.trace(one, None, raw=True).v.tolist() == [7, 8, 9]
    assert scene.trace(other, None).t is trace.t  # the same instants are one array
    held = scene_of(corrected, options=Options(held=True))
    (one,) = held.members(PART, S1)
    assert held.trace(one, None).hold
    assert held.trace(one, None) is held.trace(one, None)
    assert held.hall.trace(one, 2 * MIN, raw=False, held=False).hold is False
    assert held.hall.trace(one, 3 * MIN, raw=False, held=False).link.tolist() == [0, 0, 1]
    state = channel("VALVE1", [(0, "a"), (1, "b")], kind="state", states=("a", "b"))
    member = Member("VALVE1", "channel", "", ((state, -ALWAYS, ALWAYS),), ())
    assert held.trace(member, None) is held.hall.trace(member, 2 * MIN, raw=False, held=False)


def test_axes_are_shared_only_where_they_are_the_same():
    base = channel("TC1", [(0, 1), (1, 2), (5, 3)])
    other = channel("TC2", [(0, 1), (2, 2), (5, 3)])
    third = channel("TC3", [(0, 1), (2, 2), (5, 3)])
    empty = channel("TC4", [(0, 1)], bad=(0,))
    scene = scene_of(base, other, third, empty)
    traces = [scene.trace(member, None) for member in scene.members(PART, S1)]
    assert traces[1].t is not traces[0].t
    assert traces[2].t is traces[1].t
    assert len(traces[3].t) == 0


def test_equal_nouns_have_one_number():
    hall = scene_of().hall
    one, same, other = Group("channel", "A"), Group("channel", "A"), Group("channel", "B")
    assert [hall.token(noun) for noun in (one, same, other, one)] == [0, 0, 1, 0]


def test_two_parts_with_sensors_of_one_name():
    scene = with_two_parts(names=("TC", "TC"))
    one, two = (scene.hall.members_of("judging", serial)[0] for serial in ("S1", "S2"))
    assert one.name == two.name
    assert scene.trace(one, None).v.tolist() == CHANNELS[1].v.tolist()
    assert scene.trace(two, None).v.tolist() == CHANNELS[0].v.tolist()
    held = scene_for(scene.hall, scene.part, (specification(),), Options(held=True))
    assert held.trace(one, None).v.tolist() == CHANNELS[1].v.tolist()
    assert held.trace(two, None).v.tolist() == CHANNELS[0].v.tolist()


def test_only_thermocouples_on_parts_are_looked_for_on_all_parts():
    lines = (
        line("B1", "BAG1", "bag transducer", "B1"),
        line("B2", "SRC1", "bag transducer", "B2"),
        line("A", "AIR1", "air", "B1"),
    )
    scene = with_two_parts("B2")
    scene = scene_of(load=replace(scene.hall.load, map=lines))
    assert names(scene.members(Group("bag vacuum"), Thing("vessel", "V1"))) == ["B1"]
    assert names(scene.members(Group("air thermocouple"), S1)) == []  # a bag has no air of its own
