"""What a card says of a recorded temperature: degree of cure, glass transition, viscosity. Outside the card's range: no number, and why.

These are estimates by a published law, not measurements of the part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.glass.laws import glass_transition
from curewright.physics.kinetics.along_a_trace import degree_of_cure
from curewright.physics.kinetics.laws import LAWS
from curewright.physics.viscosity.laws import viscosity
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.card import Card

ZERO_CELSIUS_K = 273.15
HEATING_OVER = (
    300 * 10**9
)  # ns: the time over which a heating rate is held against the card (noise of single samples is none)


class CardError(CurewrightError):
    """A card that cannot give what is asked of it."""


@dataclass(frozen=True)
class Leaves:
    """Where a trace leaves what a card covers: the first instant that is not covered, and why."""

    index: int
    t: int
    why: str


def integrate_cure(card: Card, t_ns: NDArray[np.int64], T_K: NDArray[np.float64], alpha0: float) -> NDArray[np.float64]:
    """Degree of cure at each sample, shape (n,), starting from alpha0 at the first; temperature is straight between samples.

    t_ns : int64, shape (n,), never decreasing [ns]; T_K : float64, shape (n,) [K]. Not a number from the first instant on that
    the card does not cover (see :func:`leaves`) or that has no temperature; never clipped. Accurate to 1e-7.
    Raises :class:`CardError` where the card does not allow to start from alpha0.
    """
    if not card.start.low <= alpha0 <= card.start.high:
        raise CardError(
            f"card {card.name} cannot start from a degree of cure of {alpha0:g}",
            expected=f"{card.start.low:g} to {card.start.high:g} ({card.start.source})",
            remedy="state the degree of cure at the start in the specification",
        )
    T = np.array(T_K, dtype=np.float64)
    out = leaves(card, t_ns, T)
    if out is not None:
        T[out.index :] = np.nan
    law = card.degree_of_cure
    return degree_of_cure(
        LAWS[law.name], np.ascontiguousarray(t_ns, dtype=np.int64), T, float(alpha0), np.array(law.numbers)
    )


def leaves(card: Card, t_ns: NDArray[np.int64], T_K: NDArray[np.float64]) -> Leaves | None:
    """Where a trace first leaves the card's range of temperature or heating rate; None where it never does.

    A heating rate is the rise over the last five minutes (or since the start, after at least one): single noisy samples are no rate.
    From the last sample inside the range on nothing is known: between it and the next the trace has left.
    """
    found = [one for one in (_too_cold_or_hot(card, t_ns, T_K), _too_fast(card, t_ns, T_K)) if one is not None]
    return min(found, key=lambda one: one.index, default=None)


def _too_cold_or_hot(card: Card, t: NDArray[np.int64], T: NDArray[np.float64]) -> Leaves | None:
    low, high = card.temperature.low, card.temperature.high
    outside = np.flatnonzero((low - 1e-6 > T) | (high + 1e-6 < T))
    if outside.size == 0:
        return None
    i = int(outside[0])
    why = (
        f"{T[i] - ZERO_CELSIUS_K:.1f} °C is outside {low - ZERO_CELSIUS_K:g} to {high - ZERO_CELSIUS_K:g} °C, "
        f"the range of card {card.name} revision {card.revision}"
    )
    return Leaves(i, int(t[i]), why)


def _too_fast(card: Card, t: NDArray[np.int64], T: NDArray[np.float64]) -> Leaves | None:
    begins = np.searchsorted(t, t - HEATING_OVER, side="right") - 1
    begins = np.maximum(begins, 0)
    seconds = (t - t[begins]) * 1e-9
    long_enough = seconds >= 60.0
    rates = np.where(long_enough, (T - T[begins]) / np.where(long_enough, seconds, 1.0), 0.0)
    fast = np.flatnonzero(rates > card.heating.high + 1e-9)
    if fast.size == 0:
        return None
    i = int(fast[0])
    why = (
        f"heating at {60 * rates[i]:.2f} K/min is faster than {60 * card.heating.high:g} K/min, "
        f"the range of card {card.name} revision {card.revision}"
    )
    return Leaves(i, int(t[i]), why)


def computed(quantity: str, card: Card, T_K: NDArray[np.float64], alpha: NDArray[np.float64]) -> NDArray[np.float64]:
    """``degree of cure`` [1], ``glass transition`` [K] or ``viscosity`` [Pa s] at each sample.

    T_K, alpha : float64, shape (n,); returns the same shape, not a number where alpha is none or lies beyond a law's range.
    Raises :class:`CardError` where the card has no law for it.
    """
    law = card.law(quantity)
    if law is None:
        have = [name for name in ("degree of cure", "glass transition", "viscosity") if card.law(name) is not None]
        raise CardError(f"card {card.name} has no law for the {quantity}", expected=" or ".join(have))
    if quantity == "degree of cure":
        return alpha
    if quantity == "glass transition":
        return glass_transition(law, alpha)
    return viscosity(law, T_K, alpha)
