"""The material cards that come with the program, and cards of the same form that a user writes."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from curewright.physics.card import Card, SolidCard
from curewright.read.card_file import read_any
from curewright.terms.errors import FileError, Place, each
from curewright.text.near import did_you_mean
from curewright.text.packaged import packaged_text

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def packaged_cards() -> tuple[str, ...]:
    """The names of the cards of what cures that come with the program."""
    return _names("cards")


@cache
def packaged_solids() -> tuple[str, ...]:
    """The names of the cards of fibres, tools and layers of a bag that come with the program."""
    return _names("solids")


def _names(folder: str) -> tuple[str, ...]:
    files = resources.files("curewright.physics").joinpath(folder).iterdir()
    return tuple(sorted(file.name.removesuffix(".yaml") for file in files if file.name.endswith(".yaml")))


@cache
def packaged_card(name: str) -> Card:
    """A card of what cures that comes with the program. Raises :class:`FileError` for a name that none of them has."""
    if name not in packaged_cards():
        raise FileError(
            f"no card is named '{name}'",
            expected=" or ".join(packaged_cards()),
            remedy="write a card file, or name one of these",
        )
    return read_card(packaged_text("curewright.physics", "cards", f"{name}.yaml"), f"{name}.yaml")


@cache
def packaged_solid(name: str) -> SolidCard:
    """A card of a fibre, tool or layer that comes with the program. Raises :class:`FileError` for a name that none has."""
    if name not in packaged_solids():
        raise FileError(
            f"no card of a fibre, tool or layer is named '{name}'",
            expected=", ".join(packaged_solids()),
            remedy=did_you_mean(name, packaged_solids()),
        )
    return read_solid(packaged_text("curewright.physics", "solids", f"{name}.yaml"), f"{name}.yaml")


def card_named(name: str, own: Mapping[str, Card | SolidCard] | None = None) -> Card | SolidCard:
    """A card of either sort by its name: one of the user's ``own``, else one that comes with the program.

    Raises :class:`FileError` for a name that neither has.
    """
    if own and name in own:
        return own[name]
    if name in packaged_cards():
        return packaged_card(name)
    if name in packaged_solids():
        return packaged_solid(name)
    known = (*(own or ()), *packaged_cards(), *packaged_solids())
    raise FileError(f"no material card is named '{name}'", expected=", ".join(known), remedy=did_you_mean(name, known))


def own_cards(files: Mapping[str, str]) -> dict[str, Card | SolidCard]:
    """The cards that a user wrote, by their names, from the texts of their files by file name.

    Raises with all that is wrong, also a name that stands twice or that a card of the program bears: a name means one thing.
    """
    taken = dict.fromkeys((*packaged_cards(), *packaged_solids()), "a card of the program")

    def read(one: tuple[str, str]) -> Card | SolidCard:
        file, words = one
        card = read_any(words, file)
        if card.name in taken:
            raise FileError(
                f"the name '{card.name}' is that of {taken[card.name]}",
                expected="a name of its own",
                where=Place(file),
            )
        taken[card.name] = file
        return card

    return {card.name: card for card in each(read, files.items())}


def card_of_revision(name: str, revision: str) -> Card:
    """A packaged card in one revision. Raises :class:`FileError` where the program has another one."""
    card = packaged_card(name)
    if card.revision != revision:
        raise FileError(
            f"card {name} is here in revision {card.revision}",
            expected=f"revision {revision}",
            remedy="have the difference approved in the specification, or use the program version that has the other revision",
        )
    return card


def read_card(words: str, file: str) -> Card:
    """A card of what cures, from the text of its file. Raises :class:`~curewright.terms.errors.Errors` with all that is wrong."""
    card = read_any(words, file)
    if isinstance(card, SolidCard):
        raise FileError(f"{file} is a card of a {card.kind}", expected="a card of a resin or a laminate")
    return card


def read_solid(words: str, file: str) -> SolidCard:
    """A card of a fibre, tool or layer, from the text of its file. Raises as :func:`read_card` does."""
    card = read_any(words, file)
    if isinstance(card, Card):
        raise FileError(f"{file} is a card of a {card.kind}", expected="a card of a fibre, a tool or a layer of a bag")
    return card
