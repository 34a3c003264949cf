"""A judged run as the plots need it: what was judged, and the scenes in which the judge saw it.

The traces are those of the judge itself (same corrections, gaps, bad samples, references), so that a plot shows what was judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from curewright.judge.concession import conceded, with_limits
from curewright.judge.judge import hall_of, largest_gap, scene_for
from curewright.terms.errors import CurewrightError
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from curewright.judge.scene import Hall, Member, Scene
    from curewright.judge.trace import Trace
    from curewright.physics.card import Card
    from curewright.terms.load import Load, Part, Ruling, Vessel
    from curewright.terms.requirement import Clause, Requirement, Specification
    from curewright.terms.run import Run
    from curewright.terms.units import Unit
    from curewright.terms.verdict import Judgement, Verdict

BARE = {"temperature": "degC", "pressure": "bar gauge", "vacuum": "mbar of vacuum"}


@dataclass(frozen=True, eq=False)
class JudgedRun:
    """A run with the papers, the load and the judgement. ``rulings`` are those that counted."""

    specifications: tuple[Specification, ...]
    vessel: Vessel
    load: Load
    run: Run
    judgement: Judgement
    rulings: tuple[Ruling, ...] = ()
    cards: tuple[Card, ...] = ()

    @cached_property
    def hall(self) -> Hall:
        """What all scenes share."""
        hall = hall_of(self.vessel, self.load, self.run, self.rulings, largest_gap(self.specifications))
        hall.cards = self.cards
        return hall

    @cached_property
    def _scenes(self) -> dict[str, Scene]:
        return {}

    def part(self, serial: str) -> Part:
        """The part of that serial; raises KeyError where the load has none."""
        found = next((part for part in self.load.parts if part.serial == serial), None)
        if found is None:
            raise KeyError(serial)
        return found

    def scene(self, serial: str) -> Scene:
        """The scene of a part under its specification."""
        if serial not in self._scenes:
            self._scenes[serial] = scene_for(self.hall, self.part(serial), self.specifications)
        return self._scenes[serial]

    @cached_property
    def _by_part(self) -> dict[str, list[Verdict]]:
        found: dict[str, list[Verdict]] = {part.serial: [] for part in self.load.parts}
        for verdict in self.judgement.verdicts:
            found.setdefault(verdict.part, []).append(verdict)
        return found

    def verdicts(self, serial: str) -> list[Verdict]:
        """The verdicts of a part."""
        return self._by_part.get(serial, [])

    @cached_property
    def _forms(self) -> dict[tuple[str, str, str, str], tuple[Clause, Requirement]]:
        return {
            (one.number, one.revision, clause.number, form.name): (clause, form)
            for one in self.specifications
            for clause in one.clauses
            for form in clause.forms
        }

    def form(self, verdict: Verdict) -> Requirement | None:
        """The requirement that a verdict is about, with the limits of its concession where that counted; None for people's."""
        found = self._forms.get((verdict.specification, verdict.revision, verdict.clause, verdict.form))
        if found is None:
            return None
        clause, form = found
        concession = None if verdict.before_concession is None else conceded(self.part(verdict.part), clause, form)
        return form if concession is None else with_limits(form, concession.limits)

    def unit(self, what: str, serial: str) -> Unit:
        """The unit of the user's specification for temperature, pressure or vacuum; where it states none, a common one."""
        stated = dict(self.scene(serial).specification.units)
        return stated.get(what, UNITS[BARE[what]])

    def traces(self, members: tuple[Member, ...], serial: str, unit: Unit) -> list[tuple[Member, Trace]]:
        """The traces of some sensors in the reference of a unit. A sensor is left out whose reference would need a
        barometer that is not known: the judge asks for that reading, the plot does not.
        """
        found = []
        for member in members:
            try:
                trace = self.scene(serial).trace(member, unit.reference)
            except CurewrightError:
                continue
            if member.channel.unit.quantity == unit.quantity:
                found.append((member, trace))
        return found
