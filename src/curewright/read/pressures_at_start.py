"""Whether the pressures make sense at the first sample: a gauge taken for absolute, or vacuum for pressure, shows there.

Findings of this sort block nothing: somebody may have started the recorder late. Levels are our own choice (no source): the air at any
site is 50 to 115 kPa absolute.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import Place
from curewright.terms.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.load import Assignment, Load
    from curewright.terms.run import Channel, Run

AIR = (50e6, 115e6)  # mPa absolute
NOTHING = 20e6  # mPa: a vessel that is not under pressure
BAGS = ("bag transducer", "source")


def at_start(load: Load, run: Run) -> Iterator[Finding]:
    """Findings about the vessel's pressure and the bags' at the start of the record."""
    vessels = list(_first(load, run, ("vessel pressure",)))
    for a, channel in vessels:
        first = float(channel.v[0])
        if channel.reference == "absolute" and not AIR[0] <= first <= AIR[1]:
            yield _strange(a, channel, "a vessel open to the air reads about one atmosphere absolute: is it gauge?")
        if channel.reference == "gauge" and AIR[0] <= first <= AIR[1]:
            yield _strange(a, channel, "a vessel open to the air reads about nothing on a gauge: is it absolute?")
    if any(channel.reference == "gauge" and float(channel.v[0]) > NOTHING for _, channel in vessels):
        return
    for a, channel in _first(load, run, BAGS):
        if channel.reference == "gauge" and float(channel.v[0]) > NOTHING:
            yield _strange(
                a,
                channel,
                "a bag is not above the air before there is pressure: is its sign, or its unit, another one?",
            )


def _first(load: Load, run: Run, roles: tuple[str, ...]) -> Iterator[tuple[Assignment, Channel]]:
    """Sensors of these roles whose first sample is a value, each once."""
    told: set[str] = set()
    for a in load.map:
        channel = run.channels.get(a.channel)
        if a.role in roles and a.sensor not in told and channel is not None and len(channel.t) and not channel.bad[0]:
            told.add(a.sensor)
            yield a, channel


def _strange(a: Assignment, channel: Channel, asks: str) -> Finding:
    reading = f"{abs(channel.unit.from_grains(abs(float(channel.v[0])))):.3g} {channel.unit.name}"
    message = f"{a.sensor} ({a.thing}) reads {reading} at the start of the record; {asks} If it is as it should be, there is nothing to do"
    return Finding(
        "pressure strange at the start",
        a.sensor,
        message,
        (Place(channel.file, int(channel.row[0])), Place(a.file, a.line)),
    )
