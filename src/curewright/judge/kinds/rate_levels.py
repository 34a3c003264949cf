"""Rates between two instants: from the first of one level to the first of another after it, and over a whole phase.

Both return the least and greatest rate that the bounds of the instants allow, each with the later instant, and
whether the rate surely exists; or a sentence that says why there is none. The signal is asked itself, not its samples:
the coldest of several turns between samples as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.steps import NEVER, When, first_stay

if TYPE_CHECKING:
    from curewright.judge.envelope import Envelope
    from curewright.judge.events import Stretch
    from curewright.terms.requirement import RateDefinition

Found = tuple[tuple[float, int], tuple[float, int], bool] | str


def between_levels(signal: Envelope, definition: RateDefinition, stretch: Stretch) -> Found:
    """(second - first level) / (time between), the first reached in the phase and the second first reached after it, in
    the phase.
    """
    assert definition.first_level is not None
    assert definition.second_level is not None
    first_level, second_level = definition.first_level.grains, definition.second_level.grains
    rising = second_level > first_level
    conditions = [signal.at_least(level) if rising else signal.at_most(level) for level in (first_level, second_level)]
    end, covers = stretch.record_end, stretch.covers
    first = first_stay(conditions[0], stretch.start, 0, end, covers=covers)
    second = first_stay(conditions[1], first, 0, end, covers=covers)
    if first.earliest >= NEVER or second.earliest > min(stretch.end.latest, end):
        return "the two levels are not reached in the phase"
    if second.latest >= NEVER:
        return "the two levels are not known to be reached"
    shortest, longest = second.earliest - first.latest, second.latest - first.earliest
    if shortest <= 0:
        return "the levels are not known to be apart"
    rise = (second_level - first_level) / 1000.0
    sure = second.latest <= stretch.end.earliest and (
        first.earliest == first.latest and second.earliest == second.latest
    )
    return (rise / (longest / 6e10), second.latest), (rise / (shortest / 6e10), second.earliest), sure


def whole_phase(signal: Envelope, stretch: Stretch) -> Found:
    """(value at the end - value at the start) / length of the phase; one that never ends lasts to the end of the record."""
    ends = When(stretch.record_end, stretch.record_end) if stretch.end.never and stretch.covers else stretch.end
    if not (_exact(stretch.start) and _exact(ends)) or ends.latest > stretch.record_end:
        return "the ends of the phase are not known exactly"
    start, end = stretch.start.latest, ends.latest
    before, after = signal.value(start), signal.value(end)
    if before is None or after is None or end <= start:
        return "the values at the ends of the phase are not known"
    rate = (after.value - before.value) / 1000.0 / ((end - start) / 6e10)
    return (rate, end), (rate, end), True


def _exact(event: When) -> bool:
    return event.earliest == event.latest < NEVER
