"""For one requirement, a small trace that passes beside one that fails; words and line styles carry it, so that print without colour does.

The runs come from :mod:`curewright.picture.example_traces`, where the judge has found them *met* and *not met*.
"""

from __future__ import annotations

import itertools
import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from curewright.picture.example_traces import Example, example
from curewright.picture.sketch import EVACUATED
from curewright.picture.staging import parts_of
from curewright.terms.requirement import (
    RECORD_ENDS,
    RECORD_STARTS,
    Compare,
    Duration,
    LeakCheck,
    Limits,
    Phase,
    Rate,
    Signal,
)
from curewright.terms.units import MINUTE, UNITS, Unit
from curewright.terms.verdict import Outcome, Verdict
from curewright.text.shown import apart, plain, short, with_unit

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.axes import Axes

    from curewright.physics.card import Card
    from curewright.terms.requirement import Clause, Requirement, Specification
    from curewright.terms.run import Channel

STYLES = ("-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3)))
COLOURS = ("#0b3c5d", "#b8860b", "#5d0b3c", "#2f6b3a", "#444444", "#8a4b08")
WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 0.5}
ON_LINE: dict[str, Any] = {"textcoords": "offset points", "fontsize": 7, "ha": "center", "bbox": WHITE}
AT_EVENT: dict[str, Any] = {
    "textcoords": "offset points",
    "fontsize": 6.5,
    "ha": "right",
    "color": "0.15",
    "bbox": WHITE,
}
WIDTH, HEIGHT, STATES = 9.5, 2.5, 0.3  # inches: both panels, and one row; a row of states beside it
ROWS = (
    "temperature",
    "pressure",
    "vacuum",
    "state",
)  # what is in a bag has an axis of its own beside the vessel's pressure
HATCHED = {Duration: "hatched: the clock does not run", Rate: "hatched: not looked at"}


Found = list[tuple[Outcome, Example | None]]


def examples(specification: Specification, clause: Clause, form: Requirement, cards: tuple[Card, ...] = ()) -> Found:
    """A run in which a requirement is met and one in which it is not; None beside an outcome for which none could be drawn up."""
    return [
        (outcome, example(specification, clause, form, outcome, cards)) for outcome in (Outcome.MET, Outcome.NOT_MET)
    ]


def draw(specification: Specification, clause: Clause, form: Requirement, cards: tuple[Card, ...] = ()) -> Figure:
    """The two traces of a requirement. Where no run could be drawn up that comes out as wanted, the panel says so."""
    return draw_found(specification, clause, form, examples(specification, clause, form, cards))


def draw_found(specification: Specification, clause: Clause, form: Requirement, found: Found) -> Figure:
    """The traces that :func:`examples` found."""
    sorts = sorted({sort for _, each in found if each for sort in _rows(each)}, key=ROWS.index) or ["temperature"]
    heights = [STATES if sort == "state" else 1.0 for sort in sorts]
    figure = Figure(figsize=(WIDTH, HEIGHT * sum(heights) + 1.0), layout="constrained")
    axes = figure.subplots(len(sorts), 2, squeeze=False, sharex="col", height_ratios=heights)
    figure.suptitle(
        "\n".join(textwrap.wrap(f"{specification.number} {clause.number} {form.name}: {clause.says}", 110)),
        fontsize=9,
        x=0.01,
        ha="left",
    )
    for column, (outcome, each) in enumerate(found):
        _head(axes[0][column], outcome, each)
        for row, sort in enumerate(sorts):
            if each is None:
                axes[row][column].set_axis_off()
            else:
                _panel(axes[row][column], sort, each, specification, form)
                _events(axes[row][column], each, named=row == 0)
        if each is not None:
            axes[-1][column].set_xlabel("minutes", fontsize=8)
    if any(_hatched(panel) for row in axes for panel in row):
        words = HATCHED.get(type(form), "hatched: outside the limits")
        figure.supxlabel(words, fontsize=7, x=0.01, ha="left")
    return figure


def _hatched(panel: Axes) -> bool:
    return any(found.get_hatch() for found in panel.collections)


def save(figure: Figure, path: Path) -> None:
    """Write a figure as SVG or PNG by the ending of the path, the same bytes for the same figure."""
    with rc_context({"svg.hashsalt": "curewright"}):
        figure.savefig(path, dpi=150, metadata={"Date": None} if path.suffix == ".svg" else {"Software": None})


def _rows(each: Example) -> list[str]:
    return [_sort(channel) for channel in each.drawn.run.channels.values()]


def _sort(channel: Channel) -> str:
    if channel.kind == "state":
        return "state"
    return "vacuum" if channel.name.startswith(EVACUATED) else channel.unit.quantity


def own_row(form: Requirement) -> str:
    """The row in which a form's own signal stands, where it is judged in a temperature or a pressure."""
    signals = parts_of(form, Signal)
    in_bag = form.unit.quantity == "pressure" and bool(signals) and signals[0].group.role in EVACUATED
    return "vacuum" if in_bag else form.unit.quantity


def _head(axes: Axes, outcome: Outcome, each: Example | None) -> None:
    sign = {"met": "✓ met", "not met": "✗ NOT MET"}[outcome.value]
    if each is None:
        axes.set_title(f"{sign}: no example could be drawn up", fontsize=8, loc="left")
        return
    verdict = deciding(each)
    words = f"{sign}: {verdict.reason}{found_words(verdict)}"
    axes.set_title(
        "\n".join(textwrap.wrap(words, 54)),
        fontsize=8,
        loc="left",
        fontweight="bold" if outcome is Outcome.NOT_MET else "normal",
    )


def found_words(verdict: Verdict) -> str:
    """What was found and the margin, in the unit of the requirement."""
    margin = verdict.margin
    if margin is None:
        return ""
    found = with_unit(margin.actual, margin.unit)
    return f"; found {found}, margin {short(margin.value)} {apart(margin.unit)}".rstrip()


def deciding(each: Example) -> Verdict:
    """The verdict that the example is about: the first one with the wanted outcome."""
    return next(verdict for verdict in each.verdicts if verdict.outcome is each.outcome)


def _panel(axes: Axes, sort: str, each: Example, specification: Specification, form: Requirement) -> None:
    channels = [channel for channel in each.drawn.run.channels.values() if _sort(channel) == sort]
    axes.tick_params(labelsize=7)
    axes.margins(x=0.0)
    axes.set_xlim(0, each.sketch.end * 1.16)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    if sort == "state":
        _states(axes, channels)
    elif not channels:
        axes.text(0.5, 0.5, "no sensor", transform=axes.transAxes, ha="center", va="center", fontsize=8)
        axes.set_yticks([])
    else:
        unit = _unit(sort, specification, form)
        axes.set_ylabel(unit.name, fontsize=8)
        _lines(axes, channels, unit)
        _limits(axes, sort, each, form)


def _unit(sort: str, specification: Specification, form: Requirement) -> Unit:
    """The unit of a row: the form's own in its own row, else the one that the specification states for it."""
    if own_row(form) == sort and form.unit.quantity in ("temperature", "pressure"):
        return form.unit
    stated = dict(specification.units)
    bare = UNITS["degC"] if sort == "temperature" else stated.get("pressure", UNITS["bar gauge"])
    return stated.get(sort, bare)


def _shown(grains: np.ndarray, unit: Unit) -> np.ndarray:
    """Gauge grains of a channel in a unit (vacuum counts down; absolute takes the standard atmosphere)."""
    if unit.reference == "vacuum":
        return -grains / unit.scale
    shift = 101_325_000.0 if unit.reference == "absolute" else 0.0
    return (grains + shift) / unit.scale - unit.offset


def _lines(axes: Axes, channels: list[Channel], unit: Unit) -> None:
    ends: list[tuple[float, float, str]] = []
    for index, channel in enumerate(channels):
        minutes = channel.t / MINUTE
        values = np.where(channel.bad, np.nan, _shown(channel.v, unit))
        gap = np.flatnonzero(np.diff(minutes) > 3 * np.median(np.diff(minutes))) + 1
        minutes, values = np.insert(minutes, gap, np.nan), np.insert(values, gap, np.nan)
        axes.plot(
            minutes, values, linestyle=STYLES[index % len(STYLES)], color=COLOURS[index % len(COLOURS)], linewidth=1.3
        )
        known = np.flatnonzero(~np.isnan(values))
        if len(known):
            ends.append((float(values[known[-1]]), float(minutes[known[-1]]), channel.name))
    _names(axes, ends)


def _names(axes: Axes, ends: list[tuple[float, float, str]]) -> None:
    """The name at the end of each line; names of lines that end close together are stacked, the highest on top."""
    bottom, top = axes.get_ylim()
    least = 0.075 * (top - bottom)
    heights: list[float] = []
    for value, _, _ in sorted(ends, reverse=True):
        heights.append(min(value, heights[-1] - least) if heights else value)
    lift = max(0.0, bottom - heights[-1]) if heights else 0.0
    for height, (_, minute, name) in zip(heights, sorted(ends, reverse=True), strict=True):
        axes.annotate(name, (minute + 0.01 * axes.get_xlim()[1], height + lift), fontsize=7, va="center")


def _limits(axes: Axes, sort: str, each: Example, form: Requirement) -> None:
    """The limits of the form where it has some on this axis, else the level that its clock runs above; outside is hatched."""
    if isinstance(form, LeakCheck) and sort == "vacuum":
        _loss(axes, each, form)
    limits = form_limits(form)
    if limits is None or _row_of(form, limits) != sort:
        return
    start, end = span(form, each)
    levels = [(q.number, up) for q, up in ((limits.low, False), (limits.high, True)) if q is not None]
    bottom, top = axes.get_ylim()
    pad = 0.14 * (max(top, *(float(n) for n, _ in levels)) - min(bottom, *(float(n) for n, _ in levels)))
    bottom, top = min([bottom, *(float(n) - pad for n, _ in levels)]), max([top, *(float(n) + pad for n, _ in levels)])
    for number, up in levels:
        level = float(number)
        axes.hlines(level, start, end, color="black", linewidth=0.9)
        axes.fill_between(
            [start, end], level, top if up else bottom, facecolor="none", edgecolor="0.75", hatch="////", linewidth=0.0
        )
        words = f"{_bound(form, up)} {number}"
        if getattr(form, "event", None):  # the event's own name stands in the middle
            axes.annotate(f" {words}", (end, level), fontsize=7, va="center", bbox=WHITE)
        else:
            where = (_beside_events(each, start, end), level)
            axes.annotate(words, where, xytext=(0, 2 if up else -2), va="bottom" if up else "top", **ON_LINE)
    axes.set_ylim(bottom, top)


def _beside_events(each: Example, start: float, end: float) -> float:
    """The minute nearest the middle of a span at which no event's name stands."""
    near = 0.1 * each.sketch.end
    spots = [start + share * (end - start) for share in (0.5, 0.25, 0.75)]
    return next((spot for spot in spots if all(abs(spot - minute) > near for minute in each.times.values())), spots[0])


def _loss(axes: Axes, each: Example, form: LeakCheck) -> None:
    """The most that may be lost, below the vacuum at which the window begins (the axis shows vacuum)."""
    begin = each.times[form.closed] + form.settling / MINUTE
    line = axes.lines[0]
    level = float(np.interp(begin, np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)))
    if form.loses.high is None:
        return
    lost = level - float(form.loses.high.number)
    axes.hlines([level, lost], begin, begin + form.window / MINUTE, color="black", linewidth=0.9)
    end = begin + form.window / MINUTE
    axes.annotate(f" lost: {plain(form.loses.written)}", (end, lost), fontsize=7, va="center", bbox=WHITE)
    axes.annotate(" when the window begins", (end, level), fontsize=7, va="center", bbox=WHITE)
    left, right = max(0.0, begin - 12), end + 18
    minutes, shown = np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)
    lowest = float(np.nanmin(shown[(minutes >= left) & (minutes <= right)]))
    axes.set_xlim(left, right)
    axes.set_ylim(min(level - 1.6 * (level - lost), lowest - 0.2 * (level - lost)), level + 0.4 * (level - lost))


def _bound(form: Requirement, up: bool) -> str:
    """What a line says: a limit; or, for a clock or a rate, where it counts."""
    if isinstance(form, Duration | Rate):
        return "counts up to" if up else "counts from"
    return "at most" if up else "at least"


def _row_of(form: Requirement, limits: Limits) -> str:
    """The row in which limits stand: by what they are of, and whether it is in the bag."""
    quantity = next((q.unit.quantity for q in (limits.low, limits.high) if q is not None), "")
    signals = parts_of(form, Signal)
    return "vacuum" if quantity == "pressure" and signals and signals[0].group.role in EVACUATED else quantity


def form_limits(form: Requirement) -> Limits | None:
    """The limits to draw: the form's own; for a duration those that its clock runs within, for a rate those where it counts."""
    if isinstance(form, Duration | Rate):
        condition = form.alternatives[0].clock.runs_while if isinstance(form, Duration) else form.while_
        found = parts_of(condition, Compare)
        return found[0].limits if found else None
    limits = getattr(form, "limits", None)
    return limits if isinstance(limits, Limits) else None


def span(form: Requirement, each: Example) -> tuple[float, float]:
    """From which minute to which the limits hold."""
    event = getattr(form, "event", None)
    if event:
        return max(0.0, each.times[event] - 8), each.times[event] + 8
    phases = parts_of(form, Phase)
    if not phases:
        return 0.0, each.sketch.end
    return each.times.get(phases[0].start, 0.0), each.times.get(phases[0].end, each.sketch.end)


def _events(axes: Axes, each: Example, *, named: bool) -> None:
    found = [(minute, name) for name, minute in each.times.items() if name not in (RECORD_STARTS, RECORD_ENDS)]
    for minute, name in sorted(found):
        axes.axvline(minute, color="0.35", linewidth=0.7, linestyle=(0, (2, 2)))
        if named:
            axes.annotate(
                name,
                (minute, 0.99),
                xytext=(-1, 0),
                xycoords=("data", "axes fraction"),
                rotation=90,
                va="top",
                **AT_EVENT,
            )


def _states(axes: Axes, channels: list[Channel]) -> None:
    axes.set_yticks(range(len(channels)), [channel.name for channel in channels], fontsize=7)
    axes.set_ylim(-0.6, len(channels) - 0.4)
    for row, channel in enumerate(channels):
        edges = [0, *(np.flatnonzero(np.diff(channel.v)) + 1).tolist(), len(channel.t) - 1]
        for first, last in itertools.pairwise(edges):
            begin, end = channel.t[first] / MINUTE, channel.t[last] / MINUTE
            axes.barh(row, end - begin, left=begin, height=0.5, facecolor="white", edgecolor="black", linewidth=0.7)
            axes.text(
                (begin + end) / 2, row, channel.states[int(channel.v[first])], fontsize=6.5, ha="center", va="center"
            )
