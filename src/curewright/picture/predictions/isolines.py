"""A field over time and depth as steps of grey with named lines of equal value between them: it reads without colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from contourpy import FillType, LineType, contour_generator

from curewright.picture.drawing import UNKNOWN, Box, Pen
from curewright.picture.letters import fitted, width
from curewright.picture.panel import FRAME, LARGE, PLAIN, SMALL, spread
from curewright.picture.predictions.sheet import RIGHT
from curewright.picture.predictions.through_thickness import sparser
from curewright.picture.scales import round_step

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.picture.panel import Panel
    from curewright.picture.predictions.sheet import Sheet
    from curewright.picture.predictions.through_thickness import Field

    Array = NDArray[np.float64]

STEPS = 8  # about so many shades
LIGHTEST, DARKEST = 255, 120  # of grey, so that black words and lines stay readable on all
ISOLINE, NAMED = Pen(0.6), Pen(1.7, "#000", (5, 2))
SPOTS = (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6)
MOST_LABELS, SHORTEST = 3, 25.0  # of one value; pt of line that has a label
MM = 1e3


@dataclass(frozen=True)
class Named:
    """A line of equal value that is told in words: where gel is, where the margin is none."""

    value: float
    words: str


def levels_between(low: float, high: float) -> tuple[list[float], int]:
    """Round values strictly between two, about eight of them, and the decimals that they need.

    >>> levels_between(70.0, 363.0)
    ([100.0, 150.0, 200.0, 250.0, 300.0, 350.0], 0)
    """
    if not high > low:
        return [], 0
    step, decimals = round_step((high - low) / STEPS)
    first, last = int(np.floor(low / step)) + 1, int(np.ceil(high / step)) - 1
    return [k * step for k in range(first, last + 1)], decimals


def grey(step: int, steps: int, *, darkest_first: bool = False) -> str:
    """The shade of a step, lightest first unless the least is what matters.

    >>> grey(0, 5), grey(4, 5), grey(0, 5, darkest_first=True)
    ('#ffffff', '#787878', '#787878')
    """
    share = step / max(steps - 1, 1)
    share = 1.0 - share if darkest_first else share
    shade = round(LIGHTEST + share * (DARKEST - LIGHTEST))
    return f"#{shade:02x}{shade:02x}{shade:02x}"


def draw_field(
    sheet: Sheet, panel: Panel, field: Field, named: Sequence[Named] = (), *, darkest_first: bool = False
) -> None:
    """A field (values in the unit of its words, depths in m) in the frame of a panel whose scale is minus the depth in mm."""
    field = sparser(field)
    x, y = sheet.xs(field.t), panel.values.ys(-field.depth * MM)
    known = np.ma.masked_invalid(field.values)
    if known.mask.any():
        panel.drawing.box(panel.box, UNKNOWN, kind="unknown")
    if known.count() == 0:
        return
    low, high = float(known.min()), float(known.max())
    levels, decimals = levels_between(low, high)
    cut = contour_generator(
        x, y, known, name="serial", corner_mask=True, fill_type=FillType.OuterOffset, line_type=LineType.Separate
    )
    edges = [low - 1.0, *levels, high + 1.0]
    for step in range(len(edges) - 1):
        outlines = _outlines(cut.filled(edges[step], edges[step + 1]))
        panel.drawing.area(outlines, grey(step, len(edges) - 1, darkest_first=darkest_first), "step")
    told = {one.value for one in named}
    for level in levels:
        if level not in told:
            lines = [np.asarray(one) for one in cut.lines(level)]
            panel.drawing.path(lines, ISOLINE, "isoline")
            _label(panel, lines, f"{level:.{decimals}f}", bold=False)
    for one in named:
        lines = [np.asarray(line) for line in cut.lines(one.value)]
        panel.drawing.path(lines, NAMED, "named isoline")
        _label(panel, lines, one.words, bold=True)


def draw_named(sheet: Sheet, panel: Panel, field: Field, named: Named) -> bool:
    """One named line of equal value of a field over what is drawn already; whether there is any."""
    field = sparser(field)
    x, y = sheet.xs(field.t), panel.values.ys(-field.depth * MM)
    cut = contour_generator(x, y, np.ma.masked_invalid(field.values), name="serial", line_type=LineType.Separate)
    lines = [np.asarray(line) for line in cut.lines(named.value)]
    panel.drawing.path(lines, NAMED, "named isoline")
    _label(panel, lines, named.words, bold=True)
    return bool(lines)


def _outlines(filled: Any) -> list[Array]:
    """The outlines of the polygons of one step, holes after what they are cut from."""
    points, offsets = filled
    return [
        piece
        for polygon, ends in zip(points, offsets, strict=True)
        for piece in np.split(polygon, ends[1:-1].astype(np.int64))
    ]


def _label(panel: Panel, lines: list[Array], words: str, *, bold: bool) -> None:
    """Words on the longest lines, later, where they cover least; a named line has them once."""
    wide = width(words, SMALL, bold=bold)
    for line in sorted(lines, key=_length, reverse=True)[: 1 if bold else MOST_LABELS]:
        if _length(line) < SHORTEST:
            continue
        boxes = [Box(x - wide / 2, y - 5.5, wide, 11.0) for x, y in (_along(line, share) for share in SPOTS)]
        panel.later(words, boxes, SMALL, bold=bold)


def _along(line: Array, share: float) -> tuple[float, float]:
    """The point a share of the way along a line."""
    way = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(line, axis=0)).sum(axis=1))])
    at = share * way[-1]
    return float(np.interp(at, way, line[:, 0])), float(np.interp(at, way, line[:, 1]))


def _length(line: Array) -> float:
    return float(np.abs(np.diff(line, axis=0)).sum())


def depth_frame(panel: Panel, title: str, layers: Sequence[tuple[str, float, float]]) -> None:
    """The frame of a field: depths in mm at the left, layers with their edges and, at the right, their names."""
    times, values, drawing = panel.times, panel.values, panel.drawing
    top, bottom = -values.high, -values.low
    step, decimals = round_step((bottom - top) / max(values.height / 20.0, 1.0))
    for k in range(int(np.ceil(top / step - 1e-9)), int(np.floor(bottom / step + 1e-9)) + 1):
        y = values.y(-k * step)
        drawing.line(times.left - 3.0, y, times.left, y, FRAME, "depth tick")
        drawing.words(times.left - 5.0, y + 3.2, f"{k * step:.{decimals}f}", PLAIN, anchor="end")
    inside = [one for one in layers if one[2] * MM > top + 1e-9 and one[1] * MM < bottom - 1e-9]
    for _, above, _ in inside[1:]:
        drawing.line(times.left, values.y(-above * MM), times.right, values.y(-above * MM), Pen(1.2), "layer")
    middles = [(max(a * MM, top) + min(b * MM, bottom)) / 2 for _, a, b in inside]
    heights = spread([values.y(-middle) for middle in middles], PLAIN + 2.0, values.top + 5.0, values.bottom - 3.0)
    for (name, a, b), middle, height in zip(inside, middles, heights, strict=True):
        y = values.y(-middle)
        leader = np.array([[times.right, y], [times.right + 5.0, height], [times.right + 8.0, height]])
        drawing.path([leader], Pen(0.5, "#777"), "leader")
        words = f"{name} {(b - a) * MM:.3g} mm"
        drawing.words(times.right + 10.0, height + 3.2, fitted(words, PLAIN, RIGHT - 12.0), PLAIN)
    drawing.box(panel.box, pen=FRAME, kind="frame")
    drawing.words(times.left, values.top - 3.5, title, LARGE, bold=True, ground=True)
