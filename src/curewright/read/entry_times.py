"""Whether what people wrote down falls into the recorded run, or is off by whole hours as if written in another zone.

What is done before or after a cure by its nature (an inspection, a leak check on the bench, a sentence that is signed) is left alone.
"""

from __future__ import annotations

from datetime import UTC, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from curewright.terms.errors import Place
from curewright.terms.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from curewright.terms.run import Entry, Run

HOUR = 3600 * 10**9
AT_ANY_TIME = ("inspection", "leak check")
READINGS = ("start of the leak check", "end of the leak check")
SIGNATURE = "clause "  # the event with which a sentence is signed
DAYS = (24, -24)  # h: another day was written
ZONES = tuple(sign * hours for hours in range(1, 15) for sign in (1, -1))  # h
NAMED = 3  # entries in one finding


def entries_in_the_record(run: Run) -> Iterator[Finding]:
    """One finding for each file with entries before the record of the run begins, and one for those after it ends."""
    if not run.recordings:
        return
    span = min(one.first for one in run.recordings), max(one.last for one in run.recordings)
    outside = [(entry, side) for entry in run.entries if (side := _side(entry, span))]
    outside.sort(key=lambda one: (one[0].file, one[1] == "after", one[0].at))
    for (file, side), group in groupby(outside, key=lambda one: (one[0].file, one[1])):
        yield _finding(file, side, [entry for entry, _ in group], span, run)


def _side(entry: Entry, span: tuple[int, int]) -> str:
    """``before``, ``after``, or '' for an entry that touches the record or may be made at any time."""
    if entry.name in AT_ANY_TIME or entry.text.startswith(READINGS) or entry.name.startswith(SIGNATURE):
        return ""
    first, last = _extent(entry)
    if last + entry.plus_minus < span[0]:
        return "before"
    return "after" if first - entry.plus_minus > span[1] else ""


def _extent(entry: Entry) -> tuple[int, int]:
    return entry.at, entry.at if entry.until is None else entry.until


def _finding(file: str, side: str, entries: Sequence[Entry], span: tuple[int, int], run: Run) -> Finding:
    named = ", ".join(f"{_said(entry)} at {_clock(run, entry.at)}" for entry in entries[:NAMED])
    more = f" and {len(entries) - NAMED} more" if len(entries) > NAMED else ""
    edge = f"begins at {_clock(run, span[0])}" if side == "before" else f"ends at {_clock(run, span[1])}"
    lies = "lies" if len(entries) == 1 else "lie"
    message = f"{named}{more} {lies} {side} the record, which {edge}; {_asks(entries, span, run)}"
    places = tuple(Place(file, line) for line in dict.fromkeys(entry.line for entry in entries[:NAMED]))
    return Finding("entry outside the record", file, message, places)


def _said(entry: Entry) -> str:
    about = "" if entry.thing in ("", "run") else f" ({entry.thing})"
    return f"'{entry.name}'{about}"


def _clock(run: Run, at: int) -> str:
    """An instant as the clock of the run showed it."""
    instant = (run.start.astimezone(UTC) + timedelta(microseconds=at // 1000)).astimezone(run.start.tzinfo)
    return instant.isoformat(sep=" ", timespec="seconds")


def _asks(entries: Sequence[Entry], span: tuple[int, int], run: Run) -> str:
    """The question that the distance suggests, and what to do."""
    to_do = (
        "Correct the date or time, or the 'time zone' of the run sheet or the 'zone' of the layout where that is wrong. "
        "If it is as it should be, there is nothing to do"
    )
    offset = run.start.utcoffset() or timedelta()
    of_zone = offset // timedelta(hours=1) if offset % timedelta(hours=1) == timedelta() else 0
    for hours in dict.fromkeys((of_zone, *ZONES, *DAYS)):
        if hours and all(_within(entry, hours * HOUR, span) for entry in entries):
            was = "another day" if hours in DAYS else "UTC" if hours == of_zone else "another zone or summer time"
            return f"{hours:+d} h would put {'it' if len(entries) == 1 else 'them'} inside: was {was} written? {to_do}"
    return f"is it of this run, and the date right? {to_do}"


def _within(entry: Entry, shift: int, span: tuple[int, int]) -> bool:
    first, last = _extent(entry)
    return span[0] <= first + shift and last + shift <= span[1]
