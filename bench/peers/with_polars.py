"""polars: questions are put together as expressions and answered many at a time; windows by cumulative sums in whole numbers.

Single values are looked up in the columns' own arrays (as the NumPy peer does), which is kinder to polars than its own scalar access.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import polars as pl

from bench.peers.with_numpy import SECOND, TO_MINUTE, NumPy, difference, holes, runs_from

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bench.peers.tool import Condition, Found
    from bench.peers.wide import Wide

BATCH = 200
AXIS = ("low", "n", "s_x", "below", "share")
Rate = tuple[int, float, int, float, int]


class Polars(NumPy):
    """The table as a DataFrame with a column for each channel and one for time; missing is null."""

    name = "polars"

    def __init__(self, data: Wide) -> None:
        super().__init__(data)
        columns = {name: pl.Series(name, data.table[i], nan_to_null=True) for i, name in enumerate(data.names)}
        self.frame = pl.DataFrame({"t": data.t, **columns})

    def unknown(self) -> dict[str, list[tuple[int, int, str]]]:
        self.windows, self.compact, self.short, self.queries = {}, {}, {}, {}
        missing = self.frame.null_count().row(0, named=True)
        self.breaks = self.frame.select((pl.col("t").diff().shift(-1) > 120 * SECOND).arg_true())["t"].to_numpy()
        whole = holes(self.t, np.ones(len(self.t), bool), self.t[:0])
        found = {}
        for name in self.data.names:
            found[name] = whole
            if missing[name]:
                good = self.frame[name].is_not_null().to_numpy()
                found[name] = holes(self.t, good, self.data.bad[name])
                self._compact(name, good)
                self.short[name] = self.frame.select("t", name).drop_nulls()
        return found

    def runs(self, asks: Sequence[tuple[str, float, bool, bool]]) -> list[Condition]:
        turns = self._turns(
            [(name, pl.col(name) > level if strict else pl.col(name) >= level) for name, level, strict, _ in asks]
        )
        found = []
        for (name, level, strict, held), (first, where) in zip(asks, turns, strict=True):
            t, v, breaks = self.column(name)
            found.append(runs_from(where - 1, first, t, v, level, strict=strict, held=held, breaks=breaks))
        return found

    def _turns(self, asks: list[tuple[str, pl.Expr]]) -> list[tuple[bool, np.ndarray]]:
        """For each comparison: what the first sample gives, and at which samples it turns."""
        found: list[tuple[bool, np.ndarray]] = [(False, self.t[:0])] * len(asks)
        together = [i for i, (name, _) in enumerate(asks) if name not in self.compact]
        apart = [i for i, (name, _) in enumerate(asks) if name in self.compact]
        for group in [together[k : k + BATCH] for k in range(0, len(together), BATCH)] + [[i] for i in apart]:
            name = asks[group[0]][0]
            frame = self.short[name] if name in self.compact else self.frame
            made = frame.select(
                *(
                    (over != over.shift(1, fill_value=over.first())).arg_true().implode().alias(f"{i}")
                    for i, over in ((i, asks[i][1]) for i in group)
                ),
                *(asks[i][1].first().alias(f"first {i}") for i in group),
            )
            for i in group:
                found[i] = (bool(made[f"first {i}"][0]), made[f"{i}"][0].to_numpy().astype(np.int64))
        return found

    def states(self, asks: Sequence[tuple[str, int]]) -> list[np.ndarray]:
        found = []
        for (name, _), (first, where) in zip(
            asks, self._turns([(name, pl.col(name) == code) for name, code in asks]), strict=True
        ):
            t, v, breaks = self.column(name)
            found.append(runs_from(where - 1, first, t, v, 0.5, strict=True, held=True, breaks=breaks).true)
        return found

    def extremes(self, asks: Sequence[tuple[Sequence[str], int, int, str]]) -> list[Found | None]:
        rows = [
            (np.searchsorted(self.t, start), np.searchsorted(self.t, end, side="right")) for _, start, end, _ in asks
        ]
        flat = [(i, name) for i, (names, *_) in enumerate(asks) for name in names if rows[i][0] < rows[i][1]]
        best: dict[tuple[int, str], tuple[float | None, int | None]] = {}
        for k in range(0, len(flat), BATCH):
            expressions = []
            for i, name in flat[k : k + BATCH]:
                a, b = rows[i]
                part, least = pl.col(name).slice(int(a), int(b - a)), asks[i][3] == "least"
                expressions.append((part.min() if least else part.max()).alias(f"v {i} {name}"))
                expressions.append((part.arg_min() if least else part.arg_max()).alias(f"k {i} {name}"))
            made = self.frame.select(expressions).row(0, named=True)
            for i, name in flat[k : k + BATCH]:
                best[i, name] = (made[f"v {i} {name}"], made[f"k {i} {name}"])
        return [self._best(i, asks[i], int(rows[i][0]), best) for i in range(len(asks))]

    def _best(
        self,
        i: int,
        ask: tuple[Sequence[str], int, int, str],
        a: int,
        best: dict[tuple[int, str], tuple[float | None, int | None]],
    ) -> Found | None:
        names, start, end, side = ask
        sign = 1.0 if side == "least" else -1.0
        found = []
        for name in names:
            value, k = best.get((i, name), (None, None))
            if value is not None and k is not None:
                found.append((sign * value, int(self.t[a + k]), name))
            for at in {start, end}:
                there = self._value(name, at)
                if there is not None:
                    found.append((sign * there, at, name))
        if not found:
            return None
        value, at, name = min(found)
        return sign * value, at, name

    def _apart(self, tops: Sequence[str], bottoms: Sequence[str], start: int, end: int) -> Found | None:
        a, b = int(np.searchsorted(self.t, start)), int(np.searchsorted(self.t, end, side="right"))
        found = []
        if a < b:
            names = list(dict.fromkeys([*tops, *bottoms]))
            gap = pl.max_horizontal(*tops) - pl.min_horizontal(*bottoms)
            made = (
                self.frame.slice(a, b - a)
                .select(*names, gap=gap)
                .with_row_index("k")
                .filter(pl.col("gap") == pl.col("gap").max())
                .head(1)
            )
            if len(made):
                row = made.row(0, named=True)
                most, least = (
                    pick(row[name] for name in group if row[name] is not None)
                    for pick, group in ((max, tops), (min, bottoms))
                )
                top = min(name for name in tops if row[name] == most)
                bottom = min(name for name in bottoms if row[name] == least and name != top)
                found.append((-row["gap"], int(self.t[a + row["k"]]), f"{top} - {bottom}"))
        for at in {start, end}:
            ups, downs = ([(name, self._piece(name, at)) for name in group] for group in (tops, bottoms))
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
        how_to = {
            "least": lambda names: pl.min_horizontal(*names),
            "mean": lambda names: pl.mean_horizontal(*names).round(mode="half_to_even"),
            "sum": lambda names: pl.sum_horizontal(*names),
        }
        self.frame = self.frame.with_columns(how_to[how](names).alias(name) for name, names, how in asks)
        for name, _, _ in asks:
            self.rows[name] = self.frame[name].to_numpy()
            if self.frame[name].null_count():
                self._compact(name, self.frame[name].is_not_null().to_numpy())
                self.short[name] = self.frame.select("t", name).drop_nulls()

    def rates(self, asks: Sequence[tuple[str, int, int]], window: int, samples: int) -> list[dict[str, Rate]]:
        self._axis(window)
        return [self._rates(name, start, end, window, samples) for name, start, end in asks]

    def _axis(self, window: int) -> None:
        """Columns of the time axis that every window of this length needs."""
        if f"low {window}" in self.frame.columns:
            return
        x, low, n, s_x, below, share = self._window(window)
        made = {
            f"low {window}": low,
            f"n {window}": n,
            f"s_x {window}": s_x,
            f"below {window}": below,
            f"share {window}": share,
            "x": x,
        }
        self.frame = self.frame.with_columns(pl.Series(name, values) for name, values in made.items())

    def _rates(self, name: str, start: int, end: int, window: int, samples: int) -> dict[str, Rate]:
        if end - start < window:  # slivers at the edge of a band: polars would spend all its time on planning queries
            return super()._rates(name, start, end, window, samples)
        a, b = int(np.searchsorted(self.t, start)), int(np.searchsorted(self.t, end, side="right"))
        v, t, x = pl.col("v"), pl.col("t"), pl.col("x")
        part = self.frame.select("t", "x", *(pl.col(f"{what} {window}").alias(what) for what in AXIS), v=name).slice(
            a, b - a
        )
        first = part["low"].to_numpy() - a
        part = part.with_columns(
            pl.Series(
                "whole", (first >= 0) & (part["t"].to_numpy() - window >= start) & (part["n"].to_numpy() >= samples)
            ),
            pl.Series("first", np.maximum(first, 0).astype(np.uint32)),
            y=(v - v.first()).cast(pl.Int64),
        ).with_columns(xy=x * pl.col("y"))
        part = part.with_columns(s_y=pl.col("y").cum_sum(), s_xy=pl.col("xy").cum_sum())
        part = part.with_columns(
            in_y=pl.col("s_y") - (pl.col("s_y") - pl.col("y")).gather(pl.col("first")),
            in_xy=pl.col("s_xy") - (pl.col("s_xy") - pl.col("xy")).gather(pl.col("first")),
            begin=v.gather(pl.col("first")),
        )
        if part["share"].max():
            before = pl.Series(
                "before", self.rows[name][np.maximum(a + first - 1, 0)]
            )  # may lie just before the stretch
            between = (before + (pl.col("begin") - before) * pl.col("share")).round(mode="half_to_even")
            part = part.with_columns(begin=pl.when(pl.col("share") > 0).then(between).otherwise(pl.col("begin")))
        slope = (
            (pl.col("n") * pl.col("in_xy") - pl.col("s_x") * pl.col("in_y")).cast(pl.Float64)
            / pl.col("below")
            * TO_MINUTE
        )
        windows = part.filter("whole").select(
            t, slope=slope, chord=(v - pl.col("begin")) / (window / SECOND) * TO_MINUTE
        )
        steps = part.select(t, step=v.diff() / t.diff() * (SECOND * TO_MINUTE))
        made = (*windows.select(*_range("slope"), *_range("chord")).row(0), *steps.select(*_range("step")).row(0))
        return {
            kind: _counted(made[5 * i : 5 * i + 5])
            for i, kind in enumerate(("least squares", "end points", "sample to sample"))
        }

    def spacing(self, asks: Sequence[tuple[str, int, int]]) -> list[tuple[int, int]]:
        found = []
        for name, start, end in asks:
            frame = self.short.get(name, self.frame)
            a, b = (
                int(np.searchsorted(self.column(name)[0], at, side=side))
                for at, side in ((start, "right"), (end, "left"))
            )
            times = frame["t"].slice(max(a - 1, 0), b + 1 - max(a - 1, 0))
            if times[-1] < end:
                times = times.append(pl.Series("t", [end]))
            apart = times.diff()
            k = apart.arg_max()
            found.append((int(apart[k]), int(times[k - 1])))
        return found


def _range(what: str) -> tuple[pl.Expr, ...]:
    column = pl.col(what)
    return (
        column.count().alias(f"{what} n"),
        column.min().alias(f"{what} low"),
        pl.col("t").get(column.arg_min()).alias(f"{what} low at"),
        column.max().alias(f"{what} high"),
        pl.col("t").get(column.arg_max()).alias(f"{what} high at"),
    )


def _counted(found: tuple[int, float | None, int, float | None, int]) -> Rate:
    count, low, low_at, high, high_at = found
    if not count or low is None or high is None:
        return 0, 0.0, 0, 0.0, 0
    return count, low, low_at, high, high_at
