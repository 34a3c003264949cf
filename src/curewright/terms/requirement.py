"""What a specification demands, with every choice made: the frozen plan that the judge works from.

Nothing in here has a default that could decide a verdict. Times are nanoseconds, levels are :class:`Quantity`. The
words are those of the specification file (``docs/requirements``); ``understand`` makes this plan from it and writes
it back as English, ``judge`` holds it against a run.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from decimal import Decimal

    from curewright.terms.errors import Place
    from curewright.terms.units import Quantity, Unit

RECORD_STARTS = "record starts"
RECORD_ENDS = "record ends"

GROUPS = (
    "part thermocouple",  # judging thermocouples of the part
    "tool thermocouple",  # thermocouples whose role is tool, of the part's tool
    "air thermocouple",  # thermocouples in the gas of the vessel
    "bag vacuum",  # the transducer port of the bag (never the source line)
    "source vacuum",  # the source line of the bag
    "vessel pressure",
    "channel",  # one recorder channel or sensor by its name
)
THINGS = ("vessel", "part", "bag", "part thermocouple", "tool thermocouple", "air thermocouple")


@dataclass(frozen=True)
class Because:
    """Why a choice that the paper does not make was made so (letter, planning, interpretation), and who approved it."""

    text: str
    approved_by: str


@dataclass(frozen=True)
class Group:
    """Which sensors a signal is made of, seen from the thing judged; ``name`` names one channel or one place."""

    role: str
    name: str | None = None
    place: str | None = None


@dataclass(frozen=True)
class Signal:
    """A quantity over time. ``take`` is ``single``, ``each``, ``coldest``, ``hottest``, ``mean`` or ``spread``.

    ``minus`` makes the difference of two signals. ``raw`` judges readings before correction, where the paper says so.
    ``each`` and ``single`` mean the one sensor that is being judged or that the group consists of.
    """

    group: Group
    take: str
    minus: Signal | None = None
    raw: bool = False
    computed: Computation | None = None


@dataclass(frozen=True)
class Computation:
    """A signal computed from a temperature: degree of cure, Tg or viscosity, by a stated card and revision."""

    quantity: str  # 'degree of cure' | 'glass transition' | 'viscosity'
    card: str
    revision: str
    starts: str  # event from which it is integrated
    initial: Decimal  # degree of cure at the start
    named_by_specification: bool  # the controlling specification itself names the card and revision


@dataclass(frozen=True)
class Limits:
    """A low and a high limit, ends included unless ``above`` / ``below`` was written. ``*_attribute``: a part's own
    limit from planning.
    """

    low: Quantity | None = None
    high: Quantity | None = None
    low_open: bool = False
    high_open: bool = False
    low_attribute: str | None = None
    high_attribute: str | None = None
    written: str = ""


# ------------------------------------------------------------------------------------------------------------------ conditions
@dataclass(frozen=True)
class Compare:
    """A signal within limits (``reaches 340``: low 340; ``falls below 340``: high 340, open)."""

    signal: Signal
    limits: Limits


@dataclass(frozen=True)
class StateIs:
    """A state channel (set point segment, source valve) shows one of these states."""

    group: Group
    states: tuple[str, ...]


@dataclass(frozen=True)
class AllOf:
    """All of several conditions."""

    conditions: tuple[Condition, ...]


@dataclass(frozen=True)
class AnyOf:
    """Any of several conditions."""

    conditions: tuple[Condition, ...]


Condition = Compare | StateIs | AllOf | AnyOf


# ---------------------------------------------------------------------------------------------------------------------- events
@dataclass(frozen=True)
class Source:
    """One way in which an event shows itself.

    ``by``: ``trace`` (a condition on measured signals), ``state`` (a state channel), ``entry`` (a hand entry named
    like the event or ``entry``) or ``inferred`` (a condition on a trace that can only suggest what somebody did; the
    record says so). ``which``: ``first`` (the first start of a stay of ``stays``) or ``for good`` (the last one,
    holding to the end of the record).
    """

    by: str
    condition: Condition | None
    stays: int
    which: str
    entry: str | None = None


@dataclass(frozen=True)
class Event:
    """A named instant, for the whole run or for each part, bag or thermocouple. The first source that the run can
    show is taken.

    The search begins at the event ``after`` (``None``: the start of the record); ``delay`` shifts the instant found.
    Without sources it is the event ``after`` itself, ``delay`` later (*5 min after vent begins*).
    """

    name: str
    for_each: str
    sources: tuple[Source, ...]
    after: str | None = None
    delay: int = 0
    because: Because | None = None
    place: Place | None = None


@dataclass(frozen=True)
class Phase:
    """A stretch of the run from one event to another (names of events, ``record starts`` or ``record ends``)."""

    start: str
    end: str


@dataclass(frozen=True)
class Allowance:
    """What is tolerated outside the limits: by at most ``depth``, ``at_a_time`` ns long, ``in_all`` ns together (None:
    not limited).
    """

    depth: Quantity | None
    at_a_time: int | None
    in_all: int | None


# ---------------------------------------------------------------------------------------------------------------- requirements
@dataclass(frozen=True)
class Form:
    """What every requirement has: its name within the clause (``band``, ``band 2``), the thing it is judged for, its
    unit.
    """

    name: str
    for_each: str
    unit: Unit
    because: Because | None
    place: Place | None


@dataclass(frozen=True)
class Band(Form):
    """A signal stays within limits over a phase; ``while_`` narrows the phase to where a condition holds."""

    signal: Signal
    phase: Phase
    limits: Limits
    allowance: Allowance | None = None
    while_: Condition | None = None


@dataclass(frozen=True)
class Spread(Form):
    """The difference between the hottest and the coldest of a group stays within limits over a phase."""

    signal: Signal
    phase: Phase
    limits: Limits
    allowance: Allowance | None = None
    while_: Condition | None = None


RATE_DEFINITIONS = ("least squares", "end points", "between levels", "whole phase", "sample to sample")


@dataclass(frozen=True)
class RateDefinition:
    """How a rate is taken: ``kind`` of :data:`RATE_DEFINITIONS`, window in ns, least number of samples, two levels."""

    kind: str
    window: int | None = None
    samples: int | None = None
    first_level: Quantity | None = None
    second_level: Quantity | None = None


@dataclass(frozen=True)
class Rate(Form):
    """The heating or cooling (or pressure) rate of a signal over a phase. ``sense``: ``rising`` or ``falling`` (its
    negative).
    """

    signal: Signal
    phase: Phase
    definition: RateDefinition
    sense: str
    limits: Limits
    while_: Condition | None = None


@dataclass(frozen=True)
class Clock:
    """What a duration counts. ``runs_while`` None: elapsed time. ``when_it_leaves``: ``restarts``, ``pauses`` or
    ``runs on``.

    ``whose`` is printed (coldest, hottest, each); excursions of ``runs_while`` inside ``allowance`` do not stop the
    clock.
    """

    whose: str
    runs_while: Condition | None
    when_it_leaves: str
    allowance: Allowance | None = None


@dataclass(frozen=True)
class Alternative:
    """One way to satisfy a duration: a phase, a clock and limits (time)."""

    phase: Phase
    clock: Clock
    limits: Limits


@dataclass(frozen=True)
class Duration(Form):
    """A time to be spent; one of the alternatives is enough."""

    alternatives: tuple[Alternative, ...]


@dataclass(frozen=True)
class AtEvent(Form):
    """A signal's value at an event lies within limits."""

    event: str
    signal: Signal
    limits: Limits


@dataclass(frozen=True)
class Order(Form):
    """One event comes at or before another; ``limits`` bound the time between them (None: any)."""

    first: str
    then: str
    limits: Limits | None


@dataclass(frozen=True)
class LeakCheck(Form):
    """An isolated bag loses at most so much vacuum in a window.

    Isolation lasts from event ``closed`` to event ``opened`` (None: the same hand entry's end, or as long as the
    state shows it). ``window_rule``: ``first`` window after settling, ``worst`` window, or ``whole`` isolated
    interval. ``loses``: limits on the loss (vacuum) in the window. ``starting``: limits on the signal when the source
    is closed. ``pressure_inside``: limits on the absolute pressure in the bag over the window (None where the paper
    gives none).
    """

    signal: Signal
    closed: str
    opened: str | None
    settling: int
    window: int
    window_rule: str
    loses: Limits
    starting: Limits | None = None
    pressure_inside: Limits | None = None


@dataclass(frozen=True)
class Count(Form):
    """At least (or at most) so many sensors of a group are known over a phase, or things counted from the sensor map.

    ``of``: ``working sensors`` (known, not set aside, at each instant of the phase) or ``sensors on the map`` or
    ``vacuum ports``.
    """

    of: str
    group: Group
    phase: Phase | None
    limits: Limits


@dataclass(frozen=True)
class Recording(Form):
    """The time between neighbouring good samples of the judged channels stays within limits over a phase."""

    group: Group
    phase: Phase
    limits: Limits


@dataclass(frozen=True)
class Exposure(Form):
    """Something added up over all runs of a part, earlier ones from their sealed verdicts: ``cures`` or ``time`` in a
    condition.
    """

    of: str  # 'cures' | 'time'
    phase: Phase
    runs_while: Condition | None
    limits: Limits


@dataclass(frozen=True)
class Computed(Form):
    """A computed signal (degree of cure, Tg, viscosity) at an event or over a phase."""

    signal: Signal
    event: str | None
    phase: Phase | None
    limits: Limits


Requirement = Band | Spread | Rate | Duration | AtEvent | Order | LeakCheck | Count | Recording | Exposure | Computed

KINDS: dict[str, type[Form]] = {
    "band": Band,
    "spread": Spread,
    "rate": Rate,
    "duration": Duration,
    "at event": AtEvent,
    "order": Order,
    "leak check": LeakCheck,
    "count": Count,
    "recording": Recording,
    "exposure": Exposure,
    "computed": Computed,
}


# --------------------------------------------------------------------------------------------------------------- specification
@dataclass(frozen=True)
class AttributeCondition:
    """A condition on a stated attribute of the part (thickness above 0.6 in, construction is sandwich)."""

    attribute: str
    limits: Limits | None = None
    equals: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clause:
    """One numbered sentence of the paper with its exact forms, or the person who judges it, and what of it is not
    covered.
    """

    number: str
    says: str
    forms: tuple[Requirement, ...]
    by_person: str | None = None
    not_covered: str | None = None
    for_parts: tuple[AttributeCondition, ...] = ()
    illustrative: str | None = None  # a band invented for an example, and so marked
    place: Place | None = None


@dataclass(frozen=True)
class Comparison:
    """How a value meets a limit (ASTM E29): ``absolute``, or rounded to ``place`` (per unit name) half to even."""

    method: str  # 'absolute' | 'rounding'
    places: tuple[Quantity, ...] = ()


@dataclass(frozen=True)
class Decision:
    """``simple`` acceptance, or a ``guard`` band of ``width`` (multiplier x expanded uncertainty U) per quantity."""

    rule: str  # 'simple' | 'guard'
    widths: tuple[Quantity, ...] = ()
    written: str = ""


@dataclass(frozen=True)
class LostThermocouples:
    """What may be done without: how many must remain, which surveyed places must be among them, and how many a part
    needs at all.

    ``may_set_aside`` False: the specification has no rule, so nothing is set aside except by a named person.
    """

    per_part: int | None
    may_set_aside: bool
    remaining: int | None
    including: tuple[str, ...] = ()


@dataclass(frozen=True)
class SecondRecorder:
    """How far a second recorder may fill gaps of the first: total and single gap in ns; ``procedure`` names what allows
    it.
    """

    allowed: bool
    at_a_time: int | None = None
    in_all: int | None = None
    procedure: str | None = None


@dataclass(frozen=True)
class Specification:
    """A paper specification, understood: identities, the rules for data, events and clauses, in the paper's order."""

    number: str
    revision: str
    status: str  # 'draft' | 'approved'
    approved_by: str | None
    title: str
    source: str
    comparison: Comparison
    decision: Decision
    largest_gap: int
    lost_after: int
    lost: LostThermocouples
    second_recorder: SecondRecorder
    units: tuple[tuple[str, Unit], ...]  # ('temperature', degF) …
    events: tuple[Event, ...]
    clauses: tuple[Clause, ...]
    sha256: str = ""
    notes: tuple[str, ...] = field(
        default=(), compare=False
    )  # what the reader of the file should know (a trade word taken for another)

    def event(self, name: str) -> Event:
        """The event of that name; raises KeyError where there is none."""
        return next(event for event in self.events if event.name == name)
