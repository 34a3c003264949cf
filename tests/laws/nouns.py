"""From the plain logs and papers of :mod:`tests.laws.paper` to the program's nouns, and to the verdicts of the judge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.judge import judge
from curewright.terms import requirement as terms
from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Part, Vessel
from curewright.terms.run import Channel, Closing, Entry, Run
from curewright.terms.units import UNITS, Quantity
from tests.laws import paper as plain

if TYPE_CHECKING:
    from curewright.terms.verdict import Verdict

TICK = 25_200_000_000  # ns
ROLES = {"T": "judging", "B": "bag transducer", "V": "source valve"}
THINGS = {"T": "S1", "B": "B1", "V": "B1"}
PART = terms.Group("part thermocouple")
STATES = ("vacuum", "atmosphere")
MINUTES, DEGREES, APART = UNITS["min"], UNITS["degC"], UNITS["degC difference"]
VACUUM, PER_MINUTE = UNITS["kPa of vacuum"], UNITS["K/min"]


def degrees(notch: float) -> Decimal:
    """A notch count as degrees Celsius around 180."""
    return 180 + Decimal("0.18") * Decimal(str(notch))


def temperature(notch: int | None) -> Quantity | None:
    return None if notch is None else Quantity(degrees(notch), DEGREES)


def difference(notch: int | None) -> Quantity | None:
    return None if notch is None else Quantity(Decimal("0.18") * notch, APART)


def vacuum(notch: int | None) -> Quantity | None:
    return None if notch is None else Quantity(80 + Decimal("0.18") * notch, VACUUM)


def time(ticks: int | None) -> Quantity | None:
    return None if ticks is None else Quantity(Decimal("0.42") * ticks, MINUTES)


def rate(tenths: int | None) -> Quantity | None:
    """Tenths of a notch a tick as K/min, to the hundredth that a specification would print."""
    return (
        None
        if tenths is None
        else Quantity((Decimal("0.018") * tenths / Decimal("0.42")).quantize(Decimal("0.01")), PER_MINUTE)
    )


def limits(ends: plain.Ends, of=temperature) -> terms.Limits:
    return terms.Limits(of(ends.low), of(ends.high), ends.low_open, ends.high_open)


def signal(name: str) -> terms.Signal:
    return terms.Signal(PART, name)


def condition(asked: plain.Condition | None) -> terms.Condition | None:
    match asked:
        case None:
            return None
        case plain.Is(name, ends):
            return terms.Compare(signal(name), limits(ends))
        case plain.Shows(state):
            return terms.StateIs(terms.Group("channel", "source valve"), (STATES[state],))
        case plain.Join(every, parts):
            return (terms.AllOf if every else terms.AnyOf)(tuple(condition(part) for part in parts))


def event(asked: plain.Event) -> terms.Event:
    if asked.condition is None and asked.delay:
        sources = ()
    elif asked.condition is None:
        sources = (terms.Source("entry", None, 0, "first", asked.name),)
    else:
        which = "for good" if asked.good else "first"
        sources = (terms.Source("trace", condition(asked.condition), asked.stays * TICK, which),)
    for_each = "part thermocouple" if asked.each else "part"
    return terms.Event(asked.name, for_each, sources, asked.after, asked.delay * TICK)


def allowance(asked: plain.Tolerated | None) -> terms.Allowance | None:
    if asked is None:
        return None
    at_a_time = None if asked.at_a_time is None else asked.at_a_time * TICK
    return terms.Allowance(difference(asked.depth), at_a_time, None if asked.in_all is None else asked.in_all * TICK)


def form(asked: plain.Paper) -> terms.Requirement:
    """The requirement of a paper."""
    of = asked.requirement
    for_each = "part thermocouple" if asked.each else "part"
    match of:
        case plain.Band("spread"):
            head = ("spread", "part", APART, None, None)
            whenever = condition(of.whenever)
            tolerated = allowance(of.tolerated)
            phase = terms.Phase(of.start, of.end)
            return terms.Spread(*head, signal("spread"), phase, limits(of.ends, difference), tolerated, whenever)
        case plain.Band():
            head = ("band", for_each, DEGREES, None, None)
            phase = terms.Phase(of.start, of.end)
            tolerated, whenever = allowance(of.tolerated), condition(of.whenever)
            return terms.Band(*head, signal(of.signal), phase, limits(of.ends), tolerated, whenever)
        case plain.Duration():
            return terms.Duration("duration", for_each, MINUTES, None, None, tuple(way(each) for each in of.ways))
        case plain.AtEvent():
            head = ("at event", for_each, DEGREES, None, None)
            return terms.AtEvent(*head, of.event, signal(of.signal), limits(of.ends))
        case plain.Order():
            bounds = None if of.ends is None else limits(of.ends, time)
            return terms.Order("order", for_each, MINUTES, None, None, of.first, of.then, bounds)
        case plain.Rate():
            return _rate(of, for_each)
        case plain.Leak():
            return _leak(of)


def _rate(of: plain.Rate, for_each: str) -> terms.Rate:
    window, samples = of.window * TICK, of.samples
    definition = terms.RateDefinition(of.kind, window, samples, temperature(of.levels[0]), temperature(of.levels[1]))
    sense = "falling" if of.falling else "rising"
    phase = terms.Phase(of.start, of.end)
    head = ("rate", for_each, PER_MINUTE, None, None)
    return terms.Rate(*head, signal(of.signal), phase, definition, sense, limits(of.ends, rate), condition(of.whenever))


def _leak(of: plain.Leak) -> terms.LeakCheck:
    bag = terms.Signal(terms.Group("bag vacuum"), "single")
    loses = terms.Limits(high=Quantity(Decimal("0.18") * of.loses, VACUUM))
    starting = None if of.starting is None else terms.Limits(low=vacuum(of.starting))
    head = ("leak check", "bag", VACUUM, None, None)
    window = (of.settling * TICK, of.window * TICK, of.rule)
    return terms.LeakCheck(*head, bag, "source closed", None, *window, loses, starting)


def way(of: plain.Time) -> terms.Alternative:
    clock = terms.Clock("coldest", condition(of.runs), of.leaves, allowance(of.tolerated))
    return terms.Alternative(terms.Phase(of.start, of.end), clock, limits(of.ends, time))


CLOSED = terms.Event("source closed", "bag", (terms.Source("entry", None, 0, "first", "source closed"),))


def specification(asked: plain.Paper, gap: int) -> terms.Specification:
    decision = terms.Decision("simple")
    if asked.guard:
        widths = (difference(asked.guard), Quantity(Decimal("0.18") * asked.guard, UNITS["kPa difference"]))
        decision = terms.Decision("guard", widths, "a guard band")
    comparison = terms.Comparison("absolute")
    if asked.rounded:
        comparison = terms.Comparison("rounding", (Quantity(Decimal("0.5"), APART),))
    clause = terms.Clause("1", "as the paper says", (form(asked),))
    return terms.Specification(
        "EX-1", "A", "draft", None, "example", "invented", comparison, decision, gap * TICK, 3 * TICK,
        terms.LostThermocouples(None, False, None), terms.SecondRecorder(False), (),
        (*(event(each) for each in asked.events), CLOSED), (clause,),
    )  # fmt: skip


def channel(name: str, rows: tuple[plain.Row, ...]) -> Channel:
    t = np.array([row.tick * TICK for row in rows], dtype=np.int64)
    bad = np.array([row.notch is None for row in rows], dtype=bool)
    row_numbers = np.arange(2, len(t) + 2)
    if name.startswith("V"):
        v = np.array([float(row.notch or 0) for row in rows])
        return Channel(name, UNITS["count"], "state", t, v, bad, v, row_numbers, "log.csv", "main", None, STATES)
    if name.startswith("B"):
        v = -VACUUM.to_grains(np.array([80 + 0.18 * (row.notch or 0) for row in rows]))
        return Channel(name, VACUUM, "continuous", t, v, bad, v, row_numbers, "log.csv", "main", "gauge")
    v = DEGREES.to_grains(np.array([float(degrees(row.notch or 0)) for row in rows]))
    return Channel(name, DEGREES, "continuous", t, v, bad, v, row_numbers, "log.csv", "main")


def entry(note: plain.Note) -> Entry:
    until = None if note.until is None else note.until * TICK
    thing = "B1" if note.name == "source closed" else "S1"
    return Entry(note.name, thing, note.tick * TICK, until, note.plus_minus * TICK, "inspector B")


@dataclass(frozen=True)
class Case:
    """All that the judge is given, so that a law can change one piece of it."""

    specification: terms.Specification
    load: Load
    run: Run
    rulings: tuple = ()

    def verdicts(self) -> dict[str, Verdict]:
        """Verdicts by the thing judged."""
        made = judge((self.specification,), Vessel("V1", (), (), ()), self.load, self.run, self.rulings)
        found = {verdict.thing: verdict for verdict in made.verdicts}
        assert len(found) == len(made.verdicts)
        return found

    def but(self, **more) -> Case:
        return replace(self, **more)


def case(asked: plain.Paper, log: plain.Log) -> Case:
    """A paper and a log as the judge takes them."""
    channels = {name: channel(name, rows) for name, rows in log.channels.items()}
    end = log.end * TICK
    closing = None if log.covers is None else Closing("author A", log.covers, end)
    entries = tuple(entry(note) for note in log.notes)
    run = Run("R1", datetime(2031, 3, 4, 10, tzinfo=UTC), "V1", channels, entries, closing)
    lines = tuple(
        Assignment(name, name, ROLES[name[0]], THINGS[name[0]], "", -ALWAYS, ALWAYS, "operator A") for name in channels
    )
    part = Part("S1", "PN-1", "A", "L1", "B1", "T1", "EX-1", "A")
    load = Load("R1", "V1", run.start, (part,), (Bag("B1", ("1", "2")),), lines)
    return Case(specification(asked, log.gap), load, run)


def verdicts(asked: plain.Paper, log: plain.Log) -> dict[str, Verdict]:
    """What the judge says about a log, by the thing judged."""
    return case(asked, log).verdicts()
