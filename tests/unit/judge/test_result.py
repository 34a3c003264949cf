"""Three-valued logic over a phase, margins, what is unknown, and instants as text, by hand (semantics § 5.1, 7)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.judge.envelope import LEAST, ONE, Atom, Envelope, Extreme
from curewright.judge.events import Stretch
from curewright.judge.judge import hall_of, scene_for
from curewright.judge.limits import Held, Pair
from curewright.judge.result import (
    WORST,
    Ruled,
    guarded,
    instant_text,
    margin_of,
    nearest,
    over_stretch,
    readings,
    unknown_in,
    with_held_crossings,
)
from curewright.judge.steps import FALSE, NEVER, TRUE, UNKNOWN, Steps, When
from curewright.judge.trace import GAP, JOINED, LOST, Trace
from curewright.terms.load import Vessel
from curewright.terms.units import unit_named
from curewright.terms.verdict import Margin, Outcome, Reading, Unknown
from tests.unit.judge.build import channel, load_of, quantity, run_of, specification

DEGC = unit_named("degC")


# --------------------------------------------------------------------------------------------------------------- over a phase
def stretch(start, end, *, record_end=100, covers=True):
    """A phase from (earliest, latest) to (earliest, latest)."""
    return Stretch(When(*start), When(*end), record_end, covers)


def steps(*changes, before=TRUE):
    """True, but from each instant on the code given with it."""
    return Steps(tuple(t for t, _ in changes), tuple(c for _, c in changes), tuple(c for _, c in changes), before)


BREACH, DOUBT = steps((20, FALSE), (30, TRUE)), steps((20, UNKNOWN), (30, TRUE))


@pytest.mark.parametrize(
    "ok, phase, outcome, reason, beyond",
    [
        (steps(), stretch((0, 0), (90, 90)), Outcome.MET, "within the limits throughout the phase", False),
        (BREACH, stretch((0, 0), (90, 90)), Outcome.NOT_MET, "outside the limits in the phase", False),
        (BREACH, stretch((0, 20), (90, 90)), Outcome.NOT_MET, "outside the limits in the phase", False),
        (BREACH, stretch((0, 29), (90, 90)), Outcome.NOT_MET, "outside the limits in the phase", False),
        (BREACH, stretch((0, 30), (90, 90)), Outcome.NOT_SHOWN,
         "outside the limits where it is not known whether the phase had begun or ended", False),
        (BREACH, stretch((0, 0), (19, 20)), Outcome.NOT_SHOWN,
         "outside the limits where it is not known whether the phase had begun or ended", False),
        (BREACH, stretch((30, 40), (90, 90)), Outcome.MET, "within the limits throughout the phase", False),
        (DOUBT, stretch((0, 0), (90, 90)), Outcome.NOT_SHOWN, "not known throughout the phase", False),
        (DOUBT, stretch((0, 40), (90, 90)), Outcome.NOT_SHOWN, "not known throughout the phase", False),
        (DOUBT, stretch((30, 30), (90, 90)), Outcome.MET, "within the limits throughout the phase", False),
        # never started, surely or perhaps; of a record that covers the run, and of one that does not
        (BREACH, stretch((NEVER, NEVER), (100, 100)), Outcome.NOT_SHOWN, "the phase never started: nothing to judge", False),
        (BREACH, stretch((50, 50), (40, 40)), Outcome.NOT_SHOWN, "the phase never started: nothing to judge", False),
        (BREACH, stretch((50, 50), (40, 40), covers=False), Outcome.NOT_SHOWN, "the phase never started: nothing to judge", False),
        (BREACH, stretch((110, 110), (120, 120), covers=False), Outcome.NOT_SHOWN, "the phase never started: nothing to judge", True),
        (BREACH, stretch((0, NEVER), (100, 100)), Outcome.NOT_SHOWN, "it is not known whether the phase took place", False),
        (steps(), stretch((0, NEVER), (100, NEVER), covers=False), Outcome.NOT_SHOWN, "it is not known whether the phase took place", True),
        # beyond the record
        (steps(), stretch((0, 0), (100, NEVER), covers=False), Outcome.NOT_SHOWN, "the phase reaches beyond the record", True),
        (steps(), stretch((0, 0), (100, NEVER)), Outcome.MET, "within the limits throughout the phase", False),
        (BREACH, stretch((0, 0), (100, NEVER), covers=False), Outcome.NOT_MET, "outside the limits in the phase", False),
        (steps(), stretch((0, 0), (100, 101), covers=False), Outcome.NOT_SHOWN, "the phase reaches beyond the record", True),
        (steps(), stretch((0, 0), (100, 100), covers=False), Outcome.MET, "within the limits throughout the phase", False),
    ],
)  # fmt: skip
def test_over_a_phase(ok, phase, outcome, reason, beyond):
    assert over_stretch(ok, phase) == Ruled(outcome, reason, beyond)


def test_guard_band():
    met, not_met = Ruled(Outcome.MET, "met"), Ruled(Outcome.NOT_MET, "broken")
    not_shown, beyond = Ruled(Outcome.NOT_SHOWN, "unknown", True), Ruled(Outcome.MET, "met", True)
    inside = Ruled(Outcome.NOT_SHOWN, "inside the guard band of the decision rule", False)
    for tight, plain, found in (
        (None, met, met),
        (met, met, met),
        (not_met, met, inside),
        (not_shown, met, inside),
        (not_met, not_met, not_met),
        (met, not_met, not_met),  # cannot be, and would not help
        (not_met, not_shown, not_shown),
        (not_met, beyond, replace(inside, beyond=True)),
    ):
        assert guarded(tight, plain) == found


def test_worst_first():
    order = (Outcome.NOT_MET, Outcome.NOT_SHOWN, Outcome.OPEN, Outcome.MET)
    assert sorted(WORST, key=WORST.__getitem__) == list(order)


# --------------------------------------------------------------------------------------------------------------------- margins
def limits(low=None, high=None, text="limits"):
    ends = [None if end is None else quantity(f"{end} degC") for end in (low, high)]
    return Held(DEGC, *ends, Pair(None, None), None, text)


def value(degrees, at=0, label="TC1"):
    return Extreme(quantity(f"{degrees} degC").grains, at, label)


def test_nearest():
    least, most = value(102), value(109, 5, "TC2")
    assert nearest(limits(100, 110), least, most) == (1e6, most)
    assert nearest(limits(100, 112), least, most) == (2e6, least)
    assert nearest(limits(100), least, most) == (2e6, least)
    assert nearest(limits(None, 110), least, most) == (1e6, most)
    assert nearest(limits(100, 110), least, None) == (2e6, least)
    assert nearest(limits(100, 110), None, most) == (1e6, most)
    assert nearest(limits(100), None, most) is None
    assert nearest(limits(None, 110), least, None) is None
    assert nearest(limits(103, 108), least, most) == (-1e6, least)  # the earlier of two that are as far


def test_nearest_on_ties():
    assert nearest(limits(100, 110), value(101, 5), value(109, 4)) == (1e6, value(109, 4))
    assert nearest(limits(100, 110), value(101, 5, "TC2"), value(109, 5, "TC1")) == (1e6, value(109, 5, "TC1"))
    assert nearest(limits(100, 110), value(101, 5, "TC1"), value(109, 5, "TC2")) == (1e6, value(101, 5, "TC1"))


def test_margin_of():
    found = margin_of(limits(100, 110, "100 to 110 degC"), 1e6, value(109, 7, "TC3"))
    assert found == Margin("1", "degC", 7, "TC3", "109", "100 to 110 degC", None, None, False)
    found = margin_of(limits(100), -2.5e6, value("97.5"), of_known=True, low=-2.5e6, high=0.0)
    assert found == Margin("-2.5", "degC", 0, "TC1", "97.5", "limits", "-2.5", "0", True)
    found = margin_of(limits(100), 0.0, value(100), low=0.0)
    assert (found.low, found.high) == ("0", None)


# ------------------------------------------------------------------------------------------------------------- what is unknown
def trace(name, times, links, **more):
    return Trace(name, np.array(times, np.int64), np.zeros(len(times)), np.array(links, np.uint8), **more)


def test_unknown_in():
    one = Atom("TC1", trace("TC1", (0, 10, 20, 30), (JOINED, LOST, GAP, GAP)), ())
    two = Atom("TC2", trace("TC2", (5, 15, 30), (LOST, JOINED, GAP)), ())
    whole = Atom("TC3", trace("TC3", (0, 30), (JOINED, GAP)), ())
    signal = Envelope(LEAST, (one, two, whole))
    assert unknown_in(signal, 0, 30) == (
        Unknown("TC2", 0, 5, "gap in the record"),
        Unknown("TC2", 5, 15, "bad or lost samples"),
        Unknown("TC1", 10, 20, "bad or lost samples"),
        Unknown("TC1", 20, 30, "gap in the record"),
    )
    assert unknown_in(signal, 12, 18) == (
        Unknown("TC1", 12, 18, "bad or lost samples"),
        Unknown("TC2", 12, 15, "bad or lost samples"),
    )
    assert unknown_in(signal, 0, 30, most=1) == (Unknown("TC2", 0, 5, "gap in the record"),)
    assert unknown_in(signal, 30, 40) == (
        Unknown("TC1", 30, 40, "gap in the record"),
        Unknown("TC2", 30, 40, "gap in the record"),
        Unknown("TC3", 30, 40, "gap in the record"),
    )
    assert unknown_in(Envelope(ONE, (whole,)), 0, 30) == ()
    assert len(unknown_in(Envelope(LEAST, (whole, one)), 0, 30)) == 2


def test_what_is_set_aside_is_not_listed_as_unknown():
    links = (JOINED, LOST, GAP, GAP)
    for aside, left in (
        (((10, 20),), [(20, 30)]),
        (((9, 21),), [(20, 30)]),
        (((11, 30),), [(10, 20), ] ),
        (((10, 19), (20, 30)), [(10, 20)]),
        (((0, 30),), []),
    ):  # fmt: skip
        atom = Atom("TC1", trace("TC1", (0, 10, 20, 30), links), (), aside)
        assert [(one.start, one.end) for one in unknown_in(Envelope(LEAST, (atom,)), 0, 30)] == left


def test_at_most_twenty_are_listed():
    many = Atom("TC1", trace("TC1", range(30), [GAP] * 30), ())
    found = unknown_in(Envelope(ONE, (many,)), 0, 29)
    assert [one.start for one in found] == list(range(20))


# -------------------------------------------------------------------------------------------------------------- other readings
def test_readings():
    found = readings(Outcome.MET, [("so", "1", Outcome.MET), ("otherwise", "2", Outcome.NOT_MET)])
    assert found == (Reading("so", "1", Outcome.MET, False), Reading("otherwise", "2", Outcome.NOT_MET, True))


def test_the_scene_read_sample_by_sample_is_made_once():
    run = run_of(channel("TC1", [(0, 100), (1, 100)]))
    load = load_of(run)
    scene = scene_for(hall_of(Vessel("V1", (), (), ()), load, run), load.parts[0], (specification(),))
    scene.events[("a", "b", "c")] = When(1, 1)
    sampled = with_held_crossings(scene)
    assert with_held_crossings(scene) is sampled
    assert (sampled.options.held, scene.options.held) == (True, False)
    assert replace(sampled.options, held=False) == scene.options
    assert (sampled.events, sampled.kept) == ({}, {})  # what was found exactly is not taken over
    assert (sampled.hall, sampled.part, sampled.specification) == (scene.hall, scene.part, scene.specification)


# -------------------------------------------------------------------------------------------------------------------- instants
@pytest.mark.parametrize(
    "seconds, text",
    [
        (0, "+0:00:00"),
        (59, "+0:00:59"),
        (60, "+0:01:00"),
        (3599, "+0:59:59"),
        (3600, "+1:00:00"),
        (36_061, "+10:01:01"),
        (90.5, "+0:01:30.5"),
        (90.04, "+0:01:30"),
        (90.05, "+0:01:30.1"),
        (59.96, "+0:01:00"),
        (10.9, "+0:00:10.9"),
        (-90, "-0:01:30"),
        (-0.5, "-0:00:00.5"),
    ],
)
def test_instants(seconds, text):
    assert instant_text(round(seconds * 10**9)) == text


def test_never():
    assert instant_text(NEVER) == "never"
    assert instant_text(NEVER + 1) == "never"
    assert instant_text(NEVER - 1) != "never"
    assert instant_text(49_999_999) == "+0:00:00"
