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


def judged_with_rulings(
    judge: Callable[[tuple[Ruling, ...]], Judgement], rulings: tuple[Ruling, ...], load: Load
) -> Judgement:
    """The judgement with all rulings, save that no ruling of one person alone makes *met* of *not met*."""
    judgement = judge(rulings)
    alone = tuple(ruling for ruling in rulings if not _seconded(ruling))
    if not alone:
        return judgement
    without = judge(tuple(ruling for ruling in rulings if _seconded(ruling))).verdicts
    verdicts = _merged(without, judgement.verdicts, alone)
    return replace(judgement, verdicts=verdicts, roll_up=roll_up(load, verdicts))


def _merged(without: tuple[Verdict, ...], ruled: tuple[Verdict, ...], alone: tuple[Ruling, ...]) -> tuple[Verdict, ...]:
    """The ruled verdicts, with every *not met* that they would turn into *met*, or make vanish, as it was without the rulings."""
    now = {_key(verdict): verdict for verdict in ruled}
    before = {_key(verdict) for verdict in without}
    kept = [_held_back(verdict, now.get(_key(verdict)), alone) for verdict in without]
    return (
        *(verdict for verdict in kept if verdict is not None),
        *(verdict for verdict in ruled if _key(verdict) not in before),
    )


def _seconded(ruling: Ruling) -> bool:
    return bool(ruling.second.strip()) and ruling.second.strip() != ruling.person.strip()


def _key(verdict: Verdict) -> tuple[str, str, str, str]:
    return verdict.part, verdict.clause, verdict.form, verdict.thing


def _held_back(before: Verdict, now: Verdict | None, alone: tuple[Ruling, ...]) -> Verdict | None:
    """The verdict that stands; None for one that a ruling may make vanish."""
    if before.outcome is not Outcome.NOT_MET or (now is not None and now.outcome is not Outcome.MET):
        return now
    who = "; ".join(f"{ruling.person} sets {ruling.sensor} aside: {ruling.reason}" for ruling in alone)
    change = "turn this into met" if now is not None else "take this away"
    note = f"a ruling would {change} and needs a second person ({who}); judged as it was without it"
    return replace(before, notes=(*before.notes, note))
