"""What a prediction stands on: where its position factors come from, and how much of its cure lies outside of what a law covers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.solve import Solution
from curewright.terms.stack import Layer

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from numpy.typing import NDArray

    from curewright.terms.build_up import BuildUp, PartBuildUp, Zone, ZoneFace
    from curewright.terms.errors import CurewrightError
    from curewright.terms.material import LayerMaterial
    from curewright.terms.stack import Stack

    Array = NDArray[np.float64]

TOLD = 0.01  # of the degree of cure: from so much on that was gained outside, a result is marked (our own choice)
UNSAID = "nobody said where from"


@dataclass(frozen=True)
class OutsideLaw:
    """A layer that was colder or hotter than its kinetic law covers: ``low``, ``high`` [K]; its ``coldest`` and ``hottest`` [K].

    ``gained``: the most that any place of it gained in degree of cure while it was outside: so much is extrapolated.
    """

    material: str
    low: float
    high: float
    coldest: float
    hottest: float
    gained: float


@dataclass(frozen=True)
class FactorOf:
    """Faces with the same position factor from the same source; ``faces``: part, zone and side of each."""

    factor: float
    error: float | None
    origin: str
    faces: tuple[tuple[str, str, str], ...]


def is_outside(temperature: Array, covers: tuple[float, float]) -> NDArray[np.bool_]:
    """Where a temperature [K] is outside of what a law covers [K], shape of ``temperature``."""
    return np.asarray((temperature < covers[0] - 1e-6) | (temperature > covers[1] + 1e-6))


def gained_outside(temperature: Array, cure: Array, covers: tuple[float, float]) -> Array:
    """The degree of cure that was gained up to each instant between outputs of which one is outside, shape (k,) or (k, n) as given.

    That is at most what was extrapolated up to then, for an interval counts whole.

    >>> gained_outside(np.array([350.0, 360.0, 370.0, 380.0]), np.array([0.0, 0.1, 0.3, 0.6]), (0.0, 365.0)).round(3).tolist()
    [0.0, 0.0, 0.2, 0.5]
    """
    out = is_outside(temperature, covers)
    gained = np.zeros_like(cure)
    gained[1:] = np.cumsum(np.where(out[1:] | out[:-1], np.diff(cure, axis=0), 0.0), axis=0)
    return gained


def outside_law(found: Solution | CurewrightError) -> OutsideLaw | None:
    """The layer of a zone that gained most outside of what its law covers; None where no layer that cures was outside, or none is known."""
    if not isinstance(found, Solution):
        return None
    told = [
        _of_layer(layer.material, found, found.grid.parts[layer.name])
        for layer in found.stack.layers
        if isinstance(layer, Layer) and layer.material.reacts and layer.name in found.grid.parts
    ]
    return max((each for each in told if each is not None), key=lambda each: each.gained, default=None)


def _of_layer(material: LayerMaterial, found: Solution, cells: tuple[int, int]) -> OutsideLaw | None:
    temperature, cure = found.T[:, slice(*cells)], found.alpha[:, slice(*cells)]
    if not is_outside(temperature, material.law_covers).any():
        return None
    gained = float(gained_outside(temperature, cure, material.law_covers)[-1].max())
    return OutsideLaw(material.name, *material.law_covers, float(temperature.min()), float(temperature.max()), gained)


def outside_words(one: OutsideLaw) -> str:
    """What has to be said with every result that was computed outside of what a law covers.

    >>> print(outside_words(OutsideLaw("a resin", 353.15, 473.15, 294.15, 458.15, 0.0004)))
    the law of 'a resin' covers 80 to 200 °C, and it was at 21 to 185 °C: less than 0.001 of its degree of cure is extrapolated
    """
    much = "less than 0.001" if one.gained < 0.001 else f"up to {one.gained:.2g}"
    return (
        f"the law of '{one.material}' covers {_celsius(one.low)} to {_celsius(one.high)} °C, and it was at "
        f"{_celsius(one.coldest)} to {_celsius(one.hottest)} °C: {much} of its degree of cure is extrapolated"
    )


def outside_notes(solutions: Iterable[Solution | CurewrightError]) -> Iterator[str]:
    """The same for all zones of a prediction, once for every material, with the zone that gained most outside."""
    worst: dict[str, tuple[OutsideLaw, str]] = {}
    for one in solutions:
        found = outside_law(one)
        if isinstance(one, Solution) and found is not None:
            before = worst.get(found.material)
            if before is None or found.gained > before[0].gained:
                worst[found.material] = found, one.stack.name
    for found, name in worst.values():
        yield f"{outside_words(found)} (most in {name})"


def build_up_notes(build_up: BuildUp, load: str) -> Iterator[str]:
    """By whose word the parts are built up so, and whether the sheet was written for another load."""
    where = f" ({build_up.file})" if build_up.file else ""
    yield f"build-up of {build_up.load}{where}, written by {build_up.author}"
    if build_up.load != load:
        yield f"the build-up sheet is for load {build_up.load}, and this is load {load}: is it the right one?"


def card_notes(stacks: Iterable[Stack]) -> Iterator[str]:
    """The material cards that layers were made from, each once with its revision."""
    layers = (layer for stack in stacks for layer in stack.layers if isinstance(layer, Layer))
    cards = dict.fromkeys(card for layer in layers for card in layer.material.cards)
    if cards:
        yield "cards: " + ", ".join(cards)


def factors_of(zones: Iterable[tuple[PartBuildUp, Zone]]) -> tuple[FactorOf, ...]:
    """The position factors of all faces, faces of the same factor and source together, in the order of the build-up."""
    kept: dict[tuple[float, float | None, str], list[tuple[str, str, str]]] = {}
    for part, zone in zones:
        for side, face in (("bag side", zone.bag_side), ("tool side", zone.tool_side)):
            kept.setdefault(_origin(face), []).append((part.serial, zone.name, side))
    return tuple(FactorOf(*said, tuple(faces)) for said, faces in kept.items())


def _origin(face: ZoneFace) -> tuple[float, float | None, str]:
    return face.position_factor, face.position_error, face.factor_from


def factor_notes(zones: Iterable[tuple[PartBuildUp, Zone]]) -> Iterator[str]:
    """Every source of position factors, with the factors from it and the faces that each is for."""
    by_origin: dict[str, list[str]] = {}
    for one in factors_of(zones):
        sure = "" if one.error is None else f" ± {100 * one.error:.2g} %"
        faces = ", ".join(f"part {part} {zone} {side}" for part, zone, side in one.faces)
        by_origin.setdefault(one.origin or UNSAID, []).append(f"{one.factor:.3g}{sure} ({faces})")
    for origin, factors in by_origin.items():
        yield f"position factors, {origin}: {'; '.join(factors)}"


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.0f}"
