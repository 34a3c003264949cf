"""From data, plots and files to the bytes of one PDF/A-3 (ISO 19005-3), the same bytes for the same input on the same installation."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from functools import cache
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from curewright.record import manifest
from curewright.record.cure_record.contents import contents
from curewright.record.cure_record.glyphs import fonts_folder, printable
from curewright.record.digest import with_digest
from curewright.text.packaged import packaged_text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from curewright.record.cure_record.papers import Papers
    from curewright.record.manifest import Filed

MAIN = "cure_record.typ"
STANDARD = "a-3a"
MIMES = {
    ".csv": "text/csv",
    ".txt": "text/plain",
    ".yaml": "application/yaml",
    ".yml": "application/yaml",
    ".json": "application/json",
}


def typeset(
    papers: Papers,
    attached: Sequence[tuple[Filed, bytes]],
    manifest_text: str,
    meanwhile: Callable[[], None] = lambda: None,
) -> bytes:
    """The record as PDF/A-3 with its digest in it. ``attached``: the files that it carries; the manifest is added to them.

    ``meanwhile`` is done while the typesetter works, which leaves the interpreter free.
    """
    files = _virtual_files(papers, attached, manifest_text)
    with ThreadPoolExecutor(1) as typesetter:
        made = typesetter.submit(_compiled, files, format="pdf", pdf_standards=STANDARD, timestamp=_stamp(papers))
        meanwhile()
        return with_digest(made.result())


def pictures(papers: Papers, per_inch: float = 80.0) -> list[bytes]:
    """The pages of the record as PNG, to be looked at."""
    made = _compiled(_virtual_files(papers, (), ""), format="png", ppi=per_inch)
    return list(made) if isinstance(made, list) else [made]


def _virtual_files(papers: Papers, attached: Sequence[tuple[Filed, bytes]], manifest_text: str) -> dict[str, bytes]:
    data = printable(contents(papers))
    files = {MAIN: packaged_text("curewright.record.cure_record", MAIN).encode()}
    estimated = papers.estimate.plots if papers.estimate else ()
    files |= {plot.name: plot.svg for plot in (*papers.plots.all(), *estimated)}
    listed: list[dict[str, str]] = []
    if manifest_text:
        listed.append(_attachment(manifest.NAME, "manifest", "attached-manifest"))
        files["attached-manifest"] = manifest_text.encode()
    for number, (file, content) in enumerate(attached):
        listed.append(_attachment(file.name, file.role, f"attached-{number}"))
        files[f"attached-{number}"] = content
    data["attachments"] = listed
    files["data.json"] = json.dumps(data, ensure_ascii=False).encode()
    return files


def _attachment(name: str, role: str, path: str) -> dict[str, str]:
    return {
        "path": path,
        "name": name,
        "mime": MIMES.get(PurePosixPath(name).suffix.lower(), "application/octet-stream"),
        "relationship": {"verdicts": "data", "manifest": "supplement"}.get(role, "source"),
        "role": role,
    }


def _stamp(papers: Papers) -> datetime:
    """The date that the PDF has to carry: the one given for the judgement, else when the run was closed, else when it began."""
    run = papers.document["run"]
    closed = run["closed"]["at"] if run["closed"] else ""
    return datetime.fromisoformat(papers.document["judgement"]["at"] or closed or run["start"]["time"])


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(fonts_folder())])


def _compiled(files: dict[str, bytes], **how: Any) -> Any:
    """What the typesetter makes of these files. They lie on the disk while it works: it takes files in memory for texts."""
    import typst  # here: only whoever prints needs it

    with TemporaryDirectory(prefix="cure-record-") as folder:
        for name, content in files.items():
            Path(folder, name).write_bytes(content)
        made, warnings = typst.compile_with_warnings(Path(folder, MAIN), root=folder, font_paths=_fonts(), **how)
    if warnings:  # a warning is a missing font or a sign that cannot be shown
        raise AssertionError("; ".join(f"{one.message} {one.diagnostic}" for one in warnings))
    return made
