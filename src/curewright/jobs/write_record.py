"""Print the cure record of a judgement: plots, manifest, container and PDF, from what the judgement was made from."""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, Any

from curewright.jobs.draw_record import with_plots
from curewright.read.folder import Original
from curewright.record import container as containers
from curewright.record.container import container
from curewright.record.cure_record.papers import Papers
from curewright.record.folder import RECORD
from curewright.record.manifest import BESIDE, INSIDE, Filed, filed, manifest
from curewright.record.seal import seal_in, sealed_text
from curewright.record.verdicts import shown
from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.jobs.understand_run import Understood
    from curewright.record.cure_record.papers import Print
    from curewright.terms.verdict import Judgement

ATTACHED_RECORDINGS = 8 * 10**6  # bytes of recordings, together, that are attached; more go into the container


def write_record(
    understood: Understood,
    judgement: Judgement,
    document: dict[str, Any],
    text: str,
    how: Print,
    step: Callable[[str], None] = lambda _: None,
) -> dict[str, bytes]:
    """The files of the cure record of a judgement: the PDF, and a container where the recordings are too large to attach.

    ``text``: the sealed verdicts file. Raises :class:`FileError` where a file has changed since it was judged. ``step`` is told what
    is being done.
    """
    from curewright.record.cure_record.typeset import typeset  # here: whoever only judges does not wait for it

    step("gathering the files of the record")
    papers, attached, manifest_text, beside = papers_of(understood, document, text, how)
    step("drawing the plots")
    papers = with_plots(papers, understood, judgement)
    step("printing the record")
    pdf = typeset(papers, attached, manifest_text)
    return {RECORD: pdf} | ({} if beside is None else {containers.NAME: beside})


def papers_of(
    understood: Understood, document: dict[str, Any], text: str, how: Print
) -> tuple[Papers, list[tuple[Filed, bytes]], str, bytes | None]:
    """All that the record is printed from, the files that it carries, its manifest, and the container's bytes (None: none needed)."""
    read = _read(understood)
    verdicts = text.encode("utf-8")
    large = sum(len(content) for _, role, content in read if role == "recording") > ATTACHED_RECORDINGS
    files = [
        (filed(name, role, content, BESIDE if large and role == "recording" else INSIDE), content)
        for name, role, content in read
    ]
    files.append((filed("verdicts.json", "verdicts", verdicts), verdicts))
    beside = container((file.name, content) for file, content in files if file.where == BESIDE) if large else None
    box = None if beside is None else filed(containers.NAME, "container", beside, BESIDE)
    listed = tuple(file for file, _ in files)
    sealed = sealed_text(manifest(document, listed, box))
    inputs = understood.inputs
    papers = Papers(
        document, seal_in(text), inputs.run, inputs.vessel, inputs.load, understood.specifications, listed, box, seal_in(sealed),
        print=how,
    )  # fmt: skip
    return papers, [pair for pair in files if pair[0].where != BESIDE], sealed, beside


def _read(understood: Understood) -> list[tuple[str, str, bytes]]:
    """Name, role and bytes of every file of the judgement, the specifications first; a file that has changed since is refused."""
    papers = [Original(path.name, "specification", path) for path in understood.inputs.specifications]
    found: dict[str, tuple[str, bytes]] = {}
    for original in (*papers, *understood.inputs.originals):
        content = original.path.read_bytes()
        if (original.name, sha256(content).hexdigest()) not in understood.files:
            raise FileError(
                "the file has changed since it was read for this judgement",
                expected="the bytes that were judged",
                where=Place(original.name),
                remedy="judge the run again, when nothing else writes to its files",
            )
        name = shown(original.name)
        while name in found:
            name = f"other {name}"
        found[name] = (original.role, content)
    return [(name, role, content) for name, (role, content) in found.items()]
