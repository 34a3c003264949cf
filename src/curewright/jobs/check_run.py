"""Check a run's files before (or after) the run: can everything be read, led back, and met at all; nothing is judged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.jobs.judge_run import RunFiles, understand_run
from curewright.judge.attainable import unattainable
from curewright.terms.errors import Errors, Place, Unattainable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.finding import Finding
    from curewright.terms.requirement import Specification


@dataclass(frozen=True)
class Checked:
    """What a check found: the files by their SHA-256, the specifications, and what cannot be led back."""

    run: str
    files: tuple[tuple[str, str], ...]
    specifications: tuple[Specification, ...]
    findings: tuple[Finding, ...]


def check_run(files: RunFiles) -> Checked:
    """Read and lead back everything. Raises :class:`CurewrightError` for what cannot be read, or cannot be met in this atmosphere."""
    understood = understand_run(files)
    run = understood.inputs.run
    if run.barometer is not None:
        errors = tuple(impossible(understood.specifications, run.barometer, run.barometer_from))
        if errors:
            raise errors[0] if len(errors) == 1 else Errors(errors)
    return Checked(run.number, understood.files, understood.specifications, understood.findings)


def impossible(specifications: tuple[Specification, ...], ambient: float, known_from: str) -> Iterator[Unattainable]:
    """Every requirement that asks for more vacuum than there is air above (``ambient`` in grains)."""
    for one in specifications:
        for clause in one.clauses:
            for form in clause.forms:
                why = unattainable(form, ambient)
                if why:
                    place = form.place or Place(clause=clause.number)
                    raise_where = Place(place.file, place.line, place.column, clause.number)
                    yield Unattainable(
                        f"{one.number} clause {clause.number} {form.name}: {why} ({known_from})",
                        where=raise_where,
                        todo="ask whoever owns the specification for a limit that this site can meet, before the run",
                    )
