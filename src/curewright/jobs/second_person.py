"""A ruling that turns *not met* into *met* needs a second person; without one the outcome stays what it was without the ruling."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.judge import roll_up
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.terms.load import Load, Ruling
    from curewright.terms.verdict import Judgement, Verdict

Judge = "Callable[[tuple[Ruling, ...]], Judgement]"


def judged_with_rulings(
    judge: Callable[[tuple[Ruling, ...]], Judgement], rulings: tuple[Ruling, ...], load: Load
) -> Judgement:
    """The judgement with all rulings, save that no ruling of one person alone makes *met* of *not met*."""
    judgement = judge(rulings)
    alone = tuple(ruling for ruling in rulings if not _seconded(ruling))
    if not alone:
        return judgement
    base = {
        _key(verdict): verdict for verdict in judge(tuple(ruling for ruling in rulings if _seconded(ruling))).verdicts
    }
    verdicts = tuple(_held_back(verdict, base.get(_key(verdict)), alone) for verdict in judgement.verdicts)
    return replace(judgement, verdicts=verdicts, roll_up=roll_up(load, verdicts))


def _seconded(ruling: Ruling) -> bool:
    return bool(ruling.second.strip()) and ruling.second.strip() != ruling.person.strip()


def _key(verdict: Verdict) -> tuple[str, str, str, str]:
    return verdict.part, verdict.clause, verdict.form, verdict.thing


def _held_back(verdict: Verdict, before: Verdict | None, alone: tuple[Ruling, ...]) -> Verdict:
    if before is None or before.outcome is not Outcome.NOT_MET or verdict.outcome is not Outcome.MET:
        return verdict
    who = "; ".join(f"{ruling.person} sets {ruling.sensor} aside: {ruling.reason}" for ruling in alone)
    note = f"a ruling would turn this into met and needs a second person ({who}); judged as it was without it"
    return replace(before, notes=(*before.notes, note))
