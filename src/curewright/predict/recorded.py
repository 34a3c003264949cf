"""What a load saw of its vessel in a recorded run: the mean of the air thermocouples, the vessel's pressure, the bags' transducers.

Samples that follow each other faster are taken as means over half a minute, which is short against any film of gas on a tool. Bad samples
and gaps are bridged straight (noted where longer than a minute): a replay needs a course without holes, and is no evidence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.predict.sensors import channel_along, values_of
from curewright.predict.surroundings import AIR_ERROR, PRESSURE_ERROR, Surroundings, straightened
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from curewright.terms.course import Course
    from curewright.terms.load import Load, Vessel
    from curewright.terms.run import Channel, Run

STANDARD_ATMOSPHERE = 101_325.0  # Pa
AVERAGED = 30.0  # s
BRIDGED = 60.0  # s: a longer hole is told


def recorded(run: Run, vessel: Vessel, load: Load) -> Surroundings:
    """What the load saw. Raises :class:`CurewrightError` where no air thermocouple or no vessel pressure was recorded."""
    notes: list[str] = []
    site = _site(run, vessel, notes)
    air = mean_air(run, load, notes)
    pressures = [_pressure(channel, site, notes) for channel in recorded_as(run, load, "vessel pressure")]
    if air is None:
        raise no_air()
    if not pressures:
        raise _nothing("vessel pressure", "vessel pressure", "the pressure in the vessel")
    bags = {
        bag.name: _pressure(channel, site, notes)
        for bag in load.bags
        for channel in recorded_as(run, load, "bag transducer", bag.name)[:1]
    }
    notes += [
        f"bag {bag.name} has no transducer: its pressure is not known" for bag in load.bags if bag.name not in bags
    ]
    if len(pressures) > 1:
        notes.append("of several vessel pressures the first is taken")
    return Surroundings(
        kind="recorded",
        air=straightened(*air, AIR_ERROR),
        pressure=pressures[0],
        bags=bags,
        site=site,
        segments=_segments(recorded_as(run, load, "set point")),
        notes=tuple(dict.fromkeys(notes)),
    )


def no_air() -> CurewrightError:
    """What is said of a run without a temperature of the air."""
    return _nothing("air thermocouple", "air", "the temperature of the air")


def _nothing(what: str, role: str, wanted: str) -> CurewrightError:
    return CurewrightError(
        f"no {what} of this run has samples",
        expected=f"{wanted}, to know what the load saw",
        remedy=f"give the sensor the role '{role}' in the sensor map",
    )


def _site(run: Run, vessel: Vessel, notes: list[str]) -> float:
    """Pressure of the air outside [Pa]: the barometer's, else the vessel file's, else a standard atmosphere (told)."""
    if run.barometer is not None:
        return run.barometer / 1e3
    if vessel.site_pressure is None:
        notes.append("no barometer and no pressure of the site: a standard atmosphere is taken (ISO 2533)")
    return site_of(vessel)


def site_of(vessel: Vessel) -> float:
    """Pressure of the air at the site [Pa] by the vessel file; a standard atmosphere where it has none (ISO 2533)."""
    return vessel.site_pressure.grains / 1e3 if vessel.site_pressure else STANDARD_ATMOSPHERE


def recorded_as(run: Run, load: Load, role: str, thing: str | None = None) -> list[Channel]:
    """What the sensors recorded that the sensor map gives a role (and a thing), each as one channel with samples."""
    lines = [one for one in load.map if one.role == role and thing in (None, one.thing)]
    sensors = dict.fromkeys(one.sensor for one in lines)
    found = [channel_along(run, (one for one in lines if one.sensor == sensor)) for sensor in sensors]
    return [channel for channel in found if channel is not None and channel.t.size]


def good(channel: Channel, notes: list[str]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """As :func:`values_of`, with a note of the longest hole that will be bridged."""
    t, v = values_of(channel)
    if t.size > 1:
        longest = float(np.max(np.diff(t)))
        usual = float(np.median(np.diff(t)))
        if longest > max(BRIDGED, 2.0 * usual):
            notes.append(f"{channel.name}: {longest / 60:.1f} min without a value are bridged by a straight line")
    return t, v


def mean_air(run: Run, load: Load, notes: list[str]) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Instants [s] and the mean of the air thermocouples [K] wherever at least one is known, over half a minute; None where none is."""
    courses = [
        found for found in (good(channel, notes) for channel in recorded_as(run, load, "air")) if found[0].size > 1
    ]
    if not courses:
        return None
    t = np.unique(np.concatenate([at for at, _ in courses]))
    each = np.array([np.interp(t, at, v / 1e6, left=np.nan, right=np.nan) for at, v in courses])
    return _averaged(t, np.nanmean(each, axis=0))


def _averaged(t: NDArray[np.float64], v: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Means over half a minute of instants and values; the first and the last sample stay, so that the course keeps its ends."""
    blocks = np.floor((t - t[0]) / AVERAGED).astype(np.int64)
    starts = np.flatnonzero(np.diff(blocks, prepend=-1) != 0)
    counts = np.diff(np.append(starts, t.size))
    mean_t, mean_v = np.add.reduceat(t, starts) / counts, np.add.reduceat(v, starts) / counts
    inside = (mean_t > t[0]) & (mean_t < t[-1])
    return (
        np.concatenate([t[:1], mean_t[inside], t[-1:]]),
        np.concatenate([v[:1], mean_v[inside], v[-1:]]),
    )


def _pressure(channel: Channel, site: float, notes: list[str]) -> Course:
    t, v = good(channel, notes)
    if t.size < 2:
        raise CurewrightError(f"{channel.name} has {t.size} values", expected="at least two")
    return straightened(*_averaged(t, v / 1e3 + (0.0 if channel.reference == "absolute" else site)), PRESSURE_ERROR)


def _segments(channels: Iterable[Channel]) -> tuple[tuple[float, str], ...]:
    """Start [s] and name of each segment that a recorded program names."""
    for channel in channels:
        if channel.kind == "state" and channel.states:
            keep = ~channel.bad
            t, v = channel.t[keep] / 1e9, channel.v[keep].astype(np.int64)
            starts = np.flatnonzero(np.diff(v, prepend=-1) != 0)
            return tuple((float(t[i]), channel.states[v[i]]) for i in starts)
    return ()
