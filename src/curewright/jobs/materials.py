"""From the layers of a build-up to what the solver takes, through the material cards: the packaged ones and a user's own."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, TypeVar

from curewright.physics.card import CONFIDENCES, Card, Range, SolidCard
from curewright.physics.layers import layer_of_laminate, layer_of_prepreg, layer_of_solid
from curewright.read.cards import card_named
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from curewright.terms.build_up import BuildUp, Zone, ZoneLayer
    from curewright.terms.material import LayerMaterial


T = TypeVar("T", Card, SolidCard)
OWN_CHOICE = CONFIDENCES[-1]


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
        said = [said for card in cards for said in (_work(card), *_own_notes(card), *_own_choice(card))]
        unchecked = [_NO_KNOWN_TIME.format(card.title) for card in cards if card.name in self._own and _timeless(card)]
        return (*said, *unchecked, *self._of_parts(build_up))

    def _of_parts(self, build_up: BuildUp) -> Iterator[str]:
        """Which card the cure of each part stands on, parts of the same cards together."""
        by: dict[str, list[str]] = {}
        for part in build_up.parts:
            named = (
                self.card(name) for zone in part.zones for one in zone.layers if (name := one.resin or one.material)
            )
            cures = ", ".join(dict.fromkeys(self._whose(card) for card in named if isinstance(card, Card)))
            by.setdefault(cures or "nothing, for nothing in them cures", []).append(part.serial)
        for cures, serials in by.items():
            yield f"the cure of part{'s' if len(serials) > 1 else ''} {', '.join(serials)} stands on {cures}"

    def _whose(self, card: Card) -> str:
        return f"card {card.title}" + (f" (your own, {card.file})" if card.name in self._own else "")

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


_NO_KNOWN_TIME = (
    "card {} (your own): nothing here could check the unit of time of its rate constants (per minute, per second): state a known time "
    "(docs/formats/card.md)"
)


def _timeless(card: Card | SolidCard) -> bool:
    return isinstance(card, Card) and not card.known_times


def _own_choice(card: Card | SolidCard) -> Iterator[str]:
    """The values of a card that its writer chose, and of what cures the ranges too."""
    kept = card.properties
    laws = {"density": kept.density, "specific heat": kept.specific_heat, "conductivity": kept.conductivity}
    values = {what: law.values for what, law in laws.items() if law}
    ranges: dict[str, Range] = {}
    if isinstance(card, Card):
        quantities = ("degree of cure", "glass transition", "viscosity")
        values |= {what: law.values for what in quantities if (law := card.law(what))}
        values |= {"gel": (card.gel,) if card.gel else (), "heat of reaction": (card.heat.value,) if card.heat else ()}
        ranges = {"range of temperature": card.temperature, "of heating": card.heating, "of starts": card.start}
        ranges |= {"of predictions": card.predictions} if card.predictions else {}
    chosen = [what for what, of in values.items() if any(one.confidence == OWN_CHOICE for one in of)]
    chosen += [what for what, one in ranges.items() if one.confidence == OWN_CHOICE]
    if chosen:
        yield f"card {card.title}: its writer's own choice, not published: {', '.join(chosen)}"


def _is(card: Card | SolidCard, wanted: type[T]) -> T:
    if not isinstance(card, wanted):
        what = "a resin" if wanted is Card else "a fibre"
        raise FileError(f"card {card.title} is no card of {what}", expected=f"a card of {what}")
    return card
