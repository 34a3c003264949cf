"""Times: medians of several runs, both sides in one process and in turn, so that a busy machine is busy for all.

Two clocks: what passes on the wall, and what this process spends on the processor. All sides use one thread, so on an idle
machine they agree; on a busy one the second is the one to compare.
"""

from __future__ import annotations

import gc
import os
import platform
import statistics
import sys
from time import perf_counter, process_time
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

Result = TypeVar("Result")


def timed(action: Callable[[], Result]) -> tuple[float, Result]:
    """Seconds that one call takes, and what it gives."""
    gc.collect()
    start = perf_counter()
    result = action()
    return perf_counter() - start, result


def spent(action: Callable[[], object]) -> tuple[float, float]:
    """Seconds on the wall and seconds of processor that one call takes; without the garbage collector, for all sides alike
    (as :mod:`timeit` does, and as the processes do that the command line starts).
    """
    gc.collect()
    gc.disable()
    try:
        start, busy = perf_counter(), process_time()
        action()
        return perf_counter() - start, process_time() - busy
    finally:
        gc.enable()


def in_turn(actions: dict[str, Callable[[], object]], rounds: int) -> dict[str, list[tuple[float, float]]]:
    """Seconds of each action in each round, by both clocks; every round runs all of them once."""
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in actions}
    for _ in range(rounds):
        for name, action in actions.items():
            found[name].append(spent(action))
    return found


def median(values: list[tuple[float, float]], clock: int = 0) -> float:
    """The median by one of the clocks: 0 the wall, 1 the processor."""
    return statistics.median(value[clock] for value in values)


def machine() -> str:
    """The machine and the versions that a figure belongs to."""
    import numba
    import numpy as np

    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    return (
        f"{os.cpu_count()} cores, {platform.machine()}, {platform.system()}, Python {sys.version.split()[0]}, NumPy {np.__version__}, "
        f"numba {numba.__version__}; load average before: {load:.1f}"
    )


def shown(seconds: float) -> str:
    """Seconds in the unit that reads best."""
    for limit, factor, unit in ((1.0, 1.0, "s"), (1e-3, 1e3, "ms"), (0.0, 1e6, "us")):
        if seconds >= limit:
            return f"{seconds * factor:.3g} {unit}"
    return "?"


def row(*cells: object, widths: tuple[int, ...] = (26, 12, 12, 12, 12, 12)) -> str:
    """One line of a table."""
    first, *rest = cells
    return f"  {first!s:<{widths[0]}}" + "".join(
        f"{cell!s:>{width}}" for cell, width in zip(rest, widths[1:], strict=False)
    )
