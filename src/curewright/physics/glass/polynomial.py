"""Glass transition temperature of a resin from its degree of cure, as a polynomial fitted to measurements.

::

    Tg = c0 + c1 α + c2 α² + c3 α³ + c4 α⁴ + c5 α⁵

Straight lines (Johnston 1997), parabolas (Kim and White 1996) and the fifth degree (Simon, McKenna and Sindt 2000) are published;
unused coefficients are 0. A polynomial means nothing beyond the degrees of cure that it was fitted to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

NAME = "polynomial"
VALUES = ("c0", "c1", "c2", "c3", "c4", "c5")  # a temperature (K), then K


def glass_transition(alpha: NDArray[np.float64], *coefficients: float) -> NDArray[np.float64]:
    """Glass transition temperature [K], shape of alpha; not a number where alpha is not between 0 and 1.

    coefficients : c0 [K], then c1 to c5 [K].

    >>> simon = (283.4, 196.5, -925.4, 3435, -4715, 2197)  # for a fully cured 177 °C epoxy
    >>> round(float(glass_transition(np.array([1.0]), *simon)[0]) - 273.15, 2)
    198.35
    """
    inside = np.where((alpha >= 0.0) & (alpha <= 1.0), alpha, np.nan)
    total = np.zeros_like(inside)
    for coefficient in reversed(coefficients):
        total = total * inside + coefficient
    return total
