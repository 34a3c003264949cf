"""Leak check: an isolated bag loses at most so much vacuum in a window.

Isolation has to be proven by a state channel, an event or a hand entry; a trace that merely looks isolated is not
shown. After ``settling`` the loss is taken over the *first* window, the *worst* window, or the *whole* isolated
interval. An isolated interval shorter than settling and window: not shown. Where the instants of closing and opening
carry an uncertainty, the loss is taken at both ends of it and the worse and better are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from curewright.judge.events import when
from curewright.judge.kernels import windows
from curewright.judge.limits import Held, Pair, held, in_unit
from curewright.judge.result import Result, Ruled, guarded, margin_of
from curewright.judge.signals import Envelope, Extreme, envelope
from curewright.judge.steps import NEVER, When
from curewright.terms.units import UNITS
from curewright.terms.verdict import Bounds, Outcome, Reading

if TYPE_CHECKING:
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import LeakCheck

MINUTES = UNITS["min"]
WORD = {"first": "first window", "worst": "worst window", "whole": "whole isolated interval"}


@dataclass(frozen=True)
class Isolated:
    """Closing and opening of the source, with their bounds."""

    closed: When
    opened: When

    @property
    def proven(self) -> bool:
        """Whether both are known to have happened."""
        return self.closed.latest < NEVER and self.opened.earliest < NEVER


def judge_leak_check(scene: Scene, form: LeakCheck, thing: Thing) -> Result:
    """A leak check for a thing (a bag)."""
    signal = envelope(scene, form.signal, thing, "vacuum")
    limits = held(scene, form.loses, form.unit)
    closed = when(scene, form.closed, thing)
    isolated = Isolated(closed, _opened(scene, form, thing, closed))
    trace = signal.one_trace(thing.name)
    result = Result(
        Outcome.NOT_SHOWN,
        "isolation is not proven: no state channel, event or hand entry shows that the source was closed",
        f"loses {limits.text} in {in_unit(form.window, MINUTES)} min ({WORD[form.window_rule]})",
        phase=_bounds(isolated, form),
        atoms=signal.all_sensors,
        notes=tuple(dict.fromkeys((*closed.notes, *isolated.opened.notes))),
        beyond=closed.beyond or isolated.opened.beyond,
    )
    if closed.never:
        return replace(
            result, outcome=Outcome.NOT_MET, reason="the source was never closed: no leak check was made", beyond=False
        )
    if not isolated.proven:
        return result
    lost = [_loss(trace, start, end, form) for start, end in _ends(isolated, form)]
    return _ruled_result(scene, form, thing, result, limits, lost, trace, isolated)


def _opened(scene: Scene, form: LeakCheck, thing: Thing, closed: When) -> When:
    """When the isolation ended: the stated event, or the other end of the hand entry that reports it."""
    if form.opened is not None:
        return when(scene, form.opened, thing)
    if closed.until is not None:
        return When(*closed.until)
    return When(closed.earliest, NEVER)


def _ends(isolated: Isolated, form: LeakCheck) -> list[tuple[int, int]]:
    """Start (after settling) and end of the isolated interval, for the outermost and innermost instants that the bounds
    allow.
    """
    inner = (isolated.closed.latest + form.settling, isolated.opened.earliest)
    outer = (
        isolated.closed.earliest + form.settling,
        min(isolated.opened.latest, isolated.opened.earliest if isolated.opened.latest >= NEVER else NEVER),
    )
    return [inner] if inner == outer else [inner, outer]


def _loss(trace: Trace, start: int, end: int, form: LeakCheck) -> Extreme | str:
    """The loss of vacuum by the window rule, or why there is none."""
    if end - start < form.window:
        return "the isolated interval is shorter than settling and window"
    if form.window_rule == "worst":
        if trace.extremes(start, end).unknown is not None:
            return "not known throughout the isolated interval"
        _, loss, at = windows.greatest_fall(trace.t, trace.v, trace.link, trace.hold, start, end, form.window)
        return Extreme(loss, at, trace.name)
    closing = start + form.window if form.window_rule == "first" else end
    before, after = trace.value(start), trace.value(closing)
    if before is None or after is None:
        return "the reading at the start or the end of the window is not known"
    return Extreme(before - after, closing, trace.name)


def _ruled(lost: list[Extreme | str], pair: Pair) -> Ruled:
    known = [loss for loss in lost if isinstance(loss, Extreme)]
    unknown = [why for why in lost if isinstance(why, str)]
    if known and not unknown and all(not pair.met(loss.value) for loss in known):
        return Ruled(Outcome.NOT_MET, "lost too much vacuum")
    if unknown:
        return Ruled(Outcome.NOT_SHOWN, unknown[0])
    if all(pair.met(loss.value) for loss in known):
        return Ruled(Outcome.MET, "tight enough")
    return Ruled(Outcome.NOT_SHOWN, "depends on the uncertainty of the instants of isolation")


def _ruled_result(
    scene: Scene,
    form: LeakCheck,
    thing: Thing,
    result: Result,
    limits: Held,
    lost: list[Extreme | str],
    trace: Trace,
    isolated: Isolated,
) -> Result:
    plain = _ruled(lost, limits.judged)
    ruled = guarded(None if limits.guarded is None else _ruled(lost, limits.guarded), plain)
    for extra in (_starting(scene, form, thing, isolated), _inside(scene, form, thing, isolated)):
        if extra is not None and (extra.outcome is Outcome.NOT_MET or ruled.outcome is Outcome.MET):
            ruled = extra if extra.outcome is not Outcome.MET else ruled
    known = [loss for loss in lost if isinstance(loss, Extreme)]
    margin = None
    if known:
        worst = min(known, key=lambda loss: limits.margin(loss.value))
        values = [limits.margin(loss.value) for loss in known]
        ends = (min(values), max(values)) if min(values) != max(values) else (None, None)
        margin = margin_of(limits, limits.margin(worst.value), worst, low=ends[0], high=ends[1])
    others = _others(trace, isolated, form, limits, ruled.outcome) if scene.options.others else ()
    return replace(
        result,
        outcome=ruled.outcome,
        reason=ruled.reason,
        margin=margin,
        others=others,
        beyond=_beyond(scene, isolated),
    )


def _beyond(scene: Scene, isolated: Isolated) -> bool:
    """Whether the isolated interval reaches beyond an open record."""
    return not scene.hall.covers and isolated.opened.earliest > scene.end


def _starting(scene: Scene, form: LeakCheck, thing: Thing, isolated: Isolated) -> Ruled | None:
    """The vacuum when the source was closed."""
    if form.starting is None:
        return None
    limits = held(scene, form.starting, form.unit)
    least = envelope(scene, form.signal, thing, "vacuum").least(isolated.closed.earliest, isolated.closed.latest)
    if least is None:
        return Ruled(Outcome.NOT_SHOWN, "the vacuum when the source was closed is not known")
    if limits.judged.met(least.value):
        return Ruled(Outcome.MET, "")
    text = f"started at {in_unit(least.value, limits.unit)} {limits.unit.name}, {limits.text} wanted"
    return Ruled(Outcome.NOT_MET, text)


def _inside(scene: Scene, form: LeakCheck, thing: Thing, isolated: Isolated) -> Ruled | None:
    """The absolute pressure in the bag over the isolated interval, where the paper limits it."""
    if form.pressure_inside is None:
        return None
    unit = (form.pressure_inside.low or form.pressure_inside.high).unit  # type: ignore[union-attr]
    limits = held(scene, form.pressure_inside, unit)
    signal: Envelope = envelope(scene, form.signal, thing, unit.reference)
    start, end = isolated.closed.latest, isolated.opened.earliest
    least, most = signal.least(start, end), signal.greatest(start, end)
    if least is None or most is None or any(atom.trace.extremes(start, end).unknown for atom in signal.all_sensors):
        return Ruled(Outcome.NOT_SHOWN, "the pressure in the bag is not known throughout the isolated interval")
    if limits.judged.met(least.value) and limits.judged.met(most.value):
        return Ruled(Outcome.MET, "")
    return Ruled(
        Outcome.NOT_MET, f"pressure in the bag reached {in_unit(most.value, unit)} {unit.name}, {limits.text} wanted"
    )


def _others(trace: Trace, isolated: Isolated, form: LeakCheck, limits: Held, outcome: Outcome) -> tuple[Reading, ...]:
    """The other window rules on the same isolated interval."""
    found = []
    start, end = isolated.closed.latest + form.settling, isolated.opened.earliest
    for rule in WORD:
        if rule == form.window_rule:
            continue
        loss = _loss(trace, start, end, replace(form, window_rule=rule))
        if isinstance(loss, Extreme):
            other = Outcome.MET if limits.judged.met(loss.value) else Outcome.NOT_MET
            found.append(
                Reading(
                    WORD[rule], f"{in_unit(loss.value, limits.unit)} {limits.unit.name}", other, other is not outcome
                )
            )
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
