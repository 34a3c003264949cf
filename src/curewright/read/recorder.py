"""A recorder's export, read through the layout that its user wrote: bytes to channels in grains, each sample with its line.

What the text does not say plainly is refused with file, line and column: a cell that is neither a number nor a declared code, a
column that the layout does not speak of, a clock that goes backwards. One export is one table under one layout; proposals of
layouts, files in pieces and second recorders build on :func:`read_export` and :meth:`Export.channels`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.layout import LOST
from curewright.read.table import BLANK, SHOWN, TEXT, decoded, table
from curewright.read.times import clock_times
from curewright.terms.errors import CurewrightError, Errors, FileError, Place
from curewright.terms.run import Channel
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.read.layout import Column, Layout
    from curewright.read.table import Table

LARGEST = 9e15  # grains: up to here whole numbers are exact
MOST_ERRORS = 20  # so many cells of an export are named; the rest are counted


@dataclass(frozen=True, eq=False)
class Samples:
    """One column's cells before they are resolved: numbers in its unit (or indices of states), which are there, which are bad."""

    numbers: NDArray[np.float64]
    present: NDArray[np.bool_]
    bad: NDArray[np.bool_]
    states: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Export:
    """An export as a table with its instants: int64, shape (rows,), ns since 1970 UTC, never decreasing."""

    table: Table
    layout: Layout
    instants: NDArray[np.int64]

    @property
    def first(self) -> int:
        """The first instant, ns since 1970 UTC."""
        return int(self.instants[0])

    @property
    def last(self) -> int:
        """The last instant, ns since 1970 UTC."""
        return int(self.instants[-1])

    def channels(self, start: int) -> tuple[dict[str, Channel], tuple[str, ...]]:
        """The channels by name, uncorrected, with t = 0 at ``start`` (ns since 1970 UTC), and notes for the record.

        Raises :class:`Errors` with every cell that is neither a number nor a declared code (the first twenty by place).
        """
        t = self.instants - start
        errors: list[CurewrightError] = []
        made, notes = {}, []
        for column in self.layout.columns:
            samples, refused = _samples(self.table, column)
            errors += refused
            if not refused:
                channel, found = _channel(self, column, samples, t)
                made[channel.name] = channel
                notes += found
        if errors:
            raise _few(errors, self.table.file)
        return made, tuple(notes)


def read_export(content: bytes, file: str, layout: Layout) -> Export:
    """The bytes of a recorder's export as a table with instants. Raises :class:`FileError` with file and line."""
    text = decoded(content, layout.encoding, file)
    made = table(
        text,
        file,
        separator=layout.separator,
        decimal_sign=layout.decimal_sign,
        preamble=layout.preamble,
        header_rows=layout.header_rows,
    )
    _account_for_columns(made, layout)
    clocks = [made.column(heading) for heading in layout.time_columns]
    texts = made.texts(clocks[0])
    for clock in clocks[1:]:
        texts = [f"{one} {other}" for one, other in zip(texts, made.texts(clock), strict=True)]
    instants = clock_times(texts, layout.time_format, layout.zone, lambda i: made.place(clocks[0], i))
    _refuse_backwards(instants, texts, made)
    return Export(made, layout, instants)


def _account_for_columns(made: Table, layout: Layout) -> None:
    """Every column of the layout is in the export, and every column of the export is in the layout."""
    spoken_of = {column.heading: column.place for column in layout.columns}
    others = (*layout.time_columns, *layout.not_read, *(c.quality for c in layout.columns if c.quality))
    header = Place(made.file, layout.preamble + 1 + layout.header_rows.index("names"))
    errors: list[CurewrightError] = [
        FileError(
            f"the export has no column '{heading}'",
            expected="one of " + ", ".join(made.headings),
            where=spoken_of.get(heading) or Place(layout.file),
            remedy="correct the name in the layout, or the separator and the header row",
        )
        for heading in dict.fromkeys((*spoken_of, *others))
        if heading not in made.headings
    ]
    errors += [
        FileError(
            f"the layout says nothing of the column '{heading}'",
            where=header,
            remedy=f"state its unit under 'columns' in {layout.file}, or name it under 'not read'",
        )
        for heading in made.headings
        if heading not in spoken_of and heading not in others
    ]
    if errors:
        raise errors[0] if len(errors) == 1 else Errors(tuple(errors))


def _refuse_backwards(instants: NDArray[np.int64], texts: list[str], made: Table) -> None:
    back = np.flatnonzero(np.diff(instants) < 0) + 1
    if not len(back):
        return
    named = ", ".join(f"line {made.row[i]} ({texts[i]}, after {texts[i - 1]})" for i in back[:SHOWN].tolist())
    more = f" and {len(back) - SHOWN} more" if len(back) > SHOWN else ""
    raise FileError(
        f"the clock goes backwards at {named}{more}",
        where=Place(made.file, int(made.row[back[0]])),
        remedy="find out whether the clock was set, daylight saving ended or two runs were put together; rows are never sorted in silence",
    )


# ------------------------------------------------------------------------------------------------------------ cells of a column
def _samples(made: Table, column: Column) -> tuple[Samples, list[CurewrightError]]:
    at = made.column(column.heading)
    kinds = made.kinds[at]
    present = kinds != BLANK
    bad = np.zeros(len(kinds), dtype=np.bool_)
    if column.unit is None:
        numbers, states = _states(made, at, column, bad)
        refused: list[CurewrightError] = []
    else:
        numbers, states = made.numbers[at].copy(), ()
        numbers[~present] = np.nan
        refused = _texts(made, at, column, numbers, bad)
        _unfit(column, numbers, bad)
        refused += _too_large(
            made, at, column, np.flatnonzero(~bad & (np.abs(column.unit.to_grains(numbers)) > LARGEST))
        )
    if column.quality:
        words = np.array(made.texts(made.column(column.quality)))
        bad |= ~np.isin(words, column.good) & present
    if column.blank == LOST:
        bad |= ~present
        present = np.ones(len(kinds), dtype=np.bool_)
    return Samples(numbers, present, bad, states), refused


def _states(
    made: Table, at: int, column: Column, bad: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], tuple[str, ...]]:
    """Indices into the states of a text column, in order of appearance; declared codes are bad."""
    texts = np.array(made.texts(at))
    words, which = np.unique(texts, return_inverse=True)
    bad |= np.isin(texts, column.open_codes)
    first = {word: int(np.flatnonzero(which == i)[0]) for i, word in enumerate(words.tolist())}
    order = sorted((w for w in first if w and w not in column.open_codes), key=lambda word: first[word])
    index = np.array([order.index(w) if w in order else -1 for w in words.tolist()], dtype=np.float64)
    return index[which], tuple(order)


def _texts(
    made: Table, at: int, column: Column, numbers: NDArray[np.float64], bad: NDArray[np.bool_]
) -> list[CurewrightError]:
    """What the quick reading left: declared codes (bad), long numbers and exponents (read), and the rest (refused)."""
    rows = np.flatnonzero(made.kinds[at] == TEXT)
    refused: list[CurewrightError] = []
    if not len(rows):
        return refused
    sign = re.escape(column.decimal_sign)
    number = re.compile(rf"[+-]?([0-9]+({sign}[0-9]*)?|{sign}[0-9]+)([eE][+-]?[0-9]+)?")
    for row, text in zip(rows.tolist(), made.texts(at, rows), strict=True):
        numbers[row] = np.nan
        if text in column.open_codes:
            bad[row] = True
        elif number.fullmatch(text):
            numbers[row] = float(text.replace(column.decimal_sign, "."))
        else:
            refused.append(
                _no_number(text, made.place(at, row) if len(refused) < MOST_ERRORS else Place(made.file), column)
            )
    return refused


def _no_number(text: str, where: Place, column: Column) -> FileError:
    return FileError(
        f"'{text}' in the column '{column.heading}' is neither a number (decimal sign '{column.decimal_sign}') nor a declared code",
        where=where,
        remedy="if it stands for an open circuit or a fault, name it under 'open codes' in the layout",
    )


def _unfit(column: Column, numbers: NDArray[np.float64], bad: NDArray[np.bool_]) -> None:
    """Mark declared codes that are numbers, and numbers outside the stated range."""
    for code in column.open_numbers:
        bad |= numbers == code
    if column.inside:
        low, high = column.inside
        bad |= (numbers < low) | (numbers > high)


def _too_large(made: Table, at: int, column: Column, rows: NDArray[np.int64]) -> list[CurewrightError]:
    return [
        FileError(
            f"'{text}' in the column '{column.heading}' is more than any instrument measures",
            where=made.place(at, row) if i < MOST_ERRORS else Place(made.file),
            remedy="if it stands for an open circuit or a fault, name it under 'open codes' in the layout",
        )
        for i, (row, text) in enumerate(zip(rows.tolist(), made.texts(at, rows), strict=True))
    ]


# ------------------------------------------------------------------------------------------------------------------- channels
def _channel(export: Export, column: Column, samples: Samples, t: NDArray[np.int64]) -> tuple[Channel, list[str]]:
    unit = column.unit or UNITS["count"]
    grains = unit.to_grains(samples.numbers) if column.unit else samples.numbers
    vacuum = unit.reference == "vacuum"
    raw = -grains if vacuum else grains
    row, bad = export.table.row, samples.bad
    if not samples.present.all():
        keep = samples.present
        t, raw, row, bad = t[keep], raw[keep], row[keep], bad[keep]
    t, raw, row, bad, doubled = _resolved(t, raw, row, bad)
    channel = Channel(
        name=column.channel,
        unit=unit,
        kind=column.kind,
        t=t,
        v=np.where(bad, np.nan, raw) if bad.any() else raw,
        bad=bad,
        raw=raw,
        row=row,
        file=export.table.file,
        recorder=export.layout.recorder,
        reference="gauge" if vacuum else unit.reference,
        states=samples.states,
        recorded_as=column.heading,
    )
    notes = (
        [f"{column.channel}: two different values for one instant at line(s) {', '.join(map(str, doubled))}; bad"]
        if doubled
        else []
    )
    return channel, notes + _silences(channel, column)


def _resolved(
    t: NDArray[np.int64], raw: NDArray[np.float64], row: NDArray[np.int64], bad: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.int64], NDArray[np.bool_], list[int]]:
    """Same instant, same value: the first is kept. Same instant, different values (or one of them bad): kept once, and bad."""
    again = np.concatenate([[False], t[1:] == t[:-1]]) if len(t) else np.zeros(0, dtype=np.bool_)
    if not again.any():
        return t, raw, row, bad, []
    group = np.cumsum(~again) - 1
    first = np.flatnonzero(~again)
    differs = again & ((raw != raw[first][group]) | bad | bad[first][group])
    spoilt = np.zeros(len(first), dtype=np.bool_)
    np.logical_or.at(spoilt, group[differs], True)
    two_values = again & (raw != raw[first][group]) & ~bad & ~bad[first][group]
    return t[first], raw[first], row[first], bad[first] | spoilt, row[two_values].tolist()


def _silences(channel: Channel, column: Column) -> list[str]:
    """Where a channel that is logged on change was silent for longer than its heartbeat."""
    if column.heartbeat is None or len(channel.t) < 2:
        return []
    late = np.flatnonzero(np.diff(channel.t) > column.heartbeat)
    return [
        f"{channel.name}: no heartbeat between line {channel.row[i]} and line {channel.row[i + 1]} of {channel.file}"
        for i in late.tolist()
    ]


def _few(errors: list[CurewrightError], file: str) -> Errors:
    if len(errors) <= MOST_ERRORS:
        return Errors(tuple(errors))
    rest = FileError(f"and {len(errors) - MOST_ERRORS} more such cells", where=Place(file))
    return Errors((*errors[:MOST_ERRORS], rest))
