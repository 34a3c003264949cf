"""Instants of a run as people read them: local time with its zone, and the time since the start."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

SECOND = 10**9
MINUTE = 60 * SECOND


def at(start: datetime, since: int) -> datetime:
    """The instant ``since`` ns after the start, whole seconds, in the zone of the start (also across a change of clocks)."""
    utc = start.astimezone(UTC) + timedelta(seconds=since // SECOND)
    return utc.astimezone(start.tzinfo)


def rfc3339(start: datetime, since: int) -> str:
    """The instant as RFC 3339 local time with offset, with as many decimals of a second as it has (at most nine)."""
    whole = datetime.fromtimestamp(start.timestamp() // 1, UTC).astimezone(start.tzinfo)
    moment = at(whole, since + start.microsecond * 1000)
    decimals = f"{(since + start.microsecond * 1000) % SECOND:09d}".rstrip("0")
    text = moment.replace(microsecond=0).isoformat()
    return f"{text[:19]}.{decimals}{text[19:]}" if decimals else text


def run_clock(start: datetime, since: int) -> str:
    """The instant as the clock on the wall showed it: ``14:02:10``, with the date where it is not that of the start."""
    moment = at(start, since)
    clock = moment.strftime("%H:%M:%S")
    return clock if moment.date() == start.date() else f"{moment.date().isoformat()} {clock}"


def elapsed(since: int) -> str:
    """The time since the start: ``+4 h 12 min 05 s`` (cut to whole seconds)."""
    sign, rest = ("-", -since) if since < 0 else ("+", since)
    minutes, seconds = divmod(rest // SECOND, 60)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"
    return f"{sign}{head} {seconds:02d} s"


def length(nanoseconds: int) -> str:
    """How long a stretch is: ``42 s``, ``3.5 min`` or ``2 h 05 min``."""
    if nanoseconds < MINUTE:
        return f"{nanoseconds / SECOND:.3g} s"
    if nanoseconds < 120 * MINUTE:
        return f"{nanoseconds / MINUTE:.4g} min"
    hours, minutes = divmod(round(nanoseconds / MINUTE), 60)
    return f"{hours} h {minutes:02d} min"
