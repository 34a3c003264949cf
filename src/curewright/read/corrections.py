"""Corrections by certificate, applied to the channels that a sensor was on; what was recorded is kept beside what is judged.

A correction is added to the reading as displayed, in the unit that was recorded, before anything becomes grains: 359.4 °F and
+0.6 °F are 360.0 °F exactly. A vacuum reading is corrected as displayed, too (bigger is emptier).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.load import ALWAYS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import date

    from curewright.terms.load import Load, Sensor, Vessel
    from curewright.terms.run import Channel
    from curewright.terms.units import Quantity


OF_A_RECORDER = "recorder channel"  # such a correction is the first recorder's, not that of a second one


def corrected(
    channels: Mapping[str, Channel], vessel: Vessel, load: Load, day: date
) -> tuple[dict[str, Channel], tuple[str, ...]]:
    """The channels with the corrections valid on that day, and notes that say what was added. ``raw`` stays as recorded.

    A channel of a second recorder takes the corrections of its sensor, but not that of the first recorder's channel.
    """
    made, notes = dict(channels), []
    for name, channel in channels.items():
        for sensor, start, end in _sensors_of(channel.second_of or name, vessel, load):
            for correction in sensor.corrections:
                if channel.second_of and correction.of == OF_A_RECORDER:
                    continue
                if correction.valid_from <= day <= correction.valid_to and _fits(channel, correction.add):
                    made[name] = _added(made[name], correction.add, start, end)
                    certificate = f"{correction.of}, certificate {correction.certificate}"
                    notes.append(
                        f"{name}: {correction.add.number:+} {correction.add.unit.name} added ({sensor.name}, {certificate})"
                    )
    return made, tuple(notes)


def _sensors_of(channel: str, vessel: Vessel, load: Load) -> Iterator[tuple[Sensor, int, int]]:
    """The sensors that were on a channel and when: as the map says, else the one that the vessel file puts there."""
    sensors = {sensor.name: sensor for sensor in vessel.sensors}
    lines = {(a.sensor, a.start, a.end) for a in load.map if a.channel == channel and a.sensor in sensors}
    if {name for name, _, _ in lines} <= {next((s.name for s in vessel.sensors if s.channel == channel), "")}:
        lines = {(sensor.name, -ALWAYS, ALWAYS) for sensor in vessel.sensors if sensor.channel == channel}
    for name, start, end in sorted(lines):
        yield sensors[name], start, end


def _fits(channel: Channel, add: Quantity) -> bool:
    return add.unit.quantity == f"{channel.unit.quantity} difference"


def _added(channel: Channel, add: Quantity, start: int, end: int) -> Channel:
    """The channel with a correction over [start, end), in its own unit; the sum becomes whole grains once more.

    The reading as displayed comes back from its grain exactly, as long as it has no more decimals than a grain supports.
    """
    unit = channel.unit
    sign = -1.0 if unit.reference == "vacuum" else 1.0
    same = add.unit.name == unit.name.removesuffix(" of vacuum").removesuffix(" gauge").removesuffix(" absolute")
    amount = float(add.number) if same or add.unit.scale == unit.scale else add.grains / unit.scale
    inside = (channel.t >= start) & (channel.t < end)
    displayed = np.round(sign * channel.v / unit.scale - unit.offset, unit.decimals)
    grains = sign * unit.to_grains(displayed + amount)
    return replace(channel, v=np.where(inside, grains, channel.v))
