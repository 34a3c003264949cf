"""For one requirement, a small trace that passes beside one that fails; words and line styles carry it, so that print without colour does.

The runs come from :mod:`curewright.picture.example_traces`, where the judge has found them *met* and *not met*.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from curewright.picture.example_traces import Example, example, parts_of
from curewright.picture.sketch import MINUTE
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, Compare, Duration, Limits, Phase, Rate
from curewright.terms.units import UNITS, Unit
from curewright.terms.verdict import Outcome, Verdict

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.axes import Axes

    from curewright.terms.requirement import Clause, Requirement, Specification
    from curewright.terms.run import Channel

STYLES = ("-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 3)))
COLOURS = ("#0b3c5d", "#b8860b", "#5d0b3c", "#2f6b3a", "#444444", "#8a4b08")
WIDTH, HEIGHT = 9.5, 2.5  # inches: both panels, and one row


def draw(specification: Specification, clause: Clause, form: Requirement) -> Figure:
    """The two traces of a requirement. Where no run could be drawn up that comes out as wanted, the panel says so."""
    found = [(outcome, example(specification, clause, form, outcome)) for outcome in (Outcome.MET, Outcome.NOT_MET)]
    sorts = sorted({sort for _, each in found if each for sort in _rows(each)}, reverse=True) or ["temperature"]
    figure = Figure(figsize=(WIDTH, HEIGHT * len(sorts) + 1.0), layout="constrained")
    axes = figure.subplots(len(sorts), 2, squeeze=False, sharex="col")
    figure.suptitle("\n".join(textwrap.wrap(f"{specification.number} {clause.number} {form.name}: {clause.says}", 110)), fontsize=9, x=0.01, ha="left")
    for column, (outcome, each) in enumerate(found):
        _head(axes[0][column], outcome, each)
        for row, sort in enumerate(sorts):
            if each is None:
                axes[row][column].set_axis_off()
            else:
                _panel(axes[row][column], sort, each, specification, form)
        if each is not None:
            axes[-1][column].set_xlabel("minutes", fontsize=8)
    return figure


def save(figure: Figure, path: Path) -> None:
    """Write a figure as SVG or PNG by the ending of the path, the same bytes for the same figure."""
    with rc_context({"svg.hashsalt": "curewright"}):
        figure.savefig(path, dpi=150, metadata={"Date": None} if path.suffix == ".svg" else {"Software": None})


def _rows(each: Example) -> list[str]:
    return list({_sort(channel) for channel in each.drawn.run.channels.values()})


def _sort(channel: Channel) -> str:
    return "state" if channel.kind == "state" else channel.unit.quantity


def _head(axes: Axes, outcome: Outcome, each: Example | None) -> None:
    sign = {"met": "✓ met", "not met": "✗ NOT MET"}[outcome.value]
    if each is None:
        axes.set_title(f"{sign}: no example could be drawn up", fontsize=8, loc="left")
        return
    verdict = deciding(each)
    margin = f", margin {verdict.margin.value} {verdict.margin.unit}" if verdict.margin else ""
    words = f"{sign}{margin}: {verdict.reason}"
    axes.set_title("\n".join(textwrap.wrap(words, 62)), fontsize=8, loc="left", fontweight="bold" if outcome is Outcome.NOT_MET else "normal")


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
    else:
        unit = _unit(sort, specification, form)
        axes.set_ylabel(unit.name, fontsize=8)
        _lines(axes, channels, unit)
        _limits(axes, sort, each, unit, form)
    _events(axes, each)


def _unit(sort: str, specification: Specification, form: Requirement) -> Unit:
    if form.unit.quantity == sort:
        return form.unit
    stated = dict(specification.units)
    vacuum_only = sort == "pressure" and "pressure" not in stated and "vacuum" in stated
    return stated.get("vacuum" if vacuum_only else sort, UNITS["degC" if sort == "temperature" else "bar gauge"])


def _shown(grains: np.ndarray, unit: Unit) -> np.ndarray:
    """Gauge grains of a channel in a unit (vacuum counts down; absolute takes the standard atmosphere)."""
    if unit.reference == "vacuum":
        return -grains / unit.scale
    shift = 101_325_000.0 if unit.reference == "absolute" else 0.0
    return (grains + shift) / unit.scale - unit.offset


def _lines(axes: Axes, channels: list[Channel], unit: Unit) -> None:
    ends: list[float] = []
    for index, channel in enumerate(channels):
        minutes = channel.t / MINUTE
        values = np.where(channel.bad, np.nan, _shown(channel.v, unit))
        gap = np.flatnonzero(np.diff(minutes) > 3 * np.median(np.diff(minutes))) + 1
        minutes, values = np.insert(minutes, gap, np.nan), np.insert(values, gap, np.nan)
        style, colour = STYLES[index % len(STYLES)], COLOURS[index % len(COLOURS)]
        axes.plot(minutes, values, linestyle=style, color=colour, linewidth=1.3)
        known = np.flatnonzero(~np.isnan(values))
        if len(known):
            ends.append(float(values[known[-1]]))
            _label(axes, channel.name, float(minutes[known[-1]]), ends, index)


def _label(axes: Axes, name: str, minute: float, ends: list[float], index: int) -> None:
    """The name at the end of its line; lines that end together share the height, so their names are stacked."""
    beside = sum(abs(end - ends[-1]) < 0.06 * (max(ends) - min(ends) or 1.0) or end == ends[-1] for end in ends[:-1])
    axes.annotate(name, (minute, ends[-1]), xytext=(3, -8 * beside), textcoords="offset points", fontsize=7, va="center", color=COLOURS[index % len(COLOURS)])


def _limits(axes: Axes, sort: str, each: Example, unit: Unit, form: Requirement) -> None:
    """The limits of the form where it has some on this axis, else the level that its clock runs above; outside is hatched."""
    limits = form_limits(form)
    if limits is None or _quantity(limits) != sort:
        return
    start, end = span(form, each)
    bottom, top = axes.get_ylim()
    pad = 0.12 * (top - bottom)
    levels = [(q.number, up) for q, up in ((limits.low, False), (limits.high, True)) if q is not None]
    bottom, top = min([bottom, *(float(n) - pad for n, _ in levels)]), max([top, *(float(n) + pad for n, _ in levels)])
    for number, up in levels:
        level = float(number)
        axes.hlines(level, start, end, color="black", linewidth=0.9)
        axes.fill_between([start, end], level, top if up else bottom, facecolor="none", edgecolor="0.6", hatch="////", linewidth=0.0)
        axes.annotate(f"{'at most' if up else 'at least'} {number}", ((start + end) / 2, level), xytext=(0, 2 if up else -2), textcoords="offset points",
                      fontsize=7, ha="center", va="bottom" if up else "top", bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5})  # fmt: skip
    axes.set_ylim(bottom, top)


def _quantity(limits: Limits) -> str:
    return next((q.unit.quantity for q in (limits.low, limits.high) if q is not None), "")


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


def _events(axes: Axes, each: Example) -> None:
    named = [(minute, name) for name, minute in each.times.items() if name not in (RECORD_STARTS, RECORD_ENDS)]
    for minute, name in sorted(named):
        axes.axvline(minute, color="0.35", linewidth=0.7, linestyle=(0, (2, 2)))
        axes.annotate(name, (minute, 1.0), xycoords=("data", "axes fraction"), rotation=90, fontsize=6.5, va="top", ha="right", color="0.2")


def _states(axes: Axes, channels: list[Channel]) -> None:
    axes.set_yticks(range(len(channels)), [channel.name for channel in channels], fontsize=7)
    axes.set_ylim(-0.6, len(channels) - 0.4)
    for row, channel in enumerate(channels):
        edges = [0, *(np.flatnonzero(np.diff(channel.v)) + 1).tolist(), len(channel.t) - 1]
        for first, last in zip(edges, edges[1:], strict=False):
            begin, end = channel.t[first] / MINUTE, channel.t[last] / MINUTE
            axes.barh(row, end - begin, left=begin, height=0.5, facecolor="white", edgecolor="black", linewidth=0.7)
            axes.text((begin + end) / 2, row, channel.states[int(channel.v[first])], fontsize=6.5, ha="center", va="center")
