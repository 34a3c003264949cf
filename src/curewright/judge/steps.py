"""A condition over time in three-valued logic: true, false or unknown at every instant, changing at exact instants.

Between two neighbouring instants of ``times`` the condition is constant (``after``); at an instant it may differ from
both sides (``at``), because the ends of a band belong to it. ``before`` holds before the first instant. Kleene's
logic: all is the least, any is the greatest of FALSE < UNKNOWN < TRUE.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate, permutations
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels import logic
from curewright.terms.light import light, made_once

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

FALSE, UNKNOWN, TRUE = 0, 1, 2
NOT = (TRUE, UNKNOWN, FALSE)
NEVER = 2**62  # later than any instant of a run
MANY = 12  # changes from which on a kernel is faster
SETS = tuple(
    frozenset(code for code in (FALSE, UNKNOWN, TRUE) if bits >> code & 1) for bits in range(8)
)  # by bits of codes

BITS = {codes: sum(1 << code for code in codes) for length in (1, 2, 3) for codes in permutations(range(3), length)}
"""The codes that somebody looks for, one bit each."""


class Steps:
    """``times`` increasing [ns]; ``at`` and ``after`` codes, one per instant; ``before`` the code before the first.

    Nothing of it changes once it is made. One that a kernel made is kept as arrays until somebody asks for an instant.
    """

    times: tuple[int, ...]
    at: tuple[int, ...]
    after: tuple[int, ...]
    before: int

    def __init__(self, times: tuple[int, ...], at: tuple[int, ...], after: tuple[int, ...], before: int) -> None:
        self.times, self.at, self.after, self.before = times, at, after, before

    @classmethod
    def of_arrays(cls, times: NDArray[np.int64], codes: NDArray[np.uint8], before: int) -> Steps:
        """From instants, shape (n,) [ns], and codes at and after each, shape (n, 2)."""
        made = cls.__new__(cls)
        made.packed = (times, codes)
        made.before = before
        return made

    def __getattr__(self, name: str) -> tuple[int, ...]:
        if name not in ("times", "at", "after"):
            raise AttributeError(name)
        times, codes = self.packed
        columns = codes.T.tolist()
        self.times, self.at, self.after = tuple(times.tolist()), tuple(columns[0]), tuple(columns[1])
        return self.__dict__[name]  # type: ignore[no-any-return]

    def __eq__(self, other: object) -> bool:
        same = isinstance(other, Steps) and (self.times, self.before) == (other.times, other.before)
        return same and (self.at, self.after) == (other.at, other.after)  # type: ignore[attr-defined]

    def __hash__(self) -> int:
        return hash((self.times, self.at, self.after, self.before))

    def __repr__(self) -> str:
        return f"Steps({self.times}, {self.at}, {self.after}, {self.before})"

    @made_once
    def packed(self) -> tuple[NDArray[np.int64], NDArray[np.uint8]]:
        """The same as arrays: instants, and codes at and after each."""
        codes = np.array((self.at, self.after), np.uint8).T
        return np.array(self.times, np.int64), np.ascontiguousarray(codes).reshape(-1, 2)

    @property
    def changes(self) -> int:
        """How often it changes."""
        return len(self.packed[0]) if "packed" in self.__dict__ else len(self.times)

    def value(self, instant: int) -> int:
        """The code at an instant."""
        i = bisect_right(self.times, instant) - 1
        if i < 0:
            return self.before
        return self.at[i] if self.times[i] == instant else self.after[i]

    def pieces(self, start: int, end: int) -> Iterator[tuple[int, int, int]]:
        """The instants and open stretches of [start, end] in order, as (from, to, code); from equals to for an instant."""
        if start > end:
            return
        yield start, start, self.value(start)
        i = bisect_right(self.times, start)
        here = start
        code = self.after[i - 1] if i else self.before
        while here < end:
            following = min(self.times[i], end) if i < len(self.times) else end
            yield here, following, code
            if i < len(self.times) and self.times[i] == following:
                yield following, following, self.at[i]
                code = self.after[i]
                i += 1
            else:
                yield following, following, code
            here = following

    @property
    def _as_arrays(self) -> bool:
        """Whether a kernel answers sooner than Python."""
        return "times" not in self.__dict__ or len(self.times) > MANY

    def over(self, start: int, end: int) -> frozenset[int]:
        """All codes that occur in the closed stretch [start, end]; empty where start is after end."""
        if self._as_arrays:
            return SETS[logic.codes_over(*self.packed, self.before, start, end)]
        i = bisect_left(self.times, start)
        if start <= end and (i == len(self.times) or self.times[i] > end):  # nothing changes there
            return frozenset((self.after[i - 1] if i else self.before,))
        return frozenset(code for _, _, code in self.pieces(start, end))

    def stretches(self, start: int, end: int, codes: tuple[int, ...]) -> list[tuple[int, int]]:
        """The longest closed stretches inside [start, end] over which only these codes occur (an instant counts)."""
        key = (start, end, codes)
        if key not in self._stretches:
            self._stretches[key] = self._all_stretches(start, end, codes)
        return self._stretches[key]

    def _all_stretches(self, start: int, end: int, codes: tuple[int, ...]) -> list[tuple[int, int]]:
        if not self._as_arrays:
            return list(self.each_stretch(start, end, codes))
        found = logic.stretches(*self.packed, self.before, start, end, BITS[codes], -1, False)
        return [(begin, finish) for begin, finish in found.tolist()]

    def first_stretch(self, start: int, end: int, codes: tuple[int, ...], stays: int, *, cut_counts: bool) -> int:
        """Where the first of them begins that lasts ``stays`` ns, or (``cut_counts``) is cut off by the end; never without one."""
        if self._as_arrays:
            times, arrays = self.packed
            return int(
                logic.first_stretch(times, arrays, self.before, start, end, BITS[codes], max(stays, 0), cut_counts)
            )
        for begin, finish in self.each_stretch(start, end, codes):
            if finish - begin >= stays or (cut_counts and finish == end):
                return begin
        return NEVER

    @made_once
    def _stretches(self) -> dict[tuple[int, int, tuple[int, ...]], list[tuple[int, int]]]:
        return {}

    def each_stretch(self, start: int, end: int, codes: tuple[int, ...]) -> Iterator[tuple[int, int]]:
        """The same, one after the other, for whoever may stop at the first."""
        if start > end:
            return
        times, at, after = self.times, self.at, self.after
        n = len(times)
        i = bisect_right(times, start)
        between = after[i - 1] if i else self.before
        here = at[i - 1] if i and times[i - 1] == start else between
        opened = start if here in codes else None
        closed = start
        while closed < end:
            following = times[i] if i < n and times[i] < end else end
            if between in codes:
                opened = closed if opened is None else opened
            elif opened is not None:
                yield opened, closed
                opened = None
            if i < n and times[i] == following:
                here, between = at[i], after[i]
                i += 1
            else:
                here = between
            if here not in codes:
                if opened is not None:
                    yield opened, following
                    opened = None
            elif opened is None:
                opened = following
            closed = following
        if opened is not None:
            yield opened, closed

    def inverted(self) -> Steps:
        """Not."""
        return self._inverse

    @made_once
    def _inverse(self) -> Steps:
        if "packed" in self.__dict__:
            times, codes = self.packed
            return Steps.of_arrays(times, TRUE - codes, TRUE - self.before)
        turned = NOT.__getitem__
        return Steps(self.times, tuple(map(turned, self.at)), tuple(map(turned, self.after)), TRUE - self.before)

    def replaced(self, stretches: Sequence[tuple[int, int]], code: int) -> Steps:
        """The same, but ``code`` in the open stretches given (a member set aside)."""
        if not stretches:
            return self
        times = sorted({*self.times, *(edge for stretch in stretches for edge in stretch)})

        def inside(start: int, end: int) -> bool:
            return any(a <= start and end <= b for a, b in stretches)

        at, after = [], []
        for i, time in enumerate(times):
            following = times[i + 1] if i + 1 < len(times) else NEVER
            at.append(code if any(a < time < b for a, b in stretches) else self.value(time))
            after.append(code if inside(time, following) else self._after(time))
        return tidy(times, at, after, self.before)

    def _after(self, instant: int) -> int:
        i = bisect_right(self.times, instant) - 1
        return self.after[i] if i >= 0 else self.before


ALWAYS = Steps((), (), (), TRUE)
NOT_KNOWN = Steps((), (), (), UNKNOWN)
NEVER_TRUE = Steps((), (), (), FALSE)


def tidy(times: Sequence[int], at: Sequence[int], after: Sequence[int], before: int) -> Steps:
    """Steps without the instants at which nothing changes."""
    keep_times, keep_at, keep_after = [], [], []
    last = before
    for time, here, following in zip(times, at, after, strict=True):
        if here != last or following != here:
            keep_times.append(time)
            keep_at.append(here)
            keep_after.append(following)
            last = following
    return Steps(tuple(keep_times), tuple(keep_at), tuple(keep_after), before)


def _joined(members: Sequence[Steps], *, all_of: bool) -> Steps:
    if len(members) == 1:
        return members[0]
    if sum(steps.changes for steps in members) > MANY:
        return _joined_many(members, FALSE if all_of else TRUE)
    decisive, neutral = (FALSE, TRUE) if all_of else (TRUE, FALSE)
    events = sorted((time, j, i) for j, steps in enumerate(members) for i, time in enumerate(steps.times))
    current = [steps.before for steps in members]
    counts = [current.count(code) for code in (FALSE, UNKNOWN, TRUE)]

    def outcome() -> int:
        if counts[decisive]:
            return decisive
        return UNKNOWN if counts[UNKNOWN] else neutral

    before = last = outcome()
    times: list[int] = []
    at: list[int] = []
    after: list[int] = []
    k = 0
    while k < len(events):
        time = events[k][0]
        stop = k
        while stop < len(events) and events[stop][0] == time:
            _, j, i = events[stop]
            counts[current[j]] -= 1
            current[j] = members[j].at[i]
            counts[current[j]] += 1
            stop += 1
        here = outcome()
        for _, j, i in events[k:stop]:
            counts[current[j]] -= 1
            current[j] = members[j].after[i]
            counts[current[j]] += 1
        following = outcome()
        if here != last or following != here:
            times.append(time)
            at.append(here)
            after.append(following)
        last = following
        k = stop
    return Steps(tuple(times), tuple(at), tuple(after), before)


def _joined_many(members: Sequence[Steps], decisive: int) -> Steps:
    """The same by a kernel, for conditions that change often (noise about a level)."""
    times, codes = (np.concatenate(parts) for parts in zip(*(steps.packed for steps in members), strict=True))
    offsets = np.array([0, *accumulate(steps.changes for steps in members)], np.int64)
    before = np.array([steps.before for steps in members], dtype=np.uint8)
    found, found_codes, start = logic.joined(times, codes, offsets, before, decisive)
    return Steps.of_arrays(found, found_codes, int(start))


def all_of(members: Iterable[Steps]) -> Steps:
    """True where all are; false where one is; else unknown. Of nothing: unknown (nothing to judge is never met)."""
    found = tuple(members)
    return _joined(found, all_of=True) if found else NOT_KNOWN


def any_of(members: Iterable[Steps]) -> Steps:
    """True where one is; false where all are; else unknown. Of nothing: unknown."""
    found = tuple(members)
    return _joined(found, all_of=False) if found else NOT_KNOWN


@light(frozen=True)
class When:
    """An instant that may be known only within bounds: earliest and latest (:data:`NEVER` where it may not have
    happened).

    ``notes`` say how it was found ('already so at its reference', 'inferred from the trace', 'by hand entry of …').
    ``until`` is the other end of a hand entry that covers a stretch.
    """

    earliest: int
    latest: int
    notes: tuple[str, ...] = ()
    until: tuple[int, int] | None = None
    beyond: bool = False  # a bound lies where the record does not reach (yet)

    @property
    def never(self) -> bool:
        """Surely did not happen."""
        return self.earliest >= NEVER

    def shifted(self, delay: int) -> When:
        """The same, later by ``delay``."""
        if not delay:
            return self
        return When(_later(self.earliest, delay), _later(self.latest, delay), self.notes, None, self.beyond)


def _later(instant: int, delay: int) -> int:
    return instant if instant >= NEVER else instant + delay


def first_stay(condition: Steps, after: When, stays: int, end: int, *, covers: bool) -> When:
    """First start, at or after ``after``, of a stay of ``stays`` ns in a condition, in a record that reaches to
    ``end``.

    Earliest: unknown counts as true, from the earliest reference; latest: unknown counts as false, from the latest
    one. If the record covers the whole run, a stay that its end cuts off may have been one: [t, never].
    """
    earliest = _first(condition, after.earliest, stays, end, (UNKNOWN, TRUE), cut_counts=True)
    latest = _first(condition, after.latest, stays, end, (TRUE,), cut_counts=False)
    beyond = after.beyond
    if not covers and latest >= NEVER:
        earliest = min(earliest, max(end, after.earliest))
        beyond = True
    notes = after_notes(condition, after, earliest, latest)
    return When(earliest, latest, notes, None, beyond)


def after_notes(condition: Steps, after: When, earliest: int, latest: int) -> tuple[str, ...]:
    """'already so' where the condition was true at the reference."""
    if (
        earliest == latest == after.latest < NEVER
        and after.earliest == after.latest
        and condition.value(after.latest) == TRUE
    ):
        before = condition._after(after.latest - 1)
        if before == TRUE:
            return ("already so at its reference",)
    return ()


def _first(condition: Steps, start: int, stays: int, end: int, codes: tuple[int, ...], *, cut_counts: bool) -> int:
    if start > end:
        return NEVER
    return condition.first_stretch(start, end, codes, stays, cut_counts=cut_counts)


def last_stay(condition: Steps, after: When, end: int, *, covers: bool) -> When:
    """From when on, at or after ``after``, a condition holds to the end of the record (for good)."""
    earliest = _last(condition, after.earliest, end, (UNKNOWN, TRUE))
    latest = _last(condition, after.latest, end, (TRUE,))
    if covers:
        return When(earliest, latest, after_notes(condition, after, earliest, latest), None, after.beyond)
    return When(min(earliest, max(end, after.earliest)), NEVER, (), None, beyond=True)


def _last(condition: Steps, start: int, end: int, codes: tuple[int, ...]) -> int:
    if start > end:
        return NEVER
    stretches = condition.stretches(start, end, codes)
    return stretches[-1][0] if stretches and stretches[-1][1] == end and condition.value(end) in codes else NEVER
