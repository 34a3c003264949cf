"""What becomes of the resin of a zone: temperature and glass transition, degree of cure, viscosity, pressure on it and void margin.

Bold lines stand for the middle of the layer, grey for all depths; where the planned cycle is known, it is dashed beside a replay.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.drawing import OUTSIDE, Box, Pen
from curewright.picture.letters import fitted, width
from curewright.picture.panel import SMALL, Panel
from curewright.picture.predictions.sheet import LEFT, NUMBER, RIGHT, Sheet, mark_gel
from curewright.picture.scales import Tick, ValueScale, spanning
from curewright.picture.shown import unit_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.picture.predictions.sheet import Shows
    from curewright.predict.resin import ResinCourse
    from curewright.text.in_units import Shown

    Array = NDArray[np.float64]

BOLD, PLANNED, EDGE, ZERO = Pen(1.7), Pen(1.1, "#7a1f1f", (6, 2.5)), Pen(0.7, "#555", (2, 1.5)), Pen(1.0)
DEPTHS, LAWS, GLASS = "#d9d9d9", "#cfcfcf", "#9a9a9a"
LANE = 11.0  # pt
DECADES = 5  # of viscosity above the lowest
FOOT = (
    "bold: middle of the layer; grey: all depths (of the glass transition: all published laws); upright dashed: gel; "
    "dashed, named: planned"
)
SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True)
class Decades(ValueScale):
    """A scale of logarithms to base 10, with ticks at the powers of ten."""

    def ticks(self, room: float = 20.0, *, whole: bool = False) -> list[Tick]:  # noqa: ARG002 - decades are whole
        """A tick at each power of ten, or at every second (third, ...) where they would stand closer than ``room`` points."""
        first, last = ceil(self.low - 1e-9), floor(self.high + 1e-9)
        every = max(1, ceil(room / (self.height / (self.high - self.low))))
        return [Tick(k, power_of_ten(k)) for k in range(first, last + 1, every)]


def power_of_ten(k: int) -> str:
    """A power of ten as an axis writes it.

    >>> power_of_ten(-1), power_of_ten(3), power_of_ten(6)
    ('0.1', '1000', '10⁶')
    """
    return f"{10.0**k:g}" if -2 <= k <= 4 else "10" + ("⁻" if k < 0 else "") + str(abs(k)).translate(SUPERSCRIPT)


def resin_sheet(
    shows: Shows, courses: Sequence[ResinCourse], shown: Shown, planned: ResinCourse | None = None
) -> bytes:
    """The sheet as SVG. ``courses``: from the bag's side of the layer to the tool's; ``planned``: its middle in the planned cycle."""
    sheet = Sheet(shows)
    middle = courses[len(courses) // 2]
    rows = [_temperature, _cure]
    if any(np.isfinite(one.viscosity).any() for one in courses):
        rows.append(_viscosity)
    if np.isfinite(middle.pressed).any():
        rows.append(_pressures)
    heights = {_temperature: 0.34, _cure: 0.2, _viscosity: 0.2, _pressures: 0.26}
    places = sheet.rows([heights[row] for row in rows])
    for row, place in zip(rows, places, strict=True):
        row(sheet, courses, planned, shown, place)
    for number, (top, height) in enumerate(places[1:]):
        mark_gel(sheet, _gels(courses), top, top + height, told=number == 0)
    return sheet.svg(FOOT if planned is not None else FOOT.partition("; dashed, named")[0])


def _temperature(
    sheet: Sheet, courses: Sequence[ResinCourse], planned: ResinCourse | None, shown: Shown, place: tuple[float, float]
) -> None:
    """Temperature over the range of glass transitions; below it where the middle of the layer is glass."""
    middle = courses[len(courses) // 2]
    low, high = (_in(shown, edge(np.array([one.temperature for one in courses]), 0)) for edge in (np.min, np.max))
    glass = [_in(shown, v) for v in (middle.glass_low, middle.glass_high)]
    ends = [float(e) for v in (low, high, *glass) if np.isfinite(v).any() for e in (np.nanmin(v), np.nanmax(v))]
    top, height = place
    panel = Panel(sheet.drawing, sheet.times, spanning(ends, top, height - LANE - 2.0, 1.0), shown.temperature)
    panel.frame(f"temperature and glass transition (Tg), {unit_words(shown.temperature)}")
    sheet.between(panel, middle.t, glass[0], glass[1], LAWS, "glass transition")
    one_law = np.array_equal(glass[0], glass[1], equal_nan=True)
    for v, name in zip(glass, ("Tg", "") if one_law else ("Tg, lowest law", "Tg, highest law"), strict=True):
        sheet.curve(panel, middle.t, v, EDGE, "glass transition edge", name)
    sheet.between(panel, middle.t, low, high, DEPTHS, "depths")
    if planned is not None:
        sheet.curve(panel, planned.t, _in(shown, planned.temperature), PLANNED, "planned", "planned")
    sheet.curve(panel, middle.t, _in(shown, middle.temperature), BOLD, "middle", "temperature")
    panel.write()
    panel.names_at_ends(RIGHT)
    _glass_lane(sheet, middle, top + height - LANE)


def _glass_lane(sheet: Sheet, middle: ResinCourse, top: float) -> None:
    """Where the middle of the layer is glass by all laws (grey), or by some of them (hatched)."""
    t, temperature = middle.t, middle.temperature
    surely, perhaps = middle.glass_low >= temperature, middle.glass_high >= temperature
    for inside, fill, words in ((surely, GLASS, "glass"), (perhaps & ~surely, OUTSIDE, "glass by some laws")):
        for first, last in stretches(inside):
            left, right = sheet.x(float(t[first])), sheet.x(float(t[min(last + 1, t.size - 1)]))
            sheet.drawing.box(Box(left, top, right - left, LANE), fill, kind=words)
            if width(words, SMALL) < right - left:
                sheet.drawing.words(
                    (left + right) / 2, top + 8.3, words, SMALL, anchor="middle", ground=fill == OUTSIDE
                )
    sheet.drawing.box(Box(sheet.times.left, top, sheet.times.width, LANE), pen=Pen(0.6), kind="glass lane")
    sheet.drawing.words(sheet.times.right + 10.0, top + 8.3, "glass, mid-layer", SMALL)


def stretches(inside: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of each unbroken stretch that is true.

    >>> stretches(np.array([True, True, False, True]))
    [(0, 1), (3, 3)]
    """
    padded = np.diff(np.concatenate([[False], inside, [False]]).astype(np.int8))
    return [
        (int(a), int(b) - 1) for a, b in zip(np.flatnonzero(padded == 1), np.flatnonzero(padded == -1), strict=True)
    ]


def _cure(
    sheet: Sheet,
    courses: Sequence[ResinCourse],
    planned: ResinCourse | None,
    shown: Shown,  # noqa: ARG001 - the rows are called alike
    place: tuple[float, float],
) -> None:
    panel = Panel(sheet.drawing, sheet.times, ValueScale(0.0, 1.0, *place), NUMBER)
    panel.frame("degree of cure")
    _curves(sheet, panel, courses, planned, "cure")
    gel = courses[0].gel
    if gel is not None:
        y = panel.values.y(gel)
        sheet.drawing.line(panel.times.left, y, panel.times.right, y, Pen(0.8, "#000", (2, 2)), "gel level")
        sheet.drawing.words(LEFT + 4.0, y - 2.5, f"gel {gel:g}", SMALL, ground=True)
    panel.write()
    panel.names_at_ends(RIGHT)


def _viscosity(
    sheet: Sheet,
    courses: Sequence[ResinCourse],
    planned: ResinCourse | None,
    shown: Shown,  # noqa: ARG001 - the rows are called alike
    place: tuple[float, float],
) -> None:
    """The logarithm of the viscosity, to some decades above its lowest: what is higher does not flow."""
    with np.errstate(divide="ignore"):
        logs = [replace(one, viscosity=np.log10(one.viscosity)) for one in courses]
        plan = None if planned is None else replace(planned, viscosity=np.log10(planned.viscosity))
    known = np.concatenate([one.viscosity[np.isfinite(one.viscosity)] for one in logs])
    low = floor(float(known.min()))
    high = min(max(ceil(float(known.max())), low + 1), low + DECADES)
    panel = Panel(sheet.drawing, sheet.times, Decades(low, high, *place), NUMBER)
    panel.frame("viscosity until gel, Pa s")
    cut = [replace(one, viscosity=np.where(one.viscosity > high, np.nan, one.viscosity)) for one in logs]
    _curves(
        sheet,
        panel,
        cut,
        plan and replace(plan, viscosity=np.where(plan.viscosity > high, np.nan, plan.viscosity)),
        "viscosity",
    )
    panel.write()
    panel.names_at_ends(RIGHT)


def _pressures(
    sheet: Sheet, courses: Sequence[ResinCourse], planned: ResinCourse | None, shown: Shown, place: tuple[float, float]
) -> None:
    """The pressure on the laminate (vessel less bag), and until gel the margin against voids over its own zero."""
    middle = courses[len(courses) // 2]
    scale = shown.pressure.difference().scale / 1e3
    margins = [one.void_margin / scale for one in courses]
    lines = [one.pressed / scale for one in (middle, *([planned] if planned is not None else []))]
    finite = np.concatenate([v[np.isfinite(v)] for v in (*lines, *margins)])
    top, height = place
    panel = Panel(sheet.drawing, sheet.times, spanning([0.0, *finite.tolist()], top, height), NUMBER)
    panel.frame(f"pressure on the laminate (vessel less bag) and void margin until gel, {shown.pressure_difference}")
    whole = np.array([sheet.shows.seen.start, sheet.shows.seen.end])
    sheet.curve(panel, whole, np.zeros(2), ZERO, "none")
    if planned is not None:
        sheet.curve(panel, planned.t, planned.pressed / scale, PLANNED, "planned", "planned")
    sheet.curve(panel, middle.t, middle.pressed / scale, BOLD, "pressed", "on the laminate")
    low, high = np.min(margins, axis=0), np.max(margins, axis=0)
    if np.isfinite(low).any():
        sheet.between(panel, middle.t, low, high, DEPTHS, "depths")
        sheet.curve(panel, middle.t, low, Pen(1.2, "#000", (2.5, 1.5)), "void margin", "void margin, least")
    panel.write()
    panel.names_at_ends(RIGHT)


def _curves(sheet: Sheet, panel: Panel, courses: Sequence[ResinCourse], planned: ResinCourse | None, what: str) -> None:
    middle = courses[len(courses) // 2]
    every = np.array([getattr(one, what) for one in courses])
    sheet.between(panel, middle.t, every.min(axis=0), every.max(axis=0), DEPTHS, "depths")
    if planned is not None:
        sheet.curve(panel, planned.t, getattr(planned, what), PLANNED, "planned", "planned")
    sheet.curve(
        panel, middle.t, getattr(middle, what), BOLD, "middle", fitted("middle of the layer", 9.0, RIGHT - 12.0)
    )


def _gels(courses: Sequence[ResinCourse]) -> tuple[float, float] | None:
    """When the first and the last depth gel [s]; None where one does not, or nobody knows."""
    known = [at for at in (one.gels_at for one in courses) if at is not None]
    return (min(known), max(known)) if known and len(known) == len(courses) else None


def _in(shown: Shown, kelvin: Array) -> Array:
    return kelvin * 1e6 / shown.temperature.scale - shown.temperature.offset
