"""Count: at least (or at most) so many sensors work throughout a phase, or stand on the map, or so many vacuum ports
serve the bag.

A sensor works at an instant if it is known there and not set aside. What is unknown does not count as working.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.aside import aside_of
from curewright.judge.envelope import Atom
from curewright.judge.events import stretch_of
from curewright.judge.limits import Held, held
from curewright.judge.result import Result
from curewright.judge.steps import FALSE, TRUE
from curewright.terms.units import in_unit
from curewright.terms.verdict import Margin, Outcome

if TYPE_CHECKING:
    from curewright.judge.events import Stretch
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.steps import Steps
    from curewright.terms.requirement import Count, Group, Phase


def judge_count(scene: Scene, form: Count, thing: Thing) -> Result:
    """A count for a thing."""
    limits = held(scene, form.limits, form.unit, decide=False)
    if form.of == "vacuum ports":
        return _still(len(scene.bag.ports) if scene.bag else 0, limits)
    if form.of == "sensors on the map" or form.phase is None:
        return _still(len(scene.members(form.group, thing)), limits)
    return _working(scene, form.group, form.phase, thing, limits)


def _still(number: int, limits: Held) -> Result:
    met = limits.judged.met(float(number))
    return Result(
        Outcome.MET if met else Outcome.NOT_MET,
        "counted from the sensor map",
        limits.text,
        margin=Margin(
            in_unit(limits.margin(float(number)), limits.unit), limits.unit.name, None, "", str(number), limits.text
        ),
    )


def _working(scene: Scene, group: Group, phase: Phase, thing: Thing, limits: Held) -> Result:
    stretch = stretch_of(scene, phase, thing)
    members = scene.members(group, thing)
    aside = aside_of(scene, members, frozenset())
    working = []
    for member in members:
        left_out = tuple((entry.start, entry.end) for entry in aside.get(member.name, ()))
        working.append(scene.trace(member, None).known().replaced(left_out, FALSE))
    atoms = tuple(Atom(member.name, scene.trace(member, None), (member,)) for member in members)
    bounds = stretch.bounds(phase.start, phase.end)
    if stretch.never:
        outcome = Outcome.NOT_SHOWN if stretch.open_end else Outcome.NOT_MET
        return Result(
            outcome, "the phase never started", limits.text, phase=bounds, atoms=atoms, beyond=stretch.open_end
        )
    sure = None if stretch.sure is None else _range(working, *stretch.sure)
    possible = None if stretch.possible is None else _range(working, *stretch.possible)
    outcome, reason = _ruled(sure, possible, limits, stretch)
    shown = sure if outcome is Outcome.NOT_MET else possible
    margin = None
    if shown is not None:
        value, at = min((limits.margin(float(n)), at) for n, at in shown)
        number = next(n for n, when in shown if when == at and limits.margin(float(n)) == value)
        margin = Margin(in_unit(value, limits.unit), limits.unit.name, at, "", str(number), limits.text)
    return Result(
        outcome,
        reason,
        limits.text,
        margin=margin,
        phase=bounds,
        set_aside=tuple(entry for entries in aside.values() for entry in entries),
        atoms=atoms,
        notes=stretch.notes,
        beyond=outcome is Outcome.NOT_SHOWN and stretch.open_end,
    )


def _ruled(
    sure: tuple[tuple[int, int], ...] | None,
    possible: tuple[tuple[int, int], ...] | None,
    limits: Held,
    stretch: Stretch,
) -> tuple[Outcome, str]:
    if sure is not None and not all(limits.judged.met(float(number)) for number, _ in sure):
        return Outcome.NOT_MET, "too few or too many in the phase"
    if sure is None or possible is None or stretch.open_end:
        return Outcome.NOT_SHOWN, "the phase is not known to its end"
    if not all(limits.judged.met(float(number)) for number, _ in possible):
        return Outcome.NOT_SHOWN, "too few or too many where it is not known whether the phase had begun or ended"
    return Outcome.MET, "enough throughout the phase"


def _range(working: list[Steps], start: int, end: int) -> tuple[tuple[int, int], ...]:
    """(fewest, its instant) and (most, its instant) working at once over a stretch."""
    edges = {start, end, *(time for steps in working for time in steps.times if start < time < end)}
    counts = [
        (sum(steps.value(instant) == TRUE for steps in working), edge)
        for edge in edges
        for instant in (edge, min(edge + 1, end))  # between two edges nothing changes
    ]
    return min(counts), max(counts, key=lambda pair: (pair[0], -pair[1]))
