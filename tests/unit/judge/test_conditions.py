"""Conditions over time: limits, states and their combinations, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.conditions import compares, signals_in, steps_of, unit_of, within
from curewright.judge.envelope import ONE, Atom, Envelope
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.limits import APART, held
from curewright.judge.scene import Thing
from curewright.judge.steps import ALWAYS, Steps
from curewright.judge.trace import Trace
from curewright.terms.errors import SpecificationError
from curewright.terms.load import Vessel
from curewright.terms.requirement import AllOf, AnyOf, Compare, Comparison, Decision, Group, Limits, Signal, StateIs
from tests.unit.judge.brute import arrays
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    MIN,
    above,
    at_least,
    at_most,
    below,
    channel,
    load_of,
    quantity,
    run_of,
    specification,
)
from tests.unit.judge.build import within as between
from tests.unit.judge.test_scene import scene_of

S1 = Thing("part", "S1")
TC1 = channel("TC1", [(0, 0), (2, 100)])
TC2 = channel("TC2", [(0, 50), (2, 50)])
VALVE = channel(
    "VALVE1", [(0, "pump"), (1, "vented"), (2, "vented"), (3, "shut"), (7, "pump")],
    kind="state", states=("pump", "vented", "shut"),
)  # fmt: skip
SOURCE = Group("channel", "source valve")


def steps(condition, *channels):
    return steps_of(scene_of(*(channels or (TC1, TC2, VALVE))), condition, S1)


def in_minutes(found):
    return [(time / MIN, at, after) for time, at, after in zip(found.times, found.at, found.after, strict=True)]


def test_a_signal_against_a_level():
    assert in_minutes(steps(Compare(COLDEST, at_least("25 degC")))) == [(0, 0, 0), (0.5, 2, 2), (2, 2, 1)]
    assert in_minutes(steps(Compare(COLDEST, above("25 degC")))) == [(0, 0, 0), (0.5, 0, 2), (2, 2, 1)]
    assert in_minutes(steps(Compare(HOTTEST, at_most("75 degC")))) == [(0, 2, 2), (1.5, 2, 0), (2, 0, 1)]
    assert in_minutes(steps(Compare(HOTTEST, below("75 degC")))) == [(0, 2, 2), (1.5, 0, 0), (2, 0, 1)]
    assert in_minutes(steps(Compare(COLDEST, between("10 degC", "25 degC")))) == [
        (0, 0, 0), (0.2, 2, 2), (0.5, 2, 0), (2, 0, 1),
    ]  # fmt: skip


def test_a_condition_is_worked_out_once():
    scene = scene_of(TC1, TC2, VALVE)
    condition = Compare(COLDEST, at_least("25 degC"))
    assert steps_of(scene, condition, S1) is steps_of(scene, Compare(COLDEST, at_least("25 degC")), S1)
    assert steps_of(scene, condition, Thing("bag", "B1")) is not steps_of(scene, condition, S1)
    assert steps_of(scene, StateIs(SOURCE, ("shut",)), S1) is steps_of(
        scene, StateIs(SOURCE, ("shut",)), Thing("bag", "B1")
    )


def test_a_condition_is_held_against_its_plain_level():
    """Rounding (ASTM E29) and a guard band decide about outcomes; an event is where the signal crosses the level itself."""
    reach = Compare(COLDEST, at_least("25 degC"))
    for rule in (
        {"comparison": Comparison("rounding", (quantity("10 degC"),))},
        {"decision": Decision("guard", (quantity("5 degC difference"),))},
    ):
        run = run_of(TC1, TC2)
        load = load_of(run)
        spec = specification(**rule)
        scene = scene_for(hall_of(Vessel("V1", (), (), ()), load, run, (), spec.largest_gap), load.parts[0], (spec,))
        assert in_minutes(steps_of(scene, reach, S1)) == [(0, 0, 0), (0.5, 2, 2), (2, 2, 1)]


def test_all_and_any():
    cold, hot = Compare(COLDEST, at_least("25 degC")), Compare(HOTTEST, at_most("75 degC"))
    assert in_minutes(steps(AllOf((cold, hot)))) == [(0, 0, 0), (0.5, 2, 2), (1.5, 2, 0), (2, 0, 1)]
    late = Compare(COLDEST, at_least("49 degC"))  # TC1 passes 49 at 0.98 minutes only
    assert in_minutes(steps(AnyOf((late, AllOf((cold, hot)))))) == [(0, 0, 0), (0.5, 2, 2), (2, 2, 1)]


def test_a_vacuum_is_compared_as_a_vacuum():
    bag = channel("BAG1", [(0, 20), (1, 24), (2, 28)], "inHg of vacuum")
    vacuum = Compare(Signal(Group("bag vacuum"), "single"), at_least("24 inHg of vacuum"))
    assert in_minutes(steps(vacuum, TC1, bag)) == [(0, 0, 0), (1, 2, 2), (2, 2, 1)]


def test_a_state_holds_until_the_next_sample_and_at_most_the_largest_gap():
    assert in_minutes(steps(StateIs(SOURCE, ("vented",)))) == [(0, 0, 0), (1, 2, 2), (3, 0, 1), (7, 0, 1)]
    assert in_minutes(steps(StateIs(SOURCE, ("pump",)))) == [(0, 2, 2), (1, 0, 0), (3, 0, 1), (7, 2, 1)]
    assert in_minutes(steps(StateIs(SOURCE, ("shut", "vented")))) == [(0, 0, 0), (1, 2, 2), (3, 2, 1), (7, 0, 1)]
    assert in_minutes(steps(StateIs(SOURCE, ("none",)))) == [(0, 0, 0), (3, 0, 1), (7, 0, 1)]
    assert steps(StateIs(SOURCE, ("none",))).before == 1
    none = channel("VALVE1", [(0, "pump")], kind="state", states=("pump",), bad=(0,))
    assert steps(StateIs(SOURCE, ("pump",)), TC1, none) == Steps((), (), (), 1)


def test_any_valve_of_several():
    other = channel("VALVE2", [(0, "pump"), (2, "shut"), (3, "shut")], kind="state", states=("pump", "shut"))
    assert in_minutes(steps(StateIs(SOURCE, ("shut",)), TC1, VALVE, other)) == [
        (0, 0, 0), (2, 2, 2), (3, 2, 1),
    ]  # fmt: skip


def test_the_unit_of_limits():
    assert unit_of(at_least("25 degC")).name == "degC"
    assert unit_of(at_most("77 degF")).name == "degF"
    with pytest.raises(SpecificationError) as caught:
        unit_of(Limits())
    assert str(caught.value) == "a condition without a level; expected a level with its unit. To do: state it"


def test_within_a_pair_of_thresholds():
    scene = scene_of(TC1, TC2)
    one = Envelope(ONE, (Atom("x", Trace("x", *arrays([0, 10], [273_150_000, 283_150_000])), ()),))  # 0 to 10 degC

    def inside(limits):
        pair = held(scene, limits, quantity("1 degC").unit, decide=False).judged
        return within(one, pair)

    assert inside(between("2 degC", "7 degC")) == Steps((0, 2, 7, 10), (0, 2, 2, 0), (0, 2, 0, 1), 1)
    assert inside(above("2 degC")) == Steps((0, 2, 10), (0, 0, 2), (0, 2, 1), 1)
    assert inside(below("7 degC")) == Steps((0, 7, 10), (2, 0, 0), (2, 0, 1), 1)
    assert inside(Limits()) is ALWAYS


def test_a_difference_that_is_printed_equal_to_a_limit_is_equal_to_it():
    # 0 to 10 degC less 0 degC, one kelvin a second; half a grain (0.5 µK) is half a microsecond here
    second, kelvin = 10**9, 10**6
    top = Trace("x", *arrays([0, 10 * second], [0, 10 * kelvin]))
    bottom = replace(top, v=top.v * 0)
    less = Envelope(ONE, (Atom("x", top, ()),), less=(Atom("y", bottom, ()),))
    scene = scene_of(TC1, TC2)

    def changes(limits):
        found = within(less, held(scene, limits, quantity("1 degC difference").unit, decide=False).judged)
        return [time - 2 * second for time in found.times][1:-1], found.at[1:-1], found.after[1:-1]

    half = round(1000 * APART)  # nanoseconds to APART grains
    assert changes(at_least("2 degC difference")) == ([-half], (2,), (2,))
    assert changes(above("2 degC difference")) == ([half], (0,), (2,))
    assert changes(at_most("2 degC difference")) == ([half], (2,), (0,))
    assert changes(below("2 degC difference")) == ([-half], (0,), (0,))


def test_what_a_condition_compares():
    cold, hot = Compare(COLDEST, at_least("25 degC")), Compare(HOTTEST, at_most("75 degC"))
    state = StateIs(SOURCE, ("shut",))
    whole = AllOf((cold, AnyOf((state, hot, cold))))
    assert signals_in(whole) == (COLDEST, HOTTEST, COLDEST)
    assert compares(whole) == (cold, hot, cold)
    assert signals_in(cold) == (COLDEST,)
    assert compares(cold) == (cold,)
    assert signals_in(state) == signals_in(None) == compares(state) == compares(None) == ()
