"""Whether the thermocouples agreed before heating: all are read at ambient before use (common practice of repair manuals).

Each thermocouple's first sample is held against the median of all; how far it may be from it is stated in the vessel file, else
nothing is checked and the finding says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import Place
from curewright.terms.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.load import Assignment, Load, Ruling, Vessel
    from curewright.terms.run import Channel, Run

THERMOCOUPLES = ("judging", "information only", "tool", "air")


def at_ambient(vessel: Vessel, load: Load, run: Run, rulings: tuple[Ruling, ...] = ()) -> Iterator[Finding]:
    """Findings about thermocouples that disagree, or gave no reading, at the first sample of the record."""
    first = _first_of_each(load, run)
    if not first:
        return
    if vessel.agreement_at_ambient is None:
        message = "whether the thermocouples agree at ambient was not checked: no tolerance stated"
        remedy = "; state 'agreement at ambient: within …' in the vessel file"
        yield Finding("agreement at ambient not checked", vessel.name, message + remedy, (Place(vessel.file),))
        return
    for a, channel in first.values():
        if channel.bad[0]:
            message = f"the thermocouple {a.sensor} ({a.thing}) gave no reading at the start of the record"
            yield Finding(
                "no reading at ambient",
                a.sensor,
                message,
                (Place(channel.file, int(channel.row[0])), Place(a.file, a.line)),
            )
    good = {name: pair for name, pair in first.items() if not pair[1].bad[0]}
    middle = float(np.median([channel.v[0] for _, channel in good.values()])) if good else 0.0
    for a, channel in good.values():
        off = abs(float(channel.v[0]) - middle)
        if off > vessel.agreement_at_ambient.grains:
            yield _disagrees(vessel, a, channel, middle, _whole_run(a, run, rulings))


def _first_of_each(load: Load, run: Run) -> dict[str, tuple[Assignment, Channel]]:
    """The thermocouples that were plugged in when their channel began, by sensor."""
    found = {}
    for a in load.map:
        channel = run.channels.get(a.channel)
        if channel is None or channel.unit.quantity != "temperature" or not len(channel.t):
            continue
        if a.role in THERMOCOUPLES and a.start <= channel.t[0] < a.end:
            found[a.sensor] = (a, channel)
    return found


def _whole_run(a: Assignment, run: Run, rulings: tuple[Ruling, ...]) -> bool:
    channel = run.channels[a.channel]
    return any(
        r.kind == "set aside"
        and r.sensor in (a.sensor, a.channel)
        and r.start <= channel.t[0]
        and r.end >= channel.t[-1]
        for r in rulings
    )


def _disagrees(vessel: Vessel, a: Assignment, channel: Channel, middle: float, set_aside: bool) -> Finding:
    unit, tolerance = channel.unit, vessel.agreement_at_ambient
    reading, median = (f"{unit.from_grains(grains):.2f}" for grains in (float(channel.v[0]), middle))
    message = (
        f"the thermocouple {a.sensor} ({a.thing}) reads {reading} {unit.name} at the start of the record, "
        f"the median of all is {median} {unit.name}, and {tolerance} apart is allowed"
    )
    if set_aside:
        message += "; it is set aside by a ruling"
    blocks = () if set_aside or a.role == "information only" else (a.thing,)
    places = (Place(channel.file, int(channel.row[0])), Place(a.file, a.line))
    return Finding("thermocouples disagree at ambient", a.sensor, message, places, blocks, (a.sensor,))
