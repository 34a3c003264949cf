"""From the layers of a build-up to what the solver takes, through the material cards: the packaged ones and a user's own."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, TypeVar

from curewright.physics.card import Card, SolidCard
from curewright.physics.layers import layer_of_laminate, layer_of_prepreg, layer_of_solid
from curewright.read.cards import card_named
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from curewright.terms.build_up import BuildUp, Zone, ZoneLayer
    from curewright.terms.material import LayerMaterial


T = TypeVar("T", Card, SolidCard)


class Materials:
    """The materials of layers by their cards; each is made once. ``file``: the build-up sheet, for messages."""

    def __init__(self, own: Mapping[str, Card | SolidCard], file: str) -> None:
        self._own = own
        self._file = file
        self._made = cache(self._layer)

    def __call__(self, layer: ZoneLayer) -> LayerMaterial:
        """What the solver takes for a layer. Raises :class:`FileError` at the layer's line for a card that is missing or does not fit."""
        try:
            return self._made(layer.material, layer.resin, layer.fibre, layer.fibre_volume)
        except CurewrightError as error:
            if error.where is None:
                error.where = Place(self._file, layer.line)
            raise

    def card(self, name: str) -> Card | SolidCard:
        """A card by its name: one of the user's own, else a packaged one."""
        return card_named(name, self._own)

    def resin_of(self, zone: Zone) -> tuple[ZoneLayer, Card] | None:
        """The first layer of a zone that cures, from the bag on, with the card of what cures in it; None where nothing does."""
        for layer in zone.layers:
            card = self.card(layer.resin or layer.material)
            if isinstance(card, Card):
                return layer, card
        return None

    def notes(self, build_up: BuildUp) -> tuple[str, ...]:
        """What the cards of a build-up say of themselves, each card once: the work that it is after, and its notes."""
        layers = (layer for part in build_up.parts for zone in part.zones for layer in zone.layers)
        names = dict.fromkeys(name for one in layers for name in (one.material, one.resin, one.fibre) if name)
        cards = [self.card(name) for name in names]
        return tuple(said for card in cards for said in (_work(card), *_own_notes(card)))

    def _layer(self, material: str, resin: str, fibre: str, fibre_volume: float) -> LayerMaterial:
        if material:
            card = self.card(material)
            return layer_of_laminate(card) if isinstance(card, Card) else layer_of_solid(card)
        return layer_of_prepreg(_is(self.card(resin), Card), _is(self.card(fibre), SolidCard), fibre_volume)


def _work(card: Card | SolidCard) -> str:
    volume = card.fibre_volume if isinstance(card, Card) else None
    return f"card {card.title}{f' (fibre volume {volume.number:g})' if volume else ''} is after: {card.work}"


def _own_notes(card: Card | SolidCard) -> Iterator[str]:
    return (f"card {card.title}: {note}" for note in card.notes)


def _is(card: Card | SolidCard, wanted: type[T]) -> T:
    if not isinstance(card, wanted):
        what = "a resin" if wanted is Card else "a fibre"
        raise FileError(f"card {card.title} is no card of {what}", expected=f"a card of {what}")
    return card
