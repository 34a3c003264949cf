"""Of what is not shown, the samples on both sides of what was not known are quoted."""

from __future__ import annotations

from curewright.terms.requirement import Band, Phase
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import EACH, at_most, channel, run_of, specification, verdict

WHOLE = Phase("record starts", "record ends")
HOT_EARLY = [(0, 100), (1, 179), (2, 100), (3, 90), (4, 91), (5, 92), (6, 93), (7, 94), (8, 95), (9, 96), (10, 97)]


def judged(bad, points=HOT_EARLY, gap=1):
    form = Band("band", "part thermocouple", unit_named("degC"), None, None, EACH, WHOLE, at_most("180 degC"))
    return verdict(specification(form, gap=gap), run_of(channel("TC1", points, bad=bad)))


def quoted(found):
    return [(one.t // (60 * 10**9), one.value, one.row) for one in found.samples]


def test_both_sides_of_a_dropout_beside_the_extreme():
    found = judged((6, 7))
    assert (found.outcome, found.margin.actual) == (Outcome.NOT_SHOWN, "179")
    assert quoted(found) == [
        (0, "100", 2), (1, "179", 3), (2, "100", 4), (3, "90", 5),  # around the hottest that is known
        (5, "92", 7), (8, "95", 10),  # before and after what is not
    ]  # fmt: skip


def test_of_a_gap_the_rows_on_both_sides():
    found = judged((), [point for point in HOT_EARLY if point[0] not in (6, 7)])
    assert quoted(found)[-2:] == [(5, "92", 7), (8, "95", 8)]


def test_what_is_lost_to_the_end_has_none_after_it():
    found = judged((8, 9, 10))
    assert quoted(found)[-1] == (7, "94", 9)


def test_each_sample_once():
    found = judged((3,))
    assert quoted(found) == [(0, "100", 2), (1, "179", 3), (2, "100", 4), (3, "bad", 5), (4, "91", 6)]


def test_nothing_besides_where_it_is_met():
    found = judged(())
    assert found.outcome is Outcome.MET
    assert len(found.samples) == 4
