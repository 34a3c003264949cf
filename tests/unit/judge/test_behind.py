"""What a verdict stands on besides its own signal, and why a lost thermocouple was kept. Worked by hand from cases.md 15, 16."""

from dataclasses import replace
from decimal import Decimal

import pytest

from curewright.judge.behind import asks_for_computed, members_behind
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.scene import Thing
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import (
    AllOf,
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Computation,
    Count,
    Duration,
    Group,
    LostThermocouples,
    Order,
    Phase,
    Signal,
    StateIs,
)
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
    run_of,
    specification,
    verdict,
    verdicts,
)

degF, PSI, MINUTE = unit_named("degF"), unit_named("psi gauge"), unit_named("min")
PRESSURE = Signal(Group("vessel pressure"), "single")
HOT = Compare(COLDEST, at_least("340 degF"))
SOAK = Phase("soak starts", "soak ends")
EVENTS = (
    event("soak starts", HOT),
    event("soak ends", Compare(COLDEST, below("340 degF")), which="for good", after="soak starts"),
)
TWO_REMAIN = LostThermocouples(None, True, 2)


def hot_run(opens: str, *others: object):
    """Three thermocouples that heat through 340 degF in 40 minutes and stay; one of them is bad from minute 30 on."""
    end = {"TC1": 352, "TC2": 347, "TC3": 345}
    made = [
        channel(
            name,
            [(t, min(t * 9.0, 360.0) * last / 360) for t in range(101)],
            "degF",
            bad=range(30, 101) if name == opens else (),
        )
        for name, last in end.items()
    ]
    return run_of(*made, *others)


def judged_for(run, form, **more):
    return verdict(specification(form, events=EVENTS, lost=more.pop("lost", TWO_REMAIN), **more), run)


def band(signal, limits=None, thing="part", phase=SOAK):
    return Band("band", thing, degF, None, None, signal, phase, limits or at_least("340 degF"))


def why(found):
    return [note for note in found.notes if "was lost" in note]


def test_the_coldest_one_is_not_set_aside_and_the_note_says_so():
    found = judged_for(hot_run("TC3"), band(COLDEST))
    assert found.outcome is Outcome.NOT_SHOWN
    assert why(found) == ["TC3 was lost at +0:29:00; it was the coldest one then, so the rule may not set it aside"]


def test_the_hottest_one_is_set_aside_where_the_coldest_decides():
    found = judged_for(hot_run("TC1"), band(COLDEST))
    assert found.outcome is Outcome.MET
    assert why(found) == []


@pytest.mark.parametrize(
    "form", [band(HOTTEST, at_most("365 degF")), band(Signal(PART, "spread"), at_most("20 degF difference"))]
)
def test_the_hottest_one_is_not_set_aside_where_the_hottest_decides(form):
    if form.signal.take == "spread":
        form = replace(form, unit=unit_named("degF difference"))
    found = judged_for(hot_run("TC1"), form)
    assert found.outcome is Outcome.NOT_SHOWN
    assert why(found) == ["TC1 was lost at +0:29:00; it was the hottest one then, so the rule may not set it aside"]


@pytest.mark.parametrize(
    "lost, words",
    [
        (LostThermocouples(None, False, None), "the specification never sets a lost thermocouple aside"),
        (LostThermocouples(None, True, 3), "fewer than 3 others go on, so the rule may not set it aside"),
        (
            LostThermocouples(None, True, 2, ("surveyed lagging",)),
            "fewer than 2 others go on, the surveyed lagging among them, so the rule may not set it aside",
        ),
    ],
)
def test_every_other_reason_of_the_rule(lost, words):
    found = judged_for(hot_run("TC1"), band(COLDEST), lost=lost)
    assert found.outcome is Outcome.NOT_SHOWN
    assert why(found) == [f"TC1 was lost at +0:29:00; {words}"]


def test_a_mean_waits_for_a_person():
    found = judged_for(hot_run("TC1"), band(Signal(PART, "mean")))
    assert why(found) == [
        "TC1 was lost at +0:29:00; a mean needs all of its thermocouples, so the rule may not set it aside"
    ]


def test_what_a_person_set_aside_is_not_asked_for():
    ruling = Ruling("set aside", "TC1", 0, 2**62, "engineer C", "open")
    spec = specification(band(HOTTEST, at_least("340 degF")), events=EVENTS, lost=TWO_REMAIN)
    assert why(verdict(spec, hot_run("TC1"), (ruling,))) == []


def test_a_loss_after_the_phase_is_not_mentioned():
    # The phase is over at minute 10, TC1 opens at 30; TC2 has a gap in the phase and is no lost one (3 min).
    events = (event("ten", Compare(COLDEST, at_least("85 degF"))),)
    run = hot_run("TC1")
    gapped = replace(run.channels["TC2"], bad=run.channels["TC2"].t == run.channels["TC2"].t[5])
    run = replace(run, channels={**run.channels, "TC2": gapped})
    spec = specification(
        band(HOTTEST, at_most("365 degF"), phase=Phase("record starts", "ten")), events=events, lost=TWO_REMAIN
    )
    found = verdict(spec, run)
    assert found.outcome is Outcome.NOT_SHOWN
    assert why(found) == []


def test_the_thermocouples_behind_an_event_are_named():
    pressure = channel("P1", [(0, 90), (50, 90), (100, 90)], "psi gauge")
    form = Band("band", "part", PSI, None, None, PRESSURE, SOAK, at_least("85 psi gauge"))
    found = judged_for(hot_run("none", pressure), form, gap=60)
    assert found.used == ("P1",)
    assert found.behind == ("P1", "TC1", "TC2", "TC3")


def test_the_sensors_inside_a_mean_are_named():
    found = judged_for(hot_run("none"), band(Signal(PART, "mean"), phase=Phase("record starts", "record ends")))
    assert found.used == ("mean",)
    assert found.behind == ("TC1", "TC2", "TC3")


def test_each_thermocouple_stands_on_itself_alone():
    form = band(EACH, at_most("365 degF"), thing="part thermocouple", phase=Phase("record starts", "record ends"))
    found = verdicts(specification(form, events=EVENTS), hot_run("none"))
    assert [each.behind for each in found] == [("TC1",), ("TC2",), ("TC3",)]


def test_conditions_clocks_states_counts_and_events_after_events():
    valve = channel("VALVE1", [(0, "source"), (100, "source")], kind="state", states=("source", "atmosphere"))
    pressure = channel("P1", [(0, 90), (100, 90)], "psi gauge")
    run = hot_run("none", valve, pressure)
    open_ = StateIs(Group("channel", "VALVE1"), ("source",))
    pressed = event("pressed", Compare(PRESSURE, at_least("80 psi gauge")))
    later = event("later", None, after="pressed", delay=5)
    later = replace(later, sources=())
    clock = Clock("coldest", AllOf((Compare(Signal(PART, "hottest"), at_least("100 degF")), open_)), "pauses")
    timed = Duration(
        "duration", "part", MINUTE, None, None, (Alternative(Phase("later", "record ends"), clock, at_least("1 min")),)
    )
    value = AtEvent("at event", "part", PSI, None, None, "later", PRESSURE, at_least("80 psi gauge"))
    working = Count(
        "count", "part", unit_named("count"), None, None, "working sensors", PART, SOAK, at_least("3 count")
    )
    spec = specification(timed, value, working, events=(*EVENTS, pressed, later), gap=200)
    found = {each.form: each.behind for each in verdicts(spec, run, load=load_of(run))}
    assert found == {
        "duration": ("P1", "TC1", "TC2", "TC3", "VALVE1"),
        "at event": ("P1",),
        "count": ("TC1", "TC2", "TC3"),
    }


def whole_run(*others):
    """Three thermocouples of which TC3 (the coldest) is lost at 29 min, before the soak begins."""
    return hot_run("TC3", *others)


def test_a_verdict_on_one_thermocouple_waits_for_the_one_that_begins_its_phase():
    form = band(EACH, at_most("365 degF"), thing="part thermocouple")
    found = {each.thing: each for each in verdicts(specification(form, events=EVENTS, lost=TWO_REMAIN), whole_run())}
    assert found["TC1"].outcome is Outcome.NOT_SHOWN
    assert why(found["TC1"]) == [
        "TC3 was lost at +0:29:00; it was the coldest one then, so the rule may not set it aside"
    ]


def test_a_thermocouple_judged_by_its_part_or_by_the_vessel_stands_on_those():
    pressure = channel("P1", [(0, 90), (100, 90)], "psi gauge")
    whole = Phase("record starts", "record ends")
    of_part = band(COLDEST, at_most("365 degF"), thing="part thermocouple", phase=whole)
    of_vessel = Band("band 2", "part thermocouple", PSI, None, None, PRESSURE, whole, at_least("85 psi gauge"))
    of_itself = replace(band(Signal(PART, "single"), at_most("365 degF"), "part thermocouple", whole), name="band 3")
    made = verdicts(specification(of_part, of_vessel, of_itself, gap=200), hot_run("none", pressure))
    found = {(each.form, each.thing): each.behind for each in made}
    assert found["band", "TC1"] == ("TC1", "TC2", "TC3")
    assert found["band 2", "TC1"] == ("P1",)
    assert found["band 3", "TC1"] == ("TC1",)


def test_a_pressure_that_was_lost_is_not_a_matter_of_the_rule_for_thermocouples():
    pressure = channel("P1", [(t, 90) for t in range(101)], "psi gauge", bad=range(50, 101))
    form = Band(
        "band", "part", PSI, None, None, PRESSURE, Phase("record starts", "record ends"), at_least("85 psi gauge")
    )
    found = judged_for(hot_run("none", pressure), form)
    assert (found.outcome, why(found)) == (Outcome.NOT_SHOWN, [])


def test_a_count_of_working_thermocouples_asks_none_of_them_for_itself():
    # whether three go on is not known while the soak's start is not; the note is about the thermocouple that begins it
    form = Count("count", "part", unit_named("count"), None, None, "working sensors", PART, SOAK, at_least("1 count"))
    found = judged_for(whole_run(), form)
    assert (found.outcome, len(why(found))) == (Outcome.NOT_SHOWN, 1)


def test_an_order_of_events_has_no_phase_and_waits_for_every_loss():
    vented = event("vented", None, by="entry")
    form = Order("order", "part", MINUTE, None, None, "soak starts", "vented", None)
    run = replace(whole_run(), entries=(entry("vented", 90, thing="S1"),))
    found = verdict(specification(form, events=(*EVENTS, vented), lost=TWO_REMAIN), run)
    assert found.outcome is Outcome.NOT_SHOWN
    assert why(found) == ["TC3 was lost at +0:29:00; it was the coldest one then, so the rule may not set it aside"]


def test_all_that_a_verdict_hangs_on_takes_in_those_among_which_a_lost_one_is_looked_for():
    """TC1 alone is judged, but once it is lost the rule looks at TC2 and TC3 as well; without a rule it does not."""
    form = band(EACH, at_most("365 degF"), thing="part thermocouple", phase=Phase("record starts", "record ends"))

    def hangs_on(opens, lost):
        run, spec = hot_run(opens), specification(form, lost=lost)
        load = load_of(run)
        scene = scene_for(hall_of(Vessel("V1", (), (), ()), load, run, (), spec.largest_gap), load.parts[0], (spec,))
        own = scene.members(PART, Thing("part", "S1"))[0]
        return {member.name for member in members_behind(scene, form, Thing("part thermocouple", "TC1", own))}

    assert hangs_on("none", TWO_REMAIN) == {"TC1"}
    assert hangs_on("TC1", TWO_REMAIN) == {"TC1", "TC2", "TC3"}
    assert hangs_on("TC1", LostThermocouples(None, False, None)) == {"TC1"}


def test_whether_a_computed_signal_is_asked_for_directly_or_through_events():
    cure = Computation("degree of cure", "card", "A", "record starts", Decimal("0.02"), True)
    gelled = event("gelled", Compare(Signal(PART, "coldest", computed=cure), at_least("0.4 fraction")))
    later = replace(event("later", None, after="gelled", delay=5), sources=())
    spec = specification(events=(*EVENTS, gelled, later))
    whole = Phase("record starts", "record ends")
    assert asks_for_computed(spec, band(Signal(PART, "coldest", computed=cure), phase=whole))
    assert asks_for_computed(spec, band(COLDEST, phase=Phase("soak starts", "gelled")))
    assert asks_for_computed(spec, band(COLDEST, phase=Phase("later", "record ends")))
    assert not asks_for_computed(spec, band(COLDEST, phase=SOAK))
    assert not asks_for_computed(spec, band(COLDEST, phase=Phase("no such event", "record ends")))
