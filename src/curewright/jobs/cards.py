"""The material cards that specifications name: those that Curewright holds; a card that it does not hold makes its clauses *not shown*."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from curewright.read.cards import card_of_revision
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import Computed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.physics.card import Card
    from curewright.terms.requirement import Specification


def cards_of(specifications: Iterable[Specification]) -> tuple[Card, ...]:
    """Every card that a computed requirement names by name and revision, each once."""
    named = {
        (form.signal.computed.card, form.signal.computed.revision)
        for one in specifications
        for clause in one.clauses
        for form in clause.forms
        if isinstance(form, Computed) and form.signal.computed
    }
    found = []
    for name, revision in sorted(named):
        with suppress(CurewrightError):
            found.append(card_of_revision(name, revision))
    return tuple(found)
