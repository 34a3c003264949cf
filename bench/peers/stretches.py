"""Sets of instants as rows (from, to) in whole nanoseconds, sorted and apart: union, intersection, complement, cut."""

from __future__ import annotations

import numpy as np

NONE = np.empty((0, 2), np.int64)
FAR = 2**62


def deep(sets: list[np.ndarray], depth: int, *, closed: bool) -> np.ndarray:
    """Where at least ``depth`` of the sets overlap; stretches that are closed (hold their ends) may meet in one instant."""
    rows = np.concatenate(sets) if sets else NONE
    if not len(rows):
        return NONE
    times = np.concatenate([rows[:, 0], rows[:, 1]])
    steps = np.concatenate([np.ones(len(rows), np.int64), -np.ones(len(rows), np.int64)])
    order = np.lexsort((-steps if closed else steps, times))
    times, level = times[order], np.cumsum(steps[order])
    inside = level >= depth
    before = np.concatenate([[False], inside[:-1]])
    return np.stack([times[inside & ~before], times[~inside & before]], axis=1)


def union(sets: list[np.ndarray], *, closed: bool) -> np.ndarray:
    """In any of the sets."""
    filled = [each for each in sets if len(each)]
    return filled[0] if len(filled) == 1 else deep(filled, 1, closed=closed)


def both(sets: list[np.ndarray], *, closed: bool) -> np.ndarray:
    """In all of the sets."""
    return sets[0] if len(sets) == 1 else deep(sets, len(sets), closed=closed)


def outside(rows: np.ndarray, *, closed: bool) -> np.ndarray:
    """Everything else, from minus to plus infinity; ``closed``: what is left holds its ends (and may be single instants)."""
    edges = np.concatenate([[-FAR], rows.ravel(), [FAR]]).reshape(-1, 2)
    return edges if closed else edges[edges[:, 0] < edges[:, 1]]


def cut(rows: np.ndarray, start: int, end: int, *, closed: bool = True) -> np.ndarray:
    """The part of a set inside [start, end]; open stretches that merely touch an end are not in it."""
    if start > end or not len(rows):
        return NONE
    if not closed:
        rows = rows[(rows[:, 0] < end) & (rows[:, 1] > start)]
    first = np.searchsorted(rows[:, 1], start)
    last = np.searchsorted(rows[:, 0], end, side="right")
    return np.clip(rows[first:last], start, end)
