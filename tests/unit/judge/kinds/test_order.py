"""Orders of two events, by hand (semantics § 4.3, 7.2): events by hand entry, each with the uncertainty of its instant."""

from __future__ import annotations

from curewright.terms.requirement import Compare, Comparison, Order, StateIs
from curewright.terms.units import unit_named
from curewright.terms.verdict import Bounds, Margin, Outcome
from tests.unit.judge.build import (
    COLDEST,
    at_least,
    at_most,
    channel,
    entry,
    event,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
    within,
)

VENT, PRESSURE = event("vent", None, by="entry", for_each="bag"), event("pressure", None, by="entry", for_each="bag")
TEXT = "'vent' at or before 'pressure'"
VENT_NOTE, PRESSURE_NOTE = "'vent' by hand entry of inspector B", "'pressure' by hand entry of inspector B"
LOG = channel("TC1", [(t, 20.0) for t in range(61)])


def order(limits=None, first="vent", then="pressure", unit="min"):
    return Order("order", "part", unit_named(unit), None, None, first, then, limits)


def judged(form, *entries, log=LOG, events=(VENT, PRESSURE), **more):
    return verdict(specification(form, events=events), run_of(log, entries=entries, **more))


def both(vent, pressure, first=0, then=0):
    return entry("vent", vent, plus_minus=first), entry("pressure", pressure, plus_minus=then)


def test_in_this_order():
    found = judged(order(), *both(10, 15))
    assert (found.outcome, found.reason, found.limit, found.kind) == (Outcome.MET, "in this order", TEXT, "order")
    assert found.margin == Margin("5", "min", minutes(15), "", "5", TEXT)
    assert found.phase == Bounds(minutes(10), minutes(10), minutes(15), minutes(15), "vent", "pressure")
    assert found.notes == (VENT_NOTE, PRESSURE_NOTE)
    assert found.settled


def test_at_the_same_instant_is_at_or_before():
    found = judged(order(), *both(10, 10))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.MET, "in this order", "0")


def test_in_the_other_order():
    found = judged(order(), *both(15, 10))
    assert (found.outcome, found.reason) == (Outcome.NOT_MET, "in the other order")
    assert found.margin == Margin("-5", "min", minutes(10), "", "-5", TEXT)


def test_in_time():
    found = judged(order(within("2 min", "8 min")), *both(10, 15))
    text = TEXT + ", 2 to 8 min between"
    assert (found.outcome, found.reason, found.limit) == (Outcome.MET, "in this order and in time", text)
    assert found.margin == Margin("3", "min", minutes(15), "", "5", text)  # 5 - 2 = 8 - 5 = 3
    assert judged(order(within("5 min", "5 min")), *both(10, 15)).outcome is Outcome.MET


def test_too_soon_and_too_late():
    found = judged(order(at_least("6 min")), *both(10, 15))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.NOT_MET, "too soon after", "-1")
    assert found.limit == TEXT + ", at least 6 min between"
    found = judged(order(at_most("4 min")), *both(10, 15))
    assert (found.outcome, found.reason, found.margin.value) == (Outcome.NOT_MET, "too late after", "-1")


def test_at_most_alone_counts_from_either_end():
    # after at most 20 min: 3 min from the wrong order, 17 from the limit
    found = judged(order(at_most("20 min")), *both(10, 13))
    assert (found.outcome, found.margin.value) == (Outcome.MET, "3")
    found = judged(order(at_most("20 min")), *both(10, 28))
    assert (found.outcome, found.margin.value) == (Outcome.MET, "2")


def test_a_margin_in_hours():
    found = judged(order(at_most("1 h"), unit="h"), *both(0, 45))
    assert found.margin == Margin("0.25", "h", minutes(45), "", "0.75", TEXT + ", at most 1 h between")


def test_known_only_within_bounds():
    # vent 10 +- 2, pressure 15 +- 1: 2 to 8 min between
    found = judged(order(), *both(10, 15, 2, 1))
    assert (found.outcome, found.reason) == (Outcome.MET, "in this order")
    assert found.phase == Bounds(minutes(8), minutes(12), minutes(14), minutes(16), "vent", "pressure")
    assert found.margin == Margin("2", "min", minutes(14), "", "2 to 8", TEXT, "2", "8")
    found = judged(order(within("2 min", "8 min")), *both(10, 15, 2, 1))
    assert (found.outcome, found.reason) == (Outcome.MET, "in this order and in time")
    # 2 and 8 min are at a limit, the 5 in the middle is 3 from either
    assert (found.margin.value, found.margin.low, found.margin.high) == ("0", "0", "3")
    found = judged(order(within("2 min", "20 min")), *both(10, 15, 2, 1))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("0", "0", "6")
    found = judged(order(within("0 min", "9 min")), *both(10, 15, 2, 1))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("1", "1", "4.5")
    found = judged(order(within("1 min", "3 min")), *both(10, 15, 2, 1))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("-5", "-5", "1")
    found = judged(order(within("0 min", "3 min")), *both(10, 15, 2, 1))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("-5", "-5", "1")
    found = judged(order(at_most("3 min")), *both(10, 15, 2, 1))
    assert (found.margin.value, found.margin.low, found.margin.high) == ("-5", "-5", "1")
    for limits in (None, at_least("3 min"), at_most("7 min")):
        entries = both(10, 12, 2, 1) if limits is None else both(10, 15, 2, 1)  # without limits: -1 to 5 min
        found = judged(order(limits), *entries)
        assert (found.outcome, found.reason, found.settled) == (
            Outcome.NOT_SHOWN,
            "the instants are known only within bounds",
            True,
        )
        assert found.margin.of_known
    assert judged(order(at_least("2 min")), *both(10, 15, 2, 1)).outcome is Outcome.MET
    assert judged(order(at_most("8 min")), *both(10, 15, 2, 1)).outcome is Outcome.MET
    assert judged(order(at_least("8 min")), *both(10, 15, 2, 1)).outcome is Outcome.NOT_SHOWN
    assert judged(order(at_most("2 min")), *both(10, 15, 2, 1)).outcome is Outcome.NOT_SHOWN
    assert judged(order(at_least("8.1 min")), *both(10, 15, 2, 1)).outcome is Outcome.NOT_MET
    assert judged(order(at_most("1.9 min")), *both(10, 15, 2, 1)).outcome is Outcome.NOT_MET
    assert judged(order(), *both(15, 12, 2, 1)).outcome is Outcome.NOT_SHOWN  # -6 to 0: the same instant at best
    assert judged(order(), *both(15, 11, 2, 1)).outcome is Outcome.NOT_MET  # -7 to -1


def heated(**more):
    return event("heated", Compare(COLDEST, at_least("100 degC")), **more)


def test_never_happened():
    for first, then in (("heated", "record ends"), ("record starts", "heated")):
        form = order(first=first, then=then)
        found = judged(form, events=(heated(),))
        assert (found.outcome, found.reason, found.margin) == (Outcome.NOT_MET, "'heated' never happened", None)
        assert found.limit == f"'{first}' at or before '{then}'"
        assert found.settled
    assert judged(order(first="heated", then="record ends"), events=(heated(),)).phase == Bounds(
        None, None, minutes(60), minutes(60), "heated", "record ends"
    )
    assert judged(order(first="record starts", then="heated"), events=(heated(),)).phase == Bounds(
        0, 0, None, None, "record starts", "heated"
    )


def test_notes_also_where_one_never_happened():
    found = judged(order(first="vent", then="heated"), entry("vent", 5), events=(VENT, heated()))
    assert (found.outcome, found.notes) == (Outcome.NOT_MET, (VENT_NOTE,))


def test_the_same_note_once():
    found = judged(order(first="vent", then="vent"), entry("vent", 5))
    assert (found.outcome, found.notes) == (Outcome.MET, (VENT_NOTE,))


def test_not_known_to_have_happened():
    found = judged(order(), entry("vent", 10))
    # nothing shows the pressure: at any time, or never
    assert (found.outcome, found.reason, found.margin, found.settled) == (
        Outcome.NOT_SHOWN,
        "the instants are known only within bounds",
        None,
        True,
    )
    assert found.phase == Bounds(minutes(10), minutes(10), 0, None, "vent", "pressure")
    found = judged(order(), entry("pressure", 10))
    assert (found.outcome, found.margin) == (Outcome.NOT_SHOWN, None)


def test_order_in_a_growing_run():
    later = heated()
    cold = channel("TC1", [(0, 20), (1, 20)])
    found = judged(order(first="record starts", then="heated"), log=cold, events=(later,), closed=False)
    assert (found.outcome, found.reason, found.settled) == (
        Outcome.OPEN,
        "the instants are known only within bounds",
        False,
    )
    assert found.phase == Bounds(0, 0, minutes(1), None, "record starts", "heated")
    found = judged(order(first="heated", then="record ends"), log=cold, events=(later,), closed=False)
    assert found.outcome is Outcome.OPEN
    found = judged(order(first="heated", then="vent"), entry("vent", 0), log=cold, events=(later, VENT), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_MET, True)  # whenever it comes, it comes after


def test_settled_in_a_growing_run_where_both_lie_in_the_record():
    found = judged(order(), *both(10, 12, 2, 1), closed=False)
    assert (found.outcome, found.settled) == (Outcome.NOT_SHOWN, True)


def test_unknown_states_leave_an_event_within_bounds():
    valve = channel("VALVE1", [(0, "shut"), (4, "open"), (9, "open")], kind="state", states=("shut", "open"))
    opens = event(
        "opens", StateIs(type(COLDEST.group)("channel", "source valve"), ("open",)), by="state", for_each="bag"
    )
    found = verdict(specification(order(first="record starts", then="opens"), events=(opens,)), run_of(LOG, valve))
    # the largest gap is 2 min: the state at 0 is not known to last, so it may have opened right after 0
    assert found.outcome is Outcome.MET
    assert found.margin == Margin("0", "min", 0, "", "0 to 4", "'record starts' at or before 'opens'", "0", "4")


def test_time_is_rounded_where_the_paper_rounds():
    # rounded to tens of minutes, at most 4 is at most 5 before rounding
    spec = specification(
        order(at_most("4 min")), events=(VENT, PRESSURE), comparison=Comparison("rounding", (quantity("10 min"),))
    )
    assert verdict(spec, run_of(LOG, entries=both(10, "14.5"))).outcome is Outcome.MET


def test_nothing_is_added_to_a_time():
    found = judged(order(at_most("5 ms"), unit="ms"), *both(10, 10))
    assert (found.margin.value, found.margin.actual) == ("0", "0")
