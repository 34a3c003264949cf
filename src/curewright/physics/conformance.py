"""How probable it is that a true value lies within limits, when what was recorded is known (JCGM 106:2012). Information, never a verdict.

A true value is taken as normal about the recorded one, with the channel's standard uncertainty u::

    p = Φ((high - y)/u) - Φ((low - y)/u)

All functions take plain numbers in any one unit. For the samples of a whole run see :mod:`curewright.physics.conformance_of_run`.
"""

from __future__ import annotations

from itertools import pairwise
from math import erfc, exp, inf, pi, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.shared_error import POINTS, WEIGHTS, panel_edges

if TYPE_CHECKING:
    from numpy.typing import NDArray


def normal(z: float) -> float:
    """Φ(z), the standard normal distribution, with small tails exact to the last digits."""
    return 0.5 * erfc(-z / sqrt(2))


def between(a: float, b: float) -> float:
    """Φ(b) - Φ(a), without loss of digits in the upper tail; 0 where b is not above a."""
    if not b > a:
        return 0.0
    return normal(-a) - normal(-b) if a > 0 else normal(b) - normal(a)


def probability(value: float, u: float, low: float | None = None, high: float | None = None) -> float:
    """Probability that the true value lies within the limits, given one recorded value and its standard uncertainty.

    With u = 0 it is 1 or 0, ends included. Source: JCGM 106:2012, 7.2 to 7.4 (equations from memory).

    >>> round(probability(-5.47, 0.05, high=-5.40), 2)
    0.92
    """
    below, above = (-inf if low is None else low) - value, (inf if high is None else high) - value
    if u == 0:
        return float(below <= 0 <= above)
    return between(below / u, above / u)


def guarded(low: float | None, high: float | None, width: float) -> tuple[float | None, float | None]:
    """The acceptance limits inside (width > 0) or outside (width < 0) the plain limits by a guard band (JCGM 106:2012, 8.3)."""
    return (None if low is None else low + width, None if high is None else high - width)


def risk_at_guard(multiplier: float) -> float:
    """Probability that a value accepted exactly at a one-sided limit, guarded by ``multiplier`` × u, is outside the plain limit.

    >>> round(risk_at_guard(2.0), 6)
    0.02275
    """
    return normal(-multiplier)


def guard_for_risk(risk: float) -> float:
    """The guard band in units of u that holds the one-sided risk at the limit to ``risk`` (5 % gives 1.645)."""
    return -NormalDist().inv_cdf(risk)


def capability_index(low: float, high: float, u: float) -> float:
    """Measurement capability index C_m = (high - low) / (4 u): how much of a tolerance the measurement leaves (JCGM 106:2012, 7.6)."""
    return (high - low) / (4 * u)


def value_for_probability(high: float, relative_u: float, wanted: float) -> float:
    """The reading above which an upper limit is exceeded with probability ``wanted``, when u is a fraction of the reading.

    ``high / (1 - relative_u * z)``, the speed-trap example of JCGM 106:2012.
    """
    return high / (1 - relative_u * NormalDist().inv_cdf(wanted))


def global_risks(
    prior: tuple[float, float], u: float, limits: tuple[float, float], acceptance: tuple[float, float]
) -> tuple[float, float]:
    """Consumer's and producer's risk of a process of true values N(prior) measured with u (JCGM 106:2012, 9.5).

    The consumer's: outside the limits and accepted. The producer's: inside and rejected. Accurate to 1e-10 (checked against SciPy).

    >>> consumer, producer = global_risks((1500, 0.12), 0.04, (1499.80, 1500.20), (1499.82, 1500.18))
    >>> round(consumer, 4), round(producer, 4)
    (0.0099, 0.069)
    """
    mean, spread = prior
    cuts = [-9.0, *sorted((limit - mean) / spread for limit in limits), 9.0]
    steps = np.array([(edge - mean) / spread for edge in acceptance]), np.full(2, u / spread)
    accepted = [_accepted(prior, u, acceptance, panel_edges(a, b, *steps)) for a, b in pairwise(cuts)]
    inside = between(cuts[1], cuts[2])
    return accepted[0] + accepted[2], inside - accepted[1]


def _accepted(
    prior: tuple[float, float], u: float, acceptance: tuple[float, float], edges: NDArray[np.float64]
) -> float:
    """Probability of a true value between the first and last edge (in standard deviations of the prior) that is accepted."""
    total = 0.0
    for a, b in pairwise(edges):
        for point, weight in zip(POINTS, WEIGHTS, strict=True):
            z = (a + b) / 2 + (b - a) / 2 * point
            accepted = probability(prior[0] + prior[1] * z, u, *acceptance)
            total += (b - a) / 2 * weight * exp(-z * z / 2) / sqrt(2 * pi) * accepted
    return float(total)
