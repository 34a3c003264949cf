"""The folder that judgements are kept in: the newest at the top, every one under its number.

    verdicts.json  verdicts.csv  cure-record.pdf
    judgements/0001/verdicts.json  judgements/0001/verdicts.csv  judgements/0001/cure-record.pdf
    judgements/0002/…

A judgement that was written is never changed. One that belongs to the same things as the newest (inputs, program, person, date)
is that one; its record may be printed again, on other paper for instance. Large files at both places are one file with two names,
where the disk can do that.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from curewright.record.container import NAME as CONTAINER
from curewright.record.spreadsheet import csv_text
from curewright.record.verdicts import read_verdicts
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from pathlib import Path

Document = dict[str, Any]
NUMBERED, JSON, CSV, RECORD = "judgements", "verdicts.json", "verdicts.csv", "cure-record.pdf"
MAY_LACK = {RECORD, CONTAINER}
LARGE = 10**7  # bytes


def kept(out: Path) -> tuple[Document, ...]:
    """The judgements in a folder, oldest first; raises :class:`FileError` where one is not what was sealed."""
    files = sorted((out / NUMBERED).glob(f"[0-9][0-9][0-9][0-9]/{JSON}"))
    return tuple(read_verdicts(read_text(file), str(file)) for file in files)


def read_text(file: Path) -> str:
    """The text of a sealed file, line ends as they are."""
    try:
        return file.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        raise FileError(
            "this is no UTF-8 text",
            expected="a sealed verdicts file",
            where=Place(str(file)),
            remedy="take the file as it was written",
        ) from None


def keep(out: Path, document: Document, text: str) -> None:
    """Write a judgement (``text``: its sealed file) under its number and at the top, each file whole or not at all.

    A record that this judgement has already stays.
    """
    contents = {JSON: text.encode("utf-8"), CSV: csv_text(document).encode("utf-8")}
    _keep(out, document, contents, (*contents, *MAY_LACK))


def keep_record(out: Path, document: Document, record: dict[str, bytes]) -> None:
    """Write the files of the cure record of a judgement that is kept already, in the place of an earlier print of it."""
    for name in MAY_LACK - record.keys():
        (_numbered(out, document) / name).unlink(missing_ok=True)
    _keep(out, document, record, tuple(MAY_LACK))


def _numbered(out: Path, document: Document) -> Path:
    return out / NUMBERED / f"{document['judgement']['number']:04d}"


def _keep(out: Path, document: Document, contents: dict[str, bytes], repeated: tuple[str, ...]) -> None:
    numbered = _numbered(out, document)
    numbered.mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        _write(numbered / name, content)
    for name in repeated:
        _repeat(numbered / name, out / name)


def _write(file: Path, content: bytes) -> None:
    part = file.with_name(file.name + ".part")
    part.write_bytes(content)
    _in_place(part, file)


def _in_place(part: Path, file: Path) -> None:
    """What was written whole takes the place of the file of that name."""
    try:
        os.replace(part, file)
    except PermissionError:
        part.unlink(missing_ok=True)
        raise FileError(
            "another program holds this file, so that it was not written anew",
            where=Place(str(file)),
            remedy=f"close it there (a spreadsheet keeps a file to itself on Windows) and judge again; {NUMBERED}/ has the new one",
        ) from None


def _repeat(numbered: Path, top: Path) -> None:
    """The file of the numbered judgement at the top too, or nothing there where it has none; a large one as a second name."""
    if not numbered.is_file():
        top.unlink(missing_ok=True)
        return
    part = top.with_name(top.name + ".part")
    part.unlink(missing_ok=True)
    if numbered.stat().st_size < LARGE or not _linked(numbered, part):
        part.write_bytes(numbered.read_bytes())
    _in_place(part, top)


def _linked(first: Path, second: Path) -> bool:
    try:
        second.hardlink_to(first)
    except OSError:
        return False
    return True
