"""A trace as one stretch from lowest to highest per pixel column, so that no peak vanishes however many samples there are.

Between joined samples a trace is a straight line, so a column's extremes are those of its samples and of the values at its two edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.trace import Trace


@dataclass(frozen=True, eq=False)
class Columns:
    """Lowest and highest known value per column, shape (columns,), nan where nothing is known; the values at the columns' left and
    right edges; ``rising``: whether the lowest comes first; ``joined``: whether the trace goes on into the next column without a break.
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    left: NDArray[np.float64]
    right: NDArray[np.float64]
    rising: NDArray[np.bool_]
    joined: NDArray[np.bool_]


def columns(trace: Trace, edges: NDArray[np.int64]) -> Columns:
    """The columns of a trace between edges [ns], shape (columns + 1,); the last column holds its right edge too."""
    count = len(edges) - 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    index = np.searchsorted(trace.t, edges)
    index[-1] = np.searchsorted(trace.t, edges[-1], side="right")
    filled = np.flatnonzero(index[1:] > index[:-1])
    if len(filled):
        values, starts = trace.v[: index[filled[-1] + 1]], index[filled]
        low[filled], high[filled] = np.minimum.reduceat(values, starts), np.maximum.reduceat(values, starts)
    at_edge = values_at(trace, edges)
    left, right = at_edge[:-1], at_edge[1:]
    low, high = np.fmin(np.fmin(low, left), right), np.fmax(np.fmax(high, left), right)
    known = (high >= low) & (
        ~np.isnan(left) | (index[1:] > index[:-1])
    )  # a sample at the right edge is the next column's
    first, last = _ends(trace, index, left, right)
    low, high = np.where(known, low, np.nan), np.where(known, high, np.nan)
    return Columns(low, high, left, right, last >= first, np.isfinite(right) & _unbroken(trace, index))


def values_at(trace: Trace, instants: NDArray[np.int64]) -> NDArray[np.float64]:
    """The value of a trace at instants [ns], nan where it is not known."""
    t, v, link = trace.t, trace.v, trace.link
    found = np.full(len(instants), np.nan)
    if not len(t):
        return found
    after = np.searchsorted(t, instants)
    here = (after < len(t)) & (t[np.minimum(after, len(t) - 1)] == instants)
    found[here] = v[after[here]]
    between = ~here & (after > 0) & (after < len(t))
    between[between] = link[after[between] - 1] == 0
    i = after[between]
    if trace.hold:
        found[between] = v[i - 1]
        return found
    share = (instants[between] - t[i - 1]) / (t[i] - t[i - 1])
    found[between] = v[i - 1] + share * (v[i] - v[i - 1])
    return found


def _ends(
    trace: Trace, index: NDArray[np.int64], left: NDArray[np.float64], right: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The first and the last known value of each column (at its edges, or else at its samples)."""
    if not len(trace.t):
        return left, right
    most = len(trace.t) - 1
    first = np.where(np.isnan(left), trace.v[np.clip(index[:-1], 0, most)], left)
    last = np.where(np.isnan(right), trace.v[np.clip(index[1:] - 1, 0, most)], right)
    return first, last


def _unbroken(trace: Trace, index: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether no break lies among the samples of a column (a break inside one is drawn as a gap after it)."""
    broken = trace.link[:-1] != 0
    if not broken.any():
        return np.ones(len(index) - 1, dtype=bool)
    before = np.concatenate([[0], np.cumsum(broken)])
    most = len(before) - 1
    inside = before[np.clip(index[1:] - 1, 0, most)] - before[np.clip(index[:-1], 0, most)]
    return np.asarray(inside <= 0)


def lowest(several: Sequence[Columns]) -> Columns:
    """The coldest of several at each column: its lowest is exact, its highest at most too high."""
    return _outermost(several, np.fmin)


def highest(several: Sequence[Columns]) -> Columns:
    """The hottest of several at each column: its highest is exact, its lowest at most too low."""
    return _outermost(several, np.fmax)


def _outermost(several: Sequence[Columns], take: np.ufunc) -> Columns:
    low, high, left, right = (
        take.reduce([getattr(each, name) for each in several]) for name in ("low", "high", "left", "right")
    )
    joined = np.any([each.joined for each in several], axis=0) & ~np.isnan(low)
    return Columns(low, high, left, right, right >= left, joined)


def points(found: Columns, edges: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """The columns as lines to draw, shape (n, 2) each, between their ``edges`` [pt]; a gap parts them.

    A column that only rises or falls is drawn from edge to edge; any other has its lowest and highest at its middle.
    """
    known = ~np.isnan(found.low)
    plain = known & (np.fmin(found.left, found.right) == found.low) & (np.fmax(found.left, found.right) == found.high)
    plain &= ~(np.isnan(found.left) | np.isnan(found.right))
    count = len(known)
    xy, kept = np.empty((count, 4, 2)), np.zeros((count, 4), dtype=bool)
    xy[:, 0, 0], xy[:, 1:3, 0], xy[:, 3, 0] = edges[:-1], ((edges[:-1] + edges[1:]) / 2)[:, None], edges[1:]
    order, across = np.where(found.rising, 0, 1), np.arange(count)
    values = np.stack([found.low, found.high])
    xy[:, 0, 1], xy[:, 3, 1] = found.left, found.right
    xy[:, 1, 1], xy[:, 2, 1] = values[order, across], values[1 - order, across]
    begins = known & ~np.append(False, known[:-1] & found.joined[:-1])
    ends = known & ~np.append(known[1:] & found.joined[:-1], False)
    kept[:, 0] = known & ~np.isnan(found.left) & (plain | begins | np.append(False, plain[:-1]))
    kept[:, 1:3] = (known & ~plain)[:, None]
    kept[:, 3] = ends & ~np.isnan(found.right)
    firsts, lasts = np.flatnonzero(begins).tolist(), np.flatnonzero(ends).tolist()
    return [xy[a : b + 1][kept[a : b + 1]] for a, b in zip(firsts, lasts, strict=True)]


def samples(trace: Trace, first: int, last: int) -> list[tuple[NDArray[np.int64], NDArray[np.float64]]]:
    """The trace itself between two instants [ns], as (instants, values) per unbroken stretch, with its values at both ends."""
    inside = slice(int(np.searchsorted(trace.t, first)), int(np.searchsorted(trace.t, last, side="right")))
    t, v, link = trace.t[inside], trace.v[inside], trace.link[inside]
    ends = values_at(trace, np.array([first, last], dtype=np.int64))
    if not len(t):
        both = np.array([first, last], dtype=np.int64)
        return [] if np.isnan(ends).any() else [(both, ends)]
    cuts = np.flatnonzero(link[:-1] != 0) + 1
    pieces = list(zip(np.split(t, cuts), np.split(v, cuts), strict=True))
    if not np.isnan(ends[0]) and t[0] > first:
        pieces[0] = np.append(first, pieces[0][0]), np.append(ends[0], pieces[0][1])
    if not np.isnan(ends[1]) and t[-1] < last:
        pieces[-1] = np.append(pieces[-1][0], last), np.append(pieces[-1][1], ends[1])
    return [_stepped(*piece) for piece in pieces] if trace.hold else pieces


def _stepped(t: NDArray[np.int64], v: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """A state that holds until the next sample, as corners."""
    return np.repeat(t, 2)[1:], np.repeat(v, 2)[:-1]
