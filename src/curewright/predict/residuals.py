"""Recorded against predicted, sensor by sensor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.predict.sensors import channel_of, known

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.predict.predicted import Prediction
    from curewright.terms.load import Load
    from curewright.terms.run import Run


@dataclass(frozen=True, eq=False)
class Residual:
    """A sensor's recorded minus predicted temperature [K] at the samples that are values: t [s] and difference, shape (n,)."""

    sensor: str
    t: NDArray[np.float64]
    difference: NDArray[np.float64]

    @property
    def mean(self) -> float:
        """Mean of the differences [K]."""
        return float(np.mean(self.difference))

    @property
    def rms(self) -> float:
        """Root of the mean square of the differences [K]."""
        return rms(self.difference)

    @property
    def largest(self) -> float:
        """The difference that is farthest from 0 [K], with its sign."""
        return float(self.difference[np.argmax(np.abs(self.difference))])

    @property
    def largest_at(self) -> float:
        """When that is [s]."""
        return float(self.t[np.argmax(np.abs(self.difference))])


def rms(values: NDArray[np.float64]) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(values**2)))


def residuals(prediction: Prediction, run: Run, load: Load) -> tuple[Residual, ...]:
    """Of every predicted sensor that was recorded within the prediction, in the order of the build-up."""
    found = []
    for sensor, shown in prediction.places.items():
        channel = channel_of(run, load, sensor)
        if channel is None:
            continue
        t, recorded = known(channel)
        inside = (t >= prediction.t[0]) & (t <= prediction.t[-1])
        if inside.any():
            difference = recorded[inside] - np.interp(t[inside], prediction.t, shown)
            found.append(Residual(sensor, t[inside], difference))
    return tuple(found)
