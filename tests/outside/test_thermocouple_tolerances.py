"""Tolerances of new wire against published tables.

ASTM E230: manufacturers' tables of the standard and special limits of error. IEC 60584 (formerly 60584-2): manufacturers'
tables of classes 1 to 3. Both second-hand; the break points below are what the tables print, or follow from the two figures.
"""

from __future__ import annotations

import pytest

from curewright.physics.thermocouples import ToleranceError, tolerance, tolerances

# Worked from the tables for the temperatures of cure: (°C, J/K/N standard, special, T standard, special, E standard, special).
ASTM = [
    (120, 2.2, 1.1, 1.0, 0.5, 1.7, 1.0),
    (135, 2.2, 1.1, 1.0125, 0.54, 1.7, 1.0),
    (177, 2.2, 1.1, 1.3275, 0.708, 1.7, 1.0),
    (180, 2.2, 1.1, 1.35, 0.72, 1.7, 1.0),
]
# (°C, E/J/K/N class 1, class 2, T class 1, class 2)
IEC = [
    (120, 1.5, 2.5, 0.5, 1.0),
    (135, 1.5, 2.5, 0.54, 1.0125),
    (177, 1.5, 2.5, 0.708, 1.3275),
    (180, 1.5, 2.5, 0.72, 1.35),
]
# Where "or x %" takes over from the fixed amount: (wire, class, fixed amount, °C of the crossover).
CROSSOVERS = [
    ("J", "standard", 2.2, 2.2 / 0.0075),  # 293.3 °C
    ("K", "special", 1.1, 275.0),
    ("N", "class 1", 1.5, 375.0),
    ("K", "class 2", 2.5, 2.5 / 0.0075),  # 333.3 °C
    ("T", "standard", 1.0, 1.0 / 0.0075),  # 133.3 °C
    ("T", "special", 0.5, 125.0),
    ("T", "class 1", 0.5, 125.0),
    ("E", "standard", 1.7, 340.0),
    ("E", "special", 1.0, 250.0),
    ("T", "class 3", 1.0, -1.0 / 0.015),  # -66.7 °C, the table prints -67
    ("E", "class 3", 2.5, -2.5 / 0.015),  # -166.7 °C, the table prints -167
    ("R", "class 2", 1.5, 600.0),
    ("S", "class 1", 1.0, 1100.0),
    ("B", "class 3", 4.0, 800.0),
]


def at(wire: str, tolerance_class: str, celsius: float) -> float:
    return tolerance(wire, tolerance_class, celsius + 273.15)


@pytest.mark.parametrize("row", ASTM, ids=lambda row: f"{row[0]} °C")
def test_T11_astm_e230_at_temperatures_of_cure(row: tuple[float, ...]) -> None:
    celsius, standard, special, *rest = row
    for wire in "JKN":
        assert at(wire, "standard", celsius) == standard
        assert at(wire, "special", celsius) == special
    found = [at(wire, name, celsius) for wire in "TE" for name in ("standard", "special")]
    assert found == pytest.approx(rest, abs=1e-12)


@pytest.mark.parametrize("row", IEC, ids=lambda row: f"{row[0]} °C")
def test_T11_iec_60584_at_temperatures_of_cure(row: tuple[float, ...]) -> None:
    celsius, class_1, class_2, *rest = row
    for wire in "EJKN":
        assert at(wire, "class 1", celsius) == class_1
        assert at(wire, "class 2", celsius) == class_2
    assert [at("T", name, celsius) for name in ("class 1", "class 2")] == pytest.approx(rest, abs=1e-12)


@pytest.mark.parametrize("case", CROSSOVERS, ids=lambda case: f"{case[0]} {case[1]}")
def test_T11_the_fixed_amount_holds_up_to_the_crossover_and_no_further(case: tuple[str, str, float, float]) -> None:
    wire, name, fixed, crossover = case
    away = 1.0 if crossover > 0 else -1.0
    assert at(wire, name, crossover - away) == fixed
    assert at(wire, name, crossover) == pytest.approx(fixed, abs=2e-8)  # temperatures are taken to 1 uK
    assert at(wire, name, crossover + away) > fixed


def test_T11_percentages_are_of_degrees_celsius_so_a_fahrenheit_tolerance_is_1_8_times_as_wide() -> None:
    celsius = (350 - 32) / 1.8
    assert 1.8 * at("J", "standard", celsius) == pytest.approx(3.96)
    assert 1.8 * at("K", "special", celsius) == pytest.approx(1.98)


@pytest.mark.parametrize(
    "wire, name, celsius, expected",
    [
        ("T", "standard", -100, 1.5),
        ("E", "standard", -200, 2.0),
        ("K", "standard", -200, 4.0),
        ("K", "standard", -50, 2.2),
    ],
)
def test_T11_astm_e230_below_zero(wire: str, name: str, celsius: float, expected: float) -> None:
    assert at(wire, name, celsius) == pytest.approx(expected, abs=1e-12)


def test_a_narrower_class_is_never_wider_in_any_row_of_both_standards() -> None:
    for narrow, wide in (("special", "standard"), ("class 1", "class 2")):
        for row in (row for row in tolerances() if row.tolerance_class == narrow):
            for step in range(int(row.from_degC), int(row.to_degC) + 1, 10):
                assert at(row.wire, narrow, step) <= at(row.wire, wide, step), (row.wire, step)


@pytest.mark.parametrize(
    "wire, name, inside, outside",
    [
        ("T", "standard", 370, 371),
        ("J", "standard", 0, -1),
        ("K", "standard", 1260, 1261),
        ("K", "class 1", -40, -41),
        ("T", "class 3", 40, 41),
        ("B", "special", 870, 869),
        ("T", "special", 0, -0.5),  # below zero the standard gives special limits as a guide only
    ],
)
def test_T11_outside_the_stated_range_there_is_no_tolerance(
    wire: str, name: str, inside: float, outside: float
) -> None:
    assert at(wire, name, inside) > 0
    with pytest.raises(ToleranceError, match="no tolerance is stated for type"):
        at(wire, name, outside)


@pytest.mark.parametrize("wire, name", [("X", "standard"), ("J", "class 3"), ("B", "class 1"), ("j", "standard")])
def test_a_wire_or_class_that_no_standard_knows_is_refused(wire: str, name: str) -> None:
    with pytest.raises(ToleranceError, match="expected one of"):
        at(wire, name, 100)


def test_every_row_says_where_it_is_from() -> None:
    assert len(tolerances()) == (17 + 3) + (14 + 6)  # ASTM above and below 0 °C; IEC base metal and platinum
    for row in tolerances():
        assert row.standard in row.source
        assert "second-hand" in row.source
