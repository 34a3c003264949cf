"""The CSV, read back with the standard library's reader and with pandas."""

import csv
import io

import pandas as pd
import pytest

from curewright.record.spreadsheet import COLUMNS, csv_text, safe
from curewright.record.verdicts import Document


def test_one_row_a_verdict(document: Document) -> None:
    rows = list(csv.DictReader(io.StringIO(csv_text(document).removeprefix("\ufeff"))))
    assert [row["clause"] for row in rows] == [verdict["clause"] for verdict in document["verdicts"]]
    assert tuple(rows[0]) == COLUMNS
    short = next(row for row in rows if row["clause"] == "4.7")
    assert (short["outcome"], short["margin"], short["margin unit"], short["file"], short["line"]) == (
        "not met",
        "-11.3",
        "min",
        "log.csv",
        "44",
    )
    assert short["flipped by"] == "elapsed time: 121 min, met"


def test_rows_end_as_rfc_4180_says(document: Document) -> None:
    text = csv_text(document)
    assert text.count("\r\n") == text.count("\n") == len(document["verdicts"]) + 1


def test_pandas_reads_clauses_as_written(document: Document) -> None:
    frame = pd.read_csv(io.StringIO(csv_text(document)), dtype=str)
    assert "4.10" in set(frame["clause"])


@pytest.mark.parametrize("cell", ["=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("x")', "-1.5 degF"])
def test_no_cell_is_a_formula(cell: str) -> None:
    assert safe(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["-11.3", "+0.5", "12", "4.10", "", "TC7", "a=b"])
def test_numbers_and_words_stay(cell: str) -> None:
    assert safe(cell) == cell


def test_a_formula_in_a_name_is_disarmed(document: Document) -> None:
    assert ",'=TC7," in csv_text(document)
