"""Events and phases, each between bounds: by hand, in minutes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge import events
from curewright.judge.events import Stretch, stretch_of, when
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.scene import Thing
from curewright.judge.steps import NEVER, When
from curewright.terms.load import Vessel
from curewright.terms.requirement import AllOf, AnyOf, Compare, Event, Group, Phase, Signal, Source, StateIs
from curewright.terms.verdict import Bounds
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    MIN,
    above,
    at_least,
    channel,
    entry,
    event,
    load_of,
    run_of,
    specification,
)

PART = Thing("part", "S1")
BAG = Thing("bag", "B1")
VESSEL = Thing("vessel", "V1")
ONE = channel("TC1", [(0, 20), (10, 120), (20, 120), (30, 20)])  # 10 degrees a minute
TWO = channel("TC2", [(0, 20), (10, 20), (20, 120), (30, 120)])
VALVE = channel("VALVE1", [(0, "pump"), (5, "vented"), (8, "pump")], kind="state", states=("pump", "vented"))
VENTED = StateIs(Group("channel", "source valve"), ("vented",))


def scene_of(*wanted, channels=(ONE, TWO), **run):
    spec = specification(events=wanted, gap=20)
    run = run_of(*channels, **run)
    load = load_of(run)
    hall = hall_of(Vessel("V1", (), (), ()), load, run, (), spec.largest_gap)
    return scene_for(hall, load.parts[0], (spec,))


def seen(found):
    """Earliest and latest in minutes."""
    return tuple("never" if edge == NEVER else edge / MIN for edge in (found.earliest, found.latest))


HOT = event("hot", Compare(COLDEST, at_least("70 degC")))


def test_the_record_itself():
    scene = scene_of(HOT)
    assert when(scene, "record starts", PART) == When(0, 0)
    assert when(scene, "record ends", PART) == When(30 * MIN, 30 * MIN)
    scene = scene_of(HOT, covers=False)
    assert when(scene, "record ends", PART) == When(30 * MIN, NEVER, (), None, True)


def test_the_coldest_reaches_a_level():
    scene = scene_of(HOT)
    assert when(scene, "hot", PART) == When(15 * MIN, 15 * MIN)
    assert when(scene, "hot", PART) is when(scene, "hot", PART) is when(scene, "hot", BAG)
    assert seen(when(scene_of(event("hot", Compare(HOTTEST, at_least("70 degC")))), "hot", PART)) == (5, 5)


def test_a_stay_and_the_last_time():
    warm = Compare(Signal(Group("part thermocouple", "TC1"), "single"), above("70 degC"))
    assert seen(when(scene_of(event("warm", warm, stays=20)), "warm", PART)) == (5, 5)
    assert seen(when(scene_of(event("warm", warm, stays=21)), "warm", PART)) == ("never", "never")
    good = Compare(Signal(Group("part thermocouple", "TC1"), "single"), at_least("20 degC"))
    assert when(scene_of(event("good", good, which="for good")), "good", PART) == When(
        0, 0
    )  # not known to be so before
    assert seen(when(scene_of(event("warm", warm, which="for good")), "warm", PART)) == ("never", "never")
    two = Compare(Signal(Group("part thermocouple", "TC2"), "single"), at_least("70 degC"))
    assert seen(when(scene_of(event("two", two, which="for good")), "two", PART)) == (15, 15)
    assert when(scene_of(event("two", two, which="for good"), covers=False), "two", PART) == When(
        15 * MIN, NEVER, (), None, True
    )
    assert when(scene_of(event("hot", Compare(COLDEST, at_least("200 degC"))), covers=False), "hot", PART) == When(
        30 * MIN, NEVER, (), None, True
    )


def test_one_after_another_and_so_long_after():
    cool = event("cool", Compare(Signal(Group("part thermocouple", "TC1"), "single"), above("100 degC")), after="hot")
    later = event("later", Compare(COLDEST, at_least("70 degC")), delay=3)
    scene = scene_of(HOT, cool, later)
    assert when(scene, "cool", PART) == When(15 * MIN, 15 * MIN, ("already so at its reference",))
    assert seen(when(scene, "later", PART)) == (18, 18)
    only = Event("only", "part", (), "hot", 4 * MIN)
    assert seen(when(scene_of(HOT, only), "only", PART)) == (19, 19)
    assert seen(when(scene_of(Event("only", "part", (), None, 4 * MIN)), "only", PART)) == (4, 4)


def test_an_event_of_each_thermocouple_is_its_own():
    each = event("each", Compare(EACH, at_least("70 degC")), for_each="part thermocouple")
    scene = scene_of(each)
    one, two = (Thing("part thermocouple", member.name, member) for member in scene.hall.members_of("judging", "S1"))
    assert seen(when(scene, "each", one)) == (5, 5)
    assert seen(when(scene, "each", two)) == (15, 15)
    assert set(scene.events) == {("each", "part thermocouple", "TC1"), ("each", "part thermocouple", "TC2")}


@pytest.mark.parametrize(
    "for_each, thing, owner",
    [
        ("part", PART, PART),
        ("part", BAG, PART),
        ("part", Thing("part thermocouple", "TC1"), PART),
        ("part thermocouple", PART, PART),  # nobody asks from one thermocouple: the part's
        ("bag", PART, BAG),
        ("bag", BAG, BAG),
        ("bag", Thing("bag", "B2"), Thing("bag", "B2")),
        ("vessel", PART, VESSEL),
        ("vessel", Thing("vessel", "other"), Thing("vessel", "other")),
        ("run", PART, VESSEL),
    ],
)
def test_for_whom_an_event_is_found(for_each, thing, owner):
    wanted = event("x", None, for_each=for_each, by="entry")
    assert events.seen_from(scene_of(wanted), wanted, thing) == owner


def by_entry(*entries, which="first", after=(0, 0), name="closed"):
    wanted = event("closed", None, by="entry", which=which, for_each="bag", entry=name)
    scene = scene_of(wanted, entries=entries)
    return events._by_entry(scene, name, BAG, When(*(edge * MIN if edge != NEVER else edge for edge in after)), which)


NOTE = ("'closed' by hand entry of inspector B",)


def test_a_hand_entry():
    assert by_entry(entry("closed", 4)) == When(4 * MIN, 4 * MIN, NOTE)
    assert by_entry(entry("closed", 4, plus_minus=1)) == When(3 * MIN, 5 * MIN, NOTE)
    assert by_entry(entry("closed", 4, 9, plus_minus=1)) == When(3 * MIN, 5 * MIN, NOTE, (8 * MIN, 10 * MIN))
    assert by_entry(entry("opened", 4)) is None
    assert by_entry(entry("closed", 4, thing="B2")) is None
    for thing in ("S1", "T1", "V1", "run", "vessel", ""):
        assert by_entry(entry("closed", 4, thing=thing)) == When(4 * MIN, 4 * MIN, NOTE)
    filed = replace(entry("closed", 4), file="log.yaml", line=7)
    assert by_entry(filed).notes == ("'closed' by hand entry of inspector B (log.yaml:7)",)


def test_the_first_or_the_last_of_several_hand_entries():
    entries = (entry("closed", 4), entry("closed", 2), entry("closed", 9))
    assert seen(by_entry(*entries)) == (2, 2)
    assert seen(by_entry(*entries, which="for good")) == (9, 9)
    assert seen(by_entry(*entries, after=(3, 3))) == (4, 4)
    assert seen(by_entry(*entries, after=(4, 4))) == (4, 4)
    assert seen(by_entry(*entries, after=(2, 3))) == (2, "never")  # it may have come before its reference
    assert by_entry(*entries, after=(10, 10)) is None


def test_a_hand_entry_about_the_time_of_its_reference():
    doubtful = entry("closed", 4, plus_minus=1)
    assert seen(by_entry(doubtful, after=(3, 3))) == (3, 5)
    assert seen(by_entry(doubtful, after=(4, 4))) == (4, "never")
    assert seen(by_entry(doubtful, after=(5, 5))) == (5, "never")
    assert by_entry(doubtful, after=(6, 6)) is None
    assert seen(by_entry(doubtful, after=(1, NEVER))) == (3, "never")


def sources(*found):
    return Event("vent", "bag", found)


BY_STATE = Source("state", VENTED, 0, "first")
BY_ENTRY = Source("entry", None, 0, "first", "vented")
OWN_ENTRY = Source("entry", None, 0, "first")
INFERRED = Source("inferred", Compare(HOTTEST, at_least("120 degC")), 0, "first")


def test_sources_are_asked_in_turn():
    both = (ONE, VALVE)
    assert when(scene_of(sources(BY_STATE, INFERRED), channels=both), "vent", BAG) == When(5 * MIN, 5 * MIN)
    inferred = When(10 * MIN, 10 * MIN, ("'vent' inferred from the trace",))
    assert when(scene_of(sources(BY_STATE, INFERRED), channels=(ONE,)), "vent", BAG) == inferred
    scene = scene_of(sources(BY_ENTRY, INFERRED), channels=both, entries=[entry("vented", 7)])
    assert when(scene, "vent", BAG) == When(7 * MIN, 7 * MIN, ("'vented' by hand entry of inspector B",))
    assert when(scene_of(sources(BY_ENTRY, INFERRED), channels=both), "vent", BAG) == inferred
    scene = scene_of(sources(OWN_ENTRY), entries=[entry("vent", 7), entry("vented", 3)])
    assert seen(when(scene, "vent", BAG)) == (7, 7)
    already = event("vent", Compare(HOTTEST, at_least("50 degC")), by="inferred", for_each="part", after="hot")
    assert when(scene_of(HOT, already), "vent", PART).notes == (
        "already so at its reference",
        "'vent' inferred from the trace",
    )


def test_nothing_shows_the_event():
    note = ("nothing in this run shows it",)
    assert when(scene_of(sources(BY_STATE, BY_ENTRY)), "vent", BAG) == When(0, NEVER, note)
    assert when(scene_of(sources(BY_STATE), covers=False), "vent", BAG) == When(0, NEVER, note, None, True)
    after = replace(sources(BY_STATE), after="hot", for_each="part")
    assert when(scene_of(HOT, after), "vent", PART) == When(15 * MIN, NEVER, note)
    never = event("hot", Compare(COLDEST, at_least("999 degC")))
    assert when(scene_of(never, after), "vent", PART) == When(NEVER, NEVER, note)


def test_whether_the_channels_of_a_state_are_there():
    scene = scene_of(HOT, channels=(ONE, VALVE))
    gone = StateIs(Group("channel", "door"), ("open",))

    def there(condition):
        return events._has_channel(scene, Source("state", condition, 0, "first"), BAG)

    assert there(VENTED)
    assert not there(gone)
    assert there(AllOf((VENTED, VENTED)))
    assert not there(AllOf((VENTED, gone)))
    assert not there(AnyOf((Compare(HOTTEST, at_least("1 degC")), AllOf((gone,)))))
    assert there(Compare(HOTTEST, at_least("1 degC")))


def test_the_state_behind_an_event():
    both = (ONE, VALVE)
    scene = scene_of(sources(BY_STATE, INFERRED), HOT, channels=both)
    steps = events.state_behind(scene, "vent", BAG)
    assert [steps.value(at * MIN) for at in (4, 5, 7, 8)] == [0, 2, 2, 0]
    assert events.state_behind(scene, "hot", BAG) is None
    assert events.state_behind(scene, "record starts", BAG) is None
    assert events.state_behind(scene, "record ends", BAG) is None
    assert events.state_behind(scene_of(sources(BY_STATE, INFERRED), channels=(ONE,)), "vent", BAG) is None
    entries = [entry("vented", 7)]
    scene = scene_of(sources(BY_ENTRY, BY_STATE), channels=both, entries=entries)
    assert events.state_behind(scene, "vent", BAG) is None
    scene = scene_of(sources(BY_ENTRY, BY_STATE), channels=both)
    assert events.state_behind(scene, "vent", BAG).value(6 * MIN) == 2
    late = replace(sources(BY_ENTRY, BY_STATE), after="hot", for_each="part")
    assert events.state_behind(scene_of(late, HOT, channels=(ONE, VALVE), entries=entries), "vent", PART) is None
    early = replace(late, after="later")
    scene = scene_of(early, replace(HOT, name="later", delay=9 * MIN), channels=(ONE, VALVE), entries=entries)
    assert events.state_behind(scene, "vent", PART).value(6 * MIN) == 2


# -------------------------------------------------------------------------------------------------------------- phases


def stretch(start, end, record_end=100, covers=True):
    return Stretch(When(*start), When(*end), record_end, covers)


@pytest.mark.parametrize(
    "start, end, never, sure, possible",
    [
        ((10, 20), (50, 60), False, (20, 50), (10, 60)),
        ((10, 20), (20, 60), False, (20, 20), (10, 60)),
        ((10, 20), (19, 60), False, None, (10, 60)),
        ((10, NEVER), (50, 60), False, None, (10, 60)),
        ((NEVER, NEVER), (50, 60), True, None, None),
        ((61, 70), (50, 60), True, None, None),
        ((60, 70), (50, 60), False, None, (60, 60)),
        ((10, 20), (50, NEVER), False, (20, 50), (10, 100)),
        ((10, 20), (NEVER, NEVER), False, (20, 100), (10, 100)),
        ((10, 101), (NEVER, NEVER), False, None, (10, 100)),
        ((100, 100), (NEVER, NEVER), False, (100, 100), (100, 100)),
        ((101, 101), (NEVER, NEVER), False, None, None),
    ],
)
def test_sure_and_possible(start, end, never, sure, possible):
    found = stretch(start, end)
    assert (found.never, found.sure, found.possible) == (never, sure, possible)
    assert found.sure_start == (start[1] < NEVER)


@pytest.mark.parametrize(
    "start, end, open_end",
    [
        ((10, 20), (50, 60), False),
        ((10, 20), (50, 100), False),
        ((10, 20), (50, 101), True),
        ((10, 101), (50, 100), True),
        ((10, 100), (50, 100), False),
        ((10, 20), (50, NEVER), True),
    ],
)
def test_an_open_end(start, end, open_end):
    assert stretch(start, end, covers=False).open_end is open_end
    assert stretch(start, end).open_end is False


def test_bounds_as_printed():
    found = Stretch(When(1, NEVER, ("a", "b")), When(3, 4, ("b", "c")), 100, True)
    assert found.bounds("hot", "cool") == Bounds(1, None, 3, 4, "hot", "cool")
    assert found.notes == ("a", "b", "c")
    assert stretch((NEVER, NEVER), (2, NEVER)).bounds("x", "y") == Bounds(None, None, 2, None, "x", "y")


def test_a_phase_of_the_specification():
    scene = scene_of(HOT, covers=False)
    found = stretch_of(scene, Phase("hot", "record ends"), PART)
    assert found == Stretch(When(15 * MIN, 15 * MIN), When(30 * MIN, NEVER, (), None, True), 30 * MIN, False)
    each = event("each", Compare(EACH, at_least("70 degC")), for_each="part thermocouple")
    scene = scene_of(each)
    one = Thing("part thermocouple", "TC1", scene.hall.members_of("judging", "S1")[0])
    assert stretch_of(scene, Phase("each", "each"), one) == Stretch(
        When(5 * MIN, 5 * MIN), When(5 * MIN, 5 * MIN), 30 * MIN, True
    )
