"""The degree of cure along a recorded temperature: dα/dt = rate(T(t), α), with T linear between neighbouring samples.

Every sample is a stop, since the trace has a kink there. Between stops: the embedded Runge-Kutta pair of Dormand and Prince (1980),
orders 5 and 4, from memory, each step kept to 1e-10 in α. A law that jumps is followed on one branch up to the jump, which is found by
halving the step, then on the next branch. Accurate to 1e-7 (checked against SciPy at rtol 1e-10). From the first temperature that
is not a number on, nothing is known any more. The steps depend only on what lies before: a log cut anywhere gives the same bits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.kinetics.laws import jump, rate

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEP_ERROR = 1e-10
SHORTEST = 1e-6  # s: a step this short is taken as it comes


def _step(
    law: int, T: float, slope: float, alpha: float, h: float, values: NDArray[np.float64], branch: int
) -> tuple[float, float]:
    """α after h seconds from a temperature T that changes by ``slope`` K/s, and the estimated error."""
    k1 = rate(law, T, alpha, values, branch)
    k2 = rate(law, T + slope * h / 5.0, alpha + h * k1 / 5.0, values, branch)
    k3 = rate(law, T + slope * h * 0.3, alpha + h * (3.0 * k1 + 9.0 * k2) / 40.0, values, branch)
    k4 = rate(
        law, T + slope * h * 0.8, alpha + h * (44.0 * k1 / 45.0 - 56.0 * k2 / 15.0 + 32.0 * k3 / 9.0), values, branch
    )
    a5 = 19372.0 * k1 / 6561.0 - 25360.0 * k2 / 2187.0 + 64448.0 * k3 / 6561.0 - 212.0 * k4 / 729.0
    k5 = rate(law, T + slope * h * 8.0 / 9.0, alpha + h * a5, values, branch)
    a6 = 9017.0 * k1 / 3168.0 - 355.0 * k2 / 33.0 + 46732.0 * k3 / 5247.0 + 49.0 * k4 / 176.0 - 5103.0 * k5 / 18656.0
    k6 = rate(law, T + slope * h, alpha + h * a6, values, branch)
    end = alpha + h * (
        35.0 * k1 / 384.0 + 500.0 * k3 / 1113.0 + 125.0 * k4 / 192.0 - 2187.0 * k5 / 6784.0 + 11.0 * k6 / 84.0
    )
    k7 = rate(law, T + slope * h, end, values, branch)
    odd = (
        71.0 * k1 / 57600.0
        - 71.0 * k3 / 16695.0
        + 71.0 * k4 / 1920.0
        - 17253.0 * k5 / 339200.0
        + 22.0 * k6 / 525.0
        - k7 / 40.0
    )
    return end, abs(h * odd)


step = compiled("UniTuple(float64, 2)(int64, float64, float64, float64, float64, float64[::1], int64)")(_step)


def _reach(
    law: int, T: float, slope: float, alpha: float, h: float, values: NDArray[np.float64], level: float
) -> tuple[float, float]:
    """How long, within a step of h seconds on branch 0, until α passes ``level``, and α then (never below the level)."""
    short, long = 0.0, h
    for _ in range(60):
        middle = (short + long) / 2.0
        if step(law, T, slope, alpha, middle, values, 0)[0] > level:
            long = middle
        else:
            short = middle
    return long, max(step(law, T, slope, alpha, long, values, 0)[0], level)


reach = compiled("UniTuple(float64, 2)(int64, float64, float64, float64, float64, float64[::1], float64)")(_reach)


def _across(
    law: int, T: float, slope: float, alpha: float, seconds: float, values: NDArray[np.float64], branch: int
) -> tuple[float, float]:
    """α at the end of one stretch of straight temperature, and the branch (0 or 1) it ends on."""
    level = jump(law, values)
    done, h = 0.0, seconds
    while done < seconds:
        h = min(h, seconds - done)
        end, error = step(law, T + slope * done, slope, alpha, h, values, branch)
        if not error <= STEP_ERROR and h > SHORTEST:  # "not", so that no number is refused too
            h *= max(0.2, 0.9 * (STEP_ERROR / error) ** 0.2) if not np.isnan(error) else 0.2
            continue
        if end > 1.0:  # no law goes there: the step was too long, or what is too much lies within its error
            if end > 1.0 + STEP_ERROR and h > SHORTEST:
                h *= 0.5
                continue
            end = 1.0
        if branch == 0 and end > level:
            h, end = reach(law, T + slope * done, slope, alpha, h, values, level)
            branch = 1
        if h >= seconds - done:
            return end, float(branch)
        done += h
        alpha = end
        h *= 5.0 if error == 0.0 else min(5.0, 0.9 * (STEP_ERROR / error) ** 0.2)
    return alpha, float(branch)


across = compiled("UniTuple(float64, 2)(int64, float64, float64, float64, float64, float64[::1], int64)")(_across)


def _degree_of_cure(
    law: int, t: NDArray[np.int64], T: NDArray[np.float64], alpha: float, values: NDArray[np.float64]
) -> NDArray[np.float64]:
    found = np.full(t.size, np.nan)
    branch = 1 if alpha > jump(law, values) else 0
    for i in range(t.size):
        if i > 0:
            seconds = (t[i] - t[i - 1]) * 1e-9
            if seconds > 0.0 and not np.isnan(T[i]):
                alpha, ends_on = across(law, T[i - 1], (T[i] - T[i - 1]) / seconds, alpha, seconds, values, branch)
                branch = int(ends_on)
        if np.isnan(T[i]):
            break
        found[i] = alpha
    return found


degree_of_cure = compiled("float64[::1](int64, int64[::1], float64[::1], float64, float64[::1])")(_degree_of_cure)
