"""At event: a signal's value at an event lies within limits.

An event known only within bounds may have been at any instant between them: met if the value lies within the limits
at all of them, not met if at none. An event that surely never happened: not met.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import within
from curewright.judge.events import when
from curewright.judge.limits import held
from curewright.judge.result import (
    Result,
    Ruled,
    guarded,
    margin_of,
    nearest,
    readings,
    unknown_in,
    with_held_crossings,
)
from curewright.judge.signals import envelope
from curewright.judge.steps import ALWAYS, FALSE, NEVER, TRUE, Steps
from curewright.terms.verdict import Bounds, Outcome

if TYPE_CHECKING:
    from curewright.judge.envelope import Envelope
    from curewright.judge.limits import Held, Pair
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.steps import When
    from curewright.terms.requirement import AtEvent
    from curewright.terms.verdict import Reading


def judge_at_event(scene: Scene, form: AtEvent, thing: Thing) -> Result:
    """A value at an event for a thing."""
    signal = envelope(scene, form.signal, thing, form.unit.reference)
    limits = held(scene, form.limits, form.unit)
    event = when(scene, form.event, thing)
    result = at_event(scene, signal, limits, event, form.event)
    return result.but(others=_others(scene, form, thing, signal, limits, event, result.outcome))


def _others(
    scene: Scene, form: AtEvent, thing: Thing, signal: Envelope, limits: Held, event: When, outcome: Outcome
) -> tuple[Reading, ...]:
    """The value at the first sample that shows the event, where that is not the exact crossing."""
    if not scene.options.others or scene.options.held:
        return ()
    sampled = when(with_held_crossings(scene), form.event, thing)
    if (sampled.earliest, sampled.latest) == (event.earliest, event.latest):
        return ()
    other = at_event(scene, signal, limits, sampled, form.event)
    actual = "not known" if other.margin is None else f"{other.margin.actual} {other.margin.unit}"
    return readings(
        outcome, [("first sample that shows the event instead of the exact crossing", actual, other.outcome)]
    )


def at_event(scene: Scene, signal: Envelope, limits: Held, event: When, name: str) -> Result:
    """A signal against limits at an event that is known within bounds."""
    plain = _ruled(scene, _ok(scene, signal, limits.judged, event), event, name)
    tight = None
    if limits.guarded is not None:
        tight = _ruled(scene, _ok(scene, signal, limits.guarded, event), event, name)
    ruled = guarded(tight, plain)
    bounds = Bounds(
        _known(event.earliest), _known(event.latest), _known(event.earliest), _known(event.latest), name, name
    )
    result = Result(
        ruled.outcome,
        ruled.reason,
        limits.text,
        phase=bounds,
        set_aside=signal.aside,
        atoms=signal.all_sensors,
        notes=event.notes,
        needs_whole_phase=True,
        beyond=ruled.beyond,
    )
    if event.earliest > scene.end:
        return result
    start, end = event.earliest, min(event.latest, scene.end)
    return _with_margin(result, signal, limits, start, end)


def _ok(scene: Scene, signal: Envelope, pair: Pair, event: When) -> Steps:
    """Where the signal is within the limits, as far as the event asks."""
    if scene.hall.covers and event.latest <= scene.end and signal.clear_of(pair, event.earliest, event.latest):
        return ALWAYS
    return within(signal, pair)


def _ruled(scene: Scene, ok: Steps, event: When, name: str) -> Ruled:
    if event.never:
        return Ruled(Outcome.NOT_MET, f"'{name}' never happened")
    open_end = event.latest > scene.end and not scene.hall.covers  # it may be where the record does not reach
    beyond = event.beyond or open_end
    if event.earliest > scene.end:
        return Ruled(Outcome.NOT_SHOWN, f"'{name}' is not known to have happened", beyond)
    codes = ok.over(event.earliest, min(event.latest, scene.end))
    if event.latest >= NEVER:
        surely_not = codes == {FALSE} and scene.hall.covers
        return Ruled(
            Outcome.NOT_MET if surely_not else Outcome.NOT_SHOWN, f"'{name}' is not known to have happened", beyond
        )
    if codes == {TRUE} and not open_end:
        return Ruled(Outcome.MET, "within the limits at the event")
    if codes == {FALSE} and not open_end:
        return Ruled(Outcome.NOT_MET, "outside the limits at the event")
    known = (
        "the instant of the event is known only within bounds"
        if event.earliest < event.latest
        else "the value at the event is not known"
    )
    return Ruled(Outcome.NOT_SHOWN, known, beyond)


def _with_margin(result: Result, signal: Envelope, limits: Held, start: int, end: int) -> Result:
    known = signal.value(start) if start == end else None
    low = known or signal.least(start, end)
    high = known or signal.greatest(start, end)
    worst = nearest(limits, low, high)
    if worst is None:
        return result.but(unknown=unknown_in(signal, start, end))
    best = worst[0] if low is None or high is None else _best(limits, low.value, high.value)
    ends = (worst[0], best) if best != worst[0] else (None, None)
    of_known = result.outcome is Outcome.NOT_SHOWN
    margin = margin_of(limits, *worst, of_known=of_known, low=ends[0], high=ends[1])
    return result.but(margin=margin, unknown=unknown_in(signal, start, end) if of_known else ())


def _best(limits: Held, least: float, most: float) -> float:
    """The greatest distance to the nearer limit of any value between two; between two limits the middle is farthest from both."""
    values = [least, most]
    if limits.low is not None and limits.high is not None:
        values.append(min(max((limits.low.grains + limits.high.grains) / 2, least), most))
    return max(limits.margin(value) for value in values)


def _known(instant: int) -> int | None:
    return instant if instant < NEVER else None
