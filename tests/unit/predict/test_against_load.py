"""The build-up against the load sheet. Expected thicknesses are sums by hand; 1 in = 25.4 mm exactly."""

from dataclasses import replace
from decimal import Decimal

import pytest

from curewright.predict.against_load import factor_questions, thickness_findings
from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.terms.build_up import BuildUp, Zone, ZoneFace, ZoneLayer
from curewright.terms.units import UNITS, Quantity
from tests.unit.predict.test_predicted import HEAT, RAMP, SITE, asked, cycle, load, part


def zone(name: str, *layers: tuple[str, float], factor: float = 1.0) -> Zone:
    built = tuple(ZoneLayer(f"{index}", thick, of) for index, (of, thick) in enumerate(layers))
    return Zone(name, built, ZoneFace(1.0), ZoneFace(factor))


def found(stated: object, *zones: Zone):
    first, second = load().parts
    sheet = replace(
        load(), parts=(replace(first, attributes=(("thickness", stated),), line=7), second), file="load.yaml"
    )
    build_up = BuildUp("r", "P", (part("1", *zones, line=9),), "build-up.yaml")
    return list(thickness_findings(sheet, build_up, lambda layer: layer.material == "prepreg"))


def length(number: str, unit: str) -> Quantity:
    return Quantity(Decimal(number), UNITS[unit])


PLATE = zone("plate", ("metal", 0.02), ("prepreg", 0.008), ("metal", 0.02))
SKIN = zone("skin", ("prepreg", 0.002))
SANDWICH = zone("sandwich", ("prepreg", 0.001), ("core", 0.018), ("prepreg", 0.001))


@pytest.mark.parametrize(
    "stated, zones, told",
    [
        (length("40", "mm"), (PLATE,), True),
        (length("8", "mm"), (PLATE,), False),
        (length("0.31", "in"), (PLATE,), False),  # 7.87 mm
        (length("9.9", "mm"), (PLATE,), False),  # 8/9.9: 19 % less
        (length("10.1", "mm"), (PLATE,), True),  # 21 % less
        (length("6.7", "mm"), (PLATE,), False),  # 19 % more
        (length("6.6", "mm"), (PLATE,), True),  # 21 % more
        (length("8", "mm"), (SKIN, PLATE), False),  # the thickest zone counts
        (length("8", "mm"), (SKIN,), True),
        (length("20", "mm"), (SANDWICH,), False),  # with its core
        (length("2", "mm"), (SANDWICH,), False),  # its skins alone
        (length("10", "mm"), (SANDWICH,), True),
        ("thick", (PLATE,), False),
        (length("40", "mm"), (zone("tool only", ("metal", 0.01)),), False),
    ],
)
def test_a_thickness_that_differs_is_told(stated: object, zones: tuple[Zone, ...], told: bool) -> None:
    assert bool(found(stated, *zones)) is told


def test_it_says_by_name_what_differs_and_where() -> None:
    (one,) = found(length("40", "mm"), PLATE)
    assert (one.kind, one.name, one.blocks) == ("thickness differs", "1", ())
    assert [str(place) for place in one.places] == ["load.yaml:7", "build-up.yaml:9"]
    assert "part 1 is 40 mm thick by the load sheet" in one.message
    assert "(plate) is 8 mm by the build-up" in one.message


def test_a_prediction_says_so_and_asks_about_a_position_factor_above_three() -> None:
    question = asked(part("1", zone("z", ("prepreg", 0.008), factor=3.5), places=(), degree_of_cure=0.02))
    first, second = question.load.parts
    sheet = replace(question.load, parts=(replace(first, attributes=(("thickness", length("40", "mm")),)), second))
    warnings = predict(replace(question, load=sheet), surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})[0]).warnings
    assert len([words for words in warnings if "part 1 is 40 mm thick by the load sheet" in words]) == 1
    assert len([words for words in warnings if "zone z, tool side: a position factor of 3.5" in words]) == 1


def test_a_position_factor_of_three_is_not_asked_about() -> None:
    assert list(factor_questions(BuildUp("r", "P", (part("1", zone("z", ("metal", 0.01), factor=3.0)),)))) == []
