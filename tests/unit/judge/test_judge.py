"""A whole judgement, by hand: clauses in order, what stands beside a verdict, roll-up, several parts (semantics § 6, 7, 8)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.judge import hall_of, horizon, judge, largest_gap, roll_up, scene_for, worst
from curewright.judge.kinds.exposure import Share
from curewright.judge.scene import Options
from curewright.terms.errors import CurewrightError, NeedsBarometer
from curewright.terms.load import Bag, Concession, Ruling, Vessel
from curewright.terms.requirement import (
    Alternative,
    AtEvent,
    AttributeCondition,
    Band,
    Clause,
    Clock,
    Compare,
    Duration,
    Exposure,
    Group,
    Limits,
    LostThermocouples,
    Phase,
    Signal,
)
from curewright.terms.run import Entry
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome, Sample, Stretch
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    at_least,
    at_most,
    channel,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    verdicts,
)

WHOLE = Phase("record starts", "record ends")
VESSEL = Vessel("V1", (), (), ())
DEGC = unit_named("degC")


def band(limits, signal=HOTTEST, *, name="band", for_each="part", phase=WHOLE):
    return Band(name, for_each, DEGC, None, None, signal, phase, limits)


def each_band(limits, **more):
    return band(limits, EACH, for_each="part thermocouple", **more)


def tc(*values, name="TC1", bad=()):
    return channel(name, list(enumerate(values)), bad=bad)


def judged(spec, *channels, rulings=(), load=None, vessel=VESSEL, run=None, **more):
    run = run or run_of(*channels)
    return judge((spec,), vessel, load or load_of(run), run, tuple(rulings), **more)


def aside(sensor, start=0, end=60):
    return Ruling("set aside", sensor, minutes(start), minutes(end), "engineer C", "loose plug")


# ------------------------------------------------------------------------------------------------------------------ one verdict
def test_everything_that_a_verdict_says():
    found = verdict(specification(band(at_most("185 degC"))), run_of(tc(180, 181, 184, 182, 181)))
    assert (found.part, found.specification, found.revision) == ("S1", "EX-1", "A")
    assert (found.clause, found.form, found.kind, found.thing) == ("1", "band", "band", "S1")
    assert (found.outcome, found.margin.value, found.used, found.behind) == (Outcome.MET, "1", ("TC1",), ("TC1",))
    # two samples on each side of the deciding one, with file and line (the first sample is in line 2)
    assert found.samples == tuple(
        Sample("TC1", minutes(t), value, "degC", "log.csv", t + 2)
        for t, value in enumerate(("180", "181", "184", "182", "181"))
    )
    assert (found.without_set_aside, found.before_concession, found.probability, found.share) == (None,) * 4
    assert (found.settled, found.notes) == (True, ())


def test_a_verdict_without_a_margin_quotes_no_samples():
    never = band(at_most("185 degC"), phase=Phase("record ends", "record starts"))
    found = verdict(specification(never), run_of(tc(180, 181)))
    assert (found.outcome, found.margin, found.samples) == (Outcome.NOT_SHOWN, None, ())


def test_clauses_and_forms_in_the_order_of_the_paper():
    clauses = (
        Clause("4.2", "b", (band(at_most("185 degC"), name="band"), band(at_most("179 degC"), name="band 2"))),
        Clause("4.1", "a", (band(at_most("184 degC")),)),
    )
    found = verdicts(specification(clauses=clauses), run_of(tc(180, 181)))
    assert [(one.clause, one.form, one.outcome) for one in found] == [
        ("4.2", "band", Outcome.MET),
        ("4.2", "band 2", Outcome.NOT_MET),
        ("4.1", "band", Outcome.MET),
    ]


# ---------------------------------------------------------------------------------------------------- sentences of other kinds
def entry(name, text="", thing="S1", person="inspector B"):
    return Entry(name, thing, minutes(1), None, 0, person, text)


BY_HAND = Clause("5", "inspect", (), by_person="quality")


def test_a_sentence_that_a_person_judges():
    found = verdict(specification(clauses=(BY_HAND,)), run_of(tc(180, 181)))
    assert (found.form, found.kind, found.thing, found.outcome, found.reason, found.settled, found.limit) == (
        "by a person", "by a person", "S1", Outcome.BY_PERSON, "to be judged and signed by: quality", False, "",
    )  # fmt: skip
    for thing in ("S1", "B1", "run", ""):
        entries = (entry("clause 5", "no wrinkles", thing),)
        found = verdict(specification(clauses=(BY_HAND,)), run_of(tc(180, 181), entries=entries))
        assert (found.reason, found.settled, found.outcome) == ("no wrinkles (inspector B)", True, Outcome.BY_PERSON)
    for other in (entry("clause 4", "no"), entry("clause 5", "no", "S2")):
        assert not verdict(specification(clauses=(BY_HAND,)), run_of(tc(180, 181), entries=(other,))).settled
    both = (entry("clause 5", "first"), entry("clause 5", person="inspector D"))
    assert (
        verdict(specification(clauses=(BY_HAND,)), run_of(tc(180, 181), entries=both)).reason == "entered (inspector D)"
    )


def test_a_sentence_that_a_person_judges_for_some_parts():
    thin = AttributeCondition("thickness", at_most("15 mm"))
    spec = specification(clauses=(replace(BY_HAND, for_parts=(thin,)),))
    found = verdict(spec, run_of(tc(180, 181)), thickness=quantity("20 mm"))
    assert (found.specification, found.clause, found.form, found.kind, found.outcome, found.reason) == (
        "EX-1", "5", "by a person", "by a person", Outcome.NOT_APPLICABLE,
        "thickness of part S1 is 20 mm; the clause is for at most 15 mm",
    )  # fmt: skip


def test_a_sentence_that_is_not_covered():
    clauses = (Clause("6", "and so on", (band(at_most("185 degC")),), not_covered="the rest of the sentence"),)
    first, found = verdicts(specification(clauses=clauses), run_of(tc(180, 181)))
    assert first.outcome is Outcome.MET
    assert (found.form, found.kind, found.outcome, found.reason, found.settled) == (
        "not covered", "not covered", Outcome.NOT_COVERED, "the rest of the sentence", True,
    )  # fmt: skip


def test_a_clause_for_some_parts():
    thin = AttributeCondition("thickness", at_most("15 mm"))
    spec = specification(clauses=(Clause("4", "thin", (band(at_most("179 degC")),), for_parts=(thin,)),))
    run = run_of(tc(180, 181))
    found = verdict(spec, run, thickness=quantity("20 mm"))
    assert (found.outcome, found.form, found.kind, found.thing) == (Outcome.NOT_APPLICABLE, "band", "band", "S1")
    assert found.reason == "thickness of part S1 is 20 mm; the clause is for at most 15 mm"
    found = verdict(spec, run)
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "attribute missing: 'thickness' of part S1 is not stated",
    )
    assert verdict(spec, run, thickness=quantity("10 mm")).outcome is Outcome.NOT_MET


# ------------------------------------------------------------------------------------------------- what the judge cannot judge
def test_a_limit_that_planning_did_not_state():
    found = verdict(specification(band(Limits(high_attribute="own limit"))), run_of(tc(180, 181)))
    assert (found.outcome, found.limit) == (Outcome.NOT_SHOWN, "")
    assert found.reason.startswith("attribute missing: part S1 has no 'own limit' stated as a quantity")
    found = verdict(
        specification(band(Limits(high_attribute="own limit"))),
        run_of(tc(180, 181)),
        **{"own limit": quantity("185 degC")},
    )
    assert (found.outcome, found.limit) == (Outcome.MET, "at most 185 degC")


def test_a_part_without_the_sensors_that_are_judged():
    form = each_band(at_most("185 degC"))
    found = verdict(specification(form), run_of(channel("AIR1", [(0, 180), (1, 180)])))
    assert (found.outcome, found.kind, found.thing) == (Outcome.NOT_SHOWN, "band", "S1")
    assert found.reason.startswith(
        "part S1 has no part thermocouple on the sensor map; expected at least one part thermocouple"
    )
    found = verdict(specification(band(at_most("185 degC"))), run_of(channel("AIR1", [(0, 180), (1, 180)])))
    assert found.reason.startswith("no channel on the sensor map is a part thermocouple of part S1")


def test_a_change_of_reference_without_a_barometer_is_refused():
    signal = Signal(Group("vessel pressure"), "single")
    form = Band("band", "vessel", unit_named("psi gauge"), None, None, signal, WHOLE, at_least("85 psi gauge"))
    with pytest.raises(NeedsBarometer):
        verdict(specification(form), run_of(channel("P1", [(0, 7), (1, 7)], "bar absolute")))


def test_a_specification_that_was_not_given():
    run = run_of(tc(180, 181))
    with pytest.raises(CurewrightError) as refused:
        judge((specification(band(at_most("185 degC")), revision="B"),), VESSEL, load_of(run), run)
    assert str(refused.value) == (
        "part S1 follows specification EX-1 revision A, which was not given; "
        "expected that specification file, of that revision (given: EX-1 revision B). "
        "To do: add it, or correct the load"
    )


# ------------------------------------------------------------------------------------------------------------------- impossible
INHG = unit_named("inHg of vacuum")
HERE = quantity("79.50 kPa absolute").grains  # 23.48 inHg, at 3386.389 Pa (NIST SP 811)


def vacuum(limits, reading, bad=(), **more):
    form = Band("band", "bag", INHG, None, None, Signal(Group("bag vacuum"), "single"), WHOLE, limits)
    bag = channel("BAG1", [(0, reading), (1, reading)], "inHg of vacuum", bad=bad)
    return verdict(specification(form), run_of(bag, barometer=HERE, **more))


def test_what_the_local_atmosphere_makes_impossible_is_not_met():
    why = "25 inHg of vacuum is impossible here"
    found = vacuum(at_least("25 inHg of vacuum"), 23.0, bad=(0, 1))
    assert (found.outcome, found.reason[: len(why)], found.settled) == (Outcome.NOT_MET, why, True)
    found = vacuum(at_least("25 inHg of vacuum"), 26.0, closed=False)  # a gauge that reads more than there is
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)
    found = vacuum(at_least("25 inHg of vacuum"), 23.0)
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits in the phase")
    assert found.notes[0].startswith(why)
    found = vacuum(at_least("23 inHg of vacuum"), 23.0)
    assert (found.outcome, found.notes) == (Outcome.MET, ())


# -------------------------------------------------------------------------------------------------------------------- set aside
def test_with_and_without_what_was_set_aside():
    run = run_of(tc(180, 181, 180), tc(180, 190, 180, name="TC2"))
    found = verdict(specification(band(at_most("185 degC"))), run, (aside("TC2"),))
    assert (found.outcome, found.without_set_aside) == (Outcome.MET, Outcome.NOT_MET)
    found = verdict(specification(band(at_most("195 degC"))), run, (aside("TC2"),))
    assert (found.outcome, found.without_set_aside) == (Outcome.MET, None)  # it changes nothing
    assert verdict(specification(band(at_most("185 degC"))), run).without_set_aside is None


def test_a_sensor_that_is_set_aside_over_the_whole_phase_is_spoken_for():
    run = run_of(tc(180, 181, 180), tc(180, 190, 180, name="TC2"), tc(180, 182, 180, name="TC3"))
    form = each_band(at_most("185 degC"))
    one, three = verdicts(specification(form), run, (aside("TC2"),))
    assert (one.thing, one.outcome, one.without_set_aside) == ("TC1", Outcome.MET, Outcome.NOT_MET)
    assert one.notes == ("TC2 is set aside over the whole phase; without that it would be not met",)
    assert (three.thing, three.outcome, three.notes, three.without_set_aside) == ("TC3", Outcome.MET, (), None)
    one, _ = verdicts(specification(each_band(at_most("195 degC"))), run, (aside("TC2"),))
    assert (one.without_set_aside, one.notes) == (
        None,
        ("TC2 is set aside over the whole phase; without that it would be met",),
    )
    (only,) = verdicts(specification(form), run, (aside("TC2"), aside("TC3")))
    assert only.notes == (
        "TC2 is set aside over the whole phase; without that it would be not met",
        "TC3 is set aside over the whole phase; without that it would be met",
    )


def test_only_over_the_whole_phase_is_it_gone():
    run = run_of(tc(180, 181, 180, 180), tc(180, 190, 180, 180, name="TC2"))
    form = each_band(at_most("185 degC"))
    for start, end, things in ((0, 3, 1), (0, 60, 1), (-1, 3, 1), ("0.1", 3, 2), (0, "2.9", 2)):
        assert len(verdicts(specification(form), run, (aside("TC2", start, end),))) == things
    # the other one's stretch does not count
    found = verdicts(specification(form), run, (aside("TC1", 0, 60), aside("TC2", 1, 2)))
    assert [one.thing for one in found] == ["TC2"]


def test_in_a_phase_without_a_known_end_it_is_gone_if_it_is_so_for_good():
    run = run_of(tc(180, 181, 180), tc(180, 190, 180, name="TC2"), closed=False)
    form = each_band(at_most("185 degC"))
    for_good = replace(aside("TC2"), end=2**62)
    assert [one.thing for one in verdicts(specification(form), run, (for_good,))] == ["TC1"]
    assert len(verdicts(specification(form), run, (aside("TC2"),))) == 2


def test_every_sensor_is_set_aside():
    run = run_of(tc(180, 181, 180))
    found = verdict(specification(each_band(at_most("185 degC"))), run, (aside("TC1"),))
    assert (found.outcome, found.reason, found.kind, found.form, found.thing) == (
        Outcome.NOT_SHOWN, "every sensor is set aside: nothing to judge", "band", "band", "S1",
    )  # fmt: skip


def test_two_forms_do_not_speak_for_each_other():
    run = run_of(tc(180, 181, 180), tc(180, 190, 180, name="TC2"))
    clauses = (
        Clause("1", "", (each_band(at_most("185 degC")), each_band(at_most("195 degC"), name="band 2"))),
        Clause("2", "", (each_band(at_most("170 degC")),)),
    )
    found = verdicts(specification(clauses=clauses), run, (aside("TC2"),))
    assert [(one.clause, one.form, one.without_set_aside) for one in found] == [
        ("1", "band", Outcome.NOT_MET),
        ("1", "band 2", None),
        ("2", "band", None),  # not met anyway
    ]
    assert [len(one.notes) for one in found] == [1, 1, 1]


# ------------------------------------------------------------------------------------------------------------------ concessions
def test_a_concession_in_a_clause_of_several_forms():
    run = run_of(tc(180, 181))
    load = load_of(run)
    part = replace(load.parts[0], concessions=(Concession("1", "band 2", at_most("182 degC"), "board 7"),))
    spec = specification(band(at_most("179 degC")), band(at_most("179 degC"), name="band 2"))
    first, second = judged(spec, run=run, load=replace(load, parts=(part,))).verdicts
    assert (first.outcome, first.before_concession, first.notes) == (Outcome.NOT_MET, None, ())
    assert (second.outcome, second.before_concession, second.margin.value) == (Outcome.MET, Outcome.NOT_MET, "1")
    assert second.notes == ("by concession of board 7: at most 182 degC; without it: not met",)


# --------------------------------------------------------------------------------------------------------------------- exposure
def exposure(name="exposure"):
    return Exposure(name, "part", unit_named("count"), None, None, "cures", WHOLE, None, at_most("2 count"))


def test_shares_of_earlier_runs():
    run = run_of(tc(180, 181))
    load = load_of(run)
    again = replace(load, parts=(replace(load.parts[0], earlier_runs=("R0.yaml",)),))
    share, spec = (Share("R0", 1, 1),), specification(exposure())

    def outcome(load, earlier):
        (found,) = judged(spec, run=run, load=load, earlier=earlier).verdicts
        return found.outcome, found.margin.actual, found.share

    assert outcome(load, None) == (Outcome.MET, "1", (1, 1))
    assert outcome(load, {("S1", "1", "exposure"): share}) == (Outcome.MET, "1", (1, 1))  # no earlier runs are named
    assert outcome(again, {("S1", "1", "exposure"): share}) == (Outcome.MET, "2", (1, 1))
    for missing in (
        None,
        {},
        {("S2", "1", "exposure"): share},
        {("S1", "2", "exposure"): share},
        {("S1", "1", "other"): share},
    ):
        assert outcome(again, missing) == (Outcome.NOT_SHOWN, "1 to ?", (1, 1))
    assert outcome(again, {("S1", "1", "exposure"): None}) == (Outcome.NOT_SHOWN, "1 to ?", (1, 1))


# ----------------------------------------------------------------------------------------------------------------- growing runs
def test_open_where_a_sensor_may_yet_be_set_aside():
    lost = LostThermocouples(None, True, 1)
    times = range(11)
    steady = channel("TC1", [(t, 180) for t in times])
    silent = channel("TC2", [(t, 183) for t in times if t < 9])
    form = AtEvent("at event", "part", DEGC, None, None, "done", COLDEST, at_least("100 degC"))
    from tests.unit.judge.build import entry as handwritten
    from tests.unit.judge.build import event

    done = event("done", None, by="entry")
    more = {"entries": (handwritten("done", "8.5", thing="S1"),), "closed": False}
    found = verdict(specification(form, events=(done,), lost=lost, gap=1), run_of(steady, silent, **more))
    assert (found.outcome, found.settled) == (Outcome.OPEN, False)
    found = verdict(specification(form, events=(done,), gap=1), run_of(steady, silent, **more))
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)  # no rule that could set it aside
    more["closed"] = True
    found = verdict(specification(form, events=(done,), lost=lost, gap=1), run_of(steady, silent, **more))
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)


def test_to_what_instant_an_open_run_is_known():
    one, two = tc(*range(11)), tc(*range(9), name="TC2")  # to 10 and to 8 min
    spare = channel("XTRA", [(0, 1), (3, 1)])
    run = run_of(one, two, closed=False)
    load = load_of(run)
    assert horizon(load, run, minutes(5)) == minutes(8)
    assert horizon(load, run, minutes(2)) == minutes(8)
    assert horizon(load, run, minutes(1)) == minutes(9)  # it holds back at most the largest gap
    assert horizon(load, run, 0) == minutes(10)
    more = replace(run, channels={**run.channels, "XTRA": spare, "TC3": channel("TC3", [])})
    assert horizon(load, more, minutes(5)) == minutes(8)  # what is not on the map does not count
    nothing = replace(load, map=(replace(load.map[0], channel="TC3"),))
    assert horizon(nothing, more, minutes(5)) == 0
    hall = hall_of(VESSEL, load, run, (), minutes(1))
    assert (hall.end, hall.covers) == (minutes(9), False)
    assert hall_of(VESSEL, load, run).end == minutes(10)
    closed = run_of(one, two, end=30)
    assert (hall_of(VESSEL, load, closed).end, hall_of(VESSEL, load, closed).covers) == (minutes(30), True)
    assert hall_of(VESSEL, load, run_of(one, two, covers=False)).covers is False


def test_the_largest_gap_of_all_specifications():
    assert largest_gap(()) == 0
    assert largest_gap((specification(gap=2), specification(gap=9), specification(gap=5))) == minutes(9)
    run = run_of(tc(*[180] * 11), tc(*[180] * 8, name="TC2"), closed=False)
    spec = specification(band(at_most("185 degC")), gap=1)
    assert verdict(spec, run).phase.earliest_end == minutes(9)


# ---------------------------------------------------------------------------------------------------------------- several parts
def two_parts():
    run = run_of(tc(180, 181), tc(180, 190, name="TC2"))
    load = load_of(run)
    first, second = load.map
    other = replace(load.parts[0], serial="S2", bag="B2", specification_revision="B")
    return run, replace(
        load, parts=(*load.parts, other), bags=(*load.bags, Bag("B2", ())), map=(first, replace(second, thing="S2"))
    )


def test_each_part_by_its_own_specification():
    run, load = two_parts()
    a = specification(clauses=(Clause("1", "", (band(at_most("185 degC")),), by_person="quality"),))
    b = specification(
        clauses=(Clause("7", "", (band(at_most("185 degC")),)), Clause("8", "", (), not_covered="all of it")),
        revision="B",
    )
    unused = specification(clauses=(BY_HAND, Clause("9", "", (band(at_most("1 degC")),))), revision="C")
    found = judge((unused, a, b), VESSEL, load, run)
    assert [(one.part, one.revision, one.clause, one.outcome, one.used) for one in found.verdicts] == [
        ("S1", "A", "1", Outcome.MET, ("TC1",)),
        ("S1", "A", "1", Outcome.BY_PERSON, ()),
        ("S2", "B", "7", Outcome.NOT_MET, ("TC2",)),
        ("S2", "B", "8", Outcome.NOT_COVERED, ()),
    ]
    assert found.roll_up == (("S1", Outcome.MET), ("S2", Outcome.NOT_MET))
    assert (found.clauses_by_program, found.clauses_by_person, found.clauses_not_covered) == (2, 1, 1)


def test_the_head_of_a_judgement():
    run = replace(run_of(tc(180, 181)), notes=("two rows at one instant",))
    found = judged(specification(band(at_most("185 degC"))), run=run, number=3, person="engineer C", at="2031-03-04", program="1.0",
                   inputs=(("log.csv", "abc"),))  # fmt: skip
    assert (found.number, found.run, found.person, found.at, found.program) == (
        3,
        "R1",
        "engineer C",
        "2031-03-04",
        "1.0",
    )
    assert (found.inputs, found.notes) == ((("log.csv", "abc"),), ("two rows at one instant",))
    plain = judged(specification(band(at_most("185 degC"))), tc(180, 181))
    assert (plain.number, plain.person, plain.at, plain.program, plain.inputs, plain.notes) == (1, "", "", "", (), ())


def test_what_no_clause_looks_at():
    found = judged(
        specification(band(at_most("185 degC"), phase=Phase("record starts", "record starts"))), tc(180, 181)
    )
    assert Stretch("S1", "part temperature", 0, minutes(1)) in found.uncovered


def test_what_no_clause_looks_at_at_all_is_told_for_the_whole_record():
    found = judged(specification(band(at_most("185 degC"))), tc(180, 181))
    assert found.uncovered == (
        Stretch("S1", "bag vacuum", 0, minutes(1)),
        Stretch("S1", "vessel pressure", 0, minutes(1)),
    )


def test_a_duration_looks_at_what_its_clock_runs_by():
    clock = Clock("coldest", Compare(COLDEST, at_least("174 degC")), "pauses")
    way = Alternative(WHOLE, clock, Limits(quantity("0 min"), None))
    soak = Duration("duration", "part", unit_named("min"), None, None, (way,))
    found = judged(specification(soak), tc(180, 181))
    assert [one.quantity for one in found.uncovered] == ["bag vacuum", "vessel pressure"]


def test_another_map_over_the_parts():
    run, load = two_parts()
    asked = []

    def backwards(ask, parts):
        asked.extend(part.serial for part in parts)
        return [ask(part) for part in parts]

    a, b = (specification(band(at_most("185 degC")), revision=revision) for revision in "AB")
    found = judge((a, b), VESSEL, load, run, each=backwards)
    assert (asked, [one.part for one in found.verdicts]) == (["S1", "S2"], ["S1", "S2"])


def test_the_scene_of_a_part():
    run, load = two_parts()
    a, b = (specification(band(at_most("185 degC")), revision=revision) for revision in "AB")
    hall = hall_of(VESSEL, load, run)
    scene = scene_for(hall, load.parts[1], (a, b))
    assert (scene.specification, scene.part, scene.bag, scene.options) == (b, load.parts[1], load.bags[1], Options())
    assert scene_for(hall, load.parts[0], (a, b), Options(rule=False)).options == Options(rule=False)
    assert scene_for(hall, replace(load.parts[0], bag="none"), (a, b)).bag is None
    with pytest.raises(CurewrightError, match="has a concession for clause 9 'band', which EX-1 lacks"):
        scene_for(hall, replace(load.parts[0], concessions=(Concession("9", "band", at_most("1 degC"), "x"),)), (a, b))


# ----------------------------------------------------------------------------------------------------------------------- roll-up
@pytest.mark.parametrize(
    "outcomes, found",
    [
        (("MET", "OPEN", "NOT_SHOWN", "NOT_MET"), "NOT_MET"),
        (("MET", "OPEN", "NOT_SHOWN"), "NOT_SHOWN"),
        (("MET", "OPEN"), "OPEN"),
        (("MET", "NOT_APPLICABLE"), "MET"),
        (("NOT_APPLICABLE",), "NOT_SHOWN"),
        (("BY_PERSON", "NOT_COVERED"), "NOT_SHOWN"),
        (("BY_PERSON", "NOT_COVERED", "MET"), "MET"),
        ((), "NOT_SHOWN"),
    ],
)
def test_the_worst_first(outcomes, found):
    assert worst([Outcome[name] for name in outcomes]) is Outcome[found]


def test_a_part_without_verdicts_is_not_shown():
    run, load = two_parts()
    only = judged(specification(band(at_most("185 degC"))), run=run, load=replace(load, parts=load.parts[:1])).verdicts
    assert roll_up(load, only) == (("S1", Outcome.MET), ("S2", Outcome.NOT_SHOWN))


def test_lean_verdicts_are_the_same_but_for_what_stands_behind_them():
    run = run_of(tc(170, 181, 180, 186, 179), tc(172, 178, bad=(1,), name="TC2"))
    spec = specification(each_band(at_most("185 degC")), band(at_least("175 degC"), COLDEST, name="band 2"))
    load = load_of(run)
    full, lean = (judge((spec,), VESSEL, load, run, lean=lean).verdicts for lean in (False, True))
    assert {one.outcome for one in full} == {Outcome.NOT_MET, Outcome.NOT_SHOWN}
    told = ("part", "clause", "form", "thing", "outcome", "reason", "limit", "margin", "phase", "settled")
    for one, other in zip(full, lean, strict=True):
        assert [getattr(one, name) for name in told] == [getattr(other, name) for name in told]
        assert other.samples == other.used == other.others == ()
