"""A trial's blocks through the program's own readers to a judgement."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.jobs.second_person import judged_with_rulings
from curewright.judge.events import when
from curewright.judge.judge import hall_of, judge, scene_for
from curewright.judge.kinds.exposure import Share
from curewright.judge.scene import Thing
from curewright.read.entries import read_entries
from curewright.read.layout_file import read_layout
from curewright.read.load import read_load
from curewright.read.recorder import read_export
from curewright.read.rulings import read_rulings
from curewright.terms.load import Load, Ruling, Vessel
from curewright.terms.run import Closing, RecorderClock, Recording, Run
from curewright.terms.units import Quantity, unit_named
from curewright.understand.specification import understand
from tests.requirements.case_log import DAY, Log, case_time, log_of
from tests.requirements.pages import head, merged, sections

if TYPE_CHECKING:
    from curewright.judge.steps import When
    from curewright.terms.requirement import Specification
    from curewright.terms.verdict import Judgement

PART = """\
serial: S1
number: P-1
revision: A
lot: L-1
bag: B1
tool: T1
specification: EX-1
specification revision: A
"""
Blocks = dict[str, str]  # the blocks of a trial: their kind and text
NOTHING = 'clauses:\n  "0": {says: nothing is judged here, not covered: nothing is judged here}\n'
VESSEL = Vessel("V1", (), (), ())


@dataclass(frozen=True)
class CaseClock:
    """Reads the times that people wrote in a case (minutes, or times of day) instead of dates."""

    first: int

    def instant(self, text: str, where: object = None) -> int:
        """Ns since the first sample of the record."""
        return case_time(text) - self.first


@dataclass(frozen=True)
class Judged:
    """What came of a trial."""

    specification: Specification
    load: Load
    run: Run
    rulings: tuple[Ruling, ...]
    judgement: Judgement
    first: int

    def when(self, event: str) -> When:
        """When an event was, for the first part."""
        scene = scene_for(hall_of(VESSEL, self.load, self.run, self.rulings), self.load.parts[0], (self.specification,))
        return when(scene, event, Thing("part", self.load.parts[0].serial))


def specification_of(blocks: Blocks) -> Specification:
    """The specification of a trial: its fragment in the head of the README."""
    text = merged(head(), blocks.get("yaml", ""))
    return understand(text if "clauses" in sections(text) else text + NOTHING, "specification.yaml")


def judged(blocks: Blocks) -> Judged:
    """The judgement of a trial. Raises :class:`~curewright.terms.errors.CurewrightError` for what is refused."""
    return _judged(tuple(blocks.items()))


@lru_cache(maxsize=2)  # its expectations are held against it one by one, some of them made wrong
def _judged(items: tuple[tuple[str, str], ...]) -> Judged:
    blocks = dict(items)
    specification = specification_of(blocks)
    parts = parts_of(blocks)
    log = log_of(blocks["log"], sections(parts[0])["serial"].partition(": ")[2].strip())
    clock = CaseClock(log.first)
    load = read_load(_load_sheet(blocks, log, parts).encode(), "load.yaml", VESSEL, clock, DAY)
    run = _with_second(_run(blocks, log, clock), blocks, log)
    rulings = _listed(blocks, "rulings", lambda content: read_rulings(content, "rulings.yaml", clock))
    cards = cards_of((specification,))
    earlier = _earlier(blocks, load)

    def with_these(these: tuple[Ruling, ...]) -> Judgement:
        return judge((specification,), VESSEL, load, run, these, earlier=earlier, cards=cards)

    judgement = judged_with_rulings(with_these, rulings, load)
    return Judged(specification, load, run, rulings, judgement, log.first)


def parts_of(blocks: Blocks) -> list[str]:
    """Each part of the load as YAML: what the case says of it, the rest as the README states."""
    if "parts" in blocks:
        items = re.split(r"^- ", blocks["parts"], flags=re.MULTILINE)[1:]
        return [merged(PART, re.sub(r"^  ", "", item, flags=re.MULTILINE)) for item in items]
    return [merged(PART, blocks.get("part", ""))]


def _load_sheet(blocks: Blocks, log: Log, parts: list[str]) -> str:
    said = [f"  - {line}" for line in _map_lines(blocks, log)]
    bags = {sections(part)["bag"].partition(": ")[2].strip() for part in parts}
    listed = blocks.get("bags") or "".join(f"{bag}: {{ports: [source, transducer]}}\n" for bag in sorted(bags))
    return (
        "load: R-1\nvessel: V1\nparts:\n"
        + "".join("  - " + part.replace("\n", "\n    ").rstrip() + "\n" for part in parts)
        + "bags:\n"
        + "".join(f"  {line}\n" for line in listed.splitlines())
        + "map by: planner A\nmap:\n"
        + "\n".join(said)
        + "\n"
    )


def _map_lines(blocks: Blocks, log: Log) -> list[str]:
    """The lines that a case writes itself, and the rest from the headings of the log."""
    written = [line.removeprefix("- ") for line in blocks.get("map", "").splitlines() if line.strip()]
    named = {found for line in written for found in re.findall(r"(?:sensor|channel): ([^,}]+)", line)}
    return written + [line for name, line in log.map_lines().items() if name not in named]


def _run(blocks: Blocks, log: Log, clock: CaseClock) -> Run:
    said = {key: line.partition(":")[2].strip() for key, line in sections(blocks.get("run", "")).items()}
    export = read_export(log.content, "log.csv", read_layout(log.layout, "layout.yaml"))
    channels, notes = export.channels(export.first)
    closing = Closing("inspector B", said.pop("covers", "yes") == "yes", export.last - export.first)
    if said.pop("closed", "yes") == "no":
        closing = None
    barometer = said.pop("barometer", None)
    said.pop("second clock", None)
    if said:
        raise ValueError(f"the run block says {', '.join(said)}; known are covers, closed, barometer and second clock")
    entries = _listed(blocks, "entries", lambda content: read_entries(content, "entries.yaml", clock))
    ambient = None if barometer is None else _quantity(barometer).grains
    return Run("R-1", DAY, "V1", channels, tuple(entries), closing, ambient, "the case", notes=notes)


def _with_second(run: Run, blocks: Blocks, log: Log) -> Run:
    """The run with a second recorder of the same sensors, its clock known to what the run block says."""
    if "second" not in blocks:
        return run
    second = log_of(blocks["second"], "S1")
    export = read_export(second.content, "second.csv", read_layout(second.layout, "layout.yaml"))
    first = read_export(log.content, "log.csv", read_layout(log.layout, "layout.yaml")).first
    channels = {
        f"{name} (backup)": replace(channel, name=f"{name} (backup)", second_of=name, recorder="backup")
        for name, channel in export.channels(first)[0].items()
    }
    bound = sections(blocks.get("run", "")).get("second clock", "second clock: 0 s").partition(":")[2]
    clock = RecorderClock(0, 0, int(_quantity(bound.strip()).grains), "the case", person="inspector B")
    recording = Recording("backup", ("second.csv",), 0, export.last - first, 0, clock=clock)
    return replace(run, channels={**run.channels, **channels}, recordings=(recording,))


def barometer_of(blocks: Blocks) -> float:
    """The barometer that a trial states, in grains."""
    return _quantity(sections(blocks["run"])["barometer"].partition(":")[2].strip()).grains


def _quantity(text: str) -> Quantity:
    number, _, unit = text.partition(" ")
    return Quantity(Decimal(number), unit_named(unit))


def _listed(blocks: Blocks, kind: str, read):
    if kind not in blocks:
        return ()
    indented = "".join(f"  {line}\n" for line in blocks[kind].splitlines())
    return read(f"{kind}:\n{indented}".encode())


def _earlier(blocks: Blocks, load: Load) -> dict | None:
    """Shares of earlier runs: lines `S1, 7.2 exposure: R-0399 2 count; R-0401 not known`."""
    if "earlier" not in blocks:
        return None
    found = {}
    for line in blocks["earlier"].splitlines():
        who, _, said = line.partition(": ")
        serial, _, which = who.partition(", ")
        clause, _, form = which.partition(" ")
        shares = [_share(text.strip()) for text in said.split(";")]
        found[(serial, clause, form)] = None if None in shares else tuple(shares)
    return found


def _share(text: str) -> Share | None:
    run, _, amount = text.partition(" ")
    if amount == "not known":
        return None
    grains = int(_quantity(amount).grains)
    return Share(run, grains, grains)
