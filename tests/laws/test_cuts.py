"""Any cutting of a log gives the same verdicts, to the last bit; what settles before the end equals the final verdict."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from curewright.judge import cuts as cuts_in
from curewright.judge import letting_go, live
from curewright.judge.judge import hall_of, judge_part, largest_gap, scene_for
from curewright.judge.live import LateDataError, Live
from curewright.judge.scene import Options
from curewright.terms.load import Vessel
from curewright.terms.requirement import (
    Allowance,
    Alternative,
    AtEvent,
    Band,
    Clause,
    Clock,
    Compare,
    Count,
    Duration,
    Group,
    LeakCheck,
    LostThermocouples,
    Order,
    Phase,
    Rate,
    RateDefinition,
    Recording,
    Signal,
    Spread,
)
from curewright.terms.run import Closing
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    PART,
    at_least,
    at_most,
    below,
    channel,
    entry,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    within,
)

SOAK = Phase("soak starts", "soak ends")
WHOLE = Phase("record starts", "record ends")
NAMES = ("TC1", "TC2", "TC3", "P1", "BAG1", "AIR1")
degC, MINUTE, PSI, INHG = unit_named("degC"), unit_named("min"), unit_named("psi gauge"), unit_named("inHg of vacuum")
PRESSURE = Signal(Group("vessel pressure"), "single")
BAG = Signal(Group("bag vacuum"), "single")
AIR = Group("air thermocouple")


def plan():
    hot = Compare(COLDEST, at_least("174 degC"))
    events = (
        event("soak starts", hot, stays=2),
        event("soak ends", Compare(COLDEST, below("174 degC")), which="for good", after="soak starts"),
        event("first exit", Compare(COLDEST, below("174 degC")), stays=1, after="soak starts"),
        event("released", Compare(PRESSURE, below("80 psi gauge")), which="for good"),
        event("source closed", None, by="entry", for_each="bag"),
        event("five after", hot, delay=5),
        event("evacuated", Compare(BAG, at_least("22 inHg of vacuum")), for_each="bag", stays=1),
        event("leaked", Compare(BAG, below("25.6 inHg of vacuum")), for_each="bag", stays=1, after="evacuated"),
        event("source closed about then", None, by="entry", for_each="bag"),
    )
    allowance = Allowance(quantity("5 degC difference"), minutes(3), minutes(8))
    limits = within("174 degC", "182 degC")
    clock = Clock("coldest", hot, "pauses")
    restarting = Clock("coldest", hot, "restarts", Allowance(quantity("2 degC difference"), minutes(2), None))
    part, thermocouple, bag = "part", "part thermocouple", "bag"
    air_less_coldest, apart = Signal(AIR, "single", COLDEST), unit_named("degC difference")
    warm = Compare(EACH, within("60 degC", "170 degC"))
    one_inch = at_most("1 inHg of vacuum")
    forms = (
        Band("band", part, degC, None, None, COLDEST, SOAK, limits),
        Band("band 2", thermocouple, degC, None, None, EACH, WHOLE, at_most("183 degC"), allowance),
        Band("band 3", part, degC, None, None, Signal(PART, "mean"), SOAK, limits),
        Band("band 4", part, degC, None, None, HOTTEST, Phase("five after", "first exit"), limits),
        Band("band 5", part, apart, None, None, air_less_coldest, WHOLE, at_most("25 degC difference")),
        Band("band 6", part, PSI, None, None, PRESSURE, SOAK, at_least("85 psi gauge"), None, hot),
        Spread("spread", part, unit_named("degC difference"), None, None, Signal(PART, "spread"), SOAK, at_most("8 degC difference")),
        Rate("rate", thermocouple, unit_named("K/min"), None, None, EACH, Phase("record starts", "soak starts"),
             RateDefinition("least squares", minutes(5), 3), "rising", within("1 K/min", "4 K/min"), warm),
        Rate("rate 2", part, unit_named("K/min"), None, None, Signal(PART, "mean"), WHOLE,
             RateDefinition("end points", minutes(6), 3), "rising", at_most("5 K/min")),
        Rate("rate 3", thermocouple, unit_named("K/min"), None, None, EACH, Phase("soak starts", "record ends"),
             RateDefinition("sample to sample"), "falling", at_most("6 K/min")),
        Duration("duration", part, MINUTE, None, None, (Alternative(SOAK, clock, within("40 min", "90 min")),)),
        Duration("duration 2", part, MINUTE, None, None, (Alternative(SOAK, restarting, at_least("30 min")),)),
        AtEvent("at event", part, degC, None, None, "released", HOTTEST, at_most("100 degC")),
        AtEvent("at event 2", bag, PSI, None, None, "soak starts", PRESSURE, at_least("85 psi gauge")),
        Order("order", part, MINUTE, None, None, "soak starts", "released", None),
        LeakCheck("leak check", bag, INHG, None, None, BAG, "source closed", None, minutes(1), minutes(5), "worst", one_inch),
        LeakCheck("leak check 2", bag, INHG, None, None, BAG, "source closed about then", None, minutes(1), minutes(4), "first", one_inch),
        LeakCheck("leak check 3", bag, INHG, None, None, BAG, "source closed about then", None, minutes(1), minutes(4), "whole", one_inch),
        LeakCheck("leak check 4", bag, INHG, None, None, BAG, "evacuated", "leaked", minutes(1), minutes(2), "worst", one_inch),
        LeakCheck("leak check 5", bag, INHG, None, None, BAG, "evacuated", "leaked", minutes(1), minutes(2), "whole", one_inch),
        LeakCheck("leak check 6", bag, INHG, None, None, BAG, "evacuated", None, minutes(1), minutes(2), "worst", one_inch),
        Count("count", part, unit_named("count"), None, None, "working sensors", PART, SOAK, at_least("3 count")),
        Recording("recording", part, MINUTE, None, None, PART, WHOLE, at_most("1.5 min")),
    )  # fmt: skip
    return specification(
        clauses=(Clause("1", "as the paper says", forms),), events=events, lost=LostThermocouples(None, True, 2)
    )


def log_of(seed):
    """A short cure with noise around its levels, gaps, bad samples and a thermocouple that opens: rows of all channels."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(300, 700))
    t = np.cumsum(rng.choice([0.25, 0.5, 3.0], n, p=[0.8, 0.199, 0.001]))
    t -= t[0]
    heat = np.interp(t, [0, 12, 60, 115, 150], [20, 20, 178, 178, 60])
    traces = {}
    for j, name in enumerate(("TC1", "TC2", "TC3")):
        traces[name] = np.round(heat - 2 * j + rng.choice([0, 0.3, 2], p=[0.5, 0.4, 0.1]) * rng.normal(0, 1.5, n), 0)
    traces["P1"] = np.round(np.interp(t, [0, 15, 30, 120, 140], [0, 0, 90, 90, 0]) + rng.normal(0, 1, n), 0)
    traces["BAG1"] = np.round(np.interp(t, [0, 3, 12], [20, 26, 25.5]) + rng.normal(0, 0.1, n), 1)
    traces["AIR1"] = np.round(heat + 6 + rng.normal(0, 2, n), 0)
    bad = {name: rng.random(n) < rng.choice([0.0, 0.0, 0.003]) for name in NAMES}
    if rng.random() < 0.5:
        bad["TC2"][int(rng.integers(0, n)) :] = True
    return t, traces, bad


FEW = settings(max_examples=max(25, settings.default.max_examples // 4))
SEEDS = st.integers(0, 2**32 - 1)


def run_from(log, rows, *, closed):
    t, traces, bad = log
    units = dict(zip(NAMES, ("degC",) * 3 + ("psi gauge", "inHg of vacuum", "degC"), strict=True))
    channels = [
        channel(
            name, list(zip(t[:rows], traces[name][:rows], strict=True)), units[name], bad=t[:rows][bad[name][:rows]]
        )
        for name in NAMES
    ]
    whole = run_of(
        *channels, entries=(entry("source closed", 4, 11), entry("source closed about then", 4, 13, plus_minus=1))
    )
    return whole if closed else replace(whole, closing=None)


def batch(log, rows, *, closed):
    """The verdicts of the whole log, without the other readings (as a live run gives them)."""
    run = run_from(log, rows, closed=closed)
    load = load_of(run)
    spec = plan()
    hall = hall_of(Vessel("V1", (), (), ()), load, run, (), largest_gap((spec,)))
    return judge_part(scene_for(hall, load.parts[0], (spec,), Options(others=False)), {})


def start_live(log):
    run = run_from(log, 1, closed=False)
    empty = {
        name: replace(c, t=c.t[:0], v=c.v[:0], raw=c.raw[:0], bad=c.bad[:0], row=c.row[:0])
        for name, c in run.channels.items()
    }
    full = run_from(log, len(log[0]), closed=False)
    growing = Live((plan(),), Vessel("V1", (), (), ()), load_of(run), replace(run, channels=empty))
    table = np.column_stack([full.channels[name].v for name in NAMES])
    flags = np.column_stack([full.channels[name].bad for name in NAMES])
    return growing, full.channels["TC1"].t, table, flags


def feed(growing, t, table, flags, start, stop):
    for i in range(start, stop):
        growing.feed(NAMES, int(t[i]), table[i], flags[i])


@FEW
@given(SEEDS, st.lists(st.integers(0, 699), max_size=7))
@example(1758933126, [72, 200, 206, 415, 425, 459, 481])  # once the value where a 'while' begins was not kept
def test_any_cutting_gives_identical_verdicts(seed, cuts):
    log = log_of(seed)
    growing, t, table, flags = start_live(log)
    edges = sorted({min(cut, len(t)) for cut in cuts} | {0, len(t)})
    for start, stop in itertools.pairwise(edges):
        feed(growing, t, table, flags, start, stop)
        growing.fold()
    final = growing.close(Closing("author A", True, int(t[-1])))
    assert final == batch(log, len(t), closed=True)


@FEW
@given(SEEDS, st.lists(st.integers(5, 699), min_size=1, max_size=3))
def test_what_settles_equals_the_final_verdict(seed, cuts):
    log = log_of(seed)
    t = log[0]
    final = {(v.form, v.thing): v.outcome for v in batch(log, len(t), closed=True)}
    for rows in sorted({min(cut, len(t)) for cut in cuts}):
        for verdict in batch(log, rows, closed=False):
            if verdict.outcome is not Outcome.OPEN:
                assert verdict.outcome is final[(verdict.form, verdict.thing)], (rows, verdict)


@FEW
@given(SEEDS, st.integers(5, 699))
def test_a_growing_run_says_the_same_as_its_whole_log_so_far(seed, rows):
    log = log_of(seed)
    growing, t, table, flags = start_live(log)
    rows = min(rows, len(t))
    feed(growing, t, table, flags, 0, rows // 2)
    growing.fold()
    feed(growing, t, table, flags, rows // 2, rows)
    assert growing.verdicts() == batch(log, rows, closed=False)


@FEW
@given(SEEDS, st.lists(st.integers(5, 699), min_size=1, max_size=4), st.integers(0, 250))
def test_in_any_room_the_state_is_bounded_and_what_is_said_holds(seed, cuts, room):
    log = log_of(seed)
    growing, t, table, flags = start_live(log)
    growing.given_up.room = room
    whole = batch(log, len(t), closed=True)
    final = {(v.form, v.thing): v.outcome for v in whole}
    closing = Closing("author A", True, int(t[-1]))

    def holds(verdict, *, ended=False):
        may_be_open = growing.given_up.since or not ended
        return (may_be_open and verdict.outcome is Outcome.OPEN) or verdict.outcome is final[
            verdict.form, verdict.thing
        ]

    for start, stop in itertools.pairwise(sorted({min(cut, len(t)) for cut in cuts} | {0, len(t)})):
        feed(growing, t, table, flags, start, stop)
        growing.fold()
        recent = int((t[:stop] >= growing.let_go_before).sum())
        assert all(len(c.t) <= room + recent + 1 for c in growing.run.channels.values())
        assert all(map(holds, growing.verdicts()))
    assert all(holds(verdict, ended=True) for verdict in growing.close(closing))
    last = growing.close(closing, run_from(log, len(t), closed=True))
    assert last == whole


def test_a_late_row_is_refused():
    growing = Live(
        (plan(),),
        Vessel("V1", (), (), ()),
        load_of(run_of(channel("TC1", [(0, 20)]))),
        run_of(channel("TC1", [(0, 20)]), closed=False),
    )
    growing.feed(("TC1",), minutes(1), np.array([293150000.0]))
    with pytest.raises(LateDataError, match="not later than the last one"):
        growing.feed(("TC1",), minutes(1), np.array([293150000.0]))


def a_long_log():
    """Eight hours every five seconds."""
    t = np.arange(0, 480, 1 / 12)
    heat = np.interp(t, [0, 12, 60, 300, 380], [20, 20, 178, 178, 40]) + 0.05 * np.sin(t)
    traces = {name: heat - j for j, name in enumerate(("TC1", "TC2", "TC3"))}
    traces |= {"P1": np.interp(t, [0, 15, 30, 400, 420], [0, 0, 90, 90, 0]), "BAG1": 25 + 0 * t, "AIR1": heat + 6}
    return t, traces, {name: np.zeros(len(t), bool) for name in NAMES}


def folded_every(log, rows):
    """A growing run that was folded every so many rows, and what it kept of a channel after each."""
    growing, instants, table, flags = start_live(log)
    kept = []
    for start in range(0, len(instants), rows):
        feed(growing, instants, table, flags, start, min(start + rows, len(instants)))
        growing.fold()
        kept.append(growing.samples_kept / len(NAMES))
    return growing.close(Closing("author A", True, int(instants[-1]))), kept


def test_most_samples_of_a_long_log_are_let_go():
    """The law above is no empty one, and the state does not grow with the log."""
    log = a_long_log()
    final, kept = folded_every(log, 960)
    assert len(log[0]) == 5760
    assert kept[-1] < 0.15 * len(log[0])
    assert kept[-1] < kept[2] + 200
    assert final == batch(log, len(log[0]), closed=True)


@pytest.mark.parametrize("forgotten", [("_deepest",), ("_stays",), ("_stays", "_sides")])
def test_an_excursion_that_is_forgotten_is_noticed(monkeypatch, forgotten):
    t, traces, bad = a_long_log()
    waves = {name: v + 5 * np.sin(t / 5 + int(name[-1])) if name.startswith("TC") else v for name, v in traces.items()}
    log = (t, waves, bad)  # which leave the band of the soak again and again
    whole = batch(log, len(t), closed=True)
    assert folded_every(log, 960)[0] == whole
    nothing = {
        "_deepest": lambda trace, *asked: trace.t[:0],
        "_stays": lambda cuts, *asked: cuts,
        "_sides": lambda trace: trace.t[:0],
    }
    for name in forgotten:
        monkeypatch.setattr(letting_go, name, nothing[name])
    assert folded_every(log, 960)[0] != whole


@pytest.mark.parametrize("forgotten", ["_extremes_between", "_keep_windows", "_of_leak_check", "around", "edges_of"])
def test_a_planted_fault_in_the_fold_is_caught(monkeypatch, forgotten):
    """The law above can fail: a fold that forgets some of what matters gives other verdicts."""
    nothing = {
        "_extremes_between": lambda t, v, edges: t[:0],
        "_keep_windows": lambda *asked: None,
        "_of_leak_check": lambda scene, form, bag, trace: trace.t[:0],
        "edges_of": lambda scene, event, thing: set(),
        "around": lambda t, instants, beside=0: t[:0],
    }
    monkeypatch.setattr(cuts_in if forgotten == "edges_of" else letting_go, forgotten, nothing[forgotten])
    monkeypatch.setattr(live.Live, "_look_back", lambda self: minutes(1))
    faults = 0
    for seed in range(12):
        log = log_of(seed)
        growing, t, table, flags = start_live(log)
        feed(growing, t, table, flags, 0, len(t))
        growing.fold()
        final = growing.close(Closing("author A", True, int(t[-1])))
        faults += final != batch(log, len(t), closed=True)
    assert faults > 0
