"""A ruling that turns *not met* into *met* needs a second person; without one the outcome stays what it was without the ruling."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.judge import gone_note, roll_up
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
    alone = tuple(ruling for ruling in rulings if ruling.kind == "set aside" and not _seconded(ruling))
    if not alone:
        return judgement
    without = judge(tuple(ruling for ruling in rulings if ruling not in alone)).verdicts
    verdicts = _merged(without, judgement.verdicts, alone)
    return replace(judgement, verdicts=verdicts, roll_up=roll_up(load, verdicts))


def _merged(without: tuple[Verdict, ...], ruled: tuple[Verdict, ...], alone: tuple[Ruling, ...]) -> tuple[Verdict, ...]:
    """The ruled verdicts, with every *not met* that they would turn into *met*, or make vanish, as it was without the rulings."""
    before = {_key(verdict): verdict for verdict in without}
    there = {_key(verdict) for verdict in ruled}
    back = [verdict for verdict in without if verdict.outcome is Outcome.NOT_MET and _key(verdict) not in there]
    now = {_key(verdict): _spoken_for_no_more(verdict, back, before.get(_key(verdict))) for verdict in ruled}
    kept = [_held_back(verdict, now.get(_key(verdict)), alone) for verdict in without]
    return (
        *(verdict for verdict in kept if verdict is not None),
        *(verdict for key, verdict in now.items() if key not in before),
    )


def _spoken_for_no_more(verdict: Verdict, back: list[Verdict], before: Verdict | None) -> Verdict:
    """A verdict without its notes on sensors that a ruling took away and that are back with their own *not met*."""
    same = [each for each in back if _key(each)[:3] == _key(verdict)[:3]]
    notes = tuple(note for note in verdict.notes if note not in {gone_note(each) for each in same})
    if notes == verdict.notes:
        return verdict
    bare = (before.without_set_aside or before.outcome) if before else None
    return replace(verdict, notes=notes, without_set_aside=bare if bare is not verdict.outcome else None)


def _seconded(ruling: Ruling) -> bool:
    return bool(ruling.second.strip()) and _name(ruling.second) != _name(ruling.person)


def _name(written: str) -> str:
    """A person's name however it is spaced or capitalised."""
    return " ".join(written.split()).casefold()


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
