"""Clock times as written, by recorders and by people, to whole nanoseconds. A time zone is stated, never guessed.

Inside, an instant is int64 nanoseconds since 1970-01-01T00:00Z until the start of the run is known, and since that start afterwards.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from decimal import Decimal
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from curewright.read.kernels import clock
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from curewright.read.forms import Written

EPOCH = datetime(1970, 1, 1)
UNDATED = datetime(1900, 1, 1)  # what strptime takes where a format holds no date
EPOCH_UTC = datetime(1970, 1, 1, tzinfo=UTC)
FIRST_YEAR, LAST_YEAR = 1900, 2199
REACH = 7_260_000_000 * 10**9  # ns; about the end of the year 2199
MICROSECOND = timedelta(microseconds=1)
IN_THE_TEXT = "in the text"
ISO = "iso"
QUARTER = 15 * 60 * 10**9  # ns; every change of clock in force falls on a quarter of an hour
ZONES = "a zone such as 'Europe/Berlin', an offset such as '+01:00', 'UTC', or 'in the text' where each time carries its offset"
WRITTEN = "a date and a time of day such as 2031-03-04 21:50:00, with an offset (+01:00) where the zone leaves it open"


def zone_named(text: str, where: Place | None = None) -> tzinfo | None:
    """The time zone of that name or offset; None for ``in the text``. Raises :class:`FileError` for an unknown one.

    >>> zone_named("+05:30").utcoffset(None)
    datetime.timedelta(seconds=19800)
    """
    if text == IN_THE_TEXT:
        return None
    if text in ("UTC", "Z"):
        return UTC
    if offset := re.fullmatch(r"([+-])(\d\d):([0-5]\d)", text):
        span = timedelta(hours=int(offset[2]), minutes=int(offset[3]))
        if span < timedelta(hours=15):
            return timezone(-span if offset[1] == "-" else span)
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise FileError(
            f"'{text}' is no time zone known on this machine",
            expected=ZONES,
            where=where,
            remedy="state the zone that the clock was set to",
        ) from None


ELAPSED = {
    "elapsed s": Decimal(10**9),
    "elapsed ms": Decimal(10**6),
    "elapsed min": Decimal(60 * 10**9),
    "elapsed h": Decimal(3600 * 10**9),
}
ELAPSED_CLOCK = "elapsed h:mm:ss"
EPOCHS = {"epoch s": Decimal(10**9), "epoch ms": Decimal(10**6)}
SERIALS = {"excel days": datetime(1899, 12, 30), "excel days 1904": datetime(1904, 1, 1)}
DAY = 86400 * 10**9  # ns
PARTS = {
    "Y": clock.YEAR, "y": clock.SHORT_YEAR, "m": clock.MONTH, "d": clock.DAY, "H": clock.HOUR, "I": clock.HOUR_12, "M": clock.MINUTE,
    "S": clock.SECOND, "f": clock.FRACTION, "p": clock.HALF, "b": clock.MONTH_NAME, "B": clock.MONTH_NAME,
}  # fmt: skip


@dataclass(frozen=True)
class TimeOfExport:
    """The start that times of an export count from: stated in the layout, or standing before the header behind a text."""

    start: Written | None = None
    after: str = ""
    form: str = ISO

    @property
    def given(self) -> bool:
        """Whether a start is stated, or said to stand in the export."""
        return self.start is not None or bool(self.after)


def check_format(text: str, where: Place | None = None, *, dated: bool = True) -> str:
    """A time format as it stands, if it fixes an instant: ``iso``, a form of its own, or the codes of POSIX strptime.

    ``dated``: date and time of day have to be in it; otherwise a start is stated beside it.
    """
    counted = text in ELAPSED or text == ELAPSED_CLOCK
    if text == ISO or text in EPOCHS or text in SERIALS or (counted and not dated):
        return text
    if counted:
        raise FileError(
            f"'{text}' counts from a start that is not stated",
            expected="'start: 2031-03-04 21:40:00' beside it, or 'start after: …' where it stands in the export",
            where=where,
        )
    codes = set(re.findall(r"%(.)", text))
    time_of_day = "M" in codes and ("H" in codes or {"I", "p"} <= codes)
    date = bool(codes & {"Y", "y"}) and bool(codes & {"m", "b", "B"}) and "d" in codes
    if not time_of_day or date != dated:
        raise FileError(
            f"the time format '{text}' does not fix a date and a time of day",
            expected="'iso', or year, month, day, hour (with %I also %p) and minute, for instance '%d.%m.%Y %H:%M:%S'",
            where=where,
        )
    again = sorted({code for code in codes - {"%"} if text.replace("%%", "").count(f"%{code}") > 1})
    if again:
        raise FileError(
            f"the time format '{text}' has %{again[0]} twice", expected="each part of a time once", where=where
        )
    return text


def is_local(form: str) -> bool:
    """Whether times of this form are local ones: not those that count from 1970 or from a stated start."""
    return form not in EPOCHS and form not in ELAPSED and form != ELAPSED_CLOCK


def is_dated(form: str) -> bool:
    """Whether the form holds a date (or is counted from one)."""
    return form == ISO or not is_local(form) or form in SERIALS or "d" in re.findall(r"%(.)", form)


@cache
def parts_of(form: str) -> NDArray[np.int64] | None:
    """A format as the kernel takes it; None for one that only the careful reading knows."""
    if form == ISO:
        date = [clock.YEAR, 45, clock.MONTH, 45, clock.DAY]
        return np.array([*date, ord("T"), clock.HOUR, 58, clock.MINUTE, clock.ISO], dtype=np.int64)
    found: list[int] = []
    for code, blanks, sign in re.findall(r"%(.)|(\s+)|(.)", form):
        if code and code not in PARTS:
            return None
        found += [PARTS[code]] if code else [clock.BLANKS] if blanks else list(sign.encode())
    return np.array(found, dtype=np.int64)


ISO_WITH_BLANK = np.array(
    [clock.YEAR, 45, clock.MONTH, 45, clock.DAY, clock.BLANKS, clock.HOUR, 58, clock.MINUTE, clock.ISO], dtype=np.int64
)


def plain_times(
    text: NDArray[np.uint8], spans: NDArray[np.int64], form: str
) -> tuple[NDArray[np.int64], NDArray[np.uint8]]:
    """Times of all rows as far as they are plainly written: ns since 1970 and what each is (see the kernel).

    spans : int64, shape (columns, rows, 2). Forms that count (elapsed, epoch, days) only say whether a number begins there.
    """
    rows = spans.shape[1]
    instants, kinds = np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=np.uint8)
    if form in EPOCHS or form in SERIALS or form in ELAPSED or form == ELAPSED_CLOCK:
        begins = text[np.minimum(spans[0, :, 0], len(text) - 1)]
        number = (
            ((begins >= ord("0")) & (begins <= ord("9")))
            | (begins == ord("-"))
            | (begins == ord("."))
            | (begins == ord(","))
        )
        kinds[number & (spans[0, :, 1] > spans[0, :, 0])] = clock.LOCAL
        return instants, kinds
    parts = parts_of(form)
    if parts is None:
        kinds[spans[0, :, 1] > spans[0, :, 0]] = clock.LOCAL
        return instants, kinds
    if form == ISO and rows and b"T" not in text[spans[0, 0, 0] : spans[0, 0, 1]].tobytes():
        parts = ISO_WITH_BLANK
    clock.times(text, spans, parts, instants, kinds)
    return instants, kinds


def local_times(
    texts: Sequence[str],
    form: str,
    zone: tzinfo | None,
    place_of: Callable[[int], Place],
    start: int = 0,
    decimal_sign: str = ".",
) -> NDArray[np.int64]:
    """Times of a recorder to ns since 1970, UTC where they carry their offset or count from 1970 or from a start, else local.

    ``start``: what elapsed times count from (ns since 1970 UTC). The careful reading, text by text.
    """
    local = np.empty(len(texts), dtype=np.int64)
    for i, text in enumerate(texts):
        try:
            local[i] = _one(text, form, zone, place_of, i, start, decimal_sign)
        except (ValueError, ArithmeticError):
            raise _no_time(text, form, place_of(i)) from None
    return local


def _one(
    text: str, form: str, zone: tzinfo | None, place_of: Callable[[int], Place], i: int, start: int, decimal_sign: str
) -> int:
    if form in EPOCHS:
        return _whole(_plain_number(text, decimal_sign) * EPOCHS[form])
    if form in ELAPSED:
        return start + _whole(_plain_number(text, decimal_sign) * ELAPSED[form])
    if form == ELAPSED_CLOCK:
        return start + _elapsed(text, decimal_sign)
    if form in SERIALS:  # to the millisecond: a double holds no finer time of day
        days = _plain_number(text, decimal_sign)
        since = int((days * 86_400_000).to_integral_value()) * 10**6
        found = (SERIALS[form] - EPOCH) // MICROSECOND * 1000 + since
        _within_reach(EPOCH + timedelta(microseconds=found // 1000))
        return found
    kind, at = _by_kernel(text, form)
    if kind == clock.NO_TIME:
        read = _iso(text) if form == ISO else datetime.strptime(text, form)
        _within_reach(read)
        kind = clock.LOCAL if read.tzinfo is None else clock.WITH_OFFSET
        since_1970 = read - EPOCH_UTC if read.tzinfo else read - (EPOCH if is_dated(form) else UNDATED)
        at = (since_1970 // MICROSECOND) * 1000
    if (kind == clock.LOCAL) != (zone is not None):
        raise _wrong_zone(text, zone, place_of(i))
    return at


def _by_kernel(text: str, form: str) -> tuple[int, int]:
    content = np.frombuffer((text + "\n").encode(), dtype=np.uint8)
    spans = np.array([[[0, len(content) - 1]]], dtype=np.int64)
    if parts_of(form) is None:
        return clock.NO_TIME, 0
    instants, kinds = plain_times(content, spans, form)
    return int(kinds[0]), int(instants[0])


def _plain_number(text: str, decimal_sign: str) -> Decimal:
    if re.fullmatch(rf"-?[0-9]{{1,16}}({re.escape(decimal_sign)}[0-9]{{0,20}})?", text) is None:
        raise ValueError(text)
    return Decimal(text.replace(decimal_sign, "."))


def _whole(ns: Decimal) -> int:
    whole = int(ns.to_integral_value())
    if abs(whole) > REACH:
        raise ValueError(whole)
    return whole


def _elapsed(text: str, decimal_sign: str) -> int:
    """``h:mm:ss`` (or ``mm:ss``), with a fraction of a second, and with days before it (``1 02:03:04``, ``1.02:03:04``)."""
    sign = re.escape(decimal_sign)
    found = re.fullmatch(
        rf"(?:([0-9]+)(?: +|\.|d *))?(?:([0-9]+):)?([0-9]{{1,3}}):([0-9]{{1,2}})(?:(?:\.|{sign})([0-9]{{1,9}}))?", text
    )
    if found is None:
        raise ValueError(text)
    day, hour, minute, second, fraction = found.groups()
    if int(second) > 59 or (hour is not None and int(minute) > 59) or (day is not None and hour is None):
        raise ValueError(text)
    whole = ((int(day or 0) * 24 + int(hour or 0)) * 60 + int(minute)) * 60 + int(second)
    return whole * 10**9 + int((fraction or "0").ljust(9, "0"))


def _iso(text: str) -> datetime:
    if len(text) < len("2031-03-04T21:40") or text[10:11] not in ("T", " "):
        raise ValueError(text)
    return _within_reach(datetime.fromisoformat(text))


def _within_reach(read: datetime) -> datetime:
    """A time whose nanoseconds since 1970 are whole numbers of 64 bits; raises ValueError for others."""
    if not FIRST_YEAR <= read.year <= LAST_YEAR:
        raise ValueError(read.year)
    return read


def _no_time(text: str, form: str, where: Place) -> FileError:
    expected = "an ISO 8601 date and time" if form == ISO else f"a time written as '{form}'"
    found = f"the time '{text}' is not readable" if text else "the time is blank"
    return FileError(
        found, expected=expected, where=where, remedy="correct the time format in the layout, or the export"
    )


def _wrong_zone(text: str, zone: tzinfo | None, where: Place) -> FileError:
    if zone is None:
        return FileError(
            f"the time '{text}' carries no offset",
            expected=ZONES,
            where=where,
            remedy="state the zone of the recorder's clock",
        )
    return FileError(
        f"the time '{text}' carries an offset, and the zone {zone} is stated as well",
        where=where,
        remedy="state the zone as 'in the text', or leave the offset away",
    )


def to_utc(local: NDArray[np.int64], zone: tzinfo, named: Callable[[int], tuple[str, Place]]) -> NDArray[np.int64]:
    """Local times in the order in which they were recorded to UTC; ``named`` gives the i-th text and its place.

    Times that come twice (the hour after summer time ends) are told apart by their order, where the clock steps back exactly once among
    them and by more than half of the change. Otherwise they are refused, and so are times that never come.
    """
    quarters, which = np.unique(local // QUARTER, return_inverse=True)
    first, second = (np.empty(len(quarters), dtype=np.int64) for _ in range(2))
    for i, quarter in enumerate(quarters.tolist()):
        naive = EPOCH + timedelta(microseconds=quarter * QUARTER // 1000)
        for fold, offsets in enumerate((first, second)):
            offset = naive.replace(tzinfo=zone, fold=fold).utcoffset()
            assert offset is not None
            offsets[i] = (offset // MICROSECOND) * 1000
    early, late = first[which], second[which]
    doubtful = early != late
    if not doubtful.any():
        return local - early
    never = np.flatnonzero(early < late)
    if len(never):
        text, where = named(int(never[0]))
        raise FileError(
            f"the time '{text}' is doubtful: the clock of {zone} changes there, so that it never comes",
            where=where,
            remedy=STATE_OFFSET,
        )
    edges = np.flatnonzero(np.diff(np.concatenate(([False], doubtful, [False])).astype(np.int8)))
    for start, end in edges.reshape(-1, 2).tolist():
        early[_turn(local, early - late, start, end, zone, named) : end] = late[start]
    return local - early


STATE_OFFSET = "state an offset (in the layout, or with the time) instead of the zone"


def _turn(
    local: NDArray[np.int64],
    change: NDArray[np.int64],
    start: int,
    end: int,
    zone: tzinfo,
    named: Callable[[int], tuple[str, Place]],
) -> int:
    """The row of ``start`` to ``end`` from which the repeated hour comes the second time. Raises where the order does not say so."""
    back = [i for i, j in pairwise(range(start, end)) if local[j] < local[i]]
    text, where = named(start)
    if len(back) == 1 and local[back[0]] - local[back[0] + 1] > change[start] // 2:
        return back[0] + 1
    if not back:
        why = "and nothing in the order of the rows says which time it is"
    else:
        lines = ", ".join(f"line {named(i + 1)[1].line}" for i in back[:5])
        why = f"and the clock goes backwards there at {lines}, which is not the change alone"
    raise FileError(
        f"the time '{text}' is doubtful: the clock of {zone} changes there, so that it comes twice, {why}",
        where=where,
        remedy=STATE_OFFSET,
    )


@dataclass(frozen=True)
class Clock:
    """What turns a written time of day into ns since the start of the run: the zone that people wrote in, and the start."""

    zone: tzinfo | None
    start: int  # ns since 1970 UTC

    def instant(self, text: str, where: Place | None = None) -> int:
        """A written date and time (ISO 8601, a space or T between) to ns since the start of the run."""
        return written_time(text, self.zone, where) - self.start


def _what_is_missing(text: str) -> str:
    """What to do about a text that is no date and time."""
    if re.fullmatch(r"\d{1,2}:\d\d(:\d\d)?", text.strip()):
        return "write the date before it: on which day it was is never guessed"
    if re.match(r"\d{1,2}[./-]\d{1,2}[./-]\d{2,4}", text.strip()):
        return "write the year, then the month, then the day, with hyphens: 2031-03-04"
    return "write year, month and day with hyphens, then hour and minute"


def written_time(text: str, zone: tzinfo | None, where: Place | None = None) -> int:
    """A date and time that a person wrote, to ns since 1970 UTC. An offset in the text is taken before the zone.

    >>> written_time("1970-01-01 01:00:01", zone_named("+01:00"))
    1000000000
    """
    spot = where or Place()
    try:
        read = _iso(text)
    except ValueError:
        raise FileError(
            f"'{text}' is no date and time", expected=WRITTEN, where=where, remedy=_what_is_missing(text)
        ) from None
    if read.tzinfo is not None:
        return ((read - EPOCH_UTC) // MICROSECOND) * 1000
    if zone is None:
        raise FileError(
            f"'{text}' has no time zone", expected=WRITTEN, where=where, remedy="state 'time zone:' in the run sheet"
        )
    local = np.array([((read - EPOCH) // MICROSECOND) * 1000], dtype=np.int64)
    return int(to_utc(local, zone, lambda _: (text, spot))[0])


def moment(ns: int, zone: tzinfo | None) -> datetime:
    """An instant (ns since 1970 UTC) as a date and time in that zone (UTC where none is stated)."""
    return (EPOCH_UTC + timedelta(microseconds=ns // 1000)).astimezone(zone or UTC)
