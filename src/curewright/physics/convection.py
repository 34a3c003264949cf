"""How well a gas that flows along a plate heats it: an upper bound that a survey of one's own vessel can be held against.

What a vessel really does is its own, and published values differ by a factor of two from place to place on one tool: a body of known heat
capacity measures it (:func:`curewright.physics.fitting.calorimeter.coefficient`), several pressures give its law
(:func:`curewright.physics.fitting.survey.fit_survey`), :class:`curewright.terms.cycle.Convection`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from curewright.physics.gas import Gas

TRANSITION = 5e5  # Reynolds number of a smooth plate, textbook


class ConvectionError(CurewrightError):
    """A plate of which the law says nothing."""


def plate(
    gas: Gas,
    T: float,
    p: float,
    speed: float,
    length: float,
    boundary_layer: Literal["laminar", "turbulent", "mixed"] = "mixed",
) -> float:
    """Mean h [W/m²/K] of a flat plate along a flow.

    T : of the film [K]; p : absolute [Pa]; speed [m/s]; length : of the plate along the flow [m].

    ::

        laminar    Nu = 0.664 Re^0.5 Pr^(1/3)
        turbulent  Nu = 0.037 Re^0.8 Pr^(1/3)
        mixed      Nu = (0.037 Re^0.8 - 871) Pr^(1/3) beyond Re = 5e5, laminar below

    Source: textbook (Incropera and others, from memory). Raises :class:`ConvectionError` for no speed or length, or a Prandtl number
    outside 0.6 to 60.

    >>> from curewright.physics.gas import NITROGEN
    >>> round(plate(NITROGEN, 393.15, 7e5, 5.0, 1.0, "turbulent"), 0)  # printed 86.7
    87.0
    """
    if not (speed > 0.0 and length > 0.0):
        raise ConvectionError(f"a speed of {speed:g} m/s over {length:g} m", expected="both above 0")
    film = np.array([T])
    k, pr = float(gas.conductivity(film)[0]), float(gas.prandtl(film)[0])
    re = float(gas.density(film, p)[0] / gas.viscosity(film)[0]) * speed * length
    if not 0.6 <= pr <= 60.0:
        raise ConvectionError(f"a Prandtl number of {pr:g}", expected="0.6 to 60: is the temperature in kelvin?")
    if boundary_layer == "laminar" or (boundary_layer == "mixed" and re <= TRANSITION):
        nu = 0.664 * re**0.5
    else:
        nu = 0.037 * re**0.8 - (871.0 if boundary_layer == "mixed" else 0.0)
    return float(nu * pr ** (1.0 / 3.0) * k / length)
