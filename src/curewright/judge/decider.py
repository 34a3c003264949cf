"""Which sensor decides an instant: the member of a group whose crossing an event is, at the crossing.

The coldest of a group falls below a level when the first of its members does, and reaches one when the last has: that member need not
be the coldest at the start of a phase, nor the one that is named first. Nothing recorded decides what a person entered, what a state
shows, or where the record starts and ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import compares, steps_of, unit_of, within
from curewright.judge.envelope import ONE, Envelope
from curewright.judge.events import seen_from, source_of
from curewright.judge.limits import held
from curewright.judge.signals import envelope
from curewright.judge.steps import NEVER
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.judge.envelope import Atom
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.steps import Steps
    from curewright.terms.requirement import Compare

Rise = tuple[int, str, "tuple[Atom, ...]"]
"""What a condition rises to on a sensor (negative, so that the surest is least), the label of its trace, and the sensors in it."""


def decider(scene: Scene, name: str, thing: Thing, instant: int) -> tuple[str, tuple[Atom, ...]]:
    """The label of what decided that an event was at an instant [ns], and the sensors to quote; none where no measurement did."""
    if name in (RECORD_STARTS, RECORD_ENDS) or abs(instant) >= NEVER:
        return "", ()
    event, at = scene.specification.event(name), instant - scene.specification.event(name).delay
    owner = seen_from(scene, event, thing)
    if not event.sources:
        return decider(scene, event.after or RECORD_STARTS, thing, at)
    source = source_of(scene, event, owner)
    if source is None or source.by in ("entry", "state") or source.condition is None:
        return "", ()
    if event.after and not _rises(steps_of(scene, source.condition, owner), at):  # it was so already
        return decider(scene, event.after, owner, at)
    found = [rise for compare in compares(source.condition) for rise in _rising(scene, compare, owner, at)]
    _, label, atoms = min(found, key=lambda rise: rise[:2]) if found else (0, "", ())
    return label, atoms


def _rising(scene: Scene, compare: Compare, thing: Thing, instant: int) -> Iterator[Rise]:
    """The sensors of a comparison on which it begins to hold (or may) at an instant."""
    unit = unit_of(compare.limits)
    signal = envelope(scene, compare.signal, thing, unit.reference)
    pair = held(scene, compare.limits, unit, decide=False).judged
    if signal.less:  # a difference: the pair that has it there, none of which has a crossing of its own
        steps, value = within(signal, pair), signal.value(instant)
        if value is not None and _rises(steps, instant):
            yield -_code(steps, instant), value.label, signal.all_sensors
        return
    for atom in signal.sensors:
        steps = within(Envelope(ONE, (atom,)), pair)
        if _rises(steps, instant):
            yield -_code(steps, instant), atom.label, (atom,)


def _rises(steps: Steps, instant: int) -> bool:
    """Whether a condition is surer from an instant on than before it, or right after it than at it."""
    return _code(steps, instant) > min(steps.value(instant - 1), steps.value(instant))


def _code(steps: Steps, instant: int) -> int:
    """What a condition is at an instant or right after it, whichever is surer."""
    return max(steps.value(instant), steps.value(instant + 1))
