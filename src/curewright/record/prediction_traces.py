"""The traces of a prediction as a CSV file: time since the start, what surrounds the load, and every sensor.

Each sensor and each bag is in the units of its part's specification; what surrounds the load in those of the first one.
RFC 4180: commas, CRLF, UTF-8 with a mark. Every heading says whether its column was predicted, replayed or recorded, and its unit.
"""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.record.spreadsheet import BYTE_ORDER_MARK, safe

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    from curewright.predict.predicted import Prediction
    from curewright.terms.load import Load
    from curewright.text.in_units import Shown, ShownByPart

    Array = NDArray[np.float64]


def traces_text(prediction: Prediction, load: Load, units: ShownByPart, kind: str) -> str:
    """The CSV of a prediction; ``units``: of each part; ``kind``: 'predicted' or 'replayed'. Numbers have six significant digits."""
    columns = list(_columns(prediction, load, units, kind))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([safe(heading) for heading, _ in columns])
    for row in zip(*(values.tolist() for _, values in columns), strict=True):
        writer.writerow([six_digits(value) for value in row])
    return BYTE_ORDER_MARK + out.getvalue()


def six_digits(value: float) -> str:
    """A number to six significant digits, without an exponent.

    >>> six_digits(356.123456), six_digits(-0.0000012345678), six_digits(2520000.0)
    ('356.123', '-0.00000123457', '2520000')
    """
    text = format(Decimal(f"{value:.6g}"), "f")
    return "0" if text == "-0" else text


def _columns(prediction: Prediction, load: Load, units: ShownByPart, kind: str) -> Iterator[tuple[str, Array]]:
    seen, t = prediction.seen, prediction.t
    surrounding = "recorded" if seen.kind == "recorded" else kind
    first = units.first
    degrees = first.temperature
    yield "since the start [s]", t
    if seen.set_point is not None:
        yield f"set point planned [{degrees.name}]", _hot(seen.set_point.at(t), first)
    yield f"air {surrounding} [{degrees.name}]", _hot(seen.air.at(t), first)
    yield f"vessel {surrounding} [{first.pressure_difference} gauge]", _gauge(seen.pressure.at(t) - seen.site, first)
    for bag in (one.name for one in load.bags if one.name in seen.bags):
        shown = next((units.of(part.serial) for part in load.parts if part.bag == bag), first)
        yield (
            f"{bag} {surrounding} [{shown.pressure_difference} gauge]",
            _gauge(seen.bags[bag].at(t) - seen.site, shown),
        )
    part_of = {place.sensor: one.part.serial for one in prediction.zones for place in one.part.places}
    for sensor, values in prediction.places.items():
        shown = units.of(part_of[sensor])
        yield f"{sensor} {kind} [{shown.temperature.name}]", _hot(values, shown)


def _gauge(pascal: Array, shown: Shown) -> Array:
    return pascal / (shown.pressure.difference().scale / 1e3)


def _hot(kelvin: Array, shown: Shown) -> Array:
    return kelvin * 1e6 / shown.temperature.scale - shown.temperature.offset
