"""What is being done is told after a second, and only where somebody looks."""

import io
import sys
import time

import pytest

from curewright.cli.progress import Progress


class Terminal(io.StringIO):
    """An error stream that says whether it is a terminal."""

    def __init__(self, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


def told(monkeypatch: pytest.MonkeyPatch, terminal: bool, lasts: float) -> str:
    """What stands on the error stream after a job of two steps, with a patience of 50 ms."""
    stream = Terminal(terminal)
    monkeypatch.setattr(sys, "stderr", stream)
    with Progress(patience=0.05) as progress:
        progress.step("reading the files")
        time.sleep(lasts)
        progress.step("judging")
        time.sleep(lasts)
    return stream.getvalue()


def test_a_long_job_tells_its_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    text = told(monkeypatch, terminal=True, lasts=0.4)
    assert "reading the files" in text
    assert "judging" in text


def test_a_short_job_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(monkeypatch, terminal=True, lasts=0.0) == ""


def test_nothing_is_told_to_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(monkeypatch, terminal=False, lasts=0.2) == ""


def test_an_error_of_the_job_comes_through(monkeypatch: pytest.MonkeyPatch) -> None:
    def job() -> None:
        with Progress(patience=0.0) as progress:
            progress.step("dividing")
            time.sleep(0.1)
            raise ZeroDivisionError

    monkeypatch.setattr(sys, "stderr", Terminal(True))
    with pytest.raises(ZeroDivisionError):
        job()
