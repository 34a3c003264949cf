"""Excel workbooks as recorder exports: the same values as through openpyxl; errors and unsaved results are never values, nor blanks."""

import re
import zipfile
from datetime import datetime, time, timedelta
from io import BytesIO

import openpyxl
import pytest

from curewright.read.layout_file import read_layout
from curewright.read.propose import propose
from curewright.read.recorder import Export, read_export
from curewright.read.workbook import as_text, no_values, workbook
from curewright.terms.errors import CurewrightError, FileError

SAID = """layout: L
encoding: workbook
separator: cells
decimal sign: point
lines before the header: any
header rows: [names, units]
time: {columns: Time, format: iso, zone: UTC}
blank means: not sampled
columns: [{columns: [A, B], unit: degC, kind: continuous}, {columns: S, kind: state}]
"""
START = datetime(2031, 3, 4, 21, 40)


def packed(*rows: tuple[object, ...], **others: list[tuple[object, ...]]) -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(row)
    for name, more in others.items():
        sheet = book.create_sheet(name)
        for row in more:
            sheet.append(row)
    content = BytesIO()
    book.save(content)
    return content.getvalue()


def rows(count: int = 60) -> list[tuple[object, ...]]:
    return [
        (START + timedelta(seconds=10 * i), 20 + i / 7, None if i == 3 else i, "heat" if i > 30 else "soak")
        for i in range(count)
    ]


HEAD: list[tuple[object, ...]] = [("Recorder 7",), (), ("Time", "A", "B", "S"), (None, "C", "C")]


def read(content: bytes, said: str = SAID) -> Export:
    return read_export(content, "log.xlsx", read_layout(said.encode(), "layout.yaml"))


def test_the_same_values_as_through_openpyxl() -> None:
    content = packed(*HEAD, *rows())
    export = read(content)
    found = export.channels(export.first)[0]
    page = openpyxl.load_workbook(BytesIO(content)).active
    assert page is not None
    cells = [[cell.value for cell in row] for row in page.iter_rows(min_row=5)]
    assert found["A"].v.tolist() == [round((row[1] + 273.15) * 1e6) for row in cells]  # type: ignore[operator]
    assert [t // 10**9 for t in found["A"].t] == [(row[0] - START).total_seconds() for row in cells]  # type: ignore[operator]
    assert found["B"].v.tolist() == [(row[2] + 273.15) * 1e6 for row in cells if row[2] is not None]  # type: ignore[operator]
    assert [found["S"].states[int(v)] for v in found["S"].v] == [row[3] for row in cells]
    assert found["A"].row.tolist() == list(range(5, 65))


def test_it_is_proposed_and_read_through_its_proposal() -> None:
    content = packed(("Notes",), ("nothing here",), Data=[*HEAD, *rows()])
    proposal = propose(content, "log.xlsx")
    assert [question.key for question in proposal.questions] == ["recorder", "time zone", "open codes"]
    assert "sheet: Data  # the only sheet with rows that have a time" in proposal.yaml()
    answers = {"time zone": "UTC", "recorder": "main", "open codes": "none"}
    layout = read_layout(proposal.yaml(answers, "A. Person").encode(), "layout.yaml")
    export = read_export(content, "log.xlsx", layout)
    assert export.channels(export.first)[0]["A"].v[7] == 294_150_000


def broken(content: bytes, cell: str, error: bool) -> bytes:
    """The workbook with an error, or a formula without a saved result, in a cell (written into the sheet's own XML)."""
    inside = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(inside, "w") as new:
        for name in old.namelist():
            raw = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                made = f'<c r="{cell}" t="e"><v>#N/A</v></c>' if error else f'<c r="{cell}"><f>A1/0</f><v></v></c>'
                raw, count = re.subn(rf'<c r="{cell}"[^>]*>.*?</c>'.encode(), made.encode(), raw)
                assert count == 1
            new.writestr(name, raw)
    return inside.getvalue()


@pytest.mark.parametrize("error, text", [(True, "#N/A"), (False, "formula without a result")])
def test_an_error_or_an_unsaved_result_is_neither_a_value_nor_a_blank(error: bool, text: str) -> None:
    content = broken(packed(*HEAD, *rows()), "B7", error)
    assert no_values(content, "Sheet") == {(7, 2): text}
    with pytest.raises(CurewrightError, match=rf"^log\.xlsx:7: '{text}' in the column 'A' is neither a number"):
        read_all(content)
    export = read(content, SAID + f'open codes: ["{text}"]\n')
    assert export.channels(export.first)[0]["A"].bad.tolist() == [i == 2 for i in range(60)]


def read_all(content: bytes) -> None:
    export = read(content)
    export.channels(export.first)


def test_an_error_in_a_state_is_not_let_through_as_a_state_when_it_is_a_code() -> None:
    content = broken(packed(*HEAD, *rows()), "D7", error=True)
    export = read(content, SAID + 'open codes: ["#N/A"]\n')
    assert export.channels(export.first)[0]["S"].bad.tolist() == [i == 2 for i in range(60)]


def test_several_sheets_are_not_chosen_from() -> None:
    content = packed(*HEAD, *rows(), Second=[*HEAD, *rows()])
    with pytest.raises(FileError, match=r"the workbook has 2 sheets with cells; expected one of 'Sheet', 'Second'"):
        read(content)
    assert read(content, SAID + "sheet: Second\n").first == read(packed(*HEAD, *rows())).first
    with pytest.raises(FileError, match="the workbook has no sheet 'Third'"):
        read(content, SAID + "sheet: Third\n")
    with pytest.raises(FileError, match="the workbook has 2 sheets with rows that have a time"):
        propose(content, "log.xlsx")


@pytest.mark.parametrize(
    "cell, text",
    [
        (20.1, "20.1"), (1773.0, "1773"), (1e300, "1e+300"), (True, "TRUE"), ("  a  b ", "a b"), (time(21, 40), "21:40:00"),
        (datetime(2031, 3, 4, 21, 40, 9, 999_999), "2031-03-04 21:40:10"), (timedelta(hours=27, seconds=1.5), "27:00:01.500"), ("", ""),
    ],
)  # fmt: skip
def test_cells_as_they_would_be_typed(cell: object, text: str) -> None:
    assert as_text(cell) == text


def test_numbers_follow_the_decimal_sign_of_the_layout() -> None:
    assert as_text(20.5, ",") == "20,5"


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"text"])
def test_what_is_no_workbook_is_refused(content: bytes) -> None:
    with pytest.raises(FileError, match=r"^log\.xlsx: the (file is not readable as a workbook|workbook is damaged)"):
        workbook(content, "log.xlsx")


def test_a_stray_cell_far_away_is_refused_before_room_is_made_for_all_between() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Time", "TC1"])
    sheet["XFD1048576"] = 1  # the last cell that a sheet has: 17 thousand million cells to it
    made = BytesIO()
    book.save(made)
    with pytest.raises(FileError, match="spans far more than its filled cells"):
        workbook(made.getvalue(), "log.xlsx")


@pytest.mark.parametrize(
    "reference",
    [
        "r='XFD1048576'",
        'r="A755555"',
        'r = "xfd1048576"',
        'r="LLLLLLLLLLLLLLLLLLLLLLLLD2"',
        'r="123456789"',
        'r="XFE1"',
        'r="INFB3"',
        'r="A1048577"',
    ],
)
def test_a_stray_cell_far_away_is_refused_however_its_place_is_written(reference: str) -> None:
    book = openpyxl.Workbook()
    book.active.append(["Time", "TC1"])
    made, damaged = BytesIO(), BytesIO()
    book.save(made)
    with zipfile.ZipFile(made) as old, zipfile.ZipFile(damaged, "w") as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).decode().replace('r="B1"', reference))
    with pytest.raises(FileError, match=r"spans (far more than its filled|[0-9,]{11,}) cells"):
        workbook(damaged.getvalue(), "log.xlsx")
