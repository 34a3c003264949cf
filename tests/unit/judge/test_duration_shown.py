"""The time that is shown beside a margin is the one that the margin is of. Worked by hand."""

import pytest

from curewright.terms.requirement import Alternative, Clock, Compare, Duration, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    at_least,
    channel,
    event,
    run_of,
    specification,
    verdict,
    within,
)

MINUTE = unit_named("min")
HOT = Compare(COLDEST, at_least("174 degC"))
# In band from 10 to 70 and from 90 to the end of the record at 230: 60 and 140 min inside, 220 min from the first to the last.
LOG = [(0, 100), (10, 174), (20, 178), (60, 178), (70, 174), (71, 150), (89, 150), (90, 174), (100, 178), (230, 178)]


def judged(leaves: str, low: str, high: str, *, covers: bool = True):
    clock = Clock("coldest", HOT, leaves)
    form = Duration(
        "duration",
        "part",
        MINUTE,
        None,
        None,
        (Alternative(Phase("soak starts", "record ends"), clock, within(low, high)),),
    )
    spec = specification(form, events=(event("soak starts", HOT),), gap=200)
    return verdict(spec, run_of(channel("TC1", LOG), covers=covers))


@pytest.mark.parametrize(
    "leaves, low, high, outcome, reason, actual, margin",
    [
        ("restarts", "130 min", "300 min", Outcome.MET, "within its limits", "140", "10"),  # the clock is nearer
        ("restarts", "100 min", "230 min", Outcome.MET, "within its limits", "220", "10"),  # elapsed time is nearer
        ("restarts", "150 min", "300 min", Outcome.NOT_MET, "too short", "140", "-10"),
        ("restarts", "100 min", "120 min", Outcome.NOT_MET, "too long", "220", "-100"),
        ("restarts", "150 min", "160 min", Outcome.NOT_MET, "too short and too long", "220", "-60"),
        ("pauses", "195 min", "300 min", Outcome.MET, "within its limits", "200", "5"),
    ],
)
def test_time_and_margin_belong_together(leaves, low, high, outcome, reason, actual, margin):
    found = judged(leaves, low, high)
    assert (found.outcome, found.reason) == (outcome, reason)
    assert found.margin is not None
    assert (float(found.margin.actual), float(found.margin.value)) == (float(actual), float(margin))
    inside = {"restarts": "140", "pauses": "200"}[leaves]
    assert [note for note in found.notes if "by the clock" in note] == [f"{inside} min by the clock, 220 min elapsed"]


def test_a_phase_that_never_ends_shows_elapsed_time_beside_its_margin():
    found = judged("restarts", "100 min", "120 min", covers=False)
    assert found.outcome is Outcome.NOT_MET
    assert found.margin is not None
    assert found.margin.actual == "220 to ?"
    assert float(found.margin.value) == -100
    assert not found.margin.of_known
    assert "140 to ? min by the clock, 220 to ? min elapsed" in found.notes


def test_one_time_needs_no_note():
    found = judged("runs on", "100 min", "300 min")
    assert not any("by the clock" in note for note in found.notes)
