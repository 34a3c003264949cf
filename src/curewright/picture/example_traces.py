"""For a requirement, one small run in which it is met and one in which it is not, made from the plan and proved by the judge.

Each kind offers a few sketches, the plainest first; the first one that the judge finds *met* (or *not met*) is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from curewright.judge.judge import judge
from curewright.judge.kinds.exposure import Share
from curewright.picture.sketch import SERIAL, Drawn, Sketch, drawn
from curewright.picture.sketches import Sketches
from curewright.terms.errors import CurewrightError
from curewright.terms.verdict import Outcome, Verdict

if TYPE_CHECKING:
    from curewright.physics.card import Card
    from curewright.terms.requirement import Clause, Requirement, Specification


@dataclass(frozen=True, eq=False)
class Example:
    """A run for one requirement, and what the judge says about it."""

    drawn: Drawn
    sketch: Sketch
    verdicts: tuple[Verdict, ...]
    outcome: Outcome
    times: dict[str, float]


def example(
    specification: Specification, clause: Clause, form: Requirement, wanted: Outcome, cards: tuple[Card, ...] = ()
) -> Example | None:
    """The plainest run whose verdicts on this form are all *met*, or of which one is *not met*; None where no sketch comes out so."""
    alone = replace(specification, clauses=(replace(clause, forms=(form,), not_covered=None, by_person=None),))
    tried = (
        sketch
        for step_apart in (2e6, 0.0)  # thermocouples 2 K apart are easier to look at
        for sketch in Sketches(specification, clause, form, step_apart).all(good=wanted is Outcome.MET)
    )
    for sketch, times in tried:
        made = drawn(sketch, specification.number, specification.revision)
        try:
            verdicts = judge(
                (alone,), made.vessel, made.load, made.run, earlier=shares(sketch, clause, form), cards=cards
            ).verdicts
        except CurewrightError:
            continue
        outcomes = {verdict.outcome for verdict in verdicts}
        if (wanted is Outcome.MET and outcomes == {Outcome.MET}) or (
            wanted is Outcome.NOT_MET and Outcome.NOT_MET in outcomes
        ):
            return Example(made, sketch, verdicts, wanted, times)
    return None


def shares(sketch: Sketch, clause: Clause, form: Requirement) -> dict[tuple[str, str, str], tuple[Share, ...] | None]:
    """What earlier runs of the part have used up of an exposure, in a sketch."""
    cures = sketch.earlier_cures
    return {(SERIAL, clause.number, form.name): (Share("earlier runs", cures, cures),)} if cures else {}
