"""Plain NumPy: one row of the table at a time, so that a row stays in cache; sums by cumulative sums in whole numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from bench.peers.tool import Condition
from bench.peers.wide import LARGEST_GAP, NEVER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bench.peers.tool import Found
    from bench.peers.wide import Wide

SECOND = 10**9
TO_MINUTE = 60.0 / 1000.0  # grains a second to 1e3 grains a minute


def holes(t: np.ndarray, good: np.ndarray, bad: np.ndarray) -> list[tuple[int, int, str]]:
    """Open stretches without known value of a column, from which samples are good."""
    where = np.flatnonzero(good)
    if not len(where):
        return [(-NEVER, NEVER, "lost")]
    at = t[where]
    far = np.flatnonzero((np.diff(at) > LARGEST_GAP) | (np.diff(where) > 1))
    edges = [(-NEVER, int(at[0])), *((int(at[i]), int(at[i + 1])) for i in far), (int(at[-1]), NEVER)]
    return [(a, b, "lost" if np.any((bad > a) & (bad < b)) else "gap") for a, b in edges]


def runs_of(t: np.ndarray, v: np.ndarray, level: float, *, strict: bool, held: bool, breaks: np.ndarray) -> Condition:
    """(true, false) stretches of samples at or above a level. ``breaks``: indices after which nothing is known up to the next sample."""
    over = v > level if strict else v >= level
    turns = np.flatnonzero(over[1:] != over[:-1])
    return runs_from(turns, bool(over[0]), t, v, level, strict=strict, held=held, breaks=breaks)


def runs_from(
    turns: np.ndarray,
    first: bool,
    t: np.ndarray,
    v: np.ndarray,
    level: float,
    *,
    strict: bool,
    held: bool,
    breaks: np.ndarray,
) -> Condition:
    """The same, once it is known what the first sample gives and after which samples the comparison turns."""
    cuts = turns if not len(breaks) else np.union1d(turns, breaks)
    begin, end = np.concatenate([[0], cuts + 1]), np.concatenate([cuts, [len(v) - 1]])
    starts, ends = t[begin], t[end].copy()
    joined = np.ones(len(cuts), bool) if not len(breaks) else ~np.isin(cuts, breaks)
    k = cuts[joined]
    if held:
        ends[:-1][joined] = t[k + 1]
    else:
        crossing = t[k] + np.rint((level - v[k]) / (v[k + 1] - v[k]) * (t[k + 1] - t[k])).astype(np.int64)
        starts[1:][joined] = ends[:-1][joined] = crossing
    rows = np.stack([starts, ends], axis=1)
    true = (np.searchsorted(turns, begin) % 2 == 1) ^ first
    return Condition(rows[true], rows[~true], closed=not strict)


def difference(up: tuple[float, float, float], down: tuple[float, float, float]) -> float:
    """The difference of two columns at one instant between their samples, in whole grains."""
    if up[2] == down[2]:
        before, after = up[0] - down[0], up[1] - down[1]
        return float(np.rint(before + (after - before) * up[2]))
    return float(np.rint(up[0] + (up[1] - up[0]) * up[2] - down[0] - (down[1] - down[0]) * down[2]))


class NumPy:
    """The table as one array."""

    name = "NumPy"

    def __init__(self, data: Wide) -> None:
        self.data, self.t = data, data.t
        self.rows = dict(zip(data.names, data.table, strict=True))

    def unknown(self) -> dict[str, list[tuple[int, int, str]]]:
        self.windows: dict[int, tuple[np.ndarray, ...]] = {}
        missing = np.isnan(self.data.table)
        with_holes = missing.any(axis=1)
        whole = holes(self.t, np.ones(len(self.t), bool), self.t[:0])
        self.compact: dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]] = {}
        found = {}
        for i, name in enumerate(self.data.names):
            found[name] = holes(self.t, ~missing[i], self.data.bad[name]) if with_holes[i] else whole
            if with_holes[i]:
                self._compact(name, ~missing[i])
        self.breaks = np.flatnonzero(np.diff(self.t) > LARGEST_GAP)
        return found

    def _compact(self, name: str, good: np.ndarray) -> None:
        where = np.flatnonzero(good)
        t = self.t[where]
        self.compact[name] = (
            t,
            self.rows[name][where],
            np.flatnonzero((np.diff(t) > LARGEST_GAP) | (np.diff(where) > 1)),
        )

    def column(self, name: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Good samples of a column: times, values, indices after which there is a hole."""
        return self.compact.get(name) or (self.t, self.rows[name], self.breaks)

    def runs(self, asks: Sequence[tuple[str, float, bool, bool]]) -> list[Condition]:
        found = []
        for name, level, strict, held in asks:
            t, v, breaks = self.column(name)
            found.append(runs_of(t, v, level, strict=strict, held=held, breaks=breaks))
        return found

    def states(self, asks: Sequence[tuple[str, int]]) -> list[np.ndarray]:
        found = []
        for name, code in asks:
            t, v, breaks = self.column(name)
            found.append(runs_of(t, (v == code).astype(float), 0.5, strict=True, held=True, breaks=breaks).true)
        return found

    def values(self, asks: Sequence[tuple[str, int]]) -> list[float | None]:
        return [self._value(*ask) for ask in asks]

    def _value(self, name: str, at: int) -> float | None:
        piece = self._piece(name, at)
        return None if piece is None else float(np.rint(piece[0] + (piece[1] - piece[0]) * piece[2]))

    def extremes(self, asks: Sequence[tuple[Sequence[str], int, int, str]]) -> list[Found | None]:
        return [self._extreme(*ask) for ask in asks]

    def _extreme(self, names: Sequence[str], start: int, end: int, side: str) -> Found | None:
        sign = 1.0 if side == "least" else -1.0
        found = []
        for name in names:
            t, v, _ = self.column(name)
            a, b = np.searchsorted(t, start), np.searchsorted(t, end, side="right")
            if a < b:
                inside = v[a:b]
                k = inside.argmin() if side == "least" else inside.argmax()
                found.append((sign * inside[k], int(t[a + k]), name))
            for at in {start, end}:
                value = self._value(name, at)
                if value is not None:
                    found.append((sign * value, at, name))
        if not found:
            return None
        value, at, name = min(found)
        return float(sign * value), at, name

    def apart(self, asks: Sequence[tuple[Sequence[str], Sequence[str], int, int]]) -> list[Found | None]:
        return [self._apart(*ask) for ask in asks]

    def _apart(self, tops: Sequence[str], bottoms: Sequence[str], start: int, end: int) -> Found | None:
        a, b = np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")
        found = []
        if a < b:
            gap = self._most(tops, a, b) - (most := self._most(bottoms, a, b, np.minimum))
            known = ~np.isnan(gap)
            if known.any():
                k = int(np.nanargmax(gap))
                top = min(name for name in tops if self.rows[name][a + k] - most[k] == gap[k])
                bottom = min(name for name in bottoms if self.rows[name][a + k] == most[k] and name != top)
                found.append((-gap[k], int(self.t[a + k]), f"{top} - {bottom}"))
        for at in {start, end}:
            ups, downs = ([(name, self._piece(name, at)) for name in names] for names in (tops, bottoms))
            found += [
                (-difference(up, down), at, f"{one} - {two}")
                for one, up in ups
                if up
                for two, down in downs
                if down and one != two
            ]
        if not found:
            return None
        value, at, label = min(found)
        return float(-value), at, label

    def _most(self, names: Sequence[str], a: int, b: int, reduce: np.ufunc = np.maximum) -> np.ndarray:
        if any(name in self.compact for name in names):
            reduce = np.fmax if reduce is np.maximum else np.fmin
        found = self.rows[names[0]][a:b]
        for name in names[1:]:
            found = reduce(found, self.rows[name][a:b])
        return found

    def _piece(self, name: str, at: int) -> tuple[float, float, float] | None:
        """The samples on both sides of an instant and how far along it lies, None where the column is not known."""
        t, v, breaks = self.column(name)
        i = int(np.searchsorted(t, at))
        if i < len(t) and t[i] == at:
            return float(v[i]), float(v[i]), 0.0
        if i == 0 or i == len(t) or (len(breaks) and i - 1 in breaks):
            return None
        return float(v[i - 1]), float(v[i]), float((at - t[i - 1]) / (t[i] - t[i - 1]))

    def combine(self, asks: Sequence[tuple[str, Sequence[str], str]]) -> None:
        for name, names, how in asks:
            rows = np.stack([self.rows[each] for each in names])
            if how == "least":
                self.rows[name] = (
                    np.fmin.reduce(rows) if any(each in self.compact for each in names) else rows.min(axis=0)
                )
            else:
                self.rows[name] = np.rint(rows.mean(axis=0)) if how == "mean" else rows.sum(axis=0)
            good = ~np.isnan(self.rows[name])
            if not good.all():
                self._compact(name, good)

    # ----------------------------------------------------------------------------------------------------------------- rates
    def _window(self, window: int) -> tuple[np.ndarray, ...]:
        """For every row of the axis: first row of its window, number of rows, sums of time, and where the window begins between rows."""
        if window not in self.windows:
            x = (self.t // SECOND).astype(np.int64)
            low = np.searchsorted(self.t, self.t - window)
            s_x, s_xx = (np.concatenate([[0], np.cumsum(each)]) for each in (x, x * x))
            index = np.arange(len(x))
            n = index - low + 1
            sum_x, sum_xx = s_x[index + 1] - s_x[low], s_xx[index + 1] - s_xx[low]
            share = np.zeros(len(x))
            between = low[(self.t[low] != self.t - window) & (low > 0)]
            rows = np.flatnonzero((self.t[low] != self.t - window) & (low > 0))
            share[rows] = (self.t[rows] - window - self.t[between - 1]) / (self.t[between] - self.t[between - 1])
            self.windows[window] = (x, low, n, sum_x, (n * sum_xx - sum_x * sum_x).astype(float), share)
        return self.windows[window]

    def rates(
        self, asks: Sequence[tuple[str, int, int]], window: int, samples: int
    ) -> list[dict[str, tuple[int, float, int, float, int]]]:
        return [self._rates(name, start, end, window, samples) for name, start, end in asks]

    def _rates(
        self, name: str, start: int, end: int, window: int, samples: int
    ) -> dict[str, tuple[int, float, int, float, int]]:
        a, b = np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")
        t, v = self.t[a:b], self.rows[name][a:b]
        step = np.diff(v) / np.diff(t) * (SECOND * TO_MINUTE)
        found = {"sample to sample": range_of(step, t[1:])}
        x, low, n, s_x, below, share = (each[a:b] for each in self._window(window))
        whole = np.flatnonzero((t - window >= start) & (n >= samples)) if end - start >= window else t[:0]
        if not len(whole):
            return {**found, "least squares": range_of(step[:0], t), "end points": range_of(step[:0], t)}
        here = slice(whole[0], whole[-1] + 1) if len(whole) == whole[-1] - whole[0] + 1 else whole
        y = (v - v[0]).astype(np.int64)
        s_y, s_xy = (np.concatenate([[0], np.cumsum(each)]) for each in (y, x * y))
        last, first = np.arange(1, len(t) + 1)[here], low[here] - a
        slope = (n[here] * (s_xy[last] - s_xy[first]) - s_x[here] * (s_y[last] - s_y[first])) / below[here] * TO_MINUTE
        begin, part = v[first], share[here]
        if part.any():
            k = np.flatnonzero(part)
            before = self.rows[name][a + first[k] - 1]  # may lie just before the stretch
            begin[k] = np.rint(before + (begin[k] - before) * part[k])
        chord = (v[here] - begin) / (window / SECOND) * TO_MINUTE
        return {**found, "least squares": range_of(slope, t[here]), "end points": range_of(chord, t[here])}

    def falls(self, asks: Sequence[tuple[str, int, int, int]]) -> list[float]:
        found = []
        for name, start, end, window in asks:
            t, v, _ = self.column(name)
            at = np.unique(np.clip(np.concatenate([t, t + window]), start + window, end))
            at = at[(at >= start + window) & (at <= end)]
            found.append(float(np.max(np.rint(np.interp(at - window, t, v)) - np.rint(np.interp(at, t, v)))))
        return found

    def around(self, asks: Sequence[tuple[str, int]]) -> list[tuple[tuple[str, int, float], ...]]:
        found = []
        for name, at in asks:
            t, v, _ = self.column(name)
            i = int(np.searchsorted(t, at))
            here = slice(max(i - 2, 0), i + 2 + (i < len(t) and t[i] == at))
            found.append(
                tuple((name, when, value) for when, value in zip(t[here].tolist(), v[here].tolist(), strict=True))
            )
        return found

    def spacing(self, asks: Sequence[tuple[str, int, int]]) -> list[tuple[int, int]]:
        found = []
        for name, start, end in asks:
            t, _, _ = self.column(name)
            a, b = max(int(np.searchsorted(t, start, side="right")) - 1, 0), int(np.searchsorted(t, end))
            times = t[a : b + 1]
            if times[-1] < end:
                times = np.concatenate([times, [end]])
            apart = np.diff(times)
            k = int(apart.argmax())
            found.append((int(apart[k]), int(times[k])))
        return found


def range_of(values: np.ndarray, at: np.ndarray) -> tuple[int, float, int, float, int]:
    if not len(values):
        return 0, 0.0, 0, 0.0, 0
    low, high = int(values.argmin()), int(values.argmax())
    return len(values), float(values[low]), int(at[low]), float(values[high]), int(at[high])
