"""Close view of a leak check: the vacuum in the isolated bag, the window, and the most that may be lost in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.conditions import unit_of
from curewright.judge.limits import held
from curewright.judge.signals import envelope
from curewright.picture.columns import values_at
from curewright.picture.limits_shown import levels
from curewright.picture.panel import LimitLine
from curewright.picture.shown import signs
from curewright.picture.zoom import DECIDING, SECOND, Chord, Curve, Row
from curewright.picture.zoom_values import unknown_of
from curewright.terms.requirement import LeakCheck
from curewright.terms.units import MINUTE, UNITS
from curewright.text.shown import apart, with_unit

if TYPE_CHECKING:
    from curewright.judge.trace import Trace
    from curewright.picture.zoom import View
    from curewright.terms.units import Unit


def leak_check(view: View) -> list[Row]:
    """The vacuum over the isolated interval; the limit is drawn below what was there when the window began."""
    form = view.form
    assert isinstance(form, LeakCheck)
    closed, opened = view.possible
    view.show(closed, opened, share=0.35)
    found = envelope(view.scene, form.signal, view.thing, "vacuum")
    trace = found.one_trace(view.thing.name)
    unit = _unit(view, form)
    row = Row("vacuum in the bag", unit, unknown=unknown_of(view))
    row.curves.append(Curve(trace, DECIDING, "reading", found.all_sensors[0].label, dotted=True))
    window = _window(view, form)
    if window is not None:
        _loss(view, form, row, trace, window)
    if form.starting is not None:
        for value, upper, words in levels(view.scene, form.starting, unit_of(form.starting), unit):
            row.limits.append(LimitLine(value, upper, f"starting: {signs(words)}", (closed, closed), (closed, closed)))
    row.marks += [(closed, f"closed {view.clock(closed)}"), (opened, f"opened {view.clock(opened)}")]
    return [row]


def _unit(view: View, form: LeakCheck) -> Unit:
    """Vacuum, in the unit of the loss where it is one, else as the specification writes vacuum."""
    name = f"{form.unit.name.split()[0]} of vacuum"
    return UNITS.get(name, view.judged.unit("vacuum", view.verdict.part))


def _window(view: View, form: LeakCheck) -> tuple[int, int] | None:
    """The window that decided; the first one after settling where none did."""
    margin, phase = view.verdict.margin, view.verdict.phase
    if phase is None or phase.latest_start is None:
        return None
    begin = phase.latest_start + form.settling
    if form.window_rule == "whole" and phase.earliest_end is not None:
        return begin, phase.earliest_end
    if margin is not None and margin.at is not None:
        return margin.at - form.window, margin.at
    return begin, begin + form.window


def _loss(view: View, form: LeakCheck, row: Row, trace: Trace, window: tuple[int, int]) -> None:
    first, last = window
    ends = values_at(trace, np.array([first, last], dtype=np.int64))
    if np.isnan(ends[0]):
        return
    ready = held(view.scene, form.loses, form.unit, decide=False)
    if ready.high is not None:
        level = row.unit.from_grains(float(ends[0]) - ready.high.grains)
        words = f"may lose {signs(str(ready.high))} in {form.window / MINUTE:g} min"
        row.limits.append(LimitLine(level, False, words, window, window))
    if not np.isnan(ends[1]):
        margin = view.verdict.margin
        words = "" if margin is None else f"lost {signs(with_unit(margin.actual, apart(margin.unit)))}"
        row.chords.append(Chord((first, float(ends[0])), (last, float(ends[0])), SECOND))
        row.chords.append(Chord((last, float(ends[0])), (last, float(ends[1])), SECOND, words))
