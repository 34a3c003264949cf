"""The maps of a zone that was really predicted: what is at the top, where gel runs, what is hottest; held against the solution."""

import numpy as np
import pytest

from curewright.picture.predictions.sheet import Shows
from curewright.picture.predictions.through_thickness import courses, layer_edges, temperatures
from curewright.picture.predictions.zone_map import zone_map
from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.read.cards import packaged_card
from curewright.terms.build_up import Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Segment
from tests.unit.picture.predictions.made import FAHRENHEIT, START
from tests.unit.picture.svg import Read
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, part

CARD = packaged_card("hubert_2001")


@pytest.fixture(scope="module")
def predicted():
    """A thick laminate on a metal plate, heated to 177 °C: it heats itself."""
    layers = (ZoneLayer("laminate", 0.03, "prepreg"), ZoneLayer("plate", 0.005, "metal"))
    thick = Zone("z", layers, ZoneFace(1.0), ZoneFace(0.5))
    hot = cycle(Segment("up", target=450.15, rate=1 / 30), Segment("soak", hold=9000.0))
    seen, _ = surroundings(hot, HEAT, ["B1"], SITE, {})
    build_up = part("1", thick, degree_of_cure=0.01, humidity=0.5, resin_share=0.7, places=())
    return predict(asked(build_up), seen)


@pytest.fixture(scope="module")
def sheet(predicted) -> Read:
    one = predicted.zones[0]
    of = (one.zone.layers[0], CARD)
    return Read(zone_map(Shows("PREDICTED, not recorded: z", predicted.seen, START), one, of, "B1", FAHRENHEIT))


def test_the_field_begins_at_the_bag(predicted):
    one = predicted.zones[0]
    field = temperatures(one)
    assert np.array_equal(field.values[0], one.solution.surfaces[:, 1])  # the solver counts from the tool
    assert np.array_equal(field.values[-1], one.solution.surfaces[:, 0])
    assert (field.depth[0], field.depth[-1]) == (0.0, pytest.approx(0.035))
    assert np.all(np.diff(field.depth) > 0)
    assert layer_edges(one) == [("laminate", 0.0, 0.03), ("plate", 0.03, pytest.approx(0.035))]


def test_it_says_predicted_and_names_its_layers(sheet):
    assert "PREDICTED, not recorded" in sheet.text
    assert {"laminate 30 mm", "plate 5 mm"} <= {word.text for word in sheet.words}
    assert "temperature over depth, °F over mm" in sheet.text
    assert "void margin: pressure of the resin less that which water needs, psi" in sheet.text


def test_the_ring_is_where_the_solution_is_hottest(predicted, sheet):
    found = predicted.zones[0].solution
    at, cell = np.unravel_index(int(np.argmax(found.T)), found.T.shape)
    [ring] = sheet.elements("hottest")
    seen = predicted.seen
    x = 460 + 5600 * (found.t[at] - seen.start) / (seen.end - seen.start)
    frame = sheet.boxes("frame")[0]
    y = frame[1] + frame[3] * (0.035 - found.grid.centres[cell]) / 0.035
    assert int(ring.get("cx")) == pytest.approx(x, abs=1)
    assert int(ring.get("cy")) == pytest.approx(y, abs=1)
    assert f"hottest {found.T.max() * 9 / 5 - 459.67:.1f}" in sheet.text


def test_gel_runs_where_each_depth_gels(predicted, sheet):
    one = predicted.zones[0]
    depths, found = courses(one, (one.zone.layers[0], CARD), predicted.seen, "B1")
    frame = sheet.boxes("frame")[1]
    [gel] = [line for line in sheet.lines("named isoline") if frame[1] <= line[0, 1] <= frame[1] + frame[3]]
    seen = predicted.seen
    gel = gel[np.argsort(gel[:, 1])]
    for depth, course in zip(depths, found, strict=True):
        x = np.interp(frame[1] + frame[3] * depth / 0.03, gel[:, 1], gel[:, 0])
        assert x == pytest.approx(460 + 5600 * (course.gels_at - seen.start) / (seen.end - seen.start), abs=8)


def test_it_is_hotter_than_the_air_where_it_heats_itself_and_the_plot_says_so(predicted, sheet):
    assert predicted.zones[0].solution.T.max() > predicted.seen.air.value.max() + 5.0
    assert "hotter than the air ever is" in sheet.text


def test_a_zone_without_resin_has_temperatures_only(predicted):
    one = predicted.zones[0]
    read = Read(zone_map(Shows("PREDICTED", predicted.seen, START), one, None, "B1", FAHRENHEIT))
    assert len(read.boxes("frame")) == 1
    assert "degree of cure" not in read.text


def test_without_a_bag_there_is_no_margin_to_draw(predicted):
    one = predicted.zones[0]
    of = (one.zone.layers[0], CARD)
    read = Read(zone_map(Shows("PREDICTED", predicted.seen, START), one, of, "another bag", FAHRENHEIT))
    assert len(read.boxes("frame")) == 2
    assert "void margin" not in read.text


def test_a_plan_without_a_start_has_no_clock(predicted):
    one = predicted.zones[0]
    read = Read(zone_map(Shows("PREDICTED", predicted.seen, START, clock=False), one, None, "B1", FAHRENHEIT))
    assert "clock" not in read.text
    assert "since start, h:mm" in read.text
