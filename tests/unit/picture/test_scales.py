"""Ticks on the wall clock, since the start, and on round numbers."""

from datetime import UTC, datetime, timedelta, timezone
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from curewright.picture.scales import STEPS, TimeScale, ValueScale, round_step, spanning
from curewright.terms.units import SECOND

HOUR = 3600 * SECOND


def scale(start: datetime, hours: float, width: float = 560.0) -> TimeScale:
    return TimeScale(start, 0, int(hours * HOUR), 46.0, width)


def test_clock_ticks_stand_at_full_hours_of_the_wall_clock() -> None:
    times = scale(datetime(2026, 3, 4, 5, 40, tzinfo=timezone(timedelta(hours=1))), 7.0)
    ticks = times.clock_ticks()
    assert [tick.words for tick in ticks] == ["06:00", "07:00", "08:00", "09:00", "10:00", "11:00", "12:00"]
    assert [tick.at for tick in ticks] == [20 * 60 * SECOND + k * HOUR for k in range(7)]  # 05:40 + 20 min = 06:00
    assert [tick.below for tick in ticks] == ["2026-03-04", *[""] * 6]
    assert times.zone() == "UTC+01:00"
    assert times.x(int(3.5 * HOUR)) == 46.0 + 280.0


def test_elapsed_ticks_stand_at_full_hours_since_the_start() -> None:
    ticks = scale(datetime(2026, 3, 4, 5, 40, tzinfo=UTC), 7.0).elapsed_ticks()
    assert [(tick.at // HOUR, tick.words) for tick in ticks] == [(k, f"{k}:00") for k in range(8)]


def test_a_new_day_has_its_date() -> None:
    ticks = scale(datetime(2026, 3, 4, 22, 0, tzinfo=UTC), 5.0).clock_ticks()
    assert [(tick.words, tick.below) for tick in ticks if tick.below] == [
        ("22:00", "2026-03-04"),
        ("00:00", "2026-03-05"),
    ]


def test_the_clock_jumps_in_the_night_of_summer_time() -> None:
    # On 29 March 2026 clocks in Central Europe go from 02:00 to 03:00 (EU directive 2000/84/EC).
    ticks = scale(datetime(2026, 3, 29, 0, 0, tzinfo=ZoneInfo("Europe/Berlin")), 5.0).clock_ticks()
    assert [tick.words for tick in ticks if tick.at % HOUR == 0] == [
        "00:00",
        "01:00",
        "03:00",
        "04:00",
        "05:00",
        "06:00",
    ]


def test_short_stretches_show_seconds() -> None:
    times = TimeScale(datetime(2026, 3, 4, 6, 0, 7, tzinfo=UTC), 0, 60 * SECOND, 0.0, 400.0)
    assert [tick.words for tick in times.clock_ticks()] == [
        "06:00:10",
        "06:00:20",
        "06:00:30",
        "06:00:40",
        "06:00:50",
        "06:01:00",
    ]


@example(166_474, 100.0)
@given(st.integers(1, 200_000), st.floats(100.0, 900.0))
def test_ticks_have_room(seconds: int, width: float) -> None:
    times = TimeScale(datetime(2026, 3, 4, tzinfo=UTC), 0, seconds * SECOND, 0.0, width)
    assert times.step() in STEPS
    ticks = times.elapsed_ticks()
    assert all(times.x(b.at) - times.x(a.at) >= 51.9 for a, b in pairwise(ticks))


@given(st.floats(-500, 500), st.floats(0.01, 900))
def test_value_ticks_are_what_they_say(low: float, span: float) -> None:
    values = ValueScale(low, low + span, 10.0, 120.0)
    ticks = values.ticks()
    assert 2 <= len(ticks) <= 7
    for tick in ticks:
        assert float(tick.words) == pytest.approx(tick.at, abs=1e-9)
        assert low - 1e-6 * span <= tick.at <= low + span * (1 + 1e-6)
    assert len({tick.words for tick in ticks}) == len(ticks)


def test_counts_have_whole_ticks() -> None:
    assert [tick.words for tick in ValueScale(-0.2, 3.2, 0.0, 120.0).ticks(whole=True)] == ["0", "1", "2", "3"]


@pytest.mark.parametrize(
    "least, step", [(0.9, 1.0), (1.1, 2.0), (2.3, 2.5), (2.6, 5.0), (6.0, 10.0), (11.0, 20.0), (0.11, 0.2)]
)
def test_round_steps(least: float, step: float) -> None:
    assert round_step(least)[0] == pytest.approx(step)


def test_a_scale_holds_its_values() -> None:
    values = spanning([10.0, 30.0, float("nan")], 0.0, 100.0, pad=0.1)
    assert (values.low, values.high) == (8.0, 32.0)
    assert values.y(32.0) == 0.0
    assert values.y(8.0) == 100.0
    assert spanning([5.0], 0.0, 10.0, least=2.0, pad=0.0).low == 4.0
