"""Fields over time and depth, ready to be drawn: temperature of a whole zone, degree of cure and void margin of what cures in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.predict.resin import of_zone
from curewright.terms.stack import Layer

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.card import Card
    from curewright.predict.predicted import PredictedZone
    from curewright.predict.resin import ResinCourse
    from curewright.predict.surroundings import Surroundings
    from curewright.terms.build_up import ZoneLayer

    Array = NDArray[np.float64]

MOST_TIMES = 900
DEPTHS = 25  # of a layer that cures


@dataclass(frozen=True, eq=False)
class Field:
    """Values over time and depth. t : shape (k,) [s]; depth : shape (n,), below the outer face on the bag's side [m]; values (n, k)."""

    t: Array
    depth: Array
    values: Array


def temperatures(one: PredictedZone) -> Field:
    """Temperature [K] from the bag's outer face to the tool's."""
    found = one.solution
    whole = sum(layer.thickness for layer in found.stack.layers if isinstance(layer, Layer))
    heights = np.concatenate([[0.0], found.grid.centres, [whole]])
    values = np.column_stack([found.surfaces[:, 0], found.T, found.surfaces[:, 1]])
    return Field(found.t, (whole - heights)[::-1], values.T[::-1])


def layer_edges(one: PredictedZone) -> list[tuple[str, float, float]]:
    """Name and depths [m] of the bag's and the tool's side of each layer, from the bag down."""
    found, above = [], 0.0
    for layer in one.zone.layers:
        found.append((layer.name, above, above + layer.thickness))
        above += layer.thickness
    return found


def courses(
    one: PredictedZone, of: tuple[ZoneLayer, Card], seen: Surroundings, bag: str
) -> tuple[Array, list[ResinCourse]]:
    """Depths [m] in the layer that cures, from its bag side down, and what its resin goes through at each."""
    layer, card = of
    shares = np.linspace(0.0, 1.0, DEPTHS)
    depths = np.array([one.zone.depth(layer.name, share) for share in shares])
    return depths, [of_zone(one, card, layer.name, float(share), seen, bag) for share in shares]


def field_of(depths: Array, found: list[ResinCourse], what: str) -> Field:
    """One quantity of the resin over time and depth, by the name it has in :class:`ResinCourse`."""
    return Field(found[0].t, depths, np.array([getattr(one, what) for one in found]))


def sparser(field: Field) -> Field:
    """The same at no more instants than a plot can show; first and last are kept."""
    k = len(field.t)
    if k <= MOST_TIMES:
        return field
    chosen = np.unique(np.rint(np.linspace(0, k - 1, MOST_TIMES)).astype(np.int64))
    return Field(field.t[chosen], field.depth, field.values[:, chosen])
