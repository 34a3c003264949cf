"""Vitrification: the resin turns to glass where its glass transition reaches its temperature, and cures on only slowly from there.

Unlike gel it comes back: heated above its glass transition the resin softens again. The instant depends on the law of the glass
transition, which leaves 20 to 25 K open.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def vitrified(T: NDArray[np.float64], Tg: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether the resin is glass at each sample: Tg ≥ T (both K, same shape); where either is unknown it is not said to be.

    >>> vitrified(np.array([400.0, 400.0]), np.array([380.0, 400.0])).tolist()
    [False, True]
    """
    return np.greater_equal(Tg, T)


def stretches(
    t: NDArray[np.float64], T: NDArray[np.float64], Tg: NDArray[np.float64]
) -> tuple[tuple[float, float | None], ...]:
    """From when to when the resin is glass, in the unit of t: crossings straight between samples; None where it lasts to the end.

    >>> t = np.array([0.0, 1.0, 2.0, 3.0])
    >>> stretches(t, np.array([450.0, 450.0, 460.0, 460.0]), np.array([430.0, 460.0, 465.0, 455.0]))
    ((0.6666666666666666, 2.5),)
    """
    over = Tg - T
    glass = vitrified(T, Tg)
    found: list[tuple[float, float | None]] = []
    start: float | None = None
    for i in range(t.size):
        if glass[i] and start is None:
            start = _crossing(t, over, i)
        elif not glass[i] and start is not None:
            found.append((start, _crossing(t, over, i)))
            start = None
    if start is not None:
        found.append((start, None))
    return tuple(found)


def _crossing(t: NDArray[np.float64], over: NDArray[np.float64], i: int) -> float:
    """The instant between samples i - 1 and i at which ``over`` is 0; that of i where nothing was known before."""
    if i == 0 or np.isnan(over[i - 1]) or np.isnan(over[i]) or over[i] == over[i - 1]:
        return float(t[i])
    return float(t[i - 1] + (t[i] - t[i - 1]) * over[i - 1] / (over[i - 1] - over[i]))


def ceiling(T: NDArray[np.float64], aC0: float, aCT: float) -> NDArray[np.float64]:
    """The degree of cure aC0 + aCT T at which laws with diffusion are half stopped, shape of T [K]: the law's own word for glass.

    >>> round(float(ceiling(np.array([453.15]), -1.684, 5.475e-3)[0]), 3)  # printed 0.797 at 180 °C
    0.797
    """
    return aC0 + aCT * T
