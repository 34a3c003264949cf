"""A run's folder before there is an export: every paper that is there is read, and the channels are those of the layouts.

What is made after the run (exports, entries, event logs, rulings) and a layout may be named and not be there yet; all else has to be.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.read.build_up import read_build_up
from curewright.read.cycle import read_cycle
from curewright.read.folder import (
    a_layout_each,
    all_of,
    confirmed_layout,
    entries_of_file,
    entries_of_log,
    event_logs,
    opened,
    zone_of,
)
from curewright.read.layout import FROM_THE_FILE_NAME
from curewright.read.load import read_load
from curewright.read.plan_folder import heat_of, learnt_of, own_cards_of
from curewright.read.recordings import beside, second_among
from curewright.read.rulings import read_rulings
from curewright.read.times import Clock, moment, written_time
from curewright.read.traceability import Far
from curewright.read.vessel import read_vessel
from curewright.terms.errors import FileError, Place
from curewright.terms.finding import Finding
from curewright.terms.run import Channel, Run
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.read.files import Files
    from curewright.read.forms import Filled
    from curewright.read.layout import Column, Layout
    from curewright.terms.load import Load, Ruling, Vessel
    from curewright.terms.units import Quantity

YET = {
    "logs": "export",
    "layouts": "layout",
    "entries": "entries",
    "event logs": "event log",
    "event log layouts": "layout",
    "rulings": "rulings",
}
NO_DAY = (
    4_102_444_800 * 10**9
)  # 2100-01-01 UTC, where nobody said when the run starts: every line of the map is before it
NO_TIMES: Any = np.zeros(0, dtype=np.int64)
NO_VALUES: Any = np.zeros(0, dtype=np.float64)
NO_BAD: Any = np.zeros(0, dtype=np.bool_)


@dataclass(frozen=True)
class BeforeTheRun:
    """The papers of a run without samples. ``load`` is None where none is named; ``run`` has the channels of the layouts, empty.

    ``missing``: what each file is that is named and not there, and its name; ``unnamed``: files of the folder that nothing names.
    """

    run: Run
    vessel: Vessel
    load: Load | None
    rulings: tuple[Ruling, ...]
    specifications: tuple[Path, ...]
    barometer: Quantity | None
    far: Far
    missing: tuple[tuple[str, str], ...]
    unnamed: tuple[str, ...]
    findings: tuple[Finding, ...]


def read_before_the_run(folder: Path | None = None, **given: Any) -> BeforeTheRun:
    """Every paper of a folder, or of the files that are given, that is there. Raises with everything that is wrong in them at once."""
    files, sheet, names = opened(folder, **given)
    lacking = [what for what in ("vessel", "specifications") if not names[what]]
    if lacking:
        remedy = "name them in the run sheet"
        raise FileError(f"nothing names the {' and the '.join(lacking)}", where=sheet.place(), remedy=remedy)
    missing = tuple((YET[what], name) for what in YET for name in names[what] if not files.path(name).exists())
    zone = files.try_it(lambda: zone_of(sheet))
    vessel_name = names["vessel"][0]
    vessel = files.try_it(lambda: read_vessel(files.content(vessel_name), vessel_name, files.content))
    start = files.try_it(lambda: _start(sheet, zone))
    if vessel is None or start is None:
        files.close()
        raise AssertionError("something could not be read and nobody said so")
    clock, begun = Clock(zone, start), moment(start, zone)
    load = _load(files, names, vessel, clock, begun)
    there = {what: tuple(name for name in names[what] if (YET[what], name) not in missing) for what in YET}
    layouts = {name: files.try_it(partial(confirmed_layout, files, name)) for name in dict.fromkeys(there["layouts"])}
    entries = all_of(files, there["entries"], lambda name: entries_of_file(files.content(name), name, clock))
    logs = (pair for pair in event_logs(names) if all(files.path(name).exists() for name in pair))
    entries += all_of(files, logs, lambda pair: entries_of_log(files, pair, clock))
    rulings = all_of(files, there["rulings"], lambda name: read_rulings(files.content(name), name, clock))
    _read_for_predictions(files, sheet, load)
    files.close()
    pairs = _pairs(names, {name: layout for name, layout in layouts.items() if layout is not None})
    run = Run(
        number=sheet["run"],
        start=begun,
        vessel=vessel.name,
        channels=_channels(pairs, vessel),
        entries=entries,
        files=tuple(files.read.items()),
    )
    known = len(pairs) == len(names["logs"]) > 0
    far = Far(samples=False, channels=known, dated=start != NO_DAY)
    return BeforeTheRun(
        run,
        vessel,
        load,
        rulings,
        tuple(files.path(name) for name in names["specifications"]),
        sheet["barometer"]["reading"] if sheet["barometer"] else vessel.site_pressure,
        far,
        missing,
        _unnamed(files, sheet, names),
        tuple(_misnamed(files, sheet, names, missing)),
    )


def _start(sheet: Filled, zone: Any) -> int:
    """When the run starts as somebody wrote; else when it was closed (the day at least is known), else no day."""
    written = sheet["start"] or (sheet["closing"]["at"] if sheet["closing"] else None)
    return NO_DAY if written is None else written_time(written.text, zone, written.place)


def _load(files: Files, names: dict[str, tuple[str, ...]], vessel: Vessel, clock: Clock, begun: Any) -> Load | None:
    if not names["load"]:
        return None
    name = names["load"][0]
    return files.try_it(lambda: read_load(files.content(name), name, vessel, clock, begun))


def _read_for_predictions(files: Files, sheet: Filled, load: Load | None) -> None:
    """What the run sheet names for predictions; whatever is wrong is kept with the other errors."""
    if name := sheet["build-up"]:
        files.try_it(lambda: read_build_up(files.content(name), name, load))
    if cycle := sheet["cycle"]:
        files.try_it(lambda: read_cycle(files.content(cycle), cycle))
    heat = sheet["vessel heat"]
    if heat and load is not None:
        files.try_it(lambda: heat_of(files, heat, load))
    if load is not None:
        files.try_it(lambda: learnt_of(files, sheet, load))
    files.try_it(lambda: own_cards_of(files, sheet))


# ------------------------------------------------------------------------------------------------------------------- channels
def _pairs(names: dict[str, tuple[str, ...]], layouts: dict[str, Layout]) -> list[tuple[str, Layout]]:
    """Every export that is named with its layout, as far as that is there."""
    return [
        (log, layouts[name]) for log, name in zip(names["logs"], a_layout_each(names), strict=False) if name in layouts
    ]


def _channels(pairs: list[tuple[str, Layout]], vessel: Vessel) -> dict[str, Channel]:
    """The channels that the layouts lead one to expect, without samples; those of second recorders beside the first ones'."""
    groups: dict[str, dict[str, Channel]] = {}
    for log, layout in pairs:
        group = groups.setdefault(layout.recorder or f"({log})", {})
        group.update((channel.name, channel) for channel in (_channel(log, layout, one) for one in layout.columns))
    second = second_among({recorder: set(found) for recorder, found in groups.items()}, vessel)
    channels: dict[str, Channel] = {}
    for recorder in sorted(groups, key=lambda recorder: recorder in second):
        found = groups[recorder]
        channels |= beside(found, recorder, vessel, channels) if recorder in second else found
    return channels


def _channel(log: str, layout: Layout, column: Column) -> Channel:
    return Channel(
        name=PurePath(log).stem if column.channel == FROM_THE_FILE_NAME else column.channel,
        unit=column.unit or UNITS["count"],
        kind=column.kind,
        t=NO_TIMES,
        v=NO_VALUES,
        bad=NO_BAD,
        raw=NO_VALUES,
        row=NO_TIMES,
        file=layout.file,
        recorder=layout.recorder,
        states=() if column.unit else ("?",),
    )


# ------------------------------------------------------------------------------------------------------------ files not there
def _named(sheet: Filled, names: dict[str, tuple[str, ...]]) -> set[str]:
    others = [sheet[what] for what in ("build-up", "cycle", "vessel heat", "learnt") if sheet[what]]
    return {name for group in names.values() for name in group} | set(others) | set(sheet["cards"] or ())


def _unnamed(files: Files, sheet: Filled, names: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The files beside the run sheet that neither it nor anybody names."""
    taken = _named(sheet, names) | set(files.read)
    here = (path.name for path in files.folder.iterdir() if path.is_file())
    return tuple(sorted(name for name in here if name not in taken and not name.startswith(".")))


def _misnamed(
    files: Files, sheet: Filled, names: dict[str, tuple[str, ...]], missing: tuple[tuple[str, str], ...]
) -> Iterator[Finding]:
    """Files that are named and not there, where one lies there under nearly that name and nothing else names it."""
    taken = _named(sheet, names) | set(files.read)
    for what, name in missing:
        near = files.near(name, taken)
        if near:
            message = f"the {what} '{name}' is not there; {near} Correct its name in the run sheet"
            yield Finding("file not there", name, message, (Place(next(iter(files.read))),))
