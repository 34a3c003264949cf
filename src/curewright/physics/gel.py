"""Gel: the degree of cure at which a resin stops flowing for good. It never comes back, whatever the temperature does.

The degree of cure at gel is a constant of the resin (Flory: 0.577 for an ideal amine and epoxy); published values for one resin go from
0.31 to 0.47, by rheometer or by kinetics, so the instant is uncertain by minutes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.course import first_reached

if TYPE_CHECKING:
    from numpy.typing import NDArray


def gelled(alpha: NDArray[np.float64], gel: float) -> NDArray[np.bool_]:
    """Whether the resin has gelled at each sample, shape of alpha; once gelled always gelled. Unknown (nan) alpha is no gel.

    >>> gelled(np.array([0.1, 0.47, 0.5]), 0.47).tolist()
    [False, True, True]
    """
    return np.logical_or.accumulate(alpha >= gel)


def gel_time(t: NDArray[np.float64], alpha: NDArray[np.float64], gel: float) -> float | None:
    """When alpha first reaches gel, straight between samples, in the unit of t; None where it does not, or is unknown before.

    >>> gel_time(np.array([0.0, 60.0, 120.0]), np.array([0.1, 0.3, 0.5]), 0.4)
    90.0
    """
    return first_reached(t, alpha, gel)
