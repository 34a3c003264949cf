"""One panel of a plot: a frame with a time scale and a value scale, traces, limits with their forbidden side hatched, and labels.

Everything can be told apart without colour: by width, dashes, hatching, and words that stand at the lines themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.columns import Columns, columns, points, samples
from curewright.picture.drawing import OUTSIDE, UNKNOWN, Box, Drawing, Pen
from curewright.picture.letters import fitted, width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.trace import Trace
    from curewright.picture.scales import TimeScale, ValueScale
    from curewright.terms.units import Unit

FRAME, GRID = Pen(0.8), Pen(0.4, "#ccc")
LIMIT, PERHAPS = Pen(1.3), Pen(1.0, "#000", (3, 2))
SECOND_RECORDER = Pen(1.2, "#000", (1.2, 1.8))
STRIP = 10.5  # pt of hatching on the forbidden side of a limit: its words stand in it
CELL = 2.0  # pt: how finely it is known where lines run
COLUMN = 1.5  # pt: the width of a column (half a millimetre), of which the lowest and the highest are drawn
SMALL, PLAIN, LARGE = 8.0, 9.0, 10.5


@dataclass(frozen=True)
class LimitLine:
    """A limit where it holds: its value, whether it is the upper one, its words, its possible and its sure stretch [ns]."""

    value: float
    upper: bool
    words: str
    possible: tuple[int, int]
    sure: tuple[int, int] | None


@dataclass(frozen=True)
class Waiting:
    """Words that wait until all lines are drawn: the boxes that they may stand in, and the point that they speak of."""

    words: str
    tried: list[Box]
    size: float = SMALL
    bold: bool = False
    point: tuple[float, float] | None = None
    of_limit: bool = False


@dataclass
class Panel:
    """A panel of a drawing. ``unit`` is that of its values; traces come in grains."""

    drawing: Drawing
    times: TimeScale
    values: ValueScale
    unit: Unit
    taken: list[Box] = field(default_factory=list)  # where words stand already
    ends: list[tuple[float, float, str, bool]] = field(default_factory=list)
    strips: list[Box] = field(default_factory=list)  # hatching of limits: only their own words stand in it
    ink: list[NDArray[np.float64]] = field(default_factory=list)  # where lines run, which words should not cover
    waiting: list[Waiting] = field(default_factory=list)

    def shown(self, grains: NDArray[np.float64]) -> NDArray[np.float64]:
        """Grains as numbers of the panel's unit."""
        return grains / self.unit.scale - self.unit.offset

    @property
    def box(self) -> Box:
        """The inside of the frame."""
        return Box(self.times.left, self.values.top, self.times.width, self.values.height)

    def frame(self, title: str) -> None:
        """The grid, the ticks of the values, and the title above at the left."""
        times, values = self.times, self.values
        for tick in times.clock_ticks():
            self.drawing.line(times.x(tick.at), values.top, times.x(tick.at), values.bottom, GRID, "grid")
        for tick in values.ticks(whole=self.unit.quantity == "count"):
            y = values.y(tick.at)
            self.drawing.line(times.left, y, times.right, y, GRID, "grid")
            self.drawing.words(times.left - 4.0, y + 3.2, tick.words, PLAIN, anchor="end")
        self.drawing.box(self.box, pen=FRAME, kind="frame")
        self.drawing.words(times.left, values.top - 3.5, title, LARGE, bold=True, ground=True)

    def lines(self, trace: Trace) -> list[NDArray[np.float64]]:
        """A trace as lines in points: its samples, or its lowest and highest per column where there are many of them."""
        first, last = self.times.first, self.times.last
        many = np.searchsorted(trace.t, last) - np.searchsorted(trace.t, first) > 2 * self.times.width / COLUMN
        if many:
            return self.column_lines(columns(trace, self.times.edges(COLUMN)))
        found = samples(trace, first, last)
        return [np.column_stack([self.times.xs(t), self.values.ys(self.shown(v))]) for t, v in found]

    def second(self, trace: Trace) -> bool:
        """What a second recorder says inside the gaps of a trace, dotted; whether there is anything."""
        if trace.second is None:
            return False
        stretches = trace.second.over(self.times.first, self.times.last)
        found = [piece for first, last in stretches for piece in samples(trace.second.trace, first, last)]
        lines = [np.column_stack([self.times.xs(t), self.values.ys(self.shown(v))]) for t, v in found]
        self.drawing.path(lines, SECOND_RECORDER, "second recorder")
        self.ink += lines
        return bool(lines)

    def middles(self) -> NDArray[np.float64]:
        """The middles of the columns [pt]."""
        edges = self.times.xs(self.times.edges(COLUMN))
        return np.asarray((edges[1:] + edges[:-1]) / 2)

    def column_lines(self, found: Columns) -> list[NDArray[np.float64]]:
        """Columns (in grains) as lines in points."""
        pieces = points(found, self.times.xs(self.times.edges(COLUMN)))
        for piece in pieces:
            piece[:, 1] = self.values.ys(self.shown(piece[:, 1]))
        return pieces

    def draw(
        self, pieces: Sequence[NDArray[np.float64]], pen: Pen, kind: str, name: str = "", *, bold: bool = False
    ) -> None:
        """Lines with a pen; a name stands later at the last end."""
        self.drawing.path(pieces, pen, kind)
        self.ink += pieces
        if name and pieces:
            x, y = pieces[-1][-1]
            self.ends.append((float(x), float(y), name, bold))

    def band(self, low: Columns, high: Columns, fill: str, kind: str) -> None:
        """The area from the lowest of some columns to the highest of others (in grains)."""
        x = self.middles()
        known = ~(np.isnan(low.low) | np.isnan(high.high))
        cuts = np.flatnonzero(np.diff(known.astype(np.int8)) != 0) + 1
        outlines = []
        for piece in np.split(np.arange(len(x)), cuts):
            if known[piece[0]]:
                top, bottom = (self.values.ys(self.shown(v[piece])) for v in (high.high, low.low))
                outlines.append(np.column_stack([np.append(x[piece], x[piece][::-1]), np.append(top, bottom[::-1])]))
        self.drawing.area(outlines, fill, kind)

    def limit(self, limit: LimitLine) -> None:
        """A limit: its line (dashed where the phase is only possible), its forbidden side hatched with its words in it."""
        y = self.values.y(limit.value)
        left, right = (self.times.x(self.times.clipped(t)) for t in limit.possible)
        at_once = right - left < 8.0
        if at_once:  # at an instant: a bracket that can be seen
            left, right = max(self.times.left, left - 7.0), min(self.times.right, right + 7.0)
        strip = Box(left, y - STRIP if limit.upper else y, right - left, STRIP)
        self.drawing.box(self._inside(strip), OUTSIDE, kind="forbidden")
        self.drawing.line(left, y, right, y, LIMIT if limit.sure else PERHAPS, "limit")
        if limit.sure and not at_once:
            self._unsure(limit, y)
        wide = width(limit.words, SMALL)
        outside = [right + 2.0, left - wide - 3.0]
        spots = outside if wide > right - left - 4.0 else [*_along(left, right, wide), *outside]
        away = -STRIP if limit.upper else STRIP
        tops = [share * away for share in (0, 1, -1, 2, -2, 3, -3)]
        boxes = [Box(x, strip.top + down, wide, STRIP) for down in tops for x in spots]
        self.waiting.append(Waiting(limit.words, boxes, point=((left + right) / 2, y), of_limit=True))
        self.strips.append(strip)

    def _inside(self, box: Box) -> Box:
        top, bottom = max(box.top, self.values.top), min(box.bottom, self.values.bottom)
        return Box(box.left, top, box.width, max(bottom - top, 0.0))

    def _unsure(self, limit: LimitLine, y: float) -> None:
        """White dashes over the line where the phase is only possible."""
        assert limit.sure is not None
        for a, b in ((limit.possible[0], limit.sure[0]), (limit.sure[1], limit.possible[1])):
            left, right = self.times.x(self.times.clipped(a)), self.times.x(self.times.clipped(b))
            if right - left > 1.0:
                self.drawing.line(left, y, right, y, Pen(1.4, "#fff", (2, 3)), "unsure")

    def unknown(self, first: int, last: int, words: str = "") -> None:
        """Hatches a stretch over which something was not known, and says what."""
        left, right = self.times.x(self.times.clipped(first)), self.times.x(self.times.clipped(last))
        if right - left < 3.0:
            left, right = left - 1.5, left + 1.5
        self.drawing.box(Box(left, self.values.top, right - left, self.values.height), UNKNOWN, kind="unknown")
        if words:
            wide = width(words, SMALL)
            tops = [self.values.bottom - 12.0 * k for k in (1, 2, 3, 4)] + [
                self.values.top + 12.0 * k for k in (0, 1, 2)
            ]
            self.later(words, [Box((left + right - wide) / 2, top, wide, 11.0) for top in tops])

    def level(self, value: float, first: int, last: int, words: str) -> None:
        """A thin dashed level with its words: what is tolerated beyond a limit, or a guard band."""
        left, right = (self.times.x(self.times.clipped(t)) for t in (first, last))
        y = self.values.y(value)
        self.drawing.line(left, y, right, y, PERHAPS, "level")
        wide = width(words, SMALL)
        self.later(words, [Box(x, y + down, wide, 11.0) for down in (1.0, -12.0) for x in _along(left, right, wide)])

    def later(
        self,
        words: str,
        tried: list[Box],
        size: float = SMALL,
        *,
        bold: bool = False,
        point: tuple[float, float] | None = None,
    ) -> None:
        """Words to be written in the best of some boxes once all lines are drawn, with a leader to the point they speak of."""
        self.waiting.append(Waiting(words, tried, size, bold, point))

    def beside(self, words: str, x: float, y: float, *, far: float = 8.0, bold: bool = True) -> None:
        """Words near a point: right or left of it, below or above."""
        wide = width(words, PLAIN, bold=bold)
        downs, sides = (6.0, -18.0, 20.0, -32.0, 34.0, -46.0, 48.0), (far, -wide - far, -wide / 2)
        tried = [Box(x + side, y + down, wide, 12.0) for down in downs for side in sides]
        self.later(words, tried, PLAIN, bold=bold, point=(x, y))

    def write(self) -> None:
        """Writes what waits: each in the box that lies inside the frame and covers least of other words and of lines."""
        self._names_inside()
        inked = _Ink(self.ink, self.box)
        for one in self.waiting:
            boxes = [self._moved_in(box) for box in one.tried]
            spot = min(enumerate(boxes), key=lambda box: (self._covered(box[1], inked, one) + 0.3 * box[0], box[0]))[1]
            self.taken.append(spot)
            if one.point is not None:
                self._leader(one.point, spot)
            self.drawing.words(spot.left, spot.bottom - 2.3, one.words, one.size, bold=one.bold, ground=True)
        self.waiting.clear()

    def _leader(self, point: tuple[float, float], box: Box) -> None:
        """A thin line from a point to the nearest spot of a box that is not beside it."""
        x, y = min(max(point[0], box.left), box.right), min(max(point[1], box.top), box.bottom)
        if abs(x - point[0]) + abs(y - point[1]) > 9.0:
            self.drawing.line(point[0], point[1], x, y, Pen(0.5, "#444"), "leader")

    def _moved_in(self, box: Box) -> Box:
        left = min(max(box.left, self.times.left + 2.0), self.times.right - box.width - 2.0)
        top = min(max(box.top, self.values.top), self.values.bottom - box.height)
        return Box(left, top, box.width, box.height)

    def _covered(self, box: Box, inked: _Ink, words: Waiting) -> float:
        """How much a box covers: words count by area, lines by their points, the hatching of limits little."""
        hatched = 0.0 if words.of_limit else sum(box.overlap(other) for other in self.strips)
        return 10.0 * sum(box.overlap(other) for other in self.taken) + inked.under(box) + 0.1 * hatched

    def names_at_ends(self, room: float) -> None:
        """The names of the lines in the margin at the right, in the order of their ends, with thin leaders."""
        least = PLAIN + 1.5
        ordered = sorted((end for end in self.ends if not self._ends_early(end[0])), key=lambda end: end[1])
        heights = spread([y for _, y, _, _ in ordered], least, self.values.top + 5.0, self.values.bottom - 3.0)
        margin = self.times.right + 12.0
        for (x, y, name, bold), height in zip(ordered, heights, strict=True):
            leader = np.array([[x, y], [margin - 5.0, height], [margin - 2.0, height]])
            self.drawing.path([leader], Pen(0.5, "#777"), "leader")
            self.drawing.words(margin, height + 3.2, fitted(name, PLAIN, room - 12.0, bold=bold), PLAIN, bold=bold)

    def _ends_early(self, x: float) -> bool:
        return x < self.times.right - 20.0

    def _names_inside(self) -> None:
        """The names of lines that end before the panel does, beside their ends."""
        for x, y, name, bold in self.ends:
            if self._ends_early(x):
                self.beside(name, x, y, far=4.0, bold=bold)


class _Ink:
    """How many points of lines lie under a box, counted in cells of two points."""

    def __init__(self, lines: Sequence[NDArray[np.float64]], frame: Box) -> None:
        self.frame = frame
        shape = (int(frame.width / CELL) + 3, int(frame.height / CELL) + 3)
        marks = np.zeros(shape, dtype=np.int64)
        if lines:
            every = np.concatenate(lines)
            cells = ((every - [frame.left, frame.top]) / CELL).astype(np.int64) + 1
            np.add.at(marks, (np.clip(cells[:, 0], 1, shape[0] - 1), np.clip(cells[:, 1], 1, shape[1] - 1)), 1)
        self.sums = marks.cumsum(axis=0).cumsum(axis=1)

    def under(self, box: Box) -> int:
        """The points under a box."""
        left, right = (self._cell(x - self.frame.left, 0) for x in (box.left, box.right))
        top, bottom = (self._cell(y - self.frame.top, 1) for y in (box.top, box.bottom))
        sums = self.sums
        return int(sums[right, bottom] - sums[left, bottom] - sums[right, top] + sums[left, top])

    def _cell(self, distance: float, axis: int) -> int:
        return min(max(int(distance / CELL) + 1, 0), int(self.sums.shape[axis]) - 1)


def _along(left: float, right: float, wide: float) -> list[float]:
    """Where words may begin along a stretch."""
    return [left + share * (right - left - wide) for share in (0.5, 0.25, 0.75, 0.1, 0.9, 0.02, 0.98)]


def spread(heights: Sequence[float], least: float, top: float, bottom: float) -> list[float]:
    """Heights in ascending order moved apart to at least ``least``, within top and bottom as far as they all fit.

    >>> spread([10.0, 11.0, 30.0], 5.0, 0.0, 40.0)
    [10.0, 15.0, 30.0]
    """
    found: list[float] = []
    for height in heights:
        found.append(max(height, found[-1] + least, top) if found else max(height, top))
    limit = bottom
    for i in range(len(found) - 1, -1, -1):
        found[i] = min(found[i], limit)
        limit = found[i] - least
    return found
