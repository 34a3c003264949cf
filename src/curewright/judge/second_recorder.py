"""What a second recorder may do: speak for a sensor inside the gaps of the first one, as far as the specification allows.

Two recorders are never interleaved. Inside a gap the second one's own samples count, joined among themselves only, with the
bound of its clock on every instant; outside, and wherever the first one has a bad sample, it counts nowhere. A gap that is longer
than allowed at a time is not filled; gaps are filled in the order of time until the allowed total is used up.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.trace import GAP, Second, trace_of
from curewright.terms.load import ALWAYS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from curewright.judge.trace import Trace
    from curewright.terms.load import Vessel
    from curewright.terms.requirement import Specification
    from curewright.terms.run import Channel, Run

    Seconds = Mapping[str, tuple[Channel, int]]
    Pieces = Sequence[tuple[Channel, int, int]]


def seconds_of(run: Run, vessel: Vessel) -> Seconds:
    """By the name of the first recorder's channel: the second one's, and the bound of its clock [ns].

    A recorder whose clock is not known, or whose calibration was out of date on the day of the run, speaks for nothing.
    """
    clocks = {one.recorder: one.clock for one in run.recordings if one.clock is not None}
    overdue = {
        recorder.name
        for recorder in vessel.recorders
        if recorder.calibration is not None and recorder.calibration.due < run.start.date()
    }
    return {
        channel.second_of: (channel, clock.plus_minus)
        for channel in run.channels.values()
        if channel.second_of and (clock := clocks.get(channel.recorder)) and channel.recorder not in overdue
    }


def filled(trace: Trace, pieces: Pieces, seconds: Seconds, paper: Specification, end: int, *, raw: bool) -> Trace:
    """The trace of a sensor with its second recorder in the gaps that the paper allows; the same trace where there are none.

    The second recorder's values are in the pressure reference of its own channel.
    """
    stretches = _may_fill(trace, end, paper)
    found = [(*seconds[channel.name], start, finish) for channel, start, finish in pieces if channel.name in seconds]
    if not stretches or not found or pieces[0][0].kind == "state":
        return trace
    bound = max(by for _, by, _, _ in found)
    cut = [(channel, _inward(start, bound), _inward(finish, -bound)) for channel, _, start, finish in found]
    own = trace_of(trace.name, cut, paper.largest_gap, raw=raw)
    return replace(trace, second=Second(own.as_held() if trace.hold else own, stretches, bound, cut[0][0]))


def _inward(edge: int, by: int) -> int:
    return edge if abs(edge) >= ALWAYS else edge + by


def _may_fill(trace: Trace, end: int, paper: Specification) -> tuple[tuple[int, int], ...]:
    """The first recorder's gaps that may be filled, as open stretches [ns]; the ends of the record belong to them."""
    rule = paper.second_recorder
    left = rule.in_all
    found = []
    for start, finish, why in trace.unknown_stretches(0, end):
        length = finish - start
        if why != GAP or length <= paper.largest_gap or (rule.at_a_time is not None and length > rule.at_a_time):
            continue
        if left is not None:
            if length > left:
                continue
            left -= length
        from_start = start == 0 and not (len(trace.t) and trace.t[0] <= 0)
        to_end = finish == end and not (len(trace.t) and trace.t[-1] >= end)
        found.append((start - 1 if from_start else start, finish + 1 if to_end else finish))
    return tuple(found)
