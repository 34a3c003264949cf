"""What a sensor recorded, by the lines of the sensor map: within their time, joined where it was re-plugged."""

from __future__ import annotations

from datetime import UTC, datetime

from curewright.predict.sensors import channel_of, known
from curewright.terms.load import ALWAYS, Assignment, Load
from curewright.terms.run import Run
from tests.unit.judge.build import channel

MINUTE = 60 * 10**9
CHANNELS = {
    "C1": channel("C1", [(m, 20.0 + m) for m in range(10)]),
    "C2": channel("C2", [(m, 90.0) for m in range(10)]),
}
RUN = Run("r", datetime(2031, 3, 4, tzinfo=UTC), "v", CHANNELS)


def load(*lines: tuple[str, float, float]) -> Load:
    """TC1 on a channel, from and until a minute."""
    plugged = (
        Assignment("TC1", name, "judging", "S1", "", round(a * MINUTE), round(b * MINUTE), "P") for name, a, b in lines
    )
    return Load("r", "v", None, (), (), tuple(plugged))


def test_a_sensor_that_was_plugged_all_the_time_is_its_channel() -> None:
    assert channel_of(RUN, load(("C1", -1, ALWAYS / MINUTE)), "TC1") is RUN.channels["C1"]


def test_a_re_plugged_sensor_is_on_one_channel_and_then_on_the_other_however_the_map_is_sorted() -> None:
    lines = (("C2", 6, 99), ("C1", 0, 4))
    for order in (lines, lines[::-1]):
        found = channel_of(RUN, load(*order), "TC1")
        assert found is not None
        t, kelvin = known(found)
        assert (t / 60).round(9).tolist() == [0, 1, 2, 3, 6, 7, 8, 9]
        assert (kelvin - 273.15).round(6).tolist() == [20, 21, 22, 23, 90, 90, 90, 90]


def test_a_sensor_whose_channel_nobody_recorded_has_none() -> None:
    assert channel_of(RUN, load(("C9", 0, 99)), "TC1") is None
    assert channel_of(RUN, load(), "TC1") is None
