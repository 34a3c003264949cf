"""What earlier runs of a part contributed to its exposures, from their sealed verdicts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.judge.kinds.exposure import Share
from curewright.record.folder import read_text
from curewright.record.verdicts import read_verdicts
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from pathlib import Path

    from curewright.terms.load import Load

Shares = dict[tuple[str, str, str], tuple[Share, ...] | None]


def earlier_shares(load: Load, folder: Path) -> Shares:
    """Shares by (serial, clause, form) for every part that names earlier runs; None where one of them does not say.

    ``folder``: where the file names start from. Raises :class:`FileError` for a file that is no sealed one, is named twice, or is
    of this very run.
    """
    found: Shares = {}
    for part in load.parts:
        documents = [read_verdicts(read_text(folder / name), name) for name in part.earlier_runs]
        runs = [document["run"]["number"] for document in documents]
        if load.run in runs or len(set(runs)) < len(runs):
            raise FileError(
                f"part {part.serial} names the runs {', '.join(runs)} as earlier ones of run {load.run}",
                expected="each earlier run once, and not this one",
                where=Place(load.file, part.line),
                remedy="correct 'earlier runs'",
            )
        keys = {key for document in documents for key in _exposures(document, part.serial)}
        for key in keys:
            shares = [_exposures(document, part.serial).get(key) for document in documents]
            found[(part.serial, *key)] = (
                None if None in shares else tuple(share for share in shares if share is not None)
            )
    return found


def _exposures(document: dict[str, Any], serial: str) -> dict[tuple[str, str], Share]:
    run = document["run"]["number"]
    return {
        (verdict["clause"], verdict["form"]): Share(run, verdict["share"]["least"], verdict["share"]["most"])
        for verdict in document["verdicts"]
        if verdict["part"] == serial and verdict["share"] is not None
    }
