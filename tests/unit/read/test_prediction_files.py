"""Build-up sheet, planned cycle and a vessel's heating: the pages' own examples are read, and what is wrong is told with its place.

Expected figures are the examples converted by hand: 177 °C = 450.15 K, 2 °C/min = 1/30 K/s, 25 inHg = 84.66 kPa (ISO 80000-4).
"""

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from curewright.read.build_up import read_build_up
from curewright.read.cycle import read_cycle
from curewright.read.schema import schemas
from curewright.read.vessel_heat import read_vessel_heat
from curewright.terms.errors import CurewrightError
from tests.unit.read.pages import example


def page(name: str, *changes: tuple[str, str]) -> bytes:
    text = example(name, "yaml")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text.encode()


@pytest.mark.parametrize("name", ["build-up", "cycle", "vessel-heat"])
def test_an_example_fits_its_schema(name: str) -> None:
    Draft202012Validator(schemas()[name]).validate(YAML(typ="safe").load(example(name, "yaml")))


def test_a_build_up() -> None:
    sheet = read_build_up(page("build-up"), "b.yaml")
    part = sheet.part("00123")
    assert part is not None
    assert sheet.part("00999") is None
    assert (part.temperature, part.degree_of_cure, part.humidity, part.resin_share) == (
        pytest.approx(295.15), 0.02, 0.5, 0.7,
    )  # fmt: skip
    doubts = sheet.doubts
    assert (doubts.thickness, doubts.rate_of_cure, doubts.heat_of_reaction, doubts.depth) == (0.02, 0.1, 0.03, 3e-4)
    zone = part.zone("skin")
    laminate, tool = zone.layers[2:]
    assert (laminate.resin, laminate.fibre, laminate.fibre_volume) == ("hubert_2001", "johnston_1997_fibre", 0.57)
    assert (tool.material, tool.resin) == ("incropera_2007_carbon_steel", "")
    assert [layer.name for layer in zone.layers] == ["bag", "breather", "laminate", "tool"]
    assert zone.thickness == pytest.approx(0.02105)
    assert zone.depth("laminate", 0.5) == pytest.approx(0.00005 + 0.003 + 0.004)
    assert (zone.tool_side.position_factor, zone.tool_side.film, zone.bag_side.film) == (0.6, 40.0, None)
    assert zone.bag_side.position_error == 0.15
    assert [(place.sensor, place.share, place.air_share) for place in part.places] == [
        ("TC1", 0.5, 0.0),
        ("J2-TC", 1.0, 0.3),
    ]


def test_a_cycle() -> None:
    cycle = read_cycle(page("cycle"), "c.yaml")
    ramp, soak, *_ = cycle.segments
    assert (ramp.target, ramp.rate) == (pytest.approx(450.15), pytest.approx(1 / 30))
    assert (ramp.pressure, ramp.pressure_rate) == (pytest.approx(6e5), pytest.approx(5e4 / 60))
    assert (soak.hold, soak.counted_from, soak.longest) == (7200.0, pytest.approx(444.15), 21600.0)
    assert cycle.vacuum == pytest.approx(-25 * 3386.389, abs=0.1)
    assert cycle.vented_at == pytest.approx(1.4e5)


def test_how_a_vessel_heats() -> None:
    heat = read_vessel_heat(page("vessel-heat"), "h.yaml")
    assert (heat.heating, heat.cooling, heat.thermal_mass, heat.lag) == (4e5, 3e5, 4.5e6, 120.0)
    assert (heat.convection.law, heat.convection.values, heat.convection.error) == ("straight", (20.1, 9.3e-5), 0.2)


@pytest.mark.parametrize(
    "law, values, points",
    [
        ("power: {h0: 30 W/m2/K, p0: 1.013 bar absolute, n: 0.7}", (30.0, pytest.approx(101300.0), 0.7), ()),
        (
            "survey: [{at: 1 bar absolute, was: 25 W/m2/K}, {at: 7 bar absolute, was: 85 W/m2/K}]",
            (),
            ((pytest.approx(1e5), 25.0), (pytest.approx(7e5), 85.0)),
        ),
    ],
)  # fmt: skip
def test_other_laws_of_convection(law: str, values: object, points: object) -> None:
    heat = read_vessel_heat(page("vessel-heat", ("straight: {a: 20.1 W/m2/K, b: 9.3e-5 W/m2/K/Pa}", law)), "h.yaml")
    assert (heat.convection.values, heat.convection.points) == (values, points)


READERS = {"build-up": read_build_up, "cycle": read_cycle, "vessel-heat": read_vessel_heat}


@pytest.mark.parametrize(
    "name, old, new, told",
    [
        ("build-up", "layer: laminate, depth: 0.5", "layer: core, depth: 0.5", "zone skin has no layer 'core'"),
        ("build-up", "zone: skin, layer: laminate, depth: 0.5", "zone: rib, layer: laminate, depth: 0.5", "no zone 'rib'"),
        ("build-up", "name: breather", "name: bag", "two layers are called 'bag'"),
        ("build-up", "8 mm", "0 mm", "a layer without thickness"),
        ("build-up", "fibre volume: 57 %, ", "", "is not said to be of anything, or of two things"),
        ("build-up", "resin: hubert_2001, ", "material: lee_1982, resin: hubert_2001, ", "or of two things"),
        ("build-up", "air share: 0.3", "air share: 1.3", "'1.3' is not possible"),
        ("build-up", "humidity at lay-up: 50 %", "humidity at lay-up: moist", "'moist'"),
        ("cycle", "hold: 120 min, counted", "to: 180 degC, hold: 120 min, counted", "neither a ramp nor a hold"),
        ("cycle", ", at the longest: 6 h", "", "a hold that waits for a thermocouple"),
        ("cycle", "at: 2 degC/min", "at: -2 degC/min", "a rate above 0"),
        ("cycle", ", pressure at: 1 bar/min", "", "a pressure goes somewhere at some rate"),
        ("cycle", "vacuum: 25 inHg of vacuum", "vacuum: 1 bar gauge", "a pressure above the atmosphere"),
        ("cycle", "pressure: 0 bar gauge, vacuum", "pressure: 0 bar, vacuum", "has no reference"),
        ("vessel-heat", "heating: 400 kW", "heating: 400", "a number such as '250 kW'"),
        ("vessel-heat", "  source", "  power: {h0: 30 W/m2/K, p0: 1 bar absolute, n: 0.7}\n  source", "2 laws of convection"),
        (
            "vessel-heat",
            "straight: {a: 20.1 W/m2/K, b: 9.3e-5 W/m2/K/Pa}",
            "survey: [{at: 7 bar absolute, was: 25 W/m2/K}, {at: 1 bar absolute, was: 85 W/m2/K}]",
            "by rising pressure",
        ),
        ("vessel-heat", "gas: nitrogen", "gas: helium", "'helium'"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_place(name: str, old: str, new: str, told: str) -> None:
    with pytest.raises(CurewrightError, match=r"x\.yaml:") as caught:
        READERS[name](page(name, (old, new)), "x.yaml")
    assert told in str(caught.value)
