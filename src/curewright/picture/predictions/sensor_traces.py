"""What the sensors of a part would show: with air, set point, bands and limits; of a replay, beside what was recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.drawing import Pen
from curewright.picture.panel import Panel
from curewright.picture.predictions.sheet import RIGHT, Sheet
from curewright.picture.scales import ValueScale, spanning
from curewright.picture.shown import unit_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.picture.panel import LimitLine
    from curewright.picture.predictions.sheet import Shows
    from curewright.text.in_units import Shown

    Array = NDArray[np.float64]

AIR, SET_POINT = Pen(1.1, "#6b6b6b", (1.5, 2)), Pen(0.9, "#000", (9, 2, 1.5, 2))
SENSORS = tuple(
    Pen(1.3, colour, dash)
    for colour, dash in (
        ("#0b3c5d", ()), ("#7a1f1f", (7, 2)), ("#1f5a2a", (2, 1.5)), ("#5d0b3c", (7, 2, 1.5, 2)),
        ("#444", (3.5, 2)), ("#8a4b08", (10, 2, 1.5, 2, 1.5, 2)),
    )
)  # fmt: skip
RECORDED, BAND = 0.7, "#d5d5d5"
AGREE = 5.0  # K: published models of this sort agree with measurement within 1 to 5 K
PREDICTED_FOOT = "dotted: air; dash-dotted: set point; hatched strip: forbidden by the limit at its edge"
BAND_FOOT = "grey: middle 95 % of what is doubtful; "
REPLAYED_FOOT = (
    "thin solid: recorded; thick dashed: replayed; dotted: recorded air; "
    "grey below: 5 K, as far as published models of this sort agree"
)


REPLAYED_BAND_FOOT = (
    "grey above: middle 95 % of what is doubtful; thin: recorded; thick dashed: replayed; dotted: recorded air; "
    "grey below: 5 K, as far as such models agree"
)


@dataclass(frozen=True, eq=False)
class SensorCourse:
    """What a sensor would show [K] at instants [s]; its ``band``: instants [s], low and high [K] (None: none was asked for);
    what was ``recorded``: instants [s] and temperatures [K] (None: nothing was).
    """

    name: str
    t: Array
    shown: Array
    band: tuple[Array, Array, Array] | None = None
    recorded: tuple[Array, Array] | None = None


def predicted_traces(
    shows: Shows, sensors: Sequence[SensorCourse], shown: Shown, limits: Sequence[LimitLine] = ()
) -> bytes:
    """A part's sensors as they are predicted, as SVG. ``limits``: of its specification, in its unit of temperature."""
    sheet = Sheet(shows)
    [row] = sheet.rows([1.0])
    panel = _panel(sheet, sensors, shown, row, [one.value for one in limits])
    panel.frame(f"predicted temperature, {unit_words(shown.temperature)}")
    _bands(sheet, panel, sensors, shown)
    for limit in limits:
        panel.limit(limit)
    _surroundings(sheet, panel, shown)
    for one, pen in zip(sensors, _pens(len(sensors)), strict=True):
        sheet.curve(panel, one.t, _in(shown, one.shown), pen, "predicted", one.name)
    for limit in limits:
        _mark_past(sheet, panel, sensors, shown, limit)
    panel.write()
    panel.names_at_ends(RIGHT)
    return sheet.svg((BAND_FOOT if any(one.band for one in sensors) else "") + PREDICTED_FOOT)


def _mark_past(sheet: Sheet, panel: Panel, sensors: Sequence[SensorCourse], shown: Shown, limit: LimitLine) -> None:
    """Where the band of a sensor reaches over an upper limit in its phase: a thick stretch of the limit, with the sensors' names."""
    found: dict[str, tuple[float, float]] = {}
    for one in sensors:
        if one.band is not None and limit.upper:
            t, _, high = one.band
            begin, end = limit.possible[0] / 1e9, limit.possible[1] / 1e9
            at = np.unique(np.concatenate([t[(t >= begin) & (t <= end)], np.clip([begin, end], t[0], t[-1])]))
            over = at[np.interp(at, t, _in(shown, high)) > limit.value]
            if over.size:
                found[one.name] = float(over[0]), float(over[-1])
    if not found:
        return
    y = panel.values.y(limit.value)
    left, right = (sheet.x(v) for v in (min(a for a, _ in found.values()), max(b for _, b in found.values())))
    left, right = min(left, right - 6.0), max(right, left + 6.0)
    sheet.drawing.line(left, y, right, y, Pen(3.2), "past")
    panel.beside(f"band reaches over it: {', '.join(found)}", (left + right) / 2, y)


def replayed_traces(shows: Shows, sensors: Sequence[SensorCourse], shown: Shown) -> bytes:
    """A part's sensors as recorded and as replayed, each in a strip of its own, and recorded minus replayed below, as SVG."""
    sheet = Sheet(shows)
    rows = sheet.rows([0.62, 0.38])
    panel = _panel(sheet, sensors, shown, rows[0])
    panel.frame(f"recorded and replayed temperature, {unit_words(shown.temperature)}")
    _bands(sheet, panel, sensors, shown)
    _surroundings(sheet, panel, shown)
    pens = _pens(len(sensors))
    for one, pen in zip(sensors, pens, strict=True):
        if one.recorded is not None:
            t, recorded = one.recorded
            sheet.curve(
                panel, *broken(t, _in(shown, recorded)), Pen(RECORDED, pen.colour), "recorded", f"{one.name} recorded"
            )
        dashed = Pen(1.5, pen.colour, pen.dash or (8, 4))
        sheet.curve(panel, one.t, _in(shown, one.shown), dashed, "replayed", f"{one.name} replayed")
    panel.write()
    panel.names_at_ends(RIGHT)
    _residuals(sheet, sensors, pens, shown, rows[1])
    return sheet.svg(REPLAYED_BAND_FOOT if any(one.band for one in sensors) else REPLAYED_FOOT)


def _bands(sheet: Sheet, panel: Panel, sensors: Sequence[SensorCourse], shown: Shown) -> None:
    for one in sensors:
        if one.band is not None:
            t, low, high = one.band
            sheet.between(panel, t, _in(shown, low), _in(shown, high), BAND, "band")


def _residuals(
    sheet: Sheet, sensors: Sequence[SensorCourse], pens: Sequence[Pen], shown: Shown, row: tuple[float, float]
) -> None:
    """Recorded minus replayed; a grey strip as far as published models of this sort agree with measurement."""
    scale = shown.temperature.difference().scale / 1e6
    found = []
    for one, pen in zip(sensors, pens, strict=True):
        if one.recorded is not None:
            t, recorded = one.recorded
            inside = (t >= one.t[0]) & (t <= one.t[-1])
            difference = (recorded[inside] - np.interp(t[inside], one.t, one.shown)) / scale
            found.append((one.name, pen, broken(t[inside], difference)))
    agree = AGREE / scale
    ends = [v for _, _, (_, d) in found for v in (np.nanmin(d, initial=0.0), np.nanmax(d, initial=0.0))]
    panel = Panel(sheet.drawing, sheet.times, spanning([*ends, agree, -agree], *row), shown.temperature)
    panel.frame(f"recorded minus replayed, {unit_words(shown.temperature)}")
    whole = np.array([sheet.shows.seen.start, sheet.shows.seen.end])
    sheet.between(panel, whole, np.full(2, -agree), np.full(2, agree), "#e9e9e9", "agreement")
    sheet.curve(panel, whole, np.zeros(2), Pen(0.8), "none")
    for name, pen, (t, difference) in found:
        sheet.curve(panel, t, difference, pen, "residual", name)
    panel.write()
    panel.names_at_ends(RIGHT)


def broken(t: Array, values: Array) -> tuple[Array, Array]:
    """Samples with a break wherever the next one is more than three usual distances (and a minute) away."""
    if t.size < 3:
        return t, values
    far = np.flatnonzero(np.diff(t) > max(60.0, 3.0 * float(np.median(np.diff(t))))) + 1
    return np.insert(t, far, t[far]), np.insert(values, far, np.nan)


def _pens(count: int) -> list[Pen]:
    return [SENSORS[i % len(SENSORS)] for i in range(count)]


def _in(shown: Shown, kelvin: Array) -> Array:
    """Temperatures [K] as numbers of the specification's unit."""
    return kelvin * 1e6 / shown.temperature.scale - shown.temperature.offset


def _panel(
    sheet: Sheet,
    sensors: Sequence[SensorCourse],
    shown: Shown,
    row: tuple[float, float],
    more: Sequence[float] = (),
) -> Panel:
    seen = sheet.shows.seen
    found = [v for one in sensors for v in (one.shown, *(one.band or ())[1:], *(one.recorded or ())[1:])]
    found += [seen.air.value, *([seen.set_point.value] if seen.set_point is not None else [])]
    ends = [e for v in found if v.size for e in _in(shown, np.array([v.min(), v.max()])).tolist()]
    top, height = row
    scale: ValueScale = spanning([*ends, *more], top, height, least=1.0, pad=12.0 / (height - 24.0))
    return Panel(sheet.drawing, sheet.times, scale, shown.temperature)


def _surroundings(sheet: Sheet, panel: Panel, shown: Shown) -> None:
    seen = sheet.shows.seen
    if seen.set_point is not None:
        sheet.curve(panel, seen.set_point.t, _in(shown, seen.set_point.value), SET_POINT, "set point", "set point")
    inside = (seen.air.t >= seen.start) & (seen.air.t <= seen.end)
    sheet.curve(panel, seen.air.t[inside], _in(shown, seen.air.value[inside]), AIR, "air", "air")
