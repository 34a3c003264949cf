"""What was not met, is not shown or still open: each with the paper's words, limits, what was found, and the deciding samples."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Any

from curewright.record.cure_record.blocks import outcome, paragraph, plot, section, unit_signs
from curewright.record.words import (
    DEVIATIONS,
    MARKS,
    OTHER_READING,
    lines_of,
    name_of,
    says,
    when,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import Papers, Plot

LETTERS, LINE, HEAD, PAGE = (
    85,
    11.5,
    110.0,
    640.0,
)  # of a line; pt of a line, of head and foot of a deviation, of Letter
STRETCHES = 12  # told of one sort
QUOTED = 10  # samples; the verdicts file has them all
LABELS = {
    "limit": "Limit", "found": "Found", "where": "Where", "why": "Why", "left": "Allowance left", "from": "From", "to": "To", "at": "At",
    "outside": "Outside", "unknown": "Unknown",
    "last good": "Last good", "good again": "Good again", "set aside": "Set aside", "otherwise": "Otherwise",
    OTHER_READING: "Other reading", "chance": "Chance", "note": "Note",
}  # fmt: skip


def deviating(document: dict[str, Any]) -> list[int]:
    """The places in the document of the verdicts that are not met, not shown or open, worst first."""
    order = list(MARKS)
    places = [place for place, verdict in enumerate(document["verdicts"]) if verdict["outcome"] in DEVIATIONS]
    return sorted(places, key=lambda place: order.index(document["verdicts"][place]["outcome"]))


def deviations(papers: Papers) -> Iterator[Block]:
    """The chapter of deviations, worst first."""
    places = deviating(papers.document)
    blocks = [_deviation(place, papers) for place in places]
    if not blocks:
        blocks = [paragraph("None: nothing is not met, not shown or open.")]
    undrawn = len(places) - len(papers.plots.deviations)
    if undrawn and papers.plots.deviations:
        blocks.insert(0, paragraph(f"{undrawn} of them have no plot here; the samples that decided them are quoted."))
    still_open = any(papers.document["verdicts"][place]["outcome"] == "open" for place in places)
    name = "Deviations, what is not shown and what is open" if still_open else "Deviations and what is not shown"
    yield section(f"{name} ({len(places)})", blocks)


def _deviation(place: int, papers: Papers) -> Block:
    document = papers.document
    verdict = document["verdicts"][place]
    drawn = papers.plots.deviations.get(place)
    samples = verdict["evidence"]
    rows = list(_rows(verdict, document))
    return {
        "kind": "deviation",
        "to_report": verdict["outcome"] != "open",
        "whole": _fits(rows, min(len(samples), QUOTED), drawn),
        "outcome": outcome(verdict["outcome"]),
        "name": f"{name_of(verdict)[0].upper()}{name_of(verdict)[1:]}, clause {verdict['clause']} {verdict['form']}",
        "specification": f"{verdict['specification']} revision {verdict['revision']}",
        "says": says(verdict, document),
        "rows": rows,
        "plot": plot(drawn) if drawn else None,
        "samples": [
            [
                s["channel"],
                when(s["at"], document),
                unit_signs(f"{s['value']} {s['unit']}"),
                f"{s['file']} line {s['line']}",
            ]
            for s in samples[:QUOTED]
        ],
        "more": f"and {len(samples) - QUOTED} more in verdicts.json" if len(samples) > QUOTED else "",
    }


def _rows(verdict: dict[str, Any], document: dict[str, Any]) -> Iterator[list[str]]:
    """Labels and words of a deviation; of many stretches the first ones, and how many more there are."""
    told: Counter[str] = Counter()
    for label, words in lines_of(verdict, document):
        told[label] += 1
        if label in LABELS and told[label] <= STRETCHES:
            said = f"{words} (for information: not what the clause states)" if label == OTHER_READING else words
            yield [LABELS[label], unit_signs(said)]
    for label, count in told.items():
        if label in LABELS and count > STRETCHES:
            yield [LABELS[label], f"and {count - STRETCHES} more in verdicts.json"]


def _fits(rows: list[list[str]], samples: int, drawn: Plot | None) -> bool:
    """Whether a deviation surely fits on one page of either paper, so that it is not broken over two."""
    text = sum(-(-len(words) // LETTERS) for _, words in rows) * LINE
    height = re.search(rb'height="([\d.]+)', drawn.svg) if drawn else None
    return HEAD + text + samples * LINE + (float(height[1]) if height else 0.0) < PAGE
