"""Excursions inside a clock's allowance, by hand: 180 degC in band, 170 degC out, exact crossings at whole minutes."""

from __future__ import annotations

import pytest

from curewright.terms.requirement import Allowance, Alternative, Clock, Compare, Duration, Group, Phase, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    above,
    at_least,
    channel,
    entry,
    event,
    minutes,
    quantity,
    run_of,
    specification,
    verdict,
)

WHOLE = Phase("record starts", "record ends")
OUT = {10: 11.0, 20: 22.0, 30: 33.0}  # out of band from, to [min]


def log(out, until=60, bad=()):
    """Samples every half minute, and the corners of each excursion: level at the crossing, 0.5 K below in between."""
    rows = {t / 2: 180.0 for t in range(2 * until + 1)}
    for start, end in out.items():
        rows |= {t: 179.5 for t in rows if start < t < end} | {start: 180.0, end: 180.0}
    return channel("TC1", sorted((t, v) for t, v in rows.items() if t <= until), bad=bad)


def held_for(allowance, run, leaves="pauses", *, level=None, phase=WHOLE, events=(), **how):
    """The time by a clock that runs at 180 degC and above, or at another level."""
    clock = Clock("coldest", level or Compare(COLDEST, at_least("180 degC")), leaves, allowance)
    alternative = Alternative(phase, clock, at_least("55 min"))
    form = Duration("duration", "part", unit_named("min"), None, None, (alternative,))
    return verdict(specification(form, events=events), run_of(run, **how)).margin.actual


@pytest.mark.parametrize(
    "at_a_time, in_all, leaves, minutes_counted",
    [
        (0, None, "pauses", 54),
        (1, None, "pauses", 55),
        (2, None, "pauses", 57),
        (3, None, "pauses", 60),
        (None, 3, "pauses", 57),  # the third excursion brings the sum to 6
        (None, 6, "pauses", 60),
        (2, None, "restarts", 30),  # from the start to the excursion of 3 min at 30
        (1, None, "restarts", 27),  # from 33 to 60
    ],
)
def test_excursions_inside_the_allowance_do_not_stop_the_clock(at_a_time, in_all, leaves, minutes_counted):
    allowance = Allowance(
        None, None if at_a_time is None else minutes(at_a_time), None if in_all is None else minutes(in_all)
    )
    assert held_for(allowance, log(OUT), leaves) == str(minutes_counted)


def test_depth():
    assert held_for(Allowance(quantity("0.5 degC difference"), None, None), log(OUT)) == "60"
    assert held_for(Allowance(quantity("0.4 degC difference"), None, None), log(OUT)) == "54"


def test_an_excursion_that_may_be_longer_than_it_shows_is_not_sure_to_be_forgiven():
    # out of band 10 to 11 and, for all that is known, on to 12: a bad sample at 11.5
    counted = held_for(Allowance(None, minutes(1), None), log({10: 11.0}, bad=(11.0, 11.5)))
    assert counted == "58 to 60"


def test_an_excursion_at_the_edge_of_the_phase_is_clipped_to_it():
    cut = {59: 63.0}
    assert held_for(Allowance(None, minutes(1), None), log(cut)) == "60"
    assert held_for(Allowance(None, minutes("0.9"), None), log(cut)) == "59"


def test_outcome():
    clock = Clock("coldest", Compare(COLDEST, at_least("180 degC")), "pauses", Allowance(None, minutes(1), None))
    form = Duration("duration", "part", unit_named("min"), None, None, (Alternative(WHOLE, clock, at_least("59 min")),))
    assert verdict(specification(form), run_of(log({10: 11.0}, bad=(11.0, 11.5)))).outcome is Outcome.NOT_SHOWN
    assert verdict(specification(form), run_of(log({10: 11.0}))).outcome is Outcome.MET


@pytest.mark.parametrize("allowance", [Allowance(None, minutes("0.5"), None), Allowance(None, None, minutes("0.5"))])
def test_what_is_surely_outside_fits_the_allowance_to_the_nanosecond_but_may_be_longer(allowance):
    # half a minute surely outside from 10 on, unknown from 10.5 to 12 (bad samples): forgiven at best, not surely
    assert held_for(allowance, log({10: 11.0}, bad=(11.0, 11.5))) == "58 to 60"


def test_how_deep_it_was_while_it_was_unknown_nobody_knows():
    # outside and unknown together are 2 min, which is allowed; 0.5 K deep where it shows, and unknown how deep from 11 to 12
    allowance = Allowance(quantity("0.5 degC difference"), minutes(2), None)
    assert held_for(allowance, log({10: 11.0}, bad=(11.0, 11.5))) == "58 to 60"


def test_an_excursion_that_still_goes_on_when_the_record_breaks_off_may_become_longer():
    one, end = Allowance(None, minutes(1), None), {59: 63.0}
    assert held_for(one, log(end)) == "60"  # the record is closed: 1 min, and no more
    assert held_for(one, log(end), closed=False) == "59 to ?"
    assert held_for(one, log({10: 11.0}), closed=False) == "60 to ?"  # this one is over


def test_the_depth_is_taken_in_the_reference_of_the_limit():
    # at least 5 bar gauge, recorded as absolute pressure, ambient 1 bar: 5.9 bar absolute is 0.1 bar below from 10 to 11 min
    level = Compare(Signal(Group("vessel pressure"), "single"), at_least("5 bar gauge"))
    rows = {t / 2: 6.0 for t in range(121)} | {10: 6.0, 10.001: 5.9, 10.5: 5.9, 10.999: 5.9, 11: 6.0}
    pressure = channel("P1", sorted(rows.items()), "bar absolute")
    how = {"level": level, "barometer": 1.0e8}  # mPa
    assert held_for(Allowance(quantity("0.1 bar difference"), None, None), pressure, **how) == "60"
    assert held_for(Allowance(quantity("0.09 bar difference"), None, None), pressure, **how) == "59"


def test_a_depth_printed_equal_to_the_allowance_is_inside_it():
    """364 and 366 degF are 455.372... and 456.483... K; each is snapped to a grain, and so is 2 degF: they may lie a grain apart."""
    level = Compare(COLDEST, at_least("366 degF"))
    rows = {t / 2: 366.0 for t in range(121)} | {10: 366.0, 10.001: 364.0, 10.5: 364.0, 10.999: 364.0, 11: 366.0}
    dips = channel("TC1", sorted(rows.items()), "degF")
    assert held_for(Allowance(quantity("2 degF difference"), None, None), dips, level=level) == "60"
    assert held_for(Allowance(quantity("1.9999 degF difference"), None, None), dips, level=level) == "59"


def test_a_touch_of_the_level_is_an_excursion_of_no_length_and_forgives_nothing_after_it():
    # above 180 is asked; 180 exactly at 10 min only, then outside from 30 to 33
    rows = {t / 2: 181.0 for t in range(121)} | {10: 180.0} | {t / 2: 180.0 for t in range(60, 67)}
    rows |= {29.999999: 181.0, 33.000001: 181.0}
    touched = channel("TC1", sorted(rows.items()))
    level, one = Compare(COLDEST, above("180 degC")), Allowance(None, minutes(1), None)
    assert held_for(one, touched, level=level) == "57"
    assert held_for(one, touched, "restarts", level=level) == "30"  # the touch at 10 min does not stop the clock
    assert (
        held_for(None, touched, "restarts", level=level) == "27"
    )  # from 33 to 60; without an allowance it stops at 10


def by_entry(name, at, plus_minus):
    return event(name, None, by="entry"), entry(name, at, thing="S1", plus_minus=plus_minus)


def between(start, end, allowance, run):
    """The time by the clock from one hand entry to another, each (minute, known to plus or minus so many)."""
    (first, first_entry), (last, last_entry) = by_entry("a", *start), by_entry("b", *end)
    return held_for(allowance, run, phase=Phase("a", "b"), events=(first, last), entries=(first_entry, last_entry))


def test_an_excursion_where_the_phase_may_not_have_begun_yet_or_be_over():
    """The phase begins at 5 min, known to 3 min, and ends at 50 min, known to 3 min: surely from 8 to 47."""
    one, out_before, out_after = Allowance(None, minutes(1), None), log({3: 6.0}), log({48: 51.0})
    # surely 39 min; at most from 2 to 53, of which 3 min are outside, but may lie before the phase: not counted as broken for sure
    assert between((5, 3), (50, 3), one, out_before) == "39 to 51"
    assert between((5, 3), (50, 3), one, out_after) == "39 to 51"
    assert between((5, 3), (50, 3), None, out_before) == "39 to 48"
    # 8 to 11 is outside for 3 min even where the phase begins at its latest: too long
    assert between((5, 3), (50, 3), one, log({8: 11.0})) == "36 to 48"


def test_an_excursion_that_begins_as_the_phase_surely_ends_is_not_surely_in_it():
    deep = Allowance(quantity("0.4 degC difference"), None, None)  # the excursion is 0.5 K deep
    assert between((5, 0), (50, 3), deep, log({47: 49.0})) == "42 to 48"


def test_what_surely_lies_outside_the_phase_gives_no_time_back_to_the_allowance():
    """3 min in all: 4 min outside in the phase are too many, whatever comes after its sure end (48 - 4 - 3)."""
    allowance = Allowance(None, None, minutes(3))
    assert between((5, 0), (50, 3), allowance, log({20: 24.0, 49: 52.0})) == "38 to 41"
    # the one before the sure start spends nothing and gives nothing back: the one in the phase is still too much (48 - 4)
    assert between((5, 3), (50, 0), allowance, log({2: 3.0, 20: 24.0})) == "38 to 44"
