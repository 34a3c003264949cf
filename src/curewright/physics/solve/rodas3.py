"""The method of integration: RODAS3, a Rosenbrock method of order 3 with four stages, L-stable, with an embedded one of order 2.

For y' = f(t, y) with Jacobian J and step h, stages K_i solve

    (1/(γ h) - J) K_i = f(t + α_i h, y0 + Σ a_ij K_j) + Σ (c_ij / h) K_j + h γ_i ∂f/∂t

    y1 = y0 + 2 K1 + K3 + K4,    error = K4

Source: Sandu, Verwer, Blom, Spee, Carmichael and Potra (1997), Atmos. Environ. 31, 3459-3472 (constants from memory; their order
conditions are checked in tests). No iteration, one factorisation a step; f is needed at three places only.

Between the ends of a step y(θ) = y0 + Σ m_i(θ) K_i, of our own making: of order 3 for linear problems, and the stiff parts follow what
drives them to second order in θ (the condition of index-1 equations), so that a thin metal cell is not thrown about between steps as it
is by an interpolation of the end slopes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GAMMA = 0.5
# y0 + Σ a_ij K_j: stages 1 and 2 are at y0, 3 at y0 + 2 K1, 4 at y0 + 2 K1 + K3
A = ((), (0.0,), (2.0, 0.0), (2.0, 0.0, 1.0))
C = ((), (4.0,), (1.0, -1.0), (1.0, -1.0, -8.0 / 3.0))
M = (2.0, 0.0, 1.0, 1.0)
AT = (0.0, 0.0, 1.0, 1.0)  # α_i
GT = (0.5, 1.5, 0.0, 0.0)  # γ_i


def _between(theta: float, m: NDArray[np.float64]) -> None:
    """Fills m, shape (4,), with the weights of the four stages at the fraction ``theta`` of a step.

    >>> import numpy as np
    >>> m = np.zeros(4)
    >>> _between(1.0, m); [round(float(one), 12) + 0.0 for one in m]  # as at the end of the step
    [2.0, 0.0, 1.0, 1.0]
    """
    square = theta * theta
    m[0] = 5.0 * theta - 3.0 * square
    m[1] = square - theta
    m[2] = square
    m[3] = theta * (6.0 + theta * (4.0 * theta - 9.0))


def _cubic(K1: float, K2: float, K3: float, K4: float) -> tuple[float, float, float]:
    """The same as a cubic: y(θ) = y0 + θ (line + θ (square + θ cube)).

    >>> sum(_cubic(1.0, 0.0, 0.0, 0.0)), sum(_cubic(0.0, 0.0, 0.0, 1.0))  # at the end of the step
    (2.0, 1.0)
    """
    return 5.0 * K1 - K2 + 6.0 * K4, (K2 + K3) - 3.0 * K1 - 9.0 * K4, 4.0 * K4


cubic = compiled("UniTuple(float64, 3)(float64, float64, float64, float64)")(_cubic)
between = compiled("void(float64, float64[::1])")(_between)
