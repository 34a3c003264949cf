"""Whether the files that a judgement was made from are still those: each one beside the record against the digest in it.

The record itself has copies of them, which :mod:`curewright.record.verify` checks; here are the files that people go on working with.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from curewright.record.folder import JSON
from curewright.record.verify import Checked, files_inside

if TYPE_CHECKING:
    from collections.abc import Iterator

KEPT = "verdicts"


@dataclass(frozen=True)
class Beside:
    """The files that a judgement was made from, held against it. ``folder``: where they lie; None where none of them was found."""

    folder: Path | None
    checked: tuple[Checked, ...] = ()


def beside(path: Path) -> Beside:
    """The input files of the newest judgement beside a record that is as it was written: in the record's own folder or the one above."""
    inputs = _inputs(path)
    home = path.resolve() if path.is_dir() else path.resolve().parent
    for folder in (home, home.parent):
        if any((folder / one["file"]).is_file() for one in inputs):
            return Beside(folder, tuple(_compared(folder, inputs)))
    return Beside(None)


def _inputs(path: Path) -> list[dict[str, str]]:
    """Name and SHA-256 of each file that the (newest) judgement was made from."""
    text = (path / JSON if path.is_dir() else path).read_bytes()
    document: dict[str, Any] = json.loads(text if path.is_dir() or path.name == JSON else files_inside(text)[JSON])
    return list(document["inputs"])


def _compared(folder: Path, inputs: list[dict[str, str]]) -> Iterator[Checked]:
    for one in inputs:
        found = _files(folder, one["file"])
        digests = [sha256(file.read_bytes()).hexdigest() for file in found]
        wrong = "" if one["sha256"] in digests else "has CHANGED since" if found else "is NOT THERE any more"
        yield Checked(one["file"], f"as it was judged, SHA-256 {one['sha256']}", wrong)


def _files(folder: Path, name: str) -> list[Path]:
    """Where a file of the run's folder lies: under its name; a specification's name may lack the folder that it lies in."""
    if (folder / name).is_file():
        return [folder / name]
    if PurePath(name).name != name:
        return []
    return sorted(file for file in folder.rglob(name) if file.is_file() and KEPT not in file.relative_to(folder).parts)
