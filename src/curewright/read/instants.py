"""The instants of an export's rows: from the text of its time columns, its zone and its stated start."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.cells import cells_of
from curewright.read.kernels import clock
from curewright.read.left_out import SHOWN
from curewright.read.plain import CROSSES
from curewright.read.times import (
    DAY,
    EPOCH,
    ISO,
    MICROSECOND,
    SERIALS,
    check_format,
    is_dated,
    is_local,
    local_times,
    parts_of,
    plain_times,
    to_utc,
    written_time,
)
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from curewright.read.layout import Layout
    from curewright.read.table import Table


def readable_times(layout: Layout) -> Callable[[NDArray[np.uint8], NDArray[np.int64]], NDArray[np.bool_]]:
    """Which rows have a time that is plainly written in the layout's format; the others may be headers, footers, or errors."""
    return lambda text, spans: plain_times(text, spans, layout.time_format)[1] != clock.NO_TIME


def instants_of(made: Table, layout: Layout, groups: list[NDArray[np.int64]] | None = None) -> NDArray[np.int64]:
    """ns since 1970 UTC, int64, shape (rows,). Raises :class:`FileError` for times that are none, doubtful, or go backwards.

    groups : for a long export, the rows of each channel: the clock goes on within each of them
    """
    local = _local(made, layout)
    each = groups if groups is not None else [np.arange(len(local))]
    found = local.copy()
    for rows in each:
        named = _Named(made, layout, rows)
        times = local[rows]
        if not is_dated(layout.time_format):
            times = _over_midnight(times, _start_date(made, layout), named)
        if layout.zone is not None and is_local(layout.time_format):
            times = to_utc(times, layout.zone, named)
        _refuse_backwards(times, named, made)
        found[rows] = times
    return found


class _Named:
    """Text and place of the i-th time of some rows."""

    def __init__(self, made: Table, layout: Layout, rows: NDArray[np.int64]) -> None:
        self.made, self.layout, self.rows = made, layout, rows

    def __call__(self, i: int) -> tuple[str, Place]:
        row = np.array([self.rows[i]])
        texts = [self.made.texts(name, row)[0] for name in self.layout.time_columns]
        return " ".join(texts), self.made.place(self.layout.time_columns[0], int(row[0]))


def _local(made: Table, layout: Layout) -> NDArray[np.int64]:
    """Local times (or UTC, where they carry their offset or are counted), row by row."""
    form = layout.time_format
    spans = np.stack([made.spans(name) for name in layout.time_columns])
    start = _start(made, layout) if not is_local(form) and layout.time.given else 0
    instants, kinds = plain_times(made.text, spans, form)
    wanted = clock.WITH_OFFSET if layout.zone is None else clock.LOCAL
    slow = np.flatnonzero(kinds != wanted) if _by_kernel(form) else np.arange(len(instants))
    if len(slow):
        texts = made.texts(layout.time_columns[0], slow)
        for name in layout.time_columns[1:]:
            texts = [f"{one} {other}" for one, other in zip(texts, made.texts(name, slow), strict=True)]
        places = slow.tolist()
        instants[slow] = local_times(
            texts,
            form,
            layout.zone,
            lambda i: made.place(layout.time_columns[0], places[i]),
            start,
            layout.decimal_sign,
        )
    return instants


def _by_kernel(form: str) -> bool:
    return is_local(form) and form not in SERIALS and parts_of(form) is not None


def _refuse_backwards(instants: NDArray[np.int64], named: _Named, made: Table) -> None:
    back = np.flatnonzero(np.diff(instants) < 0) + 1
    if not len(back):
        return
    lines = [(named(i), named(i - 1)[0]) for i in back[:SHOWN].tolist()]
    told = ", ".join(f"line {place.line} ({text}, after {before})" for (text, place), before in lines)
    more = f" and {len(back) - SHOWN} more" if len(back) > SHOWN else ""
    raise FileError(
        f"the clock goes backwards at {told}{more}",
        where=Place(made.file, lines[0][0][1].line),
        remedy="find out whether the clock was set, daylight saving ended or two runs were put together; rows are never sorted in silence",
    )


def _over_midnight(times: NDArray[np.int64], first_day: int, named: _Named) -> NDArray[np.int64]:
    """Times of day without a date: the day goes on where the clock falls back by more than half a day.

    Raises :class:`FileError` for a step on by more than half a day: one digit that is wrong would move all later rows by a day.
    """
    days = np.zeros(len(times), dtype=np.int64)
    days[1:] = np.cumsum(np.diff(times) < -DAY // 2)
    found = times + first_day + DAY * days
    far = np.flatnonzero(np.diff(found) > DAY // 2) + 1
    if len(far):
        (text, where), (before, _) = named(int(far[0])), named(int(far[0]) - 1)
        raise FileError(
            f"the time of day '{text}' comes more than twelve hours after '{before}', and no date says on which day",
            where=where,
            remedy="one of them is wrong, or the record has a hole: cut the export in two there and state the date of each piece",
        )
    return found


# ------------------------------------------------------------------------------------------------------------------ the start
def _start_text(made: Table, layout: Layout) -> tuple[str, Place]:
    """The start as it is stated in the layout, or as it stands before the header of the export."""
    stated = layout.time
    if stated.start is not None:
        return stated.start.text, stated.start.place
    for n, line in enumerate(made.before):
        at = line.find(stated.after)
        if at >= 0:
            rest = line[at + len(stated.after) :]
            cells = [cell for cell, _ in cells_of(rest, made.cut) if cell.strip(" :=")]
            return " ".join(cell.strip(" :=" + CROSSES) for cell in cells), Place(made.file, n + 1, at + 1)
    raise FileError(
        f"no line before the header holds '{stated.after}'",
        where=Place(made.file, 1),
        expected="the start of the times behind it",
        remedy="correct 'start after' in the layout, or state the 'start'",
    )


def _start(made: Table, layout: Layout) -> int:
    """The instant from which elapsed times count, ns since 1970 UTC."""
    text, where = _start_text(made, layout)
    if layout.time.form == ISO:
        return written_time(text, layout.zone, where)
    check_format(layout.time.form, where)
    local = local_times([text], layout.time.form, layout.zone, lambda _: where)
    return int(local[0] if layout.zone is None else to_utc(local, layout.zone, lambda _: (text, where))[0])


def _start_date(made: Table, layout: Layout) -> int:
    """The midnight at which the first day begins, local, ns since 1970."""
    text, where = _start_text(made, layout)
    try:
        day = (
            date.fromisoformat(text[:10])
            if layout.time.form == ISO
            else datetime.strptime(text, layout.time.form).date()
        )
    except ValueError:
        raise FileError(
            f"'{text}' is no date", expected="the date of the first row, such as 2031-03-04", where=where
        ) from None
    return (datetime(day.year, day.month, day.day) - EPOCH) // MICROSECOND * 1000
