"""From material cards to what the heat balance takes: a prepreg of resin and fibre, a laminate as published, a tool, a layer of a bag."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics import laminate
from curewright.physics.card import coefficients
from curewright.terms.errors import CurewrightError
from curewright.terms.material import LayerMaterial

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.physics.card import Card, Law, SolidCard

Coefficients = tuple[float, float, float]
STRAIGHT_TO = 0.02  # the largest deviation from the mixing rule that the straight form may have
EVALUATED = (293.15, 473.15)  # K: over which a mixing rule is made straight


class LayerError(CurewrightError):
    """Cards that cannot be made into a layer."""


def layer_of_solid(card: SolidCard) -> LayerMaterial:
    """A tool, a core or a layer of a bag. Raises :class:`LayerError` where density, specific heat or conductivity is missing."""
    kept = card.properties
    return LayerMaterial(
        card.name,
        _constant(kept.density, "density", card.title),
        _straight(kept.specific_heat, "specific heat", card.title),
        _straight(kept.conductivity, "conductivity", card.title),
        temperature=(card.temperature.low, card.temperature.high),
        cards=(card.title,),
        warnings=card.warnings,
    )


def layer_of_laminate(card: Card) -> LayerMaterial:
    """A laminate as published as a whole; its heat has to be per kg of composite, for the density is the composite's."""
    if card.kind != "laminate":
        raise LayerError(
            f"card {card.title} is of a {card.kind}",
            expected="a laminate",
            remedy="give a fibre and a fibre volume with it",
        )
    if card.heat is None or card.heat.per != "kg of composite":
        raise LayerError(
            f"card {card.title} has no heat of reaction per kg of composite", expected="one, to go with its density"
        )
    density = _constant(card.properties.density, "density", card.title)
    return LayerMaterial(
        card.name,
        density,
        _straight(card.properties.specific_heat, "specific heat", card.title),
        _straight(card.properties.conductivity, "conductivity", card.title),
        heat_of_cure=density * card.heat.value.number,
        law=card.degree_of_cure.name,
        constants=card.degree_of_cure.numbers,
        start=(card.start.low, card.start.high),
        temperature=_predictions(card),
        law_covers=(card.temperature.low, card.temperature.high),
        cards=(card.title,),
        warnings=card.warnings,
    )


def layer_of_prepreg(
    resin: Card, fibre: SolidCard, fibre_volume: float, *, rule: str = "springer tsai"
) -> LayerMaterial:
    """A cured ply's worth of resin and fibre, without voids.

    ``rule`` mixes the conductivity across (one of :data:`laminate.RULES`) and is then made straight in temperature and degree of
    cure, to 2 % or refused. Raises :class:`LayerError` where a card lacks what is needed.
    """
    if resin.kind != "resin" or resin.heat is None or resin.heat.per != "kg of resin":
        raise LayerError(f"card {resin.title} is no resin with a heat per kg of resin", expected="one")
    if fibre.kind != "fibre":
        raise LayerError(f"card {fibre.title} is of a {fibre.kind}", expected="a fibre")
    of_fibre = _constant(fibre.properties.density, "density", fibre.title)
    of_resin = _constant(resin.properties.density, "density", resin.title)
    weighed = laminate.mass_share_of_fibre(fibre_volume, of_fibre, of_resin)
    cold = zip(
        _straight(fibre.properties.specific_heat, "specific heat", fibre.title),
        _straight(resin.properties.specific_heat, "specific heat", resin.title),
        strict=True,
    )
    c0, cT, ca = (laminate.specific_heat(weighed, f, r) for f, r in cold)
    return LayerMaterial(
        f"{resin.name} with {fibre.name}, fibre volume {fibre_volume:g}",
        laminate.density(fibre_volume, of_fibre, of_resin),
        (c0, cT, ca),
        _mixed_conductivity(resin, fibre, fibre_volume, rule),
        heat_of_cure=(1.0 - fibre_volume) * of_resin * resin.heat.value.number,
        law=resin.degree_of_cure.name,
        constants=resin.degree_of_cure.numbers,
        start=(resin.start.low, resin.start.high),
        temperature=_predictions(resin),
        law_covers=(resin.temperature.low, resin.temperature.high),
        cards=(resin.title, fibre.title),
        warnings=(*resin.warnings, *fibre.warnings),
    )


def _mixed_conductivity(resin: Card, fibre: SolidCard, fibre_volume: float, rule: str) -> Coefficients:
    if rule not in laminate.RULES:
        raise LayerError(f"no mixing rule is called '{rule}'", expected=" or ".join(laminate.RULES))
    f = _straight(fibre.properties.conductivity, "conductivity across the fibre", fibre.title)
    r = _straight(resin.properties.conductivity, "conductivity", resin.title)
    mix = laminate.RULES[rule]

    def across(T: float, alpha: float) -> float:
        return mix(fibre_volume, f[0] + f[1] * T, r[0] + r[1] * T + r[2] * alpha)

    return straightened(across, rule)


def straightened(rule: Callable[[float, float], float], name: str) -> Coefficients:
    """(c0, cT, cα) of the straight form nearest to a rule of temperature [K] and degree of cure, from 20 to 200 °C and 0 to 1.

    Raises :class:`LayerError` where the two differ by more than 2 %.
    """
    T, alpha = (grid.ravel() for grid in np.meshgrid(np.linspace(*EVALUATED, 7), np.linspace(0.0, 1.0, 5)))
    exact = np.array([rule(float(t), float(a)) for t, a in zip(T, alpha, strict=True)])
    if np.ptp(exact) == 0.0:
        return float(exact[0]), 0.0, 0.0
    middle = T.mean()
    sides = np.column_stack([np.ones_like(T), (T - middle) / 100.0, alpha])
    found = np.linalg.lstsq(sides, exact, rcond=None)[0]
    off = float(np.max(np.abs(sides @ found / exact - 1.0)))
    if not off <= STRAIGHT_TO:
        raise LayerError(
            f"the rule '{name}' is {100 * off:.1f} % off a straight line in temperature and degree of cure",
            expected=f"at most {100 * STRAIGHT_TO:g} %",
        )
    per_K = float(found[1]) / 100.0
    return float(found[0]) - per_K * float(middle), per_K, float(found[2])


def _predictions(card: Card) -> tuple[float, float]:
    wide = card.predictions or card.temperature
    return wide.low, wide.high


def _stated(law: Law | None, name: str, title: str) -> Law:
    if law is None:
        raise LayerError(f"card {title} has no {name}", expected="one", remedy="take another card, or add it to yours")
    return law


def _constant(law: Law | None, name: str, title: str) -> float:
    return _stated(law, name, title).numbers[0]


def _straight(law: Law | None, name: str, title: str) -> Coefficients:
    return coefficients(_stated(law, name, title))
