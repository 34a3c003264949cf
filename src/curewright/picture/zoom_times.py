"""Close views of times: duration, order, exposure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import steps_of, unit_of
from curewright.judge.limits import held
from curewright.judge.signals import envelope
from curewright.judge.steps import TRUE, UNKNOWN
from curewright.picture.drawing import Pen
from curewright.picture.limits_shown import level_of, levels
from curewright.picture.panel import LimitLine
from curewright.picture.shown import found_words, signs
from curewright.picture.signals_shown import known_of
from curewright.picture.zoom import DECIDING, NEIGHBOUR, SECOND, Bar, Curve, Lanes, Row
from curewright.picture.zoom_values import title_of, unknown_of
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import AllOf, AnyOf, Compare, Duration, Exposure, Order

if TYPE_CHECKING:
    from curewright.picture.zoom import View
    from curewright.terms.requirement import Alternative, Condition, Limits

LEVEL = Pen(1.0, "#000", (6, 2))


def duration(view: View) -> list[Row | Lanes]:
    """The signal with the level at which the clock runs, where it runs, how long it has to, and how long it did."""
    form = view.form
    assert isinstance(form, Duration)
    view.show(*view.possible, share=0.12)
    asked = _shown_alternative(view, form)
    condition = asked.clock.runs_while
    lanes = [_running(view, condition)] if condition is not None else []
    lanes += [_found(view), *(_required(view, alternative.limits) for alternative in form.alternatives)]
    rows: list[Row | Lanes] = [_signal_row(view, compare) for compare in _compares(condition)[:1]]
    rows.append(Lanes("clock", [lane for lane in lanes if lane]))
    return rows


def _shown_alternative(view: View, form: Duration) -> Alternative:
    """The alternative that the verdict shows (its notes say which of several)."""
    for index, alternative in enumerate(form.alternatives, start=1):
        if any(note.startswith(f"alternative {index} of ") for note in view.verdict.notes):
            return alternative
    return form.alternatives[0]


def _compares(condition: Condition | None) -> list[Compare]:
    if isinstance(condition, Compare):
        return [condition]
    if isinstance(condition, AllOf | AnyOf):
        return [found for each in condition.conditions for found in _compares(each)]
    return []


def _signal_row(view: View, compare: Compare) -> Row:
    """A signal against the level of a condition."""
    unit = unit_of(compare.limits)
    found = envelope(view.scene, compare.signal, view.thing, unit.reference)
    trace = known_of(found, compare.signal.take, view.first, view.last)
    row = Row(title_of(compare.signal), unit, unknown=unknown_of(view))
    if len(found.all_sensors) > 1 and not found.less:
        row.curves += [Curve(atom.trace, NEIGHBOUR, "reading", atom.label) for atom in found.all_sensors]
    name = found.sensors[0].label if len(found.all_sensors) == 1 else compare.signal.take
    row.curves.append(Curve(trace, DECIDING if not row.curves else SECOND, "signal", name))
    for value, upper, written in levels(view.scene, compare.limits, unit, unit):
        words = f"counts {'up to' if upper else 'from'} {signs(level_of(written))}"
        row.limits.append(LimitLine(value, upper, words, view.possible, view.sure))
    for instant in _edges(view, compare):
        row.marks.append((instant, view.clock(instant)))
    return row


def _edges(view: View, condition: Condition) -> list[int]:
    """The first entry and the last exit of a condition in the phase."""
    found = _stretches(view, condition, (TRUE,))
    return [found[0][0], found[-1][1]] if found else []


def _stretches(view: View, condition: Condition, codes: tuple[int, ...]) -> list[tuple[int, int]]:
    try:
        return steps_of(view.scene, condition, view.thing).stretches(*view.possible, codes)
    except CurewrightError:
        return []


def _running(view: View, condition: Condition) -> list[Bar]:
    """Where the clock runs, and where it is not known whether it does."""
    running = [Bar(a, b, "solid") for a, b in _stretches(view, condition, (TRUE,))]
    doubtful = [Bar(a, b, "unknown") for a, b in _stretches(view, condition, (UNKNOWN,))]
    bars = sorted([*running, *doubtful], key=lambda bar: bar.first)
    if bars:
        last = bars[-1]
        bars[-1] = Bar(last.first, last.last, last.fill, "clock runs" + (" (hatched: not known)" if doubtful else ""))
    return bars


def _found(view: View) -> list[Bar]:
    """How long it was, as the verdict has it."""
    margin = view.verdict.margin
    if margin is None:
        return []
    first, last = view.sure or view.possible
    return [Bar(first, last, "solid", f"found {found_words(margin)}")]


def _required(view: View, limits: Limits) -> list[Bar]:
    """How long it has to be, from the start of the phase: what is demanded, and to where it may go on."""
    first = (view.sure or view.possible)[0]
    ready = held(view.scene, limits, unit_of(limits), decide=False)
    least = 0 if ready.low is None else int(ready.low.grains)
    bars = [Bar(first, first + least, "outside")] if least else []
    if ready.high is not None:
        bars.append(Bar(first + least, first + int(ready.high.grains), "open"))
    if bars:
        end = bars[-1]
        bars[-1] = Bar(end.first, end.last, end.fill, f"required {signs(ready.text)}")
    view.last = max(view.last, min(bars[-1].last if bars else view.last, first + 2 * (view.last - first)))
    return bars


def order(view: View) -> list[Row | Lanes]:
    """Two events as bars on one time scale, the time between them, and the time that is allowed."""
    form = view.form
    assert isinstance(form, Order)
    phase = view.verdict.phase
    spots = (
        [] if phase is None else [(phase.earliest_start, phase.latest_start), (phase.earliest_end, phase.latest_end)]
    )
    known = [instant for spot in spots for instant in spot if instant is not None]
    view.show(*((min(known), max(known)) if known else (0, view.end)), share=0.5)
    lanes = [_event_lane(view, name, spot) for name, spot in zip((form.first, form.then), spots, strict=False)]
    margin = view.verdict.margin
    if margin is not None and len(known) >= 2:
        lanes.append([Bar(min(known), max(known), "open", f"between: {found_words(margin)}")])
    if form.limits is not None and known and phase is not None and phase.latest_start is not None:
        lanes.append(_allowed(view, form.limits, form, phase.latest_start))
    return [Lanes("order of events", lanes)] if lanes else []


def _event_lane(view: View, name: str, spot: tuple[int | None, int | None]) -> list[Bar]:
    first, last = spot
    if first is None:
        return [Bar(view.first, view.last, "unknown", f"{name}: never, or not known")]
    end = view.last if last is None else last
    words = (
        view.clock(first)
        if end == first
        else f"between {view.clock(first)} and {view.clock(end) if last is not None else 'never'}"
    )
    return [Bar(first, end, "solid", f"{name}: {words}")]


def _allowed(view: View, limits: Limits, form: Order, start: int) -> list[Bar]:
    ready = held(view.scene, limits, form.unit, decide=False)
    least = 0 if ready.low is None else int(ready.low.grains)
    most = view.last - start if ready.high is None else int(ready.high.grains)
    bars = [Bar(start, start + least, "outside")] if least else []
    view.last = max(view.last, start + most)
    return [*bars, Bar(start + least, start + most, "open", f"allowed: {signs(ready.text)} after")]


def exposure(view: View) -> list[Row | Lanes]:
    """What this run adds, over its phase, with the sum over all runs and the limit in words."""
    form = view.form
    assert isinstance(form, Exposure)
    view.show(*view.possible, share=0.1)
    rows: list[Row | Lanes] = [_signal_row(view, compare) for compare in _compares(form.runs_while)[:1]]
    lanes = (
        [_running(view, form.runs_while)]
        if form.runs_while is not None
        else [[Bar(*view.possible, "solid", "this run")]]
    )
    margin = view.verdict.margin
    notes = [note for note in view.verdict.notes if note.startswith(("this run:", "run "))]
    words = [signs(note) for note in notes]
    if margin is not None:
        words.append(f"all runs: {found_words(margin)}, {signs(margin.limit)}")
    lanes += [[Bar(view.first, view.first, "open", line)] for line in words]
    rows.append(Lanes("over all runs of the part", [lane for lane in lanes if lane]))
    return rows
