"""The activation energy at each degree of cure without any kinetic law: Friedman's isoconversional method.

::

    ln(dα/dt) = ln(A f(α)) - E/(R T)        at one α, over runs of different temperature or heating rate: a straight line in 1/T

Where E changes with α by more than a tenth of its mean, one reaction does not describe the cure. Source: Friedman (1964), J. Polym. Sci.
C 6, 183-195; recommended, with that tenth (10 to 20 %), by the ICTAC kinetics committee (Vyazovkin and others 2011, Thermochim. Acta
520, 1-19), both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.physics.fitting.conversion import Conversion

GAS_CONSTANT = 8.314462618  # J/mol/K
ONE_REACTION = 0.1  # of the mean
LEAST_SPREAD = 3.0  # K between the coldest and the hottest run at one degree of cure


@dataclass(frozen=True)
class Isoconversional:
    """At each degree of cure: E [J/mol] with its standard error and 95 % limits, and ln(A f(α)) [ln 1/s]; all of shape (n,)."""

    alpha: NDArray[np.float64]
    E: NDArray[np.float64]
    standard_error: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    intercept: NDArray[np.float64]

    @property
    def one_reaction(self) -> bool:
        """Whether one activation energy is enough: it varies by at most a tenth of its mean, or by no more than its limits leave open."""
        within_limits = np.max(self.low) <= np.min(self.high)
        return bool(within_limits or np.ptp(self.E) <= ONE_REACTION * np.mean(self.E))


def friedman(runs: Sequence[Conversion], alpha: Sequence[float]) -> Isoconversional:
    """The activation energy at each degree of cure from three or more runs, isothermal or heated, with 95 % limits (Student).

    Raises :class:`CannotTellError` for fewer than three runs, a degree of cure that a run does not reach, or runs that pass it within
    3 K of each other.
    """
    from scipy.stats import t as student

    if len(runs) < 3:
        raise CannotTellError(
            f"{len(runs)} run(s)", expected="three or more, at different temperatures or heating rates"
        )
    lines = np.array([_line(runs, level) for level in alpha])
    E, error, intercept = lines.T
    reach = student.ppf(0.975, len(runs) - 2) * error
    return Isoconversional(np.array(alpha), E, error, E - reach, E + reach, intercept)


def _line(runs: Sequence[Conversion], level: float) -> tuple[float, float, float]:
    """E, its standard error and the intercept at one degree of cure."""
    points = []
    for run in runs:
        point = run.at(level)
        if point is None:
            raise CannotTellError(
                f"{run.name} does not pass a degree of cure of {level:g} while it reacts",
                expected=f"levels between {run.alpha[0]:.3g} and {run.alpha[-1]:.3g}",
            )
        points.append(point)
    T, rate = np.array(points).T
    if np.ptp(T) < LEAST_SPREAD:
        raise CannotTellError(
            f"all runs pass {level:g} within {np.ptp(T):.2g} K", expected=f"at least {LEAST_SPREAD:g} K between them"
        )
    x, y = -1.0 / (GAS_CONSTANT * T), np.log(rate)
    about = x - x.mean()
    slope = float(about @ y / (about @ about))
    intercept = float(y.mean() - slope * x.mean())
    residuals = y - intercept - slope * x
    variance = float(residuals @ residuals) / (len(points) - 2)
    return slope, float(np.sqrt(variance / (about @ about))), intercept
