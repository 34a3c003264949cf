"""Excursions inside a clock's allowance, by hand: 180 degC in band, 170 degC out, exact crossings at whole minutes."""

from __future__ import annotations

import pytest

from curewright.terms.requirement import Allowance, Alternative, Clock, Compare, Duration, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import COLDEST, at_least, channel, minutes, quantity, run_of, specification, verdict

WHOLE = Phase("record starts", "record ends")
OUT = {10: 11.0, 20: 22.0, 30: 33.0}  # out of band from, to [min]


def log(out, until=60, bad=()):
    """Samples every half minute, and the corners of each excursion: level at the crossing, 0.5 K below in between."""
    rows = {t / 2: 180.0 for t in range(2 * until + 1)}
    for start, end in out.items():
        rows |= {t: 179.5 for t in rows if start < t < end} | {start: 180.0, end: 180.0}
    return channel("TC1", sorted((t, v) for t, v in rows.items() if t <= until), bad=bad)


def held_for(allowance, run, leaves="pauses"):
    clock = Clock("coldest", Compare(COLDEST, at_least("180 degC")), leaves, allowance)
    alternative = Alternative(WHOLE, clock, at_least("55 min"))
    form = Duration("duration", "part", unit_named("min"), None, None, (alternative,))
    return verdict(specification(form), run_of(run)).margin.actual


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
