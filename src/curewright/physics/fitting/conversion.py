"""How far and how fast a sample reacted in one calorimeter run: what kinetics are fitted to.

Heat flow is taken exothermal upwards, in W per kg of resin. Its rate needs no differentiation; where only a degree of cure was recorded it
is differentiated, which noise makes worse.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Conversion:
    """One run: time [s], temperature [K], degree of cure and its rate [1/s], each of shape (n,); time rises strictly."""

    name: str
    t: NDArray[np.float64]
    T: NDArray[np.float64]
    alpha: NDArray[np.float64]
    rate: NDArray[np.float64]

    def __post_init__(self) -> None:
        if self.t.size < 5 or not np.all(np.diff(self.t) > 0.0):
            raise CannotTellError(f"{self.name}: {self.t.size} samples", expected="five or more, time rising")
        for array in (self.t, self.T, self.alpha, self.rate):
            if array.shape != self.t.shape or not np.all(np.isfinite(array)):
                raise CannotTellError(f"{self.name}: samples that are missing", expected="a number everywhere")
        if np.min(self.T) < 200.0:
            raise CannotTellError(f"{self.name}: a temperature of {np.min(self.T):.4g} K", expected="kelvin, not °C")

    def at(self, level: float) -> tuple[float, float] | None:
        """Temperature [K] and rate [1/s] where the degree of cure first passes a level; None where it does not or is at rest."""
        past = np.flatnonzero(self.alpha >= level)
        if past.size == 0 or past[0] == 0:
            return None
        i = int(past[0])
        share = (level - self.alpha[i - 1]) / (self.alpha[i] - self.alpha[i - 1])
        rate = self.rate[i - 1] + share * (self.rate[i] - self.rate[i - 1])
        return (float(self.T[i - 1] + share * (self.T[i] - self.T[i - 1])), float(rate)) if rate > 0.0 else None


def from_degree_of_cure(
    name: str, t: NDArray[np.float64], T: NDArray[np.float64], alpha: NDArray[np.float64]
) -> Conversion:
    """A run of which only the degree of cure is known: its rate by central differences of order 2 on the samples as they lie."""
    return Conversion(name, t, T, alpha, np.gradient(alpha, t, edge_order=2))


def from_heat_flow(
    name: str,
    t: NDArray[np.float64],
    T: NDArray[np.float64],
    flow: NDArray[np.float64],
    *,
    baseline: Literal["straight", "level"],
    start: float = 0.0,
    total_heat: float | None = None,
) -> tuple[Conversion, float]:
    """The run and its heat of reaction [J/kg] from the heat flow [W/kg] over a baseline.

    baseline : ``straight`` from the first sample to the last, for a heated run that begins before and ends after the reaction; ``level``
    with the last sample, for an isothermal one, which begins in it. start : degree of cure at the first sample. total_heat : of a whole
    cure [J/kg], which an isothermal run needs (it stops short of it); without it the run is taken to end fully cured. Raises
    :class:`CannotTellError` for no heat, or more than the total.

    >>> t = np.linspace(0, 100, 101)
    >>> run, heat = from_heat_flow("a ramp", t, 300 + t, 60 * t * (100 - t) / 100, baseline="straight")
    >>> round(heat), round(float(run.alpha[50]), 2), float(run.rate[50]) > 0
    (99990, 0.5, True)
    """
    first = flow[0] if baseline == "straight" else flow[-1]
    above = flow - (first + (flow[-1] - first) * (t - t[0]) / (t[-1] - t[0]))
    heat = np.concatenate([[0.0], np.cumsum(np.diff(t) * (above[1:] + above[:-1]) / 2.0)])
    released = float(heat[-1])
    if not released > 0.0:
        raise CannotTellError(
            f"{name}: a heat of {released:.3g} J/kg", expected="an exotherm", remedy="exothermal upwards?"
        )
    whole = released / (1.0 - start) if total_heat is None else total_heat
    if start + released / whole > 1.0 + 1e-9:
        raise CannotTellError(
            f"{name}: {released / 1e3:.4g} kJ/kg from a degree of cure of {start:g}",
            expected=f"at most {(1 - start) * whole / 1e3:.4g} kJ/kg, what is left of the total",
            remedy="check the baseline, the sample's mass and the total heat",
        )
    return Conversion(name, t, T, start + heat / whole, above / whole), whole
