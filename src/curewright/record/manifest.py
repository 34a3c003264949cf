"""The manifest of a cure record: every file that belongs to it, with size and SHA-256, sealed like the verdicts.

Described in ``docs/formats/manifest.md``. It is attached to the PDF; the record prints its seal on every page.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from curewright.record.seal import opened
from curewright.terms.errors import FileError, Place

FORMAT = "curewright record manifest"
VERSION = 1
NAME = "manifest.json"
INSIDE, BESIDE = "attached", "container"
ROLES = (
    "specification",
    "run sheet",
    "vessel",
    "load",
    "layout",
    "entries",
    "event log",
    "rulings",
    "recording",
    "verdicts",
    "other",
)


@dataclass(frozen=True)
class Filed:
    """One file of a record: what it is for, its SHA-256 and size [bytes], and whether it is attached or in the container."""

    name: str
    role: str
    sha256: str
    size: int
    where: str = INSIDE

    def block(self) -> dict[str, Any]:
        """The file as it stands in the manifest."""
        return {
            "file": self.name,
            "role": self.role,
            "sha256": self.sha256,
            "bytes": self.size,
            "where": self.where,
        }


def filed(name: str, role: str, content: bytes, where: str = INSIDE) -> Filed:
    """A file with its digest and size taken."""
    return Filed(name, role, sha256(content).hexdigest(), len(content), where)


def manifest(document: dict[str, Any], files: tuple[Filed, ...], container: Filed | None) -> dict[str, Any]:
    """The manifest of a record, without its seal, from the verdicts document and the files that belong to it."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "program": document["program"],
        "run": document["run"]["number"],
        "vessel": document["run"]["vessel"],
        "judgement": document["judgement"],
        "files": [file.block() for file in files],
        "container": container and {"file": container.name, "sha256": container.sha256, "bytes": container.size},
    }


def read_manifest(text: str) -> dict[str, Any]:
    """A manifest from its sealed text; raises :class:`FileError` where it was changed or is of another format or version."""
    document = opened(text, NAME)
    if (document.get("format"), document.get("version")) != (FORMAT, VERSION):
        raise FileError(
            f"the format is {document.get('format')!r}, version {document.get('version')!r}",
            expected=f"'{FORMAT}', version {VERSION}",
            where=Place(NAME),
            remedy="verify the record with the program version that wrote it",
        )
    return document
