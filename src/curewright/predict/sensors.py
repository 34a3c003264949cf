"""What a sensor of the load recorded: the sensor map's lines say on which channel it was, from when to when."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from curewright.terms.load import Assignment, Load
    from curewright.terms.run import Channel, Run


def channel_of(run: Run, load: Load, sensor: str) -> Channel | None:
    """The samples of a sensor as one channel, see :func:`channel_along`."""
    return channel_along(run, (line for line in load.map if line.sensor == sensor))


def channel_along(run: Run, lines: Iterable[Assignment]) -> Channel | None:
    """The samples that one sensor's lines of the map name, each within its time; None where none of their channels was recorded.

    A sensor that was re-plugged has the name of the channel that it was on first.
    """
    plugged = sorted((line for line in lines if line.channel in run.channels), key=lambda line: line.start)
    pieces = [_within(run.channels[line.channel], line) for line in plugged]
    if len(pieces) < 2:
        return pieces[0] if pieces else None
    return _with(pieces[0], lambda name: np.concatenate([getattr(one, name) for one in pieces]))


def _within(channel: Channel, line: Assignment) -> Channel:
    first, last = np.searchsorted(channel.t, [line.start, line.end])
    return (
        channel if last - first == channel.t.size else _with(channel, lambda name: getattr(channel, name)[first:last])
    )


def _with(channel: Channel, samples: Callable[[str], Any]) -> Channel:
    """The channel with other samples."""
    changed = {name: samples(name) for name in ("t", "v", "bad", "raw", "row")}
    return replace(channel, bridged=None, **changed)


def known(channel: Channel) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants [s] and temperatures [K] of the samples that are values, of several at one instant the first."""
    t, grains = values_of(channel)
    return t, grains / 1e6


def values_of(channel: Channel) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants [s] and grains of the samples that are values, of several at one instant the first."""
    keep = ~channel.bad & np.isfinite(channel.v)
    t, first = np.unique(channel.t[keep] / 1e9, return_index=True)
    return t, channel.v[keep][first]
