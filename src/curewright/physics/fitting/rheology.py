"""What a measured viscosity curve says: its minimum, and when the resin gelled.

Rheometers change method and interval in mid-run (rotation, then oscillation), and single samples scatter: the minimum is that of running
medians, gel is the last passing of a level, so that neither a spike nor a gap decides. Which level is a convention (100 Pa s is common
practice, no source); the steepest rise needs none, but comes somewhat later.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError

if TYPE_CHECKING:
    from numpy.typing import NDArray

MEDIAN_OF = 3  # samples
COMMON_LEVEL = 100.0  # Pa s


@dataclass(frozen=True)
class LeastViscosity:
    """The least running median [Pa s], its time, and the time span in which the curve stays within a tenth of it."""

    viscosity: float
    t: float
    since: float
    until: float


def least_viscosity(t: NDArray[np.float64], mu: NDArray[np.float64]) -> LeastViscosity:
    """The minimum of a curve [Pa s], times in the unit of t; samples that are missing are left out.

    Raises :class:`CannotTellError` for fewer than three samples.

    >>> least_viscosity(np.arange(6.0), np.array([5.0, 3.0, 2.0, 0.1, 2.1, 9.0])).viscosity  # 0.1 is a spike
    2.0
    """
    t, mu = _kept(t, mu)
    middle = np.median(np.lib.stride_tricks.sliding_window_view(mu, MEDIAN_OF), axis=1)
    at = t[1:-1]
    i = int(np.argmin(middle))
    near = middle <= 1.1 * middle[i]
    first, last = i, i
    while first > 0 and near[first - 1]:
        first -= 1
    while last < near.size - 1 and near[last + 1]:
        last += 1
    return LeastViscosity(float(middle[i]), float(at[i]), float(at[first]), float(at[last]))


def gel_at_level(t: NDArray[np.float64], mu: NDArray[np.float64], level: float = COMMON_LEVEL) -> float | None:
    """When the viscosity passes a level [Pa s] for good, straight in its logarithm between samples; None where it ends below.

    A curve that is above it from its first sample on has gelled before: None as well.

    >>> gel_at_level(np.array([0.0, 10.0, 20.0, 30.0]), np.array([1.0, 200.0, 10.0, 1000.0]))
    25.0
    """
    t, mu = _kept(t, mu)
    below = np.flatnonzero(mu < level)
    if below.size == 0 or below[-1] == mu.size - 1:
        return None
    i = int(below[-1])
    share = np.log(level / mu[i]) / np.log(mu[i + 1] / mu[i])
    return float(t[i] + share * (t[i + 1] - t[i]))


def gel_at_steepest(t: NDArray[np.float64], mu: NDArray[np.float64]) -> tuple[float, float]:
    """Between which samples the logarithm of viscosity rises fastest: gel by the steepest rise, as the two times.

    >>> gel_at_steepest(np.array([0.0, 10.0, 20.0, 30.0]), np.array([1.0, 2.0, 1000.0, 2000.0]))
    (10.0, 20.0)
    """
    t, mu = _kept(t, mu)
    i = int(np.argmax(np.diff(np.log(mu)) / np.diff(t)))
    return float(t[i]), float(t[i + 1])


def _kept(t: NDArray[np.float64], mu: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    known = np.isfinite(mu) & np.isfinite(t)
    t, mu = t[known], mu[known]
    if t.size < MEDIAN_OF or not np.all(np.diff(t) > 0.0):
        raise CannotTellError(f"{t.size} samples of viscosity", expected="three or more, time rising")
    if not np.all(mu > 0.0):
        raise CannotTellError(f"a viscosity of {np.min(mu):.3g} Pa s", expected="above 0")
    return t, mu
