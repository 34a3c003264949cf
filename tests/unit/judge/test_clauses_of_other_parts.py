"""A sentence for other parts asks nobody of this one; what people wrote down before the record starts still counts."""

from __future__ import annotations

import pytest

from curewright.terms.requirement import AttributeCondition, Band, Clause, Order, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    HOTTEST,
    above,
    at_most,
    channel,
    entry,
    event,
    quantity,
    run_of,
    specification,
    verdicts,
)

THICK = (AttributeCondition("thickness", above("15 mm")),)
RUN = run_of(channel("TC1", [(0, 20), (1, 21)]))


@pytest.mark.parametrize("more", [{"by_person": "inspector"}, {"not_covered": "no data"}])
@pytest.mark.parametrize(
    "thickness, outcome", [("20 mm", None), ("10 mm", Outcome.NOT_APPLICABLE)], ids=["for this part", "for others"]
)
def test_a_sentence_for_other_parts_is_not_applicable(more, thickness, outcome):
    clause = Clause("1", "thick parts only", (), for_parts=THICK, **more)
    (found,) = verdicts(specification(clauses=(clause,)), RUN, thickness=quantity(thickness))
    own = Outcome.BY_PERSON if "by_person" in more else Outcome.NOT_COVERED
    assert found.outcome is (outcome or own)


def test_exact_forms_for_other_parts_stand_alone():
    band = Band(
        "band",
        "part",
        unit_named("degC"),
        None,
        None,
        HOTTEST,
        Phase("record starts", "record ends"),
        at_most("30 degC"),
    )
    clause = Clause("1", "thick parts only", (band,), "inspector", "the rest", THICK)
    found = verdicts(specification(clauses=(clause,)), RUN, thickness=quantity("10 mm"))
    assert [(verdict.form, verdict.outcome) for verdict in found] == [("band", Outcome.NOT_APPLICABLE)]


def test_an_entry_before_the_record_starts_counts():
    """Out of the freezer an hour before the first sample: 60 min at most 90 min before the record starts."""
    form = Order(
        "order", "part", unit_named("min"), None, None, "out of the freezer", "record starts", at_most("90 min")
    )
    out = event("out of the freezer", None, by="entry")
    run = run_of(channel("TC1", [(0, 20), (1, 21)]), entries=(entry("out of the freezer", -60, thing="S1"),))
    (found,) = verdicts(specification(form, events=(out,)), run)
    assert (found.outcome, found.margin.actual, found.margin.value) == (Outcome.MET, "60", "30")


def test_an_entry_before_its_reference_does_not_count():
    form = Order("order", "part", unit_named("min"), None, None, "hot", "opened", None)
    events = (event("hot", None, by="entry"), event("opened", None, by="entry", after="hot"))
    entries = (entry("hot", 0.5, thing="S1"), entry("opened", 0.2, thing="S1"))
    (found,) = verdicts(specification(form, events=events), run_of(channel("TC1", [(0, 20), (1, 21)]), entries=entries))
    assert found.outcome is Outcome.NOT_SHOWN
