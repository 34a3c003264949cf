"""An operator's or alarm log that a system wrote: rows with a time and words, read through a layout of its own into entries."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.read.forms import DURATION, TEXT, WRITTEN, Field, Form, items, one_of, one_or_more
from curewright.read.header import NAMES, SKIPPED, UNITS
from curewright.read.instants import instants_of, readable_times
from curewright.read.layout import DECIMAL_SIGNS, NEWEST_FIRST, OLDEST_FIRST, SEPARATORS, WORKBOOK, Layout
from curewright.read.layout_file import time_of
from curewright.read.layout_form import LINES_BEFORE, TIME
from curewright.read.lines import Source
from curewright.read.plain import plain
from curewright.read.table import table
from curewright.read.workbook import workbook
from curewright.terms.errors import FileError, Place
from curewright.terms.run import Entry

if TYPE_CHECKING:
    from curewright.read.forms import Filled
    from curewright.read.table import Table
    from curewright.read.times import Clock

ALARM, LOG, EVENT, RUN = "alarm", "log", "event", "run"
EVENT_LOG = Form(
    "an event log's layout",
    "How a system writes its alarms, or an operator's log.",
    (
        Field("event log", TEXT, "the name of the layout"),
        Field(
            "holds",
            one_of(ALARM, LOG, EVENT),
            "what each row is: an alarm, a line of the operator's log, or an event by its name",
        ),
        Field("encoding", TEXT, "utf-8, cp1252, utf-16, …; 'workbook' for an Excel file"),
        Field("separator", one_of(*SEPARATORS), "what stands between cells; 'cells' in a workbook"),
        Field(
            "lines before the header",
            LINES_BEFORE,
            "how many lines come before the header; 'any' where it is looked for",
        ),
        Field("header rows", one_or_more(one_of(NAMES, UNITS, SKIPPED)), "what each header row holds"),
        Field("time", TIME.kind(), "the time column"),
        Field("words", one_or_more(TEXT), "the columns whose texts say what happened; several are joined"),
        Field(
            "about",
            TEXT,
            "the column that names the bag, the part or the sensor it is about; the run where left out",
            required=False,
        ),
        Field("by", TEXT, "who wrote the log, where no column says so"),
        Field("person column", TEXT, "the column that names the person", required=False),
        Field("plus or minus", DURATION, "how uncertain the times are"),
        Field(
            "only",
            items(WRITTEN),
            "texts that the words of a row have to begin with; all rows where left out",
            required=False,
        ),
        Field("lines left out", items(TEXT), "lines that begin so are no rows", required=False),
        Field("order", one_of(OLDEST_FIRST, NEWEST_FIRST), "of the rows; oldest first where left out", required=False),
        Field("not read", items(TEXT), "columns that are left alone", required=False),
    ),
)


@dataclass(frozen=True)
class EventLog:
    """How an event log is read: a layout without channels, and which columns say what happened, about what, by whom."""

    layout: Layout
    holds: str
    words: tuple[str, ...]
    about: str
    by: str
    person: str
    plus_minus: int
    only: tuple[str, ...]


def read_event_log_layout(content: bytes, file: str) -> EventLog:
    """The layout of an event log. Raises with file, line and column."""
    filled = EVENT_LOG.of_file(content, file)
    time_format, zone, stated = time_of(filled["time"])
    layout = Layout(
        name=filled["event log"],
        recorder="",
        encoding=filled["encoding"],
        separator=SEPARATORS[filled["separator"]],
        decimal_sign=DECIMAL_SIGNS["point"],
        preamble=filled["lines before the header"],
        header_rows=filled["header rows"],
        time_columns=filled["time"]["columns"],
        time_format=time_format,
        zone=zone,
        columns=(),
        not_read=(
            *(filled["not read"] or ()),
            *filled["words"],
            *_optional(filled, "about"),
            *_optional(filled, "person column"),
        ),
        file=file,
        left_out=filled["lines left out"] or (),
        newest_first=filled["order"] == NEWEST_FIRST,
        time=stated,
    )
    only = tuple(written.text for written in filled["only"] or ())
    return EventLog(
        layout, filled["holds"], filled["words"], filled["about"] or "", filled["by"], filled["person column"] or "",
        filled["plus or minus"], only,
    )  # fmt: skip


def _optional(filled: Filled, name: str) -> tuple[str, ...]:
    return (filled[name],) if filled[name] else ()


def read_event_log(content: bytes, file: str, log: EventLog, clock: Clock) -> tuple[Entry, ...]:
    """The rows of an event log as entries, in the order of time. Raises with file and line."""
    layout = log.layout
    if layout.encoding == WORKBOOK:
        text = workbook(content, file)
    else:
        text = plain(content, layout.encoding, layout.separator, file)
    made = table(Source(text, file, layout, (), readable_times(layout)))
    _account_for_columns(made, layout)
    if layout.newest_first:
        made = made.turned()
    instants = instants_of(made, layout)
    words = [made.texts(name) for name in log.words]
    about = made.texts(log.about) if log.about else [RUN] * len(instants)
    person = made.texts(log.person) if log.person else [log.by] * len(instants)
    entries = []
    for i, at in enumerate(instants.tolist()):
        said = "; ".join(column[i] for column in words if column[i])
        if log.only and not said.startswith(log.only):
            continue
        if not said:
            raise FileError(
                "a row of the log without words",
                where=made.place(log.words[0], i),
                remedy="name it under 'lines left out'",
            )
        entries.append(
            Entry(
                name=said if log.holds == EVENT else log.holds,
                thing=about[i] or RUN,
                at=at - clock.start,
                until=None,
                plus_minus=log.plus_minus,
                person=person[i] or log.by,
                text="" if log.holds == EVENT else said,
                file=file,
                line=int(made.row[i]),
            )
        )
    return tuple(entries)


def _account_for_columns(made: Table, layout: Layout) -> None:
    known = (*layout.time_columns, *layout.not_read)
    missing = [name for name in dict.fromkeys(known) if name not in made.headings]
    unknown = [name for name in made.headings if name not in known and not re.fullmatch(r"column \d+", name)]
    if missing:
        raise FileError(
            f"the log has no column '{missing[0]}'",
            expected="one of " + ", ".join(made.headings),
            where=Place(layout.file),
        )
    if unknown:
        raise FileError(
            f"the layout says nothing of the column '{unknown[0]}'",
            where=Place(made.file, made.header_line),
            remedy="name it under 'words', 'about', 'person column' or 'not read'",
        )
