"""Integrals over one or two normal errors that several channels share: the steep work under :mod:`curewright.physics.conformance_of_run`.

Each channel has room for an error from ``down`` to ``up``, an error u·z shared with others (z standard normal) and an error of its own::

    one deep:  ∫ φ(z) Π_i P_i(down_i - u_i z, up_i - u_i z) dz          P_i(a, b) = [Φ(b/own_i) - Φ(a/own_i)]₊
    two deep:  ∫ φ(y) Π_groups [one deep, with the rooms moved by outer_i y] dy

Panels of 16 Gauss–Legendre points, broken where the integrand is steep (a step of width own/u at down/u and up/u) and cut where it is
below 1e-12. Absolute accuracy 1e-9 (checked against SciPy's adaptive integration). A channel without an error of its own cuts sharply.
"""

from __future__ import annotations

from math import erfc, exp, inf, pi, sqrt
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(16)
FAR = 6.7  # standard deviations that are integrated over: 2e-11 lies beyond
STEEP_END, STEEP_INNER = (
    7.0,
    2.0,
)  # a step of the normal distribution is over, and is half over, so many widths from its place


def _within(down: float, up: float, own: float) -> float:
    if own <= 0.0:
        return 1.0 if down <= 0.0 <= up else 0.0
    if not up > down:
        return 0.0
    scale = 1.0 / (own * sqrt(2.0))
    above = 0.5 * erfc(-up * scale) if up < 9.0 * own else 1.0
    return above - 0.5 * erfc(-down * scale) if down > -9.0 * own else above


within = compiled("float64(float64, float64, float64)")(_within)


def _panel_edges(low: float, high: float, places: Floats, widths: Floats) -> Floats:
    """Where to break an integral from low to high with steps of these widths at these places (inf: none)."""
    candidates = np.empty(4 * places.size + 4)
    count, narrowest = 0, 1.5
    for k in range(places.size):
        narrowest = min(narrowest, widths[k])
        for span in (-STEEP_END, -STEEP_INNER, STEEP_INNER, STEEP_END):
            candidates[count] = places[k] + span * widths[k]
            count += 1
    for edge in (-2.2, 2.2):
        candidates[count] = edge
        count += 1
    ordered = np.sort(candidates[:count])
    edges = np.empty(count + 2)
    edges[0], kept = low, 1
    for edge in ordered:
        if edge - edges[kept - 1] >= narrowest and high - edge >= narrowest:
            edges[kept] = edge
            kept += 1
    edges[kept] = high
    return edges[: kept + 1]


panel_edges = compiled("float64[::1](float64, float64, float64[::1], float64[::1])")(_panel_edges)


def _steps(down: Floats, up: Floats, shared: Floats, rest: Floats) -> Floats:
    """Lowest and highest z that count, then place and width of each step between them; shape (2 + 2 k,)."""
    low, high, found = -FAR, FAR, 2
    steps = np.empty(2 + 4 * down.size)
    for i in range(down.size):
        if shared[i] > 0.0:
            reach = STEEP_END * rest[i]
            low, high = max(low, (down[i] - reach) / shared[i]), min(high, (up[i] + reach) / shared[i])
    for i in range(down.size):
        for edge in (down[i], up[i]):
            if shared[i] > 0.0 and rest[i] > 0.0 and abs(edge) < inf:
                place, width = edge / shared[i], rest[i] / shared[i]
                if low < place + STEEP_END * width and place - STEEP_END * width < high:
                    steps[found], steps[found + 1] = place, width
                    found += 2
    steps[0], steps[1] = low, high
    return steps[:found]


steps_of = compiled("float64[::1](float64[::1], float64[::1], float64[::1], float64[::1])")(_steps)


def _nodes(down: Floats, up: Floats, shared: Floats, rest: Floats) -> Floats:
    """Points z and weights (density included), shape (2, n); n = 0 where no shared error fits into all rooms.

    rest : what remains uncertain of each channel once z is known
    """
    steps = steps_of(down, up, shared, rest)
    if not steps[1] > steps[0]:
        return np.empty((2, 0))
    edges = panel_edges(steps[0], steps[1], steps[2::2].copy(), steps[3::2].copy())
    found = np.empty((2, POINTS.size * (edges.size - 1)))
    for panel in range(edges.size - 1):
        middle, half = (edges[panel] + edges[panel + 1]) / 2.0, (edges[panel + 1] - edges[panel]) / 2.0
        for k in range(POINTS.size):
            z = middle + half * POINTS[k]
            found[0, panel * POINTS.size + k] = z
            found[1, panel * POINTS.size + k] = half * WEIGHTS[k] * exp(-z * z / 2.0) / sqrt(2.0 * pi)
    return found


nodes = compiled("float64[:, ::1](float64[::1], float64[::1], float64[::1], float64[::1])")(_nodes)


def _one_deep(down: Floats, up: Floats, shared: Floats, own: Floats) -> float:
    """Probability that all channels stay in their rooms, with one error that they share (u each, 0 for those that do not)."""
    if not np.any(shared > 0.0):
        product = 1.0
        for i in range(down.size):
            product *= within(down[i], up[i], own[i])
        return product
    found = nodes(down, up, shared, own)
    total = 0.0
    for j in range(found.shape[1]):
        product = found[1, j]
        for i in range(down.size):
            move = shared[i] * found[0, j]
            product *= within(down[i] - move, up[i] - move, own[i])
            if product == 0.0:
                break
        total += product
    return total


one_deep = compiled("float64(float64[::1], float64[::1], float64[::1], float64[::1])")(_one_deep)


def _two_deep(down: Floats, up: Floats, outer: Floats, inner: Floats, own: Floats, ends: Whole) -> float:
    """As one deep, with an outer error that the groups share; group g is channels ends[g] to ends[g + 1]."""
    found = nodes(down, up, outer, np.sqrt(inner * inner + own * own))
    total = 0.0
    for j in range(found.shape[1]):
        product = found[1, j]
        moved_down, moved_up = down - outer * found[0, j], up - outer * found[0, j]
        for g in range(ends.size - 1):
            a, b = ends[g], ends[g + 1]
            product *= one_deep(moved_down[a:b], moved_up[a:b], inner[a:b], own[a:b])
            if product == 0.0:
                break
        total += product
    return total


two_deep = compiled("float64(float64[::1], float64[::1], float64[::1], float64[::1], float64[::1], int64[::1])")(
    _two_deep
)
