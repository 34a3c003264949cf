"""What a folder says for predictions: build-up, planned cycle, how the vessel heats, own cards; before anything is recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.read.build_up import read_build_up
from curewright.read.cards import own_cards
from curewright.read.cycle import read_cycle
from curewright.read.files import Files
from curewright.read.folder import RUN_SHEET, zone_of
from curewright.read.learnt import read_learnt
from curewright.read.load import BEGINNING, read_load
from curewright.read.run_sheet import read_run_sheet
from curewright.read.times import Clock, moment, written_time
from curewright.read.vessel import read_vessel
from curewright.read.vessel_heat import read_vessel_heat
from curewright.terms.errors import FileError, Place
from curewright.terms.load import ALWAYS

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from curewright.physics.card import Card, SolidCard
    from curewright.read.forms import Filled
    from curewright.terms.build_up import BuildUp
    from curewright.terms.cycle import Cycle, VesselHeat
    from curewright.terms.learnt import LearntZone
    from curewright.terms.load import Load, Vessel

NO_START = 946_684_800 * 10**9  # 2000-01-01 UTC, where nobody planned a start: times count from the start


@dataclass(frozen=True)
class PredictionInputs:
    """What predictions need beside vessel and load. ``cycle`` is None where no cycle is planned (a replay needs none)."""

    build_up: BuildUp
    heat: VesselHeat
    cycle: Cycle | None
    own_cards: dict[str, Card | SolidCard]
    learnt: tuple[LearntZone, ...]
    learnt_file: str  # its name; '' where none is named
    files: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PlanInputs:
    """A load that is planned: everything that a prediction of it needs. ``specifications``: their files."""

    number: str
    start: datetime
    vessel: Vessel
    load: Load
    specifications: tuple[Path, ...]
    prediction: PredictionInputs


def read_plan(folder: Path) -> PlanInputs:
    """The planned load of a folder, by its run sheet; exports, entries and rulings are not looked at.

    Raises :class:`FileError` with file, line and column, or with what the run sheet does not name.
    """
    files = Files(folder)
    sheet = read_run_sheet(files.content(RUN_SHEET), RUN_SHEET)
    zone = zone_of(sheet)
    written = sheet["start"]
    start = written_time(written.text, zone, written.place) if written else NO_START
    vessel_name, load_name = _named(sheet, "vessel"), _named(sheet, "load")
    vessel = read_vessel(files.content(vessel_name), vessel_name, files.content)
    load = read_load(files.content(load_name), load_name, vessel, Clock(zone, start), moment(start, zone))
    if written is None:
        _refuse_clock_times(load)
    if not sheet["specifications"]:
        raise FileError("nothing names the specifications", where=sheet.place(), remedy="name them in the run sheet")
    specifications = tuple(folder / name for name in sheet["specifications"])
    return PlanInputs(sheet["run"], moment(start, zone), vessel, load, specifications, _prediction(files, sheet, load))


def read_prediction(folder: Path, load: Load, to_write: Path | None = None) -> PredictionInputs:
    """What predictions of a recorded run need beside the run: build-up, how the vessel heats, own cards.

    ``to_write``: the file that is about to be written with what this run teaches; it alone may be named before it is there.
    """
    files = Files(folder)
    return _prediction(files, read_run_sheet(files.content(RUN_SHEET), RUN_SHEET), load, to_write)


def build_up_of(folder: Path, sheet: Filled, load: Load) -> tuple[BuildUp, dict[str, Card | SolidCard]]:
    """The build-up that a run sheet names, with the run's own cards. Raises where it names none, or what is wrong in them."""
    files, name = Files(folder), _named(sheet, "build-up")
    return read_build_up(files.content(name), name, load), own_cards_of(files, sheet)


def vessel_heat_of(folder: Path, load: Load) -> tuple[bytes, VesselHeat] | None:
    """How the vessel of a run heats, with the bytes of the file that says so; None where the run sheet names none."""
    files = Files(folder)
    name = read_run_sheet(files.content(RUN_SHEET), RUN_SHEET)["vessel heat"]
    return None if name is None else (files.content(name), heat_of(files, name, load))


def heat_of(files: Files, name: str, load: Load) -> VesselHeat:
    """How the vessel of a load heats. Raises where the file is written for another vessel."""
    heat = read_vessel_heat(files.content(name), name)
    if heat.vessel != load.vessel:
        raise FileError(
            f"it is written for the vessel {heat.vessel}",
            expected=f"{load.vessel}, as in the load sheet",
            where=Place(name),
        )
    return heat


def _prediction(files: Files, sheet: Filled, load: Load, to_write: Path | None = None) -> PredictionInputs:
    build_up_name, heat_name, cycle_name = _named(sheet, "build-up"), _named(sheet, "vessel heat"), sheet["cycle"]
    build_up = read_build_up(files.content(build_up_name), build_up_name, load)
    heat = heat_of(files, heat_name, load)
    cycle = read_cycle(files.content(cycle_name), cycle_name) if cycle_name else None
    learnt = learnt_of(files, sheet, load, to_write)
    files_read, named = tuple(files.read.items()), sheet["learnt"] or ""
    return PredictionInputs(build_up, heat, cycle, own_cards_of(files, sheet), learnt, named, files_read)


def learnt_of(files: Files, sheet: Filled, load: Load, to_write: Path | None = None) -> tuple[LearntZone, ...]:
    """What earlier runs taught; nothing where no file is named, or only the one that is about to be written."""
    name = sheet["learnt"]
    if name is None or (to_write and not to_write.exists() and files.path(name).resolve() == to_write.resolve()):
        return ()
    vessel, found = read_learnt(files.content(name), name)
    if vessel != load.vessel:
        raise FileError(f"it was learnt in the vessel {vessel}", expected=load.vessel, where=Place(name))
    return found


def own_cards_of(files: Files, sheet: Filled) -> dict[str, Card | SolidCard]:
    """The material cards of one's own that a run sheet names."""
    return own_cards({name: files.content(name).decode("utf-8", "replace") for name in sheet["cards"] or ()})


def _named(sheet: Filled, what: str) -> str:
    if sheet[what] is None:
        raise FileError(
            f"nothing names the {what}",
            expected=f"'{what}: …' in the run sheet",
            where=sheet.place(),
            remedy="docs/formats/run.md says what predictions need",
        )
    return str(sheet[what])


def _refuse_clock_times(load: Load) -> None:
    for line in load.map:
        if line.start != BEGINNING or line.end != ALWAYS:
            raise FileError(
                "a sensor is re-plugged at a clock time, and nobody says when the run starts",
                where=Place(line.file, line.line),
                remedy="state the planned 'start' in the run sheet",
            )
