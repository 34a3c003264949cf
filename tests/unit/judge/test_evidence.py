"""The samples quoted beside a verdict, with file and line: by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.judge.envelope import Atom
from curewright.judge.evidence import quoted_around
from curewright.judge.scene import Member
from curewright.judge.steps import NEVER
from curewright.judge.trace import Trace
from curewright.terms.load import ALWAYS
from curewright.terms.verdict import Sample
from tests.unit.judge.build import MIN, channel, minutes

NO_TRACE = Trace("", np.empty(0, np.int64), np.empty(0), np.empty(0, np.uint8))  # what is quoted stands in the channels


def atom(label, *pieces):
    whole = tuple(piece if isinstance(piece, tuple) else (piece, -ALWAYS, ALWAYS) for piece in pieces)
    return Atom(label, NO_TRACE, (Member(label, "judging", "", whole, ()),))


TC1 = channel("TC1", [(t, 20 + t) for t in range(8)], bad=(5,))
TC2 = channel("TC2", [(t, 40.5) for t in range(8)])


def samples_around(atoms, label, instant):
    return tuple(sample for quoted in quoted_around(atoms, label, instant) for sample in quoted.samples())


def rows(found):
    return [(sample.channel, sample.t // MIN, sample.value) for sample in found]


@pytest.mark.parametrize(
    "at, expected",
    [
        (3, [(1, "21"), (2, "22"), (3, "23"), (4, "24"), (5, "bad")]),
        (2.5, [(1, "21"), (2, "22"), (3, "23"), (4, "24")]),
        (0, [(0, "20"), (1, "21"), (2, "22")]),
        (-1, [(0, "20"), (1, "21")]),
        (7, [(5, "bad"), (6, "26"), (7, "27")]),
        (9, [(6, "26"), (7, "27")]),
    ],
)
def test_two_samples_on_each_side(at, expected):
    assert rows(samples_around((atom("TC1", TC1),), "TC1", minutes(at))) == [("TC1", *row) for row in expected]


def test_a_sample_says_where_it_stands():
    (first, *_) = samples_around((atom("W1", TC1),), "W1", minutes(-1))
    assert first == Sample("W1", 0, "20", "degC", "log.csv", 2)


def test_no_instant_no_samples():
    atoms = (atom("TC1", TC1),)
    assert samples_around(atoms, "TC1", None) == ()
    assert samples_around(atoms, "TC1", NEVER) == ()
    assert samples_around(atoms, "TC1", -NEVER) == ()
    assert samples_around(atoms, "TC9", MIN) == ()
    assert len(samples_around(atoms, "TC1", NEVER - 1)) == 2


def test_both_sides_of_a_difference_and_all_of_a_mean():
    atoms = (atom("TC1", TC1), atom("TC2", TC2), atom("TC3", TC2))
    assert [row[0] for row in rows(samples_around(atoms, "TC1 - TC2", minutes(9)))] == ["TC1"] * 2 + ["TC2"] * 2
    mean = (Atom("mean", NO_TRACE, (*atoms[0].members, *atoms[1].members)), atoms[2])
    assert samples_around(mean, "mean", minutes(9)) == ()
    whole = (Atom("mean - TC3", NO_TRACE, (*atoms[0].members, *atoms[2].members)), atoms[1])
    assert [row[0] for row in rows(samples_around(whole, "mean - TC3", minutes(9)))] == ["TC1"] * 2 + ["TC3"] * 2


def test_a_name_may_have_spaces():
    atoms = (atom("part TC 1", TC1), atom("part TC 2", TC2), atom("TC", TC2))
    assert {row[0] for row in rows(samples_around(atoms, "part TC 1 - part TC 2", minutes(9)))} == {
        "part TC 1",
        "part TC 2",
    }
    assert {row[0] for row in rows(samples_around(atoms, "part TC 1", minutes(9)))} == {"part TC 1"}


def test_the_channel_that_carried_the_sensor_then():
    later = channel("X9", [(t, 90) for t in range(8)])
    one = atom("TC1", (TC1, -ALWAYS, minutes(4)), (later, minutes(4), minutes(6)))
    assert [value for _, _, value in rows(samples_around((one,), "TC1", minutes(3.5)))] == ["22", "23", "24", "bad"]
    assert [value for _, _, value in rows(samples_around((one,), "TC1", minutes(4)))] == ["90"] * 5
    assert [value for _, _, value in rows(samples_around((one,), "TC1", minutes(6)))] == ["24", "bad", "26", "27"]


def test_states_and_vacuum_as_they_were_written():
    valve = channel("VALVE1", [(0, "pump"), (1, "vented")], kind="state", states=("pump", "vented"))
    assert [value for *_, value in rows(samples_around((atom("V", valve),), "V", 0))] == ["pump", "vented"]
    vacuum = channel("BAG1", [(0, 26), (1, 25.5)], "inHg of vacuum")
    assert [value for *_, value in rows(samples_around((atom("B", vacuum),), "B", 0))] == ["26", "25.5"]
    gauge = channel("P1", [(0, 85), (1, -3)], "psi gauge")
    assert [value for *_, value in rows(samples_around((atom("P", gauge),), "P", 0))] == ["85", "-3"]


def test_a_sample_of_a_restarted_recorder_stands_in_its_own_file():
    both = replace(TC1, joined=((minutes(3), "log2.csv"), (minutes(6), "log3.csv")))
    quoted = samples_around((atom("TC1", both),), "TC1", minutes(4))
    assert [(sample.t // MIN, sample.file) for sample in quoted] == [
        (2, "log.csv"), (3, "log2.csv"), (4, "log2.csv"), (5, "log2.csv"), (6, "log3.csv"),
    ]  # fmt: skip
