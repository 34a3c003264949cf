"""How much longer a hold would have to be to reach a degree of cure: an engineering estimate, only for whoever asks, and no permission.

Pressure, bag and laminate are not considered; what a resin has gone through, and may not go through again, is not either.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.cure import integrate_cure
from curewright.predict.resin import for_estimates
from curewright.terms.course import first_reached

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.card import Card

MARKED = "pressure, bag and laminate not considered; an engineering estimate, no permission"
LONGEST = 24 * 3600  # s
EVERY = 60  # s


def further_hold(card: Card, cure: float, temperature: float, wanted: float) -> float | None:
    """Seconds at a steady temperature [K] until the degree of cure goes from ``cure`` to ``wanted``; None where not within a day.

    0 where it is there already; None also where the card does not cover the temperature.
    """
    if cure >= wanted:
        return 0.0
    t = np.arange(0, LONGEST + EVERY, EVERY, dtype=np.int64) * 10**9
    course = _course(card, t, temperature, cure)
    return first_reached(t / 1e9, course, wanted)


def _course(card: Card, t: NDArray[np.int64], temperature: float, cure: float) -> NDArray[np.float64]:
    """Degree of cure from anywhere: a card's range of starts is that of a fresh resin, and this one has been cured before."""
    started = replace(
        for_estimates(card), start=replace(card.start, low=min(card.start.low, cure), high=max(card.start.high, cure))
    )
    return integrate_cure(started, t, np.full(t.size, temperature), cure)
