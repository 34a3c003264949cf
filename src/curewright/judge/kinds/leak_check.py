"""Leak check: an isolated bag loses at most so much vacuum in a window.

Isolation has to be proven by a state channel, an event or a hand entry; a trace that merely looks isolated is not
shown. After ``settling`` the loss is taken over the *first* window, the *worst* window, or the *whole* isolated
interval. An isolated interval shorter than settling and window: not shown. Where the instants of closing and opening
carry an uncertainty, the loss, the vacuum at the start and the pressure inside have to be met for all of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.conditions import unit_of, within
from curewright.judge.events import Stretch, state_behind, when
from curewright.judge.kinds.leak_loss import Isolated, Loss, loss
from curewright.judge.kinds.read_by_hand import hand_notes
from curewright.judge.limits import Held, Pair, held
from curewright.judge.result import WORST, Result, Ruled, guarded, margin_of, over_stretch
from curewright.judge.signals import envelope
from curewright.judge.steps import FALSE, NEVER, TRUE, When, first_stay
from curewright.terms.units import UNITS, in_unit
from curewright.terms.verdict import Bounds, Outcome, Reading

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.judge.envelope import Envelope
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import LeakCheck

MINUTES = UNITS["min"]
WORD = {"first": "first window", "worst": "worst window", "whole": "whole isolated interval"}


def judge_leak_check(scene: Scene, form: LeakCheck, thing: Thing) -> Result:
    """A leak check for a thing (a bag)."""
    signal = envelope(scene, form.signal, thing, "vacuum")
    limits = held(scene, form.loses, form.unit)
    closed = when(scene, form.closed, thing)
    isolated = Isolated(closed, opened(scene, form, thing, closed), scene.end, scene.hall.covers)
    trace = signal.one_trace(thing.name)
    result = Result(
        Outcome.NOT_SHOWN,
        "isolation is not proven: no state channel, event or hand entry shows that the source was closed",
        f"loses {limits.text} in {in_unit(form.window, MINUTES)} min ({WORD[form.window_rule]})",
        phase=_bounds(isolated, form),
        atoms=signal.all_sensors,
        notes=tuple(
            dict.fromkeys((*closed.notes, *isolated.opened.notes, *hand_notes(scene, thing, form.window, limits)))
        ),
        beyond=closed.beyond or isolated.opened.beyond,
    )
    if closed.never:
        return result.but(
            outcome=Outcome.NOT_MET, reason="the source was never closed: no leak check was made", beyond=False
        )
    if not isolated.proven:
        return result
    lost = loss(trace, isolated, form, form.window_rule)
    ruled = _worst_of(scene, form, thing, isolated, _guarded(limits, lambda pair: _ruled(lost, pair)))
    return _with_margin(result, limits, lost, of_known=ruled.outcome is Outcome.NOT_SHOWN).but(
        outcome=ruled.outcome,
        reason=ruled.reason,
        others=_others(trace, isolated, form, limits, ruled.outcome) if scene.options.others else (),
        beyond=_beyond(scene, isolated),
    )


def opened(scene: Scene, form: LeakCheck, thing: Thing, closed: When) -> When:
    """When the isolation ended: the stated event, the other end of the hand entry that reports it, or where the state ends."""
    if form.opened is not None:
        return when(scene, form.opened, thing)
    if closed.until is not None:
        return When(*closed.until)
    shown = state_behind(scene, form.closed, thing)
    if shown is None or closed.latest >= NEVER:
        return When(closed.earliest, NEVER)
    covers = scene.hall.covers
    left = first_stay(shown.inverted(), replace(closed, notes=()), 0, scene.end, covers=covers)
    if not covers:
        return left
    return When(min(left.earliest, scene.end), min(left.latest, scene.end))


def _guarded(limits: Held, ruled: Callable[[Pair], Ruled]) -> Ruled:
    return guarded(None if limits.guarded is None else ruled(limits.guarded), ruled(limits.judged))


def _ruled(lost: Loss, pair: Pair) -> Ruled:
    if lost.broken(pair):
        return Ruled(Outcome.NOT_MET, "lost too much vacuum")
    if lost.met(pair):
        return Ruled(Outcome.MET, "tight enough")
    return Ruled(Outcome.NOT_SHOWN, lost.why or "depends on the uncertainty of the instants of isolation")


def _worst_of(scene: Scene, form: LeakCheck, thing: Thing, isolated: Isolated, ruled: Ruled) -> Ruled:
    """The worst of the loss, the vacuum at the start and the pressure inside."""
    found = [ruled, _starting(scene, form, thing, isolated), _inside(scene, form, thing, isolated)]
    return min((each for each in found if each is not None), key=lambda each: WORST[each.outcome])


def _with_margin(result: Result, limits: Held, lost: Loss, *, of_known: bool) -> Result:
    known = [extreme for extreme in (lost.least, lost.most) if extreme is not None]
    if not known:
        return result
    worst = min(known, key=lambda extreme: limits.margin(extreme.value))
    values = sorted(limits.margin(extreme.value) for extreme in known)
    ends = (values[0], values[-1]) if values[0] != values[-1] else (None, None)
    return result.but(margin=margin_of(limits, values[0], worst, of_known=of_known, low=ends[0], high=ends[1]))


def _beyond(scene: Scene, isolated: Isolated) -> bool:
    """Whether the isolated interval reaches beyond an open record."""
    return not scene.hall.covers and isolated.opened.latest > scene.end


def _starting(scene: Scene, form: LeakCheck, thing: Thing, isolated: Isolated) -> Ruled | None:
    """The vacuum when the source was closed."""
    if form.starting is None:
        return None
    limits = held(scene, form.starting, unit_of(form.starting))
    signal = envelope(scene, form.signal, thing, "vacuum")
    span = isolated.closed.earliest, isolated.closed.latest

    def ruled(pair: Pair) -> Ruled:
        codes = within(signal, pair).over(*span)
        if codes == {TRUE}:
            return Ruled(Outcome.MET, "")
        if codes != {FALSE}:
            return Ruled(Outcome.NOT_SHOWN, "the vacuum when the source was closed is not known well enough")
        value = signal.value(span[0])
        started = "" if value is None else f"started at {in_unit(value.value, limits.unit)} {limits.unit.name}, "
        return Ruled(Outcome.NOT_MET, f"{started}{limits.text} wanted when the source was closed")

    return _guarded(limits, ruled)


def _inside(scene: Scene, form: LeakCheck, thing: Thing, isolated: Isolated) -> Ruled | None:
    """The absolute pressure in the bag over the isolated interval, where the paper limits it."""
    if form.pressure_inside is None:
        return None
    unit = unit_of(form.pressure_inside)
    limits = held(scene, form.pressure_inside, unit)
    signal: Envelope = envelope(scene, form.signal, thing, unit.reference)
    stretch = Stretch(isolated.closed, isolated.opened, scene.end, scene.hall.covers)
    ruled = _guarded(limits, lambda pair: over_stretch(within(signal, pair), stretch))
    return replace(ruled, reason=f"pressure in the bag, {limits.text} wanted: {ruled.reason}")


def _others(trace: Trace, isolated: Isolated, form: LeakCheck, limits: Held, outcome: Outcome) -> tuple[Reading, ...]:
    """The other window rules on the same isolated interval."""
    found = []
    start, end = isolated.closed.latest, isolated.opened.earliest
    inner = Isolated(When(start, start), When(end, end), isolated.end)
    for rule in WORD:
        lost = None if rule == form.window_rule else loss(trace, inner, form, rule)
        if lost is not None and lost.most is not None:
            other = _ruled(lost, limits.judged).outcome
            text = f"{in_unit(lost.most.value, limits.unit)} {limits.unit.name}"
            found.append(Reading(WORD[rule], text, other, other is not outcome))
    return tuple(found)


def _bounds(isolated: Isolated, form: LeakCheck) -> Bounds:
    def known(instant: int) -> int | None:
        return instant if instant < NEVER else None

    closed, opened = isolated.closed, isolated.opened
    return Bounds(
        known(closed.earliest),
        known(closed.latest),
        known(opened.earliest),
        known(opened.latest),
        form.closed,
        form.opened or "opened",
    )
