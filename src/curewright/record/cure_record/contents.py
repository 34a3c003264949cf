"""The whole record in its order, as data for the template: deviations before what is met, evidence after, signatures last."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.record.cure_record.blocks import paragraph, plot, section
from curewright.record.cure_record.deviations import deviations
from curewright.record.cure_record.front import front, worst
from curewright.record.cure_record.interpretations import interpretations
from curewright.record.cure_record.leak_checks import leak_checks
from curewright.record.cure_record.papers import PAPERS
from curewright.record.cure_record.parts import parts
from curewright.record.cure_record.people import rulings_and_entries, sentences_for_people, signatures
from curewright.record.cure_record.sensors import sensors
from curewright.record.digest import EMPTY

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import Papers


def contents(papers: Papers) -> dict[str, Any]:
    """The record as data: what stands on every page, and the chapters."""
    document = papers.document
    run, judgement = document["run"], document["judgement"]
    drafts = [
        f"{one['number']} revision {one['revision']}" for one in document["specifications"] if not one["approved_by"]
    ]
    return {
        "paper": PAPERS[papers.print.paper],
        "marking": papers.print.marking,
        "draft": ", ".join(drafts),
        "title": f"Cure record of run {run['number']}",
        "metadata": {
            "title": f"Cure record of run {run['number']}",
            "author": judgement["person"],
            "description": f"Judgement {judgement['number']} of run {run['number']} in vessel {run['vessel']}: {worst(document)}",
            "digest": EMPTY,
        },
        "run": run["number"],
        "vessel": run["vessel"],
        "judgement": f"{judgement['number']}",
        "program": document["program"],
        "seal": " ".join(papers.seal[i : i + 4] for i in range(0, 16, 4)),
        "chapters": list(_chapters(papers)),
    }


def _chapters(papers: Papers) -> Iterator[Block]:
    yield from front(papers)
    yield from deviations(papers)
    yield from sentences_for_people(papers)
    yield from parts(papers)
    yield from _whole_run(papers)
    yield from leak_checks(papers)
    yield from sensors(papers)
    yield from rulings_and_entries(papers)
    yield from interpretations(papers)
    if papers.estimate:
        from curewright.record.cure_record.estimate import estimate  # here: it leads to the whole of prediction

        yield from estimate(papers)
    yield from signatures(papers)


def _whole_run(papers: Papers) -> Iterator[Block]:
    if papers.plots.whole_run:
        yield section("The whole run", [*_left_out(papers), plot(papers.plots.whole_run)], flipped=True)


def _left_out(papers: Papers) -> Iterator[Block]:
    """Which parts have no plot of their own, where some have one and others not."""
    without = len(papers.load.parts) - len(papers.plots.parts)
    if papers.plots.parts and without:
        yield paragraph(
            f"{len(papers.plots.parts)} parts, those with the worst outcomes, have a plot of their own; the other {without} have none."
        )
