"""Print the cure record of a judgement: plots, manifest, container and PDF, from what the judgement was made from."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

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
    from curewright.record.cure_record.papers import EstimateOfCure, Plots, Print

Read = tuple[str, str, bytes]  # name, role, content
RECORDING = "recording"
ATTACHED_RECORDINGS = 8 * 10**6  # bytes of recordings, together, that are attached; more go into the container


def write_record(
    understood: Understood,
    plots: Callable[[], Plots],
    document: dict[str, Any],
    text: str,
    how: Print,
    step: Callable[[str], None] = lambda _: None,
    estimate: EstimateOfCure | None = None,
) -> dict[str, bytes]:
    """The files of the cure record of a judgement: the PDF, and a container where the recordings are too large to attach.

    ``plots``: gives its plots; ``text``: the sealed verdicts file. ``step`` is told what is being done. ``estimate``: of the cure, where
    one is asked for. Raises :class:`FileError` where a file has changed since it was judged.
    """
    from curewright.record.cure_record.typeset import typeset  # here: whoever only judges does not wait for it

    step("gathering the files of the record")
    read = _read(understood)
    step("drawing the plots")
    with ThreadPoolExecutor(1) as beside_that:  # compressing leaves the interpreter free
        packing = beside_that.submit(_packed, read)
        drawn = plots()
        packed = packing.result()
    papers, attached, manifest_text = papers_of(understood, document, text, read, packed)
    step("printing the record")
    pdf = typeset(replace(papers, plots=drawn, print=how, estimate=estimate), attached, manifest_text)
    return {RECORD: pdf} | ({} if packed is None else {containers.NAME: packed})


def papers_of(
    understood: Understood, document: dict[str, Any], text: str, read: list[Read], packed: bytes | None
) -> tuple[Papers, list[tuple[Filed, bytes]], str]:
    """All that the record is printed from but its plots, the files that it carries, and its manifest."""
    read = [*read, ("verdicts.json", "verdicts", text.encode("utf-8"))]
    files = [
        (filed(name, role, content, BESIDE if packed and role == RECORDING else INSIDE), content)
        for name, role, content in read
    ]
    box = None if packed is None else filed(containers.NAME, "container", packed, BESIDE)
    listed = tuple(file for file, _ in files)
    sealed = sealed_text(manifest(document, listed, box))
    inputs = understood.inputs
    papers = Papers(
        document,
        seal_in(text),
        inputs.run,
        inputs.vessel,
        inputs.load,
        understood.specifications,
        listed,
        box,
        seal_in(sealed),
    )
    return papers, [pair for pair in files if pair[0].where != BESIDE], sealed


def _packed(read: list[Read]) -> bytes | None:
    """The container of the recordings; None where they are small enough to be attached."""
    recordings = [(name, content) for name, role, content in read if role == RECORDING]
    large = sum(len(content) for _, content in recordings) > ATTACHED_RECORDINGS
    return container(recordings) if large else None


def _read(understood: Understood) -> list[Read]:
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
