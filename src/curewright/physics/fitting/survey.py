"""The law of convection against pressure from a survey of one's own vessel: film coefficients at several pressures."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, Fit, fit
from curewright.terms.cycle import Convection

if TYPE_CHECKING:
    from numpy.typing import NDArray


def fit_survey(
    p: NDArray[np.float64], h: NDArray[np.float64], law: Literal["straight", "power"]
) -> tuple[Convection, Fit]:
    """The convection of a law that fits a survey best, and the fit with its standard errors; good over the surveyed pressures only.

    p : absolute [Pa]; h : [W/m²/K], each of shape (n,). The power is told about the lowest pressure. Raises :class:`CannotTellError` for
    fewer than three pressures, or pressures that lie within 20 % of each other.

    >>> p = np.array([1e5, 3e5, 5e5, 7e5])
    >>> convection, found = fit_survey(p, 20 + 9e-5 * p, "straight")
    >>> round(found.value("a"), 3), round(found.value("b") * 1e5, 3)
    (20.0, 9.0)
    """
    if np.unique(p).size < 3 or np.max(p) < 1.2 * np.min(p):
        raise CannotTellError(
            f"a survey at {np.unique(p).size} pressure(s) from {np.min(p) / 1e5:.3g} to {np.max(p) / 1e5:.3g} bar absolute",
            expected="three or more, the highest at least 20 % above the lowest",
        )
    if law == "straight":
        found = _straight(p, h)
        return Convection(law, (found.value("a"), found.value("b"))), found
    found = _power(p, h)
    return Convection(law, (found.value("h0"), float(np.min(p)), found.value("n"))), found


def _straight(p: NDArray[np.float64], h: NDArray[np.float64]) -> Fit:
    high = float(np.max(p))
    free, start = [(0.0, np.inf), (0.0, np.inf)], [[float(np.mean(h)), 0.0]]
    found = fit(lambda x: x[0] + x[1] * p / high - h, start, ("a", "b"), bounds=free)
    scale = np.array([1.0, 1.0 / high])
    return replace(found, values=found.values * scale, covariance=found.covariance * np.outer(scale, scale))


def _power(p: NDArray[np.float64], h: NDArray[np.float64]) -> Fit:
    low, start = float(np.min(p)), [[float(h[np.argmin(p)]), 0.6]]
    free = [(1e-6, np.inf), (0.0, 1.0)]  # n: 0.8 is a turbulent boundary layer, 0.5 a laminar one
    return fit(lambda x: x[0] * (p / low) ** x[1] - h, start, ("h0", "n"), bounds=free)
