"""The laws of the glass transition by name, and what they say together: how far published laws for one resin lie apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.glass import dibenedetto, polynomial

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.physics.card import Law

VALUES = {law.NAME: law.VALUES for law in (dibenedetto, polynomial)}
LAWS = {law.NAME: law.glass_transition for law in (dibenedetto, polynomial)}


def glass_transition(law: Law, alpha: NDArray[np.float64]) -> NDArray[np.float64]:
    """Glass transition temperature [K], shape of alpha, by a card's law; not a number beyond its range."""
    return LAWS[law.name](alpha, *law.numbers)  # type: ignore[no-any-return] # of a table of functions


def spread(laws: Sequence[Law], alpha: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The lowest and the highest glass transition [K] that several laws give, each of the shape of alpha."""
    found = np.array([glass_transition(law, alpha) for law in laws])
    return found.min(axis=0), found.max(axis=0)
