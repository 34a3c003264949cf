"""Whether water in the prepreg can make voids: the pressure of the resin against that of the water vapour, until the resin gels.

::

    needed = humidity × p_sat(T)                      humidity: that to which the prepreg was exposed at lay-up, 0 to 1
    resin  = bag + share × (vessel - bag)             pressures absolute; share: what the resin carries of the compaction
    margin = resin - needed

Source: Kardos, Dudukovic and Dave (1986), Adv. Polym. Sci. 80, 101-123 (form from memory, checked for consistency), with p_sat of the steam
table in place of their fit, which is 22 % high at 20 °C. The pressure of the resin is *not* that of the vessel: as resin bleeds the
fibre bed takes over (Gutowski, Dave: from memory), down to the pressure in the bag. No curve of that is published for these prepregs, so
the share is the user's number. After gel nothing flows and the margin says nothing: it is not a number.

Only water is looked at, not air that was trapped nor other volatiles, and no bubble is followed as it grows or dissolves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.water import saturation_pressure
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from numpy.typing import NDArray


class VoidsError(CurewrightError):
    """A humidity or a share that is none."""


def needed_pressure(T: NDArray[np.float64], humidity: float) -> NDArray[np.float64]:
    """Resin pressure [Pa absolute] below which water voids can grow, shape of T [K]; humidity at lay-up 0 to 1.

    >>> round(float(needed_pressure(np.array([393.15]), 0.5)[0]) / 1e3, 1)  # kPa, 120 °C after lay-up at 50 %
    99.3
    """
    return _share(humidity, "a relative humidity at lay-up") * saturation_pressure(T)


def resin_pressure(
    vessel: NDArray[np.float64], bag: NDArray[np.float64], share: NDArray[np.float64] | float
) -> NDArray[np.float64]:
    """Pressure in the resin [Pa absolute] from those of vessel and bag [Pa absolute] and the resin's share of the compaction, 0 to 1.

    A share of 1: nothing has bled and the fibre bed carries nothing; 0: it carries all, the resin is down to the bag's pressure.

    >>> float(resin_pressure(np.array([700e3]), np.array([10e3]), 0.5)[0])
    355000.0
    """
    shares = np.asarray(share, dtype=np.float64)
    if not np.all((shares >= 0.0) & (shares <= 1.0)):
        raise VoidsError(f"a resin's share of the compaction of {share}", expected="0 to 1")
    return bag + shares * (vessel - bag)


def void_margin(
    T: NDArray[np.float64],
    resin: NDArray[np.float64],
    humidity: float,
    gelled: NDArray[np.bool_],
) -> NDArray[np.float64]:
    """By how much the resin's pressure exceeds what keeps water in solution [Pa], shape of T; not a number once gelled.

    T [K]; resin [Pa absolute]; humidity at lay-up 0 to 1; gelled: from the first true value on.
    """
    before = ~np.logical_or.accumulate(gelled)
    return np.where(before, resin - needed_pressure(T, humidity), np.nan)


def _share(value: float, what: str) -> float:
    if not 0.0 <= value <= 1.0:
        raise VoidsError(f"{what} of {value:g}", expected="0 to 1", remedy="50 % is 0.5")
    return value
