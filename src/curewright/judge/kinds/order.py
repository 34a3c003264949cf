"""Order: one event comes at or before another, where stated within a time limit between them.

Met if it holds for all instants that the bounds of both allow, not met if for none. If either surely never happened:
not met.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.decider import decider
from curewright.judge.events import when
from curewright.judge.limits import Held, held
from curewright.judge.result import Result
from curewright.judge.steps import NEVER
from curewright.terms.units import UNITS, in_unit
from curewright.terms.verdict import Bounds, Margin, Outcome

if TYPE_CHECKING:
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Order


def judge_order(scene: Scene, form: Order, thing: Thing) -> Result:
    """The order of two events for a thing."""
    first, then = when(scene, form.first, thing), when(scene, form.then, thing)
    limits = None if form.limits is None else held(scene, form.limits, form.unit)
    text = f"'{form.first}' at or before '{form.then}'" + (f", {limits.text} between" if limits else "")
    notes = tuple(dict.fromkeys((*first.notes, *then.notes)))
    bounds = Bounds(
        _known(first.earliest), _known(first.latest), _known(then.earliest), _known(then.latest), form.first, form.then
    )
    for name, event in ((form.first, first), (form.then, then)):
        if event.never:
            return Result(Outcome.NOT_MET, f"'{name}' never happened", text, phase=bounds, notes=notes)
    between = (then.earliest - first.latest, then.latest - first.earliest)
    outcome, reason = _ruled(between, limits)
    beyond = outcome is Outcome.NOT_SHOWN and (first.beyond or then.beyond)
    result = Result(outcome, reason, text, phase=bounds, notes=notes, beyond=beyond)
    if first.latest >= NEVER or then.latest >= NEVER:
        return result
    label, deciding = decider(scene, form.then, thing, then.earliest)
    margin = _margin(between, limits, then.earliest, text, of_known=outcome is Outcome.NOT_SHOWN)
    return result.but(margin=replace(margin, channel=label), deciding=deciding)


def _ruled(between: tuple[int, int], limits: Held | None) -> tuple[Outcome, str]:
    least, most = between
    low = None if limits is None else limits.judged.low
    high = None if limits is None else limits.judged.high
    if most < 0:
        return Outcome.NOT_MET, "in the other order"
    if low is not None and not low.low_met(most):
        return Outcome.NOT_MET, "too soon after"
    if high is not None and not high.high_met(least):
        return Outcome.NOT_MET, "too late after"
    surely = (
        least >= 0
        and (low is None or low.low_met(least))
        and (high is None or high.high_met(most))
        and most < NEVER // 2
    )
    if surely:
        return Outcome.MET, "in this order" if limits is None else "in this order and in time"
    return Outcome.NOT_SHOWN, "the instants are known only within bounds"


def _margin(between: tuple[int, int], limits: Held | None, at: int, text: str, *, of_known: bool) -> Margin:
    unit = UNITS["min"] if limits is None else limits.unit
    floor = 0.0 if limits is None or limits.low is None else limits.low.grains
    top = None if limits is None or limits.high is None else limits.high.grains

    def distance(time: float) -> float:
        return time - floor if top is None else min(time - floor, top - time)

    best = between[1] if top is None else min(max((floor + top) / 2, between[0]), between[1])
    low, high = min(distance(time) for time in between), distance(best)
    same = between[0] == between[1]
    actual = in_unit(between[0], unit) if same else f"{in_unit(between[0], unit)} to {in_unit(between[1], unit)}"
    ends = (None, None) if same else (in_unit(low, unit), in_unit(high, unit))
    return Margin(in_unit(low, unit), unit.name, at, "", actual, text, ends[0], ends[1], of_known)


def _known(instant: int) -> int | None:
    return instant if instant < NEVER else None
