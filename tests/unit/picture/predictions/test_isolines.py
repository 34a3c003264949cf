"""Fields whose lines of equal value stand where arithmetic says."""

import numpy as np
import pytest

from curewright.picture.panel import Panel
from curewright.picture.predictions.isolines import Named, depth_frame, draw_field, grey, levels_between
from curewright.picture.predictions.sheet import NUMBER, Sheet
from curewright.picture.predictions.through_thickness import MOST_TIMES, Field, sparser
from curewright.picture.scales import ValueScale
from tests.unit.picture.predictions.made import HOUR, shows, x_of
from tests.unit.picture.svg import Read

TOP, HEIGHT = 100.0, 200.0
T = np.linspace(0.0, 2 * HOUR, 41)
DEPTH = np.linspace(0.0, 0.01, 11)


def drawn(values, named=(), depth=DEPTH, **how) -> Read:
    sheet = Sheet(shows())
    panel = Panel(sheet.drawing, sheet.times, ValueScale(-10.0, 0.0, TOP, HEIGHT), NUMBER)
    draw_field(sheet, panel, Field(T, depth, values), named, **how)
    panel.write()
    depth_frame(panel, "a field", [("bag", 0.0, 0.002), ("laminate", 0.002, 0.01)])
    return Read(sheet.svg("foot"))


def test_a_field_that_rises_with_time_has_upright_lines_at_its_round_values():
    read = drawn(np.tile(100.0 * T / T[-1], (11, 1)))
    lines = read.lines("isoline")
    assert [round(float(line[:, 0].mean())) for line in lines] == [
        round(x_of(s * 2 * HOUR)) for s in (0.2, 0.4, 0.6, 0.8)
    ]
    for line in lines:
        assert np.ptp(line[:, 0]) <= 1
        assert (line[:, 1].min(), line[:, 1].max()) == (TOP * 10, (TOP + HEIGHT) * 10)
    assert {"20", "40", "60", "80"} <= {word.text for word in read.words}


def test_a_field_that_rises_with_depth_has_level_lines():
    read = drawn(np.tile((DEPTH * 1e4)[:, None], (1, T.size)))
    heights = sorted({int(line[0, 1]) for line in read.lines("isoline")})
    assert heights == [round((TOP + HEIGHT * share) * 10) for share in (0.2, 0.4, 0.6, 0.8)]


def test_steps_get_darker_with_the_value_or_lighter_where_the_least_matters():
    rising = np.tile(100.0 * T / T[-1], (11, 1))
    for darkest_first in (False, True):
        fills = [e.get("fill") for e in drawn(rising, darkest_first=darkest_first).elements("step")]
        assert len(fills) == 5
        assert fills == sorted(fills, reverse=not darkest_first)
        assert fills[-1 if not darkest_first else 0] == grey(4, 5)


def test_what_is_not_known_is_hatched_and_not_shaded():
    values = np.tile(100.0 * T / T[-1], (11, 1))
    values[:, T > HOUR] = np.nan
    read = drawn(values)
    assert read.boxes("unknown") == [(460, 1000, 5600, 2000)]
    assert max(piece[:, 0].max() for piece in read.lines("step")) == pytest.approx(x_of(HOUR), abs=1)
    nothing = drawn(np.full((11, T.size), np.nan))
    assert nothing.boxes("unknown") == [(460, 1000, 5600, 2000)]
    assert not nothing.elements("step")


def test_a_field_without_any_difference_is_one_step():
    read = drawn(np.full((11, T.size), 7.0))
    assert len(read.elements("step")) == 1
    assert not read.elements("isoline")


def test_a_named_value_is_dashed_and_told_once():
    read = drawn(np.tile(100.0 * T / T[-1], (11, 1)), [Named(47.0, "gel 47")])
    [line] = read.lines("named isoline")
    assert float(line[:, 0].mean()) == pytest.approx(x_of(0.47 * 2 * HOUR), abs=1)
    assert [word.text for word in read.words].count("gel 47") == 1


def test_layers_stand_with_their_edges_names_and_thicknesses():
    read = drawn(np.tile(100.0 * T / T[-1], (11, 1)))
    [edge] = read.lines("layer")
    assert edge[:, 1].tolist() == [round((TOP + HEIGHT * 0.2) * 10)] * 2
    assert "bag 2 mm" in read.text
    assert "laminate 8 mm" in read.text


def test_a_hole_in_a_step_is_not_filled():
    """A hill: the step around it has a hole, which runs the other way round than its outline."""
    x, y = np.meshgrid(np.linspace(-1, 1, 41), np.linspace(-1, 1, 11))
    read = drawn(100.0 - 50.0 * (x**2 + y**2))
    areas = []
    for step in read.elements("step"):
        areas.append(sum(_area(piece) for piece in _pieces(step)))
    assert sum(map(abs, areas)) == pytest.approx(5600 * 2000, rel=0.01)  # the steps tile the frame exactly once


def _pieces(element):
    from tests.unit.picture.svg import pieces

    return pieces(element.get("d", ""))


def _area(piece: np.ndarray) -> float:
    x, y = piece[:, 0].astype(float), piece[:, 1].astype(float)
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


@pytest.mark.parametrize(
    "low, high, found",
    [(0.0, 1.0, [0.2, 0.4, 0.6, 0.8]), (5.0, 5.0, []), (-10.0, 10.0, [-7.5, -5, -2.5, 0, 2.5, 5, 7.5])],
)
def test_levels_are_round_and_lie_between(low, high, found):
    assert levels_between(low, high)[0] == pytest.approx(found)


def test_a_long_field_keeps_its_first_and_last_instant():
    t = np.arange(3 * MOST_TIMES, dtype=float)
    field = sparser(Field(t, DEPTH, np.tile(t, (11, 1))))
    assert len(field.t) <= MOST_TIMES
    assert (field.t[0], field.t[-1]) == (0.0, t[-1])
    assert np.array_equal(field.values[3], field.t)
