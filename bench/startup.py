"""How long a command takes to answer at all: a whole process, from nothing to its end."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from bench import measure

COMMANDS = {
    "python -c pass": [sys.executable, "-c", "pass"],
    "curewright --help": [str(Path(sys.executable).with_name("curewright")), "--help"],
}


def run(rounds: int = 9) -> None:
    """Prints the median of each command."""
    print(f"\nStart-up: whole process, medians of {rounds} (goal for curewright --help: 150 ms)")
    print(measure.row("", "median", "least", "most"))
    found = measure.in_turn({name: lambda c=command: _call(c) for name, command in COMMANDS.items()}, rounds)  # type: ignore[misc]
    for name, seconds in found.items():
        walls = [wall for wall, _ in seconds]
        cells = (measure.shown(measure.median(seconds)), measure.shown(min(walls)), measure.shown(max(walls)))
        print(measure.row(name, *cells))


def _call(command: list[str]) -> None:
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
