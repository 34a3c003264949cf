"""Instants of a run as people read them: local time with its zone, and the time since the start."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from curewright.terms.units import MINUTE, SECOND


def rfc3339(start: datetime, since: int) -> str:
    """The instant as RFC 3339 local time with offset (right across a change of clocks), with the decimals of a second that it has."""
    total = since + start.microsecond * 1000
    utc = start.astimezone(UTC).replace(microsecond=0) + timedelta(seconds=total // SECOND)
    text = utc.astimezone(start.tzinfo).isoformat()
    decimals = f"{total % SECOND:09d}".rstrip("0")
    return f"{text[:19]}.{decimals}{text[19:]}" if decimals else text


def run_clock(instant: dict[str, Any], start: dict[str, Any]) -> str:
    """The clock on the wall at an instant of a verdicts file: ``14:02:10``, with the date where it is not that of the start."""
    date, clock = instant["time"][:10], instant["time"][11:19]
    return clock if date == start["time"][:10] else f"{date} {clock}"


def elapsed(since: int) -> str:
    """The time since the start in hours, minutes and seconds: ``+4:12:05`` (cut to whole seconds)."""
    sign, rest = ("-", -since) if since < 0 else ("+", since)
    minutes, seconds = divmod(rest // SECOND, 60)
    return f"{sign}{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"


def length(nanoseconds: int) -> str:
    """How long a stretch is: ``42 s``, ``3.5 min`` or ``2 h 05 min``."""
    if nanoseconds < MINUTE:
        return f"{nanoseconds / SECOND:.3g} s"
    if nanoseconds < 120 * MINUTE:
        return f"{nanoseconds / MINUTE:.4g} min"
    hours, minutes = divmod(round(nanoseconds / MINUTE), 60)
    return f"{hours} h {minutes:02d} min"
