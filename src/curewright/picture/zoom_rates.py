"""Close view of a rate: the signal with the slope that decided drawn on it, and the rate itself below with its limits."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kinds.rate import exact, rates_in
from curewright.judge.signals import envelope
from curewright.judge.steps import NEVER
from curewright.judge.trace import GAP, JOINED, Trace
from curewright.picture.columns import samples, values_at
from curewright.picture.drawing import Pen
from curewright.picture.limits_shown import levels
from curewright.picture.panel import LimitLine
from curewright.picture.shown import number_words, signs
from curewright.picture.zoom import DECIDING, LOWER, Chord, Curve, Row, Spot
from curewright.picture.zoom_values import neighbours, title_of, unknown_of
from curewright.terms.requirement import Rate
from curewright.terms.units import DEGREES, MINUTE, UNITS

if TYPE_CHECKING:
    from curewright.picture.zoom import View
    from curewright.terms.units import Unit

SLOPE = Pen(2.6, "#000")
WINDOWED = ("least squares", "end points", "sample to sample")
GRAINS_A_MINUTE = 1000.0  # a rate's grain is 1 mK/min (1 Pa/min), a value's 1 uK (1 mPa)


def rate(view: View) -> list[Row]:
    """The signal with the deciding window's slope, and (for rates by window) the rate over time."""
    form = view.form
    assert isinstance(form, Rate)
    signal = envelope(view.scene, form.signal, view.thing, None)
    trace = signal.one_trace(view.thing.name)
    first, last = _window(view, form)
    view.show(first, last, share=1.0 if form.definition.kind in WINDOWED else 0.25)
    unit = _value_unit(form, signal.all_sensors[0].members[0].channel.reference)
    above = Row(title_of(form.signal), unit, unknown=unknown_of(view))
    above.curves += [curve for curve in neighbours(view, form.signal, signal, []) if curve.trace is not trace]
    above.curves.append(Curve(trace, DECIDING, "reading", view.thing.name, dotted=True))
    if form.definition.kind in WINDOWED and view.verdict.margin is not None:
        above.chords += _slope(view, form, trace, first, last)
    elif view.verdict.margin is not None:
        above.chords += _chord(view, form, trace, first, last)
    rows = [above]
    below = _rates(view, form, trace)
    if below is not None:
        rows.append(below)
    return rows


def _window(view: View, form: Rate) -> tuple[int, int]:
    """The window that decided; the unknown stretch or the phase where none did."""
    margin = view.verdict.margin
    if form.definition.kind not in WINDOWED:
        return view.possible
    if margin is None or margin.at is None:
        first, last = view.possible
        stretches = [
            (max(u.start, first), min(u.end, last)) for u in view.verdict.unknown if u.start <= last and u.end >= first
        ]
        return stretches[0] if stretches else (first, last)
    return margin.at - (form.definition.window or 0), margin.at


def _value_unit(form: Rate, reference: str | None) -> Unit:
    """The unit of the signal whose rate is asked: °F for °F/min."""
    name = form.unit.name.split("/")[0]
    if name in DEGREES:
        return UNITS[name]
    return UNITS[f"{name} {reference or 'gauge'}"]


def _slope(view: View, form: Rate, trace: Trace, first: int, last: int) -> list[Chord]:
    """The straight line of the deciding window (through its mean), and the same with the slope of the limit."""
    margin = view.verdict.margin
    assert margin is not None
    if form.definition.kind == "sample to sample":
        before = trace.t[: np.searchsorted(trace.t, last)]
        first = int(before[-1]) if len(before) else first
    t, v = _inside(trace, first, last)
    if len(t) < 1:
        return []
    middle, level = float(t.mean()), float(v.mean())
    if form.definition.kind == "end points":
        ends = values_at(trace, np.array([first, last], dtype=np.int64))
        middle, level = (first + last) / 2, float(ends.mean())
    found = form.unit.grains_of(Decimal(margin.actual)) * (1.0 if form.sense == "rising" else -1.0)
    chords = [_line(middle, level, found, first, last, SLOPE, number_words(margin.actual, form.unit.name))]
    for value, _, words in levels(view.scene, form.limits, form.unit, form.unit):
        limit = value * form.unit.scale * (1.0 if form.sense == "rising" else -1.0)
        chords.append(_line(middle, level, limit, first, last, Pen(1.1, "#000", (3, 2)), signs(words)))
    return chords


def _line(middle: float, level: float, rate: float, first: int, last: int, pen: Pen, words: str) -> Chord:
    def at(instant: int) -> float:
        return level + rate * GRAINS_A_MINUTE * (instant - middle) / MINUTE

    return Chord((first, at(first)), (last, at(last)), pen, words)


def _chord(view: View, form: Rate, trace: Trace, first: int, last: int) -> list[Chord]:
    """From the one instant to the other: of two levels, or of the ends of the phase."""
    margin = view.verdict.margin
    assert margin is not None
    start, end = first, margin.at if margin.at is not None and margin.at < NEVER else last
    one, two = form.definition.first_level, form.definition.second_level
    if one is not None and two is not None:
        found = _first_at(trace, one.grains, first, last, rising=two.grains > one.grains)
        start = first if found is None else found
    ends = values_at(trace, np.array([start, end], dtype=np.int64))
    if np.isnan(ends).any():
        return []
    return [Chord((start, float(ends[0])), (end, float(ends[1])), SLOPE, number_words(margin.actual, form.unit.name))]


def _first_at(trace: Trace, level: float, first: int, last: int, *, rising: bool) -> int | None:
    """The first instant at which a trace is at a level, coming from below (above)."""
    for t, v in samples(trace, first, last):
        there = np.flatnonzero(v >= level if rising else v <= level)
        if len(there):
            i = int(there[0])
            if i == 0:
                return int(t[0])
            return int(t[i - 1] + (t[i] - t[i - 1]) * (level - v[i - 1]) / (v[i] - v[i - 1]))
    return None


def _inside(trace: Trace, first: int, last: int) -> tuple[np.ndarray, np.ndarray]:
    inside = slice(int(np.searchsorted(trace.t, first)), int(np.searchsorted(trace.t, last, side="right")))
    return trace.t[inside], trace.v[inside]


def _rates(view: View, form: Rate, trace: Trace) -> Row | None:
    """The rate that ends at each sample, where the definition has one there."""
    if form.definition.kind not in WINDOWED:
        return None
    if form.definition.kind == "least squares" and not exact(trace, form.definition.window or 0):
        return None
    start, found = rates_in(trace, form.definition, view.first, view.last)
    t = trace.t[start : start + len(found)]
    known = np.flatnonzero(~np.isnan(found))
    if not len(known):
        return None
    link = np.full(len(known), GAP, np.uint8)
    link[:-1] = np.where(np.diff(known) == 1, JOINED, GAP)
    sign = 1.0 if form.sense == "rising" else -1.0
    made = Trace("rate", t[known], sign * found[known], link)
    window = "" if form.definition.window is None else f" over {form.definition.window / MINUTE:g} min"
    row = Row(
        f"{form.definition.kind}{window}, {'heating' if form.sense == 'rising' else 'cooling'}", form.unit, height=LOWER
    )
    row.curves.append(Curve(made, DECIDING, "rate", "rate"))
    for value, upper, words in levels(view.scene, form.limits, form.unit, form.unit):
        row.limits.append(LimitLine(value, upper, signs(words), view.possible, view.sure))
    margin = view.verdict.margin
    if margin is not None and margin.at is not None:
        steepest = made.value(margin.at)
        if steepest is not None:
            row.spots.append(Spot(margin.at, steepest, f"{number_words(margin.actual, '')} at {view.clock(margin.at)}"))
    return row
