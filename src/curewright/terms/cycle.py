"""A planned cycle: segments of the air's set point with the pressure and the bags, and the vessel as what follows the set point."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Segment:
    """One segment of the program. Temperatures in K, rates in K/s, pressures in Pa gauge, times in s.

    Either a ramp (``target`` with ``rate``) or a hold (``target`` None, ``hold`` seconds). A hold is counted from its start, or, with
    ``counted_from``, from when the coldest judging thermocouple of the load reaches that temperature; then ``longest`` ends it anyhow.
    ``pressure`` with ``pressure_rate``: where the vessel's pressure goes from the start of the segment on; None keeps what was set.
    """

    name: str
    target: float | None = None
    rate: float | None = None
    hold: float | None = None
    counted_from: float | None = None
    longest: float | None = None
    pressure: float | None = None
    pressure_rate: float | None = None
    line: int = 0


@dataclass(frozen=True)
class Cycle:
    """A planned cycle. ``air`` [K] and ``pressure`` [Pa gauge] at its start; ``vacuum`` [Pa gauge, negative] in the bags until the vent.

    ``vented_at`` [Pa gauge]: the vessel pressure at which the bags are vented; None where they never are.
    """

    name: str
    revision: str
    author: str
    segments: tuple[Segment, ...]
    air: float
    pressure: float
    vacuum: float
    vented_at: float | None = None
    file: str = ""


@dataclass(frozen=True)
class Convection:
    """Convection of a vessel against absolute pressure p [Pa], W/m²/K, at a place whose position factor is 1.

    ``straight``: a + b p, as Johnston, Vaziri and Poursartip (2001) fitted it. ``power``: h0 (p / p0)^n; theory says n = 0.8 for a
    turbulent and 0.5 for a laminar boundary layer, fits imply 0.5 to 0.7. ``survey``: straight between the user's own measured points.
    """

    law: str  # 'straight' | 'power' | 'survey'
    values: tuple[float, ...] = ()  # (a, b) or (h0, p0, n)
    points: tuple[tuple[float, float], ...] = ()  # (p, h) of a survey, by rising p
    source: str = ""
    error: float | None = None  # standard uncertainty relative to h; None where nobody knows it


@dataclass(frozen=True)
class VesselHeat:
    """How a vessel's air follows its set point: the most it can heat and cool, and how long its control lags.

    heating, cooling [W]; thermal_mass [J/K] of gas, walls, load and tools together; lag [s] of the control; gas 'nitrogen' or 'air'.
    """

    vessel: str
    heating: float
    cooling: float
    thermal_mass: float
    lag: float
    gas: str
    convection: Convection
    author: str = ""
    file: str = ""
    fitted_to: str = ""
