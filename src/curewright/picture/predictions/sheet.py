"""What all plots of a prediction share: the head that says what it is and is not, the time scale, the segments, rows of panels, lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.drawing import Box, Drawing, Pen
from curewright.picture.letters import fitted
from curewright.picture.panel import PLAIN, SMALL
from curewright.picture.scales import TimeScale
from curewright.picture.time_axis import clock_axis, elapsed_axis
from curewright.terms.units import Unit

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from curewright.picture.panel import Panel
    from curewright.predict.surroundings import Surroundings

    Array = NDArray[np.float64]

SIZE = (728.0, 470.0)  # pt: as the sheets of a recorded run
LEFT, RIGHT = 46.0, 122.0  # pt
HEAD, PANEL_HEAD, GAP, STRIP, FOOT, CLOCK = 40.0, 14.0, 4.0, 13.0, 12.0, 26.0  # pt
COLUMN = 1.0  # pt
NEVER_EVIDENCE = "an engineering estimate, never evidence"
SECONDS = 1e9
NUMBER = Unit("", "fraction", 1.0)
THIN_EDGE = Pen(0.6)


@dataclass(frozen=True)
class Shows:
    """What a sheet is about: its title (which begins with PREDICTED or REPLAYED), what it saw, and when the run starts.

    ``start`` is None for a plan that nobody gave a start: then only the time since the start is shown.
    """

    title: str
    seen: Surroundings
    start: datetime
    clock: bool = True


class Sheet:
    """A drawing with head, segments and a time scale; panels go between ``top`` and ``bottom``."""

    def __init__(self, shows: Shows, size: tuple[float, float] = SIZE) -> None:
        self.shows = shows
        self.drawing = Drawing(*size, f"{shows.title}: {NEVER_EVIDENCE}")
        first, last = round(shows.seen.start * SECONDS), round(shows.seen.end * SECONDS)
        self.times = TimeScale(shows.start, first, max(last, first + 1), LEFT, size[0] - LEFT - RIGHT)
        self.top = HEAD + (STRIP + 1.0 if shows.seen.segments else 0.0)
        self.bottom = size[1] - FOOT - CLOCK
        self._head()

    def _head(self) -> None:
        self.drawing.words(LEFT, 11.0, fitted(self.shows.title, 12.0, 670.0, bold=True), 12.0, bold=True)
        self.drawing.words(LEFT, 22.0, f"{NEVER_EVIDENCE}; what it stands on is told with it", SMALL)
        elapsed_axis(self.drawing, self.times, HEAD)
        segments = self.shows.seen.segments
        ends = [*(at for at, _ in segments[1:]), self.shows.seen.end]
        for (at, name), until in zip(segments, ends, strict=False):
            left, right = self.x(at), self.x(until)
            self.drawing.box(Box(left, HEAD, right - left, STRIP), "#f2f2f2", THIN_EDGE, "segment")
            self.drawing.words(
                (left + right) / 2, HEAD + 9.5, fitted(name, SMALL, right - left), SMALL, anchor="middle"
            )

    def x(self, t: float) -> float:
        """Where an instant [s] stands [pt], within the scale."""
        return self.times.x(self.times.clipped(round(t * SECONDS)))

    def xs(self, t: Array) -> Array:
        """Where instants [s] stand [pt]."""
        return self.times.xs(np.rint(t * SECONDS).astype(np.int64))

    def rows(self, shares: Sequence[float]) -> list[tuple[float, float]]:
        """Top and height [pt] of panels one below the other that share the room."""
        room = self.bottom - self.top - (PANEL_HEAD + GAP) * len(shares) + GAP
        found, above = [], self.top
        for share in shares:
            height = room * share / sum(shares)
            found.append((above + PANEL_HEAD, height))
            above += PANEL_HEAD + height + GAP
        return found

    def svg(self, foot: str) -> bytes:
        """The sheet, with its clock and how to read it."""
        if self.shows.clock:
            clock_axis(self.drawing, self.times, self.bottom)
        else:
            for tick in self.times.elapsed_ticks():
                self.drawing.words(self.times.x(tick.at), self.bottom + 13.0, tick.words, PLAIN, anchor="middle")
        self.drawing.words(LEFT, self.drawing.height - 2.5, foot, SMALL, colour="#333")
        return self.drawing.svg()

    def curve(self, panel: Panel, t: Array, values: Array, pen: Pen, kind: str, name: str = "") -> None:
        """A curve of a panel through (t [s], values in the unit of its scale), with gaps where a value is not a number."""
        panel.draw(self.lines(panel, t, values), pen, kind, name)

    def lines(self, panel: Panel, t: Array, values: Array) -> list[Array]:
        """The unbroken pieces of a curve in points; of many in one column the first, lowest, highest and last."""
        points = np.column_stack([self.xs(t), panel.values.ys(values)])
        return [thinned(piece) for piece in unbroken(points)]

    def between(self, panel: Panel, t: Array, low: Array, high: Array, fill: str, kind: str) -> None:
        """The area between two curves, where both are known."""
        x = self.xs(t)
        lower = unbroken(np.column_stack([x, panel.values.ys(np.where(np.isnan(high), np.nan, low))]))
        upper = unbroken(np.column_stack([x, panel.values.ys(np.where(np.isnan(low), np.nan, high))]))
        outlines = [np.concatenate([a, b[::-1]]) for a, b in zip(lower, upper, strict=True)]
        self.drawing.area(outlines, fill, kind)


def unbroken(points: Array) -> list[Array]:
    """Points, shape (n, 2), cut where the second is not a number."""
    known = np.isfinite(points[:, 1])
    cuts = np.flatnonzero(known[1:] != known[:-1]) + 1
    return [piece for piece in np.split(points, cuts) if len(piece) and np.isfinite(piece[0, 1])]


def thinned(points: Array) -> Array:
    """Of the points in each column of a point's width the first, the lowest, the highest and the last: no peak vanishes."""
    if len(points) < 4:
        return points
    column = np.floor(points[:, 0] / COLUMN).astype(np.int64)
    starts = np.flatnonzero(np.diff(column, prepend=column[0] - 1) != 0)
    keep = {*starts.tolist(), *(starts[1:] - 1).tolist(), len(points) - 1}
    for first, end in zip(starts, np.append(starts[1:], len(points)), strict=True):
        if end - first > 2:
            keep |= {int(first + np.argmin(points[first:end, 1])), int(first + np.argmax(points[first:end, 1]))}
    return points[sorted(keep)]


def hours(t: float) -> str:
    """Hours and minutes since the start: 3:05."""
    minutes = round(t / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def mark_gel(sheet: Sheet, gels: tuple[float, float] | None, top: float, bottom: float, *, told: bool) -> None:
    """Upright lines where the first and the last place gel, with words at the top where they are ``told``."""
    if gels is None:
        return
    for at in dict.fromkeys(gels):
        sheet.drawing.line(sheet.x(at), top, sheet.x(at), bottom, Pen(1.1, "#000", (4, 2)), "gel")
    if not told:
        return
    first, last = hours(gels[0]), hours(gels[1])
    words = f"gels {first}" if first == last else f"gels {first} to {last}"
    sheet.drawing.words(sheet.x(gels[1]) + 3.0, top + 9.0, words, PLAIN, bold=True, ground=True)
