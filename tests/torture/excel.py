"""Excel workbooks, written with openpyxl: the formats of recorders' own software and of people who saved an export again."""

from datetime import datetime, timedelta
from io import BytesIO
from typing import Any

import openpyxl
from openpyxl.chart import LineChart
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from tests.torture.case import Bad, Case, Truth, case, clock, local, truth

MADE = datetime(2031, 3, 5, 8, 0)


def saved(book: openpyxl.Workbook) -> bytes:
    """The workbook's bytes."""
    book.properties.created = book.properties.modified = MADE
    into = BytesIO()
    book.save(into)
    return into.getvalue()


def number(cell: str | None) -> float | str | None:
    """A cell as a recorder's software puts it into a workbook: numbers as numbers."""
    if cell is None or cell == "":
        return None
    return str(cell) if isinstance(cell, Bad) and not cell.strip("-").isdigit() else float(cell)


def moments(t: Truth) -> list[datetime]:
    """The local times without zone, as Excel keeps them."""
    return [local(x).replace(tzinfo=None) for x in t.times]


def body(t: Truth, times: list[Any] | None = None) -> list[list[Any]]:
    """Header and rows."""
    columns = [[number(cell) for cell in cells] for cells in t.cells.values()]
    return [["Time", *t.cells], *(list(row) for row in zip(times or moments(t), *columns, strict=True))]


def workbook(t: Truth, rows: list[list[Any]], **other: Any) -> Case:
    """A case of one workbook with one sheet of these rows."""
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    return t.case(saved(book), suffix="xlsx", **other)


@case
def excel_plain() -> Case:
    """One sheet: header, dates as dates, numbers as numbers."""
    t = truth("excel_plain")
    return workbook(t, body(t))


@case
def excel_with_title_and_units() -> Case:
    """Merged title cells, an empty row, names, units; a hidden column; a second sheet of notes."""
    t = truth("excel_with_title_and_units")
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Data"
    rows = body(t)
    for row in [["Cure record 4711"], [], rows[0], [None, "°C", "°C", "°C", "bar"], *rows[1:]]:
        sheet.append(row)
    sheet.merge_cells("A1:E1")
    sheet.column_dimensions["C"].hidden = True
    book.create_sheet("Notes").append(["Fan on at 21:30"])
    return t.case(saved(book), suffix="xlsx", answers=t.answers(more={"sheet": "Data"}))


@case
def excel_behind_a_sheet_of_charts() -> Case:
    """The first sheet holds a chart and no cells."""
    t = truth("excel_behind_a_sheet_of_charts")
    book = openpyxl.Workbook()
    book.active.title = "Log"
    for row in body(t):
        book["Log"].append(row)
    book.create_chartsheet("Chart", 0).add_chart(LineChart())
    return t.case(saved(book), suffix="xlsx", answers=t.answers(more={"sheet": "Log"}))


@case
def excel_dates_as_text() -> Case:
    """Dates are text, day first with dots."""
    t = truth("excel_dates_as_text", start=datetime(2031, 3, 24, 21, 40, tzinfo=local(0).tzinfo))
    return workbook(t, body(t, clock(t, "%d.%m.%Y %H:%M:%S")))


@case
def excel_date_and_time_apart() -> Case:
    """A column of dates and a column of times of day."""
    t = truth("excel_date_and_time_apart")
    rows = [[row[0].date(), row[0].time(), *row[1:]] for row in body(t)[1:]]
    return workbook(t, [["Date", "Time", *t.cells], *rows])


@case
def excel_counted_from_1904() -> Case:
    """A workbook whose days are counted from 1904."""
    t = truth("excel_counted_from_1904")
    book = openpyxl.Workbook()
    book.epoch = CALENDAR_MAC_1904
    for row in body(t):
        book.active.append(row)
    return t.case(saved(book), suffix="xlsx")


@case
def excel_elapsed() -> Case:
    """Elapsed time as Excel's own durations ([h]:mm:ss), beyond a day; the start is told."""
    t = truth("excel_elapsed", step=8000)
    spans = [timedelta(microseconds=(x - t.times[0]) // 1000) for x in t.times]
    told = t.answers(more={"start": "2031-03-04 21:40:00"})
    return workbook(t, [["Elapsed", *t.cells], *body(t, spans)[1:]], answers=told)


@case
def excel_numbers_as_text() -> Case:
    """One column holds its numbers as text, with points."""
    t = truth("excel_numbers_as_text")
    rows = body(t)
    for row, cell in zip(rows[1:], t.cells["TC2"], strict=True):
        row[2] = cell
    return workbook(t, rows)


@case
def excel_codes_and_errors() -> Case:
    """#N/A as an error cell, OL as text, 9999 as a number: all declared."""
    t = truth("excel_codes_and_errors")
    t.cells["TC1"][3], t.cells["TC1"][5], t.cells["TC2"][7] = Bad("#N/A"), Bad("OL"), Bad("9999")
    return workbook(t, body(t), answers=t.answers(codes=("#N/A", "OL", "9999")))


@case
def excel_blanks() -> Case:
    """Empty cells that mean that nothing was sampled; an empty row in between."""
    t = truth("excel_blanks")
    t.cells["Press"] = [cell if i % 2 == 0 else None for i, cell in enumerate(t.cells["Press"])]
    rows = body(t)
    return workbook(t, [*rows[:6], [], *rows[6:]])


@case
def excel_states() -> Case:
    """A state in words beside numbers."""
    t = truth("excel_states", "TC1")
    t.cells["Segment"], t.states = ["Spülen"] * 6 + ["Heizen"] * 6, ("Segment",)
    rows = body(truth("excel_states", "TC1"))
    return workbook(t, [[*row, word] for row, word in zip(rows, ["Segment", *t.cells["Segment"]], strict=True)])


# -------------------------------------------------------------------------------------------------------------------- refused
@case
def excel_formula_without_value() -> Case:
    """A column is computed by formulas whose values were never saved."""
    t = truth("excel_formula_without_value", "TC1", "TC2")
    rows = body(t)
    for i, row in enumerate(rows[1:], start=2):
        row[2] = f"=B{i}+0.5"
    return workbook(t, rows)


@case
def excel_without_rows() -> Case:
    """A header and nothing else."""
    t = truth("excel_without_rows")
    return workbook(t, [["Time", *t.cells]])


@case
def excel_damaged() -> Case:
    """A workbook that was cut off in the middle."""
    t = truth("excel_damaged")
    whole = workbook(t, body(t)).files[0][1]
    return t.case(whole[: len(whole) // 2], suffix="xlsx")


@case
def excel_of_two_sheets_and_none_told() -> Case:
    """Two sheets with cells, and nobody has said which is the recording."""
    t = truth("excel_of_two_sheets_and_none_told")
    book = openpyxl.Workbook()
    for name, rows in (("Run 1", body(t)), ("Run 2", body(t))):
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    return t.case(saved(book), suffix="xlsx")


@case
def excel_truth_values() -> Case:
    """TRUE in a column of numbers."""
    t = truth("excel_truth_values", "TC1", "TC2")
    rows = body(t)
    rows[7][1] = True
    return workbook(t, rows)
