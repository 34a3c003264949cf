"""How far a crossing and a duration may be off in time, because the temperature is: u(t) = u(T) / |dT/dt| at the crossing.

A slow entry into a soak makes its start uncertain by minutes. Source: JCGM 100 (law of propagation); the application is common practice,
no source.
"""

from __future__ import annotations

from math import fsum, hypot, inf

Crossing = tuple[float, tuple[tuple[str, float], ...]]  # slope; (key, u) of each error


def uncertainty_of_duration(start: Crossing, end: Crossing) -> float:
    """Standard uncertainty of the time from one crossing to another.

    An error that both crossings have moves them by ``-b / slope`` each: entering upwards and leaving downwards, it makes the stay longer or
    shorter at both ends, so the two add up. Errors that only one has add in squares.

    start, end : (slope, errors), errors as (key, u) pairs; a key that both have is one shared error.
    """
    (start_slope, start_errors), (end_slope, end_errors) = start, end
    if start_slope == 0 or end_slope == 0:
        return inf
    keys = dict.fromkeys([*dict(start_errors), *dict(end_errors)])
    moves = [
        fsum((dict(start_errors).get(key, 0.0) / start_slope, -dict(end_errors).get(key, 0.0) / end_slope))
        for key in keys
    ]
    return hypot(*moves)
