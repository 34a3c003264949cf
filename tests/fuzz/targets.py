"""What chance bytes are thrown at: each reader, with files to begin from. A reader reads them or refuses them as a CurewrightError;
anything else that comes out of it is a defect. ``make fuzz`` looks for new ones; what it found is kept in ``found/`` and tried in
every test run.
"""

import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import openpyxl

from curewright.read.cards import read_card
from curewright.read.entries import read_entries
from curewright.read.layout_file import read_layout
from curewright.read.load import read_load
from curewright.read.ports import port_list
from curewright.read.propose import propose
from curewright.read.recorder import read_export
from curewright.read.rulings import read_rulings
from curewright.read.run_sheet import read_run_sheet
from curewright.read.times import Clock, zone_named
from curewright.read.vessel import read_vessel
from curewright.terms.errors import CurewrightError
from curewright.text.yaml import read_text
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand
from tests.conftest import ROOT
from tests.torture.case import refused
from tests.torture.exports import CASES
from tests.torture.proposed import layout_of
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


def _proposed(content: bytes) -> None:
    """A layout for any bytes: the file that a person would get has to be YAML, and to be refused or to read the export."""
    proposal = propose(content, "export.csv")
    told = {"time zone": "UTC", "recorder": "none", "open codes": "none"}
    asked = {question.key for question in proposal.questions}
    text = proposal.yaml({key: answer for key, answer in told.items() if key in asked}, "operator A")
    try:
        read_text(text, "layout.yaml")
    except CurewrightError as error:
        raise AssertionError(f"the proposed layout is no YAML: {error}") from error
    export = read_export(content, "export.csv", read_layout(text.encode(), "layout.yaml"))
    export.channels(export.first)


def _torture(content: bytes) -> None:
    """An export under one of the layouts that were confirmed for the torture set; the first byte says which."""
    export = read_export(content[1:], "export.csv", LAYOUTS[content[0] % len(LAYOUTS)] if content else LAYOUT)
    export.channels(export.first)


def _sheet(content: bytes) -> None:
    """The XML of a sheet, packed into a workbook that is whole otherwise."""
    into = BytesIO()
    with zipfile.ZipFile(BytesIO(WORKBOOK)) as old, zipfile.ZipFile(into, "w") as new:
        for name in old.namelist():
            new.writestr(name, content if name == SHEET else old.read(name))
    export = read_export(into.getvalue(), "export.xlsx", OF_WORKBOOK)
    export.channels(export.first)


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
TO_BE_READ = [CASES[name]() for name in CASES if name not in refused()]
LAYOUTS = [layout_of(case) for case in TO_BE_READ]
TORTURE = tuple(content for build in CASES.values() for _, content in build().files)
SHEET = "xl/worksheets/sheet1.xml"
WORKBOOK = CASES["excel-codes-and-errors"]().files[0][1]
OF_WORKBOOK = layout_of(CASES["excel-codes-and-errors"]())
TARGETS: dict[str, Target] = {
    "proposal": Target(_proposed, TORTURE),
    "torture": Target(_torture, tuple(bytes([n]) + case.files[0][1] for n, case in enumerate(TO_BE_READ))),
    "export": Target(_export, (example("layout", "csv").encode("cp1252"),)),
    "layout and export": Target(
        _layout_and_export, (_yaml("layout") + CUT + example("layout", "csv").encode("cp1252"),)
    ),
    "sheet": Target(_sheet, (zipfile.ZipFile(BytesIO(WORKBOOK)).read(SHEET),)),
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
