"""The close view of one verdict: rows of panels and of bars over the same stretch of clock time, with the phase above them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.scene import Thing
from curewright.judge.things import things_of
from curewright.picture.columns import samples
from curewright.picture.drawing import OUTSIDE, UNKNOWN, Box, Drawing, Pen
from curewright.picture.letters import fitted, width
from curewright.picture.panel import SMALL, LimitLine, Panel
from curewright.picture.scales import TimeScale, ValueScale, spanning
from curewright.picture.shown import signs, unit_words
from curewright.picture.time_axis import clock_axis, elapsed_axis
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.scene import Scene
    from curewright.judge.trace import Trace
    from curewright.picture.judged_run import JudgedRun
    from curewright.terms.requirement import Requirement
    from curewright.terms.units import Unit
    from curewright.terms.verdict import Bounds, Verdict

LEFT, RIGHT = 52.0, 112.0
TITLE, PHASE, AXES, HEAD, BELOW = 15.0, 24.0, 14.0, 15.0, 27.0
PANEL, LOWER, LANE = 128.0, 84.0, 17.0  # pt: the height of the first row, of further ones, and of a bar
PAD = 14.0
DECIDING, NEIGHBOUR = Pen(1.8), Pen(0.8, "#8a8a8a")
SECOND, WHOLE = Pen(1.4, "#000", (5, 2)), Pen(1.3, "#444", (1.5, 1.5))
SIGNS = {"not met": "✗ NOT MET", "not shown": "? NOT SHOWN", "open": "… OPEN", "met": "✓ met"}
SHADE = "#bdbdbd"
MINUTE = 60 * 10**9


@dataclass(frozen=True, eq=False)
class Curve:
    """A trace in a row: its pen, what it is, the name at its end, and whether its samples are dotted."""

    trace: Trace
    pen: Pen
    kind: str
    name: str = ""
    dotted: bool = False


@dataclass(frozen=True)
class Spot:
    """A value at an instant [grains] that is ringed, with its words."""

    at: int
    value: float
    words: str


@dataclass(frozen=True)
class Chord:
    """A straight line between two instants and values [grains], with its words."""

    first: tuple[int, float]
    last: tuple[int, float]
    pen: Pen
    words: str = ""


@dataclass(frozen=True)
class Shade:
    """What of a trace lies beyond a level [grains] in a stretch, shaded."""

    trace: Trace
    level: float
    first: int
    last: int


@dataclass
class Row:
    """One panel: what is on it. Values are grains of ``unit``'s quantity."""

    title: str
    unit: Unit
    curves: list[Curve] = field(default_factory=list)
    limits: list[LimitLine] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    chords: list[Chord] = field(default_factory=list)
    shades: list[Shade] = field(default_factory=list)
    unknown: list[tuple[int, int, str]] = field(default_factory=list)  # from, to, what and why
    marks: list[tuple[int, str]] = field(default_factory=list)
    levels: list[tuple[float, str]] = field(default_factory=list)  # [unit], over the phase
    height: float = PANEL


@dataclass(frozen=True)
class Bar:
    """A bar over time: from, to [ns], how it is filled (``solid``, ``open``, ``outside``, ``unknown``), and its words."""

    first: int
    last: int
    fill: str
    words: str = ""


@dataclass
class Lanes:
    """Bars one below the other, each lane with bars of its own."""

    title: str
    lanes: list[list[Bar]]

    @property
    def height(self) -> float:
        """How high the lanes are together [pt]."""
        return LANE * len(self.lanes)


@dataclass(eq=False)
class View:
    """A verdict to draw: requirement, scene and thing, and the stretch of time that is shown."""

    judged: JudgedRun
    verdict: Verdict
    form: Requirement
    first: int = 0
    last: int = 0

    @property
    def scene(self) -> Scene:
        """The scene of its part."""
        return self.judged.scene(self.verdict.part)

    @property
    def thing(self) -> Thing:
        """What it was judged for."""
        try:
            found = things_of(self.scene, self.form)
        except CurewrightError:
            found = ()
        return next((thing for thing in found if thing.name == self.verdict.thing), self.part)

    @property
    def part(self) -> Thing:
        """The part, as a thing."""
        return Thing("part", self.verdict.part)

    @property
    def end(self) -> int:
        """The end of the record."""
        return self.judged.hall.end

    @property
    def possible(self) -> tuple[int, int]:
        """The possible phase within the record; the whole record where there is none."""
        phase = self.verdict.phase
        if phase is None or phase.earliest_start is None:
            return 0, self.end
        return phase.earliest_start, self.end if phase.latest_end is None else max(
            min(phase.latest_end, self.end), phase.earliest_start
        )

    @property
    def sure(self) -> tuple[int, int] | None:
        """The sure phase."""
        phase = self.verdict.phase
        if (
            phase is None
            or phase.latest_start is None
            or phase.earliest_end is None
            or phase.latest_start > phase.earliest_end
        ):
            return None
        return phase.latest_start, phase.earliest_end

    @property
    def interval(self) -> int:
        """The usual time between two samples."""
        t = next((c.t for c in self.judged.run.channels.values() if len(c.t) > 1), None)
        return MINUTE if t is None else int(np.median(np.diff(t[:1000])))

    def show(self, first: int, last: int, *, share: float = 0.4) -> None:
        """Chooses the stretch to show: around [first, last], with a share of its length on both sides and at least a dozen samples."""
        pad = max(int(share * (last - first)), 12 * self.interval, MINUTE)
        last_known = max((int(c.t[-1]) for c in self.judged.run.channels.values() if len(c.t)), default=self.end)
        self.first = max(first - pad, min(0, first))
        self.last = max(min(last + pad, max(self.end, last_known, last)), self.first + 1)

    def clock(self, instant: int, *, seconds: bool = True) -> str:
        """An instant on the wall clock."""
        scale = TimeScale(self.judged.run.start, 0, 1, 0.0, 1.0)
        return f"{scale.clock(instant):%H:%M:%S}" if seconds else f"{scale.clock(instant):%H:%M}"


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
