"""All cores for a run that is worth it: parts are judged side by side in processes that share the run's memory, files are read in
threads (the kernels and the hashes let go of the interpreter)."""

from __future__ import annotations

import gc
import multiprocessing
import os
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from curewright.terms.run import Run

T = TypeVar("T")
WORTH_IT = 2_000_000  # samples from which on starting processes costs less than it saves
_FUNCTION: list[Callable[[Any], Any]] = []  # what the forked processes call; they inherit it with the run


def map_for(run: Run) -> Callable[..., Iterable[Any]]:
    """The map over parts for a run: the plain one for an everyday run, or where processes cannot share memory (Windows)."""
    samples = sum(len(channel.t) for channel in run.channels.values())
    several = cores() > 1 and "fork" in multiprocessing.get_all_start_methods()
    return on_all_cores if several and samples >= WORTH_IT else map


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def in_threads(function: Callable[[Any], Any], items: Iterable[Any]) -> list[Any]:
    """``function`` of every item, in order, in as many threads as there are cores; an error of any of them is raised here.

    Each call has threads of its own, so that a call inside another one never waits for it.
    """
    asked = list(items)
    if len(asked) < 2 or cores() == 1:
        return [function(item) for item in asked]
    with ThreadPoolExecutor(min(cores(), len(asked))) as pool:
        return list(pool.map(function, asked))


def on_all_cores(function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
    """``function`` of every item, in order; an error of any of them is raised here."""
    _FUNCTION.append(function)
    try:
        several = multiprocessing.get_context("fork")
        with several.Pool(min(cores(), len(items)), initializer=gc.disable) as pool:  # short-lived: nothing to collect
            return pool.map(_call, items, chunksize=max(1, len(items) // (4 * cores())))
    finally:
        _FUNCTION.pop()


@contextmanager
def beside(function: Callable[[], T], run: Run) -> Iterator[Callable[[], T]]:
    """``function`` begun in a process that shares the run's memory, for a run that is worth it; what is yielded waits for its result.

    Where it is not worth it, or processes cannot share memory, the call is made when its result is asked for.
    """
    if map_for(run) is map:
        yield function
        return
    _FUNCTION.append(lambda _: function())
    try:
        with multiprocessing.get_context("fork").Pool(1, initializer=gc.disable) as pool:
            yield pool.apply_async(_call, (None,)).get
    finally:
        _FUNCTION.pop()


def _call(item: Any) -> Any:
    return _FUNCTION[-1](item)
