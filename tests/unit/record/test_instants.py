"""Local times: against the rules of RFC 3339 and the clock change of 29 March 2026 in Berlin (EU rule: last Sunday of March, 01:00 UTC)."""

from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from curewright.record.instants import elapsed, length, rfc3339, run_clock

HOUR = 3600 * 10**9
BERLIN = datetime(2026, 3, 29, 1, 0, tzinfo=ZoneInfo("Europe/Berlin"))


def test_an_hour_later_the_clock_has_jumped() -> None:
    assert rfc3339(BERLIN, HOUR) == "2026-03-29T03:00:00+02:00"


def test_nanoseconds_are_kept() -> None:
    assert rfc3339(BERLIN, 1) == "2026-03-29T01:00:00.000000001+01:00"
    assert rfc3339(BERLIN, 1_500_000_000) == "2026-03-29T01:00:01.5+01:00"


def test_microseconds_of_the_start_are_added() -> None:
    start = datetime(2026, 3, 4, 5, 40, 0, 250_000, tzinfo=timezone(-timedelta(hours=7)))
    assert rfc3339(start, 10**9 - 250_000_000) == "2026-03-04T05:40:01-07:00"


def test_before_the_start() -> None:
    assert rfc3339(BERLIN, -HOUR // 2) == "2026-03-29T00:30:00+01:00"


@pytest.mark.parametrize("since", [0, 1, HOUR, 7 * HOUR + 123_456_789, -5])
def test_read_back_by_the_standard_library(since: int) -> None:
    text = rfc3339(BERLIN, since)
    micro = datetime.fromisoformat(text[:19] + text[-6:])
    assert (micro - BERLIN).total_seconds() == since // 10**9


def test_date_shown_only_on_another_day() -> None:
    start = {"time": "2026-03-29T01:00:00+01:00", "ns": 0}
    assert run_clock({"time": "2026-03-29T03:40:00+02:00", "ns": 0}, start) == "03:40:00"
    assert run_clock({"time": "2026-03-30T00:10:00.5+02:00", "ns": 0}, start) == "2026-03-30 00:10:00"


@pytest.mark.parametrize(
    "since, words", [(0, "+0:00:00"), (15125 * 10**9, "+4:12:05"), (-90 * 10**9, "-0:01:30"), (26 * HOUR, "+26:00:00")]
)
def test_elapsed(since: int, words: str) -> None:
    assert elapsed(since) == words


@pytest.mark.parametrize(
    "ns, words", [(42 * 10**9, "42 s"), (210 * 10**9, "3.5 min"), (125 * 60 * 10**9, "2 h 05 min")]
)
def test_length(ns: int, words: str) -> None:
    assert length(ns) == words
