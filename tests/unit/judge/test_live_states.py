"""Of a state channel a live run keeps the changes; what they decide is as in the whole log."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from curewright.judge.judge import judge
from curewright.judge.live import Live
from curewright.terms.load import Vessel
from curewright.terms.requirement import AtEvent, Group, Signal, StateIs
from curewright.terms.run import Closing
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import channel, event, load_of, minutes, run_of, specification, within

NAMES = ("VALVE1", "P1")
STATES = ("vacuum", "atmosphere")


def test_the_changes_of_a_state_are_kept_and_nothing_between():
    rows = 600
    valve = ["atmosphere" if row >= 300 else "vacuum" for row in range(rows)]
    vent = event("vent begins", StateIs(Group("channel", "source valve"), ("atmosphere",)), by="state", for_each="bag")
    pressure, limits = Signal(Group("vessel pressure"), "single"), within("15 psi gauge", "30 psi gauge")
    form = AtEvent("at event", "bag", unit_named("psi gauge"), None, None, "vent begins", pressure, limits)
    spec, vessel = specification(form, events=(vent,)), Vessel("V1", (), (), ())
    states = channel("VALVE1", list(enumerate(valve)), kind="state", states=STATES)
    whole = run_of(states, channel("P1", [(row, row / 10) for row in range(rows)], "psi gauge"))
    empty = {
        c.name: replace(c, t=c.t[:0], v=c.v[:0], raw=c.raw[:0], bad=c.bad[:0], row=c.row[:0])
        for c in whole.channels.values()
    }
    live = Live((spec,), vessel, load_of(whole), replace(whole, channels=empty, closing=None))
    table = np.column_stack([whole.channels[name].v for name in NAMES])
    for row in range(rows):
        live.feed(NAMES, minutes(row), table[row])
        if row % 100 == 99:
            live.fold()
    kept = live.run.channels["VALVE1"].t
    assert minutes(299) in kept
    assert minutes(300) in kept
    assert len(kept) < 20  # the first, both sides of the change, and the last minutes
    (found,) = live.close(Closing("author A", True, minutes(rows - 1)))
    (wanted,) = judge((spec,), vessel, load_of(whole), whole).verdicts
    assert (found.outcome, found.margin.actual, found.margin.at) == (Outcome.MET, "30", minutes(300))
    assert (wanted.outcome, wanted.margin) == (found.outcome, found.margin)


def test_a_channel_that_no_requirement_looks_at_keeps_its_recent_samples_only():
    whole = run_of(
        channel("P1", [(row, 20) for row in range(300)], "psi gauge"),
        channel("AIR1", [(row, 30) for row in range(300)]),
    )
    form = AtEvent("at event", "part", unit_named("psi gauge"), None, None, "record ends", Signal(Group("vessel pressure"), "single"),
                   within("15 psi gauge", "30 psi gauge"))  # fmt: skip
    empty = {
        c.name: replace(c, t=c.t[:0], v=c.v[:0], raw=c.raw[:0], bad=c.bad[:0], row=c.row[:0])
        for c in whole.channels.values()
    }
    live = Live(
        (specification(form),), Vessel("V1", (), (), ()), load_of(whole), replace(whole, channels=empty, closing=None)
    )
    for row in range(300):
        live.feed(("P1", "AIR1"), minutes(row), np.array([whole.channels["P1"].v[row], whole.channels["AIR1"].v[row]]))
    live.fold()
    assert live.run.channels["AIR1"].t.tolist() == [
        minutes(row) for row in range(295, 300)
    ]  # lost after 3 min, and a minute more
    (found,) = live.close(Closing("author A", True, minutes(299)))
    assert found.outcome is Outcome.MET
