"""What is being done, told on the terminal when it takes longer than a second; nothing where nobody looks."""

from __future__ import annotations

import sys
from threading import Lock, Timer
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from types import TracebackType

PATIENCE = 1.0  # s


class Progress:
    """Tells the steps of a job on the standard error stream, if that is a terminal, once the job has taken a second."""

    def __init__(self, patience: float = PATIENCE) -> None:
        self._words = ""
        self._status: Any = None
        self._over = False
        self._lock = Lock()
        self._timer = Timer(patience, self._show) if sys.stderr.isatty() else None

    def step(self, words: str) -> None:
        """The job goes on to this."""
        with self._lock:
            self._words = words
            if self._status is not None:
                self._status.update(f"{words} …")

    def _show(self) -> None:
        from rich.console import Console

        with self._lock:
            if not self._over:
                self._status = Console(stderr=True, markup=False).status(f"{self._words} …")
                self._status.start()

    def __enter__(self) -> Progress:
        if self._timer is not None:
            self._timer.daemon = True
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        if self._timer is not None:
            self._timer.cancel()
        with self._lock:
            self._over = True
            if self._status is not None:
                self._status.stop()
