"""Propose a layout from an export: bytes → what they show, and the questions that they leave."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.layout_file import read_layout
from curewright.read.propose import Proposal, propose
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from pathlib import Path


def propose_layout(export: Path, keep: Path | None = None) -> Proposal:
    """A layout for an export. ``keep``: an earlier layout whose answers hold on where headings and units are the same.

    Raises :class:`CurewrightError` where the export shows no rows with a time, or the earlier layout cannot be read.
    """
    kept = read_layout(keep.read_bytes(), keep.name) if keep else None
    return propose(export.read_bytes(), export.name, kept)


def write_layout(text: str, out: Path) -> None:
    """Write a proposed layout. Raises :class:`FileError` where the file is there: somebody may have confirmed it."""
    content = text.encode("utf-8")  # before the file is made: one that cannot be written whole is not written
    try:
        with out.open("xb") as file:
            file.write(content)
    except FileExistsError:
        raise FileError(
            "the file is there already, and somebody may have confirmed it",
            where=Place(str(out)),
            remedy="write to another file; '--keep' takes over what this one says",
        ) from None
