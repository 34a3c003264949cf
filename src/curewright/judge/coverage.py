"""The stretches of a run over which no clause looks at a part's temperature, pressure or vacuum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.events import stretch_of
from curewright.judge.scene import Thing
from curewright.terms.errors import CurewrightError
from curewright.terms.verdict import Stretch as Uncovered

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Requirement

LOOKS_AT = {
    "part thermocouple": "part temperature",
    "vessel pressure": "vessel pressure",
    "bag vacuum": "bag vacuum",
}


def uncovered(scene: Scene) -> list[Uncovered]:
    """For each quantity that the specification looks at at all: where, between start and end of the record, it does not."""
    looked: dict[str, list[tuple[int, int]]] = {}
    for clause in scene.specification.clauses:
        for form in clause.forms:
            for quantity in _quantities(form):
                looked.setdefault(quantity, []).extend(_where(scene, form))
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
    return {LOOKS_AT[role] for role in roles if role in LOOKS_AT}


def _where(scene: Scene, form: Requirement) -> list[tuple[int, int]]:
    phase = getattr(form, "phase", None)
    if phase is None:
        return []
    try:
        possible = stretch_of(scene, phase, Thing("part", scene.part.serial)).possible
    except CurewrightError:
        return []
    return [] if possible is None else [possible]


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
