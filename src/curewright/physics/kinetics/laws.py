"""Every kinetic law by a whole number, so that compiled code can take any of them: the names, their constants, rate and slopes.

A law that jumps (Lee 1982) has two branches, and the constant numbered SWITCH is where it jumps; the others stay on branch 0.
A new law is one file beside this one, and a line in each of the four places here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.kinetics import (
    autocatalytic,
    autocatalytic_with_diffusion,
    kamal_sourour,
    lee_1982,
    nth_order,
    two_rates_with_diffusion,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LEE_1982, AUTOCATALYTIC_WITH_DIFFUSION, NTH_ORDER, KAMAL_SOUROUR, TWO_RATES_WITH_DIFFUSION, AUTOCATALYTIC = range(6)
LAWS = {
    lee_1982.NAME: LEE_1982,
    autocatalytic_with_diffusion.NAME: AUTOCATALYTIC_WITH_DIFFUSION,
    nth_order.NAME: NTH_ORDER,
    kamal_sourour.NAME: KAMAL_SOUROUR,
    two_rates_with_diffusion.NAME: TWO_RATES_WITH_DIFFUSION,
    autocatalytic.NAME: AUTOCATALYTIC,
}
VALUES: dict[str, tuple[str, ...]] = {
    law.NAME: law.VALUES
    for law in (
        lee_1982,
        autocatalytic_with_diffusion,
        nth_order,
        kamal_sourour,
        two_rates_with_diffusion,
        autocatalytic,
    )
}
JUMPS = LEE_1982  # the one law with two branches
SWITCH = lee_1982.SWITCH
NEVER = 2.0  # a degree of cure that is not reached

# compiled code takes functions by plain names
rate_0, slopes_0 = lee_1982.rate_of_cure, lee_1982.slopes_of_rate
rate_1, slopes_1 = autocatalytic_with_diffusion.rate_of_cure, autocatalytic_with_diffusion.slopes_of_rate
rate_2, slopes_2 = nth_order.rate_of_cure, nth_order.slopes_of_rate
rate_3, slopes_3 = kamal_sourour.rate_of_cure, kamal_sourour.slopes_of_rate
rate_4, slopes_4 = two_rates_with_diffusion.rate_of_cure, two_rates_with_diffusion.slopes_of_rate
rate_5, slopes_5 = autocatalytic.rate_of_cure, autocatalytic.slopes_of_rate


def _rate(law: int, T: float, alpha: float, values: NDArray[np.float64], branch: int) -> float:
    """dα/dt [1/s] of the law with that number, at a temperature [K]; constants in its order of VALUES, in SI units."""
    if law == 0:
        return rate_0(T, alpha, values, branch)
    if law == 1:
        return rate_1(T, alpha, values, branch)
    if law == 2:
        return rate_2(T, alpha, values, branch)
    if law == 3:
        return rate_3(T, alpha, values, branch)
    if law == 4:
        return rate_4(T, alpha, values, branch)
    return rate_5(T, alpha, values, branch)


def _slopes(law: int, T: float, alpha: float, values: NDArray[np.float64], branch: int) -> tuple[float, float]:
    """How that rate changes with temperature [1/s/K] and with α [1/s], exactly; on its own branch where the law jumps."""
    if law == 0:
        return slopes_0(T, alpha, values, branch)
    if law == 1:
        return slopes_1(T, alpha, values, branch)
    if law == 2:
        return slopes_2(T, alpha, values, branch)
    if law == 3:
        return slopes_3(T, alpha, values, branch)
    if law == 4:
        return slopes_4(T, alpha, values, branch)
    return slopes_5(T, alpha, values, branch)


def _jump(law: int, values: NDArray[np.float64]) -> float:
    """The degree of cure above which branch 1 holds; :data:`NEVER` for a law without a jump."""
    return values[SWITCH] if law == JUMPS else NEVER


rate = compiled("float64(int64, float64, float64, float64[::1], int64)")(_rate)
slopes = compiled("UniTuple(float64, 2)(int64, float64, float64, float64[::1], int64)")(_slopes)
jump = compiled("float64(int64, float64[::1])")(_jump)
