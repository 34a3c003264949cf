"""The form of convection against pressure from a survey of one's own vessel: film coefficients at several pressures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.physics.convection import PowerOfPressure, StraightInPressure
from curewright.physics.fitting.least_squares import CannotTellError, Fit, fit

if TYPE_CHECKING:
    from numpy.typing import NDArray


def fit_survey(
    p: NDArray[np.float64], h: NDArray[np.float64], form: Literal["straight", "power"]
) -> tuple[StraightInPressure | PowerOfPressure, Fit]:
    """The form of convection that fits a survey best, and the fit with its standard errors; good over the surveyed pressures only.

    p : absolute [Pa]; h : [W/m²/K], each of shape (n,). Raises :class:`CannotTellError` for fewer than three pressures, or pressures
    that lie within 20 % of each other.

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
    low, high = float(np.min(p)), float(np.max(p))
    if form == "straight":
        straight = fit(
            lambda x: x[0] + x[1] * p / high - h,
            [[float(np.mean(h)), 0.0]],
            ("a", "b"),
            bounds=[(0.0, np.inf), (0.0, np.inf)],
        )
        scale = np.array([1.0, 1.0 / high])
        found = Fit(
            straight.names,
            straight.values * scale,
            straight.covariance * np.outer(scale, scale),
            straight.sum_of_squares,
            straight.degrees_of_freedom,
            straight.on_bound,
        )
        return StraightInPressure(found.value("a"), found.value("b"), (low, high)), found
    found = fit(
        lambda x: x[0] * (p / low) ** x[1] - h,
        [[float(h[np.argmin(p)]), 0.6]],
        ("h0", "n"),
        bounds=[(1e-6, np.inf), (0.0, 1.0)],
    )
    return PowerOfPressure(found.value("h0"), low, found.value("n"), (low, high)), found
