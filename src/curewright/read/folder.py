"""A run's folder: ``run.yaml`` names the other files; each of them can also be named by whoever asks.

Everything is read once, as bytes, and the run keeps the SHA-256 of each file beside its name.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from curewright.read.corrections import corrected
from curewright.read.entries import read_entries
from curewright.read.entry_sheet import read_entry_sheet
from curewright.read.event_log import read_event_log, read_event_log_layout
from curewright.read.files import Files
from curewright.read.layout_file import read_layout
from curewright.read.load import read_load
from curewright.read.recordings import recorded, second_recorders
from curewright.read.rulings import read_rulings
from curewright.read.run_sheet import named_files, read_run_sheet
from curewright.read.sensor_flags import flag_notes, flagged
from curewright.read.sheet import is_table
from curewright.read.times import Clock, moment, written_time, zone_named
from curewright.read.vessel import read_vessel
from curewright.terms.errors import FileError, Place
from curewright.terms.run import Closing, Entry, FileRead, Run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import tzinfo
    from pathlib import Path

    from curewright.read.forms import Filled
    from curewright.read.layout import Layout
    from curewright.read.recorder import Each, Export
    from curewright.terms.load import Load, Ruling, Vessel
    from curewright.terms.run import Channel

T = TypeVar("T")
N = TypeVar("N")
RUN_SHEET = "run.yaml"


@dataclass(frozen=True)
class Original:
    """A file that was read: its name in the record, what it is, and where it lies on this machine."""

    name: str
    role: str
    path: Path


ROLES = {
    "vessel": "vessel",
    "load": "load",
    "specifications": "specification",
    "logs": "recording",
    "layouts": "layout",
    "entries": "entries",
    "event logs": "event log",
    "event log layouts": "layout",
    "rulings": "rulings",
}


@dataclass(frozen=True)
class RunInputs:
    """All that a judgement needs except the specifications themselves, whose files are named."""

    run: Run
    vessel: Vessel
    load: Load
    rulings: tuple[Ruling, ...]
    specifications: tuple[Path, ...]
    originals: tuple[Original, ...] = ()


def read_folder(folder: Path | None = None, *, each: Each = map, **given: Any) -> RunInputs:
    """The run of a folder; a file given here is taken instead of the one that ``run.yaml`` names, see :func:`opened`.

    One layout serves all logs, or each log has its own, in the same order. ``each`` is a map; one that runs several calls at once makes
    the reading faster. Raises :class:`CurewrightError` with everything that is
    wrong in the files, by file, line and column.
    """
    files, sheet, names = opened(folder, each=each, **given)
    _refuse_missing(names, sheet)
    return _read(files, sheet, names)


def opened(
    folder: Path | None = None,
    *,
    run: Path | None = None,
    vessel: Path | None = None,
    load: Path | None = None,
    specifications: Sequence[Path] = (),
    layouts: Sequence[Path] = (),
    logs: Sequence[Path] = (),
    entries: Sequence[Path] = (),
    rulings: Sequence[Path] = (),
    each: Each = map,
) -> tuple[Files, Filled, dict[str, tuple[str, ...]]]:
    """The run sheet of a folder, read, and the names of its files by what they are; those given here instead of its own."""
    sheet_path = run or (folder / RUN_SHEET if folder else None)
    if sheet_path is None:
        raise FileError("no folder and no run sheet", expected="a folder with run.yaml in it, or the run sheet itself")
    if not sheet_path.exists():
        raise FileError(
            "there is no run sheet",
            expected=f"a file '{sheet_path.name}'",
            where=Place(str(sheet_path)),
            remedy="name the folder that holds it, or the sheet itself with --run",
        )
    files = Files(sheet_path.parent, each)
    sheet = read_run_sheet(files.content(sheet_path.name), sheet_path.name)
    given = {
        "vessel": (vessel,) if vessel else (),
        "load": (load,) if load else (),
        "specifications": specifications,
        "logs": logs,
        "layouts": layouts,
        "entries": entries,
        "rulings": rulings,
    }
    names = named_files(sheet) | {
        what: tuple(files.name(path) for path in paths) for what, paths in given.items() if paths
    }
    return files, sheet, names


def _refuse_missing(names: dict[str, tuple[str, ...]], sheet: Filled) -> None:
    missing = [what for what in ("vessel", "load", "specifications", "logs", "layouts") if not names[what]]
    if missing:
        raise FileError(
            f"nothing names the {' and the '.join(missing)}", where=sheet.place(), remedy="name them in the run sheet"
        )
    if len(names["layouts"]) not in (1, len(names["logs"])):
        found = f"{len(names['layouts'])} layouts for {len(names['logs'])} logs"
        raise FileError(found, expected="one layout for all, or one for each log", where=sheet.place())


def _read(files: Files, sheet: Filled, names: dict[str, tuple[str, ...]]) -> RunInputs:
    zone = files.try_it(lambda: zone_of(sheet))
    vessel_name, load_name = names["vessel"][0], names["load"][0]
    vessel = files.try_it(lambda: read_vessel(files.content(vessel_name), vessel_name, files.content))
    exports = _exports(files, names)
    start = files.try_it(lambda: _start(sheet, zone, exports, vessel)) if exports and vessel else None
    if vessel is None or not exports or start is None:
        files.close()
        raise AssertionError("something could not be read and nobody said so")
    clock = Clock(zone, start)
    begun = moment(start, zone or exports[0].layout.zone)
    load = files.try_it(lambda: read_load(files.content(load_name), load_name, vessel, clock, begun))
    entries = all_of(files, names["entries"], lambda name: entries_of_file(files.content(name), name, clock))
    entries += all_of(files, event_logs(names), lambda pair: entries_of_log(files, pair, clock))
    rulings = all_of(files, names["rulings"], lambda name: read_rulings(files.content(name), name, clock))
    clocks = sheet["clocks"] or ()
    found = files.try_it(lambda: recorded(exports, start, vessel, load, clocks))
    closing = files.try_it(lambda: _closing(sheet, clock, zone, found.last)) if found is not None else None
    files.close()
    assert load is not None
    assert found is not None
    measured = _measured(found.channels, load)
    flagged_ones = flagged(measured, _ranges(exports, measured))
    channels, notes = corrected({**found.channels, **flagged_ones}, vessel, load, begun.date())
    barometer, barometer_from = _barometer(sheet, vessel)
    made = Run(
        number=sheet["run"],
        start=begun,
        vessel=vessel.name,
        channels=channels,
        entries=tuple(sorted(entries, key=lambda entry: entry.at)),
        closing=closing,
        barometer=barometer,
        barometer_from=barometer_from,
        files=tuple(files.read.items()),
        notes=found.notes + notes + flag_notes(channels),
        recordings=found.recordings,
        reading=tuple(_read_of(files, export) for export in exports),
    )
    specifications = tuple(files.path(name) for name in names["specifications"])
    return RunInputs(made, vessel, load, rulings, specifications, _originals(files, names))


def _measured(channels: dict[str, Channel], load: Load) -> dict[str, Channel]:
    """The channels that may have a sensor fault: all but those that only say what was asked for."""
    asked = {line.channel for line in load.map if line.role == "set point"}
    return {name: channel for name, channel in channels.items() if name not in asked}


def _originals(files: Files, names: dict[str, tuple[str, ...]]) -> tuple[Original, ...]:
    """Every file that was read, the run sheet first; what no list of the run sheet names (a port list) is 'other'."""
    roles = {name: ROLES[what] for what, group in names.items() for name in group if what in ROLES}
    sheet = next(iter(files.read))
    return tuple(
        Original(name, "run sheet" if name == sheet else roles.get(name, "other"), files.path(name))
        for name in files.read
    )


def _exports(files: Files, names: dict[str, tuple[str, ...]]) -> tuple[Export, ...]:
    """Every log under its layout; nothing where one of them cannot be read (the error is kept)."""

    def under_its_layout(log: str, name: str) -> Export:
        found = files.bytes_of(log)
        return files.export(log, found, confirmed_layout(files, name))

    made = [
        files.try_it(partial(under_its_layout, *pair)) for pair in zip(names["logs"], a_layout_each(names), strict=True)
    ]
    return tuple(export for export in made if export is not None) if None not in made else ()


def a_layout_each(names: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The name of the layout of every log: the one for all of them as often as there are logs."""
    return names["layouts"] * (len(names["logs"]) if len(names["layouts"]) == 1 else 1)


def confirmed_layout(files: Files, name: str) -> Layout:
    """A layout that somebody has confirmed. Raises :class:`CurewrightError` for another one."""
    layout = read_layout(files.content(name), name)
    layout.refuse_unconfirmed()
    return layout


def _read_of(files: Files, export: Export) -> FileRead:
    """What was read of one export, with the hash and the size of the bytes that were read."""
    name, layout = export.table.file, export.layout
    return FileRead(
        file=name,
        sha256=files.read[name],
        size=files.sizes[name],
        encoding=layout.encoding,
        rows=len(export.table.row),
        layout=layout.file,
        confirmed_by=layout.confirmed_by or "",
        header=export.table.parts[0].header.fingerprint,
        recorder=layout.recorder,
        counted=export.counted(),
    )


def entries_of_file(content: bytes, name: str, clock: Clock) -> tuple[Entry, ...]:
    """Hand entries: a file of them, or a sheet (CSV or Excel) with one in each row."""
    return read_entry_sheet(content, name, clock) if is_table(name) else read_entries(content, name, clock)


def event_logs(names: dict[str, tuple[str, ...]]) -> tuple[tuple[str, str], ...]:
    """The names of every event log and its layout."""
    return tuple(zip(names.get("event logs", ()), names.get("event log layouts", ()), strict=True))


def entries_of_log(files: Files, pair: tuple[str, str], clock: Clock) -> tuple[Entry, ...]:
    """The entries of an event log under its layout."""
    log, name = pair
    return read_event_log(files.content(log), log, read_event_log_layout(files.content(name), name), clock)


def all_of(files: Files, names: Iterable[N], read: Callable[[N], tuple[T, ...]]) -> tuple[T, ...]:
    """Everything that stands in some files; what cannot be read is kept with the other errors."""
    return tuple(value for name in names for value in files.try_it(partial(read, name)) or ())


def zone_of(sheet: Filled) -> tzinfo | None:
    """The zone of the times that people wrote; None where the run sheet states none."""
    written = sheet["time zone"]
    return None if written is None else zone_named(written.text, written.place)


def _start(sheet: Filled, zone: tzinfo | None, exports: tuple[Export, ...], vessel: Vessel) -> int:
    """When the run started: as written, else the first sample of the recorders that are second to no other one."""
    written = sheet["start"]
    if written is not None:
        return written_time(written.text, zone, written.place)
    second = second_recorders(exports, vessel)
    return min(export.first for export in exports if export.layout.recorder not in second or not second)


def _ranges(exports: tuple[Export, ...], channels: dict[str, Channel]) -> dict[str, tuple[float, float]]:
    """The ends of the channels' ranges as recorded [grains], where their layout states them."""
    inside = {
        (export.layout.recorder, column.heading): (column.unit, column.inside)
        for export in exports
        for column in export.layout.columns
        if column.unit is not None and column.inside is not None
    }
    found = {}
    for name, channel in channels.items():
        unit, ends = inside.get((channel.recorder, channel.recorded_as), (None, None))
        if unit is not None and ends is not None:
            low, high = (unit.grains_of(Decimal(str(end))) for end in ends)
            found[name] = (-high, -low) if unit.reference == "vacuum" else (low, high)
    return found


def _closing(sheet: Filled, clock: Clock, zone: tzinfo | None, end: int) -> Closing | None:
    filled = sheet["closing"]
    if filled is None:
        return None
    at = clock.instant(filled["at"].text, filled["at"].place)
    if at < end:
        last = moment(clock.start + end, zone).isoformat(sep=" ", timespec="seconds")
        raise FileError(
            f"the run was closed before its last sample, which is read as {last}",
            where=filled.place("at"),
            remedy="correct the time of closing; or, where the last sample was not then, the time format or zone in the layout",
        )
    return Closing(filled["by"], filled["covers the whole run"], end, moment(clock.start + at, zone).isoformat())


def _barometer(sheet: Filled, vessel: Vessel) -> tuple[float | None, str]:
    filled = sheet["barometer"]
    if filled is not None:
        return filled["reading"].grains, f"barometer {filled['gauge']}, read by {filled['by']}"
    if vessel.site_pressure is not None:
        return vessel.site_pressure.grains, f"site pressure of the vessel {vessel.name}"
    return None, ""
