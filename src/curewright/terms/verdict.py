"""What the judge found: one verdict for every requirement and thing, with margin, evidence and the other readings."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from typing import TYPE_CHECKING

from curewright.terms.light import light
from curewright.terms.units import in_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.run import Written


class Outcome(StrEnum):
    """What a verdict can be. Nothing to judge is never met."""

    MET = "met"
    NOT_MET = "not met"
    NOT_SHOWN = "not shown"
    NOT_APPLICABLE = "not applicable"
    OPEN = "open"
    BY_PERSON = "by a person"
    NOT_COVERED = "not covered"


@light(frozen=True)
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


@light(frozen=True)
class Bounds:
    """Sure and possible start and end of a phase (ns; None: never or not known), with notes such as 'already so'."""

    earliest_start: int | None
    latest_start: int | None
    earliest_end: int | None
    latest_end: int | None
    start: str = ""
    end: str = ""


@light(frozen=True)
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


@light(frozen=True)
class Sample:
    """One recorded sample quoted as evidence."""

    channel: str
    t: int
    value: str
    unit: str
    file: str
    row: int


@light(frozen=True)
class Quoted:
    """Samples of one channel next to each other, as the numbers that were judged; :meth:`samples` writes them out.

    ``t`` [ns], ``v`` [grains], ``bad`` (empty: none is) and ``row`` are one per sample.
    """

    channel: str
    written: Written
    t: list[int]
    v: list[float]
    bad: list[bool]
    row: list[int]

    def samples(self) -> Iterator[Sample]:
        """The samples as text: values as they were written (a vacuum is kept as negative gauge), a state by its label."""
        written, unit = self.written, self.written.unit
        sign = -1.0 if unit.reference == "vacuum" else 1.0
        for i, t in enumerate(self.t):
            if self.bad and self.bad[i]:
                text = "bad"
            elif written.states:
                text = written.states[int(self.v[i])]
            else:
                text = in_unit(sign * self.v[i], unit)
            yield Sample(self.channel, t, text, unit.name, written.file_at(t), self.row[i])


@light(frozen=True)
class Reading:
    """The same data under another definition, for information, and whether it would have changed the outcome."""

    definition: str
    actual: str
    outcome: Outcome
    flips: bool


UNKNOWN_LISTED = 20  # stretches that a verdict names at most


@light(frozen=True)
class Unknown:
    """A stretch over which something was not known, and why (gap, bad sample, lost)."""

    channel: str
    start: int
    end: int
    why: str


@light(frozen=True)
class SetAside:
    """A sensor left out over a stretch: by whom or by which rule, and why."""

    channel: str
    start: int
    end: int
    by: str
    why: str


@light(frozen=True)
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
    samples: tuple[Sample, ...] = field(default_factory=tuple)  # not on the class, so that __getattr__ is asked
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

    def quoting(self, quoted: tuple[Quoted, ...]) -> Verdict:
        """This verdict, new as it is, with samples that are written out when somebody first reads them."""
        del self.samples
        self.__dict__["quoted"] = quoted
        return self

    def __getattr__(self, name: str) -> tuple[Sample, ...]:
        if name != "samples" or "quoted" not in self.__dict__:
            raise AttributeError(name)
        quoted: tuple[Quoted, ...] = self.__dict__.pop("quoted")
        found = self.__dict__["samples"] = tuple(sample for each in quoted for sample in each.samples())
        return found


@light(frozen=True)
class Stretch:
    """A stretch of the run over which no clause looks at a part's temperature, pressure or vacuum."""

    part: str
    quantity: str
    start: int
    end: int


@light(frozen=True)
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
