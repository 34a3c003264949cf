"""How sure a zone's temperature and degree of cure are over depth and time: the middle 95 % of its samples.

A sample with a thicker laminate is compared at the same share of its own thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.places import cure_at, temperature_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.physics.solve.solve import Solution

    Array = NDArray[np.float64]

DEPTHS = 7  # of the layer that cures


@dataclass(frozen=True, eq=False)
class ThroughBand:
    """The middle 95 % through a layer. shares : shape (n,), from its bag side; the rest of shape (n, k): temperature [K] and cure [1]."""

    layer: str
    shares: Array
    temperature_low: Array
    temperature_high: Array
    cure_low: Array
    cure_high: Array


def through_band(layer: str, samples: Sequence[Solution], ends: tuple[float, float]) -> ThroughBand:
    """The band through a layer that cures, of samples at the same times. ends : the quantiles of its low and high edge."""
    shares = np.linspace(0.0, 1.0, DEPTHS)
    hot = [[temperature_at(one, layer, 1.0 - share) for share in shares.tolist()] for one in samples]
    cured = [[cure_at(one, layer, 1.0 - share) for share in shares.tolist()] for one in samples]
    return ThroughBand(
        layer, shares, *np.quantile(np.array(hot), ends, axis=0), *np.quantile(np.array(cured), ends, axis=0)
    )
