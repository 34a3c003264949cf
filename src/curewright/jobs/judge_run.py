"""Judge a recorded run: files → traceability → judge → verdicts, numbered beside the earlier ones."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import curewright
from curewright.jobs.blocked import with_blocked
from curewright.jobs.cards import cards_of
from curewright.jobs.cores import beside, map_for
from curewright.jobs.draw_record import plots_of
from curewright.jobs.earlier import earlier_shares
from curewright.jobs.second_person import judged_with_rulings
from curewright.jobs.understand_run import RunFiles, Understood, understand_run
from curewright.jobs.write_record import write_record
from curewright.judge.judge import judge
from curewright.record.folder import keep, keep_record, kept
from curewright.record.verdicts import Document, Writer, shown, verdicts_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from curewright.jobs.packing import Packed
    from curewright.record.cure_record.papers import EstimateOfCure, Print
    from curewright.terms.load import Ruling
    from curewright.terms.verdict import Judgement

PROGRAM = f"curewright {curewright.__version__}"


def judge_run(
    files: RunFiles,
    out: Path | None = None,
    *,
    person: str = "",
    at: str = "",
    how: Print | None = None,
    step: Callable[[str], None] = lambda _: None,
    estimate: Callable[[Document], EstimateOfCure] | None = None,
    packing: Callable[[], Packed | None] = lambda: None,
    tell: Callable[[Document], None] = lambda _: None,
) -> Document:
    """Judge a run; with ``out``, number the judgement after those in that folder and keep it there. Raises :class:`CurewrightError`.

    ``how``: how its cure record is printed; None prints none. ``step`` is told what is being done.
    ``estimate``: gives the estimate of the cure that the record ends with; None: it has none. ``packing``: gives the large recordings
    where packing them was begun before. ``tell`` is told the document once it is final; while the record is printed, where one is.
    """
    step("reading the files")
    understood = understand_run(files)
    begun = packing()  # over by now; no thread is running when processes are started below
    before = kept(out) if out else ()
    belongs = {"inputs": _inputs(understood), "program": PROGRAM, "person": person, "at": at}
    if before and _belongs(before[-1]) == belongs:
        before, number = before[:-1], before[-1]["judgement"]["number"]
    else:
        number = before[-1]["judgement"]["number"] + 1 if before else 1
    step("judging")
    judgement = judged(understood, files.home, number=number, person=person, at=at)
    document = document_of(understood, judgement, before[-1] if before else None)
    if out is None or how is None:
        if out is not None:
            keep(out, document, verdicts_text(document))
        tell(document)
        return document
    with beside(lambda: plots_of(understood, judgement, document), understood.inputs.run) as plots:
        text = verdicts_text(document)
        keep(out, document, text)
        estimated = estimate(document) if estimate else None
        record = write_record(
            understood, plots, document, text, how, step, estimated, begun, meanwhile=lambda: tell(document)
        )
        keep_record(out, document, record)
    return document


def judged(understood: Understood, home: Path, *, number: int, person: str, at: str) -> Judgement:
    """The judgement of a run, rulings and traceability taken into account."""
    inputs = understood.inputs
    shares = earlier_shares(inputs.load, home)
    cards = cards_of(understood.specifications)

    def with_these(rulings: tuple[Ruling, ...]) -> Judgement:
        return judge(
            understood.specifications, inputs.vessel, inputs.load, inputs.run, rulings,
            number=number, person=person, at=at, program=PROGRAM, earlier=shares, inputs=understood.files, cards=cards,
            each=map_for(inputs.run),
        )  # fmt: skip

    judgement = judged_with_rulings(with_these, inputs.rulings, inputs.load)
    return with_blocked(judgement, understood.findings, inputs.load)


def document_of(understood: Understood, judgement: Judgement, before: Document | None) -> Document:
    """The verdicts document, with every outcome that changed since the judgement before."""
    inputs = understood.inputs
    followed = {(part.specification, part.specification_revision) for part in inputs.load.parts}
    used = tuple(one for one in understood.specifications if (one.number, one.revision) in followed)
    writer = Writer(judgement, used, inputs.load, inputs.run)
    return writer.document(inputs.rulings, understood.findings, before)


def _inputs(understood: Understood) -> list[dict[str, str]]:
    return [{"file": shown(name), "sha256": digest} for name, digest in understood.files]


def _belongs(document: Document) -> dict[str, Any]:
    judgement = document["judgement"]
    return {
        "inputs": document["inputs"],
        "program": document["program"],
        "person": judgement["person"],
        "at": judgement["at"],
    }
