"""How fast an export is read, beside polars' ``read_csv`` with its defaults on the same bytes.

Ours does more: SHA-256, times to instants with their zone, codes and ranges, grains, lines of every sample, and it refuses what does not
fit. Both in one process, in turn, warm; with ``POLARS_MAX_THREADS`` at 1 (the default here) both have one thread, otherwise all cores.
"""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from hashlib import sha256
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np

from bench import measure
from curewright.jobs.cores import in_threads
from curewright.read.layout_file import read_layout
from curewright.read.recorder import read_export

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from bench.scenario import Size
    from curewright.read.layout import Layout

START = datetime(2031, 3, 4, 6)
LAYOUT = """layout: bench
encoding: utf-8
separator: comma
decimal sign: point
lines before the header: 0
header rows: names
time: {{columns: Time, format: iso, zone: Europe/Berlin}}
blank means: lost
open codes: ["9999", OL]
columns:
  - {{columns: [{columns}], unit: degC, kind: continuous, bad outside: -20 to 400}}
"""


def export(size: Size) -> tuple[bytes, Layout]:
    """An invented export, the same for one size: as many columns as the scenario has channels, one decimal, and its layout."""
    columns, rows = 7 * size.parts + 20, int(size.hours * 3600) // size.every
    names = [f"T{n:03d}" for n in range(columns)]
    noise = np.random.default_rng(7).integers(-5, 6, (64, columns))
    ramp = np.clip(np.linspace(0, 3, rows), 0, 1) * 1600 + 200
    lines = [",".join(["Time", *names])]
    for row in range(rows):
        tenths = noise[row % 64] + int(ramp[row])
        cells = ",".join([f"{tenth // 10}.{tenth % 10}" for tenth in tenths.tolist()])
        lines.append(f"{START + timedelta(seconds=row * size.every)},{cells}")
    content = ("\n".join(lines) + "\n").encode()
    return content, read_layout(LAYOUT.format(columns=", ".join(names)).encode(), "layout.yaml")


def ours(content: bytes, layout: Layout, each: Callable[..., Iterable[Any]]) -> Callable[[], float]:
    """A call that hashes and reads the export; gives the sum of the last values, so that nothing is left out."""

    def read() -> float:
        made = read_export(content, "export.csv", layout, each)
        return float(sum(channel.v[-1] for channel in made.channels(made.first)[0].values()))

    def both() -> float:
        return float(list(each(lambda call: call(), (lambda: len(sha256(content).hexdigest()), read)))[1])

    return both


def run(size: Size, rounds: int) -> None:
    """Prints both, and their ratio."""
    import polars as pl

    content, layout = export(size)
    one = os.environ["POLARS_MAX_THREADS"] == "1"
    mine = ours(content, layout, map if one else in_threads)

    def theirs() -> object:
        return pl.read_csv(BytesIO(content))

    samples = (content.count(b",") // 1000) / 1000
    print(
        f"\nReading: {len(content) / 1e6:.0f} MB of CSV, {samples:.1f} million samples; {'one thread' if one else 'all cores'} each"
    )
    print(measure.row("", "wall", "processor", "wall ratio", "proc. ratio"))
    mine()
    theirs()
    found = measure.in_turn({"ours (hash, times, checks)": mine, "polars read_csv": theirs}, rounds)
    base = found["polars read_csv"]
    for name, seconds in found.items():
        clocks = [measure.median(seconds, clock) for clock in (0, 1)]
        ratios = [f"{measure.median(seconds, clock) / measure.median(base, clock):.2f}" for clock in (0, 1)]
        print(measure.row(name, *map(measure.shown, clocks), *ratios))
