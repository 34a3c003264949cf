"""A planned cycle through a lumped vessel, against closed forms of a first-order lag (any textbook of control) and hand sums."""

from math import exp

import numpy as np
import pytest

from curewright.predict.planned import air_of, surroundings, timetable
from curewright.predict.surroundings import AIR_ERROR, straightened
from curewright.terms.course import Course
from curewright.terms.cycle import Convection, Cycle, Segment, VesselHeat
from curewright.terms.errors import CurewrightError

SITE = 101_325.0


def heat(*, lag: float = 120.0, heating: float = 1e9, cooling: float = 1e9) -> VesselHeat:
    return VesselHeat("v", heating, cooling, 1e6, lag, "nitrogen", Convection("straight", (20.0, 1e-4)), "P")


def cycle(**changes: object) -> Cycle:
    segments = (
        Segment("heat-up", target=453.15, rate=1 / 30, pressure=6e5, pressure_rate=1000.0),
        Segment("soak", hold=7200.0, counted_from=440.0, longest=20000.0),
        Segment("cool-down", target=323.15, rate=1 / 20, pressure=0.0, pressure_rate=500.0),
    )
    given: dict[str, object] = {"segments": segments, "air": 293.15, "pressure": 0.0, "vacuum": -85e3, "vented_at": 2e5}
    return Cycle("c", "A", "P", **{**given, **changes})  # type: ignore[arg-type]


def test_segments_follow_one_another() -> None:
    table = timetable(cycle(), {1: 9000.0})
    assert table.starts == pytest.approx((0.0, 160 * 30, 160 * 30 + 9000))
    assert table.end == pytest.approx(160 * 30 + 9000 + 130 * 20)
    assert table.set_point.value == pytest.approx([293.15, 453.15, 453.15, 323.15])


def test_a_hold_that_nobody_has_timed_lasts_as_long_as_it_may() -> None:
    assert timetable(cycle(), {}).starts[2] == pytest.approx(160 * 30 + 20000)


def test_pressure_moves_from_where_it_is() -> None:
    pressure = timetable(cycle(), {1: 9000.0}).pressure
    assert pressure.at(np.array([0.0, 300.0, 600.0, 5000.0])) == pytest.approx([0.0, 3e5, 6e5, 6e5])
    start = 160 * 30 + 9000
    assert pressure.at(np.array([start, start + 600.0, start + 1200.0])) == pytest.approx([6e5, 3e5, 0.0], abs=1e-6)


def test_a_pressure_that_has_not_arrived_turns_on_its_way() -> None:
    segments = (
        Segment("one", hold=100.0, pressure=6e5, pressure_rate=1000.0),
        Segment("two", hold=100.0, pressure=0.0, pressure_rate=2000.0),
    )
    pressure = timetable(cycle(segments=segments), {}).pressure
    assert pressure.at(np.array([50.0, 100.0, 125.0, 150.0, 200.0])) == pytest.approx(
        [5e4, 1e5, 5e4, 0.0, 0.0], abs=1e-6
    )


def test_a_cycle_without_pressure_keeps_what_it_started_with() -> None:
    pressure = timetable(
        cycle(segments=(Segment("one", hold=100.0), Segment("two", hold=100.0)), pressure=3e4), {}
    ).pressure
    assert pressure.at(np.array([0.0, 150.0, 200.0])).tolist() == [3e4, 3e4, 3e4]


def test_the_air_lags_behind_a_ramp_by_rate_times_lag() -> None:
    set_point = Course(np.array([0.0, 6000.0]), np.array([300.0, 500.0]))
    air = air_of(set_point, heat(lag=240.0))
    rate = 200.0 / 6000.0
    for t in (240.0, 1200.0, 6000.0):
        exact = 300.0 + rate * (t - 240.0 * (1.0 - exp(-t / 240.0)))
        assert air.at(np.array([t]))[0] == pytest.approx(exact, abs=AIR_ERROR * 1.01)


def test_power_limits_how_fast_the_air_goes() -> None:
    set_point = Course(np.array([0.0, 1.0, 20000.0, 20001.0, 40000.0]), np.array([300.0, 400.0, 400.0, 300.0, 300.0]))
    air = air_of(set_point, heat(lag=0.0, heating=2e4, cooling=1e4))  # 0.02 K/s up, 0.01 K/s down
    seen = air.at(np.array([1000.0, 4000.0, 5005.0, 21000.0, 31000.0]))
    assert seen == pytest.approx([320.0, 380.0, 400.0, 390.0, 300.0], abs=0.15)


def test_bags_are_vented_where_the_pressure_gets_there() -> None:
    seen, _ = surroundings(cycle(), heat(), ["B1", "B2"], SITE, {1: 9000.0})
    assert seen.vented == pytest.approx(200.0)
    assert seen.bags["B2"].at(np.array([100.0, 215.0, 230.0])) == pytest.approx([SITE - 85e3, SITE - 42.5e3, SITE])
    assert seen.pressure.at(np.array([600.0])) == pytest.approx([SITE + 6e5])
    assert [name for _, name in seen.segments] == ["heat-up", "soak", "cool-down"]


def test_bags_that_are_never_vented_and_a_vent_that_never_comes() -> None:
    never, _ = surroundings(cycle(vented_at=None), heat(), ["B1"], SITE, {})
    assert never.vented is None
    assert never.bags["B1"].value == pytest.approx([SITE - 85e3] * 2)
    missed, _ = surroundings(cycle(vented_at=7e5), heat(), ["B1"], SITE, {})
    assert missed.vented is None
    assert any("never reached" in note for note in missed.notes)


def test_a_cycle_of_weeks_is_refused() -> None:
    with pytest.raises(CurewrightError, match="lasts"):
        timetable(cycle(segments=(Segment("soak", hold=3e6),)), {})


def test_a_straightened_line_is_near_every_sample_and_has_few_kinks() -> None:
    rng = np.random.default_rng(5)
    t = np.cumsum(rng.uniform(0.5, 3.0, 3000))
    v = np.cumsum(rng.normal(0.0, 0.02, t.size)) + 0.01 * t
    line = straightened(t, v, 0.3)
    assert np.abs(line.at(t) - v).max() <= 0.3 + 1e-9
    assert line.t.size < 400
    assert (line.t[0], line.t[-1]) == (t[0], t[-1])
    assert set(line.t.tolist()) <= set(t.tolist())


def test_a_ramp_that_the_vessel_cannot_follow_is_remarked() -> None:
    """100 kW on 1000 kJ/K is 0.1 K/s = 6 K/min: 120 K take 20 min instead of the 6 min planned; at 6 K/min it follows."""
    for rate, told in ((20 / 60, True), (0.1, False)):
        one = cycle(
            air=300.0, segments=(Segment("up", target=420.0, rate=rate), Segment("down", target=400.0, rate=0.01))
        )
        notes = surroundings(one, heat(heating=1e5, cooling=1e5), ["B1"], SITE, {})[0].notes
        remarks = [note for note in notes if note.startswith("! segment")]
        assert bool(remarks) is told
        if told:
            assert "'up' is planned at 20 K/min, and the vessel can heat at 6 K/min at most" in remarks[0]
            assert "about 14 min late" in remarks[0]
