"""``python -m bench [section ...]``: judging, monitors, curves, live, reading, cure, start, everyday, large, profile.

Without a section: all but large and profile.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from bench import cure, curves, everyday, judging, live, measure, monitors, profiled, reading, startup
from bench.scenario import Size

SECTIONS = ("judging", "monitors", "curves", "live", "reading", "cure", "start", "everyday", "large", "profile")


def main() -> int:
    """Runs the sections asked for; 1 where a verdict differs between ours and a peer."""
    asked = _arguments()
    size = Size(asked.parts, asked.hours, asked.every)
    sections = asked.section or SECTIONS[:-2]
    print(f"Bench of Curewright on: {measure.machine()}")
    print(
        "Ratios are the point; absolute times belong to this machine. One thread each (polars: POLARS_MAX_THREADS="
        + os.environ["POLARS_MAX_THREADS"]
        + ")."
    )
    equal = True
    if "judging" in sections:
        equal &= judging.run(size, asked.rounds, asked.peers)
    if "monitors" in sections:
        equal &= monitors.run(size, asked.rounds)
    if "curves" in sections:
        curves.run(size, max(asked.rounds // 2, 1), asked.picture)
    if "live" in sections:
        equal &= live.run(size)
    if "reading" in sections:
        reading.run(size, asked.rounds)
    if "cure" in sections:
        cure.run()
    if "start" in sections:
        startup.run()
    if "everyday" in sections:
        equal &= everyday.everyday(max(asked.rounds, 9))
    if "large" in sections:
        equal &= everyday.large(size)
    if "profile" in sections:
        profiled.run(size)
    print("\nAll verdicts equal." if equal else "\nSOME VERDICTS DIFFER: see above.")
    return 0 if equal else 1


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m bench", description=__doc__)
    parser.add_argument(
        "section", nargs="*", choices=[*SECTIONS, []], help="which sections (default: all but large and profile)"
    )
    parser.add_argument(
        "--parts", type=int, default=40, help="parts; 7 channels each and 20 of the vessel (default 40: 300 channels)"
    )
    parser.add_argument("--hours", type=float, default=12.0)
    parser.add_argument("--every", type=int, default=1, help="seconds between rows")
    parser.add_argument("--rounds", type=int, default=5, help="rounds for medians")
    parser.add_argument("--peers", nargs="*", default=list(judging.PEERS), choices=judging.PEERS)
    parser.add_argument(
        "--picture", type=Path, default=None, help="draw the curves into this file, for instance build/curves.png"
    )
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
