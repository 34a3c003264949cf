"""Event logs: rows of an alarm system become entries under a layout of their own."""

import pytest

from curewright.read.event_log import read_event_log, read_event_log_layout
from curewright.read.times import Clock, zone_named
from curewright.terms.errors import CurewrightError
from curewright.terms.run import Entry
from tests.unit.read.pages import example

SECOND = 10**9
CLOCK = Clock(zone_named("+01:00"), 1_930_423_200 * SECOND)  # 2031-03-04T20:40:00Z, 21:40 in Berlin
SAID, LOG = example("event-log", "yaml"), example("event-log", "csv")


def read(content: str, said: str = SAID) -> tuple[Entry, ...]:
    return read_event_log(content.encode(), "alarms.csv", read_event_log_layout(said.encode(), "alarms.yaml"), CLOCK)


def test_the_log_of_the_page() -> None:
    found = read(LOG)
    assert [(e.name, e.thing, e.at // SECOND, e.text, e.person, e.line, e.plus_minus) for e in found] == [
        ("alarm", "TC2", 60, "TC2 open; came", "alarm log", 3, SECOND),
        ("alarm", "TC2", 180, "TC2 open; seen", "B. Operator", 4, SECOND),
    ]


def test_every_row_where_none_are_named_and_the_run_where_nothing_is_said() -> None:
    found = read(LOG, SAID.replace("only: [TC, Vacuum]\n", ""))
    assert [(e.thing, e.text) for e in found][2:] == [("run", "Door closed; came")]


def test_events_by_name_the_newest_first() -> None:
    said = SAID.replace("holds: alarm", "holds: event\norder: newest first").replace(
        "words: [Alarm, State]", "words: Alarm"
    )
    said = said.replace("not read: [Priority]", "not read: [Priority, State]").replace("only: [TC, Vacuum]\n", "")
    head, *rows = LOG.split("\n", 2)[1:][0], *LOG.strip().split("\n")[2:]
    found = read("\n".join(["x", head, *reversed(rows)]) + "\n", said)
    assert [(e.name, e.text, e.at // SECOND) for e in found] == [
        ("TC2 open", "", 60),
        ("TC2 open", "", 180),
        ("Door closed", "", 240),
    ]


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("04.03.2031 21:43:00", "04.03.2031 21:40:00", "alarms.csv:4: the clock goes backwards at line 4"),
        (
            "04.03.2031 21:43:00",
            "04.13.2031 21:43:00",
            "alarms.csv:4:1: the time '04.13.2031 21:43:00' is not readable",
        ),
        (
            "TC2,TC2 open,seen",
            "TC2 open,seen",
            "alarms.csv:4: line(s) 4 (5 cells) do not have the 6 cells of the header",
        ),
        ("Priority", "Urgency", "alarms.yaml: the log has no column 'Priority'"),
        (
            "Priority,Operator\n",
            "Priority,Operator,More\n",
            "alarms.csv:2: the layout says nothing of the column 'More'",
        ),
    ],
)
def test_what_is_refused(old: str, new: str, message: str) -> None:
    text = LOG.replace(old, new)
    if "More" in new:
        text = "".join(
            line.replace("\n", ",x\n") if line.startswith("04.") else line for line in text.splitlines(keepends=True)
        )
    with pytest.raises(CurewrightError) as refused:
        read(text)
    assert str(refused.value).startswith(message)
