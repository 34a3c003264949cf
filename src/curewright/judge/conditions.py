"""Conditions over time: signals within limits, states, and their combinations, for a thing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.limits import APART, Pair, held
from curewright.judge.signals import envelope
from curewright.judge.steps import ALWAYS, FALSE, TRUE, UNKNOWN, Steps, all_of, any_of, tidy
from curewright.terms.errors import SpecificationError
from curewright.terms.requirement import AllOf, AnyOf, Compare, StateIs

if TYPE_CHECKING:
    from curewright.judge.envelope import Envelope
    from curewright.judge.scene import Member, Scene, Thing
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import Condition, Limits, Signal
    from curewright.terms.units import Unit


def steps_of(scene: Scene, condition: Condition, thing: Thing) -> Steps:
    """A condition for a thing over the whole record, three-valued."""
    key = ("condition", scene.hall.token(condition), thing.kind, thing.name)
    if key not in scene.kept:
        scene.kept[key] = _steps_of(scene, condition, thing)
    return scene.kept[key]  # type: ignore[return-value]


def _steps_of(scene: Scene, condition: Condition, thing: Thing) -> Steps:
    match condition:
        case Compare(signal, limits):
            unit = unit_of(limits)
            return within(
                envelope(scene, signal, thing, unit.reference), held(scene, limits, unit, decide=False).judged
            )
        case StateIs():
            return _state(scene, condition, thing)
        case AllOf(conditions):
            return all_of(steps_of(scene, each, thing) for each in conditions)
        case AnyOf(conditions):
            return any_of(steps_of(scene, each, thing) for each in conditions)


def unit_of(limits: Limits) -> Unit:
    """The unit in which limits are written."""
    for quantity in (limits.low, limits.high):
        if quantity is not None:
            return quantity.unit
    raise SpecificationError("a condition without a level", expected="a level with its unit", remedy="state it")


def within(signal: Envelope, pair: Pair) -> Steps:
    """Where a signal lies within a pair of thresholds; a sum or difference printed equal to one is equal to it."""
    parts = []
    apart = APART if signal.derived else 0.0
    if pair.low is not None and pair.high is not None and signal.alone is not None:
        low, high = pair.low, pair.high
        ends = low.grains + (apart if low.open else -apart), high.grains + (-apart if high.open else apart)
        return signal.alone.trace.between(*ends, above=low.open, below=high.open)
    if pair.low is not None:
        beside = apart if pair.low.open else -apart
        parts.append(signal.at_least(pair.low.grains + beside, above=pair.low.open))
    if pair.high is not None:
        beside = -apart if pair.high.open else apart
        parts.append(signal.at_most(pair.high.grains + beside, below=pair.high.open))
    return all_of(parts) if parts else ALWAYS


def _state(scene: Scene, condition: StateIs, thing: Thing) -> Steps:
    members = scene.need(condition.group, thing)
    return any_of(_kept_state(scene, member, condition.states) for member in members)


def _kept_state(scene: Scene, member: Member, wanted: tuple[str, ...]) -> Steps:
    """Where a state channel shows one of these states, made once for all parts."""
    trace = scene.trace(member, None)
    key = ("state", id(trace), wanted)
    if key not in scene.hall.kept:
        scene.hall.kept[key] = _shows(trace, member.channel.states, wanted)
    return scene.hall.kept[key]  # type: ignore[return-value]


def _shows(trace: Trace, labels: tuple[str, ...], wanted: tuple[str, ...]) -> Steps:
    """Where a state channel shows one of the wanted states; it holds until the next sample, at most the largest gap."""
    codes = [i for i, label in enumerate(labels) if label in wanted]
    here = np.where(np.isin(trace.v, codes), TRUE, FALSE)
    after = np.where(trace.link == 0, here, UNKNOWN)
    if len(after):
        after[-1] = UNKNOWN
    changed = np.flatnonzero((here != np.append(UNKNOWN, after[:-1])) | (after != here))
    return tidy(trace.t[changed].tolist(), here[changed].tolist(), after[changed].tolist(), UNKNOWN)


def signals_in(condition: Condition | None) -> tuple[Signal, ...]:
    """All signals that a condition compares."""
    match condition:
        case Compare(signal, _):
            return (signal,)
        case AllOf(conditions) | AnyOf(conditions):
            return tuple(signal for each in conditions for signal in signals_in(each))
        case _:
            return ()


def compares(condition: Condition | None) -> tuple[Compare, ...]:
    """All comparisons with a level in a condition."""
    match condition:
        case Compare():
            return (condition,)
        case AllOf(conditions) | AnyOf(conditions):
            return tuple(found for each in conditions for found in compares(each))
        case _:
            return ()
