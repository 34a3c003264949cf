"""The close view of one verdict as an SVG: its rows one below the other, with the phase above them and the clock below."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.columns import samples
from curewright.picture.drawing import OUTSIDE, UNKNOWN, Box, Drawing, Pen
from curewright.picture.letters import fitted, width
from curewright.picture.panel import SMALL, Panel
from curewright.picture.scales import TimeScale, ValueScale, spanning
from curewright.picture.shown import signs, unit_words
from curewright.picture.time_axis import clock_axis, elapsed_axis
from curewright.picture.zoom import DECIDING, LANE, Row
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.trace import Trace
    from curewright.picture.zoom import Bar, Chord, Lanes, Shade, Spot, View
    from curewright.terms.verdict import Bounds

LEFT, RIGHT = 52.0, 112.0
TITLE, PHASE, AXES, HEAD, BELOW = 15.0, 24.0, 14.0, 15.0, 27.0
PAD = 14.0
SIGNS = {"not met": "✗ NOT MET", "not shown": "? NOT SHOWN", "open": "… OPEN", "met": "✓ met"}
SHADE = "#bdbdbd"


def draw(view: View, rows: Sequence[Row | Lanes], wide: float) -> bytes:
    """The rows of a view as an SVG of ``wide`` points."""
    verdict = view.verdict
    title = f"{SIGNS.get(verdict.outcome.value, verdict.outcome.value)}: part {verdict.part}, clause {verdict.clause} {verdict.form}"
    title += f", {verdict.thing}" if verdict.thing not in ("", verdict.part) else ""
    height = TITLE + PHASE + AXES + sum(HEAD + row.height for row in rows) + BELOW
    drawing = Drawing(wide, height, title)
    times = TimeScale(view.judged.run.start, view.first, view.last, LEFT, wide - LEFT - RIGHT)
    limit = signs(verdict.limit)
    drawing.words(
        2.0, 10.5, fitted(f"{title} ({limit})" if limit else title, 10.0, wide - 4.0, bold=True), 10.0, bold=True
    )
    _phase(drawing, view, times)
    top = TITLE + PHASE + AXES
    elapsed_axis(drawing, times, top)
    bottom = height - BELOW
    for row in rows:
        if isinstance(row, Row):
            _panel(drawing, view, times, row, top + HEAD)
        else:
            _lanes(drawing, times, row, top + HEAD)
        top += HEAD + row.height
    clock_axis(drawing, times, bottom)
    return drawing.svg()


def _phase(drawing: Drawing, view: View, times: TimeScale) -> None:
    """The phase above the panels: a solid bar where it surely is, an open one where it possibly is."""
    phase = view.verdict.phase
    if phase is None or phase.earliest_start is None:
        return
    words = fitted(_phase_words(view, phase), SMALL, drawing.width - 4.0)
    drawing.words(2.0, TITLE + 8.0, words, SMALL)
    top = TITLE + 12.5
    bars = [(view.possible, "#fff", "possible phase")]
    if view.sure is not None:
        bars.append((view.sure, "#000", "sure phase"))
    for (first, last), fill, kind in bars:
        left, right = times.x(times.clipped(first)), times.x(times.clipped(last))
        if last >= times.first and first <= times.last:
            drawing.box(Box(left, top, max(right - left, 2.0), 6.0), fill, Pen(0.9), kind)


def _phase_words(view: View, phase: Bounds) -> str:
    names = [name for name in (phase.start, phase.end) if name]
    start = _between(view, phase.earliest_start, phase.latest_start)
    if (phase.earliest_start, phase.latest_start) == (phase.earliest_end, phase.latest_end):
        return f"at: {names[0] if names else ''} {start}"
    end = _between(view, phase.earliest_end, phase.latest_end)
    return f"phase: {_event(phase.start)} {start} to {_event(phase.end)} {end} (bar: black where sure, open where only possible)"


def _event(name: str) -> str:
    return {RECORD_STARTS: "start of the record", RECORD_ENDS: "end of the record"}.get(name, name)


def _between(view: View, first: int | None, last: int | None) -> str:
    if first is None and last is None:
        return "(never or not known)"
    if first is None or last is None:
        return f"({view.clock(first if first is not None else last or 0)} or later or never)"
    if first == last:
        return view.clock(first)
    return f"({view.clock(first)} to {view.clock(last)})"


# ----------------------------------------------------------------------------------------------------------------- panels
def _panel(drawing: Drawing, view: View, times: TimeScale, row: Row, top: float) -> None:
    panel = Panel(drawing, times, _scale(row, times, top), row.unit)
    for first, last, words in row.unknown:
        if last > times.first and first < times.last:
            panel.unknown(first, last, words)
    panel.frame(", ".join(words for words in (row.title, unit_words(row.unit)) if words))
    for shade in row.shades:
        _shade(panel, shade)
    for limit in row.limits:
        if limit.possible[1] >= times.first and limit.possible[0] <= times.last:
            panel.limit(limit)
    for value, words in row.levels:
        panel.level(value, *view.possible, words)
    for instant, words in [*row.marks, *_aside(view)]:
        _mark(panel, instant, words)
    for curve in row.curves:
        panel.draw(panel.lines(curve.trace), curve.pen, curve.kind, curve.name, bold=curve.pen.width >= DECIDING.width)
        panel.second(curve.trace)
        if curve.dotted:
            _dots(panel, curve.trace)
    for sample in view.verdict.samples:
        _quoted(panel, row, sample.channel, sample.t)
    for chord in row.chords:
        _chord(panel, chord)
    for spot in row.spots:
        _spot(panel, spot)
    panel.write()
    panel.names_at_ends(RIGHT)


def _aside(view: View) -> list[tuple[int, str]]:
    """Where a sensor begins to be set aside, and by whom."""
    return [(one.start, f"{one.channel} set aside by {one.by}") for one in view.verdict.set_aside]


def _scale(row: Row, times: TimeScale, top: float) -> ValueScale:
    values: list[float] = [limit.value for limit in row.limits] + [value for value, _ in row.levels]
    found = [piece for curve in row.curves for _, piece in samples(curve.trace, times.first, times.last)]
    ends = [end for piece in found if len(piece) for end in (float(piece.min()), float(piece.max()))]
    ends += [value for chord in row.chords for _, value in (chord.first, chord.last)] + [
        spot.value for spot in row.spots
    ]
    values += [row.unit.from_grains(end) for end in ends]
    return spanning(values, top, row.height, least=LEAST.get(row.unit.quantity, 1e-3), pad=PAD / (row.height - 2 * PAD))


LEAST = {"temperature": 2.0, "temperature difference": 2.0, "pressure": 0.02, "pressure difference": 0.02, "count": 2.0}


def _points(panel: Panel, t: NDArray[np.int64], v: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.column_stack([panel.times.xs(t), panel.values.ys(panel.shown(v))])


def _shade(panel: Panel, shade: Shade) -> None:
    first, last = max(shade.first, panel.times.first), min(shade.last, panel.times.last)
    if first >= last:
        return
    level = panel.values.y(panel.unit.from_grains(shade.level))
    outlines = []
    for t, v in samples(shade.trace, first, last):
        line = _points(panel, t, v)
        outlines.append(np.concatenate([line, [[line[-1, 0], level], [line[0, 0], level]]]))
    panel.drawing.area(outlines, SHADE, "excursion")


def _dots(panel: Panel, trace: Trace) -> None:
    inside = (trace.t >= panel.times.first) & (trace.t <= panel.times.last)
    if 0 < np.count_nonzero(inside) <= panel.times.width / 3.5:
        for x, y in _points(panel, trace.t[inside], trace.v[inside]).tolist():
            panel.drawing.dot(x, y, 1.1)


def _quoted(panel: Panel, row: Row, channel: str, instant: int) -> None:
    """A quoted sample as an open dot on its curve."""
    for curve in row.curves:
        if curve.kind == "reading" and curve.trace.name == channel and panel.times.first <= instant <= panel.times.last:
            value = curve.trace.value(instant)
            if value is not None:
                panel.drawing.dot(
                    panel.times.x(instant), panel.values.y(row.unit.from_grains(value)), 2.2, "#fff", "sample"
                )


def _mark(panel: Panel, instant: int, words: str) -> None:
    if not panel.times.first <= instant <= panel.times.last:
        return
    x = panel.times.x(instant)
    panel.drawing.line(x, panel.values.top, x, panel.values.bottom, Pen(1.0, "#000", (4, 2)), "mark")
    wide = width(words, SMALL)
    tops = [panel.values.bottom - 12.0 * k for k in (1, 2, 3)] + [panel.values.top + 12.0 * k for k in (0, 1, 2)]
    panel.later(words, [Box(left, top, wide, 11.0) for top in tops for left in (x + 3.0, x - wide - 3.0)])


def _chord(panel: Panel, chord: Chord) -> None:
    (t1, v1), (t2, v2) = chord.first, chord.last
    line = _points(panel, np.array([t1, t2], dtype=np.int64), np.array([v1, v2]))
    panel.drawing.path([line], chord.pen, "chord")
    if chord.words:
        x, y = line[1] if chord.pen.dash else line.mean(axis=0)
        panel.beside(chord.words, float(x), float(y), bold=not chord.pen.dash)


def _spot(panel: Panel, spot: Spot) -> None:
    if not panel.times.first <= spot.at <= panel.times.last:
        return
    x, y = panel.times.x(spot.at), panel.values.y(panel.unit.from_grains(spot.value))
    panel.drawing.ring(x, y, 4.5)
    panel.beside(spot.words, x, y)


# ------------------------------------------------------------------------------------------------------------------ lanes
def _lanes(drawing: Drawing, times: TimeScale, row: Lanes, top: float) -> None:
    drawing.words(LEFT, top - 3.5, row.title, 10.0, bold=True)
    drawing.box(Box(times.left, top, times.width, row.height), pen=Pen(0.8), kind="frame")
    for index, lane in enumerate(row.lanes):
        free = times.left + 3.0
        for bar in lane:
            free = _bar(drawing, times, bar, top + LANE * index, free)


def _bar(drawing: Drawing, times: TimeScale, bar: Bar, top: float, free: float) -> float:
    """A bar with its words in it, or beside it where they do not fit; gives to where its lane is written on."""
    left, right = times.x(times.clipped(bar.first)), times.x(times.clipped(bar.last))
    fill = {"solid": "#8f8f8f", "open": "#fff", "outside": OUTSIDE, "unknown": UNKNOWN}[bar.fill]
    if bar.last >= times.first and bar.first <= times.last:
        drawing.box(Box(left, top + 3.0, max(right - left, 2.0), LANE - 6.0), fill, Pen(0.8), f"bar {bar.fill}")
    if not bar.words:
        return free
    wide = width(bar.words, SMALL)
    x = left + 4.0 if wide < right - left - 8.0 else right + 4.0
    x = max(min(x, drawing.width - wide - 2.0), free)
    drawing.words(x, top + LANE - 5.5, bar.words, SMALL, ground=True)
    return x + wide + 6.0
