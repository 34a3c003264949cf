"""Verify a cure record: the PDF, or the folder that the judgements of a run are kept in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.record.verify import Checked, verify

if TYPE_CHECKING:
    from pathlib import Path

KEPT = "verdicts"


def verify_record(path: Path) -> tuple[Checked, ...]:
    """Everything that was checked; a run's own folder leads to the verdicts in it. Raises :class:`FileError` where there is nothing."""
    inner = path / KEPT
    return verify(inner if path.is_dir() and inner.is_dir() else path)
