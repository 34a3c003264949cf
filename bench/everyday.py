"""What somebody at the prompt waits for: ``curewright judge`` on a folder of files, from prompt to record, in a process of its own.

``everyday``: 20 channels, 8 hours at 10 s, two parts, thirty requirements; the goal is 2 s, median of nine. ``large``: the whole
scenario, 300 channels for 12 hours at one row a second; the goal is 6 s and 1.5 GB. Compiled code is kept before (a first call is
not counted). The verdicts have to be those of the same cure judged in memory.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory, TemporaryFile
from time import perf_counter

from bench import measure
from bench.folder import on_paper, write_folder
from bench.paper import specification
from bench.scenario import Scenario, Size
from curewright.judge.judge import judge

EVERYDAY = Size(2, 8.0, 10)
CHANNELS = 20
COMMAND = [
    sys.executable,
    "-c",
    "from curewright.cli.main import main; main()",
    "judge",
]  # as the installed command does


def kept(channel: str) -> bool:
    """Whether the recorder of the everyday run has a channel: four thermocouples a part, three for the air, one vessel pressure."""
    if channel.startswith("TC"):
        return channel[-1] in "1234"
    return channel not in ("P2", "AIR4") and not (channel.startswith(("SRC", "VALVE")) and channel[-1] not in "12")


def everyday(rounds: int = 9) -> bool:
    """Prints the median of the everyday run; True where its verdicts are those of the same cure in memory."""
    print(f"\nEveryday: {CHANNELS} channels, 8 h at 10 s, prompt to record (goal: 2 s, median of nine)")
    with TemporaryDirectory() as folder:
        made = write_folder(Path(folder), EVERYDAY, keep=kept)
        return _measured(Path(folder), made, rounds, kept_only=True)


def large(size: Size, rounds: int = 1) -> bool:
    """Prints what the whole scenario takes; True where its verdicts are those of the same cure in memory."""
    print(
        f"\nLarge: {7 * size.parts + 20} channels, {size.hours:g} h at {size.every} s, prompt to record (goal at full size: 6 s and 1.5 GB)"
    )
    with TemporaryDirectory() as folder:
        made = write_folder(Path(folder), size)
        print(
            f"  {os.path.getsize(Path(folder) / 'recorder.csv') / 1e6:.0f} MB of CSV, {made.samples / 1e6:.1f} million samples"
        )
        return _measured(Path(folder), made, rounds)


def _measured(folder: Path, made: Scenario, rounds: int, *, kept_only: bool = False) -> bool:
    _judge(folder)  # compiles what is not kept yet
    found = [_judge(folder) for _ in range(rounds)]
    walls, busy, peak = (list(column) for column in zip(*found, strict=True))
    print(measure.row("", "median", "least", "processor", "peak RSS"))
    cells = (
        measure.shown(median(walls)),
        measure.shown(min(walls)),
        measure.shown(median(busy)),
        f"{max(peak) / 1e9:.2f} GB",
    )
    print(measure.row("curewright judge", *cells))
    equal = _outcomes_on_disk(folder) == _outcomes_in_memory(made, kept_only=kept_only)
    print("  verdicts as in memory" if equal else "  VERDICTS DIFFER from those in memory")
    return equal


def _judge(folder: Path) -> tuple[float, float, float]:
    """Seconds on the wall and of processor, and the most memory that the process or one of its own held [bytes]."""
    with TemporaryFile() as said:
        start = perf_counter()
        process = subprocess.Popen([*COMMAND, str(folder)], stdout=subprocess.DEVNULL, stderr=said)
        _, status, used = os.wait4(process.pid, 0)
        wall = perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 10, 11, 12):
            said.seek(0)
            raise SystemExit(said.read().decode("utf-8", "replace"))
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss * 1024.0


def _outcomes_on_disk(folder: Path) -> Counter[tuple[str, str, str, str]]:
    document = json.loads((folder / "verdicts" / "verdicts.json").read_text(encoding="utf-8"))
    return Counter((v["part"], v["clause"], v["thing"], v["outcome"]) for v in document["verdicts"])


def _outcomes_in_memory(made: Scenario, *, kept_only: bool) -> Counter[tuple[str, str, str, str]]:
    run, load = made.run, made.load
    if kept_only:
        run = replace(run, channels={name: channel for name, channel in run.channels.items() if kept(name)})
        load = replace(load, map=tuple(line for line in load.map if kept(line.channel)))
    verdicts = judge((on_paper(specification()),), made.vessel, load, run).verdicts
    return Counter((v.part, v.clause, v.thing, v.outcome.value) for v in verdicts)
