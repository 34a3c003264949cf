"""Where gel, glass, viscosity and pressure stand, for a course that was made up so that their instants are known."""

import numpy as np
import pytest

from curewright.picture.predictions.resin_sheet import Decades, resin_sheet
from tests.unit.picture.predictions.made import FAHRENHEIT, HOUR, resin, shows, x_of
from tests.unit.picture.svg import Read


def read(courses=None, **how) -> Read:
    return Read(resin_sheet(shows(), courses or [resin()], FAHRENHEIT, **how))


def test_gel_stands_at_its_instant_in_every_panel_below_the_temperature():
    found = read()
    assert [line[0, 0] for line in found.lines("gel")] == [x_of(HOUR)] * 3
    assert "gels 1:00" in found.text
    later = resin(cure=np.linspace(0.0, 0.8, 241))  # gels at 5/8 of two hours
    both = read([resin(), later])
    assert sorted({int(line[0, 0]) for line in both.lines("gel")}) == [round(x_of(HOUR)), round(x_of(1.25 * HOUR))]
    assert "gels 1:00 to 1:15" in both.text


def test_no_gel_no_mark():
    never = resin(cure=np.linspace(0.0, 0.4, 241))
    assert not read([never]).elements("gel")
    assert not read([resin(), never]).elements("gel")  # where one depth does not gel, no instant is told for the layer
    assert not read([resin(gel=None)]).elements("gel")


def test_glass_is_told_by_all_laws_and_by_some():
    found = read()
    [some] = found.boxes("glass by some laws")
    [surely] = found.boxes("glass")
    assert some[0] == pytest.approx(x_of(HOUR), abs=25)  # an output is 30 s, 23 tenths of a point
    assert some[0] + some[2] == pytest.approx(x_of(1.25 * HOUR), abs=25)
    assert surely[0] == pytest.approx(x_of(1.25 * HOUR), abs=25)
    assert surely[0] + surely[2] == pytest.approx(x_of(2 * HOUR), abs=1)


def test_the_range_of_the_glass_transition_is_shaded():
    found = read()
    slope, offset = found.values(found.boxes("frame")[0])
    [area] = found.lines("glass transition")
    last = area[area[:, 0] == round(x_of(2 * HOUR))]
    ends = sorted(slope * y + offset for y in (last[:, 1].min(), last[:, 1].max()))
    assert ends == pytest.approx([460 * 9 / 5 - 459.67, 500 * 9 / 5 - 459.67], abs=2 * abs(slope))
    none = resin(glass_low=np.full(241, np.nan), glass_high=np.full(241, np.nan))
    assert not read([none]).elements("glass transition")


def test_viscosity_is_logarithmic_and_ends_at_gel():
    found = read()
    frame = found.boxes("frame")[2]
    line = found.lines("middle")[2]
    # 10 to 1000 Pa s over the first hour, straight in the logarithm: from the bottom of the frame (10) to its top (1000)
    assert line[0].tolist() == [round(x_of(0)), frame[1] + frame[3]]
    assert line[-1, 0] == pytest.approx(x_of(HOUR), abs=25)
    middle = line[len(line) // 2]
    share = (middle[0] - x_of(0)) / (x_of(HOUR) - x_of(0))
    assert (frame[1] + frame[3] - middle[1]) / frame[3] == pytest.approx(share, abs=0.02)
    assert {"10", "100", "1000"} <= {word.text for word in found.words}


def test_pressure_on_the_laminate_in_the_unit_of_the_specification():
    found = read()
    slope, offset = found.values(found.boxes("frame")[3])
    [line] = found.lines("pressed")
    assert slope * line[0, 1] + offset == pytest.approx(6e5 / 6894.757, abs=abs(slope))
    assert slope * line[-1, 1] + offset == pytest.approx(5e5 / 6894.757, abs=abs(slope))
    [margin] = found.lines("void margin")
    assert slope * margin[0, 1] + offset == pytest.approx(4e5 / 6894.757, abs=abs(slope))
    assert margin[-1, 0] == pytest.approx(x_of(HOUR), abs=25)


def test_what_a_card_does_not_know_has_no_panel():
    unknown = resin(viscosity=np.full(241, np.nan), pressed=np.full(241, np.nan), void_margin=np.full(241, np.nan))
    found = read([unknown])
    assert len(found.boxes("frame")) == 2
    assert "viscosity" not in found.text
    assert "pressure" not in found.text


def test_a_plan_is_dashed_beside_a_replay_and_only_then():
    plain = read()
    assert not plain.elements("planned")
    assert "planned" not in plain.text
    beside = read(planned=resin(pressed=np.full(241, 6e5)))
    assert len(beside.elements("planned")) == 4
    slope, offset = beside.values(beside.boxes("frame")[3])
    assert slope * beside.lines("planned")[-1][-1, 1] + offset == pytest.approx(6e5 / 6894.757, abs=abs(slope))


def test_decades_leave_out_what_would_stand_too_close():
    assert [tick.words for tick in Decades(-1.0, 4.0, 0.0, 200.0).ticks()] == ["0.1", "1", "10", "100", "1000", "10000"]
    assert [tick.words for tick in Decades(0.0, 6.0, 0.0, 40.0).ticks()] == ["1", "1000", "10⁶"]


def test_the_same_courses_give_the_same_bytes():
    assert resin_sheet(shows(), [resin()], FAHRENHEIT) == resin_sheet(shows(), [resin()], FAHRENHEIT)
