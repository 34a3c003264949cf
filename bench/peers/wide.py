"""What a peer is handed, ready made and outside the clock: one table of readings, and who sits where."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from bench.scenario import Scenario

NEVER = 2**62
LARGEST_GAP, LOST_AFTER = 120 * 10**9, 180 * 10**9


@dataclass(eq=False)
class Wide:
    """``t``: common axis [ns]; ``table``: (channels, instants) in grains, NaN where there is no good sample.

    ``bad``: instants of bad samples, by channel.
    """

    t: np.ndarray
    names: list[str]
    table: np.ndarray
    bad: dict[str, np.ndarray]
    states: dict[str, tuple[str, ...]]
    parts: dict[str, list[str]]  # serial -> thermocouples
    bags: dict[str, str]  # serial -> transducer
    valves: dict[str, str]
    air: list[str]
    entries: dict[str, tuple[int, int]]  # serial -> source closed, opened
    end: int
    row: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        self.row = {name: i for i, name in enumerate(self.names)}


def wide(scenario: Scenario) -> Wide:
    """The table of a scenario; vacuum counts downwards as the gauge shows it."""
    run, load = scenario.run, scenario.load
    t = run.channels["SEGMENT"].t
    table = np.full((len(run.channels), len(t)), np.nan)
    bad = {}
    for i, (name, channel) in enumerate(run.channels.items()):
        sign = -1.0 if channel.unit.reference == "vacuum" else 1.0
        table[i, np.searchsorted(t, channel.t)] = np.where(channel.bad, np.nan, sign * channel.v)
        bad[name] = channel.t[channel.bad]
    roles: dict[tuple[str, str], list[str]] = {}
    for line in load.map:
        roles.setdefault((line.role, line.thing), []).append(line.channel)
    entries = {entry.thing: (entry.at, entry.until or entry.at) for entry in run.entries}
    return Wide(
        t,
        list(run.channels),
        table,
        bad,
        {name: channel.states for name, channel in run.channels.items() if channel.states},
        {part.serial: sorted(roles["judging", part.serial]) for part in load.parts},
        {part.serial: roles["bag transducer", part.bag][0] for part in load.parts},
        {part.serial: roles["source valve", part.bag][0] for part in load.parts},
        sorted(roles["air", "V1"]),
        {part.serial: entries[part.bag] for part in load.parts},
        run.closing.end if run.closing else int(t[-1]),
    )
