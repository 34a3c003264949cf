"""Times as recorders write them, and what clocks do in a year."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

from tests.torture.case import CET, Bad, Case, Truth, case, clock, lines, local, nanoseconds, truth

CEST = timezone(timedelta(hours=2))
AUTUMN = datetime(
    2031, 10, 26, 1, 0, tzinfo=CEST
)  # at 03:00 summer time the clock goes back to 02:00 (Directive 2000/84/EC)
SPRING = datetime(2031, 3, 30, 1, 0, tzinfo=CET)  # at 02:00 the clock goes on to 03:00


def table(t: Truth, times: list[str], separator: str = ";", heading: str = "Time") -> bytes:
    """A plain wide export with these times."""
    sign = "," if separator == ";" else "."
    return lines([heading, *t.cells], *t.rows(times, sign), separator=separator, end="\r\n").encode()


@case
def twelve_hours_across_midnight() -> Case:
    """Month first, AM and PM, across midnight (12:10 AM) and noon."""
    t = truth("twelve_hours_across_midnight", n=16, step=3000, start=datetime(2031, 3, 14, 23, 30, tzinfo=CET))
    return t.case(table(t, clock(t, "%m/%d/%Y %I:%M:%S %p"), ","))


@case
def day_first_beyond_doubt() -> Case:
    """Days above twelve: only one order is possible."""
    t = truth("day_first_beyond_doubt", start=datetime(2031, 3, 24, 21, 40, tzinfo=CET))
    return t.case(table(t, clock(t, "%d/%m/%Y %H:%M:%S")))


@case
def day_or_month_first_stated() -> Case:
    """03/04/2031 is two dates; a person says that the day comes first."""
    t = truth("day_or_month_first_stated", start=datetime(2031, 4, 3, 21, 40, tzinfo=CEST))
    return t.case(table(t, clock(t, "%d/%m/%Y %H:%M:%S", CEST)), answers=t.answers(more={"day order": "day first"}))


@case
def month_first_stated() -> Case:
    """The same bytes, and a person says that the month comes first."""
    t = truth("day_or_month_first_stated", start=datetime(2031, 3, 4, 21, 40, tzinfo=CET))
    return t.case(table(t, clock(t, "%m/%d/%Y %H:%M:%S")), answers=t.answers(more={"day order": "month first"}))


@case
def day_or_month_first_not_stated() -> Case:
    """03/04/2031 is two dates, and nobody has said which."""
    t = truth("day_or_month_first_stated", start=datetime(2031, 4, 3, 21, 40, tzinfo=CEST))
    return t.case(table(t, clock(t, "%d/%m/%Y %H:%M:%S", CEST)))


@case
def year_of_two_digits() -> Case:
    """24.03.31, as spreadsheets save dates again: it could be 2024-03-31, a person says that the day comes first."""
    t = truth("year_of_two_digits", start=datetime(2031, 3, 24, 21, 40, tzinfo=CET))
    return t.case(table(t, clock(t, "%d.%m.%y %H:%M:%S")), answers=t.answers(more={"day order": "day first"}))


@case
def months_in_english() -> Case:
    """24-Mar-2031."""
    t = truth("months_in_english")
    return t.case(table(t, clock(t, "%d-%b-%Y %H:%M:%S")))


@case
def two_blanks_between_date_and_time() -> Case:
    """Two blanks between date and time."""
    t = truth("two_blanks_between_date_and_time")
    return t.case(table(t, clock(t, "%Y-%m-%d  %H:%M:%S")))


@case
def date_and_time_apart() -> Case:
    """Date and time in two columns, the year first, with slashes."""
    t = truth("date_and_time_apart")
    rows = [[*row[0].split(), *row[1:]] for row in t.rows(clock(t, "%Y/%m/%d %H:%M:%S"))]
    return t.case(lines(["Date", "Time", *t.cells], *rows).encode())


@case
def thousandths_of_a_second() -> Case:
    """Thousandths of a second behind a point, four samples a second."""
    t = truth("thousandths_of_a_second", step=0.25)
    return t.case(table(t, [text[:-3] for text in clock(t, "%Y-%m-%d %H:%M:%S.%f")], ","))


@case
def thousandths_behind_a_comma() -> Case:
    """Thousandths of a second behind a comma (ISO 8601 allows both signs)."""
    t = truth("thousandths_behind_a_comma", step=0.25)
    return t.case(table(t, [text[:-3] for text in clock(t, "%Y-%m-%d %H:%M:%S,%f")]))


@case
def iso_with_z() -> Case:
    """ISO 8601 with T and Z: each time carries its offset."""
    t = truth("iso_with_z")
    return t.case(table(t, clock(t, "%Y-%m-%dT%H:%M:%SZ", UTC), ","), answers=t.answers(zone="in the text"))


@case
def iso_with_offset() -> Case:
    """ISO 8601 with +01:00."""
    t = truth("iso_with_offset")
    return t.case(table(t, [local(x).isoformat() for x in t.times], ","), answers=t.answers(zone="in the text"))


@case
def midnight_as_24_00() -> Case:
    """Midnight belongs to the day that ends: 24:00:00 (ISO 8601:2004)."""
    t = truth("midnight_as_24_00", start=datetime(2031, 3, 4, 23, 59, tzinfo=CET))
    times = [text.replace("05.03.2031 00:00:00", "04.03.2031 24:00:00") for text in clock(t, "%d.%m.%Y %H:%M:%S")]
    assert "04.03.2031 24:00:00" in times
    return t.case(table(t, times))


@case
def time_of_day_only() -> Case:
    """The time of day alone, across midnight; the date of the first row is told."""
    t = truth("time_of_day_only", step=1200)
    return t.case(table(t, clock(t, "%H:%M:%S")), answers=t.answers(more={"date": "2031-03-04"}))


@case
def elapsed_hours_beyond_a_day() -> Case:
    """Elapsed h:mm:ss that runs beyond 24 hours; the start is told."""
    t = truth("elapsed_hours_beyond_a_day", step=8000)
    spans = [(x - t.times[0]) // 10**9 for x in t.times]
    times = [f"{s // 3600}:{s // 60 % 60:02d}:{s % 60:02d}" for s in spans]
    return t.case(table(t, times, heading="Elapsed"), answers=t.answers(more={"start": "2031-03-04 21:40:00"}))


@case
def elapsed_minutes() -> Case:
    """Elapsed minutes with one decimal, each a multiple of six seconds; the start is told."""
    t = truth("elapsed_minutes", step=6)
    times = [f"{Decimal(i) / 10:.1f}" for i in range(12)]
    return t.case(
        table(t, times, ",", "Minutes"), answers=t.answers(more={"start": "2031-03-04 21:40:00", "elapsed": "min"})
    )


@case
def elapsed_seconds() -> Case:
    """Whole seconds since the start, which is told."""
    t = truth("elapsed_seconds")
    times = [str(10 * i) for i in range(12)]
    return t.case(
        table(t, times, ",", "t (s)"), answers=t.answers(more={"start": "2031-03-04 21:40:00", "elapsed": "s"})
    )


@case
def epoch_seconds() -> Case:
    """Seconds since 1970 UTC."""
    t = truth("epoch_seconds")
    told = t.answers(zone="UTC", more={"epoch": "s"})
    return t.case(table(t, [str(x // 10**9) for x in t.times], ","), answers=told)


@case
def epoch_milliseconds() -> Case:
    """Milliseconds since 1970 UTC, four samples a second."""
    t = truth("epoch_milliseconds", step=0.25)
    return t.case(table(t, [str(x // 10**6) for x in t.times]), answers=t.answers(zone="UTC", more={"epoch": "ms"}))


def serial(ns: int, decimals: int = 10) -> str:
    """Days since 1899-12-30 on the local clock, as spreadsheets count them."""
    seconds = Decimal(ns) / 10**9 + 3600 + 25569 * 86400
    return str((seconds / 86400).quantize(Decimal(1).scaleb(-decimals)))


@case
def spreadsheet_days() -> Case:
    """Days since 1899-12-30 with ten decimals (9 microseconds): whole seconds when rounded to the millisecond."""
    t = truth("spreadsheet_days")
    return t.case(table(t, [serial(x) for x in t.times], ","), answers=t.answers(more={"days": True}))


@case
def no_seconds() -> Case:
    """A sample every 20 s and no seconds in the time: three samples a minute on one instant, bad where they differ."""
    t = truth("no_seconds", step=20)
    t.cells["TC1"] = ["20.5"] * 3 + ["20.6", "20.6", "20.7"] + ["21.0"] * 3 + ["21.5"] * 3
    content = table(t, clock(t, "%d.%m.%Y %H:%M"))
    kept = {}
    for name, cells in t.cells.items():
        threes = [cells[i : i + 3] for i in range(0, 12, 3)]
        kept[name] = [three[0] if len(set(three)) == 1 else Bad("") for three in threes]
    minutes = Truth(t.times[::3], kept, t.units)
    return minutes.case(content)


# ---------------------------------------------------------------------------------------------------------- the clock is changed
@case
def autumn_hour_with_offset() -> Case:
    """The night on which 02:00 to 03:00 comes twice, each time with its offset."""
    t = truth("autumn_hour_with_offset", n=16, step=900, start=AUTUMN)
    zones = [CEST if x < nanoseconds(AUTUMN) + 2 * 3600 * 10**9 else CET for x in t.times]
    times = [local(x, zone).isoformat() for x, zone in zip(t.times, zones, strict=True)]
    return t.case(table(t, times, ","), answers=t.answers(zone="in the text"))


def autumn_times(t: Truth) -> list[str]:
    """Local times of the autumn night, without offset."""
    change = nanoseconds(AUTUMN) + 2 * 3600 * 10**9
    return [local(x, CEST if x < change else CET).strftime("%d.%m.%Y %H:%M:%S") for x in t.times]


@case
def autumn_hour_by_the_clock() -> Case:
    """The clock goes back once, inside the record, exactly at the end of summer time: only one reading is possible."""
    t = truth("autumn_hour_by_the_clock", n=16, step=900, start=AUTUMN)
    return t.case(table(t, autumn_times(t)))


@case
def autumn_hour_with_a_counter() -> Case:
    """The local time comes twice, elapsed seconds stand beside it and are read instead."""
    t = truth("autumn_hour_with_a_counter", n=16, step=900, start=AUTUMN)
    rows = [[row[0], str(900 * i), *row[1:]] for i, row in enumerate(t.rows(autumn_times(t), ","))]
    told = t.answers(
        not_read=("Time",), more={"start": "2031-10-26 01:00:00", "elapsed": "s", "time columns": ("Elapsed s",)}
    )
    return t.case(lines(["Time", "Elapsed s", *t.cells], *rows, separator=";").encode(), answers=told)


@case
def autumn_hour_on_winter_time() -> Case:
    """A recorder that never changes its clock: its zone is the offset."""
    t = truth("autumn_hour_on_winter_time", n=16, step=900, start=AUTUMN)
    return t.case(table(t, clock(t, "%d.%m.%Y %H:%M:%S", CET)), answers=t.answers(zone="+01:00"))


@case
def spring_hour_left_out() -> Case:
    """The night on which 02:00 to 03:00 never comes: no hole in the record."""
    t = truth("spring_hour_left_out", n=16, step=600, start=SPRING)
    change = nanoseconds(SPRING) + 3600 * 10**9
    times = [local(x, CET if x < change else CEST).strftime("%d.%m.%Y %H:%M:%S") for x in t.times]
    return t.case(table(t, times))


@case
def clock_set_back_with_a_counter() -> Case:
    """The clock was set back by 25 s; elapsed seconds stand beside it and are read instead."""
    t = truth("clock_set_back_with_a_counter")
    times = [local(x - (25 * 10**9 if i > 6 else 0)).strftime("%d.%m.%Y %H:%M:%S") for i, x in enumerate(t.times)]
    rows = [[row[0], str(10 * i), *row[1:]] for i, row in enumerate(t.rows(times, ","))]
    told = t.answers(
        not_read=("Time",), more={"start": "2031-03-04 21:40:00", "elapsed": "s", "time columns": ("Elapsed s",)}
    )
    return t.case(lines(["Time", "Elapsed s", *t.cells], *rows, separator=";").encode(), answers=told)


@case
def irregular_steps() -> Case:
    """A sample a minute, every second while an alarm stands, then none for an hour."""
    t = truth("irregular_steps")
    steps = [0, 60, 120, 121, 122, 123, 124, 180, 3780, 3840, 3841.5, 3900]
    t.times = [t.times[0] + round(step * 10**9) for step in steps]
    return t.case(table(t, [local(x).isoformat(" ", "milliseconds").removesuffix("+01:00") for x in t.times], ","))


@case
def leap_day() -> Case:
    """29 February 2032."""
    t = truth("leap_day", start=datetime(2032, 2, 28, 23, 59, 30, tzinfo=CET))
    return t.case(table(t, clock(t, "%d.%m.%Y %H:%M:%S")))


# -------------------------------------------------------------------------------------------------------------------- refused
@case
def clock_goes_back() -> Case:
    """The clock was set back by 25 s and nothing else counts."""
    t = truth("clock_goes_back")
    times = [local(x - (25 * 10**9 if i > 6 else 0)).strftime("%d.%m.%Y %H:%M:%S") for i, x in enumerate(t.times)]
    return t.case(table(t, times))


@case
def rows_out_of_order() -> Case:
    """Two rows have changed places."""
    t = truth("rows_out_of_order")
    rows = t.rows(clock(t))
    rows[5], rows[6] = rows[6], rows[5]
    return t.case(lines(["Time", *t.cells], *rows).encode())


@case
def two_runs_appended_newest_first() -> Case:
    """An older run stands behind a newer one."""
    t = truth("two_runs_appended_newest_first")
    old = truth("two_runs_appended_newest_first", start=datetime(2031, 3, 3, 8, 0, tzinfo=CET))
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t)), *old.rows(clock(old))).encode())


@case
def daylight_saving_starts_inside() -> Case:
    """The record begins at 02:30 of the night on which that comes twice, and shows no step back."""
    t = truth("daylight_saving_starts_inside", start=datetime(2031, 10, 26, 2, 30, tzinfo=CET))
    return t.case(table(t, clock(t, "%d.%m.%Y %H:%M:%S", CET)))


@case
def daylight_saving_hour_that_never_was() -> Case:
    """02:15 in the night on which 02:00 to 03:00 never comes: the recorder does not keep that zone."""
    t = truth("daylight_saving_hour_that_never_was", step=600, start=SPRING)
    return t.case(table(t, clock(t, "%d.%m.%Y %H:%M:%S", CET)))


@case
def daylight_saving_unsorted() -> Case:
    """The repeated hour, and a second step back inside it."""
    t = truth("daylight_saving_unsorted", n=16, step=900, start=AUTUMN)
    rows = t.rows(autumn_times(t), ",")
    rows[9], rows[10] = rows[10], rows[9]
    return t.case(lines(["Time", *t.cells], *rows, separator=";").encode())


@case
def time_blank() -> Case:
    """One row has no time."""
    t = truth("time_blank")
    return t.case(table(t, [text if i != 5 else "" for i, text in enumerate(clock(t))], ","))


@case
def date_only_on_the_first_row() -> Case:
    """The date stands on the first row only."""
    t = truth("date_only_on_the_first_row")
    rows = [[*row[0].split(), *row[1:]] for row in t.rows(clock(t))]
    for row in rows[1:]:
        row[0] = ""
    return t.case(lines(["Date", "Time", *t.cells], *rows).encode())


@case
def time_that_does_not_exist() -> Case:
    """31.02."""
    t = truth("time_that_does_not_exist", start=datetime(2031, 2, 28, 21, 40, tzinfo=CET))
    return t.case(
        table(
            t, [text.replace("28.", "31.") if i > 8 else text for i, text in enumerate(clock(t, "%d.%m.%Y %H:%M:%S"))]
        )
    )


@case
def leap_second() -> Case:
    """23:59:60."""
    t = truth("leap_second", start=datetime(2031, 12, 31, 23, 59, 10, tzinfo=CET))
    times = clock(t, "%d.%m.%Y %H:%M:%S")
    times[5] = "31.12.2031 23:59:60"
    return t.case(table(t, times))


@case
def months_in_german() -> Case:
    """24. Mär 2031."""
    t = truth("months_in_german")
    return t.case(table(t, [text.replace("Mar", "Mär") for text in clock(t, "%d. %b %Y %H:%M:%S")]))


@case
def zone_not_stated() -> Case:
    """Local times, and nobody has said of which zone."""
    t = truth("zone_not_stated")
    return t.case(table(t, clock(t)), answers=t.answers(zone=""))
