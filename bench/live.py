"""The same run row by row: what one tick of all channels costs, and how large the state grows.

Channels that share their instants are fed together, as one recorder writes them; a scanner that misses rows is a recorder
of its own.
"""

from __future__ import annotations

import gc
import sys
from dataclasses import fields, is_dataclass, replace
from itertools import groupby
from operator import itemgetter
from time import perf_counter, process_time
from typing import TYPE_CHECKING

import numpy as np

from bench import measure
from bench.paper import specification
from bench.scenario import Scenario, Size, scenario
from curewright.judge.live import Live

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.run import Channel

BUDGET = 5e-3  # seconds of folding after a tick, after which its owner goes on with the next one
Row = tuple[tuple[str, ...], int, np.ndarray, np.ndarray]


def rows_of(asked: Scenario) -> Iterator[Row]:
    """The rows of the recorder, in order of time: names, instant, values, which are bad. Scanners that share instants share rows."""
    groups: dict[bytes, list[Channel]] = {}
    for channel in asked.run.channels.values():
        groups.setdefault(channel.t.tobytes(), []).append(channel)
    tables = []
    for channels in groups.values():
        names = tuple(channel.name for channel in channels)
        values = np.stack([channel.v for channel in channels], axis=1)
        bad = np.stack([channel.bad for channel in channels], axis=1)
        tables.append((names, channels[0].t, values, bad))
    at = [0] * len(tables)
    for t in tables[0][1].tolist():
        for j, (names, times, values, bad) in enumerate(tables):
            while at[j] < len(times) and times[at[j]] <= t:
                yield names, int(times[at[j]]), values[at[j]], bad[at[j]]
                at[j] += 1


def started(asked: Scenario) -> Live:
    """A run that is just beginning: its channels described, without a sample."""
    channels = {
        name: replace(
            channel, t=channel.t[:0], v=channel.v[:0], bad=channel.bad[:0], raw=channel.v[:0], row=channel.row[:0]
        )
        for name, channel in asked.run.channels.items()
    }
    run = replace(asked.run, channels=channels, closing=None)
    return Live((specification(),), asked.vessel, asked.load, run)


def size_of(thing: object) -> int:
    """Bytes that an object and what it holds take: arrays by their buffers, each counted once."""
    seen: set[int] = set()
    waiting, total = [thing], 0
    while waiting:
        here = waiting.pop()
        if id(here) in seen or here is None or isinstance(here, type):
            continue
        seen.add(id(here))
        if isinstance(here, np.ndarray):
            base = here if here.base is None else here.base
            if id(base) not in seen or base is here:
                seen.add(id(base))
                total += base.nbytes if isinstance(base, np.ndarray) else here.nbytes
            continue
        total += sys.getsizeof(here)
        if isinstance(here, dict):
            waiting += [*here.keys(), *here.values()]
        elif isinstance(here, list | tuple | set | frozenset):
            waiting += list(here)
        elif is_dataclass(here):
            waiting += [getattr(here, field.name) for field in fields(here)]
        if hasattr(here, "__dict__"):
            waiting += list(vars(here).values())
    return total


def run(size: Size) -> bool:
    """Prints what a tick costs and what the state holds; True where the verdicts at the end are those of the whole log."""
    asked = scenario(size)
    live = started(asked)
    marks = [int(hour * 3600e9) for hour in (1, 3, 6, 9, 12) if hour < size.hours] + [int(size.hours * 3600e9)]
    print(f"\nLive: {len(asked.run.channels)} channels row by row, {size.hours:g} h every {size.every} s")
    print(measure.row("after", "samples fed", "kept", "state"))
    ticks, slices, collections = (np.array(found or [0.0]) for found in _fed(asked, live, marks))
    _print_ticks(ticks, slices, collections, size.every)
    assert asked.run.closing is not None
    seconds, final = measure.timed(lambda: live.close(asked.run.closing))  # type: ignore[arg-type]
    whole, folded = judge_whole(asked), final_of(final)
    differ = [
        f"{key}: {folded.get(key)}, the whole log gives {found}"
        for key, found in whole.items()
        if folded.get(key) != found
    ]
    differ += [f"{key}: only live ({folded[key]})" for key in folded.keys() - whole.keys()]
    print(f"  closing and the final verdicts: {measure.shown(seconds)}")
    print(
        "  outcomes and margins equal those of the whole log"
        if not differ
        else f"  {len(differ)} DIFFERENCES from the whole log:\n    " + "\n    ".join(differ[:10])
    )
    return not differ


def _fed(asked: Scenario, live: Live, marks: list[int]) -> tuple[list[float], list[float], list[float]]:
    """Seconds of processor time of every tick, of every slice of folding that its owner does between two ticks, and of every
    collection of garbage.

    As an owner would, kernels are made ready first (a short run is judged), what is there at the start (the plan, the map)
    is taken out of the garbage collector's sight, and it collects after a fold, not in the middle of a tick.
    """
    _made_ready()
    gc.collect()
    gc.freeze()
    gc.disable()
    ticks: list[float] = []
    slices: list[float] = []
    collections: list[float] = []
    folding: Iterator[str] | None = None
    fed = 0
    for t, rows in _by_instant(asked):
        start = process_time()
        for names, values, bad in rows:
            live.feed(names, t, values, bad)
        ticks.append(process_time() - start)
        fed += sum(len(names) for names, _, _ in rows)
        if folding is None and live.due:
            folding = live.folding()
        began = perf_counter()
        while folding is not None and perf_counter() - began < BUDGET:
            start = process_time()
            folding = folding if next(folding, None) is not None else None
            slices.append(process_time() - start)
            if folding is None:
                start = process_time()
                gc.collect()
                collections.append(process_time() - start)
        if marks and t >= marks[0]:
            marks.pop(0)
            _state(live, t, fed)
    gc.enable()
    return ticks, slices, collections


def _made_ready() -> None:
    """Every kernel of a live run loaded: a short one is fed, folded and closed."""
    asked = scenario(Size(1, 1.0, 10))
    live = started(asked)
    for names, t, values, bad in rows_of(asked):
        live.feed(names, t, values, bad)
    live.fold()
    assert asked.run.closing is not None
    live.close(asked.run.closing)


def _by_instant(asked: Scenario) -> Iterator[tuple[int, list[tuple[tuple[str, ...], np.ndarray, np.ndarray]]]]:
    for t, rows in groupby(rows_of(asked), key=itemgetter(1)):
        yield t, [(names, values, bad) for names, _, values, bad in rows]


def final_of(verdicts: object) -> dict[tuple[str, str, str], tuple[str, str]]:
    """Outcome and margin by (serial, clause, thing)."""
    found = {}
    for verdict in verdicts:  # type: ignore[attr-defined]
        found[verdict.part, verdict.clause, verdict.thing] = (
            str(verdict.outcome),
            verdict.margin.value if verdict.margin else "",
        )
    return found


def judge_whole(asked: Scenario) -> dict[tuple[str, str, str], tuple[str, str]]:
    """The verdicts of the sorted log, at once."""
    from bench.judging import ours

    return final_of(ours(asked)().verdicts)


def _state(live: Live, at: int, fed: int) -> None:
    print(
        measure.row(
            f"{at / 3600e9:.1f} h", f"{fed / 1e6:.2f} M", f"{live.samples_kept:,}", f"{size_of(live) / 1e6:.1f} MB"
        )
    )


def _print_ticks(ticks: np.ndarray, slices: np.ndarray, collections: np.ndarray, every: int) -> None:
    print(measure.row("processor time", "median", "99 %", "99.9 %", "most"))
    for label, values in (
        ("one tick of all channels", ticks),
        ("one slice of folding", slices),
        ("garbage after a fold", collections),
    ):
        shown = [measure.shown(float(np.percentile(values, part))) for part in (50, 99, 99.9, 100)]
        print(measure.row(label, *shown))
    share = slices.sum() / (len(ticks) * every)
    print(
        f"  folding is done between ticks ({len(slices):,} slices, for {BUDGET * 1e3:g} ms after a tick): "
        f"{share:.2%} of the time that passes; {(slices > 1e-3).mean():.1%} of them take longer than 1 ms"
    )
