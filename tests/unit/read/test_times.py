"""Clock times: zones are stated, doubtful times refused. Dates of the changes of clock: EU directive 2000/84/EC (last Sundays)."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone, tzinfo

import numpy as np
import pytest

from curewright.read.times import Clock, check_format, is_local, local_times, moment, to_utc, written_time, zone_named
from curewright.terms.errors import FileError, Place


def ns(year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0) -> int:
    since = datetime(year, month, day, hour, minute, second, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)
    return (since // timedelta(seconds=1)) * 10**9


def line(i: int) -> Place:
    return Place("log.csv", i + 2, 1)


def clock_times(texts: list[str], form: str, zone: tzinfo | None, place_of: Callable[[int], Place]) -> np.ndarray:
    """Times to ns since 1970 UTC, as the rows of an export are taken."""
    local = local_times(texts, form, zone, place_of)
    return local if zone is None or not is_local(form) else to_utc(local, zone, lambda i: (texts[i], place_of(i)))


@pytest.mark.parametrize(
    "text, form",
    [
        ("2031-03-04T21:40:10", "iso"),
        ("2031-03-04 21:40:10.000", "iso"),
        ("03/04/2031 09:40:10 PM", "%m/%d/%Y %I:%M:%S %p"),
        ("04.03.2031 21:40:10", "%d.%m.%Y %H:%M:%S"),
    ],
)
def test_forms_of_one_instant(text: str, form: str) -> None:
    assert clock_times([text], form, zone_named("+01:00"), line).tolist() == [ns(2031, 3, 4, 20, 40, 10)]


def test_a_zone_knows_summer_and_winter() -> None:
    berlin = zone_named("Europe/Berlin")
    assert clock_times(["2031-01-15T12:00", "2031-07-15T12:00"], "iso", berlin, line).tolist() == [
        ns(2031, 1, 15, 11),
        ns(2031, 7, 15, 10),
    ]


def test_offsets_in_the_text() -> None:
    assert (
        clock_times(["2031-03-04T21:40:00-05:00", "2031-03-05T02:40:00Z"], "iso", None, line).tolist()
        == [ns(2031, 3, 5, 2, 40)] * 2
    )


def test_a_night_of_summer_time_beginning_is_read_with_its_missing_hour() -> None:
    berlin = zone_named("Europe/Berlin")
    found = clock_times(["2031-03-30T01:59", "2031-03-30T03:00"], "iso", berlin, line)
    assert (found[1] - found[0]) == 60 * 10**9


@pytest.mark.parametrize(
    "text, why",
    [
        ("2031-10-26T02:30", "it comes twice, and nothing in the order of the rows says which time it is"),
        ("2031-03-30T02:30", "it never comes"),
    ],
)
def test_a_time_that_comes_twice_or_never_is_refused(text: str, why: str) -> None:
    with pytest.raises(FileError) as refused:
        clock_times(["2031-01-01T00:00", text], "iso", zone_named("Europe/Berlin"), line)
    assert str(refused.value) == (
        f"log.csv:3:1: the time '{text}' is doubtful: the clock of Europe/Berlin changes there, so that {why}. "
        "To do: state an offset (in the layout, or with the time) instead of the zone"
    )


LAYOUT_TODO = "To do: correct the time format in the layout, or the export"
ZONES = "a zone such as 'Europe/Berlin', an offset such as '+01:00', 'UTC', or 'in the text' where each time carries its offset"
ZONE_TODO = "To do: state the zone of the recorder's clock"


@pytest.mark.parametrize(
    "text, form, zone, message",
    [
        ("04.13.2031 21:40", "%d.%m.%Y %H:%M", "UTC", f"is not readable; expected a time written as '%d.%m.%Y %H:%M'. {LAYOUT_TODO}"),
        ("2031-03-04", "iso", "UTC", f"is not readable; expected an ISO 8601 date and time. {LAYOUT_TODO}"),
        ("2031-03-04T21:40:00+01:00", "iso", "UTC", "carries an offset, and the zone UTC is stated as well. To do: state the zone as "
         "'in the text', or leave the offset away"),
        ("2031-03-04T21:40:00", "iso", "in the text", f"carries no offset; expected {ZONES}. {ZONE_TODO}"),
    ],
)  # fmt: skip
def test_what_is_no_such_time_is_refused(text: str, form: str, zone: str, message: str) -> None:
    with pytest.raises(FileError) as refused:
        clock_times([text], form, zone_named(zone), line)
    assert str(refused.value) == f"log.csv:2:1: the time '{text}' {message}"


@pytest.mark.parametrize("year", ["0001", "1899", "2200", "9999"])
def test_a_year_far_off_is_refused(year: str) -> None:
    with pytest.raises(FileError, match="is not readable"):
        clock_times([f"31.12.{year} 23:59"], "%d.%m.%Y %H:%M", zone_named("Europe/Berlin"), line)
    with pytest.raises(FileError, match="is no date and time"):
        written_time(f"{year}-12-31 23:59", zone_named("Europe/Berlin"))


def test_a_blank_time_is_refused() -> None:
    with pytest.raises(
        FileError, match=r"^log\.csv:2:1: the time is blank; expected an ISO 8601 date and time\. To do: "
    ):
        clock_times([""], "iso", zone_named("UTC"), line)


@pytest.mark.parametrize("form", ["%H:%M:%S", "%d.%m.%Y", "%d.%m.%Y %I:%M", "%d.%Y %H:%M"])
def test_a_format_without_date_or_time_of_day_is_refused(form: str) -> None:
    with pytest.raises(FileError, match="does not fix a date and a time of day"):
        check_format(form)


@pytest.mark.parametrize("zone", ["CET+1", "+1", "+25:00", "local", "Mars/Base"])
def test_unknown_zones_are_refused(zone: str) -> None:
    with pytest.raises(FileError, match="is no time zone known on this machine"):
        zone_named(zone, Place("layout.yaml", 7, 9))


def test_what_people_write() -> None:
    clock = Clock(zone_named("+01:00"), ns(2031, 3, 4, 20, 40))
    assert clock.instant("2031-03-04 21:50") == 600 * 10**9
    assert clock.instant("2031-03-04 20:50:00Z") == 600 * 10**9
    assert clock.instant("2031-03-04 21:30") == -600 * 10**9
    with pytest.raises(
        FileError, match=r"^e\.yaml:3:5: '21:50' is no date and time; expected a date and a time of day such as"
    ):
        clock.instant("21:50", Place("e.yaml", 3, 5))
    with pytest.raises(FileError, match="has no time zone"):
        written_time("2031-03-04 21:50", None)


def test_a_moment_in_its_zone() -> None:
    assert moment(ns(2031, 3, 4, 20, 40), zone_named("+01:00")) == datetime(
        2031, 3, 4, 21, 40, tzinfo=timezone(timedelta(hours=1))
    )
    assert moment(ns(2031, 3, 4, 20, 40), None).tzinfo is UTC
