"""How well the gas of the vessel heats a surface: a film coefficient h [W/m²/K] against pressure (absolute) and temperature.

Three forms, since published values differ by a factor of two from place to place on one tool:

- straight in pressure, h = a + b p, as Johnston, Vaziri and Poursartip (2001) fitted it (constants from memory; whether their pressure
  is gauge or absolute is not confirmed: 20 against 29 W/m²/K at ambient);
- a power, h = h0 (p/p0)^n: theory says 0.8 for a turbulent and 0.5 for a laminar boundary layer, fits imply 0.5 to 0.7;
- a plate along the flow, from the gas and its speed, which is the upper bound that a survey can be held against.

Measure your own vessel: a body of known heat capacity whose temperature evens out with the gas gives h
(:func:`curewright.physics.fitting.calorimeter.coefficient`), several pressures give the form
(:func:`curewright.physics.fitting.survey.fit_survey`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.gas import Gas

TRANSITION = 5e5  # Reynolds number of a smooth plate, textbook
ATMOSPHERE = 101325.0


class ConvectionError(CurewrightError):
    """A form of convection outside what it can be used for."""


@dataclass(frozen=True)
class StraightInPressure:
    """h = a + b p [W/m²/K], p absolute [Pa]. Positive at every pressure within ``pressures``, refused outside them.

    >>> round(float(StraightInPressure(20.1, 9.3e-5, (1e5, 12e5)).coefficient(np.array([7e5]))[0]), 1)  # printed 85 at 7 bar
    85.2
    """

    a: float
    b: float
    pressures: tuple[float, float]

    def coefficient(self, p: NDArray[np.float64]) -> NDArray[np.float64]:
        """h [W/m²/K], shape of p [Pa absolute]. Raises :class:`ConvectionError` outside the range."""
        return self.a + self.b * _within(p, self.pressures)


@dataclass(frozen=True)
class PowerOfPressure:
    """h = h0 (p/p0)^n [W/m²/K], p absolute [Pa], n from 0 (no effect) to 1; refused outside ``pressures``.

    >>> round(float(PowerOfPressure(20.0, 1e5, 0.8, (1e5, 12e5)).coefficient(np.array([7e5]))[0] / 20.0), 2)  # printed 4.74
    4.74
    """

    h0: float
    p0: float
    n: float
    pressures: tuple[float, float]

    def __post_init__(self) -> None:
        if not 0.0 <= self.n <= 1.0:
            raise ConvectionError(f"an exponent of {self.n:g}", expected="0 to 1: 0.8 is a turbulent boundary layer")

    def coefficient(self, p: NDArray[np.float64]) -> NDArray[np.float64]:
        """h [W/m²/K], shape of p [Pa absolute]. Raises :class:`ConvectionError` outside the range."""
        return self.h0 * (_within(p, self.pressures) / self.p0) ** self.n


JOHNSTON_2001 = StraightInPressure(20.1, 9.3e-5, (ATMOSPHERE, 10e5))  # from memory, taken as absolute


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


def through_bag(h: float, resistance: float) -> float:
    """What is left of a film coefficient [W/m²/K] behind bag layers of a thermal resistance [m² K/W].

    >>> round(through_bag(70.0, 0.001 / 0.07), 1)  # a millimetre of breather halves it
    35.0
    """
    return 1.0 / (1.0 / h + resistance)


def _within(p: NDArray[np.float64], pressures: tuple[float, float]) -> NDArray[np.float64]:
    low, high = pressures
    if np.any((p < low) | (p > high)):
        raise ConvectionError(
            f"a pressure from {np.min(p) / 1e5:.3g} to {np.max(p) / 1e5:.3g} bar absolute",
            expected=f"{low / 1e5:.3g} to {high / 1e5:.3g} bar absolute, over which the film coefficient is known",
        )
    return p
