"""Which samples of a growing run are kept: each rule by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.judge import cuts as cuts_in
from curewright.judge import letting_go
from curewright.judge.asked_of import AskedOf, asked_of
from curewright.judge.envelope import GREATEST, LEAST, Atom, Envelope
from curewright.judge.judge import hall_of, judge_part, looked_at, scene_for
from curewright.judge.scene import Member, Options
from curewright.judge.steep import NO_WINDOWS, Windows, key_of
from curewright.judge.steps import NEVER, Steps, When
from curewright.judge.trace import Trace
from curewright.terms.load import ALWAYS, Concession, Ruling, Vessel
from curewright.terms.requirement import (
    Allowance,
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Count,
    Duration,
    LeakCheck,
    Phase,
    Rate,
    RateDefinition,
    Recording,
    Signal,
    Spread,
)
from curewright.terms.units import unit_named
from tests.unit.judge.brute import arrays
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    MIN,
    PART,
    at_least,
    at_most,
    channel,
    entry,
    event,
    load_of,
    minutes,
    run_of,
    specification,
    within,
)

WHOLE = Phase("record starts", "record ends")
degC = unit_named("degC")
V1 = Vessel("V1", (), (), ())


def trace(t, v, link=None, **more):
    return Trace("TC1", *arrays(t, v, link), **more)


def ints(*numbers):
    return np.array(numbers, np.int64)


def member(name, t):
    one = channel(name, [(there, 0) for there in t])
    return Member(name, "judging", "", ((replace(one, t=ints(*t)), -ALWAYS, ALWAYS),), ())


def atom(name, t, v, link=None, **more):
    return Atom(name, trace(t, v, link, **more), (member(name, t),))


def test_three_samples_on_each_side_of_an_instant():
    t = ints(*range(0, 110, 10))
    assert letting_go.around(t, ints(50)).tolist() == [20, 30, 40, 50, 60, 70, 80]
    assert letting_go.around(t, ints(51)).tolist() == [30, 40, 50, 60, 70, 80, 90]
    assert letting_go.around(t, ints(-5)).tolist() == [0, 10, 20, 30]
    assert letting_go.around(t, ints(999)).tolist() == [80, 90, 100]
    assert letting_go.around(t, ints(0, 100)).tolist() == [0, 10, 20, 30, 70, 80, 90, 100]
    assert letting_go.around(t, ints()).tolist() == []
    assert letting_go.around(ints(), ints(5)).tolist() == []


def extremes(v, *edges):
    t = ints(*range(0, 10 * len(v), 10))
    return [letting_go._extremes_between(t, sign * np.array(v, float), ints(*edges)).tolist() for sign in (-1, 1)]


def test_the_first_extremes_of_each_group():
    v = [5, 1, 9, 1, 9, 4, 4, 3]
    assert extremes(v) == [[10], [20]]
    assert extremes(v, 4) == [[10, 70], [20, 40]]
    assert extremes(v, 0, 8, 4, 4) == [[10, 70], [20, 40]]
    assert extremes(v, 5) == [[10, 70], [20, 50]]
    assert extremes(v, 1, 3) == [[0, 10, 30], [0, 20, 40]]
    assert extremes(v, 7) == [[10, 70], [20, 70]]


def widest(t, *edges, **more):
    found = trace(t, [0] * len(t), **more)
    return letting_go._widest(found, ints(*edges)).tolist()


def test_both_ends_of_the_widest_step_of_each_group():
    t = [0, 10, 15, 30, 40, 55]
    assert widest(t) == [15, 30]
    assert widest(t, 3) == [15, 30 + 10, 30, 55]
    assert widest(t, 0, 5, 99) == [15, 30]
    assert widest(t, 4) == [15, 40, 30, 55]
    assert widest(t, 1) == [0, 15, 10, 30]
    assert widest(t, bridged=np.array([False, False, True, False, True, False])) == [0, 10]
    assert widest([0, 10], bridged=np.array([True, False])) == []
    assert widest([5]) == []
    assert widest([]) == []


def of_trace(found, cuts, stays=(), **asked):
    """Instants by what they are kept for: cuts, extremes, 'while', what is beside the unknown, deepest of stays, sides."""
    wanted = letting_go._of_trace(found, ints(*cuts), ints(*(stays or cuts)), AskedOf(**asked))
    assert [beside for beside, _ in wanted] == ([3, 2, 2, 0, 0, 0] if len(found.t) else [3])
    return [instants.tolist() for _, instants in wanted]


def test_what_to_keep_of_a_trace():
    t, v = list(range(0, 100, 10)), [3, 2, 4, 4, 5, 6, 6, 9, 8, 8]
    # the greatest before 42 is 5 at 40, after it 9 at 70; the least are 2 at 10 and 6 at 50; nothing is known beyond 90
    assert of_trace(trace(t, v), [42]) == [[42], [40, 70, 10, 50], [], [90], [], []]
    assert of_trace(trace(t, v), [42], least=False) == [[42], [40, 70], [], [90], [], []]
    assert of_trace(trace(t, v), [42], most=False) == [[42], [10, 50], [], [90], [], []]
    assert of_trace(trace(t, v), [42], least=False, most=False) == [[42], [], [], [90], [], []]
    assert of_trace(trace([], [], []), [7, 9]) == [[7, 9]]


def test_what_to_keep_beside_what_is_unknown_and_at_each_level():
    t, v = list(range(0, 100, 10)), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]
    assert of_trace(trace(t, v), []) == [[], [90, 0], [], [90], [], []]
    broken = trace(t, v, [0, 0, 0, 0, 2, 0, 0, 0, 0, 1])
    assert of_trace(broken, []) == [[], [90, 0], [], [40, 50, 90], [], []]
    asked = trace(t, v)
    asked.at_least(3.5)
    asked.above(7)
    assert of_trace(asked, [])[5] == [30, 40, 60, 70, 80]  # 7 is reached at 70 and left behind after it
    assert letting_go._sides(broken).tolist() == []


def test_the_deepest_of_each_stay_beyond_a_limit():
    t, v = list(range(0, 100, 10)), [5, 9, 8, 5, 4, 7, 5, 1, 2, 5]
    # above 6 from 0 to 30 and at 50; below 3 at 70 and 80
    stays = (2, 27, 45, 55, 65, 85)
    assert of_trace(trace(t, v), [], stays, highs=frozenset({6.0}))[4] == [10, 50]
    assert of_trace(trace(t, v), [], stays, lows=frozenset({3.0}))[4] == [70]
    assert of_trace(trace(t, v), [], stays, highs=frozenset({6.0, 8.0}), lows=frozenset({3.0}))[4] == [10, 50, 70]
    assert of_trace(trace(t, v), [], stays, highs=frozenset({99.0}))[4] == []


def test_what_to_keep_beside_the_changes_of_a_while_condition():
    t, v = list(range(0, 100, 10)), [5, 9, 8, 5, 4, 7, 5, 1, 2, 5]
    # it changes at 25 and 60: these, and the greatest (least) of each part, beyond the limit or not
    found = of_trace(trace(t, v), [], highs=frozenset({99.0}), narrowed=ints(25, 60))
    assert (found[2], found[4]) == ([25, 60, 10, 50, 60], [])
    assert of_trace(trace(t, v), [25], lows=frozenset({0.0}), narrowed=ints(60))[2] == [60, 0, 40, 70]
    assert of_trace(trace(t, v), [25], highs=frozenset({0.0}))[2] == []


def test_crossings_of_limits_bound_the_stays():
    one, other = trace([0, 10], [0, 10]), trace([0, 10], [0, 100])
    cuts = ints(3)
    one.at_least(5)
    one.at_least(8)
    other.at_least(70)

    def stays(**asked):
        return letting_go._stays(cuts, [one, other], AskedOf(**asked)).tolist()

    assert stays() == [3]
    assert stays(lows=frozenset({5.0}), highs=frozenset({70.0})) == [0, 3, 5, 7, 10]
    assert stays(narrowed=ints(4)) == [3, 4]


def test_samples_at_an_instant_or_else_on_both_sides_of_it():
    t = ints(*range(0, 110, 10))
    assert letting_go.around(t, ints(50, 60), 0).tolist() == [50, 60]
    assert letting_go.around(t, ints(50, 72), 0).tolist() == [50, 70, 80]
    assert letting_go.around(t, ints(-5, 999), 0).tolist() == [0, 100]


@pytest.mark.parametrize(
    "times, at, after, before, end, surely, perhaps",
    [
        ((5,), (2,), (2,), 0, 9, 5, 5),  # has held since 5
        ((5,), (0,), (2,), 0, 9, 5, 5),
        ((5, 7), (2, 2), (1, 2), 0, 9, 7, 5),  # unknown from 5 to 7
        ((5, 7), (2, 0), (2, 2), 0, 9, 7, 7),  # false at 7 alone
        ((5,), (2,), (0,), 2, 9, None, None),
        ((5,), (2,), (2,), 2, 9, None, None),  # since ever
        ((9,), (2,), (0,), 0, 9, 9, 9),  # for this instant only
        ((3, 9), (2, 1), (2, 0), 0, 9, None, 3),
        ((12,), (2,), (2,), 0, 9, None, None),
    ],
)
def test_since_when_a_condition_holds(times, at, after, before, end, surely, perhaps):
    steps = Steps(times, at, after, before)
    assert cuts_in.open_since(steps, end, (2,)) == surely
    assert cuts_in.open_since(steps, end, (1, 2)) == perhaps


def test_a_bound_on_the_least_of_several_lines():
    values = np.array([[0.0, 10, 0], [4, 6, 20]])
    assert letting_go._upper_bounds(values).tolist() == [6, 10]


def turning(kind, *rows, segments=(), link=None):
    t = range(0, 10 * len(rows[0]), 10)
    first = atom("A", t, rows[0], link)
    atoms = (
        first,
        *(
            Atom(name, replace(first.trace, v=np.array(row, float)), ())
            for name, row in zip("BC", rows[1:], strict=False)
        ),
    )
    return letting_go._turning_points(kind, atoms, ints(*segments), -NEVER, NEVER).tolist()


def test_where_the_least_may_be_greatest():
    # least: 0 4 5 1; it may reach 6 from 10 to 20 (the lines 4 to 9 and 6 to 5)
    assert turning(LEAST, [0, 4, 9, 1], [9, 6, 5, 9]) == [10, 20, 30]
    # greatest of the negative: the same, upside down
    assert turning(GREATEST, [0, -4, -9, -1], [-9, -6, -5, -9]) == [10, 20, 30]
    # in two groups: 0 to 20 and 20 on
    assert turning(LEAST, [0, 4, 0, 1], [0, 4, 0, 1], segments=(15,)) == [10, 20, 30]
    # where one of them is not known the least is not: nothing there is a top
    assert turning(LEAST, [0, 1, 0], [0, 1, 0], link=[0, 0, 1]) == [10, 20]


def test_a_turn_beside_what_is_not_known():
    one, other = atom("A", [0, 10, 20], [1, 1, 1]), atom("B", [10, 20], [9, 2])
    found = letting_go._turning_points(LEAST, (one, other), ints(), -NEVER, NEVER)
    assert found.tolist() == [10, 20]  # at 0 the other is not known


# ---------------------------------------------------------------------------------------------------------- of a scene


TC1 = channel("TC1", [(t, 20 + t) for t in range(31)])
TC2 = channel("TC2", [(t, 22 + t) for t in range(31)])
HOT = event("hot", Compare(COLDEST, at_least("30 degC")))  # at minute 10
BAND = Band("band", "part", degC, None, None, COLDEST, WHOLE, at_least("10 degC"))


def scene_of(*forms, channels=(TC1, TC2), events=(HOT,), rulings=(), entries=(), **more):
    spec = specification(*forms, events=events, **more)
    run = run_of(*channels, closed=False, entries=entries)
    load = load_of(run)
    hall = hall_of(V1, load, run, tuple(rulings), spec.largest_gap)
    scene = scene_for(hall, load.parts[0], (spec,), Options(others=False))
    judge_part(scene, {})
    return scene


def cuts(scene):
    return [time / MIN for time in cuts_in.cuts_of(scene, ("part", "S1"))]


def test_the_instants_that_may_bound_a_phase():
    assert cuts(scene_of(BAND)) == [0]  # nobody asked for the event
    phase = replace(BAND, phase=Phase("hot", "record ends"))
    assert cuts(scene_of(phase)) == [0, 10]  # hot from 10 on
    later = event("hot", Compare(COLDEST, at_least("30 degC")), delay=4)
    assert cuts(scene_of(phase, events=(later,))) == [0, 14]
    dips = tuple(channel(name, [(t, 20 + t - 8 * (12 <= t < 15)) for t in range(31)]) for name in ("TC1", "TC2"))
    long = event("hot", Compare(COLDEST, at_least("30 degC")), stays=25)
    found = cuts(scene_of(phase, channels=dips, events=(long,)))
    assert found == [0, pytest.approx(14 + 4 / 9)]  # since when it holds now; that it held before 12 is past and gone
    after = (HOT, event("later", Compare(HOTTEST, at_least("10 degC")), after="hot", delay=2))
    assert cuts(scene_of(replace(BAND, phase=Phase("later", "record ends")), events=after)) == [
        0,
        2,
        10,
        12,
    ]  # hotter than 10 since 0
    scene = scene_of(BAND, entries=(entry("x", 4, 7, plus_minus=1), entry("y", 12)))
    assert cuts(scene) == [0, 3, 4, 5, 6, 7, 8, 12]
    assert cuts_in.cuts_of(scene, ("part", "S1")) is cuts_in.cuts_of(scene, ("part", "S1"))
    assert cuts_in.cuts_of(scene, ("part", "S1")).dtype == np.int64


def test_what_is_set_aside_bounds_too():
    ruling = Ruling("set aside", "TC2", minutes(5), minutes(9), "engineer C", "loose")
    assert cuts(scene_of(BAND, rulings=(ruling,))) == [0, 5, 9]
    for_good = replace(ruling, end=NEVER)
    assert cuts(scene_of(BAND, rulings=(for_good,))) == [0, 5]


def instants_that_matter(scene):
    kept = {}
    for _ in letting_go.each_that_matters(scene, kept):
        pass
    return {name: np.unique(np.concatenate(parts)) for name, parts in kept.items()}


def kept(scene, name="TC1"):
    return sorted({time / MIN for time in instants_that_matter(scene)[name].tolist()})


def test_what_is_kept_of_a_straight_line():
    # cut 0 with three beside it, the least there; the last one
    assert kept(scene_of(BAND)) == [*range(4), 30]
    scene = scene_of(replace(BAND, phase=Phase("hot", "record ends")))
    # TC1 reaches 30 degC at 10, where the phase begins
    assert kept(scene) == [*range(4), *range(7, 14), 30]


RATE = Rate(
    "rate", "part", unit_named("degC/min"), None, None, COLDEST, WHOLE,
    RateDefinition("end points", minutes(5), 2), "rising", at_most("3 degC/min"),
)  # fmt: skip


def in_regions(*regions):
    class Somewhere:
        def __init__(self):
            self.asked = []

        def regions(self, part, codes):
            self.asked.append((part, codes))
            return list(regions)

    return Somewhere()


STEPS = [0, 0, 0, 5, 5, 5, 5, 5, 1, 1, 1, 1]
TWO = RateDefinition("end points", 2 * MIN, 2)
SAMPLES = RateDefinition("sample to sample")


def steepest(definition, start, end, *edges, kept=NO_WINDOWS):
    found = trace([k * MIN for k in range(12)], STEPS)
    windows = letting_go._windows_in(found, definition, kept, [(start * MIN, end * MIN)])
    chosen = letting_go._steepest(windows, ints(*(edge * MIN for edge in edges)))
    return [
        (begin / MIN, finish / MIN, rate * 1000) for begin, finish, rate in chosen
    ]  # rates in mK/min, samples in uK


def test_the_steepest_windows():
    # slopes of 2 minutes: 0 2.5 2.5 0 0 0 -2 -2 0 0 at 2 … 11; first least at 8, first greatest at 3
    assert steepest(TWO, 0, 11) == [(6, 8, -2), (1, 3, 2.5)]
    assert steepest(TWO, 4, 11) == [(6, 8, -2), (4, 6, 0)]
    # an edge at 5: windows before it, across it (one of 2 minutes that ends at 6), and after it
    assert steepest(TWO, 0, 11, 5) == [(0, 2, 0), (1, 3, 2.5), (4, 6, 0), (4, 6, 0), (6, 8, -2), (5, 7, 0)]
    assert steepest(TWO, 0, 1) == []
    assert steepest(SAMPLES, 0, 11) == [(7, 8, -4), (2, 3, 5)]


def test_windows_whose_samples_were_let_go_are_weighed_with_the_others():
    def kept(*windows, definition=TWO):
        begins, ends, rates = zip(*windows, strict=True)
        return Windows(definition, ints(*begins) * MIN, ints(*ends) * MIN, np.array(rates) / 1000)

    assert steepest(TWO, 0, 11, kept=kept((-9, -7, 99), (0, 2, -3), (3, 5, 2.5))) == [(0, 2, -3), (1, 3, 2.5)]
    assert steepest(TWO, 0, 1, kept=kept((0, 1, 7))) == [(0, 1, 7), (0, 1, 7)]
    some = kept((-9, -7, 99), (0, 2, -3), (3, 5, 2.5))
    assert some.inside(0, 5 * MIN).tolist() == [1, 2]
    assert some.inside(1, 5 * MIN).tolist() == [2]
    assert some.inside(0, 5 * MIN - 1).tolist() == [1]
    regions = [(0, 3 * MIN), (3 * MIN, 9 * MIN)]
    others = [2, 4 * MIN, 7 * MIN], [-0.002, 0.0025]  # two windows: least and greatest rate, and where they end
    assert some.weighed(regions, *others) == ([4, 2 * MIN, 5 * MIN], [-0.003, 0.0025])
    assert some.weighed(regions, [0, 0, 0], [0.0, 0.0]) == ([2, 2 * MIN, 5 * MIN], [-0.003, 0.0025])
    assert some.weighed([(0, MIN)], *others) == others
    assert NO_WINDOWS.weighed(regions, *others) == others


def test_of_a_window_its_rate_is_kept_and_what_is_around_its_end():
    v = [20 + 2 * max(0, min(t - 10, 5)) for t in range(31)]  # rises from 10 to 15 only
    one = channel("TC1", list(enumerate(v)))
    plain = set(kept(scene_of(BAND, channels=(one,))))
    assert not {5, 6, 7, 8} & plain
    scene = scene_of(RATE, channels=(one,), gap=2)
    assert {2, 3, 4, 5, 6, 7, 8} <= set(kept(scene))
    (windows,) = scene.hall.windows.values()
    # 5 minutes from 0, level, and from 10, by 2 degC a minute; in mK/min
    assert (windows.begins // MIN).tolist() == [0, 10]
    assert (windows.ends // MIN).tolist() == [5, 15]
    assert windows.rates.tolist() == pytest.approx([0, 2000])
    both = channel("TC2", list(enumerate(v)))
    assert {2, 3, 4, 5, 6, 7, 8} <= set(kept(scene_of(RATE, channels=(one, both)), "TC2"))
    assert scene_of(replace(RATE, definition=RateDefinition("whole phase"))).hall.windows == {}


def isolated(form, *entries, events=("closed", "opened"), v=None):
    """The minutes of which a bag's samples are kept: 26 inHg, but for a fall of 1 inHg from minute 20 to minute 25."""
    falling = [26 - min(max(t - 20, 0), 5) / 5 for t in range(61)]
    bag = channel("BAG1", list(enumerate(v or falling)), "inHg of vacuum")
    by_hand = tuple(event(name, None, by="entry", for_each="bag", after=None) for name in events)
    scene = scene_of(form, channels=(TC1, bag), events=by_hand, entries=entries)
    found = {}
    letting_go._keep_isolated(scene, found)
    assert set(found) <= {"BAG1"}
    return {int(at) // MIN for part in found.get("BAG1", []) for at in part}


LEAK = LeakCheck(
    "leak", "bag", unit_named("inHg of vacuum"), None, None, Signal(replace(PART, role="bag vacuum"), "single"), "closed",
    None, 0, minutes(5), "worst", at_most("1 inHg difference"),
)  # fmt: skip


def beside(*instants):
    return {at + k for at in instants for k in range(-3, 4) if 0 <= at + k <= 60}


def test_of_an_isolated_bag_the_window_with_the_greatest_loss_is_kept():
    # closed at 10, opened at 50: the window from 20 to 25; where windows may begin and end, each with the other end of a window
    found = isolated(LEAK, entry("closed", 10, 50))
    assert found == beside(0, 5, 10, 15, 20, 25, 45, 50, 55, 60)
    assert not found & set(range(29, 42))
    assert isolated(BAND, entry("closed", 10, 50)) == set()
    # nobody has said that it was closed: it may have been at any time from 0 on
    assert isolated(LEAK) == beside(0, 5, 20, 25, 55, 60)


def test_of_a_first_window_its_ends_are_kept_for_every_instant_of_closing():
    first = replace(LEAK, window_rule="first", settling=minutes(2))
    # closed at 10 +- 1, so windows begin from 11 to 13 and end from 16 to 18
    found = isolated(first, entry("closed", 10, 50, plus_minus=1))
    assert set(range(8, 22)) <= found
    assert not found & set(range(29, 41))  # 5 minutes before the earliest opening, at 49, and three more
    whole = isolated(replace(LEAK, window_rule="whole"), entry("closed", 10, 50, plus_minus=2))
    assert beside(8, 12, 48, 52) <= whole


def test_losses_are_weighed_between_all_instants_that_may_be_closing_and_opening():
    def stretches(rule):
        return sorted(letting_go._stretches_of(replace(LEAK, window_rule=rule, window=5), {1, 3}, {7, 20}))

    assert stretches("worst") == [(1, 7), (1, 20), (3, 20)]
    assert stretches("first") == [(1, 6), (1, 8), (3, 8)]
    assert stretches("whole") == []


def keep(envelope, found, **more):
    for _ in letting_go._keep_envelope(envelope, ints(0), AskedOf(**more), found):
        pass


@pytest.mark.parametrize("kind", [LEAST, GREATEST])
def test_the_crest_of_a_spread_is_kept_for_both(kind):
    rows = [[0, 0, 9, 0, 0, 0, 0, 0, 0, 0, 0, 0], [0] * 12]
    t = tuple(range(0, 120, 10))
    first = atom("A", t, rows[0])
    second = Atom("B", replace(first.trace, v=np.array(rows[1], float)), (member("B", t),))
    whole = Envelope(kind, (first, second), less=(first, second))
    found = {}
    keep(whole, found)
    # the cut 0 with three beside it, the greatest (least) at 20 with two, the last one
    expected = [0, 10, 20, 30, 40, 110]
    assert [sorted({int(at) for part in parts for at in part}) for parts in found.values()] == [expected, expected]
    assert list(found) == ["A", "B"]
    assert "atoms" not in whole.__dict__
    assert [len(parts) for parts in found.values()] == [6, 6]
    assert len(whole.atoms) == 2  # now that single differences were asked for they are kept too
    keep(whole, found)
    assert [len(parts) for parts in found.values()] == [26, 26]  # six of the crest, of each difference, and its turns


def test_each_trace_of_a_hottest_is_kept_and_its_turns():
    t = tuple(range(0, 120, 10))
    one, other = atom("A", t, [12 - k for k in range(12)]), atom("B", t, list(range(12)))
    found = {}
    keep(Envelope(GREATEST, (one, other)), found)
    # cut 0 and both ends; they cross at 6 (60): the turn, with three on each side
    assert {name: sorted({int(at) for part in parts for at in part}) for name, parts in found.items()} == {
        "A": list(t), "B": list(t),
    }  # fmt: skip
    assert [len(parts) for parts in found.values()] == [7, 7]
    found = {}
    keep(Envelope(GREATEST, (one, other)), found, least=False)
    assert [len(parts) for parts in found.values()] == [6, 6]  # nobody asks for the least of the hottest
    assert HOTTEST.take == "hottest"


def test_shared_events_and_losses_bound_the_phases_of_a_thermocouple():
    own = replace(event("own", Compare(EACH, at_least("30 degC"))), for_each="part thermocouple")
    scene = scene_of(BAND, events=(HOT, own))
    scene.events[("hot", "bag", "B1")] = When(minutes(5), NEVER)
    scene.events[("own", "part thermocouple", "TC2")] = When(minutes(6), minutes(6))
    scene.kept[("losses", "TC1", "judging", 1)] = [(minutes(7), NEVER)]
    assert (cuts_in.cuts_of(scene, ("part thermocouple", "TC1")) // MIN).tolist() == [0, 5, 7]
    assert (cuts_in.cuts_of(scene, ("part thermocouple", "TC2")) // MIN).tolist() == [0, 5, 6, 7]


def test_the_instants_at_which_an_event_was_found():
    whose = ("part", "S1")
    scene = scene_of(BAND)
    scene.events[("hot", *whose)] = When(minutes(8), NEVER)
    scene.events[("other", *whose)] = When(minutes(9), minutes(9))
    assert cuts_in.edges_of(scene, HOT, whose) == {minutes(8)}
    assert cuts_in.ends_of_phase(scene, replace(RATE, phase=Phase("record starts", "hot")), whose) == {minutes(8)}
    assert cuts_in.ends_of_phase(scene, RATE, whose) == set()


def test_what_is_sure_of_an_event():
    whose = ("part", "S1")
    scene = scene_of(BAND)
    assert cuts_in.surely(scene, HOT, whose) is None  # nobody asked for it
    scene.events[("hot", *whose)] = When(minutes(8), NEVER)
    assert cuts_in.surely(scene, HOT, whose) is None
    scene.events[("hot", *whose)] = When(minutes(8), minutes(8))
    assert cuts_in.surely(scene, HOT, whose) == minutes(8)
    for_good = event("hot", Compare(COLDEST, at_least("30 degC")), which="for good")
    assert cuts_in.surely(scene, for_good, whose) is None  # may come again
    assert cuts_in.surely(scene, event("hot", None, by="entry"), whose) is None
    second = event("second", Compare(HOTTEST, at_least("10 degC")), after="hot")
    scene = scene_of(BAND, events=(HOT, second))
    scene.events[("second", *whose)] = When(minutes(9), minutes(9))
    assert cuts_in.surely(scene, second, whose) is None  # what it comes after is not sure
    scene.events[("hot", *whose)] = When(minutes(8), minutes(8))
    assert cuts_in.surely(scene, second, whose) == minutes(9)


def test_windows_are_kept_of_every_stretch_that_counts():
    where = in_regions((0, 5 * MIN), (6 * MIN, 11 * MIN))
    scene = scene_of(RATE)
    found = {}
    steep = trace([k * MIN for k in range(12)], STEPS)
    form = replace(RATE, definition=SAMPLES)
    letting_go._keep_windows(scene, ("windows", 0, "part", "S1"), (steep, form, where), found)
    assert where.asked == [((0, 11 * MIN), (2,)), ((0, 11 * MIN), (1, 2))]
    windows = scene.hall.windows[key_of(scene.part.serial, form, "part", "S1")]  # least and greatest of both together
    assert [(windows.begins // MIN).tolist(), (windows.ends // MIN).tolist()] == [[2, 7], [3, 8]]
    assert windows.rates.tolist() == [0.005, -0.004]
    around = [*range(12)]
    assert {name: [(part // MIN).tolist() for part in parts] for name, parts in found.items()} == {
        "TC1": [around, [0, 1, 2, 3, 4]], "TC2": [around, [0, 1, 2, 3, 4]],  # least at 0, greatest first at 3
    }  # fmt: skip
    letting_go._keep_windows(scene, ("windows", 0, "bag", "B1"), (steep, form, where), found)
    assert [len(parts) for parts in found.values()] == [2, 2]  # nobody asked for its signal there


# ------------------------------------------------------------------------------------------------- what may be asked for


def asked_in(*forms, **more):
    """What is asked of the first signal that the requirements name, with levels in degC."""
    scene = scene_of(*forms, **more)
    key, signal = next((key, one) for key, one in scene.kept.items() if isinstance(one, Envelope))
    found = asked_of(scene, key, signal)

    def levels(grains):
        return sorted({round(degC.from_grains(one)) for one in grains})

    return found, (found.least, found.most, levels(found.lows), levels(found.highs))


def test_which_extremes_are_asked_for():
    two = within("10 degC", "40 degC")
    assert asked_in(BAND)[1] == (True, False, [10], [])
    assert asked_in(replace(BAND, limits=at_most("40 degC")))[1] == (False, True, [], [40])
    assert asked_in(replace(BAND, limits=two))[1] == (True, True, [10], [40])
    assert asked_in(RATE)[1] == (False, False, [], [])
    at = AtEvent("at event", "part", degC, None, None, "hot", COLDEST, at_most("40 degC"))
    assert asked_in(at)[1] == (True, True, [], [])
    hot = Compare(COLDEST, at_least("30 degC"))
    plain, forgiving = (Clock("coldest", hot, "pauses", one) for one in (None, Allowance(None, minutes(2), None)))

    def lasting(clock):
        return Duration("d", "part", unit_named("min"), None, None, (Alternative(WHOLE, clock, at_least("5 min")),))

    assert asked_in(lasting(plain))[1] == (False, False, [], [])
    assert asked_in(lasting(forgiving))[1] == (True, False, [30], [])


def test_extremes_between_the_changes_of_a_while_condition():
    found, _ = asked_in(replace(BAND, while_=Compare(COLDEST, at_least("25 degC"))))
    assert (found.narrowed // MIN).tolist() == [0, 5, 30]  # known from 0 to 30, hot enough from 5 on
    assert asked_in(BAND)[0].narrowed.tolist() == []


def test_limits_of_a_concession_are_asked_for_too():
    """A wider limit by concession has excursions of its own."""
    scene = scene_of(BAND)
    eased = Concession("1", "band", at_least("5 degC"), "engineering letter 7")
    scene.part = replace(scene.part, concessions=(eased,))
    key, signal = next((key, one) for key, one in scene.kept.items() if isinstance(one, Envelope))
    assert sorted(degC.from_grains(one) for one in asked_of(scene, key, signal).lows) == pytest.approx([5, 10])


def test_turns_of_an_envelope_are_asked_for_on_the_other_side():
    least, most = AskedOf(most=False, lows=frozenset({1.0})), AskedOf(least=False, highs=frozenset({1.0}))
    assert [one.turns(kind) for one in (least, most) for kind in (LEAST, GREATEST)] == [False, True, True, False]
    assert [one.turns_in_stays(kind) for one in (least, most) for kind in (LEAST, GREATEST)] == [
        False, True, True, False,
    ]  # fmt: skip
    assert not AskedOf().turns_in_stays(LEAST)


def test_of_a_recording_the_widest_step_is_kept():
    times = [0, 1, 2, 3, 5, 6, 7, 8, 9, 10, 12.5, 13, 14, 15, 16, 17]
    one = channel("TC1", [(t, 20) for t in times])
    form = Recording("recording", "part", unit_named("min"), None, None, PART, WHOLE, at_most("5 min"))
    found = kept(scene_of(form, channels=(one,), events=(), gap=3))
    # the cut 0 with three beside it, the widest step from 10 to 12.5 with two on each side, the end
    assert found == [0, 1, 2, 3, 8, 9, 10, 12.5, 13, 14, 17]
    count = Count("count", "part", unit_named("count"), None, None, "working sensors", PART, WHOLE, at_least("1 count"))
    assert kept(scene_of(count, channels=(one,), events=(), gap=2)) == [0, 1, 2, 3, 10, 12.5, 17]  # a gap
    assert kept(scene_of(count, channels=(one,), events=(), gap=3)) == [0, 1, 2, 3, 17]


def test_looking_leaves_behind_what_judging_does():
    """A fold asks less than a judgement does, but nothing less of what it goes by."""
    dip = [channel(name, [(t, 20 + t - 6 * (14 <= t < 18)) for t in range(31)]) for name in ("TC1", "TC2")]
    hot = Compare(COLDEST, at_least("30 degC"))
    forms = (
        BAND,
        replace(BAND, name="both", limits=within("25 degC", "45 degC"), phase=Phase("hot", "record ends"), while_=hot),
        RATE,
        replace(
            RATE,
            name="levels",
            definition=RateDefinition("between levels", None, None, at_least("25 degC").low, at_least("40 degC").low),
        ),
        Spread("spread", "part", unit_named("degC difference"), None, None, Signal(PART, "spread"), WHOLE, at_most("1 degC difference")),
    )  # fmt: skip

    def left(ask):
        scene = scene_of(*forms, channels=dip)
        scene.kept.clear()
        scene.events.clear()
        scene.hall.traces.clear()
        ask(scene)
        levels = {
            (key, level)
            for key, one in scene.kept.items()
            if isinstance(one, Envelope)
            for atom in one.sensors
            for level in atom.trace.levels_asked()
        }
        matters = instants_that_matter(scene)
        return levels, scene.events, {name: found.tolist() for name, found in matters.items()}

    judged, looked = left(lambda scene: judge_part(scene, {})), left(lambda scene: list(looked_at(scene)))
    assert looked == judged
    assert len(looked[0]) > 3


def test_a_duration_is_asked_ahead_what_it_is_judged_by():
    clock = Clock("coldest", Compare(COLDEST, at_least("25 degC")), "pauses")
    way = Alternative(Phase("hot", "record ends"), clock, at_least("5 min"))
    form = Duration("d", "part", unit_named("min"), None, None, (way,))
    scene = scene_of(form)
    ahead = replace(scene, events={}, kept={})
    for _ in looked_at(ahead):
        pass
    assert set(ahead.events) == set(scene.events)
    assert {key for key in scene.kept if key[0] in ("envelope", "condition")} <= set(ahead.kept)
