"""Whether two judgements of the same run agree: outcome by outcome, margins within the grain, deciding instants, other readings."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from bench.peers.tool import Answer
    from bench.peers.wide import Wide
    from curewright.terms.verdict import Verdict

Key = tuple[str, int, str]


def by_key(verdicts: Iterable[Verdict]) -> dict[Key, Verdict]:
    """Verdicts by (serial, clause, thing)."""
    return {(verdict.part, int(verdict.clause), verdict.thing): verdict for verdict in verdicts}


def differences(ours: Iterable[Verdict], theirs: dict[Key, Answer], data: Wide) -> list[str]:
    """One line for everything in which a peer differs; empty where it agrees."""
    own = by_key(ours)
    lines = [f"{key}: only ours ({own[key].outcome})" for key in sorted(own.keys() - theirs.keys())]
    lines += [f"{key}: only the peer's ({theirs[key].outcome})" for key in sorted(theirs.keys() - own.keys())]
    for key in sorted(own.keys() & theirs.keys()):
        lines += [f"{key}: {line}" for line in _between(own[key], theirs[key], data)]
    return lines


def _between(verdict: Verdict, answer: Answer, data: Wide) -> list[str]:
    found = []
    if verdict.outcome != answer.outcome:
        found.append(f"outcome {verdict.outcome} ({verdict.reason}), the peer says {answer.outcome}")
    if (verdict.without_set_aside or None) != answer.without_set_aside:
        found.append(f"without what is set aside {verdict.without_set_aside}, the peer says {answer.without_set_aside}")
    margin = _margin(verdict)
    if (margin is None) != (answer.margin is None):
        found.append(f"margin {margin}, the peer says {answer.margin}")
    elif margin is not None and answer.margin is not None:
        found += _margins(verdict, margin, answer, data)
    ours, theirs = (
        {reading.definition.split(" over ")[0]: str(reading.outcome) for reading in verdict.others},
        dict(answer.others),
    )
    if ours != theirs:
        found.append(f"other readings {ours}, the peer says {theirs}")
    return found + _numbers(verdict, answer) + _samples(verdict, answer)


def _numbers(verdict: Verdict, answer: Answer) -> list[str]:
    """The least and greatest rate by each of the other definitions, to the two decimals that are shown."""
    if verdict.kind != "rate" or verdict.margin is None:
        return []
    scale = UNITS[verdict.margin.unit].scale
    shown = {}
    for reading in verdict.others:
        words = reading.actual.split()
        if words[1:2] == ["to"]:
            shown[reading.definition.split(" over ")[0]] = (float(words[0]), float(words[2]))
    theirs = {name: (least / scale, most / scale) for name, least, most in answer.numbers}
    close = shown.keys() == theirs.keys() and all(
        abs(a - b) <= 0.0051 for name, pair in shown.items() for a, b in zip(pair, theirs[name], strict=True)
    )
    return [] if close else [f"other rates {shown}, the peer says {theirs}"]


def _samples(verdict: Verdict, answer: Answer) -> list[str]:
    """The samples quoted around the deciding instant; not where a bad one is quoted (a peer keeps none)."""
    tied = verdict.margin is None or (verdict.margin.at, verdict.margin.channel) != (answer.at, answer.channel)
    if tied or any(sample.value == "bad" for sample in verdict.samples):
        return []
    quoted = verdict.samples
    if (
        verdict.outcome == "not shown"
    ):  # what is quoted beside a stretch that is not known comes after those that decide
        quoted = quoted[: len(answer.samples)]
    ours = {(s.channel, s.t): float(UNITS[s.unit].to_grains(np.array([float(s.value)]))[0]) for s in quoted}
    theirs = {(name, t): value for name, t, value in answer.samples}
    close = ours.keys() == theirs.keys() and all(abs(value - theirs[key]) <= 1.0 for key, value in ours.items())
    return [] if close else [f"samples quoted {sorted(ours)}, the peer quotes {sorted(theirs)}"]


def _margins(verdict: Verdict, margin: float, answer: Answer, data: Wide) -> list[str]:
    assert answer.margin is not None
    assert verdict.margin is not None
    found = []
    if abs(margin - answer.margin) > _grain(verdict):
        found.append(f"margin {margin} grains, the peer says {answer.margin}")
    ours, theirs = (verdict.margin.at, verdict.margin.channel), (answer.at, answer.channel)
    if answer.channel == "?":
        ours, theirs = ours[:1], theirs[:1]
    tied = verdict.kind == "rate"  # a tie between two windows may be broken by the last bit of a quotient
    if ours != theirs and not tied and not _tie(ours, theirs, data):
        found.append(f"decided at {ours}, the peer says {theirs}")
    return found


def _tie(ours: tuple[object, ...], theirs: tuple[object, ...], data: Wide) -> bool:
    """Whether two places differ by less than a grain but not by nothing, so that rounding an interpolated value decides between them."""
    if len(ours) < 2:
        return False
    one, two = _exact(*ours, data), _exact(*theirs, data)  # type: ignore[arg-type]
    return one is not None and two is not None and 0.0 < abs(one - two) < 1.0


def _exact(at: int | None, label: str, data: Wide) -> float | None:
    """The unrounded value of a column, or of the difference of two, at an instant."""
    names = label.split(" - ")
    if at is None or any(name not in data.row for name in names):
        return None
    values = []
    for name in names:
        row = data.table[data.row[name]]
        good = ~np.isnan(row)
        values.append(float(np.interp(at, data.t[good], row[good])))
    return values[0] - (values[1] if len(values) > 1 else 0.0)


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
