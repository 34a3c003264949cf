"""Cards of materials: what comes with the program, and what is refused in a card of one's own."""

from __future__ import annotations

import re

import pytest

from curewright.physics.card import CONFIDENCES
from curewright.read.cards import (
    card_of_revision,
    packaged_card,
    packaged_cards,
    packaged_solid,
    packaged_solids,
    read_card,
    read_solid,
)
from curewright.terms.errors import CurewrightError, FileError
from curewright.text.packaged import packaged_text


def written(name: str = "hubert_2001") -> str:
    return packaged_text("curewright.physics", "cards", f"{name}.yaml")


def test_the_cards_that_come_with_the_program_are_named_as_their_files() -> None:
    assert len(packaged_cards()) >= 8
    assert len(packaged_solids()) >= 17
    for card in (*map(packaged_card, packaged_cards()), *map(packaged_solid, packaged_solids())):
        assert f"{card.name}.yaml" == card.file
        if not card.name.startswith(("handbook", "mill_sheets")):  # which have no author
            named = re.match(r"(.*?)_(\d{4})", card.name)
            assert named
            assert card.work.lower().startswith(named[1].replace("_", " ")) or named[2] in card.work, card.name


@pytest.mark.parametrize("name", packaged_cards())
def test_every_value_and_range_says_where_it_is_from(name: str) -> None:
    card = packaged_card(name)
    laws = [law for law in (card.degree_of_cure, card.glass_transition, card.viscosity) if law is not None]
    for one in (*(value for law in laws for value in law.values), card.temperature, card.heating, card.start):
        assert one.source
        assert one.confidence in CONFIDENCES


def test_rates_are_turned_from_minutes_to_seconds_and_celsius_to_kelvin() -> None:
    """The trap of this card in circulation: its A is per minute (35.017e6 per second), its B is no rate."""
    lee = dict(
        zip(
            ("A1", "A2", "A3", "E1", "E2", "E3", "B", "switch"),
            packaged_card("lee_1982").degree_of_cure.numbers,
            strict=True,
        )
    )
    assert lee["A1"] == pytest.approx(3.5017e7, rel=1e-4)
    assert lee["A2"] == pytest.approx(-3.3567e7, rel=1e-4)
    assert lee["A3"] == pytest.approx(3.2667e3, rel=1e-4)
    assert (lee["E1"], lee["B"]) == (8.07e4, 0.47)
    glass = packaged_card("van_ee_2009").glass_transition
    assert glass is not None
    assert glass.numbers == pytest.approx((266.15, 523.15, 0.78))
    card = packaged_card("hubert_2001")
    assert (card.temperature.low, card.temperature.high) == pytest.approx((353.15, 473.15))
    assert card.heating.high == pytest.approx(10 / 60)


def test_a_value_keeps_how_it_was_written() -> None:
    first = packaged_card("hubert_2001").degree_of_cure.values[0]
    assert (first.name, first.written, first.unit, first.number) == ("A", "1.528e5", "1/s", 152800.0)


def test_what_a_constant_lies_between_is_in_si_units_too() -> None:
    lee = packaged_card("lee_1982").viscosity
    assert lee is not None
    assert next(value for value in lee.values if value.name == "K").between == (12.9, 15.3)
    heat = packaged_card("hubert_2001").heat
    assert heat is not None
    assert heat.value.between == (540e3, 574e3)
    assert packaged_card("lee_1982").degree_of_cure.values[0].between is None


def test_a_name_or_revision_that_is_not_here() -> None:
    with pytest.raises(
        FileError, match=r"no card is named 'nobody_1999'; expected bogetti_1991_epoxy or .* or van_ee_2009"
    ):
        packaged_card("nobody_1999")
    assert card_of_revision("lee_1982", "1") is packaged_card("lee_1982")
    with pytest.raises(FileError, match="card lee_1982 is here in revision 1; expected revision 2"):
        card_of_revision("lee_1982", "2")


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("confidence: second-hand, note: negative}", "note: negative}", "a constant without 'confidence'"),
        (
            'source: "reprints of the constants", confidence: second-hand}',
            "confidence: second-hand}",
            "a constant without 'source'",
        ),
        ("confidence: second-hand, note", "confidence: sure, note", "'sure'; expected 'read' or 'second-hand'"),
        ("1.528e5", "1.528e5x", "'1.528e5x'; expected a number"),
        ("1.528e5", "inf", "'inf'; expected a number"),
        ("    C: ", "    c: ", "the constants A, E, m, n, c, aC0, aCT; expected A, E, m, n, C, aC0, aCT"),
        (
            'aCT: {value: "5.475e-3", unit: 1/K',
            'aCT: {value: "5.475e-3", unit: "1"',
            "aCT in 1; expected a unit of 1/K",
        ),
        ('A: {value: "1.528e5", unit: 1/s', 'A: {value: "1.528e5", unit: J/mol', "A in J/mol; expected a unit of"),
        ('from: "80", to: "200"', 'from: "200", to: "80"', "a range from 200 to 80; expected the lower end first"),
        ("unit: degC", "unit: degF", "'degF'; expected 'degC' or 'K'"),
        ("law: autocatalytic with diffusion", "law: magic", "'magic'"),
        ("resin:", "ressin:", "a card without 'resin'"),
        (
            'from: "0.31", to: "0.47"',
            'from: "0.31", to: "0.4"',
            "a value of 0.47 with a range from 0.31 to 0.4; expected both ends",
        ),
        ('from: "0.31", to: "0.47"', 'from: "0.31"', "a range from 0.31 to nothing"),
        ('from: "0.31", to: "0.47"', 'from: "0.31", to: "about 0.5"', "'about 0.5'; expected a number"),
        ('revision: "1"\n', "", "a card without 'revision'"),
    ],
)
def test_what_is_refused_in_a_card(old: str, new: str, message: str) -> None:
    text = written()
    assert old in text
    with pytest.raises(CurewrightError) as refused:
        read_card(text.replace(old, new, 1), "mine.yaml")
    assert message in str(refused.value)
    assert "mine.yaml:" in str(refused.value), "with file and line"


KNOWN_ERRORS = [
    ("lee_1982", "unit: 1/min", "unit: 1/s", "about 60 times too fast: were constants per minute written as per second?"),
    ("hubert_2001", 'value: "1.528e5", unit: 1/s', 'value: "1.528e5", unit: 1/min', "about 60 times too slow"),
    ("van_ee_2009", 'value: "7.0e4", unit: 1/s', 'value: "7.0e4", unit: 1/min', "about 60 times too slow"),
    ("bogetti_1991_polyester", "unit: 1/min", "unit: 1/s", "about 60 times too fast"),
    ("kratz_2013_first", "unit: 1/s", "unit: 1/min", "about 60 times too slow"),
    ("lee_1982", 'B: {value: "0.47"', 'B: {value: "0.00783"', "it must not be divided by 60"),
    ("lee_1982", '"7.93e-14"', '"7.93e-4"', "has a factor lost its exponent"),
    ("lee_1982", 'value: "473.6", unit: kJ/kg', 'value: "198.9", unit: J/kg', "J or kJ?"),
    ("bogetti_1991_epoxy", '"198.9", unit: kJ/kg', '"473.6", unit: kJ/kg', "is it per kg of resin?"),
    ("bogetti_1991_polyester", "per: kg of composite", "per: kg of resin", "is it per kg of composite?"),
    ("hubert_2001", '"-1.684"', '"1.684"', "a ceiling aC0 + aCT T of 4.15 at 177 °C; expected 0.3 to 1.2"),
    ("hubert_2001", '"5.475e-3"', '"0.0"', "T is in kelvin"),
    ("van_ee_2009", 'Tg1: {value: "250", unit: degC', 'Tg1: {value: "250", unit: K', "a glass transition of 250 K when fully cured"),
    ("hubert_2001", '"6.65e4", unit: J/mol', '"66.5", unit: J/mol', "E of 66.5"),
    ("lee_1982", 'gel: {value: "0.5"', 'gel: {value: "0.95"', "gel at a degree of cure of 0.95"),
    ("hubert_2001", '"1300", unit: kg/m3', '"1.3", unit: kg/m3', "a density of 1.3 kg/m3"),
    ("hubert_2001", '"1005", unit: J/kg/K', '"1.005", unit: J/kg/K', "a specific heat of"),
]  # fmt: skip


@pytest.mark.parametrize(
    "name, old, new, message", KNOWN_ERRORS, ids=[f"{name}: {new}" for name, _, new, _ in KNOWN_ERRORS]
)
def test_errors_of_reprints_that_are_known_are_refused(name: str, old: str, new: str, message: str) -> None:
    """Each is in circulation, or one slip of a pen away: the loader says what it may be, and where."""
    words = written(name)
    assert old in words
    with pytest.raises(CurewrightError) as refused:
        read_card(words.replace(old, new), "mine.yaml")
    assert message in str(refused.value)
    assert "mine.yaml:" in str(refused.value)


def without_known_times(words: str) -> str:
    """The card as a user would write it who knows no time to compare with."""
    return re.sub(r"known times:\n(  - .*\n)+", "", words)


def test_minutes_for_seconds_are_seen_without_a_known_time_too() -> None:
    """By the time to half cure at the usual temperature, for the cards where a factor of 60 leads out of 30 s to 3 h."""
    for name, old, new in (
        ("lee_1982", "1/min", "1/s"),
        ("hubert_2001", "1/s", "1/min"),
        ("van_ee_2009", "1/s", "1/min"),
    ):
        words = without_known_times(written(name))
        assert read_card(words, "mine.yaml").known_times == ()
        with pytest.raises(CurewrightError, match=r"half cured after .* were constants per"):
            read_card(words.replace(f"unit: {old}", f"unit: {new}"), "mine.yaml")


def test_what_the_laws_of_viscosity_and_of_rates_call_A_are_different_things() -> None:
    with pytest.raises(CurewrightError, match="A in 1/s; expected a unit of 1"):
        read_card(written().replace('A: {value: "3.8", unit: "1"', 'A: {value: "3.8", unit: 1/s'), "mine.yaml")


def test_a_difference_is_not_given_in_degC() -> None:
    with pytest.raises(CurewrightError, match="c1 in degC; expected a unit of K"):
        read_card(written().replace('c1: {value: "220", unit: K', 'c1: {value: "220", unit: degC'), "mine.yaml")


def test_warnings_name_what_nobody_has_verified() -> None:
    van_ee = packaged_card("van_ee_2009").warnings
    assert "card van_ee_2009 revision 1" in van_ee[0]
    assert "glass transition" in van_ee[0]
    assert "from memory, not verified" in van_ee[0]
    assert "degree of cure" in van_ee[1]
    assert "second-hand, not verified" in van_ee[1]
    assert "degree of cure" in packaged_card("kratz_2013_first").warnings[0]
    assert packaged_solid("mill_sheets_invar").warnings == (), "read first hand"
    words = written("hubert_2001").replace("second-hand", "read").replace("from memory", "read")
    assert read_card(words, "mine.yaml").warnings == ()
    for name in packaged_cards():
        card = packaged_card(name)
        memory = "from memory" in {v.confidence for v in card.degree_of_cure.values}
        assert memory == any("from memory" in w and "degree of cure" in w for w in card.warnings)


def test_two_disagreeing_sets_stand_side_by_side() -> None:
    hubert, van_ee = packaged_card("hubert_2001"), packaged_card("van_ee_2009")
    assert hubert.resin == van_ee.resin
    assert hubert.degree_of_cure.name == van_ee.degree_of_cure.name
    assert "van_ee_2009" in hubert.notes[0]
    assert len(hubert.other_glass_transitions) == 4
    assert len(van_ee.other_glass_transitions) == 3


SOLID = """
card: mine
revision: "1"
work: an invented sheet
fibre: an invented fibre
range:
  temperature: {from: "0", to: "200", unit: degC, source: invented, confidence: our own choice}
properties:
  density: {value: "1.79", unit: g/cm3, source: invented, confidence: our own choice}
  specific heat:
    law: straight in temperature
    values:
      at 0 degC: {value: "750", unit: J/kg/K, source: invented, confidence: our own choice}
      per K: {value: "2", unit: J/kg/K2, source: invented, confidence: our own choice}
  conductivity: {value: "3", unit: W/m/K, source: invented, confidence: our own choice}
"""


def test_a_card_of_a_user_for_what_does_not_cure() -> None:
    mine = read_solid(SOLID, "mine.yaml")
    assert mine.properties.density is not None
    assert mine.properties.density.numbers == pytest.approx((1790.0,))
    assert mine.warnings == ()
    with pytest.raises(FileError, match="is a card of a fibre; expected a card of a resin or a laminate"):
        read_card(SOLID, "mine.yaml")
    with pytest.raises(FileError, match="is a card of a resin; expected a card of a fibre"):
        read_solid(written(), "mine.yaml")


@pytest.mark.parametrize(
    "old, new, message",
    [
        (
            'value: "3", unit: W/m/K',
            'value: "26", unit: W/m/K',
            "along the fibre it is much higher than across: which one is it?",
        ),
        ("fibre: an invented fibre", "fibre: one\ntool: another", "a card of fibre and tool; expected one of them"),
        ("unit: J/kg/K2", "unit: J/kg/K", "per K in J/kg/K; expected a unit of J/kg/K2"),
        ("unit: g/cm3", "unit: kg/m3", "a density of 1.79 kg/m3 at 20 °C; expected 1300 to 2800 kg/m3 for a fibre"),
        ("  density:", "  densitty:", "'densitty' is no field of the properties"),
        ("work: an invented sheet\n", "", "without 'work'"),
        ("      per K:", "      per k:", "expected at 0 degC, per K for the law"),
    ],
)
def test_what_is_refused_in_a_card_of_a_solid(old: str, new: str, message: str) -> None:
    assert old in SOLID
    with pytest.raises(CurewrightError) as refused:
        read_solid(SOLID.replace(old, new), "mine.yaml")
    assert message in str(refused.value)


def test_a_solid_that_is_not_here() -> None:
    with pytest.raises(FileError, match="no card of a fibre, tool or layer is named 'invar'"):
        packaged_solid("invar")
    assert packaged_solid("handbook_breather").thickness is not None
