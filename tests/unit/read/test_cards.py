"""Cards of materials: what comes with the program, and what is refused in a card of one's own."""

from __future__ import annotations

import pytest

from curewright.physics.card import CONFIDENCES
from curewright.read.cards import card_of_revision, packaged_card, packaged_cards, read_card
from curewright.terms.errors import CurewrightError, FileError
from curewright.text.packaged import packaged_text


def written(name: str = "hubert_2001") -> str:
    return packaged_text("curewright.physics", "cards", f"{name}.yaml")


def test_the_cards_that_come_with_the_program_are_named_as_their_files() -> None:
    assert packaged_cards() == ("hubert_2001", "lee_1982", "van_ee_2009")
    for name in packaged_cards():
        assert packaged_card(name).name == name
        assert packaged_card(name).work.split(",")[0].split(" and")[0].lower().replace(" ", "_") in name + "_" + name


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


def test_a_name_or_revision_that_is_not_here() -> None:
    with pytest.raises(
        FileError, match="no card is named 'nobody_1999'; expected hubert_2001 or lee_1982 or van_ee_2009"
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
