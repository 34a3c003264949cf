"""A planned cycle through a simple vessel: how the air follows its set point, what the pressure does, when the bags are vented.

::

    dT/dt = (set point - T) / lag,   never above heating / thermal mass, never below -cooling / thermal mass

The vessel is one lump (common practice for planning, no source): its air has one temperature. The pressure follows its program exactly.
A bag that is vented comes to the atmosphere within half a minute (our own choice, as in the demo).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import TYPE_CHECKING

import numpy as np

from curewright.predict.surroundings import AIR_ERROR, Surroundings, straightened
from curewright.terms.course import Course, first_reached
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from curewright.terms.cycle import Cycle, Segment, VesselHeat

STEP = 5.0  # s: how finely the air is followed
VENTING = 30.0  # s
STEEPER = 1.001  # times the vessel's greatest rate: a ramp at just that rate is followed
LONGEST_RUN = 14 * 86400.0  # s


@dataclass(frozen=True)
class Timetable:
    """When each segment of a cycle starts [s], when the last one ends, and the set point and pressure as straight pieces."""

    starts: tuple[float, ...]
    end: float
    set_point: Course
    pressure: Course


def timetable(cycle: Cycle, holds: Mapping[int, float]) -> Timetable:
    """The segments of a cycle one after another; ``holds``: how long [s] each hold lasts that waits for a thermocouple.

    One that is not in ``holds`` lasts as long as the cycle lets it.
    """
    now, air = 0.0, cycle.air
    starts: list[float] = []
    points = [(0.0, air)]
    for index, segment in enumerate(cycle.segments):
        starts.append(now)
        if segment.target is not None and segment.rate is not None:
            now += abs(segment.target - air) / segment.rate
            air = segment.target
        else:
            now += holds.get(index, _longest(segment))
        points.append((now, air))
    if not 0.0 < now <= LONGEST_RUN:
        raise CurewrightError(
            f"the cycle {cycle.name} lasts {now / 3600:.1f} h",
            expected=f"more than nothing and at most {LONGEST_RUN / 3600:.0f} h",
            remedy="correct its rates and holds",
        )
    return Timetable(tuple(starts), now, _line(points), _pressure(cycle, starts, now))


def _longest(segment: Segment) -> float:
    return segment.longest if segment.longest is not None else segment.hold or 0.0


def _line(points: Sequence[tuple[float, float]]) -> Course:
    """Points in order of time; of several at one instant the last counts."""
    by_time = dict(points)
    return Course(np.array(list(by_time)), np.array(list(by_time.values())))


def _pressure(cycle: Cycle, starts: Sequence[float], end: float) -> Course:
    """The vessel's pressure [Pa gauge]: each segment with a pressure sets it moving, from wherever it is by then."""
    moves = [
        (start, segment.pressure, segment.pressure_rate)
        for start, segment in zip(starts, cycle.segments, strict=True)
        if segment.pressure is not None and segment.pressure_rate is not None
    ]
    points = [(0.0, cycle.pressure)]
    ends = [*(start for start, *_ in moves[1:]), end]
    for (start, target, rate), until in zip(moves, ends[-len(moves) :] if moves else (), strict=True):
        before = points[-1][1]
        arrives = start + abs(target - before) / rate
        points.append((start, before))
        if arrives <= until:
            points.append((arrives, target))
        else:
            share = (until - start) / (arrives - start)
            points.append((until, before + share * (target - before)))
    points.append((end, points[-1][1]))
    return _line(points)


def air_of(set_point: Course, heat: VesselHeat) -> Course:
    """The air's temperature [K] that follows a set point, from the set point's own start."""
    t = instants(set_point)
    fastest, slowest = heat.heating / heat.thermal_mass, -heat.cooling / heat.thermal_mass
    return straightened(t, followed(t, set_point.at(t), heat.lag, fastest, slowest), AIR_ERROR)


def instants(set_point: Course) -> NDArray[np.float64]:
    """Where the air is followed [s]: every few seconds, and at every point of its set point."""
    return np.unique(np.concatenate([np.arange(set_point.t[0], set_point.t[-1], STEP), set_point.t]))


def followed(
    t: NDArray[np.float64],
    wanted: NDArray[np.float64],
    lag: float,
    fastest: float,
    slowest: float,
    start: float | None = None,
) -> NDArray[np.float64]:
    """The air's temperature [K] at instants t [s], shape (n,), that follows what is wanted of it there.

    lag [s]; fastest, slowest : greatest and least rate [K/s]; start : its first temperature, the first one wanted where not given.
    """
    at, goal = t.tolist(), wanted.tolist()
    air = [goal[0] if start is None else start]
    for i in range(1, len(at)):
        h, now = at[i] - at[i - 1], air[-1]
        free = _lagged(now, goal[i - 1], (goal[i] - goal[i - 1]) / h, lag, h)
        air.append(min(max(free, now + slowest * h), now + fastest * h))
    return np.array(air)


def _lagged(air: float, wanted: float, slope: float, lag: float, h: float) -> float:
    """Where a first-order lag is after h seconds behind a set point that moves at ``slope`` (exact)."""
    if lag == 0.0:
        return wanted + slope * h
    steady = slope * lag
    return wanted + slope * h - steady + (air - wanted + steady) * exp(-h / lag)


def surroundings(
    cycle: Cycle, heat: VesselHeat, bags: Sequence[str], site: float, holds: Mapping[int, float]
) -> tuple[Surroundings, Timetable]:
    """What the load sees of a planned cycle; ``site`` [Pa absolute], ``holds`` as for :func:`timetable`."""
    table = timetable(cycle, holds)
    gauge = table.pressure
    vented = None if cycle.vented_at is None else first_reached(gauge.t, gauge.value, cycle.vented_at)
    bag = _bag(cycle.vacuum, vented, table.end)
    fitted = f", fitted to {heat.fitted_to}" if heat.fitted_to else ""
    notes = [
        f"cycle {cycle.name} revision {cycle.revision}{f' ({cycle.file})' if cycle.file else ''}, written by {cycle.author}",
        f"air by a lumped vessel: {heat.file or heat.vessel}, written by {heat.author}{fitted}",
        "bags without leaks",
        *_not_followed(cycle, heat),
    ]
    if cycle.vented_at is not None and vented is None:
        notes.append("the pressure at which the bags are vented is never reached")
    found = Surroundings(
        kind="planned",
        air=air_of(table.set_point, heat),
        pressure=Course(gauge.t, gauge.value + site),
        bags={name: Course(bag.t, bag.value + site) for name in bags},
        site=site,
        segments=tuple(zip(table.starts, (segment.name for segment in cycle.segments), strict=True)),
        vented=vented,
        notes=tuple(notes),
        set_point=table.set_point,
    )
    return found, table


def _not_followed(cycle: Cycle, heat: VesselHeat) -> Iterator[str]:
    """Ramps that are steeper than the vessel can heat or cool: the air falls behind its set point there."""
    before = cycle.air
    for segment in cycle.segments:
        if segment.target is None or segment.rate is None:
            continue
        up = segment.target > before
        most = (heat.heating if up else heat.cooling) / heat.thermal_mass
        if segment.target != before and segment.rate > STEEPER * most:
            yield (
                f"! segment '{segment.name}' is planned at {segment.rate * 60:.3g} K/min, and the vessel can {'heat' if up else 'cool'} at "
                f"{most * 60:.2g} K/min at most: its air falls behind its set point and would "
                f"arrive about {_late(abs(segment.target - before), segment.rate, most):.0f} min late"
            )
        before = segment.target


def _late(by: float, wanted: float, most: float) -> float:
    """By how much longer [min] a ramp takes at the vessel's own greatest rate."""
    return (by / most - by / wanted) / 60.0


def _bag(vacuum: float, vented: float | None, end: float) -> Course:
    if vented is None or vented + VENTING >= end:
        return _line([(0.0, vacuum), (end, vacuum)])
    return _line([(0.0, vacuum), (vented, vacuum), (vented + VENTING, 0.0), (end, 0.0)])
