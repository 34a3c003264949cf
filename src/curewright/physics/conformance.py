"""How probable it is that a true value lies within limits, when what was recorded is known (JCGM 106:2012). Information, never a verdict.

A true value is taken as normal about the recorded one, with the channel's standard uncertainty u::

    p = Φ((high - y)/u) - Φ((low - y)/u)

All functions take plain numbers in any one unit. For the samples of a whole run see :mod:`curewright.physics.conformance_of_run`.
"""

from __future__ import annotations

from math import erfc, inf, sqrt
from statistics import NormalDist

import numpy as np

NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
FAR = 9.0  # standard deviations: Φ(-9) is 1.1e-19
SLOPE_SPAN = (
    -6.0,
    -3.0,
    -1.5,
    0.0,
    1.5,
    3.0,
    6.0,
)  # where panels break about a step of the integrand, in widths of the step


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
    edges = [(edge - mean) / spread for edge in (*limits, *acceptance)]
    steps = [(edge, u / spread) for edge in edges[2:]]
    z, weight = nodes(breaks(steps, -FAR, FAR, extra=tuple(edges[:2])))
    accepted = np.array([probability(mean + spread * one, u, *acceptance) for one in z])
    inside = (z >= edges[0]) & (z <= edges[1])
    return float(np.sum(weight[~inside] * accepted[~inside])), float(np.sum(weight[inside] * (1 - accepted[inside])))


def breaks(steps: list[tuple[float, float]], low: float, high: float, extra: tuple[float, ...] = ()) -> list[float]:
    """Where to break an integral over a standard normal error from low to high; ``steps``: (place, width) of steep places."""
    about = [place + width * span for place, width in steps for span in SLOPE_SPAN]
    inside = {edge for edge in (-4.0, -2.0, 0.0, 2.0, 4.0, *extra, *about) if low < edge < high}
    closest = min((width for _, width in steps if width > 0), default=inf) / 2
    kept = [low]
    for edge in sorted(inside):
        if edge in extra or edge - kept[-1] >= min(closest, 0.5):
            kept.append(edge)
    return [*kept, high]


def nodes(edges: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Points and weights (16 Gauss–Legendre points in each panel, the normal density included), shape (16 × panels,) each."""
    left, right = np.array(edges[:-1]), np.array(edges[1:])
    half = (right - left)[:, None] / 2
    z = ((left + right)[:, None] / 2 + half * NODES).ravel()
    return z, (half * WEIGHTS).ravel() * np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
