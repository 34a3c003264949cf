"""Where the lines of the sensors stand, read back through the axis that the plot itself shows; temperatures made up in kelvin."""

import numpy as np
import pytest

from curewright.picture.panel import LimitLine
from curewright.picture.predictions.sensor_traces import SensorCourse, broken, predicted_traces, replayed_traces
from curewright.picture.predictions.sheet import NEVER_EVIDENCE, thinned, unbroken
from tests.unit.picture.predictions.made import FAHRENHEIT, HOUR, shows, x_of
from tests.unit.picture.svg import Read

T = np.linspace(0.0, 2 * HOUR, 241)
KELVIN = 300.0 + 100.0 * T / T[-1]


def degF(kelvin):
    return kelvin * 9 / 5 - 459.67


def test_a_predicted_sensor_stands_where_its_axis_says_and_the_sheet_says_predicted():
    read = Read(predicted_traces(shows(), [SensorCourse("TC1", T, KELVIN)], FAHRENHEIT))
    slope, offset = read.values(read.boxes("frame")[0])
    [line] = read.lines("predicted")
    assert line[0, 0] == x_of(0)
    assert line[-1, 0] == x_of(2 * HOUR)
    assert slope * line[0, 1] + offset == pytest.approx(degF(300.0), abs=abs(slope))
    assert slope * line[-1, 1] + offset == pytest.approx(degF(400.0), abs=abs(slope))
    assert "PREDICTED, not recorded" in read.text
    assert NEVER_EVIDENCE in read.text
    assert "predicted temperature, °F" in read.text
    assert {"TC1", "air"} <= {word.text for word in read.words}


def test_a_band_is_the_area_between_its_low_and_its_high():
    t = T[::4]
    band = (t, np.full(t.size, 320.0), np.full(t.size, 380.0))
    read = Read(predicted_traces(shows(), [SensorCourse("TC1", T, KELVIN, band)], FAHRENHEIT))
    slope, offset = read.values(read.boxes("frame")[0])
    [area] = read.lines("band")
    ends = sorted(slope * y + offset for y in (area[:, 1].min(), area[:, 1].max()))
    assert ends == pytest.approx([degF(320.0), degF(380.0)], abs=abs(slope))
    assert "middle 95 %" in read.text
    without = Read(predicted_traces(shows(), [SensorCourse("TC1", T, KELVIN)], FAHRENHEIT))
    assert not without.elements("band")
    assert "middle 95 %" not in without.text


def test_a_limit_is_hatched_over_its_phase():
    ns = 10**9
    limit = LimitLine(
        250.0,
        True,
        "4.7: at most 250 °F",
        (round(0.5 * HOUR) * ns, round(HOUR) * ns),
        (round(0.5 * HOUR) * ns, round(HOUR) * ns),
    )
    read = Read(predicted_traces(shows(), [SensorCourse("TC1", T, KELVIN)], FAHRENHEIT, [limit]))
    slope, offset = read.values(read.boxes("frame")[0])
    [line] = read.lines("limit")
    assert line[:, 0].tolist() == [round(x_of(0.5 * HOUR)), round(x_of(HOUR))]
    assert slope * line[0, 1] + offset == pytest.approx(250.0, abs=abs(slope))
    assert "4.7: at most 250 °F" in read.text


def limit_of(degrees: float, first: float, last: float, *, upper: bool = True) -> LimitLine:
    phase = (round(first * HOUR) * 10**9, round(last * HOUR) * 10**9)
    return LimitLine(degrees, upper, "4.7: a limit", phase, phase)


def test_where_a_band_reaches_over_an_upper_limit_the_limit_is_thick_and_the_sensor_named():
    """The upper edge rises by 50 K an hour from 310 K and so passes 355 K at 0.9 h; the phase ends at 1.5 h."""
    band = (T, KELVIN - 10.0, KELVIN + 10.0)
    sensors = [SensorCourse("TC1", T, KELVIN, band), SensorCourse("TC2", T, KELVIN, (T, KELVIN - 60.0, KELVIN - 55.0))]
    read = Read(predicted_traces(shows(), sensors, FAHRENHEIT, [limit_of(degF(355.0), 0.5, 1.5)]))
    [past] = read.lines("past")
    assert past[:, 0].tolist() == pytest.approx([x_of(0.9 * HOUR), x_of(1.5 * HOUR)], abs=25)  # an output is 0.5 min
    assert "band reaches over it: TC1" in read.text
    assert "band reaches over it: TC1, TC2" not in read.text


@pytest.mark.parametrize(
    "limit, why",
    [
        (limit_of(degF(355.0), 0.2, 0.8), "its phase is over before"),
        (limit_of(degF(405.0), 1.5, 2.0, upper=False), "a lower limit: the phase itself begins with it"),
        (limit_of(degF(411.0), 0.0, 2.0), "the band stays under it"),
    ],
)
def test_nothing_is_marked_where_no_band_reaches_over_it(limit: LimitLine, why: str):
    sensors = [SensorCourse("TC1", T, KELVIN, (T, KELVIN - 10.0, KELVIN + 10.0))]
    read = Read(predicted_traces(shows(), sensors, FAHRENHEIT, [limit]))
    assert not read.elements("past"), why
    assert "reaches over" not in read.text


def test_a_replay_shows_its_band_too():
    sheet = shows("REPLAYED by the model, not recorded: run 1", kind="recorded")
    sensors = [SensorCourse("TC1", T, KELVIN, (T, KELVIN - 10.0, KELVIN + 10.0), (T, KELVIN + 3.0))]
    read = Read(replayed_traces(sheet, sensors, FAHRENHEIT))
    assert len(read.elements("band")) == 1
    assert "middle 95 %" in read.text
    without = Read(replayed_traces(sheet, [SensorCourse("TC1", T, KELVIN, None, (T, KELVIN + 3.0))], FAHRENHEIT))
    assert not without.elements("band")


def test_a_set_point_is_drawn_where_there_is_one():
    from curewright.terms.course import course

    planned = shows(set_point=course([(0, 300), (2 * HOUR, 460)]))
    assert len(Read(predicted_traces(planned, [SensorCourse("TC1", T, KELVIN)], FAHRENHEIT)).elements("set point")) == 1
    assert not Read(predicted_traces(shows(), [SensorCourse("TC1", T, KELVIN)], FAHRENHEIT)).elements("set point")


def test_recorded_stands_beside_replayed_and_their_difference_below():
    recorded = (T, KELVIN + 3.0)
    sheet = shows("REPLAYED by the model, not recorded: run 1", kind="recorded")
    read = Read(replayed_traces(sheet, [SensorCourse("TC1", T, KELVIN, recorded=recorded)], FAHRENHEIT))
    above, below = read.boxes("frame")
    slope, offset = read.values(below)
    [difference] = read.lines("residual")
    assert np.ptp(difference[:, 1]) <= 1
    assert slope * difference[0, 1] + offset == pytest.approx(3.0 * 9 / 5, abs=abs(slope))
    [agree] = read.lines("agreement")
    ends = sorted(slope * y + offset for y in (agree[:, 1].min(), agree[:, 1].max()))
    assert ends == pytest.approx([-9.0, 9.0], abs=abs(slope))  # 5 K
    slope, offset = read.values(above)
    [line] = read.lines("recorded")
    assert slope * line[-1, 1] + offset == pytest.approx(degF(403.0), abs=abs(slope))
    assert {"TC1 recorded", "TC1 replayed", "TC1"} <= {word.text for word in read.words}


def test_a_gap_in_what_was_recorded_stays_one():
    keep = (T < 0.5 * HOUR) | (T > HOUR)
    recorded = (T[keep], KELVIN[keep])
    read = Read(replayed_traces(shows(), [SensorCourse("TC1", T, KELVIN, recorded=recorded)], FAHRENHEIT))
    assert len(read.lines("recorded")) == 2
    assert len(read.lines("residual")) == 2


def test_a_sensor_that_recorded_nothing_has_no_difference():
    sensors = [SensorCourse("TC1", T, KELVIN, recorded=(T, KELVIN)), SensorCourse("TC2", T, KELVIN + 1)]
    read = Read(replayed_traces(shows(), sensors, FAHRENHEIT))
    assert (len(read.lines("replayed")), len(read.lines("recorded")), len(read.lines("residual"))) == (2, 1, 1)


def test_differences_keep_the_pens_of_their_sensors():
    """The first sensor recorded nothing: the second's difference is drawn as the second, not as the first."""
    sensors = [SensorCourse("TC1", T, KELVIN), SensorCourse("TC2", T, KELVIN + 1, recorded=(T, KELVIN))]
    read = Read(replayed_traces(shows(), sensors, FAHRENHEIT))
    [difference] = read.elements("residual")
    second = read.elements("replayed")[1]
    assert difference.get("stroke") == second.get("stroke")


def test_no_peak_vanishes_in_thinning():
    x = np.linspace(0.0, 10.0, 5001)
    y = np.zeros(5001)
    y[1234], y[4321] = 5.0, -5.0
    found = thinned(np.column_stack([x, y]))
    assert len(found) < 60
    assert (found[:, 1].max(), found[:, 1].min()) == (5.0, -5.0)
    assert found[0].tolist() == [0.0, 0.0]
    assert found[-1].tolist() == [10.0, 0.0]
    assert np.all(np.diff(found[:, 0]) > 0)


def test_a_line_is_cut_where_it_is_not_known():
    points = np.array([[0.0, np.nan], [1.0, 1.0], [2.0, 2.0], [3.0, np.nan], [4.0, 4.0]])
    assert [piece.tolist() for piece in unbroken(points)] == [[[1.0, 1.0], [2.0, 2.0]], [[4.0, 4.0]]]


def test_samples_are_broken_only_at_long_gaps():
    t = np.array([0.0, 30.0, 60.0, 90.0, 300.0, 330.0])
    found_t, found = broken(t, t)
    assert found_t.tolist() == [0.0, 30.0, 60.0, 90.0, 300.0, 300.0, 330.0]
    assert np.isnan(found).tolist() == [False, False, False, False, True, False, False]
    assert broken(t[:2], t[:2])[0].tolist() == [0.0, 30.0]
