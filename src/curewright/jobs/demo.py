"""The demo: write an invented shop and a run of seven hours, then judge it as any other run."""

from __future__ import annotations

from importlib import resources
from typing import TYPE_CHECKING

from curewright.jobs.demo_run import export
from curewright.jobs.judge_run import judge_run
from curewright.jobs.understand_run import RunFiles
from curewright.record.cure_record.papers import Print
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from curewright.record.verdicts import Document

OURS = (
    "run.yaml",
    "vessel.yaml",
    "load.yaml",
    "layout.yaml",
    "entries.yaml",
    "build-up.yaml",
    "cycle.yaml",
    "vessel-heat.yaml",
    "specification-EX-177-2.yaml",
    "specification-EX-180-M.yaml",
)
LOG = "recorder.csv"
VERDICTS = "verdicts"


def write_demo(folder: Path) -> tuple[str, ...]:
    """Write the demo's files into a folder; those that are there already and differ are left alone and named."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = {name: resources.files("curewright.jobs").joinpath("demo_files", name).read_bytes() for name in OURS}
    texts[LOG] = export().encode("utf-8")
    return tuple(name for name, content in texts.items() if not _written(folder / name, content))


def _written(file: Path, content: bytes) -> bool:
    """Write a file unless somebody has made another one of it."""
    if file.exists():
        return file.read_bytes() == content
    file.write_bytes(content)
    return True


def demo(folder: Path, step: Callable[[str], None] = lambda _: None) -> tuple[Document, tuple[str, ...]]:
    """Write the demo, judge it and print its record; also gives the names of files that were kept because somebody has changed them."""
    if folder.exists() and not folder.is_dir():
        raise FileError("this is a file", expected="a folder", where=Place(str(folder)), remedy="name another one")
    changed = write_demo(folder)
    return judge_run(RunFiles(folder), folder / VERDICTS, person="operator A", how=Print(), step=step), changed
