"""Excursions that do not stop a clock, because its allowance tolerates them.

Excursions count from exact crossing to exact crossing, clipped to the phase, first come first served: each has to be
short and shallow enough, and all of them up to it together short enough. One that surely is (with its phase at its
longest and everything unknown taken for outside) counts as inside; one that only may be counts as unknown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import unit_of
from curewright.judge.kinds.band import excursions
from curewright.judge.limits import APART, held
from curewright.judge.signals import envelope
from curewright.judge.steps import FALSE, TRUE, UNKNOWN, Steps, any_of, tidy

if TYPE_CHECKING:
    from curewright.judge.events import Stretch
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Allowance, Compare

Found = list[tuple[int, int]]


def forgiven(
    scene: Scene, steps: Steps, condition: Compare, allowance: Allowance, thing: Thing, stretch: Stretch
) -> Steps:
    """The condition with excursions inside the allowance counted as inside (or as unknown, where only may be)."""
    if stretch.possible is None:
        return steps
    unit = unit_of(condition.limits)
    limits = held(scene, condition.limits, unit, decide=False)
    signal = envelope(scene, condition.signal, thing, unit.reference)

    def depth(begin: int, finish: int) -> float:
        return max((found[2] for found in excursions(signal, steps, begin, finish, limits)), default=0.0)

    surely: Found = []
    spent = 0
    start, end = stretch.possible
    for begin, finish in steps.stretches(start, end, (FALSE, UNKNOWN)):
        spent += finish - begin
        known = UNKNOWN not in steps.over(begin, finish) and not (stretch.open_end and finish == end)
        if known and _inside(allowance, finish - begin, spent, depth(begin, finish)):
            surely.append((begin, finish))
    possibly: Found = []
    spent = 0
    for begin, finish in steps.stretches(start, end, (FALSE,)):
        part = _clipped(begin, finish, stretch.sure)
        length = 0 if part is None else part[1] - part[0]
        spent += length
        if _inside(allowance, length, spent, 0.0 if part is None else depth(*part)):
            possibly.append((begin, finish))
    return any_of((steps, _over(surely, TRUE), _over(possibly, UNKNOWN)))


def _inside(allowance: Allowance, length: int, spent: int, depth: float) -> bool:
    short = allowance.at_a_time is None or length <= allowance.at_a_time
    few = allowance.in_all is None or spent <= allowance.in_all
    return short and few and (allowance.depth is None or round(allowance.depth.grains - depth) >= -APART)


def _clipped(begin: int, finish: int, sure: tuple[int, int] | None) -> tuple[int, int] | None:
    """What of a stretch is surely in the phase."""
    if sure is None or begin > sure[1] or finish < sure[0]:
        return None
    return max(begin, sure[0]), min(finish, sure[1])


def _over(stretches: Found, code: int) -> Steps:
    """A code over closed stretches, false elsewhere."""
    edges: dict[int, int] = {}  # instant: code after it
    for begin, finish in stretches:
        edges[begin] = code
        edges[finish] = FALSE  # the same instant, where one has no length
    times = sorted(edges)
    return tidy(times, [code] * len(times), [edges[time] for time in times], FALSE)
