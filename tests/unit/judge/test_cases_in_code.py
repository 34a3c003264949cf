"""The binding cases of the design (numbers as there), built from nouns. The same cases stand as Markdown in tests/requirements."""

from __future__ import annotations

from curewright.terms.load import Ruling
from curewright.terms.requirement import (
    Allowance,
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Duration,
    Group,
    LeakCheck,
    LostThermocouples,
    Phase,
    Rate,
    RateDefinition,
    Signal,
    StateIs,
)  # fmt: skip
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    at_least,
    at_most,
    below,
    channel,
    entry,
    event,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    within,
)  # fmt: skip

WHOLE = Phase("record starts", "record ends")


def band(limits, signal=EACH, phase=WHOLE, unit="degC", for_each="part thermocouple", **more):
    return Band("band", for_each, unit_named(unit), None, None, signal, phase, limits, **more)


def test_case_1_and_2():
    for top, outcome, margin in (("185.0", Outcome.MET, "0"), ("185.1", Outcome.NOT_MET, "-0.1")):
        found = verdict(
            specification(band(within("175 degC", "185 degC"))),
            run_of(channel("TC1", [(0, 180.0), (1, float(top)), (2, 180.0)])),
        )
        assert (found.outcome, found.margin.value, found.margin.at) == (outcome, margin, minutes(1))


def soak(limits, leaves="pauses", until="for good", stays=0, start_stays=0):
    reach = event("soak starts", Compare(COLDEST, at_least("174.4 degC")), stays=start_stays)
    leave = event("soak ends", Compare(COLDEST, below("174.4 degC")), which=until, stays=stays, after="soak starts")
    clock = Clock("coldest", Compare(COLDEST, at_least("174.4 degC")), leaves)
    return Duration(
        "duration",
        "part",
        unit_named("min"),
        None,
        None,
        (Alternative(Phase("soak starts", "soak ends"), clock, limits),),
    ), (reach, leave)


def case_11_log():
    rows = (
        [(i, 100 + i * 70 / 60) for i in range(61)]
        + [(i, 178.0) for i in range(70, 191)]
        + [(190.0001, 174.3), (191, 174.0)]
    )
    return channel("TC1", rows)


def test_case_11():
    for least, outcome in (("120 min", Outcome.MET), ("125 min", Outcome.NOT_SHOWN), ("131 min", Outcome.NOT_MET)):
        form, events = soak(at_least(least))
        found = verdict(specification(form, events=events), run_of(case_11_log()))
        assert found.outcome is outcome, found
        assert found.phase.earliest_start == minutes(60)
        assert found.phase.latest_start == minutes(70)


def case_17_log():
    rows = []
    for t in range(0, 181):
        inside = 10 <= t <= 70 or 73 <= t <= 163
        rows.append((t, 180.0 if inside else 170.0))
    exact = [
        (9.99999, 174.3999),
        (10, 180.0),
        (70, 180.0),
        (70.00001, 170),
        (72.99999, 170),
        (73, 180.0),
        (163, 180),
        (163.00001, 170),
    ]
    return channel("TC1", sorted(dict(rows + exact).items()))


def test_case_17_and_18():
    for leaves, outcome, value in (
        ("restarts", Outcome.NOT_MET, -30),
        ("pauses", Outcome.MET, 30),
        ("runs on", Outcome.MET, 33),
    ):
        form, events = soak(at_least("120 min"), leaves)
        found = verdict(specification(form, events=events), run_of(case_17_log()))
        assert found.outcome is outcome, (leaves, found)
        assert abs(float(found.margin.value) - value) < 1e-3
    form, events = soak(at_least("120 min"), "pauses", until="first", stays=2)
    found = verdict(specification(form, events=events), run_of(case_17_log()))
    assert found.outcome is Outcome.NOT_MET
    assert abs(float(found.margin.value) + 60) < 1e-3


def test_case_12_to_14():
    rows = lambda v: [(t, v) for t in range(0, 61)]  # noqa: E731
    events = (event("soak starts", Compare(COLDEST, at_least("174.4 degC"))),)
    form = band(at_least("174.4 degC"), COLDEST, Phase("record starts", "record ends"), for_each="part")
    tc2 = channel("TC2", rows(176.0), bad=(31,))
    found = verdict(
        specification(form, events=events), run_of(channel("TC1", rows(177.0)), tc2, channel("TC3", rows(178.0)))
    )
    assert found.outcome is Outcome.NOT_SHOWN
    assert "unknown over (+0:30:00, +0:32:00)" in found.reason
    dipped = [(t, 173.0 if t == 40 else 177.0) for t in range(0, 61)]
    found = verdict(
        specification(form, events=events), run_of(channel("TC1", dipped), tc2, channel("TC3", rows(178.0)))
    )
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.NOT_MET, "-1.4", minutes(40))
    ruling = Ruling("set aside", "TC2", minutes(29), minutes(33), "engineer C", "loose plug")
    found = verdict(
        specification(form, events=events),
        run_of(channel("TC1", rows(177.0)), tc2, channel("TC3", rows(178.0))),
        (ruling,),
    )
    assert (found.outcome, found.margin.value, found.without_set_aside) == (Outcome.MET, "1.6", Outcome.NOT_SHOWN)


def test_case_15_and_16():
    lost = LostThermocouples(None, True, 2)
    start = event("soak starts", Compare(COLDEST, at_least("340 degF")))
    form = band(at_most("400 degF"), HOTTEST, Phase("soak starts", "record ends"), unit="degF", for_each="part")
    times = range(0, 41)
    steady = lambda name, v: channel(name, [(t, v) for t in times], "degF")  # noqa: E731
    rising = channel(
        "TC3", [(t, 300.0 + t) for t in range(0, 21)] + [(t, 0) for t in range(21, 41)], "degF", bad=range(21, 41)
    )
    found = verdict(
        specification(form, events=(start,), lost=lost), run_of(steady("TC1", 352), steady("TC2", 347), rising)
    )
    assert found.outcome is Outcome.NOT_SHOWN
    assert (found.phase.earliest_start, found.phase.latest_start) == (minutes(20), None)
    form = band(at_least("339 degF"), COLDEST, Phase("soak starts", "record ends"), unit="degF", for_each="part")
    opens = channel(
        "TC1", [(t, 352.0) for t in range(0, 21)] + [(t, 0) for t in range(21, 41)], "degF", bad=range(21, 41)
    )
    climbing = channel("TC3", [(t, 320.0 + t) for t in times], "degF")
    found = verdict(specification(form, events=(start,), lost=lost), run_of(opens, steady("TC2", 347), climbing))
    assert found.outcome is Outcome.MET
    assert (found.phase.earliest_start, found.phase.latest_start) == (minutes(20), minutes(20))
    assert found.set_aside


def test_case_19_to_21():
    def log(second_end="82.0", peak=0):
        pts = [
            (0, 350.0),
            (59.99, 350),
            (60.0, 360.0),
            (60.0000001, 363.0),
            (61.4999999, 363.0),
            (61.5, 360.0),
            (61.6, 350),
            (79.9, 350),
            (80, 360.0),
            (80.0000001, 364),
            (float(second_end) - 0.0000001, 364),
            (float(second_end), 360),
            (float(second_end) + 0.1, 350),
            (120, 350),
        ]
        if peak:
            pts += [(60.5, 363), (60.6, 366.0), (60.7, 366.0), (60.8, 363.0)]
        return channel("TC1", sorted(pts), "degF")

    allowance = Allowance(quantity("5 degF difference"), minutes(2), minutes(6))
    form = band(within("340 degF", "360 degF"), unit="degF", allowance=allowance)
    found = verdict(specification(form, gap=60), run_of(log()))
    assert found.outcome is Outcome.MET, found
    assert dict(found.allowance_left) == {"at a time": "0 min", "in all": "2.5 min", "depth": "1 degF"}
    assert verdict(specification(form, gap=60), run_of(log("83.0"))).outcome is Outcome.NOT_MET
    assert verdict(specification(form, gap=60), run_of(log(peak=1))).outcome is Outcome.NOT_MET


def rate(limits, while_=None, definition=None, sense="rising", signal=EACH):
    definition = definition or RateDefinition("least squares", minutes(10), 3)
    return Rate(
        "rate", "part thermocouple", unit_named("K/min"), None, None, signal, WHOLE, definition, sense, limits, while_
    )


def test_case_22_to_26():
    one_to_three = within("1 K/min", "3 K/min")
    line = channel("TC1", [(t, 100 + 2 * t) for t in range(41)])
    found = verdict(specification(rate(one_to_three)), run_of(line))
    assert (found.outcome, found.margin.value) == (Outcome.MET, "1"), found
    bent = channel("TC1", [(t, 50.0 if t < 10 else 50 + 2 * (t - 10)) for t in range(61)])
    found = verdict(specification(rate(one_to_three, Compare(EACH, within("60 degC", "120 degC")))), run_of(bent))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "1", minutes(25)), found
    found = verdict(specification(rate(one_to_three, Compare(EACH, within("60 degC", "75 degC")))), run_of(bent))
    assert found.outcome is Outcome.NOT_SHOWN
    gappy = channel("TC1", [(t, 100 + 2 * t) for t in range(37) if not 20 < t < 26])
    found = verdict(specification(rate(one_to_three)), run_of(gappy))
    assert found.outcome is Outcome.MET, found
    assert found.margin.value == "1"
    levels = RateDefinition("between levels", None, None, quantity("60 degC"), quantity("120 degC"))
    found = verdict(
        specification(rate(one_to_three, definition=levels), gap=60),
        run_of(channel("TC1", [(0, 50), (5, 60), (35, 120), (40, 121)])),
    )
    assert (found.outcome, found.margin.actual) == (Outcome.MET, "2"), found


def test_case_27():
    pressure = channel("P1", [(0, 0), (20, 0), (80, 90)], "psi gauge")
    valve = channel(
        "VALVE1", [(0, "vacuum"), (34, "atmosphere"), (80, "atmosphere")], kind="state", states=("vacuum", "atmosphere")
    )
    vent = event("vent begins", StateIs(Group("channel", "source valve"), ("atmosphere",)), by="state", for_each="bag")
    form = AtEvent(
        "at event",
        "bag",
        unit_named("psi gauge"),
        None,
        None,
        "vent begins",
        Signal(Group("vessel pressure"), "single"),
        within("15 psi gauge", "30 psi gauge"),
    )
    found = verdict(specification(form, events=(vent,), gap=60), run_of(pressure, valve))
    assert (found.outcome, found.margin.actual, found.margin.value) == (Outcome.MET, "21", "6"), found


def leak(rule="first", loses="5 inHg of vacuum"):
    return LeakCheck(
        "leak check",
        "bag",
        unit_named("inHg of vacuum"),
        None,
        None,
        Signal(Group("bag vacuum"), "single"),
        "source closed",
        None,
        0,
        minutes(5),
        rule,
        at_most(loses),
    )


def closed():
    return event("source closed", None, by="entry", for_each="bag")


def test_case_28_to_30():
    bag = channel("BAG1", [(0, 26.0), (5, 25.2)], "inHg of vacuum")
    found = verdict(
        specification(leak(), events=(closed(),), gap=5), run_of(bag, entries=(entry("source closed", 0, 5),))
    )
    assert (found.outcome, found.margin.value) == (Outcome.MET, "4.2"), found
    found = verdict(specification(leak(), events=(closed(),), gap=5), run_of(bag))
    assert found.outcome is Outcome.NOT_SHOWN
    assert "isolation is not proven" in found.reason
    bag = channel("BAG1", [(0, 26.0), (5, 25), (10, 19)], "inHg of vacuum")
    for rule, outcome, margin in (("first", Outcome.MET, "4"), ("worst", Outcome.NOT_MET, "-1")):
        found = verdict(
            specification(leak(rule), events=(closed(),), gap=5), run_of(bag, entries=(entry("source closed", 0, 10),))
        )
        assert (found.outcome, found.margin.value) == (outcome, margin), found


def test_case_33_and_34():
    released = event(
        "pressure released",
        Compare(Signal(Group("vessel pressure"), "single"), below("80 psi gauge")),
        which="for good",
    )
    form = AtEvent("at event", "part", unit_named("degC"), None, None, "pressure released", HOTTEST, at_most("60 degC"))
    for covers, outcome in ((False, Outcome.NOT_SHOWN), (True, Outcome.NOT_MET)):
        run = run_of(channel("P1", [(0, 90), (1, 90)], "psi gauge"), channel("TC1", [(0, 67), (1, 66)]), covers=covers)
        assert verdict(specification(form, events=(released,)), run).outcome is outcome
