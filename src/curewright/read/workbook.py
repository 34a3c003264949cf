"""An Excel file as plain text for the reader: each row a line, each cell as it would be typed.

The reader of Excel files gives nothing for an empty cell, for one that holds an error and for a formula whose result was never saved.
These last two are looked up in the file itself and stand as texts (``#N/A``; ``formula without a result``): they are never read as a
value, nor as an empty cell.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from curewright.read.plain import CELL, Plain
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator

EXCEL = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
NO_RESULT = "formula without a result"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINKED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
PACKED = b"PK\x03\x04"
DAMAGES = (zipfile.BadZipFile, zlib.error, KeyError, OSError, RuntimeError, EOFError, ValueError, OverflowError)
MOST_CELLS = 30_000_000  # of one sheet, from its first to its last filled one
MOST_COLUMNS, MOST_ROWS = 16_384, 1_048_576  # of a sheet, as the file format has them
MOST_BYTES = 2_000_000_000  # of one sheet, unpacked


def workbook(content: bytes, file: str, sheet: str = "", decimal_sign: str = ".") -> Plain:
    """The sheet of that name (the only one with cells where none is named) as plain text. Raises :class:`FileError`."""
    _refuse_damaged(content, file)
    name, rows = sheet_rows(content, file, sheet)
    odd = no_values(content, name)
    odd_rows = {n for n, _ in odd}
    lines = []
    for n, row in enumerate(rows, start=1):
        if row.count("") == len(row) and n not in odd_rows:  # a stray cell far below leaves many of these
            lines.append("")
            continue
        cells = [odd.get((n, c)) or as_text(cell, decimal_sign) for c, cell in enumerate(row, start=1)]
        lines.append(CELL.join(cells) if any(cells) else "")
    while lines and not lines[-1]:
        lines.pop()
    return Plain("".join(f"{line}\n" for line in lines).encode(), CELL, ended=True, columns=False)


def _refuse_damaged(content: bytes, file: str) -> None:
    """Raises :class:`FileError` for a packed workbook in which a part is not what was packed (its CRC-32 says so)."""
    if not content.startswith(PACKED):
        return
    try:
        with zipfile.ZipFile(BytesIO(content)) as packed:
            part = packed.testzip()
    except DAMAGES:
        part = "its list of parts"
    if part is not None:
        raise FileError(
            f"the workbook is damaged ({part})",
            where=Place(file),
            remedy="take it from the recorder again; a workbook that Excel has mended is no record",
        )


def sheet_rows(content: bytes, file: str, sheet: str = "") -> tuple[str, list[list[Any]]]:
    """Name and rows of a sheet, from its first row and column on. Raises :class:`FileError`."""
    read = _sheets(content, file)
    filled = [name for name, rows in read.items() if any(cell != "" for row in rows for cell in row)]
    if sheet in read and sheet:
        return sheet, read[sheet]
    if sheet or len(filled) != 1:
        raise FileError(
            f"the workbook has no sheet '{sheet}'" if sheet else f"the workbook has {len(filled)} sheets with cells",
            expected="one of " + ", ".join(f"'{name}'" for name in filled),
            where=Place(file),
            remedy="name the sheet of the recording in the layout: 'sheet: …'",
        )
    return filled[0], read[filled[0]]


def filled_sheets(content: bytes, file: str) -> list[str]:
    """The names of the sheets that have cells. Raises :class:`FileError`."""
    return [name for name, rows in _sheets(content, file).items() if any(cell != "" for row in rows for cell in row)]


def _sheets(content: bytes, file: str) -> dict[str, list[list[Any]]]:
    """Every sheet of cells by its name; sheets of charts alone have none."""
    from python_calamine import (  # here: only whoever has Excel files pays for it
        CalamineError,
        CalamineWorkbook,
        SheetTypeEnum,
    )

    _refuse_far_cells(content, file)
    try:
        book = CalamineWorkbook.from_filelike(BytesIO(content))
        names = [sheet.name for sheet in book.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet]
        sheets = {name: book.get_sheet_by_name(name) for name in names}
        for name, sheet in sheets.items():
            _refuse_boundless(sheet.total_height * sheet.total_width, name, file)
        return {name: sheet.to_python(skip_empty_area=False) for name, sheet in sheets.items()}
    except (CalamineError, ValueError, OSError) as error:
        raise FileError(f"the file is not readable as a workbook ({error})", where=Place(file)) from None


def _refuse_boundless(cells: int, name: str, file: str) -> None:
    """Raises :class:`FileError` for a sheet so wide and deep that a single stray cell far away must have made it so."""
    if cells > MOST_CELLS:
        raise FileError(
            f"the sheet '{name}' spans {f'{cells:,}' if cells < BEYOND else 'far more than its filled'} cells",
            expected=f"at most {MOST_CELLS:,}",
            where=Place(file),
            remedy="look for a stray cell far below or to the right, or export the recording as text",
        )


FAR_AWAY = re.compile(rb"""\br\s*=\s*["'](?:[A-Za-z]{3}|[A-Za-z]{0,2}[0-9]{6})""")  # beyond 702 columns or 99,999 rows
BEYOND = MOST_COLUMNS * MOST_ROWS + 1
REFERENCE = re.compile(rb"""\br\s*=\s*["']([A-Za-z]*)([0-9]*)["']""")  # of a cell, or of a row alone


def _refuse_far_cells(content: bytes, file: str) -> None:
    """Raises :class:`FileError` for a packed workbook with a stray cell far away, before a reader makes room for all between."""
    if not content.startswith(PACKED):
        return
    try:
        with zipfile.ZipFile(BytesIO(content)) as packed:
            sheets = [one for one in packed.infolist() if re.fullmatch(r"xl/worksheets/[^/]+\.xml", one.filename)]
            small = [one for one in sheets if one.file_size <= MOST_BYTES]
            spans = [(one.filename.rpartition("/")[2], _span(packed.read(one))) for one in small]
    except DAMAGES:  # whoever reads it says so
        return
    for name, cells in spans:
        _refuse_boundless(cells, name, file)


def _span(raw: bytes) -> int:
    """How many cells a sheet spans to its last, by the references in its XML; 0 where none of them is far away, ``BEYOND`` where one
    is of no place that a sheet has, or where of very many hardly one in a hundred is there.
    """
    columns = rows = 0
    references = set(REFERENCE.findall(raw)) if FAR_AWAY.search(raw) else set()
    for letters, digits in references:
        if len(letters) > 3 or len(digits) > 7:
            return BEYOND
        column = 0
        for letter in letters.upper():
            column = 26 * column + letter - 64
        columns, rows = max(columns, column), max(rows, int(digits or b"0"))
    spanned = max(columns, 1) * rows
    nearly_empty = spanned > 500_000 and spanned > 100 * len(references)
    return BEYOND if columns > MOST_COLUMNS or rows > MOST_ROWS or nearly_empty else spanned


def as_text(cell: object, decimal_sign: str = ".") -> str:
    """A cell as it would be typed: numbers with all their digits, dates and times in ISO 8601, lengths of time as ``h:mm:ss``."""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        text = str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
        return text.replace(".", decimal_sign)
    if isinstance(cell, datetime):
        return _rounded(cell).isoformat(" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    if isinstance(cell, timedelta):
        ms = round(cell / timedelta(milliseconds=1))
        seconds, ms = divmod(ms, 1000)
        text = f"{seconds // 3600}:{seconds // 60 % 60:02}:{seconds % 60:02}"
        return f"{text}.{ms:03}" if ms else text
    return " ".join(str(cell).replace(CELL, " ").split())


def _rounded(when: datetime) -> datetime:
    """To the millisecond: a workbook keeps days as doubles, which hold no finer time of day."""
    return (when + timedelta(microseconds=500)).replace(
        microsecond=(when + timedelta(microseconds=500)).microsecond // 1000 * 1000
    )


def no_values(content: bytes, sheet: str) -> dict[tuple[int, int], str]:
    """The cells (row, column from 1) of a sheet that hold an error or a formula without a saved result, with a text for each.

    Looked up in the sheet's own XML; a kind of workbook without it has none to tell.
    """
    try:
        with zipfile.ZipFile(BytesIO(content)) as packed:
            inside = _sheet_file(packed, sheet)
            if inside is None or packed.getinfo(inside).file_size > MOST_BYTES:
                return {}
            raw = packed.read(inside)
    except (*DAMAGES, ElementTree.ParseError):
        return {}
    return dict(_odd_cells(raw))


def _sheet_file(packed: zipfile.ZipFile, sheet: str) -> str | None:
    """The part of the package that holds a sheet."""
    links = {
        link.get("Id"): link.get("Target", "")
        for link in ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
    }
    for element in ElementTree.fromstring(packed.read("xl/workbook.xml")).iter(f"{MAIN}sheet"):
        if element.get("name") == sheet:
            target = links.get(element.get(LINKED), "")
            return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return None


CELL_OF_SHEET = re.compile(rb"<c\b([^>]*?)(?:/>|>(.*?)</c>)", re.S)
ERROR_OR_FORMULA = re.compile(rb'\bt="e"|<f\b')


def _odd_cells(raw: bytes) -> Iterator[tuple[tuple[int, int], str]]:
    if not ERROR_OR_FORMULA.search(raw):
        return
    for found in CELL_OF_SHEET.finditer(raw):
        attributes, inside = found[1], found[2] or b""
        error = b't="e"' in attributes
        if not error and b"<f" not in inside:
            continue
        value = re.search(rb"<v[^>]*>([^<]*)</v>", inside)
        text = value[1].decode(errors="replace").strip() if value else ""
        if not error and (text or b"<is" in inside):
            continue
        place = re.search(rb'\br="([A-Z]+)([0-9]+)"', attributes)
        if place:
            yield (int(place[2]), _column_number(place[1])), (text or "#ERROR") if error else NO_RESULT


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + letter - 64
    return number
