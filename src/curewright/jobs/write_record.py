"""Print the cure record of a judgement: plots, manifest, container and PDF, from what the judgement was made from."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any, NamedTuple

from curewright.jobs.packing import Packed, packed
from curewright.read.folder import Original
from curewright.record import container as containers
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

RECORDING = "recording"


class Read(NamedTuple):
    """A file as it belongs to the record."""

    name: str
    role: str
    content: bytes
    sha256: str


def write_record(
    understood: Understood,
    plots: Callable[[], Plots],
    document: dict[str, Any],
    text: str,
    how: Print,
    step: Callable[[str], None] = lambda _: None,
    estimate: EstimateOfCure | None = None,
    begun: Packed | None = None,
    meanwhile: Callable[[], None] = lambda: None,
) -> dict[str, bytes]:
    """The files of the cure record of a judgement: the PDF, and a container where the recordings are too large to attach.

    ``plots``: gives its plots; ``text``: the sealed verdicts file. ``step`` is told what is being done. ``estimate``: of the cure, where
    one is asked for. ``begun``: the container where it is packed already. ``meanwhile`` is done while the typesetter works.
    Raises :class:`FileError` where a file has changed since it was judged.
    """
    from curewright.record.cure_record.typeset import typeset  # here: whoever only judges does not wait for it

    step("gathering the files of the record")
    read = _read(understood, begun)
    step("drawing the plots")
    with ThreadPoolExecutor(1) as beside_that:  # compressing leaves the interpreter free
        boxing = beside_that.submit(_container, read, begun)
        drawn = plots()
        box = boxing.result()
    papers, attached, manifest_text = papers_of(understood, document, text, read, box)
    step("printing the record")
    papers = replace(papers, plots=drawn, print=how, estimate=estimate)
    pdf = typeset(papers, attached, manifest_text, meanwhile)
    return {RECORD: pdf} | ({} if box is None else {containers.NAME: box})


def papers_of(
    understood: Understood, document: dict[str, Any], text: str, read: list[Read], box: bytes | None
) -> tuple[Papers, list[tuple[Filed, bytes]], str]:
    """All that the record is printed from but its plots, the files that it carries, and its manifest."""
    verdicts = text.encode("utf-8")
    files = [
        (
            Filed(
                one.name, one.role, one.sha256, len(one.content), BESIDE if box and one.role == RECORDING else INSIDE
            ),
            one.content,
        )
        for one in read
    ]
    files.append((filed("verdicts.json", "verdicts", verdicts), verdicts))
    filed_box = None if box is None else filed(containers.NAME, "container", box, BESIDE)
    listed = tuple(file for file, _ in files)
    sealed = sealed_text(manifest(document, listed, filed_box))
    inputs = understood.inputs
    papers = Papers(
        document,
        seal_in(text),
        inputs.run,
        inputs.vessel,
        inputs.load,
        understood.specifications,
        listed,
        filed_box,
        seal_in(sealed),
    )
    return papers, [pair for pair in files if pair[0].where != BESIDE], sealed


def _container(read: list[Read], begun: Packed | None = None) -> bytes | None:
    """The container of the recordings, the one that was begun before if it has them; None where they are small enough to be attached."""
    recordings = [one for one in read if one.role == RECORDING]
    if begun and [(one.name, one.sha256) for one in recordings] == [
        (shown(n), digest) for n, _, digest in begun.recordings
    ]:
        return begun.container
    return packed([(one.name, one.content) for one in recordings])


def _read(understood: Understood, begun: Packed | None = None) -> list[Read]:
    """Every file of the judgement as it was judged, the specifications first; a file that has changed since is refused."""
    papers = [Original(path.name, "specification", path) for path in understood.inputs.specifications]
    held = {(name, digest): content for name, content, digest in begun.recordings} if begun else {}
    found: dict[str, Read] = {}
    for original in (*papers, *understood.inputs.originals):
        judged = (original.name, dict(understood.files).get(original.name, ""))
        content = held[judged] if judged in held else original.path.read_bytes()
        digest = judged[1] if judged in held else sha256(content).hexdigest()
        if (original.name, digest) not in understood.files:
            raise FileError(
                "the file has changed since it was read for this judgement",
                expected="the bytes that were judged",
                where=Place(original.name),
                remedy="judge the run again, when nothing else writes to its files",
            )
        name = shown(original.name)
        while name in found:
            name = f"other {name}"
        found[name] = Read(name, original.role, content, digest)
    return list(found.values())
