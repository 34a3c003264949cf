# ruff: noqa: E501  (messages stand as they are printed)
"""What the parts of a file become in the plan, field by field."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from curewright.terms import requirement as rq
from curewright.terms.errors import Errors, Place
from curewright.terms.units import UNITS, Quantity
from curewright.understand.specification import understand, without_places
from tests.unit.understand.head import HEAD, clause, text_of

MINUTE = 60 * 10**9
COLDEST = rq.Signal(rq.Group("part thermocouple"), "coldest")
HOTTEST = rq.Signal(rq.Group("part thermocouple"), "hottest")
VESSEL = rq.Signal(rq.Group("vessel pressure"), "single")
BAG = rq.Signal(rq.Group("bag vacuum"), "single")
SOAK = rq.Phase("soak starts", "soak ends")
PAPER = rq.Because("the paper says so", "the paper")


def q(number: str, unit: str) -> Quantity:
    return Quantity(Decimal(number), UNITS[unit])


def low(number: str, unit: str) -> rq.Limits:
    return rq.Limits(low=q(number, unit), written=f"at least {number} {unit.removesuffix(' difference')}")


def high(number: str, unit: str) -> rq.Limits:
    return rq.Limits(high=q(number, unit), written=f"at most {number} {unit.removesuffix(' difference')}")


def form(text: str) -> Any:
    plan = understand(text_of(clause(text)), "s.yaml")
    return without_places(plan.clauses[0].forms[0])


def event(text: str) -> rq.Event:
    plan = understand(
        text_of('"1":\n  says: a\n  by a person: b\n', head=HEAD.replace("events:\n", f"events:\n  x: {text}\n")), "s"
    )
    return without_places(plan.event("x"))  # type: ignore[no-any-return]


def common(name: str, for_each: str, unit: str, because: rq.Because | None = None) -> dict[str, Any]:
    return {"name": name, "for_each": for_each, "unit": UNITS[unit], "because": because, "place": None}


# ---------------------------------------------------------------------------------------------------------------------- forms
def test_band() -> None:
    assert form(
        "band: {for each: part, signal: coldest, from: soak starts, to: soak ends, within: at least 340, "
        "while: it is above 100, except: {by at most: 5, at a time: 2, in all: not limited}, because: the paper says so}"
    ) == rq.Band(
        **common("band", "part", "degF", PAPER),
        signal=COLDEST,
        phase=SOAK,
        limits=low("340", "degF"),
        allowance=rq.Allowance(q("5", "degF difference"), 2 * MINUTE, None),
        while_=rq.Compare(COLDEST, rq.Limits(low=q("100", "degF"), low_open=True, written="above 100 degF")),
    )


def test_band_of_each_thermocouple_needs_no_signal() -> None:
    found = form(
        "band upper limit: {for each: part thermocouple, from: heating starts, to: pressure released, within: at most 360}"
    )
    assert found.name == "band upper limit"
    assert found.signal == rq.Signal(rq.Group("part thermocouple"), "each")
    assert (found.allowance, found.while_, found.because) == (None, None, None)


def test_a_difference_of_pressures() -> None:
    found = form(
        "band: {for each: part, signal: vessel pressure minus bag pressure, from: soak starts, to: soak ends, within: at least 85}"
    )
    assert found.signal == rq.Signal(rq.Group("vessel pressure"), "single", minus=BAG)
    assert found.limits == low("85", "psi difference")


def test_the_vessel_needs_no_for_each() -> None:
    found = form("band: {signal: vessel pressure, from: pressure applied, to: pressure released, within: 85 +15/-0}")
    assert found.for_each == "vessel"
    with pytest.raises(Errors):
        form("band: {signal: vessel pressure, from: soak starts, to: pressure released, within: 85 +15/-0}")


def test_a_parts_own_limit_has_the_files_unit() -> None:
    found = form(
        "band: {for each: part, signal: vessel pressure, from: soak starts, to: soak ends, within: at most the part's core maximum}"
    )
    assert found.unit == UNITS["psi gauge"]
    assert found.limits == rq.Limits(high_attribute="core maximum", written="at most the part's core maximum")


def test_spread() -> None:
    found = form(
        "spread: {for each: part, signal: spread of the part thermocouples at edge, from: soak starts, to: soak ends, within: at most 20}"
    )
    assert found == rq.Spread(
        **common("spread", "part", "degF difference"),
        signal=rq.Signal(rq.Group("part thermocouple", place="edge"), "spread"),
        phase=SOAK,
        limits=high("20", "degF difference"),
    )


RATE = "rate: {{for each: part thermocouple, from: heating starts, to: soak starts, sense: {}, within: at most 5 degF/min, by: {}, while: {}, because: the paper says so}}"
EACH = rq.Signal(rq.Group("part thermocouple"), "each")


@pytest.mark.parametrize(
    "by, definition",
    [
        ("least squares over 10 min with at least 8 samples", rq.RateDefinition("least squares", 10 * MINUTE, 8)),
        ("end points over 5 with at least 2 samples", rq.RateDefinition("end points", 5 * MINUTE, 2)),
        (
            "between levels 60 degC and 120 degC",
            rq.RateDefinition("between levels", first_level=q("60", "degC"), second_level=q("120", "degC")),
        ),
        ("whole phase", rq.RateDefinition("whole phase")),
        ("sample to sample", rq.RateDefinition("sample to sample")),
    ],
)
def test_rate(by: str, definition: rq.RateDefinition) -> None:
    assert form(RATE.format("heating", by, "throughout")) == rq.Rate(
        **common("rate", "part thermocouple", "degF/min", PAPER),
        signal=EACH,
        phase=rq.Phase("heating starts", "soak starts"),
        definition=definition,
        sense="rising",
        limits=high("5", "degF/min"),
        while_=None,
    )


@pytest.mark.parametrize(
    "sense, plan", [("heating", "rising"), ("rising", "rising"), ("cooling", "falling"), ("falling", "falling")]
)
def test_sense_of_a_rate(sense: str, plan: str) -> None:
    assert form(RATE.format(sense, "whole phase", "it is 100 to 200")).sense == plan


def test_lagging_is_coldest_while_heating() -> None:
    text = "rate: {for each: part, signal: lagging, from: heating starts, to: soak starts, sense: heating, within: at most 5 degF/min, by: whole phase, while: throughout, because: the paper says so}"
    plan = understand(text_of(clause(text)), "s.yaml")
    assert plan.clauses[0].forms[0].signal == COLDEST  # type: ignore[union-attr]
    assert plan.notes == ("s.yaml:25:36: 'lagging' is read as coldest, because this is about heating.",)


def test_duration() -> None:
    found = form(
        "duration: {for each: part, from: soak starts, to: soak ends, clock of: coldest, runs while: it is at least 340, "
        "when it leaves: the clock pauses, within: 120 +30/-0}"
    )
    clock = rq.Clock("coldest part thermocouple", rq.Compare(COLDEST, low("340", "degF")), "pauses")
    limits = rq.Limits(q("120", "min"), q("150", "min"), written="120 +30/-0 min")
    assert found == rq.Duration(
        **common("duration", "part", "min"), alternatives=(rq.Alternative(SOAK, clock, limits),)
    )


def test_ways_share_what_stands_outside() -> None:
    found = form(
        "duration: {for each: part, from: soak starts, to: soak ends, clock of: coldest, when it leaves: the clock restarts, "
        "either: [{runs while: it is 125 to 150, within: at least 5 h}, "
        "{to: record ends, clock of: hottest, when it leaves: the clock runs on, within: at least 3 h}]}"
    )
    first, second = found.alternatives
    assert (first.phase, second.phase) == (SOAK, rq.Phase("soak starts", "record ends"))
    assert (first.clock.when_it_leaves, second.clock) == (
        "restarts",
        rq.Clock("hottest part thermocouple", None, "runs on"),
    )
    assert found.unit == UNITS["h"]


@pytest.mark.parametrize(
    "clock, whose",
    [
        ("bag vacuum, runs while: it is at least 22", "bag vacuum"),
        ("bag pressure, runs while: it is at most 0", "bag pressure"),
        ("temperature of channel T1, runs while: it is at least 22", "temperature of channel T1"),
        (
            "hottest minus coldest, runs while: it is at least 22",
            "hottest part thermocouple minus coldest part thermocouple",
        ),
        ("spread of part thermocouples, runs while: it is at least 22", "spread of part thermocouples"),
    ],
)
def test_whose_clock(clock: str, whose: str) -> None:
    found = form(
        f"duration: {{for each: part, from: soak starts, to: soak ends, clock of: {clock}, when it leaves: the clock pauses, within: at least 3}}"
    )
    assert found.alternatives[0].clock.whose == whose


def test_at_event() -> None:
    assert form(
        "at event: {for each: part, event: pressure released, signal: hottest, within: at most 140}"
    ) == rq.AtEvent(
        **common("at event", "part", "degF"), event="pressure released", signal=HOTTEST, limits=high("140", "degF")
    )


def test_order() -> None:
    assert form("order: {for each: part, first: soak ends, then: record ends, within: at most 10}") == rq.Order(
        **common("order", "part", "min"), first="soak ends", then="record ends", limits=high("10", "min")
    )
    without = form("order: {for each: part, first: record starts, then: pressure released}")
    assert (without.limits, without.unit, without.first) == (None, UNITS["min"], "record starts")


def test_leak_check() -> None:
    found = form(
        "leak check: {for each: bag, isolated by: source closed, until: vent begins, starting: at least 22, settling: 1 min, "
        "window: first, loses: at most 5 in 5 min, pressure inside: at most 100 mbar absolute, because: the paper says so}"
    )
    assert found == rq.LeakCheck(
        **common("leak check", "bag", "inHg difference", PAPER),
        signal=BAG,
        closed="source closed",
        opened="vent begins",
        settling=MINUTE,
        window=5 * MINUTE,
        window_rule="first",
        loses=high("5", "inHg difference"),
        starting=low("22", "inHg of vacuum"),
        pressure_inside=high("100", "mbar absolute"),
    )


def test_leak_check_in_few_words() -> None:
    found = form(
        "leak check: {for each: part, isolated by: source closed, settling: 0 min, window: worst, loses: at most 10 kPa in 5}"
    )
    assert (found.opened, found.starting, found.pressure_inside, found.because, found.settling) == (
        None,
        None,
        None,
        None,
        0,
    )
    assert found.unit == UNITS["kPa difference"]


@pytest.mark.parametrize("of", ["sensors on the map", "vacuum ports"])
def test_count_on_the_map(of: str) -> None:
    assert form(f"count: {{for each: bag, of: {of}, group: bag vacuum, within: at least 2}}") == rq.Count(
        **common("count", "bag", "count"),
        of=of,
        group=rq.Group("bag vacuum"),
        phase=None,
        limits=rq.Limits(q("2", "count"), written="at least 2"),
    )


def test_count_of_working_sensors() -> None:
    found = form(
        "count: {for each: part, of: working sensors, group: channel T1, from: soak starts, to: soak ends, within: at least 1}"
    )
    assert (found.phase, found.group) == (SOAK, rq.Group("channel", name="T1"))


def test_recording() -> None:
    assert form(
        "recording: {for each: part, group: part thermocouples, from: soak starts, to: soak ends, within: at most 2}"
    ) == rq.Recording(
        **common("recording", "part", "min"), group=rq.Group("part thermocouple"), phase=SOAK, limits=high("2", "min")
    )


def test_exposure() -> None:
    assert form(
        "exposure: {for each: part, of: time, from: soak starts, to: soak ends, runs while: hottest is at least 340, within: at most 10 h}"
    ) == rq.Exposure(
        **common("exposure", "part", "h"),
        of="time",
        phase=SOAK,
        runs_while=rq.Compare(HOTTEST, low("340", "degF")),
        limits=high("10", "h"),
    )
    cures = form("exposure: {for each: part, of: cures, from: soak starts, to: soak ends, within: at most 3}")
    assert (cures.of, cures.runs_while, cures.unit) == ("cures", None, UNITS["count"])


def test_computed() -> None:
    signal = "degree of cure of raw coldest by card EX-1 revision 2 from heating starts starting at 0.02 named by the specification"
    text = signal.replace("of raw", "of")
    found = form(f"computed: {{for each: part, signal: {text}, event: soak ends, within: at least 0.88 fraction}}")
    card = rq.Computation("degree of cure", "EX-1", "2", "heating starts", Decimal("0.02"), True)
    assert found == rq.Computed(
        **common("computed", "part", "fraction"),
        signal=rq.Signal(rq.Group("part thermocouple"), "coldest", computed=card),
        event="soak ends",
        phase=None,
        limits=low("0.88", "fraction"),
    )
    over = form(
        "computed: {for each: part, signal: raw glass transition of hottest by card X revision 2 from heating starts starting at 0 "
        "not named by the specification, from: soak starts, to: soak ends, within: at least 300}"
    )
    assert (over.event, over.phase, over.limits) == (None, SOAK, low("300", "degF"))
    assert (over.signal.raw, over.signal.computed.named_by_specification) == (True, False)
    thick = form(
        "computed: {for each: part, signal: viscosity of hottest by card X revision 2 from heating starts starting at 0 "
        "not named by the specification, event: soak ends, within: at most 20 Pa s}"
    )
    assert thick.limits == high("20", "Pa s")


# --------------------------------------------------------------------------------------------------------------------- events
def test_sources_of_an_event_in_their_order() -> None:
    found = event(
        "{for each: bag, when: source valve is atmosphere, else: [hand entry, 'hand entry \"vent, begins\"'], "
        "else inferred: source vacuum falls below 20 for good and stays 1 min, after: source closed, delay: 30 s, "
        "because: the paper says so}"
    )
    falls = rq.Compare(
        rq.Signal(rq.Group("source vacuum"), "single"),
        rq.Limits(high=q("20", "inHg of vacuum"), high_open=True, written="below 20 inHg of vacuum"),
    )
    assert found == rq.Event(
        "x",
        "bag",
        (
            rq.Source("state", rq.StateIs(rq.Group("channel", name="source valve"), ("atmosphere",)), 0, "first"),
            rq.Source("entry", None, 0, "first"),
            rq.Source("entry", None, 0, "first", "vent, begins"),
            rq.Source("inferred", falls, MINUTE, "for good"),
        ),
        "source closed",
        30 * 10**9,
        PAPER,
    )


@pytest.mark.parametrize(
    "phrase, limits",
    [
        ("coldest reaches 340", low("340", "degF")),
        ("coldest rises above 340", rq.Limits(low=q("340", "degF"), low_open=True, written="above 340 degF")),
        ("coldest falls to 340", high("340", "degF")),
        ("coldest falls below 340", rq.Limits(high=q("340", "degF"), high_open=True, written="below 340 degF")),
        ("coldest is 330 to 340", rq.Limits(q("330", "degF"), q("340", "degF"), written="330 to 340 degF")),
    ],
)
def test_verbs(phrase: str, limits: rq.Limits) -> None:
    assert event(f"{{for each: part, when: {phrase}}}").sources == (
        rq.Source("trace", rq.Compare(COLDEST, limits), 0, "first"),
    )


def test_conditions_joined() -> None:
    state = rq.StateIs(rq.Group("channel", name="door"), ("shut", "locked"))
    hot, cold = rq.Compare(HOTTEST, high("3", "degF")), rq.Compare(COLDEST, low("1", "degF"))
    (source,) = event(
        '{for each: part, when: (hottest falls to 3 and coldest reaches 1) or door is shut or "locked"}'
    ).sources
    assert source.condition == rq.AnyOf((rq.AllOf((hot, cold)), state))
    (source,) = event(
        "{for each: part, when: hottest falls to 3 and coldest reaches 1 and (door is shut or hottest falls to 3)}"
    ).sources
    assert source.condition == rq.AllOf(
        (hot, cold, rq.AnyOf((rq.StateIs(rq.Group("channel", name="door"), ("shut",)), hot)))
    )
    (source,) = event('{for each: part, when: door is shut or "locked" is so}').sources
    assert source.condition == rq.AnyOf(
        (
            rq.StateIs(rq.Group("channel", name="door"), ("shut",)),
            rq.StateIs(rq.Group("channel", name="locked"), ("so",)),
        )
    )


@pytest.mark.parametrize("order", ["for good and stays 2 min", "and stays 2 min for good"])
def test_stays_and_for_good_in_either_order(order: str) -> None:
    (source,) = event(f"{{for each: part, when: coldest falls below 340 {order}, because: the paper says so}}").sources
    assert (source.stays, source.which) == (2 * MINUTE, "for good")


def test_an_event_after_another() -> None:
    assert event("{for each: bag, when: 5 min after vent begins}") == rq.Event(
        "x", "bag", (), "vent begins", 5 * MINUTE
    )
    assert event("{for each: bag, when: 5 after vent begins}").delay == 5 * MINUTE
    assert event("{when: 1 h 30 min after record starts}") == rq.Event("x", "vessel", (), "record starts", 90 * MINUTE)


def test_a_state_channel_may_begin_with_a_digit() -> None:
    (source,) = event("{for each: vessel, when: 2nd valve is open}").sources
    assert source.condition == rq.StateIs(rq.Group("channel", name="2nd valve"), ("open",))


def test_an_event_made_where_it_is_used() -> None:
    text = "band: {for each: bag, signal: bag pressure, from: 5 min after vent begins, to: 1 h after vent begins, within: at most 3}"
    plan = understand(text_of(clause(text)), "s.yaml")
    assert plan.clauses[0].forms[0].phase == rq.Phase("5 min after vent begins", "1 h after vent begins")  # type: ignore[union-attr]
    assert plan.events[-2:] == (
        rq.Event("5 min after vent begins", "bag", (), "vent begins", 5 * MINUTE, place=Place("s.yaml", 25, 55)),
        rq.Event("1 h after vent begins", "bag", (), "vent begins", 60 * MINUTE, place=Place("s.yaml", 25, 84)),
    )


def test_events_within_a_clause_come_after_those_at_the_head() -> None:
    text = '"1":\n  says: a\n  by a person: b\n  events: {y: {for each: bag, when: hand entry}}\n'
    plan = understand(text_of(text), "s.yaml")
    assert [each.name for each in plan.events][-2:] == ["pressure released", "y"]
    assert plan.event("y").place == Place("s.yaml", 26, 17)


def test_an_event_may_wait_for_a_later_one() -> None:
    assert (
        event("{for each: part, when: coldest falls below 3 the first time, after: soak starts}").after == "soak starts"
    )


# -------------------------------------------------------------------------------------------------------------------- signals
@pytest.mark.parametrize(
    "text, signal",
    [
        ("coldest", COLDEST),
        ("hottest part thermocouples", HOTTEST),
        ("mean air thermocouple", rq.Signal(rq.Group("air thermocouple"), "mean")),
        ("mean of the air thermocouples", rq.Signal(rq.Group("air thermocouple"), "mean")),
        ("air thermocouple mean", rq.Signal(rq.Group("air thermocouple"), "mean")),
        ("raw coldest tool thermocouple", rq.Signal(rq.Group("tool thermocouple"), "coldest", raw=True)),
        ("part thermocouple at surveyed lagging", rq.Signal(rq.Group("part thermocouple", place="surveyed lagging"), "single")),
        ("part thermocouple named TC 3", rq.Signal(rq.Group("part thermocouple", name="TC 3"), "single")),
        ("coldest part thermocouple at edge named T1", rq.Signal(rq.Group("part thermocouple", "T1", "edge"), "coldest")),
        ("temperature of channel T 1", rq.Signal(rq.Group("channel", name="T 1"), "single")),
        ("mean of air thermocouples minus raw coldest", rq.Signal(rq.Group("air thermocouple"), "mean", rq.Signal(rq.Group("part thermocouple"), "coldest", raw=True))),
    ],
)  # fmt: skip
def test_temperature_signals(text: str, signal: rq.Signal) -> None:
    assert (
        form(
            f"band: {{for each: part, signal: {text}, from: soak starts, to: soak ends, within: at most 3 degF}}"
        ).signal
        == signal
    )


@pytest.mark.parametrize(
    "text, limit, signal",
    [
        ("vessel pressure", "3", VESSEL),
        ("vessel pressure", "3 bar absolute", VESSEL),
        ("bag vacuum", "3", BAG),
        ("bag pressure", "3", BAG),
        ("bag pressure", "3 mbar absolute", BAG),
        ("source vacuum", "3", rq.Signal(rq.Group("source vacuum"), "single")),
        ("raw source pressure", "3", rq.Signal(rq.Group("source vacuum"), "single", raw=True)),
        ("pressure of channel P1", "3", rq.Signal(rq.Group("channel", name="P1"), "single")),
        ("vacuum of channel P1", "3", rq.Signal(rq.Group("channel", name="P1"), "single")),
    ],
)
def test_pressure_signals(text: str, limit: str, signal: rq.Signal) -> None:
    found = form(f"band: {{for each: part, signal: {text}, from: soak starts, to: soak ends, within: at most {limit}}}")
    assert found.signal == signal
    own = "inHg of vacuum" if "vacuum" in text else "psi gauge"
    assert found.unit.name == (limit[2:] or own)


# -------------------------------------------------------------------------------------------------------- clauses and the head
def test_a_clause() -> None:
    text = (
        '"4.10":\n  says: >\n    one\n    two\n  by a person: inspector\n  not covered: the rest\n  illustrative: all\n'
        "  for parts: {thickness: above 0.6 in, construction: 'sandwich or \"hybrid core\"'}\n"
        "  order: {for each: part, first: soak starts, then: soak ends}\n"
    )
    (found,) = understand(text_of(text), "s.yaml").clauses
    assert (found.number, found.says, found.by_person, found.not_covered, found.illustrative) == (
        "4.10", "one two", "inspector", "the rest", "all",
    )  # fmt: skip
    assert found.place == Place("s.yaml", 23, 3)
    assert found.forms[0].place == Place("s.yaml", 31, 12, "4.10")
    assert found.for_parts == (
        rq.AttributeCondition("thickness", rq.Limits(low=q("0.6", "in"), low_open=True, written="above 0.6 in")),
        rq.AttributeCondition("construction", equals=("sandwich", "hybrid core")),
    )


def test_the_head() -> None:
    plan = understand(text_of('"1":\n  says: a\n  by a person: b\n'), "s.yaml")
    assert (plan.number, plan.revision, plan.status, plan.approved_by, plan.title, plan.source) == (
        "EX-1", "A", "draft", None, "Cure", "illustrative",
    )  # fmt: skip
    assert plan.comparison == rq.Comparison("absolute")
    assert plan.decision == rq.Decision("simple")
    assert (plan.largest_gap, plan.lost_after) == (2 * MINUTE, 3 * MINUTE)
    assert plan.lost == rq.LostThermocouples(3, False, None)
    assert plan.second_recorder == rq.SecondRecorder(False)
    assert plan.units == tuple(
        (name, UNITS[unit])
        for name, unit in (
            ("temperature", "degF"),
            ("pressure", "psi gauge"),
            ("vacuum", "inHg of vacuum"),
            ("time", "min"),
        )
    )


def head_with(before: str, after: str) -> rq.Specification:
    assert before in HEAD
    return understand(text_of('"1":\n  says: a\n  by a person: b\n', head=HEAD.replace(before, after, 1)), "s.yaml")


def test_rounding_guard_band_and_the_rest_of_the_rules() -> None:
    plan = head_with("comparison: absolute", "comparison: rounding to 1 degF, 0.5 psi gauge, 1 min")
    assert plan.comparison == rq.Comparison("rounding", (q("1", "degF"), q("0.5", "psi gauge"), q("1", "min")))
    plan = head_with("decision: simple acceptance", "decision: guard band 1.5 x U, U = 3.4 degF, 0.5 psi, 0.1 degF/min")
    assert plan.decision == rq.Decision(
        "guard",
        (q("5.10", "degF difference"), q("0.75", "psi difference"), q("0.15", "degF/min")),
        "1.5 x U, U = 3.4 degF, 0.5 psi, 0.1 degF/min",
    )
    plan = head_with(
        "lost ones: are never set aside", "lost ones: may be set aside, remaining: at least 2, including: [a b, c]"
    )
    assert plan.lost == rq.LostThermocouples(3, True, 2, ("a b", "c"))
    plan = head_with(
        "second recorder: not allowed", "second recorder: {at a time: 10, in all: not limited, procedure: SP-12 rev B}"
    )
    assert plan.second_recorder == rq.SecondRecorder(True, 10 * MINUTE, None, "SP-12 rev B")
    plan = head_with("status: draft", "status: approved\napproved by: engineering")
    assert (plan.status, plan.approved_by) == ("approved", "engineering")


def test_the_hash_is_that_of_the_bytes() -> None:
    """SHA-256 of the file as it lies on disk, byte order mark included (hashlib as the outside reference)."""
    import hashlib

    text = text_of('"1":\n  says: a\n  by a person: b\n')
    assert understand(text, "s").sha256 == hashlib.sha256(text.encode()).hexdigest()
    marked = b"\xef\xbb\xbf" + text.encode()
    assert understand(marked, "s").sha256 == hashlib.sha256(marked).hexdigest()


@pytest.mark.parametrize(
    "text, message",
    [
        ("", "s.yaml: the file is empty; expected a YAML mapping. To do: see docs/ for an example"),
        ("- a\n", "s.yaml:1:1: the specification is a list; expected fields, each 'name: value' on its own line. To do: write them one below the other, or as {name: value, name: value}"),
        (text_of("") + "  {}\n", "s.yaml:1:1: no clauses; expected at least one under 'clauses:'"),
        (HEAD, "s.yaml:1:1: no clauses; expected at least one under 'clauses:'"),
        (text_of('"1":\n  by a person: b\n'), "s.yaml:24:5 (clause 1): the clause without 'says'; expected 'says: …'. To do: quote the sentence of the paper, so that the two can be held against each other"),
        (text_of('"1": {says: a, by a person: b}\n"1": {says: a, by a person: b}\n'), "s.yaml:24:3: '1' is written twice (first on line 23); expected every name once. To do: delete or rename one"),
        (text_of("1: x\n"), "s.yaml:23:6 (clause 1): the clause is 'x'; expected fields, each 'name: value' on its own line. To do: write them one below the other, or as {name: value, name: value}"),
    ],
)  # fmt: skip
def test_files_refused(text: str, message: str) -> None:
    with pytest.raises(Errors) as caught:
        understand(text, "s.yaml")
    assert str(caught.value) == message


# ---------------------------------------------------------------------------------------------------------------- all at once
def test_events_in_a_circle() -> None:
    head = HEAD.replace(
        "events:\n",
        "events:\n  a: {for each: part, when: hand entry, after: b}\n  b: {for each: part, when: hand entry, after: c}\n"
        "  c: {for each: part, when: hand entry, after: a}\n  d: {for each: part, when: hand entry, after: a}\n",
    )
    with pytest.raises(Errors) as caught:
        understand(text_of('"1":\n  says: a\n  by a person: b\n', head=head), "s.yaml")
    assert (
        str(caught.value)
        == "s.yaml:13:6: events that wait for each other: a → b → c → a; expected an event that does not need itself"
    )


def test_a_computed_signal_that_waits_for_its_own_event() -> None:
    cure = "degree of cure of coldest by card X revision 1 from x starting at 0 named by the specification"
    with pytest.raises(Errors, match="events that wait for each other: x → x"):
        event(f"{{for each: part, when: {cure} reaches 0.5 fraction}}")


def test_every_unit_needs_its_place_of_rounding() -> None:
    head = HEAD.replace("comparison: absolute", "comparison: rounding to 1 degF")
    forms = (
        "band: {for each: part, signal: coldest, from: soak starts, to: soak ends, within: at most 3}\n"
        "spread: {for each: part, signal: spread of part thermocouples, from: soak starts, to: soak ends, within: at most 3}\n"
        "count: {for each: bag, of: vacuum ports, group: bag vacuum, within: at least 2}\n"
        "order: {for each: part, first: soak starts, then: soak ends}\n"
    )
    with pytest.raises(Errors) as caught:
        understand(text_of(clause(forms), head=head), "s.yaml")
    assert str(caught.value) == (
        "s.yaml:28:12 (clause 1): 'order' is judged in min, to which no place of rounding is stated; expected a choice between: "
        "comparison: rounding to …, 1 min; or comparison: absolute. To do: state one"
        "; where the paper does not say which, add a 'because' with who approved it"
    )


# -------------------------------------------------------------------------------------------------------------------- endings
def ended_by(text: str) -> rq.Specification:
    head = HEAD.replace("events:\n", f"events:\n  x: {text}\n")
    band = "band: {for each: part, signal: coldest, from: soak starts, to: x, within: at least 3}"
    return understand(text_of(clause(band), head=head), "s.yaml")


ADVICE = ". To do: state one; where the paper does not say which, add a 'because' with who approved it"


@pytest.mark.parametrize("verb", ["falls below", "rises above"])
def test_an_ending_that_is_an_exit_says_which_one(verb: str) -> None:
    with pytest.raises(Errors) as caught:
        ended_by(f"{{for each: part, when: coldest {verb} 3, after: soak starts}}")
    assert str(caught.value) == (
        "s.yaml:13:6 (clause 1): the ending 'x' does not say which exit it is; expected a choice between: "
        "'for good': the last time, returns before it do not end the phase; or 'the first time', with 'after: EVENT'"
        + ADVICE
    )


@pytest.mark.parametrize("way", ["when: ", "when inferred: "])
def test_the_first_exit_is_the_first_after_something(way: str) -> None:
    with pytest.raises(Errors) as caught:
        ended_by(f"{{for each: part, {way}coldest falls below 3 the first time, because: the paper says so}}")
    assert str(caught.value) == (
        "s.yaml:13:6 (clause 1): the ending 'x' is the first exit, but of what? It may be so at the start of the record; "
        "expected a choice between: after: (the event from which the exit is looked for); or 'for good'" + ADVICE
    )


@pytest.mark.parametrize(
    "text",
    [
        "{for each: part, when: coldest falls below 3 the first time, after: soak starts}",
        "{for each: part, when: coldest falls below 3 for good}",
        "{for each: part, when: coldest reaches 500}",
        "{for each: part, when: coldest falls to 3}",
        "{for each: part, when: hand entry}",
        "{for each: part, when: door is open}",
    ],
)
def test_endings_that_say_enough(text: str) -> None:
    assert ended_by(text).clauses[0].forms[0].phase.end == "x"  # type: ignore[union-attr]


def test_only_an_ending_has_to_say_it() -> None:
    assert event("{for each: part, when: coldest falls below 3}").sources[0].which == "first"


def test_the_files_own_unit_of_time_is_everywhere() -> None:
    assert event("{for each: part, when: coldest reaches 3, delay: 5}").delay == 5 * MINUTE
    assert (
        event("{for each: part, when: coldest reaches 3 and stays 5, because: the paper says so}").sources[0].stays
        == 5 * MINUTE
    )
    plan = head_with("largest gap: 2 min, lost after: 3 min", "largest gap: 2, lost after: 3")
    assert (plan.largest_gap, plan.lost_after) == (2 * MINUTE, 3 * MINUTE)
    leak = form(
        "leak check: {for each: bag, isolated by: source closed, settling: 1, window: worst, loses: at most 5 in 5, because: the paper says so}"
    )
    assert (leak.settling, leak.window) == (MINUTE, 5 * MINUTE)


def test_each_in_a_condition_is_the_thermocouple_that_is_judged() -> None:
    found = form(
        RATE.format("heating", "whole phase", "part thermocouple is above 3 and each part thermocouple is below 9")
    )
    assert {compare.signal for compare in found.while_.conditions} == {EACH}
    band = form(
        "band: {for each: part thermocouple, from: soak starts, to: soak ends, within: at most 3, while: part thermocouple is above 3, because: the paper says so}"
    )
    assert band.while_.signal == EACH
