"""The folder that judgements are kept in: the newest at the top, every one under its number.

    verdicts.json  verdicts.csv
    judgements/0001/verdicts.json  judgements/0001/verdicts.csv
    judgements/0002/…

A judgement that was written is never changed. One that belongs to the same things as the newest (inputs, program, person, date)
is that one.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from curewright.record.spreadsheet import csv_text
from curewright.record.verdicts import read_verdicts, verdicts_text
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from pathlib import Path

Document = dict[str, Any]
NUMBERED, JSON, CSV = "judgements", "verdicts.json", "verdicts.csv"


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


def keep(out: Path, document: Document) -> None:
    """Write a judgement under its number and at the top, each file whole or not at all."""
    number = document["judgement"]["number"]
    texts = {JSON: verdicts_text(document), CSV: csv_text(document)}
    for folder in (out / NUMBERED / f"{number:04d}", out):
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            _write(folder / name, text)


def _write(file: Path, text: str) -> None:
    part = file.with_name(file.name + ".part")
    part.write_bytes(text.encode("utf-8"))
    try:
        os.replace(part, file)
    except PermissionError:
        part.unlink(missing_ok=True)
        raise FileError(
            "another program holds this file, so that it was not written anew",
            where=Place(str(file)),
            remedy=f"close it there (a spreadsheet keeps a file to itself on Windows) and judge again; {NUMBERED}/ has the new one",
        ) from None
