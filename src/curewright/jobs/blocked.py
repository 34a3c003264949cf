"""Verdicts on what cannot be led back: reported by name, and *not shown* whatever the numbers say, save that *not met* stays so.

A doubt never helps a part. A finding makes *not shown* of *met* and of *open*; what the numbers break stays *not met*, with the finding
beside it. Looked at are the part, the thing judged, and whatever any sensor sits on that the verdict stands on: those of its signals,
inside a mean, behind its conditions and behind its events.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.judge import roll_up
from curewright.terms.finding import OF_THE_SENSOR
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.terms.finding import Finding
    from curewright.terms.load import Assignment, Load
    from curewright.terms.verdict import Judgement, Verdict

NUMBERS = (Outcome.MET, Outcome.NOT_MET, Outcome.OPEN)


def with_blocked(judgement: Judgement, findings: Sequence[Finding], load: Load) -> Judgement:
    """The judgement with every *met* and *open* that a finding blocks *not shown*, and the parts rolled up anew."""
    blocking = [finding for finding in findings if finding.blocks]
    verdicts = tuple(_blocked(verdict, blocking, load) for verdict in judgement.verdicts)
    return replace(judgement, verdicts=verdicts, roll_up=roll_up(load, verdicts))


def _blocked(verdict: Verdict, findings: Sequence[Finding], load: Load) -> Verdict:
    if not findings or verdict.outcome not in NUMBERS:
        return verdict
    lines = _lines_of(verdict, load)
    found = [finding for finding in findings if _doubts(finding, verdict, lines, load)]
    if not found:
        return verdict
    why = "; ".join(f"{finding.kind}: {finding.message}" for finding in found)
    if verdict.outcome is Outcome.NOT_MET:
        return replace(verdict, notes=(*verdict.notes, f"in doubt, which does not help the part: {why}"))
    note = f"without that finding it would be {verdict.outcome}: {verdict.reason}"
    margin = replace(verdict.margin, of_known=True) if verdict.margin else None
    return replace(verdict, outcome=Outcome.NOT_SHOWN, reason=why, margin=margin, notes=(*verdict.notes, note))


def _doubts(finding: Finding, verdict: Verdict, lines: Sequence[Assignment], load: Load) -> bool:
    """Whether a finding is about the part or the thing judged, or about what a sensor of the verdict sits on.

    The vessel has sensors of many sorts: a finding about one of them doubts what that one speaks for, not the others. What a
    calibration or a correction is missing for doubts what stands on that very sensor; where anything is set aside, another sensor may
    have decided that, and the thing as a whole is in doubt.
    """
    if finding.sensors and finding.kind in OF_THE_SENSOR and lines and not verdict.set_aside:
        return any(line.sensor in finding.sensors for line in lines)
    own = {verdict.part, verdict.thing}
    speaking = lines
    if finding.sensors:
        own -= {load.vessel, "vessel", "run", ""}
        shared = {line.thing for line in lines} - {part.serial for part in load.parts} - {bag.name for bag in load.bags}
        speaking = [line for line in lines if line.thing not in shared or line.sensor in finding.sensors]
    return bool(own.union(line.thing for line in speaking).intersection(finding.blocks))


def _lines_of(verdict: Verdict, load: Load) -> tuple[Assignment, ...]:
    """The lines of the map that a verdict stands on; a difference names two of them. Other parts may use the same position."""
    names = {name for label in verdict.used for name in label.split(" - ")} | set(verdict.behind)
    part = next((part for part in load.parts if part.serial == verdict.part), None)
    others = {each.serial for each in load.parts} | {bag.name for bag in load.bags} | {each.tool for each in load.parts}
    near = {part.serial, part.bag, part.tool} if part else set()
    return tuple(
        line
        for line in load.map
        if names.intersection((line.sensor, line.channel))
        or (line.position in names and (line.thing in near or line.thing not in others))
    )
