"""How sure a zone is through its thickness against time: half the width of the band of temperature and of degree of cure.

A companion to the zone's map, on the same scale of time: read a value there, and here by how much it may be off either way. Where the band
of the temperature reaches over an upper limit of the part, a dashed line says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.panel import Panel
from curewright.picture.predictions.isolines import MM, Named, depth_frame, draw_field, draw_named
from curewright.picture.predictions.sheet import NUMBER, Sheet, hours
from curewright.picture.predictions.through_thickness import Field, layer_edges
from curewright.picture.scales import ValueScale
from curewright.picture.shown import unit_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.picture.panel import LimitLine
    from curewright.picture.predictions.sheet import Shows
    from curewright.predict.predicted import PredictedZone
    from curewright.predict.through_band import ThroughBand
    from curewright.text.in_units import Shown

    Array = NDArray[np.float64]

FOOT = (
    "± half the width of the middle 95 % of the samples: by so much a value of the map may be off; darker: less sure; "
    "no probability of the real run"
)


def band_map(
    shows: Shows,
    one: PredictedZone,
    through: ThroughBand,
    times: Array,
    shown: Shown,
    limits: Sequence[LimitLine] = (),
) -> bytes:
    """The sheet as SVG. times [s]: of the band; limits: of the part, in the unit of temperature that is shown."""
    sheet = Sheet(shows)
    depths = np.array([one.zone.depth(through.layer, share) for share in through.shares.tolist()])
    rows = sheet.rows([0.55, 0.45])
    unit = shown.temperature
    per = unit.difference().scale / 1e6
    half = Field(times, depths, (through.temperature_high - through.temperature_low) / 2 / per)
    panel = _draw(sheet, one, half, f"how sure the temperature is: ± {unit_words(unit)} over depth in mm", rows[0])
    high = through.temperature_high * 1e6 / unit.scale - unit.offset
    for limit in limits:
        if limit.upper:
            draw_named(sheet, panel, Field(times, depths, _over(high, times, limit)), _named(limit))
    _surest(sheet, panel, half, unit_words(unit))
    panel.write()
    cured = Field(times, depths, (through.cure_high - through.cure_low) / 2)
    panel = _draw(sheet, one, cured, "how sure the degree of cure is: ± over depth in mm", rows[1])
    _surest(sheet, panel, cured, "")
    panel.write()
    return sheet.svg(FOOT)


def _over(high: Array, times: Array, limit: LimitLine) -> Array:
    """The upper edge of the band less a limit, under it wherever the limit's phase is not."""
    inside = (times * 1e9 >= limit.possible[0]) & (times * 1e9 <= limit.possible[1])
    return np.where(inside, high - limit.value, np.minimum(high - limit.value, -1.0))


def _named(limit: LimitLine) -> Named:
    return Named(0.0, f"inside, the band reaches over clause {limit.words}")


def _draw(sheet: Sheet, one: PredictedZone, field: Field, title: str, row: tuple[float, float]) -> Panel:
    top, bottom = field.depth.min() * MM, field.depth.max() * MM
    panel = Panel(sheet.drawing, sheet.times, ValueScale(-float(bottom), -float(top), *row), NUMBER)
    draw_field(sheet, panel, field)
    depth_frame(panel, title, layer_edges(one))
    return panel


def _surest(sheet: Sheet, panel: Panel, field: Field, unit: str) -> None:
    """A ring where it is least sure, with the number."""
    at_depth, at = np.unravel_index(int(np.argmax(field.values)), field.values.shape)
    x, y = sheet.x(float(field.t[at])), panel.values.y(-float(field.depth[at_depth]) * MM)
    sheet.drawing.ring(x, y, 3.0, "least sure")
    number = f"{field.values[at_depth, at]:.2g}" if not unit else f"{field.values[at_depth, at]:.1f} {unit}"
    panel.beside(f"least sure: ± {number} at {hours(float(field.t[at]))}", x, y)
