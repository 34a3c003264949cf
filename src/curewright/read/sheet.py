"""Small tables that people write: the rows of a CSV file or of a workbook's sheet, each cell as text with its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.cells import cells_of
from curewright.read.plain import decoded
from curewright.read.workbook import EXCEL, as_text, no_values, sheet_rows
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator

Row = tuple[int, list[tuple[str, Place]]]  # line or row of the sheet, cells as text with their places
TABLES = (".csv", ".txt", *EXCEL)


def is_table(file: str) -> bool:
    """Whether a file is a table by its name."""
    return file.lower().endswith(TABLES)


def rows_of(content: bytes, file: str, *, names_only: bool = False) -> Iterator[Row]:
    """The rows that are not empty; with ``names_only`` a cell of a workbook that holds anything but a text or a whole number is refused.

    An error or a formula without a saved result is refused: it is no text and no empty cell."""
    return _sheet(content, file, names_only) if file.lower().endswith(EXCEL) else _lines(content, file)


def _lines(content: bytes, file: str) -> Iterator[Row]:
    lines = decoded(content, "utf-8", file).split("\n")
    head = next((line for line in lines if line.strip()), "")
    separator = ";" if ";" in head else ","
    for number, line in enumerate(lines, start=1):
        if line.strip(f" \t{separator}"):
            yield number, [(cell, Place(file, number, column)) for cell, column in cells_of(line, separator)]


def _sheet(content: bytes, file: str, names_only: bool) -> Iterator[Row]:
    name, rows = sheet_rows(content, file)
    odd = no_values(content, name)
    for number, row in enumerate(rows, start=1):
        for (line, column), what in odd.items():
            if line == number:
                raise FileError(
                    f"the cell holds no value but '{what}'",
                    where=Place(file, line, column),
                    remedy="write the value itself",
                )
        for column, cell in enumerate(row, 1):
            if names_only and not _is_name(cell):
                raise FileError(
                    f"the cell holds '{cell}', which is no text",
                    where=Place(file, number, column),
                    remedy="format the column as text in the workbook",
                )
        if any(cell != "" for cell in row):
            yield number, [(as_text(cell), Place(file, number, column)) for column, cell in enumerate(row, 1)]


def _is_name(cell: object) -> bool:
    """Whether a cell holds a text, or a whole number that a workbook made of one."""
    return isinstance(cell, str) or (isinstance(cell, float) and cell.is_integer())
