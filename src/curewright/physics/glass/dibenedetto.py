"""Glass transition temperature of a resin from its degree of cure, by the law of DiBenedetto.

::

    (Tg - Tg0)/(Tg1 - Tg0) = λ α / (1 - (1 - λ) α)

Source: DiBenedetto (1987), J. Polym. Sci. B 25, 1949 (from memory). Published constants for one resin differ so much that the law
alone leaves 20 to 25 K open: judge no closer without own measurements.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

NAME = "dibenedetto"
VALUES = ("Tg0", "Tg1", "lambda")  # K, K, dimensionless


def glass_transition(alpha: NDArray[np.float64], Tg0: float, Tg1: float, ratio: float) -> NDArray[np.float64]:
    """Glass transition temperature [K], shape of alpha; not a number where alpha is not between 0 and 1.

    Tg0, Tg1 : uncured and fully cured [K]; ratio : λ.

    >>> celsius = 273.15
    >>> [round(float(Tg - celsius)) for Tg in glass_transition(np.array([0.85, 0.9]), celsius - 7, celsius + 250, 0.78)]
    [203, 218]
    """
    inside = np.where((alpha >= 0.0) & (alpha <= 1.0), alpha, np.nan)
    return Tg0 + (Tg1 - Tg0) * ratio * inside / (1.0 - (1.0 - ratio) * inside)
