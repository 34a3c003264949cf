"""Verify a cure record: the PDF, or the folder that the judgements of a run are kept in, and the files it was made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.record.verify import Checked, verify
from curewright.record.verify_inputs import KEPT, Beside, beside

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True)
class Verified:
    """What was checked of a record, and of the files it was made from; ``alone``: a single file was named, not the folder it is kept in."""

    record: tuple[Checked, ...]
    beside: Beside
    alone: bool


def verify_record(path: Path) -> Verified:
    """Everything that was checked; a run's own folder leads to the verdicts in it. Raises :class:`FileError` where there is nothing.

    The files beside the record are compared only with one that is as it was written.
    """
    inner = path / KEPT
    place = inner if path.is_dir() and inner.is_dir() else path
    checked = verify(place)
    changed = any(one.wrong for one in checked)
    return Verified(checked, Beside(None) if changed else beside(place), not place.is_dir())
