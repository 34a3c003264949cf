"""The estimate of the cure, printed only when somebody asks for it: what a deviation did to the resin. Never evidence, and no verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.predict.verdict_band import BROKEN, REACHES_PAST
from curewright.record.cure_record.blocks import degrees, digits, lines, pairs, paragraph, plot, section, table, title
from curewright.record.risk_print import NO_PROBABILITY, band_of_margin, counts_of, margin_of, requirement
from curewright.record.state_words import (
    BAND_OF_EACH,
    ISOLATES,
    PRESSURE_TITLE,
    UNPLANNED,
    band_head,
    band_row,
    band_words,
    cure_words,
    pressure_caption,
    pressure_head,
    pressure_row,
    state_head,
    state_row,
    warning_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.predict.verdict_band import JudgedSamples
    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import EstimateOfCure, Papers, StateAtDeviation

NAME = "Estimate of the cure (never evidence)"
CAUTION = (
    "An engineering estimate by published laws, made because somebody asked for it. No verdict of this record depends on it. Pressure, bag "
    "and laminate quality are not considered. It is no permission for anything, and no disposition."
)
READ_AS = (
    "recorded: by what the thermocouple itself recorded; replayed: by the model in the recorded air and pressure, at the bag side (0), in "
    "the middle (0.5) and at the tool side (1) of the layer; "
    "glass depends: on the law of the glass transition"
)
MODEL_ONLY = (
    "What the model's temperatures would have got in the recorded air and pressure, sample by sample of what is doubtful. The verdicts "
    "of this record are those on what was recorded; nothing here changes them."
)
BAND_WIDTHS, JUDGED_WIDTHS = (3.4, 1.6, 1.4, 1.2, 1.4, 1.0), (4.6, 1.6, 1.8, 1.6)
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
    if found.judged is not None:
        yield from _judged(found.judged, {one.state.part for one in found.states})
    if found.warnings:
        yield title("What this estimate stands on")
        yield lines(found.warnings)
    if found.files:
        yield title("Files that only this estimate was made from")
        yield pairs([(name, digits(digest)) for name, digest in found.files])


def _state(papers: Papers, one: StateAtDeviation) -> Iterator[Block]:
    """The part at the instant that decided, beside the planned cycle at the same time since the start."""
    yield title(f"Part {one.state.part} at {papers.when(round(one.state.t * 1e9))}")
    planned = one.state.planned
    beside = f"In brackets: the planned cycle as long after its start. {ISOLATES}" if planned else UNPLANNED
    yield paragraph(f"The instant that decided {one.decided}. {beside}.")
    at_end = "Cure at the end (planned)" if planned else "Cure at the end"
    head = [*(_heading(words) for words in state_head(one.shown, planned=planned)), at_end]
    rows = [
        [*state_row(place.by, place.state, place.nominal, one.shown), cure_words(place.at_end, place.nominal_end)]
        for place in one.state.places
    ]
    yield table(head, WIDTHS, rows)
    yield paragraph(f"{PRESSURE_TITLE}, {one.shown.pressure_difference}; {pressure_caption(planned=planned)}.", "small")
    head = [_heading(words) for words in pressure_head(one.shown)]
    yield table(head, PRESSURE_WIDTHS, [pressure_row(place, one.shown) for place in one.state.places])

    warning = warning_of(one.state.places)
    if warning:
        yield paragraph(f"{warning}.", "notice")
    if one.bands:
        words, of_each = band_words(one.bands, one.not_varied), f". {BAND_OF_EACH}" if planned else ""
        yield paragraph(f"How sure that is: the middle 95 % of samples of what is doubtful; {words}{of_each}.", "small")
        head = [_heading(words) for words in band_head(one.shown)]
        yield table(head, BAND_WIDTHS, [band_row(band, one.shown) for band in one.bands])


def _judged(found: JudgedSamples, parts: set[str]) -> Iterator[Block]:
    """What the model's temperatures would have got in the recorded air and pressure, where some samples do not meet it."""
    yield title("How sure the model is of these requirements")
    yield paragraph(f"{MODEL_ONLY} {NO_PROBABILITY}", "small")
    told = [one for one in found.verdicts if one.verdict.part in parts and one.rank in (BROKEN, REACHES_PAST)]
    if not told:
        yield paragraph(f"No requirement of these parts is broken in any of {found.samples} samples.")
        return
    rows = [
        [degrees(words) for words in (requirement(one.verdict), margin_of(one), band_of_margin(one), counts_of(one))]
        for one in told
    ]  # fmt: skip
    head = ["Requirement", "Margin by the model", "Middle 95 %", f"Not met, of {found.samples - found.refused}"]
    yield table(head, JUDGED_WIDTHS, rows)


def _heading(words: str) -> str:
    return degrees(words[:1].upper() + words[1:])
