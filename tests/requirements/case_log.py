"""The small log of a case: times and columns to the bytes, the layout and the sensor map that the readers take."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal

from curewright.terms.errors import CurewrightError
from curewright.terms.units import unit_named

MINUTE = 60 * 10**9
DAY = datetime(2031, 3, 4, tzinfo=UTC)
ROLES = {  # how a column is called: its role, and which kind of thing it belongs to
    "TC": ("judging", "part"),
    "TOOL": ("tool", "part"),
    "INFO": ("information only", "part"),
    "AIR": ("air", ""),
    "vessel pressure": ("vessel pressure", ""),
    "set point": ("set point", ""),
    "bag vacuum": ("bag transducer", "bag"),
    "bag pressure": ("bag transducer", "bag"),
    "source vacuum": ("source", "bag"),
    "source valve": ("source valve", "bag"),
}


def case_time(text: str) -> int:
    """A time of a case, minutes (12.5) or a time of day (10:05, 10:05:30), in ns."""
    if match := re.fullmatch(r"(\d+):(\d\d)(?::(\d\d(?:\.\d+)?))?", text.strip()):
        seconds = int(match[1]) * 3600 + int(match[2]) * 60 + Decimal(match[3] or 0)
        return int(seconds * 10**9)
    minutes = Decimal(text.strip()) * MINUTE
    if minutes != int(minutes) or int(minutes) % 1000:
        raise ValueError(f"the time {text} is no whole number of microseconds")
    return int(minutes)


@dataclass(frozen=True)
class Column:
    """One column of a case's log: ``unit`` None for states; ``on_change``: holds until the next row."""

    name: str
    unit: str | None
    role: str
    thing: str
    on_change: bool
    heartbeat: str = ""

    @property
    def layout(self) -> str:
        """Its line in a layout."""
        unit = f", unit: {self.unit}" if self.unit else ""
        beat = f", heartbeat: {self.heartbeat}" if self.heartbeat else ""
        return f'  - {{columns: ["{self.name}"]{unit}, kind: {"state" if self.on_change else "continuous"}{beat}}}\n'


def column_of(heading: str, part: str) -> Column:
    """A column from its heading: `TC1 degC`, `TC1 of thin degF`, `vessel pressure psi gauge, on change`, `source valve state`."""
    words, comma, change = heading.partition(", ")
    kind = re.fullmatch(r"on change(?: at least every (.+))?", change)
    if comma and kind is None:
        raise ValueError(f"the column '{heading}': only ', on change' (at least every …) may follow its unit")
    name, unit = _unit(words)
    plain, _, thing = name.partition(" of ")
    found = next((each for key, each in ROLES.items() if plain.startswith(key)), None)
    if found is None:
        raise ValueError(f"the column '{heading}' begins with none of {', '.join(ROLES)}")
    owner = {"part": part, "bag": "B1", "": ""}[found[1]]
    belongs = f"{found[1]}: {thing or owner}" if found[1] else ""
    heartbeat = (kind[1] or "") if kind else ""
    return Column(name, unit, found[0], belongs, bool(comma) or unit is None, heartbeat)


def _unit(words: str) -> tuple[str, str | None]:
    split = words.split()
    if split[-1] == "state":
        return " ".join(split[:-1]), None
    for first in range(1, len(split)):
        try:
            unit_named(" ".join(split[first:]))
        except CurewrightError:
            continue
        return " ".join(split[:first]), " ".join(split[first:])
    raise ValueError(f"the column '{words}' has no unit")


@dataclass(frozen=True)
class Log:
    """A log as an export: bytes, layout, columns, and the first instant (ns in the case's own times)."""

    content: bytes
    layout: bytes
    columns: tuple[Column, ...]
    first: int

    def map_lines(self) -> dict[str, str]:
        """For each sensor its line of the sensor map."""
        return {
            column.name: f"{{sensor: {column.name}, role: {column.role}{', ' if column.thing else ''}{column.thing}}}"
            for column in self.columns
        }


def log_of(text: str, part: str = "S1") -> Log:
    """The log of a case, from its block."""
    lines = [line for line in text.splitlines() if line.strip()]
    headings = [cell.strip() for cell in lines[0].split("|")]
    if headings[0] not in ("min", "clock"):
        raise ValueError(f"a log begins with the column 'min' or 'clock', not '{headings[0]}'")
    columns = tuple(column_of(heading, part) for heading in headings[1:])
    rows = [row for line in lines[1:] for row in _rows([cell.strip() for cell in line.split("|")], len(headings))]
    csv = [";".join(["time", *(column.name for column in columns)])]
    csv += [";".join([(DAY + timedelta(microseconds=t // 1000)).isoformat(), *cells]) for t, cells in rows]
    layout = (
        "layout: case\nencoding: utf-8\nseparator: semicolon\ndecimal sign: point\nlines before the header: 0\n"
        "header rows: [names]\ntime: {columns: [time], format: iso, zone: in the text}\nblank means: not sampled\n"
        "open codes: [bad]\ncolumns:\n" + "".join(column.layout for column in columns)
    )
    return Log("\n".join(csv).encode() + b"\n", layout.encode(), columns, rows[0][0])


def _rows(cells: list[str], width: int) -> list[tuple[int, list[str]]]:
    """The samples of a line: one, or a series `0 to 60 every 1 | 100 to 170` along straight lines."""
    cells = cells + [""] * (width - len(cells))
    if len(cells) > width:
        raise ValueError(f"the line '{' | '.join(cells)}' has more cells than the heading")
    series = re.fullmatch(r"(\S+) to (\S+) every (\S+)", cells[0])
    if series is None:
        return [(case_time(cells[0]), cells[1:])]
    start, end, step = (case_time(part) for part in series.groups())
    count, left = divmod(end - start, step)
    if left or count < 1:
        raise ValueError(f"'{cells[0]}' does not come out even")
    return [(start + i * step, [_along(cell, i, count) for cell in cells[1:]]) for i in range(count + 1)]


def _along(cell: str, i: int, count: int) -> str:
    ends = re.fullmatch(r"(-?[\d.]+) to (-?[\d.]+)", cell)
    if ends is None:
        return cell
    first, last = Decimal(ends[1]), Decimal(ends[2])
    return f"{first + (last - first) * i / count:.10f}"
