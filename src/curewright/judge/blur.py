"""Conditions whose instants are known only within a bound: true where they were true whatever the clock's error was.

``blurred`` looks a bound to both sides of every instant; whatever is not the same throughout becomes unknown. So an event that a
second recorder shows becomes an interval, and nothing is met or broken by a guess about its clock. The errors of different
instants are taken as free of each other, which is looser than one clock allows, and only towards *not shown*.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from curewright.judge.steps import UNKNOWN, Steps, tidy

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    Span = tuple[int | None, bool, int | None, bool, int]  # from, with it, to, with it, code; None: without end


def blurred(steps: Steps, by: int) -> Steps:
    """The condition where it is the same over [t - by, t + by], unknown elsewhere; ``by`` in ns."""
    if by == 0:
        return steps
    times: list[int] = []
    at: list[int] = []
    after: list[int] = []
    before = steps.before
    for start, with_start, end, with_end, code in _spans(steps):
        if code == UNKNOWN:
            continue
        a, b = None if start is None else start + by, None if end is None else end - by
        if a is not None and b is not None and (a > b or (a == b and not (with_start and with_end))):
            continue
        if a is not None:
            times.append(a)
            at.append(code if with_start else UNKNOWN)
            after.append(code if a != b else UNKNOWN)
        if b is not None and b != a:
            times.append(b)
            at.append(code if with_end else UNKNOWN)
            after.append(UNKNOWN)
    return tidy(times, at, after, before)


def _spans(steps: Steps) -> Iterator[Span]:
    """The longest spans of one code, in order."""
    start: int | None = None
    with_start, code = False, steps.before
    for time, here, following in zip(steps.times, steps.at, steps.after, strict=True):
        if here != code:
            yield start, with_start, time, False, code
            start, with_start, code = time, True, here
        if following != code:
            yield start, with_start, time, True, code
            start, with_start, code = time, False, following
    yield start, with_start, None, False, code


def spliced(base: Steps, other: Steps, stretches: Sequence[tuple[int, int]]) -> Steps:
    """The base, but the other one inside the open stretches given (in order, apart from each other)."""
    if not stretches:
        return base
    starts = [start for start, _ in stretches]

    def inside(instant: int, *, from_start: bool) -> bool:
        i = bisect_right(starts, instant) - 1
        if i < 0 or instant >= stretches[i][1]:
            return False
        return from_start or instant > stretches[i][0]

    edges = {edge for stretch in stretches for edge in stretch}
    times = sorted(
        {time for time in base.times if not inside(time, from_start=False)}
        | {time for time in other.times if inside(time, from_start=False)}
        | edges
    )
    at = [(other if inside(time, from_start=False) else base).value(time) for time in times]
    after = [_just_after(other if inside(time, from_start=True) else base, time) for time in times]
    return tidy(times, at, after, base.before)


def _just_after(steps: Steps, instant: int) -> int:
    i = bisect_right(steps.times, instant) - 1
    return steps.after[i] if i >= 0 else steps.before
