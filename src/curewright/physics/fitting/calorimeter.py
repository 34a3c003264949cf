"""The film coefficient at a place from a body that follows the gas: a block of metal of known heat capacity with one thermocouple in it.

::

    m c dT/dt = h A (Tgas - T)          so that ln((Tgas - T)/(Tgas - T0)) = -(h A / m c) t      at constant Tgas

The body has to be of one temperature: its Biot number h L / k below 0.1 (L: half its thickness, k: its conductivity; textbook).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, Fit, covariance_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEAST_DIFFERENCE = 2.0  # K: closer to the gas than that, thermocouples differ by as much
LUMPED = 0.1


def coefficient(
    t: NDArray[np.float64],
    T: NDArray[np.float64],
    T_gas: NDArray[np.float64],
    heat_capacity_per_area: float,
    conductance: float,
) -> Fit:
    """h [W/m²/K] with its standard error, from times [s] and temperatures of body and gas [K], each of shape (n,).

    heat_capacity_per_area : m c / A [J/m²/K], A: the surface that the gas sees; conductance : k / L of the body [W/m²/K]. The gas may
    change: T over a stretch is held against the integral of Tgas - T over it (trapezia), from the first sample on. Raises
    :class:`CannotTellError` for fewer than five samples, a gas within 2 K of the body throughout, or a body that is not of one temperature.

    >>> t = np.linspace(0, 3000, 61)
    >>> T = 400 - 100 * np.exp(-t / 1000)  # m c / A of 50 000 J/m²/K and h = 50
    >>> found = coefficient(t, T, np.full(61, 400.0), 50e3, 16.0 / 0.005)
    >>> round(found.value("h"), 1)
    50.0
    """
    if t.size < 5:
        raise CannotTellError(f"{t.size} samples", expected="five or more")
    difference = T_gas - T
    if np.max(np.abs(difference)) < LEAST_DIFFERENCE:
        raise CannotTellError(
            f"body and gas within {np.max(np.abs(difference)):.2g} K of each other",
            expected=f"a difference of at least {LEAST_DIFFERENCE:g} K, such as on a ramp",
        )
    exposure = np.concatenate([[0.0], np.cumsum(np.diff(t) * (difference[1:] + difference[:-1]) / 2.0)])
    gained = heat_capacity_per_area * (T - T[0])
    sides = np.column_stack([exposure, np.ones_like(exposure)])
    values = np.linalg.lstsq(sides, gained, rcond=None)[0]
    residuals = sides @ values - gained
    total, freedom = float(residuals @ residuals), t.size - 2
    found = Fit(("h", "offset"), values, covariance_of(sides, ("h", "offset")) * total / freedom, total, freedom)
    biot = values[0] / conductance
    if not 0.0 < biot < LUMPED:
        raise CannotTellError(
            f"a film coefficient of {values[0]:.3g} W/m²/K, a Biot number of {biot:.2g}",
            expected=f"above 0 and a Biot number below {LUMPED:g}: a thinner body, or one that conducts better",
        )
    return found
