"""Exposures over all runs of a part, by hand (semantics § 6.3): this run's share plus those of sealed verdicts."""

from __future__ import annotations

from dataclasses import replace

from curewright.judge.judge import judge
from curewright.judge.kinds.exposure import Share
from curewright.terms.load import Vessel
from curewright.terms.requirement import Compare, Comparison, Exposure, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    at_least,
    at_most,
    channel,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    within,
)

WHOLE = Phase("record starts", "record ends")
HOT = Compare(COLDEST, at_least("100 degC"))
HEATED = event("heated", Compare(HOTTEST, at_least("1000 degC")))
LOG = channel("TC1", [(0, 100), (20, 100), (21, 50), (39, 50), (40, 100), (60, 100)])  # 100 degC up to 20 and from 40


def exposure(limits, *, of="time", phase=WHOLE, runs_while=HOT, unit="min"):
    return Exposure("exposure", "part", unit_named(unit), None, None, of, phase, runs_while, limits)


def judged(form, *, earlier=(), log=LOG, runs=None, gap=30, events=(HEATED,), **more):
    """``earlier``: the shares of earlier runs; None: they are not all known; ``runs``: how many the load names."""
    run = run_of(log, **more)
    load = load_of(run)
    files = tuple(f"R{i}.yaml" for i in range(len(earlier or (1,)) if runs is None else runs)) if earlier != () else ()
    load = replace(load, parts=(replace(load.parts[0], earlier_runs=files),))
    known = {} if earlier is None else {("S1", "1", "exposure"): tuple(earlier)}
    spec = specification(form, events=events, gap=gap)
    (found,) = judge((spec,), Vessel("V1", (), (), ()), load, run, earlier=known).verdicts
    return found


def share(run, least, most=None):
    return Share(run, minutes(least), minutes(least if most is None else most))


def test_time_in_this_run_alone():
    found = judged(exposure(at_most("45 min")))
    assert (found.outcome, found.reason, found.limit, found.kind) == (
        Outcome.MET,
        "within the limits over all runs of the part",
        "at most 45 min",
        "exposure",
    )
    assert found.margin == Margin("5", "min", None, "", "40", "at most 45 min")  # 20 + 20
    assert found.notes == ("this run: 40 min",)
    assert found.share == (minutes(40), minutes(40))
    assert found.phase == Bounds(0, 0, minutes(60), minutes(60), "record starts", "record ends")
    assert found.settled


def test_elapsed_time_without_a_condition():
    assert judged(exposure(at_most("60 min"), runs_while=None)).margin.actual == "60"


def test_with_earlier_runs():
    found = judged(exposure(at_most("70 min")), earlier=(share("R0", 20), share("R7", 15)))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "outside the limits over all runs of the part")
    assert found.margin == Margin("-5", "min", None, "", "75", "at most 70 min")
    assert found.notes == ("this run: 40 min", "run R0: 20", "run R7: 15")
    assert found.share == (minutes(40), minutes(40))  # of this run alone
    assert judged(exposure(at_most("75 min")), earlier=(share("R0", 20), share("R7", 15))).outcome is Outcome.MET


def test_at_least():
    found = judged(exposure(at_least("50 min")))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-10")
    assert judged(exposure(at_least("50 min")), earlier=(share("R0", 10),)).outcome is Outcome.MET
    assert judged(exposure(within("50 min", "55 min")), earlier=(share("R0", 20),)).outcome is Outcome.NOT_MET
    assert judged(exposure(within("50 min", "65 min")), earlier=(share("R0", 20),)).margin.value == "5"


def test_a_share_known_within_bounds():
    found = judged(exposure(at_most("55 min")), earlier=(share("R0", 10, 20),))
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.NOT_SHOWN,
        "the time in this run is known only within bounds",
        True,
    )
    assert found.margin == Margin("-5", "min", None, "", "50 to 60", "at most 55 min", of_known=True)
    assert judged(exposure(at_most("60 min")), earlier=(share("R0", 10, 20),)).outcome is Outcome.MET
    assert judged(exposure(at_most("49 min")), earlier=(share("R0", 10, 20),)).outcome is Outcome.NOT_MET
    found = judged(exposure(at_least("55 min")), earlier=(share("R0", 10, 20),))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_SHOWN, "-5")
    assert judged(exposure(at_least("50 min")), earlier=(share("R0", 10, 20),)).outcome is Outcome.MET
    assert judged(exposure(at_least("61 min")), earlier=(share("R0", 10, 20),)).outcome is Outcome.NOT_MET


def test_this_run_known_within_bounds():
    unclear = channel("TC1", [(0, 100), (20, 100), (25, 0), (30, 100), (60, 100)], bad=(25,))
    found = judged(exposure(at_most("55 min")), log=unclear)
    assert (found.outcome, found.margin.actual, found.share) == (
        Outcome.NOT_SHOWN,
        "50 to 60",
        (minutes(50), minutes(60)),
    )
    assert found.notes[0] == "this run: 50 min"


def test_an_earlier_run_whose_share_is_not_known():
    found = judged(exposure(at_most("55 min")), earlier=None)
    assert (found.outcome, found.reason) == (Outcome.NOT_SHOWN, "the share of an earlier run is not known")
    assert found.margin == Margin("15", "min", None, "", "40 to ?", "at most 55 min", of_known=True)
    assert found.notes == ("this run: 40 min",)
    found = judged(exposure(at_most("39 min")), earlier=None)
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-1")  # too much already
    assert judged(exposure(at_least("40 min")), earlier=None).outcome is Outcome.MET
    assert judged(exposure(at_least("41 min")), earlier=None).outcome is Outcome.NOT_SHOWN


def test_cures():
    cures = {"of": "cures", "runs_while": None, "unit": "count"}
    found = judged(exposure(at_most("3 count"), **cures), earlier=(Share("R0", 1, 1), Share("R7", 1, 1)))
    assert (found.outcome, found.margin.value, found.margin.actual, found.margin.unit) == (
        Outcome.MET,
        "0",
        "3",
        "count",
    )
    assert found.notes == ("this run: 1 count", "run R0: 1", "run R7: 1")
    assert found.share == (1, 1)
    found = judged(exposure(at_most("1 count"), **cures), earlier=(Share("R0", 1, 1),))
    assert (found.outcome, found.margin.value) == (Outcome.NOT_MET, "-1")


def test_a_cure_that_never_began_is_none():
    cures = {"of": "cures", "runs_while": None, "unit": "count", "phase": Phase("heated", "record ends")}
    assert judged(exposure(at_most("3 count"), **cures)).share == (0, 0)
    unclear = channel("TC1", [(0, 100), (20, 100), (25, 0), (30, 100), (60, 100)], bad=(25,))
    found = judged(exposure(at_most("3 count"), **cures), log=unclear)
    assert (found.outcome, found.share, found.margin.actual) == (Outcome.MET, (0, 1), "0 to 1")


def test_in_a_growing_run():
    found = judged(exposure(at_most("45 min")), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "the time in this run is known only within bounds",
        False,
    )
    assert found.margin == Margin("5", "min", None, "", "40 to ?", "at most 45 min", of_known=True)
    assert judged(exposure(at_most("39 min")), closed=False).outcome is Outcome.NOT_MET
    assert judged(exposure(at_least("40 min")), closed=False).outcome is Outcome.MET
    assert judged(exposure(at_most("45 min")), covers=False).settled


def test_notes_of_the_phase_come_first():
    already = event("hot", Compare(COLDEST, at_least("100 degC")), after="begun")
    begun = type(already)("begun", "part", (), "record starts", minutes(5))
    found = judged(exposure(at_most("45 min"), phase=Phase("hot", "record ends")), events=(begun, already))
    assert found.notes == ("already so at its reference", "this run: 35 min")


def test_a_sum_is_rounded_where_the_paper_rounds():
    # rounded to hundreds of minutes, at most 39 is at most 50 before rounding (a tie goes to the even 0)
    run = run_of(LOG)
    spec = specification(exposure(at_most("39 min")), gap=30, comparison=Comparison("rounding", (quantity("100 min"),)))
    (found,) = judge((spec,), Vessel("V1", (), (), ()), load_of(run), run).verdicts
    assert found.outcome is Outcome.MET


def test_settled_in_a_growing_run_where_the_phase_has_ended():
    unclear = channel("TC1", [(0, 100), (20, 100), (25, 0), (30, 100), (60, 100)], bad=(25,))
    ends = type(HEATED)("ends", "part", (), "record starts", minutes(40))
    found = judged(
        exposure(at_most("35 min"), phase=Phase("record starts", "ends")), log=unclear, events=(ends,), closed=False
    )
    assert (found.outcome, found.margin.actual, found.settled) == (Outcome.NOT_SHOWN, "30 to 40", True)
