"""What the judge found: one verdict for every requirement and thing, with margin, evidence and the other readings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """What a verdict can be. Nothing to judge is never met."""

    MET = "met"
    NOT_MET = "not met"
    NOT_SHOWN = "not shown"
    NOT_APPLICABLE = "not applicable"
    OPEN = "open"
    BY_PERSON = "by a person"
    NOT_COVERED = "not covered"


@dataclass(frozen=True)
class Margin:
    """Signed distance to the plain limit in the requirement's unit (text with its decimals), where and when; low/high
    for intervals.

    ``of_known`` marks a margin of what is known only (outcome *not shown*).
    """

    value: str
    unit: str
    at: int | None
    channel: str
    actual: str
    limit: str
    low: str | None = None
    high: str | None = None
    of_known: bool = False


@dataclass(frozen=True)
class Bounds:
    """Sure and possible start and end of a phase (ns; None: never or not known), with notes such as 'already so'."""

    earliest_start: int | None
    latest_start: int | None
    earliest_end: int | None
    latest_end: int | None
    start: str = ""
    end: str = ""


@dataclass(frozen=True)
class Excursion:
    """A stay outside the limits: thing, from and to (exact crossings, clipped to the phase), the deepest value and by
    how much.
    """

    channel: str
    start: int
    end: int
    depth: str
    unit: str
    at: int
    sure: bool = True


@dataclass(frozen=True)
class Sample:
    """One recorded sample quoted as evidence."""

    channel: str
    t: int
    value: str
    unit: str
    file: str
    row: int


@dataclass(frozen=True)
class Reading:
    """The same data under another definition, for information, and whether it would have changed the outcome."""

    definition: str
    actual: str
    outcome: Outcome
    flips: bool


@dataclass(frozen=True)
class Unknown:
    """A stretch over which something was not known, and why (gap, bad sample, lost)."""

    channel: str
    start: int
    end: int
    why: str


@dataclass(frozen=True)
class SetAside:
    """A sensor left out over a stretch: by whom or by which rule, and why."""

    channel: str
    start: int
    end: int
    by: str
    why: str


@dataclass(frozen=True)
class Verdict:
    """One requirement held against one thing."""

    part: str
    specification: str
    revision: str
    clause: str
    form: str
    kind: str
    thing: str
    outcome: Outcome
    reason: str
    limit: str
    margin: Margin | None = None
    allowance_left: tuple[tuple[str, str], ...] = ()
    phase: Bounds | None = None
    excursions: tuple[Excursion, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    used: tuple[str, ...] = ()
    samples: tuple[Sample, ...] = ()
    others: tuple[Reading, ...] = ()
    notes: tuple[str, ...] = ()
    without_set_aside: Outcome | None = None
    without_second_recorder: Outcome | None = None
    before_concession: Outcome | None = None
    probability: str | None = None
    settled: bool = True
    share: tuple[int, int] | None = None  # what this run adds to an exposure, least and most, in grains (ns or count)
    behind: tuple[
        str, ...
    ] = ()  # every sensor it stands on: of its signals, its conditions, its events, and inside a mean


@dataclass(frozen=True)
class Stretch:
    """A stretch of the run over which no clause looks at a part's temperature, pressure or vacuum."""

    part: str
    quantity: str
    start: int
    end: int


@dataclass(frozen=True)
class Judgement:
    """All verdicts of a run, numbered, with what they belong to."""

    number: int
    run: str
    verdicts: tuple[Verdict, ...]
    roll_up: tuple[tuple[str, Outcome], ...]
    clauses_by_program: int
    clauses_by_person: int
    clauses_not_covered: int
    uncovered: tuple[Stretch, ...] = ()
    person: str = ""
    at: str = ""
    program: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
