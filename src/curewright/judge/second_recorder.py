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
    from curewright.judge.result import Result
    from curewright.judge.scene import Hall, Member, Scene
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import SecondRecorder
    from curewright.terms.run import Channel


def seconds_of(hall: Hall) -> dict[str, tuple[Channel, int]]:
    """By the name of the first recorder's channel: the second one's, and the bound of its clock [ns].

    A recorder whose clock is not known, or whose calibration was out of date on the day of the run, speaks for nothing.
    """
    if ("seconds",) not in hall.kept:
        clocks = {one.recorder: one.clock for one in hall.run.recordings if one.clock is not None}
        overdue = {
            recorder.name
            for recorder in hall.vessel.recorders
            if recorder.calibration is not None and recorder.calibration.due < hall.run.start.date()
        }
        hall.kept[("seconds",)] = {
            channel.second_of: (channel, clock.plus_minus)
            for channel in hall.run.channels.values()
            if channel.second_of and (clock := clocks.get(channel.recorder)) and channel.recorder not in overdue
        }
    return hall.kept[("seconds",)]  # type: ignore[return-value]


def with_second(scene: Scene, member: Member, trace: Trace, *, raw: bool) -> Trace:
    """The trace of a sensor with its second recorder in the gaps; the same trace where there is none or it may not."""
    rule = scene.specification.second_recorder
    if not (scene.options.second and rule.allowed):
        return trace
    seconds = seconds_of(scene.hall)
    if not any(channel.name in seconds for channel, _, _ in member.pieces):
        return trace
    key = ("second", id(trace), rule, raw)
    if key not in scene.hall.traces:
        scene.hall.traces[key] = _with_second(scene, member, trace, rule, raw=raw)
    found = scene.hall.traces[key]
    if found.second is not None:
        scene.hall.kept[("second used", id(scene.specification))] = True
    return found


def _with_second(scene: Scene, member: Member, trace: Trace, rule: SecondRecorder, *, raw: bool) -> Trace:
    gap = scene.specification.largest_gap
    stretches = _may_fill(trace, scene.end, rule, gap)
    if not stretches or member.channel.kind == "state":
        return trace
    seconds = seconds_of(scene.hall)
    found = [(*seconds[channel.name], start, end) for channel, start, end in member.pieces if channel.name in seconds]
    bound = max(by for _, by, _, _ in found)
    pieces = [(channel, _inward(start, bound), _inward(end, -bound)) for channel, _, start, end in found]
    own = trace_of(member.name, pieces, gap, raw=raw)
    reference = member.channel.reference
    if any(channel.reference != reference for channel, _, _ in pieces):
        sign, shift = scene.change_of_reference(pieces[0][0].reference or "", reference or "", member.name)
        own = own.mapped(sign, shift)
    return replace(trace, second=Second(own.as_held() if trace.hold else own, stretches, bound, pieces[0][0]))


def _inward(edge: int, by: int) -> int:
    return edge if abs(edge) >= ALWAYS else edge + by


def _may_fill(trace: Trace, end: int, rule: SecondRecorder, largest_gap: int) -> tuple[tuple[int, int], ...]:
    """The first recorder's gaps that may be filled, as open stretches [ns]; the ends of the record belong to them."""
    left = rule.in_all
    found = []
    for start, finish, why in trace.unknown_stretches(0, end):
        length = finish - start
        if why != GAP or length <= largest_gap or (rule.at_a_time is not None and length > rule.at_a_time):
            continue
        if left is not None:
            if length > left:
                continue
            left -= length
        from_start = start == 0 and not (len(trace.t) and trace.t[0] <= 0)
        to_end = finish == end and not (len(trace.t) and trace.t[-1] >= end)
        found.append((start - 1 if from_start else start, finish + 1 if to_end else finish))
    return tuple(found)


def second_used(scene: Scene) -> bool:
    """Whether a second recorder fills a gap anywhere under this specification."""
    return ("second used", id(scene.specification)) in scene.hall.kept


def second_notes(result: Result) -> tuple[str, ...]:
    """Which sensors of a result a second recorder speaks for inside its phase, and how well its clock is known."""
    phase = result.phase
    if phase is None or phase.earliest_start is None:
        return ()
    end = ALWAYS if phase.latest_end is None else phase.latest_end
    by_recorder: dict[tuple[str, int], list[str]] = {}
    for atom in result.atoms:
        second = atom.trace.second
        if second is not None and second.fills(phase.earliest_start, end):
            by_recorder.setdefault((second.channel.recorder, second.plus_minus), []).append(atom.label)
    return tuple(
        f"the recorder {recorder} (its clock known to ± {seconds_text(bound)}) speaks for {', '.join(names)} in gaps of the first one"
        for (recorder, bound), names in by_recorder.items()
    )


def seconds_text(ns: int) -> str:
    """A length of time in seconds, as printed."""
    return f"{ns / 1e9:.1f} s"
