"""Bands, by hand: samples joined by straight lines, crossings where a line meets the level (semantics § 1.1, 5.1, 5.3, 7)."""

from __future__ import annotations

from curewright.terms.load import Ruling
from curewright.terms.requirement import Allowance, Band, Compare, Decision, LostThermocouples, Phase, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Excursion, Margin, Outcome, SetAside, Unknown
from tests.unit.judge.build import (
    COLDEST,
    EACH,
    HOTTEST,
    PART,
    above,
    at_least,
    at_most,
    channel,
    event,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    verdicts,
    within,
)

WHOLE = Phase("record starts", "record ends")
TEXT = "175 to 185 degC"
# 100 degC reached at 10 min for sure, or at any time in the gap from 10 to 20 (samples 5 min apart are joined, 10 are not)
HEATED = event("heated", Compare(HOTTEST, at_least("100 degC")))
DEEP = Allowance(quantity("5 degC difference"), minutes(10), minutes(15))


def band(limits, signal=COLDEST, phase=WHOLE, for_each="part", **more):
    return Band("band", for_each, unit_named("degC"), None, None, signal, phase, limits, **more)


def judged(form, *channels, events=(), gap=30, rulings=(), lost=None, decision=None, **more):
    changes = {} if decision is None else {"decision": decision}
    return verdict(
        specification(form, events=events, gap=gap, lost=lost, **changes), run_of(*channels, **more), rulings
    )


def tc(*points, name="TC1", **more):
    return channel(name, points, **more)


def whole(end):
    return Bounds(0, 0, minutes(end), minutes(end), "record starts", "record ends")


# ------------------------------------------------------------------------------------------------------------- plain limits
def test_met_with_all_that_is_told():
    found = judged(band(within("175 degC", "185 degC")), tc((0, 180), (1, 184), (2, 178), (3, 180)))
    assert (found.outcome, found.reason, found.limit) == (
        Outcome.MET,
        "within the limits throughout the phase",
        TEXT,
    )
    assert found.margin == Margin("1", "degC", minutes(1), "TC1", "184", TEXT)  # 185 - 184 = 1, 178 - 175 = 3
    assert found.phase == whole(3)
    assert (found.excursions, found.unknown, found.set_aside, found.allowance_left) == ((), (), (), ())
    assert (found.used, found.notes, found.settled, found.others) == (("TC1",), (), True, ())


def test_the_low_side_may_be_the_nearer_one():
    found = judged(band(within("175 degC", "185 degC")), tc((0, 180), (1, 182), (2, 177), (3, 180)))
    assert found.margin == Margin("2", "degC", minutes(2), "TC1", "177", TEXT)


def test_ends_belong_to_the_band_and_not_to_above():
    assert judged(band(at_least("175 degC")), tc((0, 175), (1, 180))).outcome is Outcome.MET
    found = judged(band(above("175 degC")), tc((0, 175), (1, 180)))
    assert (found.outcome, found.margin.value, found.limit) == (Outcome.NOT_MET, "0", "above 175 degC")
    assert found.excursions == ()  # at the limit, not beyond it: nothing has a depth


def test_a_stay_outside_lasts_from_crossing_to_crossing():
    # 180 to 190 in 10 min: 185 at 5 min, and again at 15
    found = judged(band(within("175 degC", "185 degC")), tc((0, 180), (10, 190), (20, 180)))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits in the phase")
    assert found.margin == Margin("-5", "degC", minutes(10), "TC1", "190", TEXT)
    assert found.excursions == (Excursion("TC1", minutes(5), minutes(15), "5", "degC", minutes(10), True),)
    assert (found.allowance_left, found.unknown) == ((), ())


def test_a_stay_outside_is_clipped_to_the_phase():
    found = judged(band(at_most("185 degC")), tc((0, 187), (10, 187)))
    assert found.excursions == (Excursion("TC1", 0, minutes(10), "2", "degC", 0, True),)


def test_a_pressure_held_against_a_limit_of_vacuum():
    form = Band(
        "band", "bag", unit_named("kPa of vacuum"), None, None, Signal(type(PART)("bag vacuum"), "single"), WHOLE,
        at_least("80 kPa of vacuum"),
    )  # fmt: skip
    found = judged(form, channel("BAG1", [(0, -85), (10, -81)], "kPa gauge"))
    assert (found.outcome, found.margin.value, found.margin.actual) == (Outcome.MET, "1", "81")


def test_both_sides_are_listed():
    found = judged(band(within("175 degC", "185 degC")), tc((0, 180), (10, 190), (20, 180), (30, 171), (40, 180)))
    # 180 to 171 in 10 min: 175 after 50/9 min; back after 40/9 of the next ten
    low = (minutes(20) + round(10 * 60e9 * 5 / 9), minutes(30) + round(10 * 60e9 * 4 / 9))
    assert [(one.depth, one.at) for one in found.excursions] == [("5", minutes(10)), ("4", minutes(30))]
    assert abs(found.excursions[1].start - low[0]) <= 1
    assert abs(found.excursions[1].end - low[1]) <= 1


def test_each_sensor_has_its_own_verdict():
    hot, cool = tc((0, 180), (1, 183)), tc((0, 180), (1, 181), name="TC2")
    found = verdicts(specification(band(at_most("182 degC"), EACH, for_each="part thermocouple")), run_of(hot, cool))
    assert [(one.thing, one.outcome, one.margin.value) for one in found] == [
        ("TC1", Outcome.NOT_MET, "-1"),
        ("TC2", Outcome.MET, "1"),
    ]


def test_on_ties_the_earliest_instant_then_the_name():
    found = judged(band(at_most("182 degC"), HOTTEST), tc((0, 180), (1, 181)), tc((0, 181), (1, 180), name="TC2"))
    assert (found.margin.at, found.margin.channel) == (0, "TC2")
    found = judged(band(at_most("182 degC"), HOTTEST), tc((0, 181), (1, 181)), tc((0, 181), (1, 181), name="TC2"))
    assert (found.margin.at, found.margin.channel) == (0, "TC1")


# ------------------------------------------------------------------------------------------------------ unknown and set aside
def test_a_bad_sample_makes_the_stretch_unknown():
    found = judged(band(within("175 degC", "185 degC")), tc((0, 180), (1, 182), (2, 0), (3, 180), (4, 180), bad=(2,)))
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "not known throughout the phase: TC1 unknown over (+0:01:00, +0:03:00)",
        True,
    )
    assert found.unknown == (Unknown("TC1", minutes(1), minutes(3), "bad or lost samples"),)
    assert found.margin == Margin("3", "degC", minutes(1), "TC1", "182", TEXT, of_known=True)
    assert found.excursions == ()


def test_a_gap_makes_the_stretch_unknown():
    found = judged(band(at_most("185 degC")), tc((0, 180), (1, 182), (4, 181)), gap=2)
    assert found.unknown == (Unknown("TC1", minutes(1), minutes(4), "gap in the record"),)
    assert (found.outcome, found.margin.value, found.margin.of_known) == (Outcome.NOT_SHOWN, "3", True)


def test_outside_what_is_known_is_not_met_whatever_the_rest_was():
    found = judged(band(at_most("185 degC")), tc((0, 186), (1, 182), (4, 181)), gap=2)
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits in the phase")
    assert (found.unknown, found.margin.value, found.margin.of_known) == ((), "-1", False)


def test_nothing_known_in_the_phase():
    late = event("late", Compare(HOTTEST, at_least("0 degC")), delay=2)
    found = judged(
        band(at_most("185 degC"), phase=Phase("late", "record ends")),
        tc((0, 180), (1, 182)), events=(late,), end=4, gap=2,
    )  # fmt: skip
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "not known throughout the phase")
    assert found.margin is None
    assert found.unknown == (Unknown("TC1", minutes(2), minutes(4), "gap in the record"),)


def test_a_single_sensor_is_not_judged_where_it_is_set_aside():
    ruling = Ruling("set aside", "TC1", minutes(1), minutes(3), "engineer C", "loose plug")
    form = band(at_most("185 degC"), EACH, for_each="part thermocouple")
    found = judged(form, tc((0, 180), (1, 184), (2, 190), (3, 183), (4, 180)), rulings=(ruling,))
    assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, "1", minutes(1))
    assert found.set_aside == (SetAside("TC1", minutes(1), minutes(3), "engineer C", "loose plug"),)
    assert (found.without_set_aside, found.excursions) == (Outcome.NOT_MET, ())


def test_a_group_that_is_set_aside_altogether_is_unknown_there():
    ruling = Ruling("set aside", "TC1", minutes(1), minutes(3), "engineer C", "loose plug")
    found = judged(band(at_most("185 degC")), tc((0, 180), (1, 181), (2, 182), (3, 183), (4, 180)), rulings=(ruling,))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "not known throughout the phase")
    assert found.unknown == ()  # its readings are there; they were set aside


def test_by_the_rule_for_lost_thermocouples():
    lost = LostThermocouples(None, True, 1)
    steady = tc(*((t, 180) for t in range(11)))
    opens = tc(*((t, 183 if t < 4 else 0) for t in range(11)), name="TC2", bad=range(4, 11))
    found = judged(band(at_least("175 degC")), steady, opens, lost=lost, gap=2)
    assert found.outcome is Outcome.MET  # the hotter one was lost: the coldest is the other
    (left_out,) = found.set_aside
    assert (left_out.channel, left_out.start, left_out.by) == ("TC2", minutes(3), "rule for lost thermocouples")
    found = judged(band(at_most("185 degC"), HOTTEST), steady, opens, lost=lost, gap=2)
    assert (found.outcome, found.set_aside) == (Outcome.NOT_SHOWN, ())
    assert found.notes == ("TC2 was lost at +0:03:00; it was the hottest one then, so the rule may not set it aside",)


# --------------------------------------------------------------------------------------------------------------------- phases
def gappy():
    """100 degC reached somewhere from 10 to 20 min; 190 at 25, 180 from 30 to 40."""
    return tc((0, 20), (5, 60), (10, 90), (20, 150), (25, 190), (30, 180), (35, 180), (40, 180))


def test_bounds_of_the_phase():
    found = judged(band(at_most("195 degC"), phase=Phase("heated", "record ends")), gappy(), events=(HEATED,), gap=5)
    assert found.phase == Bounds(minutes(10), minutes(20), minutes(40), minutes(40), "heated", "record ends")
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "not known throughout the phase: TC1 unknown over (+0:10:00, +0:20:00)",
    )
    assert found.margin == Margin("5", "degC", minutes(25), "TC1", "190", "at most 195 degC", of_known=True)


def test_outside_only_where_it_is_not_known_whether_the_phase_had_begun():
    # TC2 is 190 at 15 only, and known throughout; TC1 says that the phase began between 10 and 20
    form = band(
        at_most("185 degC"), Signal(PART, "single"), Phase("heated", "record ends"), for_each="part thermocouple"
    )
    heated = event("heated", Compare(COLDEST, at_least("100 degC")))
    begins = tc((0, 20), (5, 60), (10, 90), (20, 150), (25, 180), (30, 180))
    other = tc((0, 180), (5, 180), (10, 180), (15, 190), (20, 180), (25, 184), (30, 180), name="TC2")
    _, found = verdicts(specification(form, events=(heated,), gap=5), run_of(begins, other))
    assert (found.thing, found.outcome, found.reason) == (
        "TC2",
        Outcome.NOT_SHOWN,
        "outside the limits where it is not known whether the phase had begun or ended",
    )
    # at most 185: over the possible part 190 (-5), over the sure part 184 (+1)
    assert found.margin == Margin("-5", "degC", minutes(15), "TC2", "190", "at most 185 degC", "-5", "1", True)
    # 185 is crossed half way up and half way down: 12.5 and 17.5 min, before the phase surely began
    assert found.excursions == (Excursion("TC2", minutes("12.5"), minutes("17.5"), "5", "degC", minutes(15), False),)


def test_not_met_shows_the_sure_part():
    form = band(
        at_most("185 degC"), Signal(PART, "single"), Phase("heated", "record ends"), for_each="part thermocouple"
    )
    heated = event("heated", Compare(COLDEST, at_least("100 degC")))
    begins = tc((0, 20), (5, 60), (10, 90), (20, 150), (25, 180), (30, 180))
    other = tc((0, 180), (5, 180), (10, 180), (15, 190), (20, 180), (25, 187), (30, 180), name="TC2")
    _, found = verdicts(specification(form, events=(heated,), gap=5), run_of(begins, other))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits in the phase")
    assert found.margin == Margin("-2", "degC", minutes(25), "TC2", "187", "at most 185 degC", "-5", "-2")
    assert [(one.at, one.sure) for one in found.excursions] == [(minutes(15), False), (minutes(25), True)]


def test_a_phase_that_never_started():
    found = judged(
        band(at_most("185 degC"), phase=Phase("heated", "record ends")), tc((0, 20), (1, 30)), events=(HEATED,)
    )
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "the phase never started: nothing to judge",
        None,
        True,
    )
    assert found.phase == Bounds(None, None, minutes(1), minutes(1), "heated", "record ends")
    assert (found.excursions, found.unknown) == ((), ())


def test_a_phase_that_may_not_have_taken_place():
    unclear = tc((0, 20), (1, 30), (2, 0), (3, 30), bad=(2,))
    found = judged(band(at_most("25 degC"), phase=Phase("heated", "record ends")), unclear, events=(HEATED,))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "it is not known whether the phase took place: TC1 unknown over (+0:01:00, +0:03:00)",
    )
    assert found.phase == Bounds(minutes(1), None, minutes(3), minutes(3), "heated", "record ends")
    # what is known from 1 to 3 min: 30 at both ends
    assert found.margin == Margin("-5", "degC", minutes(1), "TC1", "30", "at most 25 degC", of_known=True)
    assert all(not one.sure for one in found.excursions)


def test_notes_of_the_ends():
    already = event("heated", Compare(HOTTEST, at_least("100 degC")), after="stirred")
    stirred = event("stirred", None, by="entry")
    from tests.unit.judge.build import entry

    found = judged(
        band(at_most("185 degC"), phase=Phase("heated", "record ends")), tc((0, 120), (1, 120), (2, 120)),
        events=(stirred, already), entries=(entry("stirred", 1, thing="S1"),),
    )  # fmt: skip
    assert found.notes == ("already so at its reference",)
    assert found.phase.earliest_start == minutes(1)


# ---------------------------------------------------------------------------------------------------------------- growing runs
def test_open_while_the_phase_goes_on():
    found = judged(band(at_most("185 degC")), tc((0, 180), (1, 184)), closed=False)
    assert (found.outcome, found.reason, found.settled) == (Outcome.OPEN, "the phase reaches beyond the record", False)
    assert found.margin == Margin("1", "degC", minutes(1), "TC1", "184", "at most 185 degC", of_known=True)
    assert found.phase == Bounds(0, 0, minutes(1), None, "record starts", "record ends")


def test_not_met_is_settled_at_once():
    found = judged(band(at_most("185 degC")), tc((0, 180), (1, 186)), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)


def test_a_record_that_does_not_cover_the_run_shows_nothing_of_its_end():
    found = judged(band(at_most("185 degC")), tc((0, 180), (1, 184)), covers=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the phase reaches beyond the record",
        True,
    )


def test_open_before_the_phase():
    found = judged(
        band(at_most("185 degC"), phase=Phase("heated", "record ends")),
        tc((0, 20), (1, 30)),
        events=(HEATED,),
        closed=False,
    )
    assert (found.outcome, found.reason) == (Outcome.OPEN, "it is not known whether the phase took place")


# ---------------------------------------------------------------------------------------------------------------- guard bands
def guard(width):
    return Decision("guard", (quantity(f"{width} degC difference"),), "guard band 1.0 x U")


def test_guard_band():
    form, log = band(within("175 degC", "185 degC")), tc((0, 180), (1, 184))
    assert judged(form, log, decision=guard(1)).outcome is Outcome.MET
    found = judged(form, log, decision=guard("1.1"))
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "inside the guard band of the decision rule")
    assert found.margin == Margin("1", "degC", minutes(1), "TC1", "184", TEXT, of_known=True)
    assert (found.unknown, found.settled, found.excursions) == ((), True, ())
    assert judged(form, tc((0, 180), (1, 176)), decision=guard("1.1")).outcome is Outcome.NOT_SHOWN
    found = judged(form, tc((0, 180), (1, 186)), decision=guard(1))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits in the phase")


def test_guard_band_with_an_allowance():
    # 183 to 184 beyond the tightened limit from 2 to 4 min: two minutes at a time are allowed
    log = tc((0, 180), (2, 183), (3, 184), (4, 183), (6, 180))
    allowance = Allowance(None, minutes(2), None)
    assert judged(band(at_most("185 degC"), allowance=allowance), log, decision=guard(2)).outcome is Outcome.MET
    allowance = Allowance(None, minutes("1.9"), None)
    assert judged(band(at_most("185 degC"), allowance=allowance), log, decision=guard(2)).outcome is Outcome.NOT_SHOWN


# ------------------------------------------------------------------------------------------------------------------ allowances
def test_all_of_the_allowance_is_left():
    found = judged(band(at_most("185 degC"), allowance=DEEP), tc((0, 180), (1, 184)))
    assert (found.outcome, found.reason) == (Outcome.MET, "within the limits throughout the phase")
    assert found.allowance_left == (("at a time", "10 min"), ("in all", "15 min"), ("depth", "5 degC"))


def test_inside_the_allowance_to_its_last_bit():
    found = judged(band(at_most("185 degC"), allowance=DEEP), tc((0, 180), (10, 190), (20, 180)))
    assert (found.outcome, found.reason) == (
        Outcome.MET,
        "outside the plain limits only as far as the allowance permits",
    )
    assert found.allowance_left == (("at a time", "0 min"), ("in all", "5 min"), ("depth", "0 degC"))
    assert found.margin == Margin("-5", "degC", minutes(10), "TC1", "190", "at most 185 degC")
    assert found.excursions == (Excursion("TC1", minutes(5), minutes(15), "5", "degC", minutes(10), True),)


def test_beyond_the_allowance():
    twice = tc((0, 180), (10, 190), (20, 180), (30, 170), (40, 180))  # out from 5 to 15 and from 25 to 35
    plain = within("175 degC", "185 degC")
    for allowance, why, left in (
        (Allowance(None, minutes(9), None), "at a time: 1 min", (("at a time", "-1 min"),)),
        (Allowance(None, None, minutes(18)), "in all: 2 min", (("in all", "-2 min"),)),
        (Allowance(quantity("3 degC difference"), None, None), "depth: 2 degC", (("depth", "-2 degC"),)),
    ):
        found = judged(band(plain, allowance=allowance), twice)
        assert (found.outcome, found.reason, found.allowance_left) == (
            Outcome.NOT_MET,
            f"outside by more than the allowance ({why} too much)",
            left,
        )
    assert judged(band(plain, allowance=Allowance(None, None, minutes(20))), twice).outcome is Outcome.MET


def test_an_allowance_in_fahrenheit_is_left_in_fahrenheit():
    form = Band(
        "band", "part", unit_named("degF"), None, None, COLDEST, WHOLE, at_most("360 degF"),
        Allowance(quantity("5 degF difference"), None, None),
    )  # fmt: skip
    found = judged(form, channel("TC1", [(0, 350), (10, 363), (20, 350)], "degF"))
    assert (found.outcome, found.allowance_left) == (Outcome.MET, (("depth", "2 degF"),))
    assert found.excursions[0].unit == "degF"
    assert found.excursions[0].depth == "3"


def test_a_depth_printed_equal_to_the_allowance_is_inside_it():
    # 364 and 366 degF are 455.372... K; each is snapped to a grain, and so is 2 degF: the difference is one grain more than 2 degF
    form = Band(
        "band", "part", unit_named("degF"), None, None, COLDEST, WHOLE, at_most("364 degF"),
        Allowance(quantity("2 degF difference"), None, None),
    )  # fmt: skip
    found = judged(form, channel("TC1", [(0, 350), (10, 366), (20, 350)], "degF"))
    assert (found.outcome, found.allowance_left) == (Outcome.MET, (("depth", "0 degF"),))


def test_an_allowance_in_a_phase_that_never_started():
    form = band(at_most("185 degC"), phase=Phase("heated", "record ends"), allowance=DEEP)
    found = judged(form, tc((0, 20), (1, 30)), events=(HEATED,))
    assert (found.reason, found.allowance_left) == ("the phase never started: nothing to judge", ())


def test_deeper_than_allowed_only_where_the_phase_may_not_have_begun():
    form = band(
        at_most("185 degC"), Signal(PART, "single"), Phase("heated", "record ends"), "part thermocouple",
        allowance=Allowance(quantity("4 degC difference"), None, None),
    )  # fmt: skip
    heated = event("heated", Compare(COLDEST, at_least("100 degC")))
    begins = tc((0, 20), (5, 60), (10, 90), (20, 150), (25, 180), (30, 180))
    other = tc((0, 180), (5, 180), (10, 180), (15, 190), (20, 180), (25, 184), (30, 180), name="TC2")
    _, found = verdicts(specification(form, events=(heated,), gap=5), run_of(begins, other))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "outside by more than the allowance (depth: 1 degC too much)",
    )


def test_a_bad_sample_beside_an_excursion_inside_the_allowance():
    log = tc((0, 180), (10, 190), (20, 180), (21, 180), (22, 0), (23, 180), bad=(22,))
    found = judged(band(at_most("185 degC"), allowance=DEEP), log)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "not known throughout the phase: TC1 unknown over (+0:21:00, +0:23:00)",
        True,
    )


def test_an_allowance_in_a_growing_run():
    log = tc((0, 180), (10, 190), (20, 180))
    found = judged(band(at_most("185 degC"), allowance=DEEP), log, closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "excursions inside the allowance so far; the phase is not known to its end",
        False,
    )
    assert judged(band(at_most("185 degC"), allowance=DEEP), log, covers=False).outcome is Outcome.NOT_SHOWN
    tight = Allowance(None, minutes(9), None)
    assert judged(band(at_most("185 degC"), allowance=tight), log, closed=False).outcome is Outcome.NOT_MET


def test_beyond_the_allowance_only_where_the_phase_may_not_have_begun():
    # TC2 out of band 10 to 20 min at the least, in a phase that began between 10 and 20
    form = band(
        at_most("185 degC"), Signal(PART, "single"), Phase("heated", "record ends"), "part thermocouple",
        allowance=Allowance(None, minutes(4), None),
    )  # fmt: skip
    heated = event("heated", Compare(COLDEST, at_least("100 degC")))
    begins = tc((0, 20), (5, 60), (10, 90), (20, 150), (25, 180), (30, 180))
    other = tc((0, 180), (5, 180), (10, 180), (15, 190), (20, 180), (25, 184), (30, 180), name="TC2")
    _, found = verdicts(specification(form, events=(heated,), gap=5), run_of(begins, other))
    assert (found.outcome, found.reason) == (
        Outcome.NOT_SHOWN,
        "outside by more than the allowance (at a time: 1 min too much)",
    )
    assert found.allowance_left == (("at a time", "-1 min"),)


def test_an_allowance_where_the_phase_may_not_have_taken_place():
    unclear = tc((0, 20), (1, 30), (2, 0), (3, 30), bad=(2,))
    form = band(at_most("25 degC"), phase=Phase("heated", "record ends"), allowance=Allowance(None, minutes(9), None))
    found = judged(form, unclear, events=(HEATED,))
    assert found.outcome is Outcome.NOT_SHOWN
    assert found.reason.startswith("excursions inside the allowance so far; the phase is not known to its end")
    assert found.settled


# ------------------------------------------------------------------------------------------------------------ while conditions
def test_while_narrows_the_phase():
    # judged only while the second one is at 100 or more: from 10 to 20 min, with the peak of 190 at 5 outside
    log = tc((0, 180), (5, 190), (10, 180), (15, 183), (20, 180), (25, 170), (30, 180))
    other = channel("AIR1", [(0, 50), (9, 50), (10, 100), (20, 100), (21, 50), (30, 50)])
    air = Signal(type(PART)("air thermocouple"), "single")
    narrow = Compare(air, at_least("100 degC"))
    found = judged(band(within("175 degC", "185 degC"), while_=narrow), log, other)
    assert (found.outcome, found.reason) == (Outcome.MET, "within the limits throughout the phase")
    assert found.margin == Margin("2", "degC", minutes(15), "TC1", "183", TEXT)
    assert found.excursions == ()
    found = judged(band(within("175 degC", "182 degC"), while_=narrow), log, other)
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-1")
    # 182 is crossed after two thirds of the way up: 13 min 20 s, and after a third of the way down: 16 min 40 s
    (one,) = found.excursions
    assert (one.start, one.end, one.depth) == (minutes(13) + 20 * 10**9, minutes(16) + 40 * 10**9, "1")


def test_while_that_is_not_known_to_hold():
    log = tc((0, 180), (5, 190), (10, 180))
    air = Signal(type(PART)("air thermocouple"), "single")
    other = channel("AIR1", [(0, 100), (4, 100), (5, 0), (6, 100), (10, 100)], bad=(5,))
    found = judged(band(at_most("188 degC"), while_=Compare(air, at_least("100 degC"))), log, other)
    # out from 4 to 6 min, exactly where it is not known whether the condition holds
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "not known throughout the phase")
    assert (found.margin.value, found.margin.at, found.margin.of_known) == ("-2", minutes(5), True)
    assert found.excursions == ()


def test_while_that_never_holds_leaves_nothing_to_judge():
    log, other = tc((0, 180), (1, 190)), channel("AIR1", [(0, 50), (1, 50)])
    air = Signal(type(PART)("air thermocouple"), "single")
    found = judged(band(at_most("185 degC"), while_=Compare(air, at_least("100 degC"))), log, other)
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "its 'while' condition never surely held in the phase: nothing to judge",
        None,
        True,
    )


def test_while_that_holds_twice():
    air = Signal(type(PART)("air thermocouple"), "single")
    other = channel("AIR1", [(0, 100), (3, 100), (4, 50), (6, 50), (7, 100), (10, 100)])
    form = band(within("175 degC", "185 degC"), while_=Compare(air, at_least("100 degC")))
    # 183 at 2 min is 2 from the limit; the second time nearer, as near, or farther
    for second, margin, at in ((184, "1", 8), (183, "2", 2), (177, "2", 2), (182, "2", 2)):
        log = tc((0, 180), (2, 183), (3, 180), (7, 180), (8, second), (10, 180))
        found = judged(form, log, other)
        assert (found.outcome, found.margin.value, found.margin.at) == (Outcome.MET, margin, minutes(at))


def test_while_with_a_guard_band():
    log, other = tc((0, 190), (1, 184)), channel("AIR1", [(0, 50), (0.999999, 50), (1, 100)])
    air = Signal(type(PART)("air thermocouple"), "single")
    form = band(at_most("185 degC"), while_=Compare(air, at_least("100 degC")))
    assert judged(form, log, other).outcome is Outcome.MET
    assert judged(form, log, other, decision=guard(1)).outcome is Outcome.MET  # 190 where the condition does not hold
    assert judged(form, log, other, decision=guard(2)).outcome is Outcome.NOT_SHOWN
