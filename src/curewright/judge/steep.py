"""The steepest windows of a rate in a growing run, each as three numbers: their samples are let go.

A rate over a window hangs on all samples in it, a verdict only on the least and the greatest rate and where they are. So of each
window that may still be one of these a growing run keeps when it begins, when it ends and its rate, bit for bit.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.terms.requirement import Rate, RateDefinition

NO_TIMES = np.empty(0, np.int64)


@dataclass(frozen=True, eq=False)
class Windows:
    """Windows of a rate by one definition: begin and end [ns], rate [mK/min or Pa/min], each of shape (n,)."""

    definition: RateDefinition | None = None
    begins: NDArray[np.int64] = field(default_factory=lambda: NO_TIMES)
    ends: NDArray[np.int64] = field(default_factory=lambda: NO_TIMES)
    rates: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))

    def inside(self, start: int, end: int) -> NDArray[np.int64]:
        """Which of them lie wholly in a stretch."""
        return np.flatnonzero((self.begins >= start) & (self.ends <= end))

    def weighed(
        self, regions: list[tuple[int, int]], instants: list[int], rates: list[float]
    ) -> tuple[list[int], list[float]]:
        """What others gave, as count, instant of the least and of the greatest with both rates, with those of these that lie in
        some stretches (the first on ties).
        """
        count, *ends = instants
        found = list(zip(rates, ends, strict=True)) if count else []
        there = [i for start, end in regions for i in self.inside(start, end).tolist()]
        found += [(float(self.rates[i]), int(self.ends[i])) for i in there]
        if not there:
            return instants, rates
        least, most = min(found), max(found, key=lambda window: (window[0], -window[1]))
        return [count + len(there), least[1], most[1]], [least[0], most[0]]


NO_WINDOWS = Windows()
Key = tuple[object, ...]


def key_of(serial: str, form: Rate, kind: object, name: object) -> Key:
    """Under what the windows of a rate are kept, for a part and a thing; limits have no say in it."""
    return (serial, form.signal, form.phase, form.while_, form.definition, kind, name)
