"""The examples of docs/formats make one run: each page's example is read as it stands, and fits the packaged schema of its page."""

import json
from datetime import datetime, timedelta, timezone

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from curewright.read.folder import RunInputs, read_folder
from curewright.read.schema import FOLDER, FORMS, as_text, schemas
from curewright.read.traceability import trace
from curewright.terms.errors import Errors
from tests.unit.read.pages import DOCS, example

PAGES = ("run", "vessel", "load", "layout", "entries", "rulings")
MINUTE = 60 * 10**9


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> RunInputs:
    folder = tmp_path_factory.mktemp("run")
    for page in PAGES:
        (folder / f"{page}.yaml").write_text(example(page, "yaml"), encoding="utf-8")
    (folder / "ports.csv").write_text(example("ports", "csv"), encoding="utf-8")
    (folder / "log.csv").write_bytes(example("layout", "csv").encode("cp1252"))
    return read_folder(folder)


def test_the_run(read: RunInputs) -> None:
    run = read.run
    assert run.number == "R-0412"
    assert run.start == datetime(2031, 3, 4, 21, 40, tzinfo=timezone(timedelta(hours=1)))
    assert run.barometer == 99_800_000
    assert run.barometer_from == "barometer B-7, read by C. Inspector"
    assert run.closing is not None
    assert (run.closing.author, run.closing.covers, run.closing.end) == ("C. Inspector", True, 25 * MINUTE)
    assert run.closing.at == "2031-03-04T22:30:00+01:00"
    assert [name for name, _ in run.files] == [
        "run.yaml", "vessel.yaml", "ports.csv", "log.csv", "layout.yaml", "load.yaml", "entries.yaml", "rulings.yaml",
    ]  # fmt: skip
    assert [path.name for path in read.specifications] == ["EX-1.yaml"]


def test_the_channels(read: RunInputs) -> None:
    channels = read.run.channels
    assert set(channels) == {"T01", "T02", "T03", "Air", "Pressure", "V01", "Segment"}
    assert channels["T01"].raw.tolist() == [293_650_000, 293_750_000, 293_750_000, 309_250_000]
    assert channels["T01"].v.tolist() == [294_050_000, 294_150_000, 294_150_000, 309_650_000]
    assert channels["T02"].bad.tolist() == [False, True, True, False]
    assert channels["T02"].row.tolist() == [4, 5, 6, 7]
    assert channels["Pressure"].t.tolist() == [0, MINUTE, 25 * MINUTE]
    assert channels["V01"].v[0] == -84_500_000
    assert channels["V01"].reference == "gauge"
    assert channels["V01"].bad.tolist() == [False, False, True, False]
    assert channels["Segment"].states == ("vacuum", "heat")
    assert channels["Segment"].v.tolist() == [0, 0, 0, 1]


def test_load_entries_and_rulings(read: RunInputs) -> None:
    part = read.load.parts[0]
    assert (part.serial, part.specification, part.specification_revision, part.bag) == ("00123", "EX-1", "C", "bag 1")
    assert str(part.attribute("thickness")) == "2.9 mm"
    assert part.attribute("construction") == "laminate"
    assert part.concessions[0].limits.written == "at least 338 degF"
    swapped = [(a.sensor, a.channel, a.position, a.author) for a in read.load.map if a.place == "edge top"]
    assert swapped == [("TC2", "T02", "TC-B", "A. Planner"), ("TC3", "T03", "TC-B", "B. Operator")]
    assert [a.start for a in read.load.map if a.author == "B. Operator"] == [20 * MINUTE]
    named = [(e.name, e.thing, e.at // MINUTE, e.until and e.until // MINUTE) for e in read.run.entries]
    assert named == [
        ("leak check", "bag 1", -100, -95), ("reading", "bag 1", -100, None), ("reading", "bag 1", -95, None),
        ("alarm", "TC2", 1, None), ("log", "run", 5, None), ("source closed", "bag 1", 10, 15), ("reading", "bag 1", 10, None),
    ]  # fmt: skip
    ruling = read.rulings[0]
    assert (ruling.sensor, ruling.start, ruling.end, ruling.second) == ("TC2", MINUTE // 2, 26 * MINUTE, "D. Engineer")


def test_its_traceability(read: RunInputs) -> None:
    assert trace(read.vessel, read.load, read.run, {"00123": 2}, read.rulings) == ()


@pytest.mark.parametrize("name", sorted(schemas()))
def test_packaged_schemas_are_current(name: str) -> None:
    packaged = (FOLDER / f"{name}.json").read_text(encoding="utf-8")
    assert packaged == as_text(schemas()[name]), "run: python -m curewright.read.schema"
    Draft202012Validator.check_schema(json.loads(packaged))


def test_no_schema_is_left_over() -> None:
    assert {file.stem for file in FOLDER.glob("*.json")} == set(schemas())


@pytest.mark.parametrize("page", PAGES)
def test_examples_fit_their_schema(page: str) -> None:
    plain = json.loads(json.dumps(YAML(typ="safe", pure=True).load(example(page, "yaml")), default=str))
    errors = [error.message for error in Draft202012Validator(schemas()[page]).iter_errors(plain)]
    assert errors == []


@pytest.mark.parametrize("page", PAGES)
def test_a_field_that_is_not_known_is_refused_by_schema_and_reader_alike(page: str) -> None:
    broken = example(page, "yaml") + "nonsense: 1\n"
    plain = json.loads(json.dumps(YAML(typ="safe", pure=True).load(broken), default=str))
    assert any("nonsense" in error.message for error in Draft202012Validator(schemas()[page]).iter_errors(plain))
    line = broken.count("\n")
    with pytest.raises(Errors) as refused:
        FORMS[page].of_file(broken.encode(), f"{page}.yaml")
    assert str(refused.value).startswith(f"{page}.yaml:{line}:1: 'nonsense' is no field of {FORMS[page].what}")


def test_the_page_of_the_run_sheet_has_a_line_for_every_field() -> None:
    page = (DOCS / "run.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1] for line in page.splitlines() if line.startswith("| `")]
    told = [name for row in rows for name in row.split("`")[1::2]]
    assert sorted(told) == sorted(schemas()["run"]["properties"])
