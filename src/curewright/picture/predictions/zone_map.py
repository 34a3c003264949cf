"""A zone through its thickness against time: temperature of all layers, degree of cure and void margin of what cures.

Shades of grey step at round values, each with its line and its number. Dashed lines are named: inside that of the temperatures the
zone is hotter, by 1 K and more, than the air ever is; that of the cure is gel; that of the margin is where none is left.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.panel import Panel
from curewright.picture.predictions.isolines import MM, Named, depth_frame, draw_field
from curewright.picture.predictions.sheet import NUMBER, Sheet, hours
from curewright.picture.predictions.through_thickness import Field, courses, field_of, layer_edges, temperatures
from curewright.picture.scales import ValueScale
from curewright.picture.shown import unit_words

if TYPE_CHECKING:
    from curewright.physics.card import Card
    from curewright.picture.predictions.sheet import Shows
    from curewright.predict.predicted import PredictedZone
    from curewright.terms.build_up import ZoneLayer
    from curewright.text.in_units import Shown

HOTTER = 1.0  # K above the highest air: by less it is not told
FOOT = "depth in mm below the outer face of the bag; darker: hotter, further cured, less margin; hatched: gelled, no margin any more"


def zone_map(shows: Shows, one: PredictedZone, of: tuple[ZoneLayer, Card] | None, bag: str, shown: Shown) -> bytes:
    """The sheet of a zone as SVG. Raises the solver's error where the zone was refused. ``of``: the layer that cures, with its card."""
    sheet = Sheet(shows)
    if of is None:
        _temperatures(sheet, one, shown, sheet.rows([1.0])[0])
        return sheet.svg(FOOT)
    depths, found = courses(one, of, shows.seen, bag)
    margin = field_of(depths, found, "void_margin")
    known = bool(np.isfinite(margin.values).any())
    rows = sheet.rows([0.46, 0.27, 0.27] if known else [0.6, 0.4])
    _temperatures(sheet, one, shown, rows[0])
    gel = found[0].gel
    named = [] if gel is None else [Named(gel, f"gel {gel:g}")]
    _map(sheet, one, field_of(depths, found, "cure"), "degree of cure over depth", rows[1], named)
    if known:
        unit = shown.pressure.difference()
        scaled = Field(margin.t, margin.depth, margin.values * 1e3 / unit.scale)
        title = f"void margin: pressure of the resin less that which water needs, {shown.pressure_difference}"
        _map(sheet, one, scaled, title, rows[2], [Named(0.0, "no margin")], darkest_first=True)
    return sheet.svg(FOOT)


def _temperatures(sheet: Sheet, one: PredictedZone, shown: Shown, row: tuple[float, float]) -> None:
    found = temperatures(one)
    unit = shown.temperature
    values = found.values * 1e6 / unit.scale - unit.offset
    air = float(sheet.shows.seen.air.value.max())
    hotter = found.values.max() > air + HOTTER
    named = [Named(unit.from_grains((air + HOTTER) * 1e6), "hotter than the air ever is")] if hotter else []
    panel = _panel(sheet, found, row)
    draw_field(sheet, panel, Field(found.t, found.depth, values), named)
    at_depth, at = np.unravel_index(int(np.argmax(values)), values.shape)
    x, y = sheet.x(float(found.t[at])), panel.values.y(-float(found.depth[at_depth]) * MM)
    sheet.drawing.ring(x, y, 3.0, "hottest")
    words = f"hottest {values[at_depth, at]:.1f} at {hours(float(found.t[at]))}"
    panel.beside(words, x, y)
    panel.write()
    depth_frame(panel, f"temperature over depth, {unit_words(unit)} over mm", layer_edges(one))


def _map(
    sheet: Sheet,
    one: PredictedZone,
    field: Field,
    title: str,
    row: tuple[float, float],
    named: list[Named],
    *,
    darkest_first: bool = False,
) -> None:
    panel = _panel(sheet, field, row)
    draw_field(sheet, panel, field, named, darkest_first=darkest_first)
    panel.write()
    depth_frame(panel, title, layer_edges(one))


def _panel(sheet: Sheet, field: Field, row: tuple[float, float]) -> Panel:
    top, bottom = field.depth.min() * MM, field.depth.max() * MM
    return Panel(sheet.drawing, sheet.times, ValueScale(-float(bottom), -float(top), *row), NUMBER)
