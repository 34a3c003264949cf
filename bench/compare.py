"""Whether two judgements of the same run agree: outcome by outcome, margins within the grain, deciding instants, other readings."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from bench.peers.logic import Answer
    from curewright.terms.verdict import Verdict

Key = tuple[str, int, str]


def by_key(verdicts: Iterable[Verdict]) -> dict[Key, Verdict]:
    """Verdicts by (serial, clause, thing)."""
    return {(verdict.part, int(verdict.clause), verdict.thing): verdict for verdict in verdicts}


def differences(ours: Iterable[Verdict], theirs: dict[Key, Answer]) -> list[str]:
    """One line for everything in which a peer differs; empty where it agrees."""
    own = by_key(ours)
    lines = [f"{key}: only ours ({own[key].outcome})" for key in sorted(own.keys() - theirs.keys())]
    lines += [f"{key}: only the peer's ({theirs[key].outcome})" for key in sorted(theirs.keys() - own.keys())]
    for key in sorted(own.keys() & theirs.keys()):
        lines += [f"{key}: {line}" for line in _between(own[key], theirs[key])]
    return lines


def _between(verdict: Verdict, answer: Answer) -> list[str]:
    found = []
    if verdict.outcome != answer.outcome:
        found.append(f"outcome {verdict.outcome} ({verdict.reason}), the peer says {answer.outcome}")
    if (verdict.without_set_aside or None) != answer.without_set_aside:
        found.append(f"without what is set aside {verdict.without_set_aside}, the peer says {answer.without_set_aside}")
    margin = _margin(verdict)
    if (margin is None) != (answer.margin is None):
        found.append(f"margin {margin}, the peer says {answer.margin}")
    elif margin is not None and answer.margin is not None:
        found += _margins(verdict, margin, answer)
    ours, theirs = {reading.definition.split(" over ")[0]: str(reading.outcome) for reading in verdict.others}, dict(answer.others)
    if ours != theirs:
        found.append(f"other readings {ours}, the peer says {theirs}")
    return found


def _margins(verdict: Verdict, margin: float, answer: Answer) -> list[str]:
    assert answer.margin is not None
    assert verdict.margin is not None
    found = []
    near = _grain(verdict)
    if abs(margin - answer.margin) > near:
        found.append(f"margin {margin} grains, the peer says {answer.margin}")
    tied = verdict.kind == "rate"  # a tie between two windows may be broken by the last bit of a quotient
    if verdict.margin.at != answer.at and not tied:
        found.append(f"deciding instant {verdict.margin.at}, the peer says {answer.at}")
    if verdict.margin.channel != answer.channel and answer.channel != "?" and not tied:
        found.append(f"deciding channel {verdict.margin.channel}, the peer says {answer.channel}")
    return found


def _margin(verdict: Verdict) -> float | None:
    """The margin in grains, from its decimal text."""
    margin = verdict.margin
    if margin is None:
        return None
    return float(Decimal(margin.value)) * UNITS[margin.unit].difference().scale


def _grain(verdict: Verdict) -> float:
    """How far two margins may be apart: a grain, and half of the last decimal that is printed."""
    assert verdict.margin is not None
    unit = UNITS[verdict.margin.unit].difference()
    return 1.0 + 0.5 * unit.scale * 10.0**-unit.decimals
