"""Whether a cure record is what was written: every digest in it and beside it is taken again, without any network.

It finds any changed byte. It does not show who made the record: whoever can write the files can write a new record with seals that fit.
"""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from hashlib import sha256
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from curewright.record import container, manifest
from curewright.record.digest import MARK, digest_of
from curewright.record.folder import CSV, JSON, NUMBERED, RECORD
from curewright.record.seal import SEAL
from curewright.record.spreadsheet import csv_text
from curewright.record.verdicts import read_verdicts
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PDF, ZIP, HEAD, SHOWN = b"%PDF", b"PK", 1024, 40  # how files begin; bytes looked at; bytes of a line that are shown
REMEDY = "take the record from the archive; do not trust this copy"


@dataclass(frozen=True)
class Checked:
    """One thing that was checked: where, what fits, or what is wrong (``wrong`` empty where nothing is)."""

    file: str
    fits: str
    wrong: str = ""


def verify(path: Path) -> tuple[Checked, ...]:
    """Everything that was checked of a record (a PDF, or the folder that judgements are kept in), in the order of its files."""
    if path.is_dir():
        return tuple(_folder(path))
    if path.name == JSON:
        return tuple(_verdicts(path))
    _refuse_other(path)
    return tuple(_pdf(path))


def _verdicts(path: Path) -> Iterator[Checked]:
    """A verdicts file alone: its seal."""
    _, wrong = _tried(lambda: read_verdicts(path.read_bytes().decode("utf-8"), path.name))
    yield Checked(path.name, "its seal fits", wrong)


def _refuse_other(path: Path) -> None:
    """Raises :class:`FileError` for a file that is no PDF and has nothing of a cure record in it: nobody has changed a record there."""
    content = path.read_bytes()
    if PDF in content[:HEAD] or MARK.encode() in content:
        return
    if content[:2] == ZIP:
        what = f"a ZIP archive (the recordings in {container.NAME} are checked through the PDF beside it)"
    elif not content:
        what = "an empty file"
    elif b"\0" in content[:HEAD]:
        what = f"a file of another kind ({len(content)} bytes)"
    else:
        first = content.split(b"\n", 1)[0][:SHOWN].decode("utf-8", errors="replace").strip()
        what = f"a text file that begins with '{first}'"
    raise FileError(
        f"this is no cure record but {what}",
        expected=f"the PDF of a cure record ({RECORD}), {JSON}, or the folder that they are kept in",
        where=Place(str(path)),
        remedy=f"name the run's folder, or its verdicts/{RECORD}; to look at an input file, compare its SHA-256 with the record's list",
    )


def _folder(folder: Path) -> Iterator[Checked]:
    """The newest judgement and every numbered one."""
    numbered = sorted((folder / NUMBERED).glob("[0-9][0-9][0-9][0-9]"))
    if not (folder / JSON).is_file() and not numbered:
        raise FileError(
            "no judgement is kept here",
            expected=f"a folder with {JSON}, or a {RECORD}",
            where=Place(str(folder)),
            remedy="name the folder that 'curewright judge' wrote to, or the PDF",
        )
    for place in numbered or [folder]:
        yield from _judgement(place, "" if place == folder else f"{place.relative_to(folder).as_posix()}/")
    if numbered:
        yield from _newest(folder, numbered[-1])


def _judgement(place: Path, before: str) -> Iterator[Checked]:
    text, wrong = _tried(lambda: (place / JSON).read_bytes().decode("utf-8"))
    document = None
    if not wrong:
        document, wrong = _tried(lambda: read_verdicts(text, JSON))
    yield Checked(before + JSON, "its seal fits", wrong)
    if document is not None and (place / CSV).is_file():
        same = (place / CSV).read_bytes() == csv_text(document).encode("utf-8")
        yield Checked(before + CSV, f"says what {JSON} says", "" if same else f"it is not the one of {JSON}")
    if (place / RECORD).is_file():
        yield from _pdf(place / RECORD, before, None if wrong else text)
    else:
        yield Checked(before + RECORD, "no record was printed")


def _newest(folder: Path, last: Path) -> Iterator[Checked]:
    """The files at the top are those of the last judgement."""
    for name in (JSON, CSV, RECORD, container.NAME):
        pair = [(place / name) for place in (folder, last)]
        if any(each.is_file() for each in pair):
            same = all(each.is_file() for each in pair) and pair[0].read_bytes() == pair[1].read_bytes()
            wrong = "" if same else f"it is not the one of {last.relative_to(folder).as_posix()}"
            yield Checked(name, f"is the one of {last.relative_to(folder).as_posix()}", wrong)


def _pdf(path: Path, before: str = "", verdicts: str | None = None) -> Iterator[Checked]:
    """The PDF's own bytes, then the files in it and beside it against its manifest."""
    name = before + path.name
    pdf = path.read_bytes()
    digest, wrong = _tried(lambda: digest_of(pdf, path.name))
    yield Checked(name, f"its bytes fit the digest in it, {digest}", wrong)
    if wrong:
        return
    inside, wrong = _tried(lambda: files_inside(pdf))
    listed: dict[str, Any] = {}
    if not wrong:
        listed, wrong = _tried(lambda: _manifest(inside or {}))
    yield Checked(
        f"{name}: {manifest.NAME}", f"its seal fits; record seal {listed.get(SEAL, '') if listed else ''}", wrong
    )
    if not wrong and inside is not None and listed is not None:
        yield from _against_manifest(listed, inside, name)
        yield _verdicts_inside(inside, listed, name, verdicts)
        yield from _container(path, listed, before)


def files_inside(pdf: bytes) -> dict[str, bytes]:
    """The files inside a PDF by name; raises where it cannot be read or where two have one name."""
    from pypdf import PdfReader  # here: only verifying needs it

    try:
        found = {name: list(contents) for name, contents in PdfReader(io.BytesIO(pdf)).attachments.items()}
    except Exception as broken:  # a broken file may raise anything
        raise FileError(f"the files in the PDF cannot be read ({broken})", remedy=REMEDY) from None
    twice = [name for name, contents in found.items() if len(contents) != 1]
    if twice:
        raise FileError(f"{', '.join(twice)} is attached more than once", remedy=REMEDY)
    return {name: contents[0] for name, contents in found.items()}


def _manifest(inside: dict[str, bytes]) -> dict[str, Any]:
    if manifest.NAME not in inside:
        raise FileError(f"no {manifest.NAME} is attached", remedy=REMEDY)
    return manifest.read_manifest(inside[manifest.NAME].decode("utf-8", errors="replace"))


def _against_manifest(listed: dict[str, Any], inside: dict[str, bytes], name: str) -> Iterator[Checked]:
    wanted = {file["file"]: file for file in listed["files"] if file["where"] == manifest.INSIDE}
    for file, block in wanted.items():
        yield Checked(f"{name}: {file}", f"SHA-256 {block['sha256']}", _differs(inside.get(file), block))
    for file in inside.keys() - wanted.keys() - {manifest.NAME}:
        yield Checked(f"{name}: {file}", "", "it is attached and the manifest does not know it")


def _differs(content: bytes | None, block: dict[str, Any]) -> str:
    """What is wrong with a file that a manifest describes; empty where nothing is."""
    if content is None:
        return "it is missing"
    if (len(content), sha256(content).hexdigest()) != (block["bytes"], block["sha256"]):
        return f"it is not the file of the manifest (SHA-256 {block['sha256']})"
    return ""


def _verdicts_inside(inside: dict[str, bytes], listed: dict[str, Any], name: str, beside: str | None) -> Checked:
    """The verdicts in the PDF: sealed, of the same judgement, made from the files of the manifest, and the same as beside the PDF."""
    text = inside.get(JSON, b"").decode("utf-8", errors="replace")
    document, wrong = _tried(lambda: read_verdicts(text, JSON))
    if document is not None:
        digests = {file["sha256"] for file in listed["files"]}
        strange = [one["file"] for one in document["inputs"] if one["sha256"] not in digests]
        if document["judgement"] != listed["judgement"] or document["run"]["number"] != listed["run"]:
            wrong = "they are of another judgement than the manifest"
        elif strange:
            wrong = f"they were made from files that the manifest does not know: {', '.join(strange)}"
        elif beside is not None and beside != text:
            wrong = f"they are not those of the {JSON} beside the PDF"
    seal = document.get(SEAL, "") if document else ""
    return Checked(f"{name}: {JSON}", f"made from the files of the manifest; verdicts seal {seal}", wrong)


def _container(path: Path, listed: dict[str, Any], before: str) -> Iterator[Checked]:
    """The container beside the PDF: its bytes, and each recording in it."""
    block = listed["container"]
    if block is None:
        return
    if PurePath(block["file"]).name != block["file"]:
        yield Checked(before + block["file"], "", "the manifest names a container that does not lie beside the PDF")
        return
    box = path.with_name(block["file"])
    content = box.read_bytes() if box.is_file() else None
    wrong = _differs(content, block)
    yield Checked(before + block["file"], f"SHA-256 {block['sha256']}", wrong)
    if content is None or wrong:
        return
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        for file in listed["files"]:
            if file["where"] == manifest.BESIDE:
                held = archive.read(file["file"]) if file["file"] in archive.namelist() else None
                yield Checked(
                    f"{before}{block['file']}: {file['file']}", f"SHA-256 {file['sha256']}", _differs(held, file)
                )


def _tried(read: Any) -> tuple[Any, str]:
    """What a reader gives, and what was wrong (empty where nothing was)."""
    try:
        return read(), ""
    except CurewrightError as error:
        return None, f"{error.found}" + (f"; expected {error.expected}" if error.expected else "")
    except (OSError, UnicodeDecodeError) as error:
        return None, f"it cannot be read ({getattr(error, 'strerror', None) or error})"
