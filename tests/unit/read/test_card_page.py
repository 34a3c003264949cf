"""The page of the card's format: its examples are read as they stand, its schema and the reader refuse and take the same."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from curewright.physics.card import CONFIDENCES, Card, SolidCard
from curewright.physics.kinetics.laws import VALUES
from curewright.physics.layers import layer_of_prepreg, layer_of_solid
from curewright.read.card_file import read_any
from curewright.read.cards import card_named, own_cards, packaged_card, packaged_cards, packaged_solid, packaged_solids
from curewright.read.schema import schemas
from curewright.terms.errors import CurewrightError
from curewright.text.packaged import packaged_text

DOCS = Path(__file__).resolve().parents[3] / "docs"
PAGE = (DOCS / "formats" / "card.md").read_text(encoding="utf-8")
RESIN, BREATHER = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
SCHEMA = Draft202012Validator(schemas()["card"])


def plain(words: str) -> object:
    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(words), default=str))


def test_the_examples_are_read_as_they_stand_and_make_layers() -> None:
    resin, breather = read_any(RESIN, "resin.yaml"), read_any(BREATHER, "breather.yaml")
    assert isinstance(resin, Card)
    assert isinstance(breather, SolidCard)
    assert resin.warnings == ()
    assert layer_of_solid(breather).conductivity == (0.06, 0.0, 0.0)
    layer = layer_of_prepreg(resin, packaged_solid("johnston_1997_fibre"), 0.57)
    assert layer.heat_of_cure == pytest.approx(0.43 * 1290 * 520e3)
    assert own_cards({"resin.yaml": RESIN, "breather.yaml": BREATHER}).keys() == {resin.name, breather.name}


@pytest.mark.parametrize("words", [RESIN, BREATHER], ids=["resin", "breather"])
def test_examples_fit_the_schema_and_nonsense_does_not(words: str) -> None:
    assert not list(SCHEMA.iter_errors(plain(words)))
    for broken in (
        words + "nonsense: 1\n",
        words.replace("confidence: read", "confidence: sure", 1),
        words.replace("unit: ", "units: ", 1),
    ):
        assert list(SCHEMA.iter_errors(plain(broken)))
        with pytest.raises(CurewrightError):
            read_any(broken, "mine.yaml")


@pytest.mark.parametrize(
    "folder, name", [*(("cards", name) for name in packaged_cards()), *(("solids", name) for name in packaged_solids())]
)
def test_packaged_cards_fit_the_schema(folder: str, name: str) -> None:
    assert not list(SCHEMA.iter_errors(plain(packaged_text("curewright.physics", folder, f"{name}.yaml"))))


def test_the_pages_name_every_card_law_and_confidence() -> None:
    materials, laws = ((DOCS / name).read_text(encoding="utf-8") for name in ("materials.md", "physics.md"))
    for name in (*packaged_cards(), *packaged_solids()):
        assert f"`{name}`" in materials, name
    for law in VALUES:
        assert f"`{law}`" in laws, law
    for confidence in CONFIDENCES:
        assert f"- `{confidence}`:" in PAGE


def test_the_page_says_which_kinetics_are_from_memory() -> None:
    """The last column of the table of what cures is what the cards themselves say."""
    materials = (DOCS / "materials.md").read_text(encoding="utf-8")
    for name in packaged_cards():
        row = next(
            line for line in materials.splitlines() if line.startswith("|") and f"`{name}`" in line.split("|")[1]
        )
        said = {value.confidence for value in packaged_card(name).degree_of_cure.values}
        assert len(said) == 1
        assert row.split("|")[-2].strip().startswith(said.pop()), name


def test_own_cards_have_names_of_their_own() -> None:
    twice = {"a.yaml": RESIN, "b.yaml": RESIN, "c.yaml": BREATHER.replace("shop_2031_breather", "handbook_breather")}
    with pytest.raises(CurewrightError) as refused:
        own_cards(twice)
    assert "b.yaml: the name 'shop_2031_resin_7' is that of a.yaml" in str(refused.value)
    assert "c.yaml: the name 'handbook_breather' is that of a card of the program" in str(refused.value)
    with pytest.raises(CurewrightError, match=r"mine\.yaml:"):
        own_cards({"mine.yaml": RESIN.replace("unit: 1/s", "unit: J/mol")})


def test_a_card_is_found_by_its_name_wherever_it_comes_from() -> None:
    own = own_cards({"b.yaml": BREATHER})
    assert card_named("shop_2031_breather", own) is own["shop_2031_breather"]
    assert card_named("lee_1982", own) is packaged_card("lee_1982")
    assert card_named("handbook_breather") is packaged_solid("handbook_breather")
    with pytest.raises(CurewrightError, match="no material card is named 'lee_1892'") as refused:
        card_named("lee_1892", own)
    assert "lee_1982" in str(refused.value)
