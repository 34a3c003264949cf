"""Many simulations at once: on all cores of this machine, or on several machines through dask.distributed, with progress and a way to stop.

Whatever has the interface of ``concurrent.futures.Executor`` will do. Threads are enough on one machine: a march holds no lock of the
interpreter. Several machines need the extra ``machines`` and this program on each of them.
"""

from __future__ import annotations

from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any

from curewright.jobs.cores import cores
from curewright.physics.solve.many import Case, solve_all, whole
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from curewright.physics.solve.solve import Solution

CHUNK = 16  # cases that travel together
LOOK_EVERY = 0.1  # s: how long it may take until a stop is heeded


class StoppedError(CurewrightError):
    """A batch that somebody stopped; ``done`` of ``total`` cases had been solved."""

    def __init__(self, done: int, total: int) -> None:
        self.done, self.total = done, total
        super().__init__(f"stopped after {done} of {total} simulations")


def predict_batch(
    cases: Sequence[Case],
    executor: Executor | None = None,
    *,
    keep: Callable[[Solution], Any] = whole,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
    stop: Callable[[], bool] = lambda: False,
    chunk: int = CHUNK,
) -> list[Any]:
    """What is to be kept of each case's solution (all of it, unless ``keep`` says what), or why it is refused, in the order of the cases.

    executor: where to run, threads on all cores of this machine when None (see also :func:`on_machines`). progress is called with how many
    cases are done and how many there are; stop is asked a few times a second. Raises :class:`StoppedError`, after what runs has ended.
    """
    if executor is None:
        with ThreadPoolExecutor(cores()) as threads:
            return predict_batch(cases, threads, keep=keep, progress=progress, stop=stop, chunk=chunk)
    pieces = [list(cases[i : i + chunk]) for i in range(0, len(cases), chunk)]
    places = {executor.submit(partial(solve_all, keep=keep), piece): i for i, piece in enumerate(pieces)}
    found: list[list[Any]] = [[] for _ in pieces]
    waiting, done = set(places), 0
    progress(0, len(cases))
    while waiting:
        if stop():
            _end(waiting)
            raise StoppedError(done, len(cases))
        finished, waiting = wait(waiting, LOOK_EVERY, FIRST_COMPLETED)
        for future in finished:
            found[places[future]] = future.result()
            done += len(pieces[places[future]])
            progress(done, len(cases))
    return [one for piece in found for one in piece]


def _end(futures: set[Future[list[Any]]]) -> None:
    """Cancels what has not begun, and lets end what has."""
    running = {future for future in futures if not future.cancel()}
    wait(running)


@contextmanager
def on_machines(address: str) -> Iterator[Executor]:
    """The workers of a dask.distributed scheduler as an executor; ``address`` as its scheduler prints it.

    Raises :class:`CurewrightError` where the extra is not installed.
    """
    try:
        from distributed import Client
    except ImportError:
        raise CurewrightError(
            "dask.distributed is not installed here",
            expected="the extra 'machines'",
            remedy="pip install 'curewright[machines]', here and on the workers",
        ) from None
    connect: Any = Client
    with connect(address) as client:
        yield client.get_executor(pure=False)
