"""The blocks of the record, and words as paper writes them."""

import pytest

from curewright.record.cure_record.blocks import degrees, lines, outcome, pairs, table, unit_signs
from curewright.record.words import MARKS


@pytest.mark.parametrize(
    "written, on_paper",
    [
        ("at most 365 degF", "at most 365 °F"),
        ("3.123456 degC/min", "3.123 °C/min"),
        ("loses at most 5 inHg difference in 5 min", "loses at most 5 inHg in 5 min"),
        ("recorder_degF.csv", "recorder_degF.csv"),
    ],
)
def test_units_as_paper_writes_them(written: str, on_paper: str) -> None:
    assert unit_signs(written) == on_paper


def test_only_the_degree_is_changed_in_a_sentence_of_the_plan() -> None:
    assert degrees('Form "count 2": a difference of 5 degF') == 'Form "count 2": a difference of 5 °F'


def test_every_outcome_is_told_by_mark_and_word() -> None:
    assert {outcome(word)["words"] for word in MARKS} >= {"✗ NOT MET", "? NOT SHOWN", "✓ met", "– not applicable"}


def test_nothing_is_said_to_be_nothing() -> None:
    assert table(("a",), (1,), [])["words"] == "None."
    assert lines([], "No ruling.")["words"] == "No ruling."
    assert pairs([("a", ""), ("b", "c")])["rows"] == [["b", "c"]]


def test_a_row_has_a_cell_for_each_head() -> None:
    with pytest.raises(AssertionError):
        table(("a", "b"), (1, 1), [["only one"]])
