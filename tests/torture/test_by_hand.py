"""Exports of the torture set through layouts written by hand: what comes out is what the generator put in."""

import pytest

from curewright.read.layout_file import read_layout
from tests.torture.case import refused
from tests.torture.expected import differs
from tests.torture.exports import CASES
from tests.torture.reading import by_hand, hand_layouts, read

HAND = hand_layouts()


@pytest.mark.parametrize("name", HAND)
def test_what_comes_out_is_what_was_recorded(name):
    case = CASES[name]()
    assert name not in refused()
    file, content = case.files[0]
    assert differs(case, read(content, file, read_layout(by_hand(case, HAND[name]).encode(), "layout.yaml"))) == []


def test_the_set_is_large_enough_and_its_lists_agree():
    to_be_refused = refused()
    assert len(CASES) >= 60
    assert len(CASES) - len(to_be_refused) >= 50
    assert to_be_refused.keys() <= CASES.keys()
    assert HAND.keys() <= CASES.keys() - to_be_refused.keys()
    contents = [
        CASES[name]().files for name in CASES if not name.startswith(("month-first", "day-or-month", "decimal-sign"))
    ]
    assert len(set(contents)) == len(contents)  # these five differ in their answers only
