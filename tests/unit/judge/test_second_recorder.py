"""A second recorder inside the gaps of the first, by hand: what it may fill, what its clock's bound costs, and what it never touches."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from curewright.judge.judge import judge
from curewright.judge.live import Live
from curewright.judge.second_recorder import filled
from curewright.judge.trace import Second, trace_of
from curewright.terms.load import ALWAYS, Calibration, Recorder, Vessel
from curewright.terms.requirement import (
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Duration,
    Group,
    Phase,
    SecondRecorder,
    Signal,
    Spread,
)
from curewright.terms.run import Entry, RecorderClock, Recording
from curewright.terms.units import UNITS
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    MIN,
    PART,
    at_least,
    at_most,
    channel,
    event,
    load_of,
    minutes,
    run_of,
    specification,
    within,
)

MET, NOT_MET, NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
ALLOWED = SecondRecorder(True, None, None, "SP-12 rev B")
WHOLE = Phase("record starts", "record ends")
BAND = Band("band", "part thermocouple", UNITS["degC"], None, None, EACH, WHOLE, at_most("185 degC"))


def gappy(name, value=180.0, gap=(10, 20), end=30):
    """A thermocouple every minute, silent between two minutes."""
    return channel(name, [(t, value) for t in range(end + 1) if not gap[0] < t < gap[1]])


def second(name, points, bound_s=0, recorder="backup"):
    made = channel(f"{name} (backup)", points)
    return replace(made, second_of=name, recorder=recorder), bound_s


def judged(form, firsts, seconds, *, rule=ALLOWED, vessel=None, events=(), bound_s=0, **more):
    """Verdicts by thing, with the second recorder's clock known to some seconds."""
    run = run_of(*firsts, **more)
    load = load_of(run)
    clock = RecorderClock(0, 0, bound_s * 10**9, "given", person="inspector B")
    channels = {**run.channels, **{made.name: made for made, _ in seconds}}
    both = replace(run, channels=channels, recordings=(Recording("backup", ("b.csv",), 0, 0, MIN, clock=clock),))
    spec = specification(form, events=events, second_recorder=rule)
    made = judge((spec,), vessel or Vessel("V1", (), (), ()), load, both)
    return {verdict.thing: verdict for verdict in made.verdicts}


HELD = [(t, 180.0) for t in range(5, 26)]


def test_a_gap_is_filled_and_the_outcome_without_it_is_told():
    verdict = judged(BAND, [gappy("TC1")], [second("TC1", HELD)], bound_s=30)["TC1"]
    assert (verdict.outcome, verdict.without_second_recorder) == (MET, NOT_SHOWN)
    assert verdict.notes == (
        "the recorder backup (its clock known to ± 30.0 s) speaks for TC1 in gaps of the first one",
    )


def test_without_a_rule_or_a_known_clock_or_a_valid_calibration_it_fills_nothing():
    assert judged(BAND, [gappy("TC1")], [second("TC1", HELD)], rule=SecondRecorder(False))["TC1"].outcome is NOT_SHOWN
    other = [second("TC1", HELD, recorder="another one")]
    assert judged(BAND, [gappy("TC1")], other)["TC1"].outcome is NOT_SHOWN
    for due, outcome in ((date(2031, 3, 3), NOT_SHOWN), (date(2031, 3, 4), MET)):
        vessel = Vessel("V1", (), (), (Recorder("backup", calibration=Calibration("C-1", due)),))
        verdict = judged(BAND, [gappy("TC1")], [second("TC1", HELD)], vessel=vessel)["TC1"]
        assert (verdict.outcome, verdict.without_second_recorder) == (outcome, NOT_SHOWN if outcome is MET else None)


def test_its_samples_count_nowhere_else():
    hot = [(t, 200.0 if t < 9 or t > 21 else 180.0) for t in range(0, 31)]
    assert judged(BAND, [gappy("TC1")], [second("TC1", hot)])["TC1"].outcome is MET
    assert judged(BAND, [channel("TC1", [(t, 180.0) for t in range(31)])], [second("TC1", hot)])["TC1"].outcome is MET


def test_a_bad_sample_of_the_first_is_no_gap():
    broken = channel("TC1", [(t, 180.0) for t in range(31)], bad=range(11, 20))
    assert judged(BAND, [broken], [second("TC1", HELD)])["TC1"].outcome is NOT_SHOWN


def test_a_breach_in_the_gap_is_not_met_where_the_clock_cannot_explain_it_away():
    hot = [(t, 190.0 if 13 <= t <= 17 else 180.0) for t in range(5, 26)]
    assert judged(BAND, [gappy("TC1")], [second("TC1", hot)], bound_s=90)["TC1"].outcome is NOT_MET
    spike = [(t, 190.0 if t == 15 else 180.0) for t in range(5, 26)]
    assert judged(BAND, [gappy("TC1")], [second("TC1", spike)], bound_s=0)["TC1"].outcome is NOT_MET
    assert judged(BAND, [gappy("TC1")], [second("TC1", spike)], bound_s=90)["TC1"].outcome is NOT_SHOWN
    late = [(t, 190.0 if t == 21 else 180.0) for t in range(5, 26)]  # outside the gap, unless the clock is a minute off
    assert judged(BAND, [gappy("TC1")], [second("TC1", late)], bound_s=0)["TC1"].outcome is MET
    assert judged(BAND, [gappy("TC1")], [second("TC1", late)], bound_s=90)["TC1"].outcome is NOT_SHOWN


@pytest.mark.parametrize("bound_s, outcome", [(0, MET), (60, MET), (61, NOT_SHOWN)])
def test_it_has_to_reach_over_the_gap_by_the_bound_of_its_clock(bound_s, outcome):
    just = [(t, 180.0) for t in range(9, 22)]
    assert judged(BAND, [gappy("TC1")], [second("TC1", just)], bound_s=bound_s)["TC1"].outcome is outcome


def test_its_own_silences_and_bad_samples_stay_unknown():
    silent = [point for point in HELD if not 12 < point[0] < 16]  # 4 min, the largest gap is 2 min
    verdict = judged(BAND, [gappy("TC1")], [second("TC1", silent)], bound_s=30)["TC1"]
    assert verdict.outcome is NOT_SHOWN
    assert [(u.start, u.end) for u in verdict.unknown] == [(minutes("11.5"), minutes("16.5"))]


@pytest.mark.parametrize(
    "at_a_time, in_all, outcomes",
    [
        (None, None, [MET, MET]),
        (10, None, [MET, MET]),
        (9, None, [NOT_SHOWN, MET]),
        (None, 15, [MET, MET]),
        (None, 14, [MET, NOT_SHOWN]),  # the first gap of 10 min is filled, then only 4 min are left for one of 5
        (None, 9, [NOT_SHOWN, MET]),
        (4, None, [NOT_SHOWN, NOT_SHOWN]),
    ],
)
def test_only_as_long_as_allowed_in_the_order_of_time(at_a_time, in_all, outcomes):
    first = channel("TC1", [(t, 180.0) for t in range(61) if not (10 < t < 20 or 40 < t < 45)])
    backup = second("TC1", [(t, 180.0) for t in range(-5, 66)])
    rule = SecondRecorder(True, *(None if m is None else minutes(m) for m in (at_a_time, in_all)), "SP-12 rev B")
    form, events = replace(BAND, phase=Phase("a", "b")), [by_entry("a"), by_entry("b")]
    for (start, end), outcome in zip(((0, 30), (30, 60)), outcomes, strict=True):
        how = {"rule": rule, "events": events, "entries": [entry("a", start), entry("b", end)]}
        assert judged(form, [first], [backup], **how)["TC1"].outcome is outcome


def entry(name, at):
    return Entry(name, "S1", minutes(at), None, 0, "inspector B")


def by_entry(name):
    return event(name, None, by="entry", entry=name)


def test_both_ends_of_the_record():
    dead = channel("TC1", [(t, 180.0) for t in range(5, 16)])
    whole = second("TC1", [(t, 180.0) for t in range(-5, 36)])
    assert judged(BAND, [dead], [whole], end=30)["TC1"].outcome is MET
    short = second("TC1", [(t, 180.0) for t in range(-5, 30)])
    assert judged(BAND, [dead], [short], end=30)["TC1"].outcome is NOT_SHOWN


def test_an_event_found_there_is_an_interval():
    falls = [(t, 180.0 if t < 15 else 170.0) for t in range(5, 26)]
    first = channel("TC1", [(t, 180.0 if t <= 10 else 170.0) for t in range(31) if not 10 < t < 20])
    ends = event("soak ends", Compare(COLDEST, at_most("175 degC")), which="for good")
    for least, outcome in ((13, MET), (15, NOT_SHOWN), (16, NOT_MET)):
        form = Duration(
            "duration", "part", UNITS["min"], None, None,
            (alternative(Phase("record starts", "soak ends"), at_least(f"{least} min")),),
        )  # fmt: skip
        verdict = judged(form, [first], [second("TC1", falls)], bound_s=60, events=[ends])["S1"]
        assert verdict.outcome is outcome
        # the crossing of 175 stands at 14.5 min by the second recorder's clock, known to a minute
        assert (verdict.phase.earliest_end, verdict.phase.latest_end) == (minutes("13.5"), minutes("15.5"))


def alternative(phase, limits):
    return Alternative(phase, Clock("coldest", None, "runs on", None), limits)


def test_a_spread_and_a_mean_of_sensors_on_the_same_recorder():
    apart = UNITS["degC difference"]
    spread = Spread("spread", "part", apart, None, None, Signal(PART, "spread"), WHOLE, at_most("6 degC difference"))
    firsts = [gappy("TC1", 180.0), gappy("TC2", 184.0)]
    both = [second("TC1", HELD), second("TC2", [(t, v + 4) for t, v in HELD])]
    found = judged(spread, firsts, both, bound_s=30)["S1"]
    assert (found.outcome, found.without_second_recorder) == (MET, NOT_SHOWN)
    wide = [both[0], second("TC2", [(t, v + 8) for t, v in HELD])]
    assert judged(spread, firsts, wide, bound_s=30)["S1"].outcome is NOT_MET
    assert judged(spread, firsts, both[:1], bound_s=30)["S1"].outcome is NOT_SHOWN
    mean = Band("band", "part", UNITS["degC"], None, None, Signal(PART, "mean"), WHOLE, at_most("183 degC"))
    assert judged(mean, firsts, both, bound_s=30)["S1"].outcome is MET
    assert judged(mean, firsts, wide, bound_s=30)["S1"].outcome is NOT_MET


def test_a_value_at_an_instant_in_the_gap():
    form = AtEvent("at event", "part", UNITS["degC"], None, None, "noted", COLDEST, at_least("175 degC"))
    how = {"events": [by_entry("noted")], "entries": [entry("noted", 15)], "bound_s": 60}
    verdict = judged(form, [gappy("TC1")], [second("TC1", HELD)], **how)["S1"]
    assert (verdict.outcome, verdict.margin.actual) == (MET, "180")
    assert [(sample.channel, sample.file) for sample in verdict.samples][:1] == [("TC1 (backup)", "log.csv")]
    falling = [(t, 190.0 - t) for t in range(5, 26)]  # 175 at 15 min: within a minute above or below
    assert judged(form, [gappy("TC1")], [second("TC1", falling)], **how)["S1"].outcome is NOT_SHOWN


def test_another_reference_of_the_second_recorder_is_changed_with_the_barometer():
    gauge = channel("P1", [(t, 5.0) for t in range(31) if not 10 < t < 20], "bar gauge")
    absolute = replace(
        channel("P1 (backup)", [(t, 6.0) for t in range(5, 26)], "bar absolute"), second_of="P1", recorder="backup"
    )
    form = Band(
        "band", "vessel", UNITS["bar gauge"], None, None, Signal(Group("vessel pressure"), "single"), WHOLE,
        at_least("4.9 bar gauge"),
    )  # fmt: skip
    for barometer, outcome in ((1.0e8, MET), (1.2e8, NOT_MET)):  # mPa: 1 bar, 1.2 bar
        run = run_of(gauge, barometer=barometer)
        load = load_of(run)
        clock = RecorderClock(0, 0, 0, "given", person="inspector B")
        both = replace(
            run,
            channels={**run.channels, absolute.name: absolute},
            recordings=(Recording("backup", ("b.csv",), 0, 0, MIN, clock=clock),),
        )
        made = judge((specification(form, second_recorder=ALLOWED),), Vessel("V1", (), (), ()), load, both)
        assert made.verdicts[0].outcome is outcome


def test_it_is_not_named_where_the_first_one_has_no_gap():
    whole = channel("TC1", [(t, 180.0) for t in range(31)])
    verdict = judged(BAND, [whole], [second("TC1", HELD)])["TC1"]
    assert (verdict.outcome, verdict.without_second_recorder, verdict.notes) == (MET, None, ())


@pytest.mark.parametrize(
    "samples, gap, noted",
    [
        ([0], (0, 30), 0),  # one sample, then nothing
        ([0, *range(5, 31)], (0, 5), 0),
        ([*range(26), 30], (25, 30), 30),
        ([30], (0, 30), 30),
        (range(5, 31), (0, 5), 5),
        ([*range(5, 11), *range(20, 31)], (10, 20), 10),
        ([*range(5, 11), *range(20, 26)], (10, 20), 20),
    ],
)
def test_a_sample_of_the_first_one_at_the_edge_of_a_gap_has_the_say(samples, gap, noted):
    first, backup = channel("TC1", [(t, 180.0) for t in samples]), second("TC1", [(t, 170.0) for t in range(-5, 36)])
    form = AtEvent("at event", "part", UNITS["degC"], None, None, "noted", COLDEST, at_least("175 degC"))
    how = {"events": [by_entry("noted")], "end": 30}
    assert judged(form, [first], [backup], entries=[entry("noted", noted)], **how)["S1"].outcome is MET
    inside = sum(gap) // 2
    assert judged(form, [first], [backup], entries=[entry("noted", inside)], **how)["S1"].outcome is NOT_MET


def test_a_sensor_that_was_plugged_elsewhere_in_the_gap_is_not_read_through_the_clocks_error():
    """Plugged from the channel A into B at 15 min; the second recorder's clock is known to 1 min. Its sample of A at 14 min may be
    of 15, when A carried the sensor no more, so 13 is the last (known to 12); that of B at 16 may be of 15, and counts (from 17 on).
    """
    names = {"A": (-ALWAYS, minutes(15)), "B": (minutes(15), ALWAYS)}
    firsts = [gappy(name) for name in names]
    a = second("A", [(t, 180.0 if t < 14 else 25.0) for t in range(5, 26)])
    b = second("B", [(t, 25.0 if t < 16 else 180.0) for t in range(5, 26)])
    run = run_of(*firsts)
    load = load_of(replace(run, channels={"TC1": gappy("TC1")}))
    lines = tuple(replace(load.map[0], channel=name, start=start, end=end) for name, (start, end) in names.items())
    clock = RecorderClock(0, 0, MIN, "given", person="inspector B")
    channels = {**run.channels, **{made.name: made for made, _ in (a, b)}}
    both = replace(run, channels=channels, recordings=(Recording("backup", ("b.csv",), 0, 0, MIN, clock=clock),))
    spec = specification(replace(BAND, limits=within("175 degC", "185 degC")), second_recorder=ALLOWED)
    (verdict,) = judge((spec,), Vessel("V1", (), (), ()), replace(load, map=lines), both).verdicts
    assert (verdict.outcome, [(u.start, u.end) for u in verdict.unknown]) == (NOT_SHOWN, [(minutes(12), minutes(17))])


def test_readings_before_correction_are_its_own_readings_before_correction():
    made, bound = second("TC1", HELD)
    corrected = replace(made, raw=made.v + UNITS["degC difference"].to_grains(10.0)), bound
    assert judged(BAND, [gappy("TC1")], [corrected])["TC1"].outcome is MET
    raw = replace(BAND, signal=replace(EACH, raw=True))
    assert judged(raw, [gappy("TC1")], [corrected])["TC1"].outcome is NOT_MET


def test_the_reading_at_the_first_sample_takes_its_first_sample_in_the_gap():
    falls = [
        (t, 180.0 if t < 15 else 170.0) for t in range(5, 26)
    ]  # leaves 175 at 14.5 min; the first sample outside is at 15
    first = channel("TC1", [(t, 180.0 if t <= 10 else 170.0) for t in range(31) if not 10 < t < 20])
    clock = Clock("coldest", Compare(COLDEST, at_least("175 degC")), "pauses", None)
    form = Duration(
        "duration", "part", UNITS["min"], None, None, (Alternative(WHOLE, clock, at_least("10 min")),)
    )  # fmt: skip
    verdict = judged(form, [first], [second("TC1", falls)])["S1"]
    by_sample = {other.definition: other.actual for other in verdict.others}
    assert verdict.margin.actual == "14.5"
    assert by_sample["first sample in band instead of the exact crossing"] == "15 min"


def test_a_state_has_no_second_recorder():
    """It speaks for what a sensor measures; a state (a valve, a segment) is taken from the first recorder alone."""
    valve = channel("VALVE1", [(0, "pump"), (20, "pump")], kind="state", states=("pump", "vented"))
    backup = replace(valve, name="VALVE1 (backup)", second_of="VALVE1", recorder="backup")
    trace = trace_of("VALVE1", [(valve, -ALWAYS, ALWAYS)], 2 * MIN)
    paper, pieces = specification(BAND, second_recorder=ALLOWED), [(valve, -ALWAYS, ALWAYS)]
    assert filled(trace, pieces, {"VALVE1": (backup, 0)}, paper, 30 * MIN, raw=False) is trace


def test_extremes_take_what_the_clock_allows():
    first = trace_of("TC1", [(gappy("TC1"), -ALWAYS, ALWAYS)], 2 * MIN)
    rising = channel("b", [(t, 170.0 + t) for t in range(5, 26)])
    own = trace_of("TC1", [(rising, -ALWAYS, ALWAYS)], 2 * MIN)
    both = replace(first, second=Second(own, ((10 * MIN, 20 * MIN),), MIN, rising))
    found = both.extremes(12 * MIN, 14 * MIN)
    assert UNITS["degC"].from_grains(found.least) == pytest.approx(181)  # 11 min
    assert UNITS["degC"].from_grains(found.most) == pytest.approx(185)  # 15 min
    assert found.unknown is None
    assert both.value(15 * MIN) is None
    assert both.alone.second is None
    assert np.array_equal(both.t, first.t), "its samples are not among those of the first"


@pytest.mark.parametrize("fold_every", [1, 7, 1000])
@pytest.mark.parametrize("silent", [(40, 50), (40, 90), (70, 200)])
@pytest.mark.parametrize("later, outcome", [(180.0, MET), (186.0, NOT_MET)])
def test_a_growing_run_says_the_same_and_lets_go_of_what_lies_beside_no_gap(fold_every, silent, later, outcome):
    """Two recorders fed row by row, the first one silent for a while (or for good); folded now and then."""
    value = [180.0 if t < 75 else later for t in range(130)]
    first = channel("TC1", [(t, value[t]) for t in range(121) if not silent[0] < t < silent[1]])
    backup = replace(channel("TC1 (backup)", list(enumerate(value))), second_of="TC1", recorder="backup")
    clock = RecorderClock(0, 0, 30 * 10**9, "given", person="inspector B")
    recordings = (Recording("backup", ("b.csv",), 0, 0, MIN, clock=clock),)
    run = run_of(first, end=120)
    load = load_of(run)
    spec = specification(BAND, second_recorder=ALLOWED)
    whole = replace(run, channels={"TC1": first, backup.name: backup}, recordings=recordings)
    (expected,) = judge((spec,), Vessel("V1", (), (), ()), load, whole).verdicts
    nothing = {name: slice(0, 0) for name in ("t", "v", "bad", "raw", "row")}
    empty = {
        made.name: replace(made, **{name: getattr(made, name)[cut] for name, cut in nothing.items()})
        for made in (first, backup)
    }
    growing = Live((spec,), Vessel("V1", (), (), ()), load, replace(whole, channels=empty, closing=None))
    for t in range(130):
        for made in (first, backup):
            at = np.flatnonzero(made.t == minutes(t))
            if len(at):
                growing.feed((made.name,), minutes(t), made.v[at])
        if t % fold_every == 0:
            growing.fold()
    (found,) = growing.close(run.closing)
    assert (found.outcome, expected.outcome) == (outcome, outcome)
    assert growing.samples_kept < len(first.t) + len(backup.t) or fold_every == 1000
