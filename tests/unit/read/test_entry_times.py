"""Times of hand entries held against the extent of the record: instants by hand, summer and winter time as the tz database has them."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from curewright.read.entry_times import entries_in_the_record
from curewright.terms.run import Entry, Recording, Run

MINUTE, HOUR = 60 * 10**9, 3600 * 10**9
WINTER = datetime(2026, 3, 4, 5, 40, tzinfo=ZoneInfo("Europe/Berlin"))  # +01:00
BEFORE_SUMMER = datetime(2026, 3, 29, 1, 0, tzinfo=ZoneInfo("Europe/Berlin"))  # +01:00; +02:00 from one hour later on


def entry(at: float, name: str = "source closed", until: float | None = None, **more: object) -> Entry:
    """An entry ``at`` minutes after the start of the run."""
    end = None if until is None else round(until * MINUTE)
    base = {"thing": "BAG-1", "plus_minus": MINUTE, "person": "operator A", "file": "entries.yaml", "line": 3}
    return Entry(**({"name": name, "at": round(at * MINUTE), "until": end} | base | more))  # type: ignore[arg-type]


def found(*entries: Entry, start: datetime = WINTER, recorded: bool = True) -> list[str]:
    recordings = (Recording("main", ("log.csv",), 0, 7 * HOUR, 30 * 10**9),) if recorded else ()
    run = Run("R-1", start, "V", {}, entries=entries, recordings=recordings)
    findings = tuple(entries_in_the_record(run))
    assert all(one.blocks == () for one in findings)  # told; no outcome hangs on it
    return [str(one) for one in findings]


def test_an_entry_in_utc_is_asked_about_by_name_with_the_hour_that_is_missing() -> None:
    (only,) = found(entry(-50, until=-44))
    assert only.startswith(
        "entry outside the record: 'source closed' (BAG-1) at 2026-03-04 04:50:00+01:00 lies before the record, "
        "which begins at 2026-03-04 05:40:00+01:00; +1 h would put it inside: was UTC written?"
    )
    assert "'time zone' of the run sheet" in only
    assert only.endswith("[entries.yaml:3]")


@pytest.mark.parametrize(
    "at, asks",
    [
        (-100, "+2 h would put it inside: was another zone or summer time written?"),
        (7 * 60 + 30, "-1 h would put it inside: was another zone or summer time written?"),
        (24 * 60 + 30, "-24 h would put it inside: was another day written?"),
        (-23 * 60, "+24 h would put it inside: was another day written?"),
        (40 * 24 * 60, "is it of this run, and the date right?"),
    ],
)
def test_what_would_put_it_inside_is_asked(at: float, asks: str) -> None:
    (only,) = found(entry(at))
    assert asks in only


def test_entries_of_a_file_are_one_finding_with_an_hour_that_serves_all_of_them() -> None:
    (only,) = found(*(entry(-10 * i, line=i, thing="run") for i in range(1, 8)))
    assert "'source closed' at 2026-03-04 04:30:00+01:00" in only
    assert "and 4 more lie before the record" in only
    assert "+2 h would put them inside" in only  # +1 h leaves the one of 70 min before outside
    before, after = found(entry(-30), entry(8 * 60))
    assert "lies before" in before
    assert "lies after" in after


@pytest.mark.parametrize(
    "one",
    [
        entry(10),
        entry(-1),  # within its own doubt
        entry(7 * 60 + 1),
        entry(-30, until=5),  # touches the record
        entry(-600, "inspection"),
        entry(-600, "leak check", until=-590),
        entry(-600, "reading", text="start of the leak check; bench"),
        entry(5 * 24 * 60, "clause 4.10"),  # signed when the part was out of its bag
    ],
)
def test_what_may_well_be_so_is_not_spoken_of(one: Entry) -> None:
    assert found(one) == []


def test_the_clock_in_the_message_is_that_of_the_day_when_the_clocks_go_forward() -> None:
    (only,) = found(entry(8 * 60), start=BEFORE_SUMMER)
    assert "at 2026-03-29 10:00:00+02:00 lies after the record, which ends at 2026-03-29 09:00:00+02:00" in only


def test_without_a_record_nothing_is_held_against_it() -> None:
    assert found(entry(-600), recorded=False) == []
