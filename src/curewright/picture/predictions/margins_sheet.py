"""Which requirement of a part is at risk, as a sheet: each predicted margin as a dot, its band as a bar, the limit as one upright line.

Every row has a scale of its own, for their units differ; the numbers stand at the bars. What lies past the limit is dark, on hatching, so
that it reads without colour. Below the requirements stands the hottest place inside each zone against the upper limits of the part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from curewright.picture.drawing import OUTSIDE, Box, Drawing, Pen
from curewright.picture.letters import fitted, width
from curewright.picture.panel import LARGE, PLAIN, SMALL
from curewright.picture.predictions.sheet import NEVER_EVIDENCE
from curewright.picture.shown import signs
from curewright.predict.verdict_band import BROKEN, NEAR, REACHES_PAST
from curewright.text.shown import apart, as_sure, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.predict.inside import InsideBand
    from curewright.predict.verdict_band import JudgedSamples, VerdictBand
    from curewright.text.in_units import Shown

WIDE, LEFT, NAMES, TOLD = (
    728.0,
    46.0,
    236.0,
    140.0,
)  # pt: of the sheet, its margin, the names at the left, the words at the right
PAST_ROOM = 1 / 3  # of the width of the bars that lies past the limit
HEAD, ROW, GAP, FOOT = 62.0, 27.0, 40.0, 30.0  # pt
NUMBERS = 58.0  # pt beside a bar for the number and the unit at its end
BAR, DOT = 9.0, 3.2  # pt
SMALLEST = 5.0  # pt: letters
WITHIN, PAST = "#cfcfcf", "#4d4d4d"
MOST_ROWS = 12
OF_THE_MAP = ("count", "recording")
SAYS = (
    "dot, bold number: as predicted; bar: the middle 95 % of the samples; dark, on hatching: past the limit; every row has its own scale",
    "shares of the sampled inputs of the model, no probability that the real run conforms",
)


@dataclass(frozen=True)
class MarginRow:
    """A margin: what it is of, its unit, the predicted one, its band, and the words at the right (bold where it is at risk)."""

    words: str
    below: str
    unit: str
    predicted: float
    band: tuple[float, float]
    told: str
    at_risk: bool


def rows_of(judged: JudgedSamples, serial: str) -> list[MarginRow]:
    """A part's requirements by risk that what is doubtful moves."""
    found = [one for one in judged.verdicts if one.verdict.part == serial and one.verdict.kind not in OF_THE_MAP]
    told = [_row(one) for one in found if one.rank in (BROKEN, REACHES_PAST, NEAR)]
    return [row for row in told if row is not None][:MOST_ROWS]


def _row(one: VerdictBand) -> MarginRow | None:
    verdict, margin = one.verdict, one.verdict.margin
    if margin is None or one.margin is None:
        return None
    thing = "" if verdict.thing in ("", verdict.part) else f"{verdict.thing}, "
    return MarginRow(
        f"{thing}{verdict.clause} {verdict.form}", signs(plain(verdict.limit)), signs(apart(margin.unit)), float(margin.value), one.margin,
        f"not met in {one.not_met} of {one.samples}", one.rank in (BROKEN, REACHES_PAST),
    )  # fmt: skip


def inside_rows(judged: JudgedSamples, serial: str, shown: Shown) -> list[MarginRow]:
    """The hottest place inside each zone of a part, as a margin under the upper limits of the part."""
    return [_inside(one, shown) for one in judged.inside if one.limit.part == serial][:MOST_ROWS]


def _inside(one: InsideBand, shown: Shown) -> MarginRow:
    scale = shown.temperature.difference().scale / 1e6
    low, high = -one.band[1] / scale, -one.band[0] / scale
    return MarginRow(
        f"inside {one.zone}" + ("" if one.sensed else " (no thermocouple)"), signs(f"{one.limit.clause}: {one.limit.words}"),
        signs(shown.temperature.name), -one.predicted / scale, (low, high), f"over it in {one.over} of {one.samples}", one.over > 0,
    )  # fmt: skip


def margins_sheet(title: str, rows: Sequence[MarginRow], inside: Sequence[MarginRow] = ()) -> bytes:
    """The sheet as SVG."""
    height = HEAD + ROW * len(rows) + (GAP + ROW * len(inside) if inside else 0.0) + FOOT
    drawing = Drawing(WIDE, height, f"{title}: {NEVER_EVIDENCE}")
    drawing.words(LEFT, 11.0, fitted(title, 12.0, 670.0, bold=True), 12.0, bold=True)
    drawing.words(LEFT, 22.0, f"{NEVER_EVIDENCE}; {SAYS[1]}", SMALL)
    drawing.words(LEFT, HEAD - 18.0, "margin of each requirement, worst first", LARGE, bold=True)
    _group(drawing, rows, HEAD)
    if inside:
        top = HEAD + ROW * len(rows) + GAP
        words = "hottest place inside what cures, under the upper limits of the part (for information)"
        drawing.words(LEFT, top - 18.0, words, LARGE, bold=True)
        _group(drawing, inside, top)
    drawing.words(LEFT, height - 8.0, SAYS[0], SMALL, colour="#333")
    return drawing.svg()


def _group(drawing: Drawing, rows: Sequence[MarginRow], top: float) -> None:
    """Rows below one another, with the hatched side past the limit and the limit itself."""
    left, right = LEFT + NAMES, WIDE - TOLD
    limit = left + PAST_ROOM * (right - left)
    bottom = top + ROW * len(rows)
    drawing.box(Box(left, top, limit - left, bottom - top), OUTSIDE, kind="forbidden")
    drawing.words(limit - 4.0, top - 4.0, "past the limit", SMALL, anchor="end", ground=True)
    drawing.words(limit + 4.0, top - 4.0, "within", SMALL, ground=True)
    for number, row in enumerate(rows):
        _draw(drawing, row, top + ROW * number, (left, limit, right))
    drawing.line(limit, top, limit, bottom, Pen(1.6), "limit")
    drawing.box(Box(left, top, right - left, bottom - top), pen=Pen(0.8), kind="frame")


def _draw(drawing: Drawing, row: MarginRow, top: float, edges: tuple[float, float, float]) -> None:
    left, limit, right = edges
    middle = top + ROW * 0.38
    drawing.line(LEFT, top, WIDE - 12.0, top, Pen(0.4, "#ccc"), "row")
    size = _size(row.words, PLAIN, bold=row.at_risk)
    drawing.words(LEFT, top + 11.0, fitted(row.words, size, NAMES - 6.0, bold=row.at_risk), size, bold=row.at_risk)
    size = _size(row.below, SMALL)
    drawing.words(LEFT, top + 21.5, fitted(row.below, size, NAMES - 6.0), size, colour="#333")
    drawing.words(
        right + 6.0, middle + 3.2, fitted(row.told, PLAIN, TOLD - 10.0, bold=row.at_risk), PLAIN, bold=row.at_risk
    )
    room = min(
        right - limit - NUMBERS, 2.0 * (limit - left - NUMBERS / 2)
    )  # the same scale on both sides: 1 past, 2 within
    most = max(row.band[1], row.predicted, -2.0 * row.band[0], -2.0 * row.predicted, 1e-9)

    def x(value: float) -> float:
        return limit + value / most * room

    low, high = row.band
    drawing.box(Box(x(low), middle - BAR / 2, x(high) - x(low), BAR), WITHIN, Pen(0.7), "band")
    if low < 0.0:
        drawing.box(Box(x(low), middle - BAR / 2, x(min(high, 0.0)) - x(low), BAR), PAST, Pen(0.7), "past")
    drawing.dot(x(row.predicted), middle, DOT, "#fff" if row.predicted < 0.0 else "#000", "predicted")
    _numbers(drawing, row, top + ROW - 3.5, x)


def _size(words: str, usual: float, *, bold: bool = False) -> float:
    """The size of letters in which words go whole into the column of names: the usual one, or smaller down to what can be read."""
    return max(SMALLEST, min(usual, usual * (NAMES - 6.0) / max(width(words, usual, bold=bold), 1.0) - 0.05))


def _numbers(drawing: Drawing, row: MarginRow, y: float, x: Any) -> None:
    """The ends of the band and the predicted margin, where they do not cover one another."""
    wide = row.band[1] - row.band[0]
    words = [f"{_digits(row.band[0], wide)}", f"{_digits(row.band[1], wide)} {row.unit}".strip()]
    places = [x(row.band[0]), x(row.band[1])]
    drawing.words(places[0], y, words[0], SMALL, anchor="end", ground=True)
    drawing.words(max(places[1], places[0] + 5.0), y, words[1], SMALL, ground=True)
    predicted = _digits(row.predicted, wide)
    at, room = x(row.predicted), width(predicted, SMALL) / 2 + 3.0
    if places[0] + room < at < places[1] - room and abs(at - x(0.0)) > room:
        drawing.words(at, y, predicted, SMALL, anchor="middle", bold=True, ground=True)
    else:  # no room there between the numbers at the ends of the band, or the limit runs through it: beside the bar
        beside = max(places[1], at + DOT, x(0.0) if places[1] < x(0.0) < places[1] + 2.0 * room + 5.0 else 0.0)
        drawing.words(beside + 5.0, y - 11.0, predicted, SMALL, bold=True, ground=True)


def _digits(value: float, wide: float) -> str:
    return as_sure(value, wide).replace("-", "−")
