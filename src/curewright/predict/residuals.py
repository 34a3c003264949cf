"""Recorded against predicted, sensor by sensor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.predict.predicted import Prediction
    from curewright.terms.load import Load
    from curewright.terms.run import Channel, Run


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


def known(channel: Channel) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants [s] and temperatures [K] of the samples that are values, of several at one instant the first."""
    t, grains = values_of(channel)
    return t, grains / 1e6


def values_of(channel: Channel) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants [s] and grains of the samples that are values, of several at one instant the first."""
    keep = ~channel.bad & np.isfinite(channel.v)
    t, first = np.unique(channel.t[keep] / 1e9, return_index=True)
    return t, channel.v[keep][first]


def residuals(prediction: Prediction, run: Run, load: Load) -> tuple[Residual, ...]:
    """Of every predicted sensor that was recorded within the prediction, in the order of the build-up."""
    channels = {one.sensor: one.channel for one in load.map}
    found = []
    for sensor, shown in prediction.places.items():
        channel = run.channels.get(channels.get(sensor, ""))
        if channel is None:
            continue
        t, recorded = known(channel)
        inside = (t >= prediction.t[0]) & (t <= prediction.t[-1])
        if inside.any():
            difference = recorded[inside] - np.interp(t[inside], prediction.t, shown)
            found.append(Residual(sensor, t[inside], difference))
    return tuple(found)
