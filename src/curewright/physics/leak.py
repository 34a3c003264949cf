"""What a loss of vacuum says of a leak. A limit on the loss is no limit on the leak: the same hole empties a small bag faster.

Pressures in Pa (absolute or differences, as said), volumes in m³, times in s. For information beside a leak check, never a verdict.
"""

from __future__ import annotations

CHOKED_RATIO = 0.528  # of the pressure outside; air, ratio of heat capacities 1.4


def leak_flow(volume: float, rise: float, time: float) -> float:
    """Leak Q [Pa m³/s] of a volume whose pressure rises by ``rise`` [Pa] in ``time`` [s]: Q = V dp/dt, at constant temperature.

    >>> round(leak_flow(0.010, 2 * 3386.389, 300), 5)
    0.22576
    """
    return volume * rise / time


def free_air(flow: float, atmosphere: float) -> float:
    """The same leak as a volume of ambient air [m³/s] at the pressure of the atmosphere [Pa].

    >>> round(free_air(0.22576, 101325) * 1e6, 2)  # cm³/s
    2.23
    """
    return flow / atmosphere


def at_other_temperature(pressure: float, T_from: float, T_to: float) -> float:
    """Absolute pressure [Pa] of a sealed volume after its temperature changed [K]: a drift that looks like a leak.

    >>> round(at_other_temperature(10_000, 293.15, 303.15))
    10341
    """
    return pressure * T_to / T_from


def choked(inside: float, atmosphere: float) -> bool:
    """Whether air flows in at the speed of sound, so that dp/dt does not depend on the pressure inside (both absolute, Pa).

    Source: isentropic flow of air, critical ratio (2/2.4)^3.5 = 0.528 (textbook, from memory).
    """
    return inside < CHOKED_RATIO * atmosphere
