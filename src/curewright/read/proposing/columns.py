"""What the columns (or the tags) of an export hold: numbers or states, units, codes, and what cannot be known."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.header_units import stated
from curewright.read.kernels.cells import BLANK, NUMBER, TEXT
from curewright.read.layout import CONTINUOUS, LOST, STATE, Column
from curewright.read.samples import written_number
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.read.layout import Layout
    from curewright.read.table import Table

# numbers that recorders write for no value; from makers' manuals as collected in the project's reference on log files
NUMBERS_FOR_NO_VALUE = (
    99999, -99999, 9999, -9999, 999.9, -999.9, 9999.9, -9999.9, 88888, -88888, 99999999, -99999999, 999999999, -999999999,
    32767, -32768, 3276.7, -3276.8,
)  # fmt: skip
LETTERED = re.compile(r"[+-]?\d*\.?#(QNAN|IND|INF|SNAN)\S*|[^0-9]+", re.I)
MOST_STATES = 12  # a column of numbers with no more different ones than that may be a state
ROWS_TO_TELL = 50
LEAST_GAP = 10.0  # in the unit of the column: less than that no code stands away from what is measured
SET_POINT = re.compile(r"\bsp\b|set ?-?point|setpt|sollwert|consigne|consigna", re.I)
QUALITY = re.compile(r"^q\d*$|^qual|quality|^status|^flag|valid", re.I)


@dataclass(frozen=True)
class Seen:
    """What a column (or a tag) was seen to hold; ``unit``/``choices`` are as the header states it; ``codes`` with their lines."""

    name: str
    where: str  # 'column 3'
    numbers: int
    blanks: int
    texts: int
    unit: str = ""
    choices: tuple[str, ...] = ()
    unit_text: str = ""
    words: tuple[str, ...] = ()  # different texts, where there are few
    codes: tuple[tuple[str, int, int], ...] = ()  # code, how often, first line
    unread: tuple[tuple[str, int], ...] = ()  # texts that are neither numbers nor plainly codes, with their lines
    few: int = 0  # how many different numbers, where there are few
    quality: str = ""  # the column of its quality
    apart: tuple[tuple[str, int, int], ...] = ()  # numbers far from all others that may be codes: how often, first line

    @property
    def empty(self) -> bool:
        """Whether no cell was filled."""
        return not self.numbers and not self.texts

    @property
    def state(self) -> bool:
        """Whether it holds texts for states."""
        return self.texts > 0 and not self.numbers and not self.unit and not self.choices

    @property
    def perhaps_state(self) -> bool:
        """Whether its numbers are so few that it may be a state (a valve, a set point, a segment)."""
        few = 0 < self.few <= MOST_STATES and self.numbers >= ROWS_TO_TELL
        return few or (self.numbers > 0 and bool(SET_POINT.search(self.name)))


def trial(layout: Layout, headings: tuple[str, ...]) -> tuple[Column, ...]:
    """Every column as plain numbers, to see what they hold."""
    return tuple(Column(name, name, CONTINUOUS, UNITS["count"], LOST, layout.decimal_sign) for name in headings)


def seen_of(
    made: Table,
    heading: str,
    name: str,
    where: str,
    layout: Layout,
    unit_text: str,
    rows: NDArray[np.int64] | None = None,
) -> Seen:
    """What one column holds, or the rows of one tag in the column of values."""
    at = made.column(heading)
    kinds, numbers = made.kinds[at], made.numbers[at]
    if rows is not None:
        kinds, numbers = kinds[rows], numbers[rows]
    lines = made.row if rows is None else made.row[rows]
    counts = [int((kinds == kind).sum()) for kind in (NUMBER, BLANK, TEXT)]
    unit, choices = stated(unit_text) if unit_text else ("", ())
    values = numbers[kinds == NUMBER]
    codes = [
        (
            f"{code:g}" if abs(code) < 1e6 else str(code),
            int((values == code).sum()),
            int(lines[(kinds == NUMBER) & (numbers == code)][0]),
        )
        for code in NUMBERS_FOR_NO_VALUE
        if (values == code).any() and _far_out(values, code)
    ]
    words, more, unread, long_numbers = _texts(made, heading, kinds, lines, layout, rows)
    different = len(np.unique(values[:100_000])) if len(values) else 0
    counts[0] += long_numbers
    counts[2] -= long_numbers
    return Seen(
        name, where, counts[0], counts[1], counts[2], unit, choices, unit_text, words, (*codes, *more), unread,
        different if different <= MOST_STATES and not long_numbers else 0,
        apart=_apart(numbers, kinds == NUMBER, lines) if different > MOST_STATES else (),
    )  # fmt: skip


def _far_out(values: NDArray[np.float64], code: float) -> bool:
    """Whether a number stands far from all the others of its column."""
    others = values[~np.isin(values, NUMBERS_FOR_NO_VALUE)]
    if not len(others):
        return True
    low, high = float(others.min()), float(others.max())
    return abs(code) > 1.5 * max(abs(low), abs(high), 1.0)


def _apart(
    numbers: NDArray[np.float64], there: NDArray[np.bool_], lines: NDArray[np.int64]
) -> tuple[tuple[str, int, int], ...]:
    """The highest and the lowest number, where it is further from the next one than all the others are from each other."""
    values = numbers[there & ~np.isin(numbers, NUMBERS_FOR_NO_VALUE)]
    found = []
    for end, rest in ((values.max(), values[values < values.max()]), (values.min(), values[values > values.min()])):
        low, high = (float(rest.min()), float(rest.max())) if len(rest) else (0.0, 0.0)
        gap = max(float(end) - high, low - float(end))
        if high > low and gap > max(high - low, LEAST_GAP):
            at = there & (numbers == end)
            found.append((f"{end:.15g}", int(at.sum()), int(lines[at][0])))
    return tuple(found)


def _texts(
    made: Table,
    heading: str,
    kinds: NDArray[np.uint8],
    lines: NDArray[np.int64],
    layout: Layout,
    rows: NDArray[np.int64] | None,
) -> tuple[tuple[str, ...], list[tuple[str, int, int]], tuple[tuple[str, int], ...], int]:
    """Different texts, codes among them with count and first line, texts that can be neither, and how many are long numbers."""
    if not (kinds == TEXT).any():
        return (), [], (), 0
    words, which = made.words(heading)
    which = which if rows is None else which[rows]
    number = written_number(layout.decimal_sign, layout.thousands)
    codes, unread, long_numbers, found = [], [], 0, []
    for i, word in enumerate(words):
        there = np.flatnonzero((which == i) & (kinds == TEXT))
        if not len(there):
            continue
        found.append(word)
        if number.fullmatch(word):
            long_numbers += len(there)
        elif LETTERED.fullmatch(word):
            codes.append((word, len(there), int(lines[there[0]])))
        else:
            unread.append((word, int(lines[there[0]])))
    return tuple(found[:MOST_STATES]), codes, tuple(unread), long_numbers


def with_quality(seen: list[Seen]) -> list[Seen]:
    """Columns of quality put to the column that they stand behind; they are no channels themselves."""
    from dataclasses import replace

    made: list[Seen] = []
    for one in seen:
        before = made[-1] if made else None
        if before is not None and before.numbers and not before.quality and one.words and _is_quality(one, before):
            made[-1] = replace(before, quality=one.name, words=one.words)
        else:
            made.append(one)
    return made


def _is_quality(one: Seen, before: Seen) -> bool:
    name = re.sub(re.escape(before.name), "", one.name, flags=re.I).strip(" _-./")
    return bool(QUALITY.search(name)) and one.texts > 0 and not one.numbers and len(one.words) < MOST_STATES


def kind_of(seen: Seen) -> str:
    """The kind of channel, as far as it can be told: '?' where the numbers may be those of a state."""
    if seen.state:
        return STATE
    return "?" if seen.perhaps_state else CONTINUOUS
