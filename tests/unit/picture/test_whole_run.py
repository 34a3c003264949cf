"""The whole run on one sheet: axes, limits, gaps and peaks where the recorder file and the paper have them."""

from dataclasses import replace
from datetime import UTC, datetime
from itertools import combinations

import numpy as np
import pytest

from curewright.judge.judge import judge
from curewright.picture.drawing import Box
from curewright.picture.happenings import Happening, lanes_needed, placed
from curewright.picture.judged_run import JudgedRun
from curewright.picture.letters import width as letters_width
from curewright.picture.scales import TimeScale
from curewright.picture.whole_run import LEFT, RIGHT, whole_run
from curewright.terms.load import ALWAYS, Assignment, Ruling, Vessel
from curewright.terms.requirement import Band, Group, Phase, Signal
from curewright.terms.run import Flag
from curewright.terms.units import UNITS
from tests.unit.judge.build import MIN, at_least, at_most, channel, load_of, minutes, run_of, specification
from tests.unit.picture.conftest import Columns
from tests.unit.picture.svg import Read

HOURS = 7.0  # of the demo: 05:40 to 12:40


def frames(drawing: Read) -> list[tuple[int, int, int, int]]:
    return sorted(drawing.boxes("frame"), key=lambda box: box[1])


def x_of(drawing: Read, hours: float, whole: float = HOURS) -> float:
    left, _, width, _ = frames(drawing)[0]
    return left + width * hours / whole


@pytest.fixture(scope="module")
def first(demo_run: JudgedRun) -> Read:
    return Read(whole_run(demo_run, "00101"))


def test_three_panels_share_one_time_axis(first: Read) -> None:
    assert len(frames(first)) == 3
    assert {(left, width) for left, _, width, _ in frames(first)} == {(int(LEFT * 10), int((728 - LEFT - RIGHT) * 10))}
    for heading in ("temperature, °F", "vessel pressure, psi gauge", "bags, inHg of vacuum"):
        assert heading in first.text


def test_clock_and_elapsed_ticks_stand_where_they_say(first: Read) -> None:
    at = {(word.text, word.y): word.x for word in first.words if word.anchor == "middle"}
    bottom = max(y for (text, y) in at if text == "07:00")
    for hour in range(6, 13):
        assert at[f"{hour:02d}:00", bottom] == pytest.approx(x_of(first, hour - 5 - 40 / 60), abs=1)
    top = min(y for (text, y) in at if text == "1:00")
    for hour in range(8):
        assert at[f"{hour}:00", top] == pytest.approx(x_of(first, hour), abs=1)


def test_units_are_those_of_the_specification(demo_run: JudgedRun) -> None:
    assert "temperature, °F" in Read(whole_run(demo_run, "00101")).text
    assert "temperature, °C" in Read(whole_run(demo_run, "00103")).text


def test_limits_are_drawn_at_their_value_over_their_phase(first: Read) -> None:
    # EX-177-2, 4.7: at most 365 degF from 'heating starts' (06:02) to 'pressure released' (12:23:30).
    slope, offset = first.values(frames(first)[0])
    top = [line for line in first.lines("limit") if abs(slope * line[0, 1] + offset - 365.0) <= 1.5 * abs(slope)]
    assert len(top) == 1
    assert top[0][:, 0].tolist() == pytest.approx([x_of(first, 22 / 60), x_of(first, 6 + 43.5 / 60)], abs=2)
    strips = first.boxes("forbidden")
    assert any(y + height == top[0][0, 1] and x == top[0][0, 0] for x, y, _, height in strips)  # hatched above it
    # 4.6: 85 to 100 psi in the soak, each hatched on its own outer side.
    slope, offset = first.values(frames(first)[1])
    for value, side in ((85.0, 1), (100.0, -1)):
        y = (value - offset) / slope
        assert any(abs(top - y) <= 1 if side > 0 else abs(top + height - y) <= 1 for _, top, _, height in strips), value


def test_the_highest_and_lowest_readings_are_drawn(first: Read, demo_columns: Columns) -> None:
    readings = np.array([[float(v) for v in demo_columns[name]] for name in ("TC01", "TC02")]) * 1.8 + 32
    slope, offset = first.values(frames(first)[0])
    drawn = np.concatenate(first.lines("hottest"))[:, 1] * slope + offset
    third = np.array([float(v) for v in demo_columns["TC03"][: 8 * 60 + 6 - 2] if v not in ("OPEN", "")]) * 1.8 + 32
    assert drawn.max() == pytest.approx(max(readings.max(), third.max()), abs=abs(slope))
    cold = np.concatenate(first.lines("coldest"))[:, 1] * slope + offset
    assert cold.min() == pytest.approx(min(readings.min(), third.min()), abs=abs(slope))


def test_the_set_point_is_drawn_and_has_no_sensor_fault(
    demo_run: JudgedRun, first: Read, demo_columns: Columns
) -> None:
    slope, offset = first.values(frames(first)[0])
    (line,) = first.lines("set point")
    asked = np.array([float(v) for v in demo_columns["Set point"]]) * 1.8 + 32
    shown = line[:, 1] * slope + offset
    assert (shown.max(), shown.min()) == pytest.approx((asked.max(), asked.min()), abs=abs(slope))
    assert demo_run.run.channels["Set point"].flags == ()


def test_a_lost_thermocouple_ends_and_is_named(first: Read) -> None:
    # TC03 has its last good sample at 09:42:30 (recorder.csv); the hand entry says 09:43.
    ends = sorted(line[-1, 0] for line in first.lines("thermocouple"))
    assert ends[0] == pytest.approx(x_of(first, 4 + 2.5 / 60), abs=2)
    assert ends[1:] == pytest.approx([x_of(first, HOURS)] * 2, abs=1)
    assert "TC03 lost 09:42" in first.text
    assert first.elements("bad")


def test_events_have_their_marks(first: Read) -> None:
    marks = sorted({round(float(line[0, 0])) for line in first.lines("event")})
    for hours in (
        22 / 60,
        32 / 60,
        2 + 56.36 / 60,
        5 + 3.51 / 60,
    ):  # heating starts, vent begins, soak starts, soak ends
        assert min(abs(mark - x_of(first, hours)) for mark in marks) <= 3
    for words in (
        "source closed 05:50",
        "vent begins 06:12",
        "soak starts 08:36",
        "pressure released 12:23",
        "log: TC03 reads OPEN",
    ):
        assert words in first.text
    assert [element.text for element in first.root.iter() if element.text == "soak"]  # the segment of the program


def test_the_same_bytes_each_time_and_no_clock_in_them(demo_run: JudgedRun) -> None:
    fresh = replace(demo_run)
    for serial in (None, "00101"):
        assert whole_run(demo_run, serial) == whole_run(fresh, serial)


def test_no_words_leave_the_sheet(demo_run: JudgedRun) -> None:
    for serial in (None, "00101", "00102", "00103", "00104"):
        for word in Read(whole_run(demo_run, serial)).words:
            wide = letters_width(word.text, 9.0) * 10
            left = word.x - {"start": 0.0, "middle": wide / 2, "end": wide}[word.anchor]
            assert left >= 0, word
            assert left + letters_width(word.text, 8.0) * 10 <= 7290, word
            assert 0 < word.y <= 4700, word


def test_an_unknown_part_is_refused(demo_run: JudgedRun) -> None:
    with pytest.raises(KeyError):
        whole_run(demo_run, "00999")


# ----------------------------------------------------------------------------------------------------- small runs of our own
BAND = Band(
    "band", "part thermocouple", UNITS["degC"], None, None, Signal(Group("part thermocouple"), "each"),
    Phase("record starts", "record ends"), at_most("200 degC"),
)  # fmt: skip


def judged_run(*channels, forms=(BAND,), extra=(), rulings=()) -> JudgedRun:  # type: ignore[no-untyped-def]
    run = run_of(*channels)
    load = load_of(run)
    load = replace(load, map=(*load.map, *extra))
    spec = specification(*forms)
    judgement = judge((spec,), Vessel("V1", (), (), ()), load, run, tuple(rulings))
    return JudgedRun((spec,), Vessel("V1", (), (), ()), load, run, judgement, tuple(rulings))


def test_a_gap_is_a_gap_and_bad_samples_are_marked() -> None:
    # Samples each minute; none from 20 to 30 min (largest gap 2 min), one bad at 40.
    times = [*range(21), *range(30, 61)]
    read = Read(whole_run(judged_run(channel("TC1", [(m, 100 + m) for m in times], bad=(40,))), "S1"))
    pieces = read.lines("thermocouple")
    assert len(pieces) == 3
    ends = [(piece[0, 0], piece[-1, 0]) for piece in pieces]
    wanted = [(0, 20), (30, 39), (41, 60)]
    for (start, end), (first, last) in zip(ends, wanted, strict=True):
        assert start == pytest.approx(x_of(read, first / 60, 1.0), abs=1)
        assert end == pytest.approx(x_of(read, last / 60, 1.0), abs=1)
    gaps = sorted(line[0, 0] for line in read.lines("gap end"))
    assert gaps == pytest.approx([x_of(read, m / 60, 1.0) for m in (20, 30)], abs=1)
    crosses = sorted({round(float(line[:, 0].mean())) for line in read.lines("bad")})
    for minute in (39, 41):  # the good samples on both sides of the bad one
        assert min(abs(cross - x_of(read, minute / 60, 1.0)) for cross in crosses) <= 1


def test_of_many_samples_every_peak_is_kept() -> None:
    t = np.arange(20_000)
    v = 150 + 0.2 * np.sin(t / 50.0)
    v[[3333, 15_001]] = 190.0, 20.0
    read = Read(whole_run(judged_run(channel("TC1", list(zip((t / 60).tolist(), v.tolist(), strict=True))))))
    slope, offset = read.values(frames(read)[0])
    (line,) = read.lines("thermocouple")
    assert len(line) < 3500  # decimated: 20,000 samples would not be
    shown = line[:, 1] * slope + offset
    assert shown.max() == pytest.approx(190.0, abs=abs(slope))
    assert shown.min() == pytest.approx(20.0, abs=abs(slope))
    peak = line[int(np.argmax(shown)), 0]
    assert peak == pytest.approx(x_of(read, 3333 / t[-1], 1.0), abs=10)


def test_of_many_thermocouples_a_band_and_those_that_deviate() -> None:
    channels = [
        channel(f"TC{k:02d}", [(m, 100 + m + k + (150 if k == 7 and m == 30 else 0)) for m in range(61)])
        for k in range(20)
    ]
    read = Read(whole_run(judged_run(*channels)))
    assert len(read.elements("all temperature")) == 1
    assert len(read.lines("thermocouple")) == 1
    assert "S1 TC07" in read.text
    assert "hottest" in read.text
    assert "coldest" in read.text


def test_pressures_change_their_reference_where_that_is_possible() -> None:
    # 90 kPa absolute at 100 kPa of local air: 10 kPa of vacuum = 100 mbar; without a barometer the bag is not drawn.
    bag = channel("BAG1", [(m, 90) for m in range(61)], "kPa absolute")
    thermocouple = channel("TC1", [(m, 100) for m in range(61)])
    run = judged_run(thermocouple, bag)
    assert "bags" not in Read(whole_run(run)).text
    known = replace(run, run=replace(run.run, barometer=100e6))
    read = Read(whole_run(known))
    (line,) = read.lines("bag")
    frame = frames(read)[-1]
    slope, offset = read.values(frame)
    assert line[:, 1] * slope + offset == pytest.approx(100.0, abs=abs(slope))


def test_set_points_flags_and_rulings_are_shown() -> None:
    thermocouples = [channel(f"TC{k}", [(m, 100 + m + k) for m in range(61)]) for k in (1, 2)]
    frozen = replace(thermocouples[0], flags=(Flag("frozen", minutes(10), minutes(20), "constant"),))
    point = channel("SP", [(m, 105 + m) for m in range(61)])
    extra = (Assignment("SP", "SP", "set point", "V1", "", -ALWAYS, ALWAYS, "operator A"),)
    ruling = Ruling("set aside", "TC2", 30 * MIN, 40 * MIN, "engineer C", "loose")
    run = judged_run(frozen, thermocouples[1], extra=())
    with_point = replace(
        run,
        run=replace(run.run, channels={**run.run.channels, "SP": point}),
        load=replace(run.load, map=(*run.load.map, *extra)),
    )
    judgement = judge(with_point.specifications, with_point.vessel, with_point.load, with_point.run, (ruling,))
    read = Read(whole_run(replace(with_point, judgement=judgement, rulings=(ruling,)), "S1"))
    assert len(read.lines("set point")) == 1
    assert "set point SP" in read.text
    assert "TC1 frozen 10:10–10:20" in read.text  # the run starts at 10:00
    assert read.elements("flag")
    assert "TC2 set aside by engineer C" in read.text


def test_limits_of_the_vessel_pressure_are_in_the_unit_of_the_panel() -> None:
    vessel = Signal(Group("vessel pressure"), "single")
    pressure = Band("band", "vessel", UNITS["psi gauge"], None, None, vessel, BAND.phase, at_least("80 psi gauge"))
    read = Read(whole_run(judged_run(channel("P1", [(m, 90) for m in range(61)], "psi gauge"), forms=(pressure,))))
    slope, offset = read.values(frames(read)[0])
    (line,) = read.lines("limit")
    assert "vessel pressure, bar gauge" in read.text
    assert line[0, 1] * slope + offset == pytest.approx(
        80 * 0.0689475729, abs=abs(slope)
    )  # 1 psi = 6894.757 Pa (NIST SP 811)
    assert "1: at least 80 psi gauge" in read.text


def test_many_events_are_all_named_and_no_words_lie_on_others() -> None:
    times = TimeScale(datetime(2031, 3, 4, 10, tzinfo=UTC), 0, 12 * 60 * MIN, 46.0, 560.0)
    found = [Happening(f"event number {k}", 20 * k * MIN, 20 * k * MIN) for k in range(20)]
    spots = placed(found, times, 728.0)
    assert len(spots) >= 18
    boxes = [Box(one.x + 3.0, 12.0 * one.lane, letters_width(one.words, 8.5), 11.0) for one in spots]
    for a, b in combinations(boxes, 2):
        assert a.overlap(b) == 0.0
    assert lanes_needed(spots) <= 6
