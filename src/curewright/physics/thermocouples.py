"""How far a new thermocouple may be off by its standard: ASTM E230 (standard, special) and IEC 60584 (classes 1 to 3).

The greater of a fixed amount and a fraction of the temperature in °C::

    tolerance = max(at_least, base + fraction * (|t| - counted_from))

The table ``data/thermocouple_tolerances.csv`` gives the source of each row (read second-hand, the standards are not free).
It speaks of new wire with its reference junction at 0 °C; drift in use is another contribution. In °F a tolerance is 1.8 times as much.
Values that a standard gives only as a guide (special T and E below 0 °C) are not in the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from curewright.terms.errors import CurewrightError
from curewright.text.packaged import packaged_table

ZERO_CELSIUS_K = 273.15


class ToleranceError(CurewrightError):
    """A wire, class or temperature for which the standards state no tolerance."""


@dataclass(frozen=True)
class Tolerance:
    """One row of the table; temperatures in °C, amounts in K, ends of the range included."""

    standard: str
    wire: str
    tolerance_class: str
    from_degC: float
    to_degC: float
    at_least_K: float
    base_K: float
    fraction: float
    counted_from_degC: float
    source: str
    note: str

    def at(self, celsius: float) -> float:
        """The tolerance in K at a temperature in °C, whether or not it lies in the range."""
        return max(self.at_least_K, self.base_K + self.fraction * (abs(celsius) - self.counted_from_degC))


@cache
def tolerances() -> tuple[Tolerance, ...]:
    """All rows of the table."""
    rows = packaged_table("curewright.physics", "data", "thermocouple_tolerances.csv")
    return tuple(
        Tolerance(
            standard=row["standard"],
            wire=row["wire"],
            tolerance_class=row["class"],
            from_degC=float(row["from_degC"]),
            to_degC=float(row["to_degC"]),
            at_least_K=float(row["at_least_K"]),
            base_K=float(row["base_K"]),
            fraction=float(row["fraction"]),
            counted_from_degC=float(row["counted_from_degC"]),
            source=row["source"],
            note=row["note"],
        )
        for row in rows
    )


def tolerance(wire: str, tolerance_class: str, temperature_K: float) -> float:
    """Half-width in K within which a new thermocouple reads, at a temperature in K.

    wire : a letter of the table (``J``, ``K``, ``T`` …); tolerance_class : ``standard``, ``special``, ``class 1`` … ``class 3``.
    Raises :class:`ToleranceError` for an unknown wire or class and outside the stated range; where two rows meet, the wider one counts.
    Source: the row's own (``tolerances()``).

    >>> round(tolerance("J", "special", 273.15 + 177), 4)
    1.1
    >>> round(tolerance("T", "standard", 273.15 + 180), 4)
    1.35
    """
    celsius = round(temperature_K - ZERO_CELSIUS_K, 6)
    rows = _rows_for(wire, tolerance_class)
    found = [row.at(celsius) for row in rows if row.from_degC <= celsius <= row.to_degC]
    if not found:
        ranges = " and ".join(f"{row.from_degC:g} to {row.to_degC:g} °C" for row in rows)
        raise ToleranceError(
            f"no tolerance is stated for type {wire} wire, {tolerance_class}, at {celsius:g} °C",
            expected=ranges,
            remedy="have the thermocouple calibrated at this temperature and state the uncertainty of the certificate",
        )
    return max(found)


def _rows_for(wire: str, tolerance_class: str) -> tuple[Tolerance, ...]:
    rows = tuple(row for row in tolerances() if row.wire == wire and row.tolerance_class == tolerance_class)
    if not rows:
        known = sorted({f"{row.wire}, {row.tolerance_class}" for row in tolerances()})
        raise ToleranceError(
            f"no tolerance is stated for '{wire}' wire of class '{tolerance_class}'",
            expected="one of: " + "; ".join(known),
            remedy="correct the wire type or class in the vessel file",
        )
    return rows
