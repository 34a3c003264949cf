"""What is set aside, by whom or by which rule, and why not: by hand, in minutes and degrees."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge import aside
from curewright.judge.aside import COLDEST, HOTTEST
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.scene import Options
from curewright.judge.steps import NEVER
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import LostThermocouples
from curewright.terms.verdict import SetAside
from tests.unit.judge.build import channel, load_of, minutes, run_of, specification

BOTH, COLD, HOT, NONE = frozenset({COLDEST, HOTTEST}), frozenset({COLDEST}), frozenset({HOTTEST}), frozenset()
RULE = LostThermocouples(None, True, 2)
# TC1 colder, TC2 between and lost from minute 4 on, TC3 hotter
TC1 = channel("TC1", [(t, 170.0) for t in range(11)])
TC2 = channel("TC2", [(t, 175.0) for t in range(5)])
TC3 = channel("TC3", [(t, 180.0) for t in range(11)])
BY_RULE = ("rule for lost thermocouples", "lost; enough others remain and it was not the one that decided")


def scene_of(*channels, rule=RULE, rulings=(), places=None, options=None, load=None, **run):
    spec = specification(lost=rule)
    run = run_of(*channels, **run)
    load = load or load_of(run, places)
    hall = hall_of(Vessel("V1", (), (), ()), load, run, tuple(rulings), spec.largest_gap)
    return scene_for(hall, load.parts[0], (spec,), options)


def members_of(scene):
    return scene.hall.members_of("judging", "S1")


def ruling(sensor, start, end, kind="set aside"):
    return Ruling(kind, sensor, minutes(start), minutes(end), "engineer C", "loose")


def by_rule(scene, sides):
    return aside.by_rule(scene, members_of(scene), sides)


def test_a_sensor_is_lost_when_no_good_sample_follows_for_the_stated_time():
    silent = channel("TC1", [(0, 1), (1, 1), (4, 1), (5, 1), (8.5, 1), (9, 1), (10, 1)])
    scene = scene_of(silent)
    (one,) = members_of(scene)
    assert aside.losses(scene, one) == [(minutes(5), minutes(8.5))]  # 3 minutes are not yet a loss
    assert aside.losses(scene, one) is aside.losses(scene, one)


def test_a_loss_that_lasts_to_the_end_lasts_for_good():
    scene = scene_of(TC1, TC2, TC3)
    assert [aside.losses(scene, one) for one in members_of(scene)] == [[], [(minutes(4), NEVER)], []]
    scene = scene_of(TC1, channel("TC2", [(t, 1) for t in range(8)]), TC3)  # exactly the stated time: not yet
    assert aside.losses(scene, members_of(scene)[1]) == []


def test_what_never_began_is_not_lost():
    scene = scene_of(
        TC1, channel("TC2", [(5, 1), (6, 1), (7, 1), (8, 1), (9, 1), (10, 1)]), channel("TC3", [(0, 1)], bad=(0,))
    )
    assert [aside.losses(scene, one) for one in members_of(scene)] == [[], [], []]
    scene = scene_of(TC1, channel("TC2", [(0, 1), (5, 1), (6, 1), (10, 1)], bad=(5, 6)))
    assert aside.losses(scene, members_of(scene)[1]) == [(0, minutes(10))]


def test_the_rule_sets_aside_one_that_did_not_decide():
    scene = scene_of(TC1, TC2, TC3)
    entry = SetAside("TC2", minutes(4), NEVER, *BY_RULE)
    for sides in (BOTH, COLD, HOT):
        assert by_rule(scene, sides) == {"TC2": (entry,)}
    assert by_rule(scene, NONE) == {}
    assert aside.aside_of(scene, members_of(scene), COLD) == {"TC2": (entry,)}
    assert aside.why_kept(scene, members_of(scene), BOTH) == ()


def test_the_rule_is_asked_only_where_it_is_stated_and_wanted():
    assert by_rule(scene_of(TC1, TC2, TC3, rule=LostThermocouples(None, False, 2)), BOTH) == {}
    assert by_rule(scene_of(TC1, TC2, TC3, options=Options(rule=False)), BOTH) == {}


@pytest.mark.parametrize(
    "own, sides, decided",
    [
        (169.0, COLD, True),
        (170.0, COLD, True),  # as cold as the coldest: it may have been the one
        (170.5, COLD, False),
        (169.0, HOT, False),
        (180.0, HOT, True),
        (181.0, HOT, True),
        (179.5, HOT, False),
        (181.0, COLD, False),
        (169.0, BOTH, True),
        (181.0, BOTH, True),
        (175.0, BOTH, False),
        (169.0, NONE, False),
    ],
)
def test_whether_the_lost_one_may_have_decided(own, sides, decided):
    lost = channel("TC2", [(t, own) for t in range(5)])
    scene = scene_of(TC1, lost, TC3)
    members = members_of(scene)
    assert aside._decided(scene, members[1], members, sides, minutes(4)) is decided
    if sides:
        assert (by_rule(scene, sides) == {}) is decided


def test_one_of_which_nothing_is_known_may_have_decided():
    scene = scene_of(TC1, TC2, TC3)
    members = members_of(scene)
    assert aside._decided(scene, members[1], members, COLD, minutes(6)) is True
    assert aside._decided(scene, members[0], members[1:2], COLD, minutes(6)) is True  # no other is known to be colder


def test_how_many_must_remain():
    assert by_rule(scene_of(TC1, TC2, TC3, rule=LostThermocouples(None, True, 3)), BOTH) == {}
    assert "TC2" in by_rule(scene_of(TC1, TC2, TC3, rule=LostThermocouples(None, True, None)), BOTH)
    other = channel("TC3", [(t, 180.0) for t in range(5)])  # lost at the very same instant
    assert by_rule(scene_of(TC1, TC2, other), COLD) == {}
    later = channel("TC3", [(t, 180.0) for t in range(6)])
    assert list(by_rule(scene_of(TC1, TC2, later), COLD)) == ["TC2"]
    assert list(by_rule(scene_of(TC1, TC2, later, rule=LostThermocouples(None, True, 1)), COLD)) == ["TC2", "TC3"]


def test_one_that_came_back_remains():
    back = channel("TC3", [(0, 180.0), (4, 180.0), (5, 180.0), (6, 180.0), (8, 180.0), (10, 180.0)])
    assert list(by_rule(scene_of(TC1, TC2, back), COLD)) == ["TC2", "TC3"]  # TC3 from 0 to 4, TC2 from 4 on


def test_one_that_somebody_set_aside_does_not_remain():
    assert by_rule(scene_of(TC1, TC2, TC3, rulings=[ruling("TC3", 3, 5)]), COLD) == {}
    assert by_rule(scene_of(TC1, TC2, TC3, rulings=[ruling("TC3", 4, 5)]), COLD) == {}
    assert list(by_rule(scene_of(TC1, TC2, TC3, rulings=[ruling("TC3", 3, 4)]), COLD)) == ["TC2"]
    assert list(by_rule(scene_of(TC1, TC2, TC3, rulings=[ruling("TC3", 4.5, 5)]), COLD)) == ["TC2"]


def test_which_places_must_remain():
    rule = LostThermocouples(None, True, 1, ("lagging", "leading"))
    places = {"TC1": "lagging", "TC3": "leading"}
    assert list(by_rule(scene_of(TC1, TC2, TC3, rule=rule, places=places), COLD)) == ["TC2"]
    assert by_rule(scene_of(TC1, TC2, TC3, rule=rule, places={"TC1": "lagging", "TC2": "leading"}), COLD) == {}


def test_a_persons_word_counts_for_every_name_of_a_sensor():
    run = run_of(TC1, TC2, TC3)
    load = load_of(run)
    lines = (load.map[0], replace(load.map[1], sensor="W7", position="edge"), load.map[2])
    load = replace(load, map=lines)
    for name in ("W7", "edge", "TC2"):
        scene = scene_of(TC1, TC2, TC3, load=load, rulings=[ruling(name, 1, 2), ruling("TC1", 1, 3, "flag")])
        one = next(member for member in members_of(scene) if member.name == "edge")
        expected = (SetAside("edge", minutes(1), minutes(2), "engineer C", "loose"),)
        assert aside.rulings_on(scene, one) == expected
        found = aside.aside_of(scene, members_of(scene), BOTH)
        assert found == {"edge": (*expected, SetAside("edge", minutes(4), NEVER, *BY_RULE))}
    scene = scene_of(TC1, TC2, TC3, rulings=[ruling("TC2", 1, 2)], options=Options(rulings=False))
    assert aside.rulings_on(scene, members_of(scene)[1]) == ()


def reasons(scene, sides):
    found = aside.why_kept(scene, members_of(scene), sides)
    assert found is aside.why_kept(scene, members_of(scene), sides)
    return found


def kept(why):
    return (("TC2", minutes(4), NEVER, why),)


def test_why_the_rule_does_not_set_one_aside():
    never = scene_of(TC1, TC2, TC3, rule=LostThermocouples(None, False, 2))
    assert reasons(never, BOTH) == kept("the specification never sets a lost thermocouple aside")
    mean = "a mean needs all of its thermocouples, so the rule may not set it aside"
    assert reasons(scene_of(TC1, TC2, TC3), NONE) == kept(mean)
    few = scene_of(TC1, TC2, TC3, rule=LostThermocouples(None, True, 3))
    assert reasons(few, BOTH) == kept("fewer than 3 others go on, so the rule may not set it aside")
    rule = LostThermocouples(None, True, None, ("lagging", "leading"))
    missing = (
        "fewer than 1 others go on, the lagging among them, the leading among them, so the rule may not set it aside"
    )
    assert reasons(scene_of(TC1, TC2, TC3, rule=rule), BOTH) == kept(missing)


@pytest.mark.parametrize(
    "own, sides, which",
    [
        (160.0, BOTH, "coldest"),
        (160.0, COLD, "coldest"),
        (190.0, BOTH, "hottest"),
        (190.0, HOT, "hottest"),
    ],
)
def test_why_the_deciding_one_stays(own, sides, which):
    scene = scene_of(TC1, channel("TC2", [(t, own) for t in range(5)]), TC3)
    assert reasons(scene, sides) == kept(f"it was the {which} one then, so the rule may not set it aside")


def test_one_alone_was_both():
    scene = scene_of(TC1, TC2, rule=LostThermocouples(None, True, 1))
    assert reasons(scene, HOT) == kept("it was the hottest one then, so the rule may not set it aside")
    level = channel("TC3", [(t, 175.0) for t in range(11)])
    scene = scene_of(TC2, level, rule=LostThermocouples(None, True, 1))
    assert reasons(scene, BOTH) == kept("it was the coldest and the hottest one then, so the rule may not set it aside")


def test_a_loss_that_a_person_set_aside_needs_no_reason():
    few = LostThermocouples(None, True, 3)
    assert len(reasons(scene_of(TC1, TC2, TC3, rule=few, rulings=[ruling("TC2", 3, 99)]), BOTH)) == 1
    for_good = replace(ruling("TC2", 4, 5), end=NEVER)
    assert reasons(scene_of(TC1, TC2, TC3, rule=few, rulings=[for_good]), BOTH) == ()
    late = replace(for_good, start=minutes(4.5))
    assert len(reasons(scene_of(TC1, TC2, TC3, rule=few, rulings=[late]), BOTH)) == 1


def test_in_an_open_run_a_silent_one_may_yet_be_set_aside():
    def may(*channels, **more):
        return aside.may_yet_be_set_aside(scene_of(*channels, closed=False, **more))

    ahead = channel("TC3", [(t, 180.0) for t in range(12)])
    assert may(TC1, ahead) is False  # the record reaches to TC1's last sample
    silent = channel("TC2", [(t, 175.0) for t in range(8)], bad=(7,))
    level = channel("TC1", [(t, 170.0) for t in range(8)])
    assert may(level, silent) is True
    assert may(silent) is True
    assert may(level, silent, rule=LostThermocouples(None, False, 2)) is False
    assert may(level, channel("TC2", [(t, 1.0) for t in range(8)], bad=(5, 6, 7))) is True  # silent for 3 minutes of 3
    assert may(level, channel("TC2", [(t, 1.0) for t in range(8)], bad=(4, 5, 6, 7))) is False  # lost by now
    assert may(level, channel("TC2", [(t, 1.0) for t in range(8)], bad=tuple(range(8)))) is False
