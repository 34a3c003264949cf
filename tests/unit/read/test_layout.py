# ruff: noqa: E501  (messages stand as they are printed)
"""Layouts: units, pressure references, vacuum senses and zones are stated; what is not is refused with file, line and column."""

import pytest

from curewright.read.layout import Layout
from curewright.read.layout_file import read_layout
from curewright.terms.errors import CurewrightError

HEAD = """layout: L
encoding: utf-8
separator: comma
decimal sign: point
lines before the header: 0
header rows: names
time: {columns: Time, format: iso, zone: UTC}
blank means: lost
columns:
"""
UNIT_TODO = "'unit: degC' for instance; a pressure with its reference ('bar gauge', 'kPa absolute', 'inHg of vacuum'); it is never guessed"


def read(columns: str, head: str = HEAD) -> Layout:
    return read_layout((head + columns + "\n").encode(), "layout.yaml")


def refused(columns: str, head: str = HEAD) -> str:
    with pytest.raises(CurewrightError) as error:
        read(columns, head)
    return str(error.value)


def test_a_group_of_columns() -> None:
    found = read(
        "  - {columns: [A, B], unit: degF, kind: continuous, open codes: ['9999', OL], bad outside: -50 to 900.5}"
    )
    assert [(c.heading, c.channel, c.blank, c.kind) for c in found.columns] == [
        ("A", "A", "lost", "continuous"),
        ("B", "B", "lost", "continuous"),
    ]
    first = found.columns[0]
    assert first.unit is not None
    assert first.unit.name == "degF"
    assert (first.open_codes, first.open_numbers, first.inside) == (("9999", "OL"), (9999.0,), (-50.0, 900.5))
    assert found.header_rows == ("names",)


def test_codes_of_the_file_and_of_the_group_add_up_and_numbers_follow_the_decimal_sign() -> None:
    head = HEAD.replace("decimal sign: point", "decimal sign: comma").replace(
        "separator: comma", "separator: semicolon"
    )
    head = head.replace("blank means", "open codes: ['3276,7']\nblank means")
    found = read(
        "  - {columns: A, channel: T1, unit: degC, kind: continuous, open codes: [NaN], blank means: not sampled}", head
    )
    assert found.columns[0].open_codes == ("3276,7", "NaN")
    assert found.columns[0].open_numbers == (3276.7,)
    assert (found.columns[0].channel, found.columns[0].blank) == ("T1", "not sampled")


@pytest.mark.parametrize(
    "columns, message",
    [
        ("  - {columns: [A, B], kind: continuous}", f"layout.yaml:10:16: the column 'A', 'B' has no unit. To do: write {UNIT_TODO}"),
        ("  - {columns: A, unit: bar, kind: continuous}", "layout.yaml:10:24: the column 'A': the pressure unit 'bar' has no reference; expected "
         "'bar absolute', 'bar gauge' or 'bar of vacuum'. To do: write which one the instrument or the paper means; it is never guessed"),
        ("  - {columns: A, unit: inHg, kind: continuous}", "layout.yaml:10:24: the column 'A': the pressure unit 'inHg' has no reference; expected "
         "'inHg absolute', 'inHg gauge' or 'inHg of vacuum'. To do: write which one the instrument or the paper means; it is never guessed"),
        ("  - {columns: A, unit: degC, kind: analogue}", "layout.yaml:10:36: 'analogue'; expected 'continuous' or 'state'"),
        ("  - {columns: [A, B], channel: X, unit: degC, kind: continuous}", "layout.yaml:10:23: one channel for several columns. To do: give each "
         "column a group of its own"),
        ("  - {columns: A, unit: degC, kind: continuous}\n  - {columns: A, unit: degC, kind: continuous}", "layout.yaml:11:15: the column 'A' is "
         "described twice. To do: first at layout.yaml:10:15; delete one"),
        ("  - {columns: A, unit: degC, kind: continuous}\n  - {columns: B, channel: A, unit: degC, kind: continuous}", "layout.yaml:11:15: the "
         "channel 'A' is described twice. To do: first at layout.yaml:10:15; delete one"),
        ("  - {columns: A, unit: degC, kind: continuous, bad outside: 400 to -20}", "layout.yaml:10:61: '400 to -20'; expected two numbers in the "
         "column's unit, the lower one first, such as '-20 to 400'"),
        ("  - {columns: A, kind: state, bad outside: 0 to 1}", "layout.yaml:10:44: '0 to 1'; expected two numbers in the column's unit, the lower "
         "one first, such as '-20 to 400'"),
    ],
)  # fmt: skip
def test_columns_that_leave_something_open(columns: str, message: str) -> None:
    assert refused(columns) == message


GOOD = "  - {columns: A, unit: degC, kind: continuous}"


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("decimal sign: point", "decimal sign: comma", "layout.yaml:4:1: separator and decimal sign are the same. To do: nobody can tell them apart"),
        ("header rows: names", "header rows: [skipped]", "layout.yaml:6:1: the names do not stand in exactly one header row; expected 'names' once"),
        ("zone: UTC", "zone: local", "layout.yaml:7:42: 'local' is no time zone known on this machine; expected a zone such as 'Europe/Berlin', an "
         "offset such as '+01:00', 'UTC', or 'in the text' where each time carries its offset. To do: state the zone that the clock was set to"),
        (", zone: UTC", "", "layout.yaml:7:7: the time without 'zone'; expected 'zone: …'. To do: write 'Europe/Berlin', '+01:00', 'UTC', or 'in the text'; never guessed"),
        ("format: iso", 'format: "%H:%M"', "layout.yaml:7:31: the time format '%H:%M' does not fix a date and a time of day; expected 'iso', or year, "
         "month, day, hour (with %I also %p) and minute, for instance '%d.%m.%Y %H:%M:%S'"),
        ("blank means: lost\n", "", "layout.yaml:1:1: a layout without 'blank means'; expected 'blank means: …'. To do: write what an empty cell means"),
        ("encoding: utf-8\n", "", "layout.yaml:1:1: a layout without 'encoding'; expected 'encoding: …'. To do: write utf-8, cp1252, latin-1, utf-16, …; 'workbook' for an Excel file"),
        ("header: 0", "header: -1", "layout.yaml:5:26: '-1'; expected a whole number, 0 or more"),
    ],
)  # fmt: skip
def test_a_layout_that_leaves_something_open(old: str, new: str, message: str) -> None:
    assert old in HEAD
    assert refused(GOOD, HEAD.replace(old, new)) == message


def test_all_that_is_wrong_is_told_at_once() -> None:
    text = refused("  - {columns: A, kind: continuous}\n  - {columns: B, unit: psi, kind: continuous}")
    assert [line.split(": ")[0] for line in text.split("\n")] == ["layout.yaml:10:15", "layout.yaml:11:24"]
