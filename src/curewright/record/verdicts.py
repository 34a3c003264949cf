"""The verdicts file: a judgement as a document that any program can read, sealed, the same bytes for the same input.

Described in ``docs/formats/verdicts.md`` and, for programs, in ``schemas/verdicts.schema.json``. Every instant is given twice: as
local time with its offset (RFC 3339) and as whole nanoseconds since the start of the run. Numbers that were measured or compared
are decimal text in the unit that stands beside them. There is no clock in here: ``at`` is what the caller says.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from curewright.record.cautions import CAUTIONS
from curewright.record.changes import changes
from curewright.record.instants import rfc3339
from curewright.record.places import Places
from curewright.record.seal import opened, sealed_text
from curewright.terms.errors import FileError, Place
from curewright.terms.load import ALWAYS
from curewright.terms.verdict import Outcome
from curewright.understand.choices import choices

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from curewright.terms.finding import Finding
    from curewright.terms.load import Load, Ruling
    from curewright.terms.requirement import Clause, Specification
    from curewright.terms.run import FileRead, Flag, Recording, Run
    from curewright.terms.verdict import Bounds, Excursion, Judgement, Margin, Sample, SetAside, Unknown, Verdict
    from curewright.understand.choices import Choice

FORMAT = "curewright verdicts"
VERSION = 1

Document = dict[str, Any]


class Writer:
    """Turns one judgement into its document; knows the start of the run and where each sensor sat."""

    def __init__(self, judgement: Judgement, specifications: Sequence[Specification], load: Load, run: Run) -> None:
        self.judgement = judgement
        self.specifications = specifications
        self.load = load
        self.run = run
        self.start: datetime = run.start
        self.places = Places(load)
        self._times: dict[int, str] = {}  # many verdicts speak of the same instant

    def document(
        self, rulings: Sequence[Ruling] = (), findings: Sequence[Finding] = (), before: Document | None = None
    ) -> Document:
        """The whole document, without its seal; with every outcome that changed since the document ``before``."""
        verdicts = [self.verdict_block(verdict) for verdict in self.judgement.verdicts]
        judgement = self.judgement
        return {
            "format": FORMAT,
            "version": VERSION,
            "program": judgement.program,
            "judgement": {"number": judgement.number, "person": judgement.person, "at": judgement.at},
            "run": self.run_block(),
            "inputs": [{"file": shown(name), "sha256": digest} for name, digest in judgement.inputs],
            "clauses": self.clause_counts(),
            "outcomes": outcome_counts(judgement.verdicts),
            "roll_up": [{"part": part, "outcome": outcome.value} for part, outcome in judgement.roll_up],
            "specifications": [self.specification_block(one) for one in self.specifications],
            "parts": [self.part_block(serial) for serial in self.serials()],
            "verdicts": verdicts,
            "uncovered": [
                {"part": s.part, "quantity": s.quantity, "from": self.instant(s.start), "to": self.instant(s.end)}
                for s in judgement.uncovered
            ],
            "traceability": [finding_block(finding) for finding in findings],
            "reading": [reading_block(one) for one in self.run.reading],
            "recorders": [self.recorder_block(recording) for recording in self.run.recordings],
            "flags": [
                self.flag_block(name, flag, rulings)
                for name, channel in self.run.channels.items()
                for flag in channel.flags
            ],
            "rulings": [self.ruling_block(ruling) for ruling in rulings],
            "changed": [change.block() for change in changes(before, verdicts)] if before else [],
            "notes": list(judgement.notes),
            "cautions": list(CAUTIONS),
        }

    def serials(self) -> list[str]:
        """The serials of the load, in the order of the load file."""
        return [part.serial for part in self.load.parts]

    def instant(self, since: int | None) -> Document | None:
        """An instant as local time and as ns since the start; None where there is none (never, not known, no end)."""
        if since is None or abs(since) >= ALWAYS:
            return None
        time = self._times.get(since)
        if time is None:
            time = self._times[since] = rfc3339(self.start, since)
        return {"time": time, "ns": since}

    def run_block(self) -> Document:
        """Which run this is, when it started, and who closed it."""
        closing = self.run.closing
        closed = closing and {
            "author": closing.author,
            "covers": closing.covers,
            "end": self.instant(closing.end),
            "at": closing.at,
        }
        return {
            "number": self.run.number,
            "vessel": self.run.vessel,
            "start": self.instant(0),
            "closed": closed,
            "air_pressure": air_pressure_block(self.run),
            "notes": list(self.run.notes),
        }

    def clause_counts(self) -> Document:
        """How many clauses are judged by program, by a person, and not covered."""
        judgement = self.judgement
        return {
            "by_program": judgement.clauses_by_program,
            "by_a_person": judgement.clauses_by_person,
            "not_covered": judgement.clauses_not_covered,
        }

    def specification_block(self, one: Specification) -> Document:
        """A specification with its sentences and with every choice that the paper does not make."""
        return {
            "number": one.number,
            "revision": one.revision,
            "status": one.status,
            "approved_by": one.approved_by,
            "title": one.title,
            "source": one.source,
            "sha256": one.sha256,
            "clauses": [clause_block(clause) for clause in one.clauses],
            "choices": [choice_block(choice) for choice in choices(one)],
        }

    def part_block(self, serial: str) -> Document:
        """A part's identities as the load file states them."""
        part = next(part for part in self.load.parts if part.serial == serial)
        return {
            "serial": part.serial,
            "number": part.number,
            "revision": part.revision,
            "lot": part.lot,
            "bag": part.bag,
            "tool": part.tool,
            "specification": part.specification,
            "specification_revision": part.specification_revision,
        }

    def recorder_block(self, recording: Recording) -> Document:
        """What one recorder left: files, extent, silences, and its clock against the first recorder's."""
        clock = recording.clock
        return {
            "recorder": recording.recorder,
            "files": [shown(file) for file in recording.files],
            "from": self.instant(recording.first),
            "to": self.instant(recording.last),
            "interval_ns": recording.interval,
            "gaps": [{"from": self.instant(start), "to": self.instant(end)} for start, end in recording.gaps],
            "clock": clock
            and {
                "ahead_ns": clock.ahead,
                "at": self.instant(clock.at),
                "plus_minus_ns": clock.plus_minus,
                "standard_uncertainty_ns": clock.standard,
                "drift_ppm": clock.drift,
                "how": clock.how,
                "person": clock.person,
            },
            "notes": list(recording.notes),
        }

    def flag_block(self, channel: str, flag: Flag, rulings: Sequence[Ruling] = ()) -> Document:
        """A stretch of a channel that somebody should look at, and the rulings that answer it."""
        names = {
            channel,
            *(n for line in self.load.map if line.channel == channel for n in (line.sensor, line.position)),
        }
        end = ALWAYS if flag.end is None else flag.end
        answers = [
            f"{ruling.kind} by {ruling.person}: {ruling.reason}"
            for ruling in rulings
            if ruling.sensor in names and ruling.start <= end and flag.start <= ruling.end
        ]
        return {
            "channel": channel,
            "kind": flag.kind,
            "from": self.instant(flag.start),
            "to": self.instant(flag.end),
            "text": flag.text,
            "answers": answers,
        }

    def ruling_block(self, ruling: Ruling) -> Document:
        """What a named person decided about data."""
        return {
            "kind": ruling.kind,
            "sensor": ruling.sensor,
            "from": self.instant(ruling.start),
            "to": self.instant(ruling.end),
            "person": ruling.person,
            "second": ruling.second,
            "reason": ruling.reason,
        }

    def verdict_block(self, verdict: Verdict) -> Document:
        """One verdict with everything that it stands on."""
        return {
            "part": verdict.part,
            "specification": verdict.specification,
            "revision": verdict.revision,
            "clause": verdict.clause,
            "form": verdict.form,
            "kind": verdict.kind,
            "thing": verdict.thing,
            "outcome": verdict.outcome.value,
            "settled": verdict.settled,
            "reason": verdict.reason,
            "limit": verdict.limit,
            "margin": self.margin_block(verdict.margin),
            "allowance_left": [{"what": what, "left": left} for what, left in verdict.allowance_left],
            "phase": self.phase_block(verdict.phase),
            "excursions": [self.excursion_block(excursion) for excursion in verdict.excursions],
            "unknown": [self.stretch_block(unknown) for unknown in verdict.unknown],
            "set_aside": [{**self.stretch_block(aside), "by": aside.by} for aside in verdict.set_aside],
            "used": list(verdict.used),
            "behind": list(verdict.behind),
            "evidence": [self.sample_block(sample) for sample in verdict.samples],
            "other_readings": [
                {"definition": r.definition, "actual": r.actual, "outcome": r.outcome.value, "flips": r.flips}
                for r in verdict.others
            ],
            "without_set_aside": outcome_or_none(verdict.without_set_aside),
            "without_second_recorder": outcome_or_none(verdict.without_second_recorder),
            "before_concession": outcome_or_none(verdict.before_concession),
            "probability": verdict.probability,
            "share": verdict.share and {"least": verdict.share[0], "most": verdict.share[1]},
            "notes": list(verdict.notes),
        }

    def margin_block(self, margin: Margin | None) -> Document | None:
        """The margin with the instant, the channel and where its sensor sat."""
        if margin is None:
            return None
        return {
            "value": margin.value,
            "unit": margin.unit,
            "low": margin.low,
            "high": margin.high,
            "actual": margin.actual,
            "limit": margin.limit,
            "at": self.instant(margin.at),
            "channel": margin.channel,
            "place": self.places.of(margin.channel, margin.at),
            "of_what_is_known": margin.of_known,
        }

    def phase_block(self, phase: Bounds | None) -> Document | None:
        """The sure and the possible bounds of the phase."""
        if phase is None:
            return None
        return {
            "sure": {"from": self.instant(phase.latest_start), "to": self.instant(phase.earliest_end)},
            "possible": {"from": self.instant(phase.earliest_start), "to": self.instant(phase.latest_end)},
            "start": phase.start,
            "end": phase.end,
        }

    def excursion_block(self, excursion: Excursion) -> Document:
        """A stay outside the limits with its length and depth."""
        return {
            "channel": excursion.channel,
            "from": self.instant(excursion.start),
            "to": self.instant(excursion.end),
            "length_ns": excursion.end - excursion.start,
            "depth": excursion.depth,
            "unit": excursion.unit,
            "deepest_at": self.instant(excursion.at),
            "sure": excursion.sure,
        }

    def stretch_block(self, stretch: Unknown | SetAside) -> Document:
        """A stretch over which a channel was unknown or set aside, and why."""
        return {
            "channel": stretch.channel,
            "from": self.instant(stretch.start),
            "to": self.instant(stretch.end),
            "why": stretch.why,
        }

    def sample_block(self, sample: Sample) -> Document:
        """A recorded sample with the file and the line that it stands in."""
        return {
            "channel": sample.channel,
            "at": self.instant(sample.t),
            "value": sample.value,
            "unit": sample.unit,
            "file": shown(sample.file),
            "line": sample.row,
        }


@cache
def shown(file: str) -> str:
    """A file's name as the record shows it: an absolute path says nothing on another machine, so only its last part."""
    path = PurePath(file)
    return path.name if path.is_absolute() else file


def air_pressure_block(run: Run) -> Document | None:
    """The air pressure of a run [kPa absolute], as a decimal, and where it is from; None where none is stated."""
    if run.barometer is None:
        return None
    value = f"{run.barometer / 1e6:.3f}".removesuffix("0")  # grains are mPa
    return {"value": value, "unit": "kPa absolute", "from": run.barometer_from}


def outcome_or_none(outcome: Outcome | None) -> str | None:
    """The word for an outcome, or None."""
    return None if outcome is None else outcome.value


def clause_block(clause: Clause) -> Document:
    """A sentence of the paper and how it is judged."""
    return {
        "number": clause.number,
        "says": clause.says,
        "by_program": [form.name for form in clause.forms],
        "by_person": clause.by_person,
        "not_covered": clause.not_covered,
        "illustrative": clause.illustrative,
    }


def choice_block(choice: Choice) -> Document:
    """What was chosen that the paper does not say, with why and by whom; both empty where nobody stated it."""
    because = choice.because
    return {
        "what": choice.what,
        "chosen": choice.chosen,
        "because": because.text if because else "",
        "approved_by": because.approved_by if because else "",
    }


def finding_block(finding: Finding) -> Document:
    """A traceability finding with the places in the user's files and what cannot be judged because of it."""
    places = [{"file": shown(place.file), "line": place.line, "column": place.column} for place in finding.places]
    return {
        "kind": finding.kind,
        "name": finding.name,
        "message": finding.message,
        "places": places,
        "blocks": list(finding.blocks),
    }


def reading_block(one: FileRead) -> Document:
    """What was read of one export, and what was left out or flagged in it, by cause."""
    return {
        "file": shown(one.file),
        "rows": one.rows,
        "counted": [
            {
                "count": counted.count,
                "of": counted.of,
                "cause": counted.cause,
                "left_out": counted.left_out,
                "lines": list(counted.lines),
                "texts": list(counted.texts),
                "channels": list(counted.channels),
            }
            for counted in one.counted
        ],
    }


def outcome_counts(verdicts: Iterable[Verdict]) -> dict[str, int]:
    """How many verdicts have each outcome, all outcomes named."""
    counted = Counter(verdict.outcome for verdict in verdicts)
    return {outcome.value: counted[outcome] for outcome in Outcome}


def verdicts_text(document: Document) -> str:
    """The sealed file of a document."""
    return sealed_text(document)


def read_verdicts(text: str, file: str = "") -> Document:
    """The document of a sealed verdicts file; raises :class:`FileError` where it was changed or is of another format or version."""
    document = opened(text, file)
    if document.get("format") != FORMAT:
        raise FileError(
            f"the format is {document.get('format')!r}",
            expected=f"'{FORMAT}'",
            where=Place(file),
            remedy="name a verdicts.json",
        )
    if document.get("version") != VERSION:
        raise FileError(
            f"version {document.get('version')!r} of the verdicts file",
            expected=f"version {VERSION}",
            where=Place(file),
            remedy="read it with the program version that wrote it, or judge that run anew",
        )
    return document
