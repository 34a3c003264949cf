"""From cards to layers: what is mixed, what is refused, and what every result has to say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.physics import laminate
from curewright.physics.card import Properties
from curewright.physics.layers import (
    LayerError,
    layer_of_laminate,
    layer_of_prepreg,
    layer_of_solid,
    straightened,
)
from curewright.read.cards import packaged_card, packaged_cards, packaged_solid, packaged_solids

HUBERT, FIBRE = packaged_card("hubert_2001"), packaged_solid("johnston_1997_fibre")


def test_the_benchmark_laminate_as_printed() -> None:
    """Printed with the benchmark (second-hand): density 1581.3, k 0.637 to 0.639 W/m/K; its specific heat is weighed by volume, 1080.2."""
    layer = layer_of_prepreg(packaged_card("niaki_2021"), packaged_solid("niaki_2021_fibre"), 0.574)
    assert layer.density == pytest.approx(1581.3, abs=0.05)
    assert layer.conductivity == pytest.approx((0.637, 0, 0), abs=5e-4)
    assert layer.heat_of_cure / layer.density / 1080.2 == pytest.approx(
        175, abs=0.5
    )  # K of adiabatic rise, printed 175
    assert layer.specific_heat_at(300.0) == pytest.approx(1051, abs=0.5)  # weighed by mass


def test_johnstons_relations_are_the_frozen_set_at_80_degC() -> None:
    layer = layer_of_prepreg(HUBERT, FIBRE, 0.574)
    assert layer.specific_heat_at(353.15) == pytest.approx(1051, abs=0.5)
    assert layer.conductivity_at(353.15, 0.6) == pytest.approx(0.600, abs=0.003)  # printed 0.600 for k_f 2.806
    assert layer.specific_heat_at(453.15) > layer.specific_heat_at(353.15)


@pytest.mark.parametrize("rule", laminate.RULES)
@pytest.mark.parametrize("fibre_volume", [0.5, 0.574, 0.62])
def test_the_straight_form_follows_the_rule(rule: str, fibre_volume: float) -> None:
    layer = layer_of_prepreg(HUBERT, FIBRE, fibre_volume, rule=rule)
    for celsius in (20, 110, 200):
        for alpha in (0.0, 0.5, 1.0):
            k_fibre, k_resin = 2.40 + 5.07e-3 * celsius, 0.148 + 3.43e-4 * celsius + 6.07e-2 * alpha
            exact = laminate.RULES[rule](fibre_volume, k_fibre, k_resin)
            assert layer.conductivity_at(celsius + 273.15, alpha) == pytest.approx(exact, rel=0.02)


def test_what_is_not_straight_is_refused_with_how_far_it_is_off() -> None:
    def steep(T: float, alpha: float) -> float:
        return 1.0 if T < 350 else 2.0  # a step is never nearer to a straight line than a quarter of it or so

    with pytest.raises(LayerError) as refused:
        straightened(steep, "steep")
    said = float(str(refused.value).split("' is ")[1].split(" %")[0])
    assert 15 < said < 50
    assert "expected at most 2 %" in str(refused.value)


def test_heat_of_a_composite_is_not_weighed_twice() -> None:
    epoxy = layer_of_laminate(packaged_card("bogetti_1991_epoxy"))
    assert epoxy.heat_of_cure == pytest.approx(198.9e3 * 1520)
    assert epoxy.heat_of_cure / (epoxy.density * 942) == pytest.approx(211, abs=0.5)  # printed: heats itself by 211 K
    with pytest.raises(LayerError, match="is of a resin; expected a laminate"):
        layer_of_laminate(packaged_card("lee_1982"))
    with pytest.raises(LayerError, match="no resin with a heat per kg of resin"):
        layer_of_prepreg(packaged_card("bogetti_1991_epoxy"), FIBRE, 0.5)
    with pytest.raises(LayerError, match="no heat of reaction per kg of composite"):
        layer_of_laminate(replace(packaged_card("bogetti_1991_epoxy"), heat=None))


def test_what_is_missing_is_named() -> None:
    with pytest.raises(LayerError, match="loos_1983_fibre revision 1 has no conductivity across the fibre"):
        layer_of_prepreg(packaged_card("lee_1982"), packaged_solid("loos_1983_fibre"), 0.5)
    with pytest.raises(LayerError, match="is of a tool; expected a fibre"):
        layer_of_prepreg(HUBERT, packaged_solid("mill_sheets_invar"), 0.5)
    with pytest.raises(LayerError, match="no mixing rule is called 'guess'"):
        layer_of_prepreg(HUBERT, FIBRE, 0.5, rule="guess")
    with pytest.raises(LayerError, match="no resin with a heat"):
        layer_of_prepreg(packaged_card("kratz_2013_first"), FIBRE, 0.5)
    with pytest.raises(LayerError, match="has no density"):
        layer_of_solid(replace(packaged_solid("handbook_nickel"), properties=Properties()))
    with pytest.raises(laminate.MixingError, match=r"a share of 1.2"):
        layer_of_prepreg(HUBERT, FIBRE, 1.2)


def test_a_layer_says_what_it_was_made_from_and_what_is_not_verified() -> None:
    layer = layer_of_prepreg(HUBERT, FIBRE, 0.574)
    assert layer.cards == ("hubert_2001 revision 1", "johnston_1997_fibre revision 1")
    assert layer.warnings == (*HUBERT.warnings, *FIBRE.warnings)
    assert layer.reacts
    assert layer.law_covers == pytest.approx((353.15, 473.15))
    assert layer.temperature == pytest.approx((273.15, 523.15))
    assert not layer_of_solid(packaged_solid("mill_sheets_invar")).reacts


@pytest.mark.parametrize("name", sorted(set(packaged_solids()) - {"loos_1983_fibre"}))
def test_every_packaged_solid_makes_a_layer(name: str) -> None:
    layer = layer_of_solid(packaged_solid(name))
    for T in (293.15, 453.15):
        assert layer.density > 0
        assert layer.specific_heat_at(T) > 0
        assert layer.conductivity_at(T) > 0


def test_every_packaged_resin_with_heat_and_properties_makes_a_prepreg() -> None:
    made = []
    for name in packaged_cards():
        card = packaged_card(name)
        if card.kind == "resin" and card.heat and card.properties.density:
            made.append(layer_of_prepreg(card, FIBRE, 0.55).name)
        elif card.kind == "laminate":
            made.append(layer_of_laminate(card).name)
    assert len(made) == 6
