"""A recorder's export, read through its layout: bytes to channels in grains, each sample with its line.

What the text does not say plainly is refused with file, line and column: a cell that is neither a number nor a declared code, a
column that the layout does not speak of, a clock that goes backwards. What is left out or flagged is counted, by cause
(:class:`curewright.terms.run.Counted`). Second recorders and restarted files build on :func:`read_export` and :meth:`Export.channels`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.read.header import changes
from curewright.read.instants import instants_of, readable_times
from curewright.read.layout import FROM_THE_FILE_NAME, WORKBOOK, refuse_other_unit, refuse_other_units
from curewright.read.left_out import SHOWN
from curewright.read.lines import Source
from curewright.read.plain import plain
from curewright.read.samples import MOST_ERRORS, samples_of
from curewright.read.table import table
from curewright.read.workbook import workbook
from curewright.terms.errors import CurewrightError, Errors, FileError, Place, raise_all
from curewright.terms.run import Channel, Counted
from curewright.terms.units import UNITS
from curewright.text.near import nearest

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from curewright.read.layout import Column, Layout
    from curewright.read.samples import Samples
    from curewright.read.table import Table

    Each = Callable[..., Iterable[Any]]

TWICE, TWO_VALUES = "the same instant and value again", "two values for one instant"
FEW_CELLS = 3  # fewer tell nothing of a decimal sign
MOST_MISSING, MOST_NAMED = 4, 12  # columns of a layout that may be missing one by one; headings told in one message
NAME_IN_THE_LAYOUT = "correct the name in the layout, or the separator and the header row"


@dataclass(frozen=True, eq=False)
class Export:
    """An export as a table with its instants: int64, shape (rows,), ns since 1970 UTC, never decreasing within a channel.

    ``each`` is a map that may run several calls at once.
    """

    table: Table
    layout: Layout
    instants: NDArray[np.int64]
    each: Each = map
    tags: dict[str, NDArray[np.int64]] | None = None  # long: the rows of each tag

    @property
    def first(self) -> int:
        """The first instant, ns since 1970 UTC."""
        return int(self.instants.min())

    @property
    def last(self) -> int:
        """The last instant, ns since 1970 UTC."""
        return int(self.instants.max())

    @cached_property
    def _read(self) -> tuple[tuple[Column, Samples, NDArray[np.int64] | None], ...]:
        """The columns with their samples and rows (None: all), checked once. Raises with every cell that is no value."""
        found = list(self.each(self._samples_of, self.layout.columns))
        errors = [error for _, _, _, refused in found for error in refused]
        if errors:
            raise _few(_by_sign(errors, self.layout), self.table.file)
        return tuple((column, samples, rows) for column, samples, rows, _ in found)

    def _samples_of(self, column: Column) -> tuple[Column, Samples, NDArray[np.int64] | None, list[CurewrightError]]:
        rows = self.tags.get(column.heading, _NOTHING) if self.tags is not None else None
        samples, refused = samples_of(self.table, column, self.layout, rows)
        return column, samples, rows, refused

    def channels(self, start: int) -> tuple[dict[str, Channel], tuple[str, ...]]:
        """The channels by name, uncorrected, with t = 0 at ``start`` (ns since 1970 UTC), and notes for the record.

        Raises :class:`Errors` with every cell that is neither a number nor a declared code (the first twenty by place).
        """
        made, notes, _ = self.resolved(start)
        return made, notes

    def counted(self) -> tuple[Counted, ...]:
        """What was left out or flagged, by cause: rows as the table found them, then cells of the channels."""
        return (*self.table.counted, *self.resolved(self.first)[2])

    def resolved(self, start: int) -> tuple[dict[str, Channel], tuple[str, ...], tuple[Counted, ...]]:
        """Channels, notes and counts together, see :meth:`channels` and :meth:`counted`."""
        t = self.instants - start
        again = bool((np.diff(t) == 0).any()) or self.layout.long
        made: dict[str, Channel] = {}
        notes: list[str] = []
        cells: dict[str, dict[str, NDArray[np.int64]]] = {}
        for column, samples, rows in self._read:
            channel, found, causes = _channel(self, column, samples, t, rows, again)
            made[channel.name] = channel
            notes += found
            for cause, lines in (*samples.flagged, *causes):
                if len(lines):
                    by_channel = cells.setdefault(cause, {})
                    by_channel[channel.name] = np.sort(np.concatenate((by_channel.get(channel.name, _NOTHING), lines)))
        return made, tuple(notes), tuple(_counted(cause, by_channel) for cause, by_channel in cells.items())


_NOTHING = np.zeros(0, dtype=np.int64)


def read_export(content: bytes, file: str, layout: Layout, each: Each = map) -> Export:
    """The bytes of a recorder's export as a table with instants. Raises :class:`FileError` with file and line.

    ``each`` is a map; one that runs several calls at once (threads: the kernels let go of the interpreter) makes it faster.
    """
    if layout.encoding == WORKBOOK:
        text = workbook(content, file, layout.sheet, layout.decimal_sign)
    else:
        text = plain(content, layout.encoding, layout.separator, file, layout.widths)
    numeric = (
        [layout.value] if layout.long else [column.heading for column in layout.columns if column.unit is not None]
    )
    made = table(Source(text, file, layout, tuple(numeric), readable_times(layout), each))
    _refuse_another_header(made, layout)
    _account_for_columns(made, layout)
    if layout.newest_first:
        made = made.turned()
    tags = _rows_of_tags(made, layout.tag) if layout.long else None
    if layout.unit_column and tags is not None:
        _refuse_other_units_of_rows(made, layout, tags)
    instants = instants_of(made, layout, None if tags is None else list(tags.values()))
    return Export(made, layout, instants, each, tags)


def _refuse_other_units_of_rows(made: Table, layout: Layout, tags: dict[str, NDArray[np.int64]]) -> None:
    """Raises where the rows of one tag state several units, or another one than the layout."""
    words, which = made.words(layout.unit_column)
    for column in layout.columns:
        rows = tags.get(column.heading, _NOTHING)
        other = np.flatnonzero(which[rows] != which[rows[0]]) if len(rows) else _NOTHING
        if len(other):
            at = int(rows[other[0]])
            raise FileError(
                f"the unit of '{column.heading}' was '{words[which[rows[0]]]}' and is now '{words[which[at]]}'",
                where=made.place(layout.unit_column, at),
                remedy="cut the export in two at this line, and give each piece its own layout",
            )
        if len(rows):
            text = words[which[rows[0]]]
            refuse_other_unit(column, text, f"its rows say '{text}' of '{column.heading}'")


def _rows_of_tags(made: Table, tag: str) -> dict[str, NDArray[np.int64]]:
    """The rows of each tag, in the order of the file."""
    words, which = made.words(tag)
    order = np.argsort(which.astype(np.uint16 if len(words) < 2**16 else np.int64), kind="stable")
    ends = np.cumsum(np.bincount(which, minlength=len(words)))
    return dict(zip(words, np.split(order, ends[:-1]), strict=True))


def _refuse_another_header(made: Table, layout: Layout) -> None:
    """A layout is bound to the header that it was confirmed for."""
    if layout.header is None:
        refuse_other_units(made.parts[0].header, layout.columns)
        return
    said = changes(layout.header, made.parts[0].header)
    if said:
        raise FileError(
            f"the header is not the one that {layout.file or 'the layout'} was confirmed for: {'; '.join(said)}",
            where=Place(made.file, made.header_line),
            remedy="propose the layout anew from this export ('curewright layout --keep' keeps what still holds) and confirm it again",
        )


def _account_for_columns(made: Table, layout: Layout) -> None:
    """Every column of the layout is in the export, and every column of the export is in the layout; so are the tags of a long one."""
    spoken_of = {column.heading: column.place for column in layout.columns}
    own = [name for name in (*layout.time_columns, layout.tag, layout.value, layout.unit_column) if name]
    quality = [column.quality for column in layout.columns if column.quality]
    header = Place(made.file, made.header_line)
    if layout.long:
        found: tuple[str, ...] = tuple(made.words(layout.tag)[0]) if layout.tag in made.headings else ()
        errors = _missing((*own, *quality), made.headings, {}, layout)
        errors += _unknown([tag for tag in found if tag not in (*spoken_of, *layout.not_read)], header, layout, "tag")
        errors += _unknown(
            [name for name in made.headings if name not in (*own, *quality, *layout.not_read)], header, layout, "column"
        )
    else:
        others = (*own, *layout.not_read, *quality)
        wanted = (*spoken_of, *others)
        _refuse_not_cut(wanted, made.headings, layout)
        errors = _missing(wanted, made.headings, spoken_of, layout)
        unknown = [name for name in made.headings if name not in spoken_of and name not in others]
        errors += _unknown([name for name in unknown if not _is_spacer(made, name)], header, layout, "column")
    raise_all(errors)


def _missing(
    wanted: tuple[str, ...], there: tuple[str, ...], places: dict[str, Place | None], layout: Layout
) -> list[CurewrightError]:
    missing = [heading for heading in dict.fromkeys(wanted) if heading not in there]
    return [
        FileError(
            f"the export has no column '{heading}'",
            expected=f"one of {_headings(there)}",
            where=places.get(heading) or Place(layout.file),
            remedy=f"{near} {NAME_IN_THE_LAYOUT}" if (near := nearest(heading, there)) else NAME_IN_THE_LAYOUT,
        )
        for heading in missing
    ]


def _headings(there: tuple[str, ...]) -> str:
    """The first headings of an export, and how many there are."""
    return ", ".join(there[:MOST_NAMED]) + (f", … ({len(there)} in all)" if len(there) > MOST_NAMED else "")


def _refuse_not_cut(wanted: tuple[str, ...], there: tuple[str, ...], layout: Layout) -> None:
    """Raises :class:`FileError` for a header cut at another separator, or another row: hardly any column of the layout is in it."""
    missing = [heading for heading in dict.fromkeys(wanted) if heading not in there]
    if len(missing) <= MOST_MISSING or len(there) > len(missing) // 4:
        return
    begins = f"{there[0][:60]} …" if len(there[0]) > 60 else there[0]
    cells = f"{len(there)} cell{'s' * (len(there) > 1)}"
    raise FileError(
        f"the header has {cells}, '{begins}', and nearly no column of the layout",
        expected=f"the {len(layout.columns)} columns that the layout describes",
        where=Place(layout.file),
        remedy="correct the separator, or the header row, in the layout; or propose it anew from this export ('curewright layout')",
    )


def _unknown(names: list[str], where: Place, layout: Layout, what: str) -> list[CurewrightError]:
    return [
        FileError(
            f"the layout says nothing of the {what} '{name}'",
            where=where,
            remedy=f"state its unit under 'columns' in {layout.file}, or name it under 'not read'",
        )
        for name in names
    ]


def _is_spacer(made: Table, name: str) -> bool:
    """Whether a column has neither a name nor any cell."""
    return bool(re.fullmatch(r"column \d+", name)) and not any(made.words(name)[0])


def _channel(
    export: Export,
    column: Column,
    samples: Samples,
    t: NDArray[np.int64],
    rows: NDArray[np.int64] | None,
    again: bool,
) -> tuple[Channel, list[str], list[tuple[str, NDArray[np.int64]]]]:
    unit = column.unit or UNITS["count"]
    raw, bad, row = samples.grains, samples.bad, export.table.row
    if rows is not None:
        t, row = t[rows], row[rows]
    if samples.present is not None:
        keep = samples.present
        t, raw, row, bad = t[keep], raw[keep], row[keep], bad[keep]
    notes: list[str] = []
    causes: list[tuple[str, NDArray[np.int64]]] = []
    if again:
        t, raw, row, bad, doubled, twice = _resolved(t, raw, row, bad)
        causes = [(TWO_VALUES, doubled), (TWICE, twice)]
        if len(doubled):
            lines = ", ".join(map(str, doubled.tolist()))
            notes.append(f"{column.channel}: two different values for one instant at line(s) {lines}; bad")
    channel = Channel(
        name=PurePath(export.table.file).stem if column.channel == FROM_THE_FILE_NAME else column.channel,
        unit=unit,
        kind=column.kind,
        t=t,
        v=np.where(bad, np.nan, raw) if bad.any() else raw,
        bad=bad,
        raw=raw,
        row=row,
        file=export.table.file,
        recorder=export.layout.recorder,
        reference="gauge" if unit.reference == "vacuum" else unit.reference,
        states=samples.states,
        recorded_as=column.heading,
    )
    return channel, notes + _silences(channel, column), causes


def _resolved(
    t: NDArray[np.int64], raw: NDArray[np.float64], row: NDArray[np.int64], bad: NDArray[np.bool_]
) -> tuple[
    NDArray[np.int64], NDArray[np.float64], NDArray[np.int64], NDArray[np.bool_], NDArray[np.int64], NDArray[np.int64]
]:
    """Same instant, same value: the first is kept. Same instant, different values (or one of them bad): kept once, and bad.

    The last two: the lines of rows with another value, and of those that say the same again.
    """
    again = np.concatenate([[False], t[1:] == t[:-1]]) if len(t) else np.zeros(0, dtype=np.bool_)
    if not again.any():
        return t, raw, row, bad, _NOTHING, _NOTHING
    group = np.cumsum(~again) - 1
    first = np.flatnonzero(~again)
    differs = again & ((raw != raw[first][group]) | bad | bad[first][group])
    spoilt = np.zeros(len(first), dtype=np.bool_)
    np.logical_or.at(spoilt, group[differs], True)
    two_values = again & (raw != raw[first][group]) & ~bad & ~bad[first][group]
    return t[first], raw[first], row[first], bad[first] | spoilt, row[two_values], row[again & ~differs]


def _silences(channel: Channel, column: Column) -> list[str]:
    """Where a channel that is logged on change was silent for longer than its heartbeat."""
    if column.heartbeat is None or len(channel.t) < 2:
        return []
    late = np.flatnonzero(np.diff(channel.t) > column.heartbeat)
    return [
        f"{channel.name}: no heartbeat between line {channel.row[i]} and line {channel.row[i + 1]} of {channel.file}"
        for i in late.tolist()
    ]


def _counted(cause: str, by_channel: dict[str, NDArray[np.int64]]) -> Counted:
    """One cause over all channels: cells, the first lines, the channels."""
    first = sorted({line for lines in by_channel.values() for line in lines[:SHOWN].tolist()})[:SHOWN]
    count = sum(len(lines) for lines in by_channel.values())
    return Counted(cause, "cells", count, tuple(first), tuple(by_channel), left_out=cause == TWICE)


def _by_sign(errors: list[CurewrightError], layout: Layout) -> list[CurewrightError]:
    """The same errors; where most of several cells are numbers with the other decimal sign, one that says so stands for these."""
    other = {".": ",", ",": "."}[layout.decimal_sign]
    number = re.compile(rf"'[+-]?[0-9]+{re.escape(other)}([0-9]+)' in the column .* is neither a number")
    alike = [(error, found[1]) for error in errors if (found := number.match(error.found))]
    if len(alike) < FEW_CELLS or 2 * len(alike) <= len(errors) or other == layout.thousands:
        return errors
    words = {".": "point", ",": "comma"}
    in_threes = all(len(digits) == 3 for _, digits in alike)  # 1,234 may be a thousand
    asks = FileError(
        f"{len(alike)} of the {len(errors)} cells that cannot be read are numbers with a decimal {words[other]}; this is the first",
        expected=f"a decimal {words[layout.decimal_sign]}, as {layout.file or 'the layout'} says",
        where=alike[0][0].where,
        remedy=f"write 'decimal sign: {words[other]}' in the layout"
        + f"; or 'thousands: {words[other]}' if it marks these" * in_threes,
    )
    told = {id(error) for error, _ in alike}
    return [asks, *(error for error in errors if id(error) not in told)]


def _few(errors: list[CurewrightError], file: str) -> Errors:
    if len(errors) <= MOST_ERRORS:
        return Errors(tuple(errors))
    rest = FileError(f"and {len(errors) - MOST_ERRORS} more such cells", where=Place(file))
    return Errors((*errors[:MOST_ERRORS], rest))
