"""The demo's recorder, against closed forms and plain counting; nothing of the judge is used here."""

import csv
import io
import math

import numpy as np
import pytest

from curewright.jobs.demo_run import BAGS, EVERY, LEAKY_BAG, LUMPS, OPENS, bag_pressure, between, export, temperatures


@pytest.fixture(scope="module")
def rows() -> list[dict[str, str]]:
    lines = export().split("\r\n")
    return list(csv.DictReader(io.StringIO("\n".join([lines[3], *lines[5:]]))))


def test_seven_hours_twelve_part_and_two_air_thermocouples_four_bags(rows: list[dict[str, str]]) -> None:
    assert len(rows) == 7 * 3600 // EVERY + 1
    assert len([name for name in rows[0] if name.startswith(("TC", "Air"))]) == 14
    assert len(BAGS) == 4


def test_the_same_file_each_time() -> None:
    assert export() == export()


def test_says_that_it_is_invented() -> None:
    assert "INVENTED" in export().splitlines()[0]


def test_a_lump_lags_behind_a_ramp_as_first_order_theory_says() -> None:
    # Quasi-steady lag of a first-order lag behind a ramp: rate x time constant (Ogata, Modern Control Engineering, from memory).
    states = temperatures()
    index = 80 * 60 // EVERY  # minute 80: near the end of the 2 K/min ramp
    for lump in LUMPS[:3]:
        lag = states[index]["gas"] - states[index][lump.name]
        decayed = 1 - math.exp(-(80 - 22) / lump.lag)
        assert lag == pytest.approx(2.0 * lump.lag * decayed, rel=0.06)


def test_the_open_thermocouple_stays_open(rows: list[dict[str, str]]) -> None:
    name, minute = OPENS
    open_rows = [index for index, row in enumerate(rows) if row[name] == "OPEN"]
    assert open_rows == list(range(int(minute * 60 / EVERY), len(rows)))
    assert all(row[lump.name] != "OPEN" for row in rows for lump in LUMPS if lump.name != name)


def test_only_one_bag_leaks_under_pressure() -> None:
    after = {bag: max(bag_pressure(bag, minute) for minute in range(60, 400)) for bag in BAGS}
    assert after[LEAKY_BAG] > 600
    assert all(value < 50 for bag, value in after.items() if bag != LEAKY_BAG)


def test_lines_through_points() -> None:
    points = ((0.0, 10.0), (10.0, 30.0), (20.0, 30.0))
    assert [between(points, minute) for minute in (0, 5, 10, 15, 99)] == [10.0, 20.0, 30.0, 30.0, 30.0]


def test_the_soaks_by_plain_counting(rows: list[dict[str, str]]) -> None:
    # Minutes for which the coldest thermocouple of a part is at 345 degF (173.9 degC) or above, counted in samples.
    def minutes(first: int, least: float) -> float:
        names = [lump.name for lump in LUMPS[first : first + 3]]
        readings = np.array([[float(row[n]) if row[n] != "OPEN" else np.inf for n in names] for row in rows])
        return float((readings.min(axis=1) >= least).sum() * EVERY / 60)

    assert 120 < minutes(0, 173.9) < 150
    assert minutes(3, 173.9) < 115  # the heavy tool: short
    assert 120 < minutes(6, 175.0) < 150
    assert 120 < minutes(9, 175.0) < 150
