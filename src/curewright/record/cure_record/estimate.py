"""The estimate of the cure, printed only when somebody asks for it: what a deviation did to the resin. Never evidence, and no verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.record.cure_record.blocks import degrees, digits, lines, pairs, paragraph, plot, section, table, title
from curewright.record.state_words import (
    PRESSURE_CAPTION,
    PRESSURE_TITLE,
    cure_words,
    pressure_head,
    pressure_row,
    state_head,
    state_row,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import EstimateOfCure, Papers, StateAtDeviation

NAME = "Estimate of the cure (never evidence)"
CAUTION = (
    "An engineering estimate by published laws, made because somebody asked for it. No verdict of this record depends on it. Pressure, bag "
    "and laminate quality are not considered. It is no permission for anything, and no disposition."
)
READ_AS = (
    "recorded: by what the thermocouple itself recorded; replayed: by the model in the recorded air and pressure, at the bag side (0), in "
    "the middle (0.5) and at the tool side (1) of the layer; in brackets: the planned cycle; "
    "glass depends: on the law of the glass transition"
)
WIDTHS, PRESSURE_WIDTHS = (3.4, 0.7, 1.4, 0.9, 0.7, 0.8, 0.9, 1.1, 1.4), (3.4, 1.5, 2.4, 1.5, 2.2)


def estimate(papers: Papers) -> Iterator[Block]:
    """The chapter of the estimate with its plots; none where nobody asked for it."""
    found = papers.estimate
    if found is None:
        return
    yield section(NAME, _blocks(papers, found), new_page=True)
    for one in found.plots:
        yield section(f"{NAME}: plot", [plot(one)], flipped=True)


def _blocks(papers: Papers, found: EstimateOfCure) -> Iterator[Block]:
    yield paragraph(CAUTION, "notice")
    for words in found.without:
        yield paragraph(words)
    if found.states:
        yield paragraph(READ_AS, "small")
    for one in found.states:
        yield from _state(papers, one)
    if found.warnings:
        yield title("What this estimate stands on")
        yield lines(found.warnings)
    if found.files:
        yield title("Files that only this estimate was made from")
        yield pairs([(name, digits(digest)) for name, digest in found.files])


def _state(papers: Papers, one: StateAtDeviation) -> Iterator[Block]:
    """The part at the instant that decided, beside the planned cycle at the same time since the start."""
    yield title(f"Part {one.state.part} at {papers.when(round(one.state.t * 1e9))}")
    yield paragraph(f"The instant that decided {one.decided}. In brackets: the planned cycle as long after its start.")
    head = [*(_heading(words) for words in state_head(one.shown)), "Cure at the end (planned)"]
    rows = [
        [*state_row(place.by, place.state, place.nominal, one.shown), cure_words(place.at_end, place.nominal_end)]
        for place in one.state.places
    ]
    yield table(head, WIDTHS, rows)
    yield paragraph(f"{PRESSURE_TITLE}, {one.shown.pressure_difference}; {PRESSURE_CAPTION}.", "small")
    head = [_heading(words) for words in pressure_head(one.shown)]
    yield table(head, PRESSURE_WIDTHS, [pressure_row(place, one.shown) for place in one.state.places])


def _heading(words: str) -> str:
    return degrees(words[:1].upper() + words[1:])
