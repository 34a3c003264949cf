"""The state of a part at an instant, through the thickness of each of its zones: temperature and degree of cure over depth.

The line is the replay, whiskers the middle 95 % of its samples, dashed the planned cycle at the same time, squares what thermocouples
recorded.
All zones share the scales of values, so that they can be compared. It reads without colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.drawing import Box, Drawing, Pen
from curewright.picture.letters import fitted
from curewright.picture.panel import FRAME, GRID, LARGE, PLAIN, SMALL
from curewright.picture.predictions.sheet import NEVER_EVIDENCE
from curewright.picture.scales import round_step
from curewright.picture.shown import unit_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.text.in_units import Shown

    Array = NDArray[np.float64]
    Range = tuple[float, float]

WIDE, LEFT, GAP = 728.0, 46.0, 34.0  # pt
HEAD, NAME, HEIGHT, BETWEEN, FOOT = 34.0, 30.0, 150.0, 40.0, 20.0  # pt
ACROSS = 3  # zones in a row
TICKS = 44.0  # pt from tick to tick, about
MM = 1e3
REPLAYED, PLANNED, WHISKER = Pen(1.7), Pen(1.1, "#7a1f1f", (6, 2.5)), Pen(1.1)
CAP, SQUARE = 3.5, 5.0  # pt
SAYS = (
    "thick: replayed; whiskers: middle 95 % of the samples; dashed: planned cycle at the same time; squares: recorded; "
    "the bag is above"
)


@dataclass(frozen=True, eq=False)
class ZoneProfile:
    """A zone at the instant. depth [m below the bag's outer face], temperature [K] and cure, of shape (n,), through the layer that cures;
    ``planned``: temperature and cure of the planned cycle there (None without one). ``whiskers``: depth, low and high temperature, low and
    high cure (None where it is not known). ``recorded``: name, depth and temperature of each thermocouple.
    """

    zone: str
    layer: str
    depth: Array
    temperature: Array
    cure: Array
    planned: tuple[Array, Array] | None = None
    whiskers: tuple[tuple[float, Range, Range | None], ...] = ()
    recorded: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True)
class _Scale:
    """From a value to points, over round ticks."""

    low: float
    high: float
    start: float
    room: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * self.room

    def ticks(self) -> list[tuple[float, str]]:
        step, decimals = round_step((self.high - self.low) / max(self.room / TICKS, 1.0))
        first, last = ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9)
        return [(k * step, f"{k * step:.{decimals}f}") for k in range(first, last + 1)]


def profile_sheet(title: str, profiles: Sequence[ZoneProfile], shown: Shown) -> bytes:
    """The sheet as SVG; title: which part and instant. Nothing is drawn that is not known."""
    rows = ceil(len(profiles) / ACROSS)
    block = NAME + 2 * HEIGHT + BETWEEN + GAP
    drawing = Drawing(WIDE, HEAD + rows * block + FOOT, f"{title}: {NEVER_EVIDENCE}")
    drawing.words(LEFT, 11.0, fitted(title, 12.0, 670.0, bold=True), 12.0, bold=True)
    drawing.words(LEFT, 22.0, f"{NEVER_EVIDENCE}; what it stands on is told with it", SMALL)
    across = min(ACROSS, len(profiles))
    wide = (WIDE - LEFT - 20.0 - GAP * (across - 1)) / across
    hot, cured = _hot(profiles, shown), _ends([v for one in profiles for v in _cures(one)], least=0.02)
    for number, one in enumerate(profiles):
        left, top = LEFT + (number % ACROSS) * (wide + GAP), HEAD + (number // ACROSS) * block
        drawing.words(left, top + 10.0, fitted(f"{one.zone}, {one.layer}", LARGE, wide, bold=True), LARGE, bold=True)
        upper, lower = Box(left, top + NAME, wide, HEIGHT), Box(left, top + NAME + HEIGHT + BETWEEN, wide, HEIGHT)
        _temperatures(drawing, one, upper, hot, shown)
        _cure(drawing, one, lower, cured)
    drawing.words(LEFT, drawing.height - 6.0, SAYS, SMALL, colour="#333")
    return drawing.svg()


def _in(shown: Shown, kelvin: float) -> float:
    return shown.temperature.from_grains(kelvin * 1e6)


def _hot(profiles: Sequence[ZoneProfile], shown: Shown) -> Range:
    values = [v for one in profiles for v in one.temperature.tolist()]
    values += [v for one in profiles if one.planned is not None for v in one.planned[0].tolist()]
    values += [end for one in profiles for _, ends, _ in one.whiskers for end in ends]
    values += [v for one in profiles for _, _, v in one.recorded]
    return _ends([_in(shown, v) for v in values if np.isfinite(v)], least=2.0)


def _cures(one: ZoneProfile) -> list[float]:
    planned = [] if one.planned is None else one.planned[1].tolist()
    return [*one.cure.tolist(), *planned, *(end for _, _, ends in one.whiskers if ends is not None for end in ends)]


def _ends(values: Sequence[float], least: float) -> Range:
    """A little more than all values, and at least so wide."""
    known = [v for v in values if np.isfinite(v)] or [0.0]
    low, high = min(known), max(known)
    pad = max(0.08 * (high - low), (least - (high - low)) / 2, 1e-6)
    return low - pad, high + pad


def _temperatures(drawing: Drawing, one: ZoneProfile, box: Box, ends: Range, shown: Shown) -> None:
    across, down = _frame(drawing, one, box, ends, f"temperature, {unit_words(shown.temperature)}")
    planned = None if one.planned is None else one.planned[0]
    _lines(
        drawing, one, _all(one.temperature, shown), None if planned is None else _all(planned, shown), (across, down)
    )
    for depth, (low, high), _ in one.whiskers:
        _whisker(drawing, across.at(_in(shown, low)), across.at(_in(shown, high)), down.at(depth * MM))
    heights: dict[float, int] = {}  # names of thermocouples at one depth stand above one another
    for name, depth, kelvin in one.recorded:
        x, y = across.at(_in(shown, kelvin)), down.at(depth * MM)
        above = heights[depth] = heights.get(depth, 0) + 1
        drawing.box(Box(x - SQUARE / 2, y - SQUARE / 2, SQUARE, SQUARE), "#fff", Pen(1.2), "recorded")
        beyond = x > box.left + 0.6 * box.width
        at, anchor = (x - 6.0, "end") if beyond else (x + 6.0, "start")
        drawing.words(at, y + 6.0 - 10.0 * above, name, SMALL, anchor=anchor, ground=True)


def _all(kelvin: Array, shown: Shown) -> list[float]:
    return [_in(shown, v) for v in kelvin.tolist()]


def _cure(drawing: Drawing, one: ZoneProfile, box: Box, ends: Range) -> None:
    across, down = _frame(drawing, one, box, ends, "degree of cure")
    planned = None if one.planned is None else one.planned[1].tolist()
    _lines(drawing, one, one.cure.tolist(), planned, (across, down))
    for depth, _, known in one.whiskers:
        if known is not None:
            _whisker(drawing, across.at(known[0]), across.at(known[1]), down.at(depth * MM))


def _frame(drawing: Drawing, one: ZoneProfile, box: Box, ends: Range, title: str) -> tuple[_Scale, _Scale]:
    """The frame with values along its foot and depths in mm at its left."""
    top, bottom = float(one.depth[0]) * MM, float(one.depth[-1]) * MM
    room = 0.06 * (bottom - top)
    across, down = _Scale(*ends, box.left, box.width), _Scale(top - room, bottom + room, box.top, box.height)
    for value, words in across.ticks():
        drawing.line(across.at(value), box.top, across.at(value), box.bottom, GRID, "grid")
        drawing.words(across.at(value), box.bottom + 11.0, words, PLAIN, anchor="middle")
    for depth, words in down.ticks():
        drawing.line(box.left - 3.0, down.at(depth), box.left, down.at(depth), FRAME, "depth tick")
        drawing.words(box.left - 5.0, down.at(depth) + 3.2, words, PLAIN, anchor="end")
    drawing.box(box, pen=FRAME, kind="frame")
    drawing.words(box.left, box.top - 4.0, f"{title}, over depth in mm", PLAIN)
    return across, down


def _lines(
    drawing: Drawing,
    one: ZoneProfile,
    values: Sequence[float],
    planned: Sequence[float] | None,
    scales: tuple[_Scale, _Scale],
) -> None:
    across, down = scales
    y = [down.at(depth * MM) for depth in one.depth.tolist()]
    for each, pen, kind in ((planned, PLANNED, "planned"), (values, REPLAYED, "replayed")):
        if each is not None and np.isfinite(each).all():
            drawing.path([np.column_stack([[across.at(v) for v in each], y])], pen, kind)


def _whisker(drawing: Drawing, low: float, high: float, y: float) -> None:
    drawing.line(low, y, high, y, WHISKER, "whisker")
    for x in (low, high):
        drawing.line(x, y - CAP, x, y + CAP, WHISKER, "cap")
