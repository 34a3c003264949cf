"""pandas: one column at a time; comparisons, reductions across columns and time-based rolling sums by pandas.

Single values are looked up in the columns' own arrays (as the NumPy peer does), which is kinder to pandas than its own scalar access.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from bench.peers.wide import LARGEST_GAP, NEVER
from bench.peers.with_numpy import SECOND, TO_MINUTE, NumPy, difference, range_of, runs_from

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bench.peers.tool import Condition, Found
    from bench.peers.wide import Wide


class Pandas(NumPy):
    """The table as a DataFrame with a column for each channel, indexed by time."""

    name = "pandas"

    def __init__(self, data: Wide) -> None:
        super().__init__(data)
        self.index = pd.to_timedelta(self.t, unit="ns")
        self.frame = pd.DataFrame(data.table.T.copy(order="F"), index=self.index, columns=data.names, copy=False)
        self.series = {name: self.frame[name] for name in data.names}

    def unknown(self) -> dict[str, list[tuple[int, int, str]]]:
        self.windows, self.compact = {}, {}
        self.breaks = np.flatnonzero(self.index.to_series().diff().shift(-1) > pd.Timedelta(LARGEST_GAP, unit="ns"))
        missing = self.frame.isna().any()
        whole = [(-NEVER, int(self.t[0]), "gap"), *((int(self.t[i]), int(self.t[i + 1]), "gap") for i in self.breaks)]
        whole.append((int(self.t[-1]), NEVER, "gap"))
        return {name: self._holes(name) if missing[name] else whole for name in self.data.names}

    def _holes(self, name: str) -> list[tuple[int, int, str]]:
        numbered = self.series[name].reset_index(drop=True).dropna()
        rows = numbered.index.to_series()
        t = self.t[numbered.index]
        broken = (rows.diff() > 1) | (pd.Series(t, index=rows.index).diff() > LARGEST_GAP)
        after = np.flatnonzero(broken)
        self.compact[name] = (t, numbered.to_numpy(), after - 1)
        edges = [(-NEVER, int(t[0])), *((int(t[i - 1]), int(t[i])) for i in after), (int(t[-1]), NEVER)]
        bad = pd.Series(self.data.bad[name])
        return [(a, b, "lost" if bad.between(a, b, inclusive="neither").any() else "gap") for a, b in edges]

    def _good(self, name: str) -> pd.Series:
        return self.series[name].dropna() if name in self.compact else self.series[name]

    def runs(self, asks: Sequence[tuple[str, float, bool, bool]]) -> list[Condition]:
        found = []
        for name, level, strict, held in asks:
            series = self._good(name)
            over = series > level if strict else series >= level
            shown = over.to_numpy()
            turns = np.flatnonzero(shown[1:] != shown[:-1])
            t, v, breaks = self.column(name)
            found.append(runs_from(turns, bool(shown[0]), t, v, level, strict=strict, held=held, breaks=breaks))
        return found

    def states(self, asks: Sequence[tuple[str, int]]) -> list[np.ndarray]:
        found = []
        for name, code in asks:
            over = self.series[name] == code
            shown = over.to_numpy()
            turns = np.flatnonzero(shown[1:] != shown[:-1])
            t, v, breaks = self.column(name)
            found.append(runs_from(turns, bool(shown[0]), t, v, 0.5, strict=True, held=True, breaks=breaks).true)
        return found

    def _extreme(self, names: Sequence[str], start: int, end: int, side: str) -> Found | None:
        sign = 1.0 if side == "least" else -1.0
        a, b = np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")
        found = []
        for name in names:
            inside = self.series[name].iloc[a:b]
            if b > a and (name not in self.compact or inside.notna().any()):
                k = int(inside.argmin() if side == "least" else inside.argmax())
                found.append((sign * float(inside.iloc[k]), int(self.t[a + k]), name))
            for at in {start, end}:
                value = self._value(name, at)
                if value is not None:
                    found.append((sign * value, at, name))
        if not found:
            return None
        value, at, name = min(found)
        return sign * value, at, name

    def _apart(self, tops: Sequence[str], bottoms: Sequence[str], start: int, end: int) -> Found | None:
        a, b = np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")
        found = []
        if a < b:
            most, least = self.frame[list(tops)].iloc[a:b].max(axis=1), self.frame[list(bottoms)].iloc[a:b].min(axis=1)
            gap = most - least
            if gap.notna().any():
                k = int(gap.argmax())
                row = self.frame.iloc[a + k]
                top = min(name for name in tops if row[name] == most.iloc[k])
                bottom = min(name for name in bottoms if row[name] == least.iloc[k] and name != top)
                found.append((-float(gap.iloc[k]), int(self.t[a + k]), f"{top} - {bottom}"))
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
        return -value, at, label

    def combine(self, asks: Sequence[tuple[str, Sequence[str], str]]) -> None:
        for name, names, how in asks:
            chosen = self.frame[list(names)]
            made = {"least": chosen.min, "mean": chosen.mean, "sum": chosen.sum}[how](axis=1)
            self.series[name] = made.round() if how == "mean" else made
            self.rows[name] = self.series[name].to_numpy()
            if self.series[name].isna().any():
                self._compact(name, self.series[name].notna().to_numpy())

    def _rates(
        self, name: str, start: int, end: int, window: int, samples: int
    ) -> dict[str, tuple[int, float, int, float, int]]:
        if end - start < window:  # slivers at the edge of a band: pandas would spend all its time on making objects
            return super()._rates(name, start, end, window, samples)
        a, b = np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")
        series, t = self.series[name].iloc[a:b], self.t[a:b]
        x, low, n, s_x, below, share = (each[a:b] for each in self._window(window))
        v = series.to_numpy()
        y = v - v[0]
        rolled = (
            pd.DataFrame({"y": y, "xy": x * y}, index=series.index)
            .rolling(pd.Timedelta(window, unit="ns"), closed="both")
            .sum()
        )
        whole = np.flatnonzero((t - window >= start) & (n >= samples))
        slope = (n * rolled["xy"].to_numpy() - s_x * rolled["y"].to_numpy())[whole] / below[whole] * TO_MINUTE
        first = np.maximum(low - a, 0)[whole]
        begin, part = v[first], share[whole]
        if part.any():
            before = self.series[name].to_numpy()[np.maximum(a + first - 1, 0)]  # may lie just before the stretch
            begin = np.where(part > 0, np.rint(before + (begin - before) * part), begin)
        chord = (v[whole] - begin) / (window / SECOND) * TO_MINUTE
        steps = series.diff().to_numpy()[1:] / np.diff(t) * (SECOND * TO_MINUTE)
        return {
            "sample to sample": range_of(steps, t[1:]),
            "least squares": range_of(slope, t[whole]),
            "end points": range_of(chord, t[whole]),
        }

    def spacing(self, asks: Sequence[tuple[str, int, int]]) -> list[tuple[int, int]]:
        found = []
        for name, start, end in asks:
            series = self._good(name)
            begin = series.index.searchsorted(pd.Timedelta(start, unit="ns"), side="right") - 1
            times = series.index[max(begin, 0) : series.index.searchsorted(pd.Timedelta(end, unit="ns")) + 1]
            if times[-1].value < end:
                times = times.append(pd.to_timedelta([end], unit="ns"))
            apart = times.to_series().diff().iloc[1:]
            k = int(apart.argmax())
            found.append((int(apart.iloc[k].value), int(times[k].value)))
        return found
