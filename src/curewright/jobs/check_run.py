"""Check a run's files before or after the run: can everything be read, led back, and met at all. Nothing is judged."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from curewright.jobs.materials import Materials
from curewright.jobs.understand_run import RunFiles, specifications_of, understand_run
from curewright.judge.judge import specification_of
from curewright.predict.against_load import factor_questions, thickness_findings
from curewright.read.folder import RUN_SHEET
from curewright.read.plan_folder import build_up_of
from curewright.read.run_sheet import named_files, read_run_sheet
from curewright.read.vessel import read_vessel
from curewright.terms.errors import FileError, Place, raise_all
from curewright.terms.units import UNITS
from curewright.understand.attainable import attainable

if TYPE_CHECKING:
    from curewright.read.forms import Filled
    from curewright.terms.finding import Finding
    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification

NO_AIR = (
    "The local air pressure is not stated: whether every vacuum that is asked for can be reached here is not checked. "
    "State 'barometer' in the run sheet or 'site pressure' in the vessel file."
)
NO_LOG = "There is no log yet: whether channels, sensor map and times fit it is not checked."


@dataclass(frozen=True)
class Checked:
    """What a check found: the files by their SHA-256, the specifications, what cannot be led back, and what was not looked at.

    ``traced``: whether everything was led back; without a log it cannot be.
    """

    run: str
    files: tuple[tuple[str, str], ...]
    specifications: tuple[Specification, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = ()
    traced: bool = True


def check_run(files: RunFiles) -> Checked:
    """Read and lead back everything that is there. Raises :class:`CurewrightError` for what cannot be read, or cannot be met here.

    Before the run there is no log: then run sheet, vessel and specifications are read, and the local atmosphere is looked at.
    """
    sheet_path = files.named.get("run") or (files.folder or Path()) / RUN_SHEET
    sheet = _sheet(sheet_path)
    logs = files.named.get("logs") or [sheet_path.parent / name for name in named_files(sheet)["logs"]]
    if not logs or not all(Path(log).exists() for log in logs):
        return _before_the_run(files, sheet, sheet_path)
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


def _before_the_run(files: RunFiles, sheet: Filled, sheet_path: Path) -> Checked:
    names = {what: [sheet_path.parent / name for name in found] for what, found in named_files(sheet).items()}
    papers = list(files.named.get("specifications") or names["specifications"])
    vessels = [files.named["vessel"]] if files.named.get("vessel") else names["vessel"]
    if not papers or not vessels:
        raise FileError(
            "nothing names the vessel or the specifications", where=sheet.place(), remedy="name them in the run sheet"
        )
    contents = {path: path.read_bytes() for path in (sheet_path, *vessels, *papers)}
    vessel = read_vessel(contents[vessels[0]], vessels[0].name, lambda name: (vessels[0].parent / name).read_bytes())
    specifications = specifications_of([(path, contents[path]) for path in papers])
    barometer = sheet["barometer"]
    known = barometer["reading"] if barometer else vessel.site_pressure
    notes = (NO_LOG, _atmosphere(specifications, known.grains if known else None))
    hashes = tuple((path.name, sha256(content).hexdigest()) for path, content in contents.items())
    return Checked(sheet["run"], hashes, specifications, (), notes, traced=False)


def _atmosphere(specifications: tuple[Specification, ...], ambient: float | None) -> str:
    """What was looked at; raises what the local air pressure (mPa) makes impossible."""
    if ambient is None:
        return NO_AIR
    raise_all(error for one in specifications for error in attainable(one, ambient))
    pressure, vacuum = (UNITS[name].from_grains(ambient) for name in ("kPa absolute", "inHg of vacuum"))
    return f"Local air pressure {pressure:.2f} kPa absolute ({vacuum:.2f} inHg): nothing that is asked for is impossible here."
