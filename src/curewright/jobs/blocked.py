"""Verdicts on what cannot be led back: reported by name, and *not shown*, whatever the numbers say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.judge import roll_up
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.terms.finding import Finding
    from curewright.terms.load import Load
    from curewright.terms.verdict import Judgement, Verdict

NUMBERS = (Outcome.MET, Outcome.NOT_MET, Outcome.OPEN)


def with_blocked(judgement: Judgement, findings: Sequence[Finding], load: Load) -> Judgement:
    """The judgement with every verdict that a finding blocks *not shown*, and the parts rolled up anew."""
    verdicts = tuple(_blocked(verdict, findings, load) for verdict in judgement.verdicts)
    return replace(judgement, verdicts=verdicts, roll_up=roll_up(load, verdicts))


def _blocked(verdict: Verdict, findings: Sequence[Finding], load: Load) -> Verdict:
    touched = {verdict.part, verdict.thing, *_things_of(verdict, load)}
    found = [finding for finding in findings if touched.intersection(finding.blocks)]
    if not found or verdict.outcome not in NUMBERS:
        return verdict
    reason = "; ".join(f"{finding.kind}: {finding.message}" for finding in found)
    note = f"without that finding it would be {verdict.outcome}: {verdict.reason}"
    margin = replace(verdict.margin, of_known=True) if verdict.margin else None
    return replace(verdict, outcome=Outcome.NOT_SHOWN, reason=reason, margin=margin, notes=(*verdict.notes, note))


def _things_of(verdict: Verdict, load: Load) -> set[str]:
    """What the sensors of a verdict sit on; a difference names two of them."""
    used = {name for label in verdict.used for name in label.split(" - ")}
    return {line.thing for line in load.map if used.intersection((line.sensor, line.channel, line.position))}
