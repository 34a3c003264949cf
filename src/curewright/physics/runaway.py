"""A cheap warning for thick parts: whether a layer held at a temperature can carry its own heat away (Frank-Kamenetskii).

::

    δ = L² q (d ln r/dT) / k        q: heat released per volume and time [W/m³], r: rate of cure, L: half the thickness between held faces

Above δ = 0.878 (an infinite slab whose reaction does not run out) no steady temperature exists: the centre runs away until the resin is
used up. A resin does run out and films resist, so δ is an index for looking closer, no prediction: well below 0.1 the centre follows the
faces, from about 0.5 on simulate. Source: Frank-Kamenetskii (1939), by any textbook of combustion (from memory; the critical value is
checked against the exact solution). A runaway can burn a part and harm people: the index never clears a part.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.kinetics.laws import LAWS, rate, slopes
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from curewright.terms.material import LayerMaterial

CRITICAL_SLAB = 0.8785


class RunawayError(CurewrightError):
    """A layer of which the index says nothing."""


def runaway_index(layer: LayerMaterial, half_thickness: float, T: float, alpha: float | None = None) -> float:
    """δ of a layer at a face temperature T [K]: at a degree of cure, or the largest over the cure where none is given.

    half_thickness [m]. Raises :class:`RunawayError` for a layer that does not react, or a temperature beyond its estimates.
    """
    if not layer.reacts:
        raise RunawayError(f"{layer.name} does not react", expected="a layer that cures")
    if not layer.temperature[0] <= T <= layer.temperature[1]:
        raise RunawayError(
            f"{T - 273.15:.0f} °C",
            expected=f"{layer.temperature[0] - 273.15:.0f} to {layer.temperature[1] - 273.15:.0f} °C",
        )
    if not half_thickness > 0.0:
        raise RunawayError(f"a half thickness of {half_thickness:g} m", expected="above 0")
    levels = np.linspace(max(layer.start[0], 1e-3), 0.98, 99) if alpha is None else np.array([alpha])
    return max(_at(layer, half_thickness, T, float(level)) for level in levels)


def _at(layer: LayerMaterial, L: float, T: float, alpha: float) -> float:
    law, constants = LAWS[layer.law], np.array(layer.constants)
    branch = 1 if layer.law == "lee 1982" and alpha > constants[-1] else 0
    r = rate(law, T, alpha, constants, branch)
    if not r > 0.0:
        return 0.0
    steeper = slopes(law, T, alpha, constants, branch)[0] / r
    return float(L**2 * layer.heat_of_cure * r * steeper / layer.conductivity_at(T, alpha))
