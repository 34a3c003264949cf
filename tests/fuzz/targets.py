"""What chance bytes are thrown at: each reader, with files to begin from. A reader reads them or refuses them as a CurewrightError;
anything else that comes out of it is a defect. ``make fuzz`` looks for new ones; what it found is kept in ``found/`` and tried in
every test run.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import openpyxl

from curewright.read.cards import read_card
from curewright.read.entries import read_entries
from curewright.read.layout import read_layout
from curewright.read.load import read_load
from curewright.read.ports import port_list
from curewright.read.recorder import read_export
from curewright.read.rulings import read_rulings
from curewright.read.run_sheet import read_run_sheet
from curewright.read.times import Clock, zone_named
from curewright.read.vessel import read_vessel
from curewright.terms.errors import CurewrightError
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand
from tests.conftest import ROOT
from tests.unit.read.pages import example

FOUND = Path(__file__).parent / "found"
CLOCK = Clock(zone_named("Europe/Berlin"), 1_930_423_200 * 10**9)
VESSEL = read_vessel(example("vessel", "yaml").encode(), "vessel.yaml", lambda _: example("ports", "csv").encode())
LAYOUT = read_layout(example("layout", "yaml").encode(), "layout.yaml")
CUT = b"\n=====\n"  # between a layout and an export in one input


@dataclass(frozen=True)
class Target:
    """A reader, and whole files from which changed ones are made."""

    read: Callable[[bytes], object]
    seeds: tuple[bytes, ...]


def _export(content: bytes) -> None:
    export = read_export(content, "log.csv", LAYOUT)
    export.channels(export.first)


def _layout_and_export(content: bytes) -> None:
    layout, _, export = content.partition(CUT)
    read = read_export(export, "log.csv", read_layout(layout, "layout.yaml"))
    read.channels(read.first)


def _specification(content: bytes) -> None:
    understand(content, "specification.yaml")


def _english(content: bytes) -> None:
    read_back(content.decode("utf-8", errors="replace"))


def _card(content: bytes) -> None:
    read_card(content.decode("utf-8", errors="replace"), "card.yaml")


def _yaml(name: str) -> bytes:
    return example(name, "yaml").encode()


def _workbook() -> bytes:
    book, into = openpyxl.Workbook(), BytesIO()
    for row in (["port", "kind", "sensor"], ["J1", "thermocouple", "T01"], ["P1", "vacuum", "none"]):
        book.active.append(row)
    book.save(into)
    return into.getvalue()


def _files(folder: str, pattern: str) -> tuple[bytes, ...]:
    return tuple(file.read_bytes() for file in sorted((ROOT / folder).glob(pattern)))


PAPERS = _files("examples/specifications", "*.yaml")
TARGETS: dict[str, Target] = {
    "export": Target(_export, (example("layout", "csv").encode("cp1252"),)),
    "layout and export": Target(
        _layout_and_export, (_yaml("layout") + CUT + example("layout", "csv").encode("cp1252"),)
    ),
    "layout": Target(lambda content: read_layout(content, "layout.yaml"), (_yaml("layout"),)),
    "specification": Target(_specification, PAPERS),
    "english": Target(_english, tuple(english(understand(paper, "f")).encode() for paper in PAPERS[:4])),
    "load": Target(lambda content: read_load(content, "load.yaml", VESSEL, CLOCK), (_yaml("load"),)),
    "vessel": Target(
        lambda content: read_vessel(content, "vessel.yaml", lambda _: b"port,kind,sensor\n"), (_yaml("vessel"),)
    ),
    "entries": Target(lambda content: read_entries(content, "entries.yaml", CLOCK), (_yaml("entries"),)),
    "rulings": Target(lambda content: read_rulings(content, "rulings.yaml", CLOCK), (_yaml("rulings"),)),
    "run sheet": Target(lambda content: read_run_sheet(content, "run.yaml"), (_yaml("run"),)),
    "ports": Target(lambda content: port_list(content, "ports.csv"), (example("ports", "csv").encode(),)),
    "workbook": Target(lambda content: port_list(content, "ports.xlsx"), (_workbook(),)),
    "card": Target(_card, _files("src/curewright/physics/cards", "*.yaml")),
}


def tried(name: str, content: bytes) -> CurewrightError | None:
    """The refusal of a content, None where it is read. Whatever else the reader raises is a defect and goes through."""
    try:
        TARGETS[name].read(content)
    except CurewrightError as error:
        if not str(error):
            raise AssertionError("a refusal without words") from error
        return error
    return None


def kept(name: str) -> Iterator[Path]:
    """The inputs that once brought a reader down."""
    yield from sorted((FOUND / name.replace(" ", "-")).glob("*"))
