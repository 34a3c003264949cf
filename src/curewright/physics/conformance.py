"""How probable it is that a true value lies within limits, when what was recorded is known (JCGM 106:2012). Information, never a verdict.

A true value is taken as normal about the recorded one, with the channel's standard uncertainty u::

    p = Φ((high - y)/u) - Φ((low - y)/u)

All functions take plain numbers in any one unit. For the samples of a whole run see :mod:`curewright.physics.conformance_of_run`.
"""

from __future__ import annotations

from math import erfc, inf, sqrt


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
