"""A quantity over time as straight pieces: air temperature, pressure, convection; planned or recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, eq=False)
class Course:
    """How a quantity goes on: straight between neighbouring points, held before the first and after the last.

    t : float64, shape (n,) [s], never decreasing; two points at one time are a jump. value : float64, shape (n,) [SI units].
    """

    t: NDArray[np.float64]
    value: NDArray[np.float64]

    def __post_init__(self) -> None:
        if self.t.ndim != 1 or self.t.shape != self.value.shape or self.t.size == 0:
            raise CurewrightError(
                f"a course has {self.t.size} times and {self.value.size} values",
                expected="as many of both, at least one",
            )
        if not (np.all(np.isfinite(self.t)) and np.all(np.isfinite(self.value))):
            raise CurewrightError("a course has times or values that are not numbers", expected="numbers throughout")
        if np.any(np.diff(self.t) < 0.0):
            where = int(np.argmax(np.diff(self.t) < 0.0))
            raise CurewrightError(
                f"a course goes back from {self.t[where]:g} s to {self.t[where + 1]:g} s",
                expected="times that never decrease",
            )

    def at(self, t: ArrayLike) -> NDArray[np.float64]:
        """The value at each time, shape of t; at a jump the later one.

        >>> course([(0, 20), (60, 80)]).at([30, 90]).tolist()
        [50.0, 80.0]
        """
        return np.interp(np.asarray(t, dtype=np.float64), self.t, self.value)


def course(points: Iterable[tuple[float, float]]) -> Course:
    """A course through (time [s], value) points."""
    pairs = np.array(list(points), dtype=np.float64).reshape(-1, 2)
    return Course(np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1]))


def steady(value: float) -> Course:
    """A course that stays at one value."""
    return course([(0.0, value)])


def first_reached(t: NDArray[np.float64], v: NDArray[np.float64], level: float) -> float | None:
    """When v first is at or above a level, straight between samples, in the unit of t; None where it never is, or is unknown before.

    t, v : float64, shape (n,), t increasing.

    >>> first_reached(np.array([0.0, 60.0, 120.0]), np.array([0.1, 0.3, 0.5]), 0.4)
    90.0
    """
    unknown, reached = np.flatnonzero(np.isnan(v)), np.flatnonzero(v >= level)
    if reached.size == 0 or (unknown.size and unknown[0] < reached[0]):
        return None
    i = int(reached[0])
    if i == 0 or v[i] == level:
        return float(t[i])
    return float(t[i - 1] + (t[i] - t[i - 1]) * (level - v[i - 1]) / (v[i] - v[i - 1]))
