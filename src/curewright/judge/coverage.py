"""The stretches of a run over which no clause looks at a part's temperature, pressure or vacuum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.events import stretch_of
from curewright.judge.scene import Thing
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import Duration
from curewright.terms.verdict import Stretch as Uncovered
from curewright.understand.things import groups_in

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Phase, Requirement

LOOKS_AT = {
    "part thermocouple": "part temperature",
    "vessel pressure": "vessel pressure",
    "bag vacuum": "bag vacuum",
}


def uncovered(scene: Scene) -> list[Uncovered]:
    """For each quantity: where, between start and end of the record, no clause looks at it; all of it where none does at all."""
    looked: dict[str, list[tuple[int, int]]] = {quantity: [] for quantity in LOOKS_AT.values()}
    for clause in scene.specification.clauses:
        for form in clause.forms:
            for quantity in _quantities(form):
                looked[quantity].extend(_where(scene, form))
    return [
        Uncovered(scene.part.serial, quantity, start, end)
        for quantity, stretches in sorted(looked.items())
        for start, end in _gaps(stretches, scene.end)
    ]


def _quantities(form: Requirement) -> set[str]:
    signal = getattr(form, "signal", None)
    roles = set()
    while signal is not None:
        roles.add(signal.group.role)
        signal = signal.minus
    if isinstance(form, Duration):
        roles |= {group.role for way in form.alternatives for group in groups_in(way.clock.runs_while)}
    return {LOOKS_AT[role] for role in roles if role in LOOKS_AT}


def _where(scene: Scene, form: Requirement) -> list[tuple[int, int]]:
    ways = form.alternatives if isinstance(form, Duration) else (form,)
    phases = [phase for way in ways if (phase := getattr(way, "phase", None)) is not None]
    return [found for phase in phases if (found := _possible(scene, phase)) is not None]


def _possible(scene: Scene, phase: Phase) -> tuple[int, int] | None:
    try:
        return stretch_of(scene, phase, Thing("part", scene.part.serial)).possible
    except CurewrightError:
        return None


def _gaps(stretches: list[tuple[int, int]], end: int) -> list[tuple[int, int]]:
    gaps = []
    reached = 0
    for start, finish in sorted(stretches):
        if start > reached:
            gaps.append((reached, start))
        reached = max(reached, finish)
    if reached < end:
        gaps.append((reached, end))
    return gaps
