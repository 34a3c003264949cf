"""Small runs and plans for tests, built from plain lists: times in minutes, values in a named unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import numpy as np

from curewright.judge.judge import judge
from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Part, Vessel
from curewright.terms.requirement import (
    Clause,
    Comparison,
    Decision,
    Event,
    Group,
    Limits,
    LostThermocouples,
    SecondRecorder,
    Signal,
    Source,
    Specification,
)
from curewright.terms.run import Channel, Closing, Entry, Run
from curewright.terms.units import Quantity, unit_named

MIN = 60 * 10**9
PART = Group("part thermocouple")
COLDEST, HOTTEST, EACH = Signal(PART, "coldest"), Signal(PART, "hottest"), Signal(PART, "each")


def minutes(t):
    """Minutes (as decimal text or number) to whole nanoseconds."""
    return int((Decimal(str(t)) * MIN).to_integral_value())


def channel(name, points, unit="degC", *, kind="continuous", bad=(), states=()):
    """A channel from (minutes, value) pairs; ``bad`` names the minutes whose sample is bad."""
    unit = unit_named(unit) if not states else unit_named("count")
    t = np.array([minutes(a) for a, _ in points], dtype=np.int64)
    numbers = [states.index(b) if states else b for _, b in points]
    v = unit.to_grains(np.array([float(b) for b in numbers]))
    reference = unit.reference
    if reference == "vacuum":
        v, reference = -v, "gauge"
    flags = np.isin(t, [minutes(b) for b in bad])
    return Channel(
        name, unit, kind, t, v, flags, v, np.arange(2, len(t) + 2), "log.csv", "main", reference, tuple(states)
    )


def quantity(text):
    """'340 degF' to a quantity."""
    number, _, unit = text.partition(" ")
    return Quantity(Decimal(number), unit_named(unit))


def at_least(text):
    return Limits(low=quantity(text))


def at_most(text):
    return Limits(high=quantity(text))


def below(text):
    return Limits(high=quantity(text), high_open=True)


def above(text):
    return Limits(low=quantity(text), low_open=True)


def within(low, high):
    return Limits(quantity(low), quantity(high))


def event(name, condition, *, stays=0, which="first", after=None, for_each="part", by="trace", entry=None, delay=0):
    return Event(name, for_each, (Source(by, condition, minutes(stays), which, entry),), after, minutes(delay))


def specification(*forms, events=(), gap=2, lost_after=3, lost=None, **more):
    """A specification with one clause '1' that holds the forms."""
    clauses = more.pop("clauses", (Clause("1", "as the paper says", tuple(forms)),))
    base = Specification(
        "EX-1", "A", "draft", None, "example", "invented", Comparison("absolute"), Decision("simple"), minutes(gap), minutes(lost_after),
        lost or LostThermocouples(None, False, None), SecondRecorder(False), (), tuple(events), clauses,
    )  # fmt: skip
    return replace(base, **more)


def run_of(*channels, covers=True, end=None, closed=True, entries=(), barometer=None):
    last = max(int(c.t[-1]) for c in channels)
    closing = Closing("author A", covers, last if end is None else minutes(end)) if closed else None
    return Run(
        "R1",
        datetime(2031, 3, 4, 10, tzinfo=UTC),
        "V1",
        {c.name: c for c in channels},
        tuple(entries),
        closing,
        barometer,
    )


ROLES = {
    "TC": "judging",
    "AIR": "air",
    "P": "vessel pressure",
    "BAG": "bag transducer",
    "SRC": "source",
    "VALVE": "source valve",
    "TOOL": "tool",
}


def role_of(name):
    return next(role for prefix, role in sorted(ROLES.items(), key=lambda p: -len(p[0])) if name.startswith(prefix))


def load_of(run, places=None, **attributes):
    """A load with one part S1 in bag B1; the role of each channel follows from its name."""
    thing = {"judging": "S1", "tool": "S1", "bag transducer": "B1", "source": "B1", "source valve": "B1"}
    lines = tuple(
        Assignment(
            c, c, role_of(c), thing.get(role_of(c), "V1"), (places or {}).get(c, ""), -ALWAYS, ALWAYS, "operator A"
        )
        for c in run.channels
    )
    part = Part("S1", "PN-1", "A", "L1", "B1", "T1", "EX-1", "A", tuple(attributes.items()))
    return Load("R1", "V1", run.start, (part,), (Bag("B1", ("1", "2")),), lines)


def verdicts(spec, run, rulings=(), load=None, **attributes):
    """All verdicts of one judgement."""
    return judge((spec,), Vessel("V1", (), (), ()), load or load_of(run, **attributes), run, tuple(rulings)).verdicts


def verdict(spec, run, rulings=(), **more):
    """The one verdict of a judgement that has one."""
    (found,) = verdicts(spec, run, rulings, **more)
    return found


def entry(name, at, until=None, *, thing="B1", plus_minus=0):
    return Entry(
        name, thing, minutes(at), None if until is None else minutes(until), minutes(plus_minus), "inspector B"
    )
