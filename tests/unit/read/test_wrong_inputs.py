# ruff: noqa: E501  (messages stand as they are printed)
"""Wrong inputs as a quality engineer types them into the demo's files: each is refused with what was found, expected, where, and to do."""

from pathlib import Path
from shutil import copytree

import pytest

from curewright.jobs.check_run import check_run
from curewright.jobs.understand_run import RunFiles, understand_run
from curewright.read.propose import propose
from curewright.terms.errors import CurewrightError

DEMO = Path(__file__).resolve().parents[3] / "src" / "curewright" / "jobs" / "demo_files"
PAPER = "specification-EX-177-2.yaml"
ROWS = "".join(f"2026-03-04 05:{40 + i}:00,heat,{20 + i},{20 + i},{20 + i},{20 + i}\n" for i in range(9))
LOG = f"Time,Segment,Air 1,Air 2,TC01,TC02\n,,degC,degC,degC,degC\n{ROWS}"
COLUMNS = (
    "columns: [{columns: [Air 1, Air 2, TC01, TC02], unit: degC, kind: continuous}, {columns: Segment, kind: state}]\n"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo's files, with a log of nine rows."""
    made = copytree(DEMO, tmp_path / "run")
    (made / "recorder.csv").write_text(LOG, encoding="utf-8")
    head = (DEMO / "layout.yaml").read_text(encoding="utf-8").split("columns:\n")[0]
    (made / "layout.yaml").write_text(head.replace("header: 3", "header: 0") + COLUMNS, encoding="utf-8")
    return made


def changed(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text, old
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


WRONG = [
    (PAPER, "within: at most 365}", "within: around 365}", "'around 365' states no tolerance", "'at most 365'"),
    (PAPER, "within: at most 365}", "within: ca. 365}", "'ca. 365' states no tolerance", "'365 ± …'"),
    (PAPER, "within: at most 365}", "within: <= 365}", "'<='; expected 'at least', 'at most'", "write 'at most 365'"),
    (PAPER, "within: at most 365}", "within: max 365}", "'max'; expected 'at least', 'at most'", "write 'at most 365'"),
    (PAPER, "within: at most 365}", "within: 365 max}", "'max' is not a unit known here", "write 'at most' before the number"),
    (PAPER, "within: at most 365}", "within: hot}", "'hot'; expected a limit, such as 'at least 120'", ""),
    (PAPER, "within: at most 365}", "within: at most 365,0}", "'0' is no field of 'band'", "write decimals with a point"),
    (PAPER, "within: 85 +15/-0}", "within: 85-100}", "'85-100'; expected a number", "write '85 to 100'"),
    (PAPER, "within: 120 +30/-0", "within: 2 h +30/-0 min", "'h' and 'min' in one limit", "write all its numbers in h or all in min"),
    (PAPER, "rate: degF/min}", "rate: degF}", "expected a unit of temperature rate, such as 'degF/min' or 'degC/min'", "correct it"),
    (PAPER, "within: 1 to 5 degF/min", "within: 1 to 5 degF", "'degF' is a unit of temperature", "such as 'degF/min'"),
    (PAPER, "of: coldest part thermocouple", "of: coldest thermocouple", "'thermocouple'; expected which thermocouples are meant",
     "write 'coldest part thermocouple'"),
    ("entries.yaml", 'at: "2026-03-04 09:43:00"', 'at: "09:43"', "'09:43' is no date and time", "write the date before it"),
    ("entries.yaml", 'at: "2026-03-04 09:43:00"', "at: 04.03.2026 09:43", "is no date and time", "write the year, then the month, then the day"),
    ("entries.yaml", "plus or minus: 10 s", "plus or minus: 10", "'10' has no unit; expected a unit of time, such as 's'", "write the unit"),
    ("entries.yaml", ", by: operator B", "", "an entry without 'by'", "write who wrote it"),
    ("vessel.yaml", "due: 2026-06-30", "due: 30.06.2026", "'30.06.2026' is no date", "write the year, then the month"),
    ("vessel.yaml", "tolerance: special", "tolerance: Special", "'Special'; expected 'standard'", "did you mean 'special'?"),
    ("vessel.yaml", "wire: K", "wire: k", "'k'; expected a wire type", "write 'K'"),
    ("vessel.yaml", "accuracy: 0.5 degC", "accuracy: 0.1 %", "expected a difference of temperature or of pressure", "a share (percent)"),
    ("vessel.yaml", "accuracy: 0.5 degC", "accuracy: ±0.5 °C", "'±'; expected a number", "leave out '±' here"),
    ("load.yaml", "out-time: {used: 6.5 day, limit: 30 day}", "out-time: 6.5 of 30 days", "an out-time is '6.5 of 30 days'", "{name: value, name: value}"),
    ("load.yaml", "thickness: 0.16 in", "thickness: 4,1 mm", "'4,1 mm' is no plain number", "write decimals with a point"),
    ("run.yaml", "[specification-EX-177-2.yaml", "[specification-EX-177.yaml", "specification-EX-177.yaml: the specification cannot be read",
     "check its name under 'specifications' in the run sheet"),
    ("layout.yaml", "separator: comma", "separator: semicolon", "the header has 1 cell, 'Time,Segment,Air 1,Air 2,TC01,TC02', and nearly no column", "correct the separator"),
]  # fmt: skip


@pytest.mark.parametrize("file, old, new, found, to_do", WRONG, ids=[case[2] or case[1] for case in WRONG])
def test_it_says_what_was_found_and_what_to_do(
    folder: Path, file: str, old: str, new: str, found: str, to_do: str
) -> None:
    changed(folder, file, old, new)
    with pytest.raises(CurewrightError) as refused:
        understand_run(RunFiles(folder))
    said = next(line for line in str(refused.value).splitlines() if found in line)
    assert to_do in said
    assert said.split(":")[0] in (file, new.strip("["), "layout.yaml")


ANOTHER = [
    (
        "layout.yaml",
        "load.yaml",
        "this is not a layout: it has 'load', 'vessel', 'parts', 'bags', …; expected a layout, with 'layout'",
    ),
    ("entries.yaml", PAPER, "this is not hand entries: it has 'specification', 'revision', 'status', 'approved by', …"),
]


@pytest.mark.parametrize("file, content_of, said", ANOTHER)
def test_another_file_in_its_place_is_told_in_one_line(folder: Path, file: str, content_of: str, said: str) -> None:
    (folder / file).write_bytes((folder / content_of).read_bytes())
    with pytest.raises(CurewrightError) as refused:
        understand_run(RunFiles(folder))
    lines = [line for line in str(refused.value).splitlines() if line.startswith(file)]
    assert len(lines) == 1
    assert said in lines[0]
    assert "To do: name the file" in lines[0]


def test_a_folder_without_a_run_sheet_says_what_is_missing(tmp_path: Path) -> None:
    for read in (understand_run, check_run):
        with pytest.raises(CurewrightError, match=r"run\.yaml: there is no run sheet; expected a file 'run\.yaml'"):
            read(RunFiles(tmp_path))


def test_a_jack_that_has_no_sensor_says_which_have_one(folder: Path) -> None:
    changed(folder, "load.yaml", "jack: J1,", "jack: J99,")
    with pytest.raises(
        CurewrightError, match=r"no sensor is behind the jack J99 in vessel\.yaml; expected one of J1, J2, J3"
    ):
        understand_run(RunFiles(folder))


@pytest.mark.parametrize(
    "begins, what", [(b"%PDF-1.7\n", "a PDF"), (b"\x89PNG\r\n", "a picture"), (b"\xff\xd8\xff\xe0", "a picture")]
)
def test_a_picture_of_a_table_is_no_export(begins: bytes, what: str) -> None:
    with pytest.raises(CurewrightError, match=rf"export: this is {what}.*have the recorder write CSV or \.xlsx"):
        propose(begins + b"\x80\x81" * 40, "export")


@pytest.mark.parametrize("new", ["10 sec", "1 hr", "2 mins", "1 d"])
def test_spellings_of_a_unit_of_time_that_can_mean_nothing_else_are_taken(folder: Path, new: str) -> None:
    changed(folder, "entries.yaml", "plus or minus: 10 s", f"plus or minus: {new}")
    changed(folder, PAPER, "within: at most 365}", "within: hot}")
    with pytest.raises(CurewrightError) as refused:
        understand_run(RunFiles(folder))
    assert "entries.yaml" not in str(refused.value)


def test_a_specification_of_another_revision_is_found_by_the_check(folder: Path) -> None:
    changed(folder, "load.yaml", "specification revision: C", "specification revision: c")
    with pytest.raises(
        CurewrightError, match="part 00101 follows specification EX-177-2 revision c, which was not given"
    ):
        check_run(RunFiles(folder))
