"""Check a run's files before or after the run: can everything be read, led back, and met at all. Nothing is judged."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from curewright.jobs.materials import Materials
from curewright.jobs.understand_run import RunFiles, needed_thermocouples, read_specifications, understand_run
from curewright.judge.judge import specification_of
from curewright.predict.against_load import factor_questions, thickness_findings
from curewright.read.before_the_run import read_before_the_run
from curewright.read.folder import RUN_SHEET
from curewright.read.plan_folder import build_up_of
from curewright.read.run_sheet import named_files, read_run_sheet
from curewright.read.traceability import trace
from curewright.terms.errors import FileError, Place, raise_all
from curewright.terms.units import UNITS
from curewright.understand.attainable import attainable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.read.before_the_run import BeforeTheRun
    from curewright.read.forms import Filled
    from curewright.terms.finding import Finding
    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification

NO_AIR = (
    "The local air pressure is not stated: whether every vacuum that is asked for can be reached here is not checked. "
    "State 'barometer' in the run sheet or 'site pressure' in the vessel file."
)
NO_LOG = "There is no log yet"
NO_SAMPLES = (
    "Not checked without it: the header, units and times of the export, how thermocouples agree at ambient and pressures at the start, "
    "sensor faults, and whether hand entries and rulings fall into the record."
)
NO_LOAD = "No load sheet is named: parts, bags, ports, sensor map and calibrations are not checked."
NO_LAYOUT = (
    "Not every export has a layout that is there: whether the channels of the sensor map will be recorded, and by which recorder, "
    "is not checked."
)
NO_DATE = (
    "Nobody says when the run starts: whether calibrations and corrections are valid on the day is not checked. "
    "State 'start' in the run sheet."
)


@dataclass(frozen=True)
class Checked:
    """What a check found: the files by their SHA-256, the specifications, what cannot be led back, and what was not looked at.

    ``traced``: whether everything was led back; without a log it is only as far as papers go.
    """

    run: str
    files: tuple[tuple[str, str], ...]
    specifications: tuple[Specification, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = ()
    traced: bool = True


def check_run(files: RunFiles) -> Checked:
    """Read and lead back everything that is there. Raises :class:`CurewrightError` for what cannot be read, or cannot be met here.

    Before the run there is no export: then every other paper is read, and led back as far as it goes without samples.
    """
    sheet_path = files.named.get("run") or (files.folder or Path()) / RUN_SHEET
    sheet = _sheet(sheet_path)
    logs = files.named.get("logs") or [sheet_path.parent / name for name in named_files(sheet)["logs"]]
    if not any(Path(log).exists() for log in logs):
        return _before_the_run(files, sheet)
    understood = understand_run(files)
    for part in understood.inputs.load.parts:
        specification_of(part, understood.specifications)
    run = understood.inputs.run
    differs, questions = _build_up(sheet_path.parent, sheet, understood.inputs.load)
    notes = (_atmosphere(understood.specifications, run.barometer), *questions)
    findings = (*understood.findings, *differs)
    return Checked(run.number, understood.files, understood.specifications, findings, notes)


def _build_up(folder: Path, sheet: Filled, load: Load) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """The build-up, where the run sheet names one, held against the load sheet: what differs, and what has to be asked."""
    if sheet["build-up"] is None:
        return (), ()
    build_up, own = build_up_of(folder, sheet, load)
    materials = Materials(own, build_up.file)
    differs = thickness_findings(load, build_up, lambda layer: materials(layer).reacts)
    return tuple(differs), tuple(factor_questions(build_up))


def _sheet(path: Path) -> Filled:
    if not path.exists():
        remedy = "name the folder that holds it, or the sheet itself with --run"
        raise FileError(
            "there is no run sheet", expected=f"a file '{path.name}'", where=Place(str(path)), remedy=remedy
        )
    return read_run_sheet(path.read_bytes(), path.name)


def _before_the_run(files: RunFiles, sheet: Filled) -> Checked:
    papers = read_before_the_run(files.folder, **files.named)
    specifications, hashes = read_specifications(papers.specifications)
    findings = papers.findings
    questions: tuple[str, ...] = ()
    if papers.load is not None:
        for part in papers.load.parts:
            specification_of(part, specifications)
        needs = needed_thermocouples(papers.load, specifications)
        findings += trace(papers.vessel, papers.load, papers.run, needs, papers.rulings, far=papers.far)
        differs, questions = _build_up(files.home, sheet, papers.load)
        findings += differs
    air = _atmosphere(specifications, papers.barometer.grains if papers.barometer else None)
    notes = (*_not_done(papers), air, *questions)
    return Checked(papers.run.number, (*papers.run.files, *hashes), specifications, findings, notes, traced=False)


def _not_done(papers: BeforeTheRun) -> Iterator[str]:
    """What is not there, and what therefore was not checked."""
    exports = [name for what, name in papers.missing if what == "export"]
    others = [f"{what} '{name}'" for what, name in papers.missing if what != "export"]
    why = f"{', '.join(exports)} {'is' if len(exports) == 1 else 'are'} not there" if exports else "none is named"
    yield f"{NO_LOG}: {why}. {NO_SAMPLES}"
    if others:
        yield f"Not there yet either, and not read: {', '.join(others)}."
    if papers.missing and papers.unnamed:
        yield f"In the folder, and named by nothing: {', '.join(papers.unnamed)}."
    if papers.load is None:
        yield NO_LOAD
    elif not papers.far.channels:
        yield NO_LAYOUT
    if not papers.far.dated:
        yield NO_DATE


def _atmosphere(specifications: tuple[Specification, ...], ambient: float | None) -> str:
    """What was looked at; raises what the local air pressure (mPa) makes impossible."""
    if ambient is None:
        return NO_AIR
    raise_all(error for one in specifications for error in attainable(one, ambient))
    pressure, vacuum = (UNITS[name].from_grains(ambient) for name in ("kPa absolute", "inHg of vacuum"))
    return f"Local air pressure {pressure:.2f} kPa absolute ({vacuum:.2f} inHg): nothing that is asked for is impossible here."
