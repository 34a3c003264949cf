"""What the close view of one verdict shows: rows of panels and of bars over the same stretch of clock time.

Each kind of requirement makes its rows (``zoom_values``, ``zoom_times`` …); :mod:`curewright.picture.zoom_drawn` draws them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.scene import Thing
from curewright.judge.things import things_of
from curewright.picture.drawing import Pen
from curewright.picture.scales import TimeScale
from curewright.terms.errors import CurewrightError
from curewright.terms.units import MINUTE

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.judge.trace import Trace
    from curewright.picture.judged_run import JudgedRun
    from curewright.picture.panel import LimitLine
    from curewright.terms.requirement import Requirement
    from curewright.terms.units import Unit
    from curewright.terms.verdict import Verdict

PANEL, LOWER, LANE = 128.0, 84.0, 17.0  # pt: the height of the first row, of further ones, and of a bar
DECIDING, NEIGHBOUR = Pen(1.8), Pen(0.8, "#8a8a8a")
SECOND = Pen(1.4, "#000", (5, 2))


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
