"""Where the table of an export begins, what stands between its cells, which decimal sign it uses."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.read.cells import texts_of
from curewright.read.header import NAMES, SKIPPED, UNITS
from curewright.read.header_units import in_heading, is_unit
from curewright.read.plain import CELL
from curewright.read.proposing.clocks import Clock, counted, dates_of, fitting, formats_of, time_of_day
from curewright.read.proposing.encodings import Found
from curewright.read.proposing.widths import cut_at, widths_of
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

CANDIDATES = (("\t", "tab"), (";", "semicolon"), ("|", "bar"), (",", "comma"), (" ", "blanks"))
LOOKED_AT = 400  # rows from which separator and format are told
LOOKED_AT_CELLS = 100_000  # from which the decimal sign is told
MOST_HEADER_ROWS = 4
MOST_OF_THEM = 0.8
TAG_WORDS = re.compile(r"^(tag|channel|name|kanal|sensor|point|id|no\.?|nr\.?)\b", re.I)
CLOCK_WORDS = re.compile(
    r"time|date|zeit|datum|uhr|hora|fecha|heure|ora\b|data\b|tijd|stamp|elapsed|clock|second|minute", re.I
)


@dataclass(frozen=True)
class Body:
    """The rows of an export: separator, cells in a row, number of the first row (from 0), and the lines."""

    separator: Found
    sign: str
    width: int
    first: int
    lines: list[str]
    rows: tuple[int, ...]  # the lines that are rows
    time_columns: tuple[int, ...]
    clock: Clock
    widths: tuple[int, ...] = ()  # of columns of fixed width


@dataclass(frozen=True)
class Head:
    """The rows over the first row: how many lines come before them, and what each holds."""

    before: int
    rows: tuple[str, ...]


def lines_of(text: str, separator: str) -> list[str]:
    """The lines with single cells between signs: blanks are made one."""
    lines = text.split("\n")
    if separator != " ":
        return lines
    return [CELL.join(line.split()) for line in lines]


def body_of(text: str, file: str, sign_asked: str = "") -> Body:
    """The rows of a text; raises :class:`FileError` where nothing looks like a table with a time."""
    candidates = ((CELL, "cells"),) if CELL in text else CANDIDATES
    best: Body | None = None
    for sign, name in candidates:
        lines = lines_of(text, sign)
        cut = CELL if sign == " " else sign
        filled = [i for i, line in enumerate(lines) if line.strip()]
        widths = Counter(len(texts_of(lines[i], cut)) for i in filled[-LOOKED_AT:])
        for width in [width for width, count in widths.most_common(3) if width > 1 and count > 1]:
            found = _rows(lines, filled, cut, width, sign_asked)
            if found is not None and (best is None or len(found[0]) > len(best.rows)):
                rows, columns, clock = found
                why = f"lines {rows[0] + 1} to {rows[-1] + 1}: {width} cells in a row"
                best = Body(Found(name, why), cut, width, rows[0], lines, rows, columns, clock)
        if best is not None and len(best.rows) > len(filled) / 2:
            break
    best = _of_fixed_width(text, best, sign_asked) or best
    if best is not None:
        return best
    raise FileError(
        "no rows with a time were found in this file",
        where=Place(file),
        expected="rows of equal cells, separated by commas, semicolons, tabs, bars or blanks, with a time in each",
        remedy="write the layout by hand (docs/formats/layout.md), or look whether this is a recorder's export",
    )


def _of_fixed_width(text: str, blanks: Body | None, sign: str) -> Body | None:
    """The rows as columns of fixed width, where cells parted by blanks do not fit: some are blank, or the header has fewer."""
    if CELL in text or (blanks is not None and blanks.separator.value != "blanks"):
        return None
    if blanks is not None and len(texts_of(blanks.lines[blanks.first - 1], CELL)) == blanks.width and _all_rows(blanks):
        return None
    plain = text.split("\n")
    widths = widths_of(plain)
    if not widths:
        return None
    lines = cut_at(plain, widths)
    found = _rows(lines, [i for i, line in enumerate(lines) if line], CELL, len(widths), sign)
    if found is None or (blanks is not None and len(found[0]) < len(blanks.rows)):
        return None
    rows, columns, clock = found
    why = f"lines {rows[0] + 1} to {rows[-1] + 1} stand in columns, blank cells among them"
    return Body(Found("fixed widths", why), CELL, len(widths), rows[0], lines, rows, columns, clock, widths)


def _all_rows(body: Body) -> bool:
    """Whether every filled line from the first row on is one."""
    return len(body.rows) == sum(bool(line.strip()) for line in body.lines[body.first :])


def _rows(
    lines: list[str], filled: Sequence[int], cut: str, width: int, sign: str
) -> tuple[tuple[int, ...], tuple[int, ...], Clock] | None:
    """The lines that are rows, the time columns, and the clock; None where no column of the last rows is a time."""
    fit = [i for i in filled[-LOOKED_AT:] if len(texts_of(lines[i], cut)) == width]
    sample = [texts_of(lines[i], cut) for i in fit]
    usable = [row for row in sample if any(re.search(r"\d", cell) for cell in row)]
    columns = _time_columns(usable, width)
    if columns is None:
        return None
    shape = Counter(_shape([row[n] for n in columns]) for row in usable).most_common(1)[0][0]
    rows = []
    for i in filled:
        if lines[i].count(cut) < width - 1:
            continue
        cells = texts_of(lines[i], cut)
        if len(cells) == width and _shape([cells[n] for n in columns]) == shape:
            rows.append((i, " ".join(cells[n] for n in columns)))
    texts = [text for _, text in rows]
    clock = fitting(texts)
    if clock is None:
        heading, unit = _above(lines, rows[0][0], columns[0], cut)
        clock = counted(texts, heading, unit, sign or _decimal_of(texts))
    return None if clock is None else (tuple(i for i, _ in rows), columns, clock)


def _time_columns(rows: list[list[str]], width: int) -> tuple[int, ...] | None:
    """The column of the time, or of date and time of day, in the last rows."""
    last = rows[-min(len(rows), 50) :]
    if not last:
        return None

    def all_of(column: int, test: Callable[[str], object], share: float = 0.5) -> bool:
        """Whether most cells of a column pass: limits, a footer or a header that returned may stand among them."""
        return sum(bool(test(row[column])) for row in last) >= share * len(last)

    for n in range(min(width, 6)):
        if all_of(n, formats_of):
            return (n,)
    for n in range(min(width, 6)):
        for other in (n + 1, n - 1):
            if 0 <= other < width and all_of(n, dates_of) and all_of(other, time_of_day):
                return (n, other)
    number = re.compile(r"-?\d+([.,]\d+)?|(\d+[ .d] ?)?\d+:\d\d(:\d\d([.,]\d{1,9})?)?")
    for n in range(min(width, 3)):
        if all_of(n, number.fullmatch, MOST_OF_THEM):
            return (n,)
    return None


def _shape(cells: list[str]) -> str:
    """What a time looks like: digits made alike, letters made alike, a number of any kind one digit, a fraction left out."""
    made = []
    for cell in cells:
        if re.fullmatch(r"-?\d+([.,]\d+)?", cell):
            made.append("9")
        else:
            alike = re.sub(r"[A-Za-z]+", "a", re.sub(r"\d+", "9", cell))
            made.append(re.sub(r"(:9)[.,]9", r"\1", alike))
    return " ".join(made)


def _above(lines: list[str], first: int, column: int, cut: str) -> tuple[str, str]:
    """What stands over a column: the heading, and the unit under it."""
    above = []
    for i in range(first - 1, max(-1, first - 1 - MOST_HEADER_ROWS), -1):
        cells = texts_of(lines[i], cut)
        if column < len(cells) and cells[column]:
            above.append(cells[column])
    unit = next((text.strip("[]() ") for text in above[:1] if len(above) > 1), "")
    return (above[1] if len(above) > 1 and unit else above[0] if above else ""), unit


def _decimal_of(texts: list[str]) -> str:
    return "," if any("," in text for text in texts) else "."


def head_of(body: Body) -> Head:
    """The header over the first row: the row of names, the rows under it."""
    lines, cut, first = body.lines, body.sign, body.first
    top = first
    while top > 0 and first - top < MOST_HEADER_ROWS:
        above = lines[top - 1]
        cells = texts_of(above, cut)
        full = abs(len(cells) - body.width) <= 1 and any(cells)
        if not full and not (not above.strip() and top == first):
            break
        top -= 1
    rows = [texts_of(lines[i], cut) for i in range(top, first)]
    kinds = [_kind(row, body) for row in rows]
    named = [i for i, kind in enumerate(kinds) if kind == NAMES]
    if not named and not any(kind == UNITS for kind in kinds):
        return Head(first, ())
    if not named:  # names that look like units
        named = [i for i, kind in enumerate(kinds) if kind == UNITS][:1]
    at = _row_of_names(rows, named, body)
    what = [NAMES, *(kinds[i] if kinds[i] == UNITS else SKIPPED for i in range(at + 1, len(rows)))]
    filled = [cell for n, cell in enumerate(rows[at]) if cell and n not in body.time_columns]
    if len(set(filled)) < len(filled) or _completed(rows, at, body):
        if at + 1 in named:
            what[1] = NAMES
        elif at - 1 in named:
            at -= 1
            what = [NAMES, *what]
    elif at - 1 in named and _groups(rows[at - 1], body):
        at -= 1
        what = [NAMES, *what]
    return Head(top + at, tuple(what))


def _completed(rows: list[list[str]], at: int, body: Body) -> bool:
    """Whether names that are missing in a row (merged cells) go on in the next one."""
    if at + 1 >= len(rows):
        return False
    blank = [n for n, cell in enumerate(rows[at]) if not cell and n not in body.time_columns]
    return any(n < len(rows[at + 1]) and rows[at + 1][n] for n in blank)


def _groups(row: list[str], body: Body) -> bool:
    """Whether a row over the names holds groups of columns: nothing over the time, and each group over its first column only."""
    cells = [row[n] if n < len(row) else "" for n in range(body.width)]
    others = [cell for n, cell in enumerate(cells) if n not in body.time_columns]
    return not any(cells[n] for n in body.time_columns) and any(others) and not all(others)


def _kind(row: list[str], body: Body) -> str:
    """Whether a row over the first one holds names, units, or something else."""
    filled = [cell for n, cell in enumerate(row) if cell and n not in body.time_columns]
    over_time = [row[n] for n in body.time_columns if n < len(row) and row[n]]
    if not filled and not over_time:
        return SKIPPED
    units = [
        cell
        for cell in filled
        if is_unit(cell)
        or re.fullmatch(r"\[.*\]|\(.*\)|-+|[a-zA-Z°µ%]{1,3}/[a-zA-Z0-9²³]{1,4}|V|mV|A|mA|rpm|kW|W", cell)
    ]
    if any(CLOCK_WORDS.search(cell) and len(cell) > 3 for cell in over_time):
        return UNITS if filled and all(is_unit(cell) for cell in filled) else NAMES
    return UNITS if filled and len(units) > len(filled) / 2 else NAMES


def _row_of_names(rows: list[list[str]], named: list[int], body: Body) -> int:
    """Which of several rows of texts holds the names: the last with a word for time, else the last over the units."""
    for i in reversed(named):
        cells = rows[i]
        if any(n < len(cells) and CLOCK_WORDS.search(cells[n]) for n in body.time_columns):
            return i
    clock = body.time_columns[0]
    tagged = [i for i in named if clock < len(rows[i]) and TAG_WORDS.search(rows[i][clock])]
    return tagged[0] if tagged else named[-1]


def decimal_sign(body: Body, columns: Sequence[int]) -> tuple[Found, tuple[str, ...], str]:
    """The decimal sign, the choices where the numbers do not tell, and the thousands separator where there is one."""
    seen: Counter[str] = Counter()
    three, example = True, {".": "", ",": ""}
    thousands = ""
    step = max(1, len(body.rows) * len(columns) // LOOKED_AT_CELLS)
    for i in body.rows[::step]:
        cells = texts_of(body.lines[i], body.sign)
        for n in columns:
            text = cells[n] if n < len(cells) else ""
            if both := re.fullmatch(r"[+-]?\d{1,3}(?:([.,' ])\d{3})+([.,])\d+", text):
                if both[1] != both[2]:
                    thousands = both[1]
                    seen[both[2]] += 1
                    three = False
                    example[both[2]] = example[both[2]] or f"line {i + 1}: '{text}'"
            elif found := re.fullmatch(r"[+-]?(\d*)([.,])(\d*)(?:[eE][+-]?\d+)?", text):
                seen[found[2]] += 1
                example[found[2]] = example[found[2]] or f"line {i + 1}: '{text}'"
                if not (len(found[3]) == 3 and re.fullmatch(r"[1-9]\d{0,2}", found[1])):
                    three = False
    if body.sign == "," and seen[","] and not seen["."]:
        return Found("comma in quotes", example[","]), (), thousands
    if body.sign == "," and not seen[","]:
        return Found("point", "the comma stands between cells"), (), thousands
    if not seen:
        return Found("point", "no number has decimals"), (), thousands
    signs = [sign for sign in seen if sign != thousands]
    if len(signs) > 1 or three:
        why = "; ".join(text for text in example.values() if text)
        return Found("?", f"{why}: decimals or thousands"), ("point", "comma"), thousands
    return Found("comma" if signs == [","] else "point", example[signs[0]]), (), thousands


def unit_text(heading: str, below: str) -> str:
    """The text of a column's unit: under its name, or in it."""
    return below or in_heading(heading)
