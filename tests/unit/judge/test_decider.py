"""The sensor named at an instant is the one whose crossing it is: held against crossings found one sensor at a time, by hand and by
numpy.interp, which knows nothing of groups.
"""

from __future__ import annotations

import numpy as np
import pytest

from curewright.terms.requirement import (
    Alternative,
    Clock,
    Compare,
    Duration,
    Group,
    Order,
    Phase,
    Signal,
    StateIs,
)
from curewright.terms.units import unit_named
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    above,
    at_least,
    at_most,
    below,
    channel,
    entry,
    event,
    minutes,
    run_of,
    specification,
    verdict,
)

HOT = Compare(COLDEST, at_least("174 degC"))
SOAK = event("soak starts", HOT)
ENDS = event("soak ends", Compare(COLDEST, below("174 degC")), which="for good")
# coldest at the start and last to arrive: TC1; the first to fall below 174, halfway between 60 and 70: TC3; coldest at 60: TC2
GROUP = {
    "TC1": [(0, 160), (10, 176), (60, 178), (70, 176), (80, 150)],
    "TC2": [(0, 190), (10, 190), (60, 174.5), (70, 174.2), (80, 140)],
    "TC3": [(0, 180), (10, 180), (60, 178), (70, 170), (80, 160)],
}


def group(points=GROUP):
    return [channel(name, found) for name, found in points.items()]


def soak(phase, limits="120 min", for_each="part"):
    way = Alternative(phase, Clock("coldest", HOT, "pauses", None), at_least(limits))
    return Duration("duration", for_each, unit_named("min"), None, None, (way,))


def judged(form, *channels, events=(SOAK, ENDS), entries=()):
    return verdict(specification(form, events=events, gap=90), run_of(*(channels or group()), entries=entries))


def test_the_end_of_a_soak_names_the_thermocouple_that_ended_it_and_quotes_its_samples():
    found = judged(soak(Phase("soak starts", "soak ends")))
    assert (found.margin.at, found.margin.channel) == (minutes(65), "TC3")  # 178 to 170: at 174 halfway
    assert [(one.channel, one.t, one.value) for one in found.samples] == [
        ("TC3", minutes(10), "180"),
        ("TC3", minutes(60), "178"),
        ("TC3", minutes(70), "170"),
        ("TC3", minutes(80), "160"),
    ]


def test_of_several_that_cross_together_the_first_by_name():
    found = judged(soak(Phase("soak starts", "soak ends")), *group({**GROUP, "TC4": GROUP["TC3"]}))
    assert found.margin.channel == "TC3"


def test_one_that_touches_the_level_and_turns_up_is_not_the_one_that_falls_below_it():
    touches = [(0, 180), (10, 180), (60, 180), (65, 174), (70, 180), (80, 170)]
    found = judged(soak(Phase("soak starts", "soak ends")), *group({**GROUP, "TC0": touches}))
    assert (found.margin.at, found.margin.channel) == (minutes(65), "TC3")


def test_an_order_names_the_one_that_makes_the_later_event():
    form = Order("order", "part", unit_named("min"), None, None, "soak starts", "soak ends", None)
    found = judged(form)
    assert (found.margin.at, found.margin.channel, {one.channel for one in found.samples}) == (
        minutes(65), "TC3", {"TC3"},
    )  # fmt: skip
    found = judged(Order("order", "part", unit_named("min"), None, None, "record starts", "soak starts", None))
    assert found.margin.channel == "TC1"  # the last to arrive, at 174 between 0 (160) and 10 (176)
    assert found.margin.at == minutes("8.75")


def test_the_hottest_reaches_a_level_with_its_first():
    warm = event("warm", Compare(HOTTEST, at_least("192 degC")))
    found = judged(
        Order("order", "part", unit_named("min"), None, None, "record starts", "warm", None),
        *group({**GROUP, "TC4": [(0, 180), (10, 180), (60, 200), (80, 150)], "TC5": [(0, 190), (60, 190), (80, 195)]}),
        events=(warm,),
    )
    assert (found.margin.at, found.margin.channel) == (minutes(40), "TC4")  # 12 of 20 degC in 50 min, 10 + 30


def test_a_stay_that_begins_anew_where_it_only_touches_the_level():
    # above 192 from 30 on, at 192 at 40 for that instant only: the stay of 15 min begins there
    warm = event("warm", Compare(HOTTEST, above("192 degC")), stays=15)
    points = {"TC1": [(0, 186), (30, 192), (35, 193), (40, 192), (60, 200)], "TC2": [(0, 100), (60, 150)]}
    found = judged(
        Order("order", "part", unit_named("min"), None, None, "record starts", "warm", None),
        *group(points),
        events=(warm,),
    )
    assert (found.margin.at, found.margin.channel) == (minutes(40), "TC1")


def test_an_end_by_hand_or_by_a_state_names_the_coldest_then():
    by_hand = event("soak ends", None, by="entry")
    found = judged(
        soak(Phase("soak starts", "soak ends")),
        events=(SOAK, by_hand),
        entries=(entry("soak ends", 62, thing="S1"),),
    )
    assert (found.margin.at, found.margin.channel) == (minutes(62), "TC2")  # 174.44; TC3 176.4
    valve = channel("VALVE1", [(0, "open"), (66, "shut"), (80, "shut")], kind="state", states=("open", "shut"))
    by_state = event("soak ends", StateIs(Group("channel", "source valve"), ("shut",)), by="state")
    found = judged(soak(Phase("soak starts", "soak ends")), *group(), valve, events=(SOAK, by_state))
    assert (found.margin.at, found.margin.channel) == (minutes(66), "TC3")  # 173.2; TC2 174.32


def test_an_event_that_was_so_already_is_that_before_it():
    later = event("cool", Compare(HOTTEST, at_most("500 degC")), after="soak ends")
    found = judged(soak(Phase("soak starts", "cool")), events=(SOAK, ENDS, later))
    assert (found.margin.at, found.margin.channel) == (minutes(65), "TC3")
    after = event("cool", None, after="soak ends", delay=5)
    found = judged(
        soak(Phase("soak starts", "cool")),
        events=(SOAK, ENDS, type(after)("cool", "part", (), "soak ends", minutes(5))),
    )
    assert (found.margin.at, found.margin.channel) == (minutes(70), "TC3")


def test_a_release_is_decided_by_the_pressure():
    pressure = channel("P1", [(0, 7), (50, 7), (70, 1), (80, 0)], unit="bar gauge")
    off = event(
        "released", Compare(Signal(Group("vessel pressure"), "single"), below("4 bar gauge")), for_each="vessel"
    )
    found = judged(soak(Phase("soak starts", "released")), *group(), pressure, events=(SOAK, off))
    assert (found.margin.at, found.margin.channel) == (minutes(60), "P1")
    assert {one.channel for one in found.samples} == {"P1"}
    assert found.used == ("TC1", "TC2", "TC3")


@pytest.mark.parametrize("seed", range(20))
def test_against_crossings_of_each_thermocouple_for_itself(seed):
    random = np.random.default_rng(seed)
    t = np.arange(0, 90, 5)
    shape = np.interp(t, [0, 20, 60, 85], [120, 190, 190, 110])
    points = {f"TC{i}": np.round(shape + random.uniform(-8, 8) + random.uniform(-1, 1, len(t)), 1) for i in range(1, 7)}
    fine = np.linspace(0, 85, 850_001)
    below_174 = {name: np.interp(fine, t, v) < 174 for name, v in points.items()}
    some = np.any(list(below_174.values()), axis=0)
    last_good = np.flatnonzero(~some)[-1]  # from the next on somebody is below, for good
    wanted = [name for name, cold in below_174.items() if cold[last_good + 1]]
    found = judged(
        soak(Phase("soak starts", "soak ends")), *group({n: list(zip(t, v, strict=True)) for n, v in points.items()})
    )
    assert len(wanted) == 1
    assert found.margin.channel == wanted[0]
    assert found.margin.at == pytest.approx(minutes(fine[last_good + 1]), abs=minutes("0.0002"))
