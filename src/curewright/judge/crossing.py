"""How uncertain the instant of an event is because the temperature (or pressure) that shows it is: slope and errors.

The slope is that of least squares over the samples from 5 min before to 5 min after, on the sensor that decided;
that another one may have decided is left out. Common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.budgets import GRAINS, errors_of, family_of
from curewright.judge.scene import Thing
from curewright.judge.signals import envelope
from curewright.judge.trace import JOINED
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, Compare
from curewright.terms.units import NANOSECONDS

if TYPE_CHECKING:
    from curewright.judge.envelope import Atom
    from curewright.judge.scene import Scene
    from curewright.physics.time_uncertainty import Crossing
    from curewright.terms.requirement import Event

MINUTE = NANOSECONDS["min"]
AROUND = 5 * MINUTE
EXACT: Crossing = (1.0, ())
SAME = 100.0  # grains: how near to the level the value at the instant is, which is rounded to a nanosecond


def crossing(scene: Scene, name: str, thing: Thing, instant: int) -> Crossing | None:
    """(slope [K/min or Pa/min], errors) of an event at an instant; no errors for what no measurement shows; None where
    the budget is not whole or the event is no crossing of one sensor.
    """
    if name in (RECORD_STARTS, RECORD_ENDS):
        return EXACT
    event = scene.specification.event(name)
    if not event.sources:
        return crossing(scene, event.after or RECORD_STARTS, thing, instant - event.delay)
    if len(event.sources) > 1:
        return None
    source = event.sources[0]
    if source.by in ("entry", "state"):
        return EXACT
    if source.by != "trace" or not isinstance(source.condition, Compare):
        return None
    return _on_trace(scene, source.condition, _owner(scene, event, thing), instant - event.delay)


def _owner(scene: Scene, event: Event, thing: Thing) -> Thing:
    """Whose event it is: the thing judged, else its part (which leads on to bag and vessel)."""
    return thing if event.for_each == thing.kind else Thing("part", scene.part.serial)


def _on_trace(scene: Scene, condition: Compare, thing: Thing, instant: int) -> Crossing | None:
    signal, limits = condition.signal, condition.limits
    level = limits.low or limits.high
    if signal.raw or signal.minus is not None or signal.computed is not None or level is None:
        return None
    found = envelope(scene, signal, thing, level.unit.reference)
    at = found.value(instant)
    if at is None or abs(at.value - level.grains) > SAME:  # it was so already, or is so from another instant on
        return None
    atom = next((one for one in found.sensors if one.label == at.label), None)
    if atom is None or len(atom.members) != 1 or family_of(atom.members[0]) not in GRAINS:
        return None
    member = atom.members[0]
    errors = errors_of(scene.hall, member, at.value, level.unit.reference)
    slope = None if errors is None else _slope(atom, instant)
    if errors is None or slope is None:
        return None
    return slope / GRAINS[family_of(member)], ((f"own {member.name}", errors.own), *errors.shared)


def _slope(atom: Atom, instant: int) -> float | None:
    """Least squares around an instant [grains/min]; None with fewer than three samples, or over what is not known."""
    trace = atom.trace
    first, last = np.searchsorted(trace.t, instant - AROUND), np.searchsorted(trace.t, instant + AROUND, side="right")
    if last - first < 3 or np.any(trace.link[first : last - 1] != JOINED):
        return None
    minutes = (trace.t[first:last] - instant) / MINUTE
    apart = minutes - minutes.mean()
    values = trace.v[first:last]
    return float(apart @ (values - values.mean()) / (apart @ apart))
