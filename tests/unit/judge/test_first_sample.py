"""An event found at its exact crossing, and beside it the reading at the first sample that shows it."""

from __future__ import annotations

from curewright.terms.requirement import AtEvent, Compare, Group, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome, Reading
from tests.unit.judge.build import COLDEST, at_least, at_most, channel, event, run_of, specification, verdict

PRESSURE = Signal(Group("vessel pressure"), "single")


def found(limit):
    """100 degC is crossed at 0.5 min, 50 psi; the first sample at or above it is at 1 min, 100 psi."""
    reach = event("hot", Compare(COLDEST, at_least("100 degC")))
    form = AtEvent("at event", "part", unit_named("psi gauge"), None, None, "hot", PRESSURE, at_most(limit))
    run = run_of(channel("TC1", [(0, 90), (1, 110)]), channel("P1", [(0, 0), (1, 100)], "psi gauge"))
    return verdict(specification(form, events=(reach,)), run)


def test_the_reading_at_the_first_sample_flips():
    verdict_ = found("60 psi gauge")
    assert (verdict_.outcome, verdict_.margin.actual) == (Outcome.MET, "50")
    assert verdict_.others == (
        Reading(
            "first sample that shows the event instead of the exact crossing", "100 psi gauge", Outcome.NOT_MET, True
        ),
    )


def test_the_reading_at_the_first_sample_does_not_flip():
    assert [(other.actual, other.flips) for other in found("100 psi gauge").others] == [("100 psi gauge", False)]


def test_an_event_at_a_sample_has_no_other_reading():
    reach = event("hot", Compare(COLDEST, at_least("110 degC")))
    form = AtEvent("at event", "part", unit_named("psi gauge"), None, None, "hot", PRESSURE, at_most("100 psi gauge"))
    run = run_of(channel("TC1", [(0, 90), (1, 110)]), channel("P1", [(0, 0), (1, 100)], "psi gauge"))
    assert verdict(specification(form, events=(reach,)), run).others == ()
