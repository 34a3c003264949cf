"""The film coefficient at a place from a body that follows the gas: a block of metal of known heat capacity with one thermocouple in it.

::

    m c dT/dt = h A (Tgas - T)          so that ln((Tgas - T)/(Tgas - T0)) = -(h A / m c) t      at constant Tgas

The body has to be of one temperature: its Biot number h L / k below 0.1 (L: half its thickness, k: its conductivity; textbook).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, Fit, covariance_of, fit
from curewright.physics.fitting.together import along, widening

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
    change: T over a stretch is held against the integral of Tgas - T over it (trapezia), from the first sample on. Its standard error
    takes the integral for exact and so is too narrow; :func:`coefficient_followed` gives an honest one. Raises
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


def coefficient_followed(
    t: NDArray[np.float64],
    T: NDArray[np.float64],
    T_gas: NDArray[np.float64],
    heat_capacity_per_area: float,
    conductance: float,
) -> tuple[float, float]:
    """h and its standard error [W/m²/K], by a body that is followed through the whole run; refuses as :func:`coefficient` does.

    Scatter of the body's thermocouple stays out of the integral, where it would add up, so that the error is as wide as the scatter makes
    it; it is widened where neighbouring samples go together. The gas is straight between its samples.
    """
    first = coefficient(t, T, T_gas, heat_capacity_per_area, conductance).value("h")

    def left(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return T - _body(t, T_gas, heat_capacity_per_area / float(x[0]), float(x[1]))

    start = float(T[0])
    bounds = [(0.01 * first, 100.0 * first), (start - 50.0, start + 50.0)]
    found = fit(left, [[first, start]], ("h", "start"), bounds=bounds, tight=1e-10)
    return found.value("h"), found.standard_error("h") * widening(along([left(found.values)]))


def _body(t: NDArray[np.float64], T_gas: NDArray[np.float64], lag: float, start: float) -> NDArray[np.float64]:
    """Temperature of a body that follows the gas with a lag [s], exact for straight pieces of gas; shape (n,)."""
    decays = np.exp(-np.diff(t) / lag)
    behind = np.diff(T_gas) / np.diff(t) * lag  # of a body that has settled on this slope
    found = [start]
    for gas, later, decay, late in zip(
        T_gas[:-1].tolist(), T_gas[1:].tolist(), decays.tolist(), behind.tolist(), strict=True
    ):
        found.append(later - late + (found[-1] - gas + late) * decay)
    return np.array(found)
