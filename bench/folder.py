"""The invented cure as a folder of files that ``curewright judge`` reads: export, layout, vessel, load, entries, run sheet, paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from bench.paper import specification
from bench.scenario import SECOND, scenario
from curewright.terms.requirement import Because, Duration, LeakCheck
from curewright.terms.units import Quantity, unit_named
from curewright.understand.writer import write

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from bench.scenario import Scenario, Size
    from curewright.terms.load import Assignment
    from curewright.terms.requirement import Requirement, Specification
    from curewright.terms.run import Channel, Entry

BECAUSE = Because("invented for the bench", "engineer C")
OPEN = 9999.0  # what the recorder writes for an open circuit
MEASURES = {"degF": "temperature", "psi gauge": "pressure", "inHg of vacuum": "vacuum", "count": "state"}
LAYOUT = """layout: bench
recorder: main
encoding: utf-8
separator: comma
decimal sign: point
lines before the header: 0
header rows: names
time: {{columns: Time, format: iso, zone: UTC}}
blank means: not sampled
open codes: ["9999.0"]
columns:
{columns}
"""
RUN = """run: R-BENCH
vessel: vessel.yaml
load: load.yaml
specifications: [specification.yaml]
recordings:
  - {{file: recorder.csv, layout: layout.yaml}}
entries: entries.yaml
time zone: UTC
closing: {{by: author A, at: "{end}", covers the whole run: yes}}
"""


def write_folder(folder: Path, size: Size, *, keep: Callable[[str], bool] = lambda _: True) -> Scenario:
    """Writes the cure of a size into a folder; ``keep`` says of each channel whether the recorder has it. Gives the cure in memory."""
    made = scenario(size)
    channels = {name: channel for name, channel in made.run.channels.items() if keep(name)}
    folder.mkdir(parents=True, exist_ok=True)
    _export(folder / "recorder.csv", made, channels)
    lines = [line for line in made.load.map if line.channel in channels]
    texts = {
        "layout.yaml": _layout(channels),
        "vessel.yaml": _vessel(channels),
        "load.yaml": _load(made, lines),
        "entries.yaml": "entries:\n" + "".join(_entry(entry, made) for entry in made.run.entries),
        "run.yaml": RUN.format(end=_clock(made, made.run.closing.end if made.run.closing else 0)),
        "specification.yaml": write(on_paper(specification())),
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return made


def on_paper(plan: Specification) -> Specification:
    """The plan as a file can say it: every choice has its reason, a loss no reference, a clock the signal of its condition."""
    events = tuple(replace(event, because=BECAUSE) for event in plan.events)
    clauses = tuple(replace(clause, forms=tuple(map(_written, clause.forms))) for clause in plan.clauses)
    return replace(plan, events=events, clauses=clauses)


def _written(form: Requirement) -> Requirement:
    form = replace(form, because=BECAUSE)
    if isinstance(form, LeakCheck) and form.loses.high is not None:
        unit = unit_named("inHg difference")
        return replace(
            form,
            unit=unit,
            loses=replace(form.loses, high=Quantity(form.loses.high.number, unit), written="at most 5 inHg"),
        )
    if isinstance(form, Duration) and form.for_each == "part thermocouple":
        clocks = [replace(one, clock=replace(one.clock, whose="each part thermocouple")) for one in form.alternatives]
        return replace(form, alternatives=tuple(clocks))
    return form


def _clock(made: Scenario, instant: int) -> str:
    return f"{made.run.start + timedelta(seconds=instant // SECOND):%Y-%m-%d %H:%M:%S}"


def _export(file: Path, made: Scenario, channels: dict[str, Channel]) -> None:
    """One row for each second at which the recorder looked, one decimal, blank where a channel was not sampled."""
    import polars as pl

    longest = max(channels.values(), key=lambda channel: len(channel.t))
    times = [_clock(made, instant) for instant in longest.t.tolist()]
    columns = {name: _cells(channel, longest.t) for name, channel in channels.items()}
    pl.DataFrame({"Time": times, **columns}).write_csv(file, float_precision=1)


def _cells(channel: Channel, axis: np.ndarray) -> list[str] | np.ndarray | list[float | None]:
    if channel.states:
        return [channel.states[int(v)] for v in channel.v]
    sign = -1.0 if channel.unit.reference == "vacuum" else 1.0
    numbers = np.where(channel.bad, OPEN, sign * channel.v / channel.unit.scale - channel.unit.offset)
    if len(channel.t) == len(axis):
        return numbers
    known = dict(zip(channel.t.tolist(), numbers.tolist(), strict=True))
    return [known.get(instant) for instant in axis.tolist()]


def _layout(channels: dict[str, Channel]) -> str:
    groups: dict[str, list[str]] = {}
    for name, channel in channels.items():
        unit = "" if channel.states else f"unit: {channel.unit.name}, "
        groups.setdefault(f"{unit}kind: {channel.kind}", []).append(name)
    return LAYOUT.format(
        columns="\n".join(f"  - {{columns: [{', '.join(names)}], {rest}}}" for rest, names in groups.items())
    )


def _vessel(channels: dict[str, Channel]) -> str:
    lines = [
        f"  {name}: {{channel: {name}, measures: {MEASURES[channel.unit.name]}}}\n"
        for name, channel in channels.items()
    ]
    return "vessel: V1\nsite pressure: 101.325 kPa absolute\nrecorders: {main: {}}\nsensors:\n" + "".join(lines)


def _load(made: Scenario, lines: list[Assignment]) -> str:
    parts = [
        f'  - {{serial: "{p.serial}", number: {p.number}, revision: {p.revision}, lot: {p.lot}, bag: {p.bag}, tool: {p.tool}, '
        f"specification: {p.specification}, specification revision: {p.specification_revision}}}\n"
        for p in made.load.parts
    ]
    bags = [f"  {bag.name}: {{ports: []}}\n" for bag in made.load.bags]
    return "".join(
        [
            "load: R-BENCH\nvessel: V1\nmap by: operator A\nparts:\n",
            *parts,
            "bags:\n",
            *bags,
            "map:\n",
            *map(_line, lines),
        ]
    )


def _line(line: Assignment) -> str:
    where = {"judging": f', part: "{line.thing}"'}.get(line.role, "")
    where = f", bag: {line.thing}" if line.role in ("bag transducer", "source", "source valve") else where
    role = "other" if line.role == "information only" else line.role  # of the vessel, not of a part
    return f"  - {{sensor: {line.sensor}, role: {role}{where}}}\n"


def _entry(entry: Entry, made: Scenario) -> str:
    until = "" if entry.until is None else f', until: "{_clock(made, entry.until)}"'
    head = f'  - {{event: {entry.name}, bag: {entry.thing}, at: "{_clock(made, entry.at)}"{until}'
    return f"{head}, plus or minus: 0 s, by: {entry.person}}}\n"
