"""What a load sees of its vessel: air, pressure, and the pressure in each bag, straight between a few instants."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.course import Course

if TYPE_CHECKING:
    from numpy.typing import NDArray

AIR_ERROR, PRESSURE_ERROR = 0.05, 500.0  # K and Pa: how far the straight pieces may be from what they stand for


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What the vessel did, planned or recorded. ``air`` [K]; ``pressure`` [Pa absolute]; ``bags`` [Pa absolute] by bag.

    ``site``: pressure of the air outside [Pa]. ``segments``: start [s] and name of each segment. ``vented``: instant [s] of the
    vent, None where the bags never are (or nobody knows). ``kind``: 'planned' or 'recorded'. ``notes``: what was assumed.
    """

    kind: str
    air: Course
    pressure: Course
    bags: dict[str, Course]
    site: float
    segments: tuple[tuple[float, str], ...] = ()
    vented: float | None = None
    notes: tuple[str, ...] = field(default=())
    set_point: Course | None = None

    @property
    def start(self) -> float:
        """The first instant [s] at which air and pressure are known."""
        return float(max(self.air.t[0], self.pressure.t[0]))

    @property
    def end(self) -> float:
        """The last instant [s] at which both are known."""
        return float(min(self.air.t[-1], self.pressure.t[-1]))

    def until(self, end: float) -> Surroundings:
        """The same up to an instant [s] within it."""
        cut = {name: cut_at(bag, end) for name, bag in self.bags.items()}
        segments = tuple(one for one in self.segments if one[0] < end)
        return replace(
            self, air=cut_at(self.air, end), pressure=cut_at(self.pressure, end), bags=cut, segments=segments
        )


def cut_at(whole: Course, end: float) -> Course:
    """A course up to an instant."""
    keep = whole.t < end
    return Course(np.append(whole.t[keep], end), np.append(whole.value[keep], whole.at(end)))


def straightened(t: NDArray[np.float64], v: NDArray[np.float64], error: float) -> Course:
    """A line through some of the samples that is nowhere farther than ``error`` from any of them; first and last are kept.

    t, v : float64, shape (n,), t rising. Fewer kinks make a prediction fast. A sample is kept when the next one cannot be
    reached with all between them within the error (the bounds of the slope close like a door).

    >>> t = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    >>> straightened(t, np.array([0.0, 1.0, 2.0, 2.0, 2.0]), 0.01).t.tolist()
    [0.0, 2.0, 4.0]
    """
    kept, at = [0], 0
    low, high = -np.inf, np.inf
    for i in range(1, t.size):
        slope = (v[i] - v[at]) / (t[i] - t[at])
        if not low <= slope <= high:
            at = i - 1
            kept.append(at)
            low, high = -np.inf, np.inf
        low = max(low, (v[i] - error - v[at]) / (t[i] - t[at]))
        high = min(high, (v[i] + error - v[at]) / (t[i] - t[at]))
    kept.append(t.size - 1)
    chosen = np.array(sorted(set(kept)))
    return Course(np.ascontiguousarray(t[chosen]), np.ascontiguousarray(v[chosen]))
