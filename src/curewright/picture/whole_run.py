"""The whole run on one sheet: temperatures, vessel pressure and vacuum over clock time, with limits, events and what was lost.

Made to be read at arm's length and on a print without colour: the coldest and the hottest are bold, the thermocouples between
them thin with dashes of their own, names stand at the ends of the lines, the forbidden side of a limit is hatched where it
holds. However many samples there are, no peak vanishes (:mod:`curewright.picture.columns`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.aside import losses
from curewright.judge.scene import Thing
from curewright.judge.trace import LOST
from curewright.picture.columns import columns, highest, lowest
from curewright.picture.drawing import Box, Drawing, Pen
from curewright.picture.happenings import LANE, Happening, draw_happenings, happenings, lanes_needed, placed
from curewright.picture.letters import fitted
from curewright.picture.limits_shown import limit_lines
from curewright.picture.panel import COLUMN, SMALL, Panel
from curewright.picture.scales import TimeScale, ValueScale, spanning
from curewright.picture.shown import unit_words
from curewright.picture.time_axis import clock_axis, elapsed_axis
from curewright.terms.requirement import Group
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.judge.scene import Member
    from curewright.judge.trace import Trace
    from curewright.picture.columns import Columns
    from curewright.picture.judged_run import JudgedRun
    from curewright.picture.panel import LimitLine
    from curewright.terms.verdict import Verdict

LANDSCAPE = (728.0, 470.0)  # pt: what is left of A4 and of Letter beside margins, a head and a foot
LEFT, RIGHT = 46.0, 122.0  # pt: for the numbers of the axes, and for the names of the lines
MANY = 12  # so many thermocouples are drawn one by one; more as a grey band from the coldest to the hottest
FEW_BAGS = 8
SINGLY = {"temperature": MANY, "vacuum": FEW_BAGS}
AXES, HEAD, GAP, STRIP, FOOT = 14.0, 14.0, 3.0, 14.0, 12.0
PAD = 12.0  # pt of air above the highest and below the lowest, for the hatching of a limit there
SHARES = {"temperature": 0.56, "pressure": 0.2, "vacuum": 0.24}
HOTTEST, COLDEST = Pen(2.0, "#9b1c1c"), Pen(2.0, "#123f8c", (7, 2.5))
AIR, SET_POINT, BAND = Pen(1.1, "#6b6b6b", (1.5, 2)), Pen(0.9, "#000", (9, 2, 1.5, 2)), "#d5d5d5"
THIN = tuple(
    Pen(0.8, colour, dash)
    for colour, dash in (
        ("#333", ()), ("#666", ()), ("#222", (6, 1.5)), ("#555", (3, 1.5)), ("#222", (1, 1.5)), ("#666", (6, 1.5, 1, 1.5)),
    )
)  # fmt: skip
VESSEL = Pen(1.8)
TOLD = ("run-up", "clipped", "frozen", "duplicate")  # flagged faults that no break in the line shows
DEVIATING = (Outcome.NOT_MET, Outcome.NOT_SHOWN, Outcome.OPEN)


@dataclass(frozen=True)
class Line:
    """A trace to draw, with the name that stands at its end."""

    member: Member
    trace: Trace
    name: str


def whole_run(judged: JudgedRun, serial: str | None = None) -> bytes:
    """The run as one part had it, or (without a serial) as the whole load had it, as SVG.

    Raises :class:`KeyError` for a serial that the load does not have.
    """
    return _Sheet(judged, serial).svg()


class _Sheet:
    """The panels of one whole-run plot."""

    def __init__(self, judged: JudgedRun, serial: str | None) -> None:
        self.judged, self.serial = judged, serial
        self.parts = [judged.part(serial)] if serial is not None else list(judged.load.parts)
        self.first_part = self.parts[0].serial
        self.scene = judged.scene(self.first_part)
        self.verdicts: list[Verdict] = [verdict for part in self.parts for verdict in judged.verdicts(part.serial)]
        self.title = f"Run {judged.run.number}, " + (
            f"part {serial}" if serial is not None else f"all {len(self.parts)} parts"
        )
        self.drawing = Drawing(*LANDSCAPE, self.title)
        self.times = TimeScale(judged.run.start, 0, max(self._end(), 1), LEFT, LANDSCAPE[0] - LEFT - RIGHT)
        self.rows = {row: self._lines(row) for row in SHARES}
        self.units = {row: judged.unit(row, self.first_part) for row in SHARES}

    def _end(self) -> int:
        last = [int(channel.t[-1]) for channel in self.judged.run.channels.values() if len(channel.t)]
        closing = self.judged.run.closing
        return max([*last, closing.end if closing else 0])

    def svg(self) -> bytes:
        """Head, events, panels one below the other, the clock, and how to read the marks."""
        drawing, height = self.drawing, self.drawing.height
        drawing.words(LEFT, 11.0, self.title, 12.0, bold=True)
        words = f"vessel {self.judged.run.vessel}, {self.times.clock(0):%Y-%m-%d}"
        drawing.words(drawing.width - 2.0, 11.0, words, 9.0, anchor="end")
        marks = placed(self._happenings(), self.times, drawing.width)
        top = 17.0 + LANE * lanes_needed(marks)
        segments = self._segments()
        elapsed_axis(drawing, self.times, top + AXES)
        above = top + AXES + (STRIP + 1.0 if segments is not None else 0.0)
        below = height - FOOT - 26.0
        shown = [row for row in SHARES if self.rows[row]]
        panels = dict(zip(shown, self._panels(shown, above, below), strict=True))
        if segments is not None:
            self._segment_strip(segments, top + AXES)
        for row, panel in panels.items():
            panel.frame(self._heading(row))
        draw_happenings(drawing, marks, self.times, 17.0, below)
        for row, panel in panels.items():
            self._fill(row, panel)
        clock_axis(drawing, self.times, below)
        drawing.words(LEFT, height - 2.5, LEGEND, SMALL, colour="#333")
        return drawing.svg()

    # ------------------------------------------------------------------------------------------------ what there is
    def _lines(self, row: str) -> list[Line]:
        """The traces of a panel that are drawn one by one or counted into its bands."""
        if row == "pressure":
            return self._of(
                self.scene.members(Group("vessel pressure"), Thing("part", self.first_part)), row, self.first_part
            )
        found: list[Line] = []
        for part in self.parts:
            if row == "temperature":
                members = self.judged.hall.members_of("judging", part.serial)
                found += self._of(members, row, part.serial, "" if self.serial is not None else f"{part.serial} ")
            elif all(line.member.assignments[0].thing != part.bag for line in found):
                members = self.judged.hall.members_of("bag transducer", part.bag)
                found += [replace(line, name=f"{part.bag} {line.name}") for line in self._of(members, row, part.serial)]
        return found

    def _of(self, members: tuple[Member, ...], row: str, serial: str, before: str = "") -> list[Line]:
        unit = self.judged.unit(row, serial)
        found = self.judged.traces(
            members, serial, self.judged.unit(row, self.first_part) if unit.quantity != "pressure" else unit
        )
        return [
            Line(member, trace, before + (member.name if before else _name(member)))
            for member, trace in found
            if len(trace.t)
        ]

    def _happenings(self) -> list[Happening]:
        things = {"run", "vessel", "", self.judged.run.vessel}
        things |= {name for part in self.parts for name in (part.serial, part.bag)}
        entries = [entry for entry in self.judged.run.entries if entry.thing in things]
        return happenings(self.verdicts, entries)

    def _segments(self) -> Member | None:
        """The state channel that shows which segment of the program was on."""
        found = [m for m in self._vessel_members("set point") if m.channel.states and len(m.channel.t)]
        return found[0] if found else None

    def _vessel_members(self, role: str) -> tuple[Member, ...]:
        hall = self.judged.hall
        for owner in (hall.vessel.name, "vessel", ""):
            found = hall.members_of(role, owner)
            if found:
                return found
        return ()

    # ------------------------------------------------------------------------------------------------ panels
    def _panels(self, rows: list[str], above: float, below: float) -> list[Panel]:
        room = below - above - HEAD * len(rows) - GAP * (len(rows) - 1)
        whole = sum(SHARES[row] for row in rows)
        found = []
        for row in rows:
            height = room * SHARES[row] / whole
            found.append(Panel(self.drawing, self.times, self._scale(row, above + HEAD, height), self.units[row]))
            above += HEAD + height + GAP
        return found

    def _scale(self, row: str, top: float, height: float) -> ValueScale:
        unit = self.units[row]
        traces = [line.trace for line in (*self.rows[row], *(self._air() if row == "temperature" else []))]
        ends = [end for trace in traces for end in (float(trace.v.min()), float(trace.v.max()))]
        values = [unit.from_grains(end) for end in ends]
        values += [limit.value for limit in self._limits(row)]
        return spanning(values, top, height, least=1.0 if row == "temperature" else 0.1, pad=PAD / (height - 2 * PAD))

    def _limits(self, row: str) -> list[LimitLine]:
        return limit_lines(self.judged, self.verdicts, row, self.units[row], self.times.last)

    def _air(self) -> list[Line]:
        members = self.scene.members(Group("air thermocouple"), Thing("part", self.first_part))
        return self._of(members, "temperature", self.first_part)

    def _heading(self, row: str) -> str:
        unit = unit_words(self.units[row])
        what = {"temperature": "temperature", "pressure": "vessel pressure", "vacuum": "bags"}[row]
        return f"{what}, {unit}"

    def _fill(self, row: str, panel: Panel) -> None:
        found = [columns(line.trace, self.times.edges(COLUMN)) for line in self.rows[row]] if row != "pressure" else []
        if len(found) > SINGLY.get(row, len(found)):
            panel.band(lowest(found), highest(found), BAND, f"all {row}")
        for limit in self._limits(row):
            panel.limit(limit)
        if row == "temperature":
            self._temperature(panel, found)
        elif row == "pressure":
            for line in self.rows[row]:
                panel.draw(panel.lines(line.trace), VESSEL, "pressure", line.name)
        else:
            self._bags(panel, found)
        self._breaks(row, panel)
        panel.write()
        panel.names_at_ends(RIGHT)

    def _temperature(self, panel: Panel, found: list[Columns]) -> None:
        self._surroundings(panel, self.times.edges(COLUMN))
        self._each(panel, self.rows["temperature"])
        if len(found) > 1:
            panel.draw(panel.column_lines(highest(found)), HOTTEST, "hottest", "hottest", bold=True)
            panel.draw(panel.column_lines(lowest(found)), COLDEST, "coldest", "coldest", bold=True)

    def _each(self, panel: Panel, lines: list[Line]) -> None:
        """The thermocouples one by one; of many only those that a deviation names."""
        if len(lines) > MANY:
            named = self._deviating()
            lines = [line for line in lines if line.name in named][: len(THIN)]
        for index, line in enumerate(lines):
            lost = line.trace.t[-1] < self.times.last - self.scene.specification.lost_after
            panel.draw(panel.lines(line.trace), THIN[index % len(THIN)], "thermocouple", "" if lost else line.name)

    def _deviating(self) -> list[str]:
        """The thermocouples (with the serial of their part) on which a deviation was decided, in the order of the verdicts."""
        found = [v for v in self.verdicts if v.outcome in DEVIATING and v.margin is not None]
        return list(
            dict.fromkeys(
                f"{v.part} {_first(v)}" for v in sorted(found, key=lambda v: v.outcome is not Outcome.NOT_MET)
            )
        )

    def _surroundings(self, panel: Panel, edges: np.ndarray) -> None:
        air = self._air()
        if len(air) > 2:
            found = [columns(line.trace, edges) for line in air]
            panel.draw(panel.column_lines(highest(found)), AIR, "air", f"air, hottest of {len(air)}")
            panel.draw(panel.column_lines(lowest(found)), AIR, "air", f"air, coldest of {len(air)}")
        else:
            for line in air:
                panel.draw(panel.lines(line.trace), AIR, "air", _called("air", line.name))
        points = [m for m in self._vessel_members("set point") if not m.channel.states]
        for line in self._of(tuple(points), "temperature", self.first_part):
            panel.draw(panel.lines(line.trace), SET_POINT, "set point", _called("set point", line.name))

    def _bags(self, panel: Panel, found: list[Columns]) -> None:
        lines = self.rows["vacuum"]
        if len(lines) > FEW_BAGS:
            panel.draw(panel.column_lines(highest(found)), Pen(0.9), "bag", f"highest of {len(lines)} bags")
            panel.draw(panel.column_lines(lowest(found)), Pen(0.9), "bag", f"lowest of {len(lines)} bags")
            named = {v.margin.channel for v in self.verdicts if v.outcome in DEVIATING and v.margin is not None}
            lines = [line for line in lines if line.member.name in named][: len(THIN)]
        for index, line in enumerate(lines):
            pen = replace(THIN[index % len(THIN)], width=1.3)
            panel.draw(panel.lines(line.trace), pen, "bag", line.name)

    def _breaks(self, row: str, panel: Panel) -> None:
        """Where a trace breaks: a cross at bad samples, small uprights at both ends of a gap, and a word where one is lost."""
        for line in self.rows[row]:
            trace = line.trace
            broken = np.flatnonzero(trace.link[:-1] != 0)
            for i in _sparse(trace.t[broken], broken, self.times):
                for k in (i, i + 1):
                    x, y = self.times.x(trace.t[k]), panel.values.y(self.units[row].from_grains(float(trace.v[k])))
                    _cross(self.drawing, x, y) if trace.link[i] == LOST else _upright(self.drawing, x, y)
        if len(self.rows[row]) <= SINGLY.get(row, MANY):
            self._second_recorder(row, panel)
        self._named_breaks(row, panel)
        if row == "temperature":
            self._aside(panel)

    def _second_recorder(self, row: str, panel: Panel) -> None:
        """What the second recorder says in the gaps of the first, with its name once."""
        drawn = [line.trace.second for line in self.rows[row] if panel.second(line.trace)]
        if drawn and drawn[0] is not None:
            first, last = drawn[0].over(self.times.first, self.times.last)[0]
            middle = (first + last) // 2
            value = drawn[0].trace.value(middle)
            y = panel.box.top + 20.0 if value is None else panel.values.y(self.units[row].from_grains(value))
            panel.beside(f"second recorder: {drawn[0].channel.recorder}", self.times.x(middle), y, far=4.0, bold=False)

    def _named_breaks(self, row: str, panel: Panel) -> None:
        """A cross where a sensor was lost, a triangle where a sensor fault is flagged, each with its name; those of one kind in
        the same minutes share their words.
        """
        together: dict[str, list[tuple[str, float, float]]] = {}
        for line in self.rows[row]:
            for start, end, what, mark in self._told(row, line):
                value = line.trace.value(start)
                if value is not None and self.times.first <= start < self.times.last:
                    x, y = self.times.x(start), panel.values.y(self.units[row].from_grains(value))
                    mark(self.drawing, x, y)
                    until = "" if end is None or end > self.times.last else f"–{self.times.clock(end):%H:%M}"
                    stretch = f"{what} {self.times.clock(start):%H:%M}{until}"
                    together.setdefault(stretch, []).append((line.name.split(",")[0], x, y))
        for stretch, found in list(together.items())[:MANY]:
            who = found[0][0] if len(found) == 1 else f"{len(found)} sensors"
            panel.beside(f"{who} {stretch}", *found[0][1:], far=14.0)

    def _told(self, row: str, line: Line) -> list[tuple[int, int | None, str, Callable[[Drawing, float, float], None]]]:
        """(from, to, what, mark) of what is to be told of a line: losses, and flagged sensor faults that no break shows."""
        found: list[tuple[int, int | None, str, Callable[[Drawing, float, float], None]]] = []
        if row == "temperature":
            found += [(start, end, "lost", _cross) for start, end in losses(self.scene, line.member)]
        for channel, start, end in line.member.pieces:
            flags = [flag for flag in channel.flags if flag.kind in TOLD and start <= flag.start < end]
            found += [(flag.start, flag.end, flag.kind, _triangle) for flag in flags]
        return found

    def _aside(self, panel: Panel) -> None:
        """Where a named person or the rule set a thermocouple aside."""
        lines = {line.member.name: line for line in self.rows["temperature"]}
        stretches = {(one.channel, one.start, one.by): one for verdict in self.verdicts for one in verdict.set_aside}
        for one in list(stretches.values())[:MANY]:
            line = lines.get(one.channel)
            start = self.times.clipped(one.start)
            value = line.trace.value(start) if line is not None else None
            if value is not None:
                x, y = self.times.x(start), panel.values.y(self.units["temperature"].from_grains(value))
                _upright(self.drawing, x, y)
                panel.beside(f"{one.channel} set aside by {one.by}", x, y, far=14.0)

    def _segment_strip(self, member: Member, top: float) -> None:
        """The segments of the program as a strip of boxes with their names."""
        channel = member.channel
        edges = [0, *(np.flatnonzero(np.diff(channel.v)) + 1).tolist()]
        ends = [*(int(channel.t[k]) for k in edges[1:]), self.times.last]
        for k, end in zip(edges, ends, strict=True):
            left, right = self.times.x(self.times.clipped(int(channel.t[k]))), self.times.x(self.times.clipped(end))
            self.drawing.box(Box(left, top, right - left, STRIP), "#f2f2f2", Pen(0.6), "segment")
            words = fitted(channel.states[int(channel.v[k])], SMALL, right - left - 3.0)
            if len(words) > 3:
                self.drawing.words((left + right) / 2, top + 10.0, words, SMALL, anchor="middle", ground=True)


LEGEND = (
    "hatched: forbidden by the limit at its edge (dashed: where only possibly in the phase)   "
    "× bad or lost sample   ∇ sensor fault   | | gap in the record"
)


def _name(member: Member) -> str:
    return f"{member.name}, {member.place}" if member.place else member.name


def _called(role: str, name: str) -> str:
    """A sensor by its role and name, by its name alone where that says the role."""
    return name if name.lower().startswith(role) else f"{role} {name}"


def _first(verdict: Verdict) -> str:
    return verdict.margin.channel.split(" - ")[0] if verdict.margin is not None else ""


def _sparse(instants: np.ndarray, found: np.ndarray, times: TimeScale) -> list[int]:
    """Of some breaks those that would not be drawn over each other."""
    if not len(found):
        return []
    spots = np.rint(times.xs(instants) / 4.0)
    return [int(i) for i in found[np.append(True, np.diff(spots) > 0)]]


def _cross(drawing: Drawing, x: float, y: float) -> None:
    r = 3.0
    drawing.path(
        [np.array([[x - r, y - r], [x + r, y + r]]), np.array([[x - r, y + r], [x + r, y - r]])], Pen(1.1), "bad"
    )


def _triangle(drawing: Drawing, x: float, y: float) -> None:
    drawing.path([np.array([[x, y - 1.5], [x - 3.5, y - 8.0], [x + 3.5, y - 8.0], [x, y - 1.5]])], Pen(1.0), "flag")


def _upright(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y - 4.0, x, y + 4.0, Pen(1.0), "gap end")
