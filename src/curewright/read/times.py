"""Clock times as written, by recorders and by people, to whole nanoseconds. A time zone is stated, never guessed.

Inside, an instant is int64 nanoseconds since 1970-01-01T00:00Z until the start of the run is known, and since that start afterwards.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

EPOCH = datetime(1970, 1, 1)
EPOCH_UTC = datetime(1970, 1, 1, tzinfo=UTC)
FIRST_YEAR, LAST_YEAR = 1900, 2199
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


def check_format(text: str, where: Place | None = None) -> str:
    """A time format as it stands, if it fixes date and time of day: ``iso`` or the codes of POSIX strptime."""
    codes = set(re.findall(r"%(.)", text))
    whole = (
        codes & {"Y", "y"}
        and codes & {"m", "b", "B"}
        and "d" in codes
        and "M" in codes
        and ("H" in codes or {"I", "p"} <= codes)
    )
    if text != ISO and not whole:
        raise FileError(
            f"the time format '{text}' does not fix a date and a time of day",
            expected="'iso', or year, month, day, hour (with %I also %p) and minute, for instance '%d.%m.%Y %H:%M:%S'",
            where=where,
        )
    return text


def clock_times(
    texts: Sequence[str], form: str, zone: tzinfo | None, place_of: Callable[[int], Place]
) -> NDArray[np.int64]:
    """Times of a recorder, shape (n,), to ns since 1970 UTC; ``place_of`` says where the i-th one stands.

    Raises :class:`FileError` for a text that is no such time, an offset where the layout states a zone (and the other way round), and
    a local time that a change of clock makes doubtful.
    """
    local = np.empty(len(texts), dtype=np.int64)
    for i, text in enumerate(texts):
        try:
            read = _iso(text) if form == ISO else _within_reach(datetime.strptime(text, form))
        except ValueError:
            raise _no_time(text, form, place_of(i)) from None
        if (read.tzinfo is None) != (zone is not None):
            raise _wrong_zone(text, zone, place_of(i))
        since = read - EPOCH if read.tzinfo is None else read - EPOCH_UTC
        local[i] = (since // MICROSECOND) * 1000
    return local if zone is None else _to_utc(local, zone, lambda i: (texts[i], place_of(i)))


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


def _to_utc(local: NDArray[np.int64], zone: tzinfo, named: Callable[[int], tuple[str, Place]]) -> NDArray[np.int64]:
    """Local times to UTC, a quarter of an hour at a time; doubtful ones (repeated or skipped by a change of clock) are refused."""
    quarters, which = np.unique(local // QUARTER, return_inverse=True)
    offsets = np.empty(len(quarters), dtype=np.int64)
    for i, quarter in enumerate(quarters.tolist()):
        naive = EPOCH + timedelta(microseconds=quarter * QUARTER // 1000)
        first, second = (naive.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
        if first is None or first != second:
            text, where = named(int(np.flatnonzero(which == i)[0]))
            raise FileError(
                f"the time '{text}' is doubtful: the clock of {zone} changes there, so that it comes twice or never",
                where=where,
                remedy="state an offset (in the layout, or with the time) instead of the zone",
            )
        offsets[i] = (first // MICROSECOND) * 1000
    return local - offsets[which]


@dataclass(frozen=True)
class Clock:
    """What turns a written time of day into ns since the start of the run: the zone that people wrote in, and the start."""

    zone: tzinfo | None
    start: int  # ns since 1970 UTC

    def instant(self, text: str, where: Place | None = None) -> int:
        """A written date and time (ISO 8601, a space or T between) to ns since the start of the run."""
        return written_time(text, self.zone, where) - self.start


def written_time(text: str, zone: tzinfo | None, where: Place | None = None) -> int:
    """A date and time that a person wrote, to ns since 1970 UTC. An offset in the text is taken before the zone.

    >>> written_time("1970-01-01 01:00:01", zone_named("+01:00"))
    1000000000
    """
    spot = where or Place()
    try:
        read = _iso(text)
    except ValueError:
        raise FileError(f"'{text}' is no date and time", expected=WRITTEN, where=where) from None
    if read.tzinfo is not None:
        return ((read - EPOCH_UTC) // MICROSECOND) * 1000
    if zone is None:
        raise FileError(
            f"'{text}' has no time zone", expected=WRITTEN, where=where, remedy="state 'time zone:' in the run sheet"
        )
    local = np.array([((read - EPOCH) // MICROSECOND) * 1000], dtype=np.int64)
    return int(_to_utc(local, zone, lambda _: (text, spot))[0])


def moment(ns: int, zone: tzinfo | None) -> datetime:
    """An instant (ns since 1970 UTC) as a date and time in that zone (UTC where none is stated)."""
    return (EPOCH_UTC + timedelta(microseconds=ns // 1000)).astimezone(zone or UTC)
