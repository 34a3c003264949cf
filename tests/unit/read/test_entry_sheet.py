# ruff: noqa: E501  (sheets and messages stand as they are written)
"""Sheets of entries: leak checks by hand, as CSV and as a workbook, and what is refused."""

from datetime import datetime
from io import BytesIO

import openpyxl
import pytest

from curewright.read.entry_sheet import read_entry_sheet
from curewright.read.times import Clock, zone_named
from curewright.terms.errors import CurewrightError
from curewright.terms.run import Entry
from tests.unit.read.pages import example

MINUTE = 60 * 10**9
START = 1_930_423_200 * 10**9  # 2031-03-04T20:40:00Z
CLOCK = Clock(zone_named("+01:00"), START)
HEAD = "bag,start,end,plus or minus,reading at the start [inHg of vacuum],reading at the end [inHg of vacuum],gauge,person\n"
ROW = "bag 1,2031-03-04 21:50:00,2031-03-04 21:55:00,30 s,26.0,25.2,G-17,C. Inspector\n"


def shown(entries: tuple[Entry, ...]) -> list[tuple[object, ...]]:
    return [
        (
            e.name,
            e.thing,
            e.at // MINUTE,
            e.until and e.until // MINUTE,
            e.unit and e.unit.name,
            e.value,
            e.gauge,
            e.person,
        )
        for e in entries
    ]


# 26.0 and 25.2 inHg of vacuum as negative gauge, in mPa: 1 inHg is 3386.38864 Pa (13595.1 kg/m3 x 9.80665 m/s2 x 0.0254 m, ISO 80000-4)
EXPECTED = [
    ("leak check", "bag 1", 10, 15, None, None, "G-17", "C. Inspector"),
    ("reading", "bag 1", 10, None, "inHg of vacuum", -88_046_105, "G-17", "C. Inspector"),
    ("reading", "bag 1", 15, None, "inHg of vacuum", -85_336_994, "G-17", "C. Inspector"),
]


@pytest.mark.parametrize(
    "content", [HEAD + ROW, (HEAD + ROW).replace(",", ";"), "\ufeff" + HEAD + "\n" + ROW + ",,,,,,,\n"]
)
def test_a_leak_check_sheet(content: str) -> None:
    found = read_entry_sheet(content.encode(), "leaks.csv", CLOCK)
    assert shown(found) == EXPECTED
    assert found[0].plus_minus == 30 * 10**9
    assert found[0].text == "leak-check sheet"


def sheet(*rows: tuple[object, ...]) -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(row)
    packed = BytesIO()
    book.save(packed)
    return packed.getvalue()


def test_the_same_sheet_in_a_workbook() -> None:
    heads = tuple(HEAD.strip().split(","))
    at, until = datetime(2031, 3, 4, 21, 50), datetime(2031, 3, 4, 21, 55)
    content = sheet(heads, ("bag 1", at, until, "30 s", 26, 25.2, "G-17", "C. Inspector"))
    assert shown(read_entry_sheet(content, "leaks.xlsx", CLOCK)) == EXPECTED


def test_an_error_in_a_workbook_is_no_blank() -> None:
    content = sheet(
        tuple(HEAD.strip().split(",")),
        ("bag 1", "2031-03-04 21:50", "2031-03-04 21:55", "30 s", "=1/0", 25.2, "G-17", "C"),
    )
    with pytest.raises(
        CurewrightError, match=r"^leaks\.xlsx:2:5: the cell holds no value but 'formula without a result'"
    ):
        read_entry_sheet(content, "leaks.xlsx", CLOCK)


def test_every_kind_of_entry_may_stand_in_a_row() -> None:
    content = "event,log,sensor,at,plus or minus,by\nsource closed,,,2031-03-04 21:41,30 s,B\n,called the engineer,TC2,2031-03-04 21:42,5 min,B\n"
    found = read_entry_sheet(content.encode(), "log.csv", CLOCK)
    assert [(e.name, e.thing, e.at // MINUTE, e.text) for e in found] == [
        ("source closed", "run", 1, ""),
        ("log", "TC2", 2, "called the engineer"),
    ]


def test_the_sheet_of_the_page() -> None:
    page = example("entries", "csv")
    assert len(read_entry_sheet(page.encode(), "leaks.csv", CLOCK)) == 6


@pytest.mark.parametrize(
    "content, message",
    [
        ("", "leaks.csv: the sheet is empty"),
        (HEAD.replace("gauge", "guage") + ROW, "leaks.csv:1:103: 'guage' is no column of a sheet of entries"),
        (HEAD.replace("person", "start") + ROW, "leaks.csv:1: two columns stand for 'at'"),
        (HEAD + ROW.replace("26.0", "26.0 psi gauge"), "leaks.csv:2:"),
        (HEAD.replace(" [inHg of vacuum]", "") + ROW, "leaks.csv:2:56: '26.0' has no unit"),
        (
            HEAD.replace("plus or minus", "").replace("start,end,,", "start,end,") + ROW.replace("30 s,", ""),
            "leaks.csv:2: an entry without 'plus or minus'",
        ),
        (HEAD + ROW.replace("G-17", ""), "leaks.csv:2: a leak check without 'gauge'"),
        (HEAD + ROW.replace("21:55", "21:45"), "leaks.csv:2:27: the entry ends before it begins"),
        (HEAD + ROW.strip() + ",more\n", "leaks.csv:2:80: 'more' stands in a column without a heading"),
    ],
)
def test_what_is_refused(content: str, message: str) -> None:
    with pytest.raises(CurewrightError) as refused:
        read_entry_sheet(content.encode(), "leaks.csv", CLOCK)
    assert str(refused.value).startswith(message)
