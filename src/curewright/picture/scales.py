"""The two scales of a plot: time, with ticks on the wall clock and since the start; and values, with ticks on round numbers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil, floor, log10
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.units import SECOND

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 604800)  # s
ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Tick:
    """A tick: where on the scale, its words, and a second line of words below (a new date)."""

    at: float
    words: str
    below: str = ""


@dataclass(frozen=True)
class TimeScale:
    """Instants ``first`` to ``last`` [ns since ``start``] over ``width`` points from ``left``."""

    start: datetime
    first: int
    last: int
    left: float
    width: float

    @property
    def right(self) -> float:
        """The right end [pt]."""
        return self.left + self.width

    def x(self, instant: float) -> float:
        """Where an instant stands [pt]."""
        return self.left + (instant - self.first) / (self.last - self.first) * self.width

    def xs(self, instants: NDArray[np.int64]) -> NDArray[np.float64]:
        """Where instants stand [pt]."""
        return self.left + (instants - self.first) / (self.last - self.first) * self.width

    def clipped(self, instant: int) -> int:
        """The instant, or the nearer end of the scale."""
        return min(max(instant, self.first), self.last)

    def edges(self, every: float) -> NDArray[np.int64]:
        """The edges [ns] of columns about ``every`` points wide, shape (columns + 1,)."""
        count = max(int(self.width / every), 1)
        return self.first + (np.arange(count + 1) * (self.last - self.first)) // count

    def clock(self, instant: int) -> datetime:
        """The wall clock at an instant, right across a change of clocks."""
        utc = self.start.astimezone(UTC) + timedelta(microseconds=instant // 1000)
        return utc.astimezone(self.start.tzinfo)

    def step(self, room: float = 52.0) -> int:
        """The distance of two ticks [s], so that each has ``room`` points."""
        most = max(self.width / room, 1.0)
        return next((s for s in STEPS if (self.last - self.first) / SECOND / s <= most), STEPS[-1])

    def clock_ticks(self) -> list[Tick]:
        """Ticks on the wall clock, with the date below at the first one and at every new day."""
        step = self.step()
        begin = self.clock(self.first)
        midnight = begin.hour * 3600 + begin.minute * 60 + begin.second
        since = (midnight * SECOND + begin.microsecond * 1000) % (step * SECOND)
        ticks: list[Tick] = []
        day = ""
        for instant in range(self.first - since, self.last + 1, step * SECOND):
            if instant >= self.first:
                clock = self.clock(instant)
                date = f"{clock:%Y-%m-%d}"
                ticks.append(
                    Tick(instant, f"{clock:%H:%M:%S}" if step < 60 else f"{clock:%H:%M}", "" if date == day else date)
                )
                day = date
        return ticks

    def elapsed_ticks(self) -> list[Tick]:
        """Ticks since the start of the run."""
        step = self.step() * SECOND
        return [
            Tick(instant, since(instant, step < 60 * SECOND))
            for instant in range(ceil(self.first / step) * step, self.last + 1, step)
        ]

    def zone(self) -> str:
        """The zone of the clock, as its distance from UTC."""
        offset = f"{self.clock(self.first):%z}"
        return f"UTC{offset[:3]}:{offset[3:5]}" if offset else ""


def since(instant: int, seconds: bool = False) -> str:
    """The time since the start, h:mm or h:mm:ss.

    >>> since(4 * 3600 * SECOND + 125 * SECOND), since(-60 * SECOND), since(125 * SECOND, True)
    ('4:02', '-0:01', '0:02:05')
    """
    sign = "-" if instant < 0 else ""
    minutes, rest = divmod(abs(instant) // SECOND, 60)
    words = f"{sign}{minutes // 60}:{minutes % 60:02d}"
    return f"{words}:{rest:02d}" if seconds else words


@dataclass(frozen=True)
class ValueScale:
    """Values ``low`` to ``high`` over ``height`` points down from ``top`` (greater is higher)."""

    low: float
    high: float
    top: float
    height: float

    @property
    def bottom(self) -> float:
        """The lower end [pt]."""
        return self.top + self.height

    def y(self, value: float) -> float:
        """Where a value stands [pt]."""
        return self.top + (self.high - value) / (self.high - self.low) * self.height

    def ys(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where values stand [pt]."""
        return self.top + (self.high - values) / (self.high - self.low) * self.height

    def ticks(self, room: float = 20.0, *, whole: bool = False) -> list[Tick]:
        """Ticks on round numbers (on whole ones only), each with ``room`` points."""
        step, decimals = round_step((self.high - self.low) / max(self.height / room, 1.0))
        if whole and (step < 1.0 or decimals):
            step, decimals = float(ceil(step)), 0
        first, last = ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9)
        return [Tick(k * step, f"{k * step + 0.0:.{decimals}f}") for k in range(first, last + 1)]


def round_step(least: float) -> tuple[float, int]:
    """The smallest round step that is no less, and the decimals it needs.

    >>> round_step(3.1), round_step(0.021), round_step(70.0)
    ((5.0, 0), (0.025, 3), (100.0, 0))
    """
    power = floor(log10(least))
    unit = 10.0**power
    factor = next(factor for factor in ROUND if factor * unit >= least * (1 - 1e-9))
    decimals = max(0, -power + (1 if factor == 2.5 else 0) - (1 if factor == 10.0 else 0))
    return factor * unit, decimals


def spanning(values: list[float], top: float, height: float, least: float = 1e-6, pad: float = 0.06) -> ValueScale:
    """A scale that holds values with some air, at least ``least`` wide; with no value at all it goes from 0 to 1."""
    known = [value for value in values if np.isfinite(value)]
    low, high = (min(known), max(known)) if known else (0.0, 1.0)
    if high - low < least:
        middle = (low + high) / 2
        low, high = middle - least / 2, middle + least / 2
    air = pad * (high - low)
    return ValueScale(low - air, high + air, top, height)
