"""Learn from a recorded run how well each zone is served, and keep it for the next prediction."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from curewright.jobs.predict_run import replay_run
from curewright.predict.learn import apart, learn
from curewright.read.learnt import learnt_text, read_learnt
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from curewright.jobs.understand_run import RunFiles
    from curewright.terms.learnt import LearntZone


@dataclass(frozen=True)
class Taught:
    """What a run taught, and why it taught nothing about some zones."""

    run: str
    zones: tuple[LearntZone, ...]
    refused: tuple[tuple[str, CurewrightError], ...]
    remarks: tuple[str, ...] = ()


def learn_places(files: RunFiles, out: Path | None = None, step: Callable[[str], None] = lambda _: None) -> Taught:
    """What a recorded run teaches. With ``out``, it is added to that file: what this run taught before is replaced, the rest is kept.

    The fit starts from the build-up alone, and is held against it. Raises :class:`CurewrightError` where the run cannot be replayed.
    """
    replayed = replay_run(files, step, to_write=out)
    step("fitting position factors")
    stated, load = replayed.given.build_up, replayed.inputs.load
    zones, refused = learn(replace(replayed.asked, build_up=stated), replayed.prediction.seen, replayed.inputs.run)
    taught = Taught(replayed.inputs.run.number, zones, refused, tuple(apart(stated, load, zones)))
    if out is not None and zones:
        _keep(out, replayed.inputs.load.vessel, taught)
    return taught


def _keep(out: Path, vessel: str, taught: Taught) -> None:
    before: tuple[LearntZone, ...] = ()
    if out.exists():
        of, before = read_learnt(out.read_bytes(), out.name)
        if of != vessel:
            raise FileError(
                f"this was learnt in the vessel {of}",
                expected=vessel,
                where=Place(str(out)),
                remedy="name another file",
            )
    others = tuple(one for one in before if one.run != taught.run)
    out.write_text(learnt_text(vessel, (*others, *taught.zones)), encoding="utf-8")
