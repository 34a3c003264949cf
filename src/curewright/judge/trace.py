"""A trace: the good samples of one sensor, and which of the stretches between them are known.

Neighbouring good samples are joined if they are no further apart than the largest gap and no bad sample lies between
them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.blur import blurred, spliced
from curewright.judge.kernels import envelopes, even, extremes, groups, levels, slopes
from curewright.judge.steps import NEVER, NOT_KNOWN, TRUE, UNKNOWN, Steps, all_of
from curewright.terms.light import light, made_once

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.terms.run import Channel

AXES_KEPT = 8
OUTSIDE = -1.0
WHOLE = 2.0**52  # from here on every number is a whole one
_MILLISECONDS: dict[
    int, tuple[NDArray[np.int64], NDArray[np.int64]]
] = {}  # by identity of the instants, which it holds
_LINKS: dict[tuple[int, int], tuple[NDArray[np.int64], NDArray[np.uint8]]] = {}  # by identity of the instants and gap
_BREAKS: dict[int, tuple[NDArray[np.uint8], list[int]]] = {}  # by identity of the links
_EVEN_RUNS: dict[
    int, tuple[NDArray[np.uint8], NDArray[np.int64], tuple[NDArray[np.int64], NDArray[np.int64]]]
] = {}  # by identity of the links, which it holds with the instants
_BITS = np.array([1, 3], dtype=np.uint8)  # known at the instant; known also up to the next
JOINED, GAP, LOST = 0, 1, 2  # why a stretch is unknown: rows absent for longer than the largest gap, or a bad sample
Packed = tuple[
    "NDArray[np.int64]",
    "NDArray[np.float64]",
    "NDArray[np.uint8]",
    bool,
    "NDArray[np.float64]",
    "NDArray[np.float64]",
    "NDArray[np.uint8]",
]


@light(frozen=True)
class Extremes:
    """Least and greatest known value over a stretch, with their instants, and the first unknown stretch in it (None:
    none).
    """

    known: bool
    least: float
    least_at: int
    most: float
    most_at: int
    unknown: tuple[int, int] | None


@light(frozen=True, eq=False)
class Second:
    """A second recorder inside gaps of a trace: its own trace, the open stretches that it may fill, and the bound of its
    clock [ns]. ``channel`` is where its samples stand.
    """

    trace: Trace
    stretches: tuple[tuple[int, int], ...]
    plus_minus: int
    channel: Channel

    def over(self, start: int, end: int) -> list[tuple[int, int]]:
        """The parts of [start, end] that it may fill."""
        inner = [(max(a + 1, start), min(b - 1, end)) for a, b in self.stretches]
        return [(a, b) for a, b in inner if a <= b]

    def fills(self, start: int, end: int) -> bool:
        """Whether it is known somewhere in [start, end] where the trace is not."""
        known = blurred(self.trace.known(), self.plus_minus)
        return any(TRUE in known.over(a, b) for a, b in self.over(start, end))


@light(frozen=True, eq=False)
class Trace:
    """``t`` [ns], ``v`` [grains], ``link`` (JOINED, GAP or LOST to the next sample), ``hold`` for a state channel.

    ``lost_before`` / ``lost_after``: bad samples stand before the first or after the last good one. ``second`` speaks
    inside gaps where conditions, extremes and what is known are asked; the arrays are those of the first recorder alone.
    """

    name: str
    t: NDArray[np.int64]
    v: NDArray[np.float64]
    link: NDArray[np.uint8]
    hold: bool = False
    lost_before: bool = False
    lost_after: bool = False
    bridged: NDArray[np.bool_] | None = None
    second: Second | None = None

    @property
    def alone(self) -> Trace:
        """The trace without its second recorder, for what works on the samples themselves (windows, sums, differences)."""
        return self if self.second is None else replace(self, second=None)

    @made_once
    def window_link(self) -> NDArray[np.uint8]:
        """The links as a window sees them: no window reaches over samples that a live run has let go."""
        if self.bridged is None:
            return self.link
        return np.where(self.bridged, GAP, self.link).astype(np.uint8)

    @made_once
    def ms(self) -> NDArray[np.int64]:
        """The sample instants in whole milliseconds, made once for all traces that share them."""
        known = _MILLISECONDS.get(id(self.t))
        if known is None or known[0] is not self.t:
            if len(_MILLISECONDS) > AXES_KEPT:
                _MILLISECONDS.clear()
            known = _MILLISECONDS[id(self.t)] = (self.t, slopes.milliseconds(self.t))
        return known[1]

    @made_once
    def bridges(self) -> NDArray[np.uint8]:
        """``bridged`` as a kernel takes it."""
        return np.zeros(len(self.t), np.uint8) if self.bridged is None else self.bridged.view(np.uint8)

    @made_once
    def span(self) -> float:
        """Greatest less least value; 0 where there is none."""
        _, _, _, _, low, high, _ = self.packed
        return float(high.max() - low.min()) if len(low) else 0.0

    @made_once
    def even_runs(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """First and last sample of each long run at one step; none, where values are not whole numbers."""
        link = self.window_link
        known = _EVEN_RUNS.get(id(link))
        if known is None or known[0] is not link or known[1] is not self.t:
            if len(_EVEN_RUNS) > AXES_KEPT:
                _EVEN_RUNS.clear()
            known = _EVEN_RUNS[id(link)] = (link, self.t, even.even_runs(self.t, link))
        firsts, lasts = known[2]
        return (firsts, lasts) if even.all_whole(self.v) else (firsts[:0], lasts[:0])

    @made_once
    def packed(self) -> Packed:
        """The arrays that a kernel takes, with the extremes of each block."""
        low, high, broken = levels.summarise(self.v, self.link)
        return (self.t, self.v, self.link, self.hold, low, high, broken)

    @made_once
    def addresses(self) -> NDArray[np.int64]:
        """Where its arrays lie, as a row that :mod:`~curewright.judge.kernels.groups` takes; they are held by ``packed``."""
        return groups.addresses(*self.packed)

    @made_once
    def _levels(self) -> dict[tuple[float, bool], Steps]:
        return {}

    def levels_asked(self) -> dict[tuple[float, bool], Steps]:
        """Every level that was asked of this trace so far, with the answer."""
        return self._levels

    def at_least(self, level: float) -> Steps:
        """Where the trace is at or above a level."""
        return self._reaches(level, strict=False)

    def above(self, level: float) -> Steps:
        """Where the trace is above a level."""
        return self._reaches(level, strict=True)

    def at_most(self, level: float) -> Steps:
        """Where the trace is at or below a level."""
        return self._reaches(level, strict=True).inverted()

    def below(self, level: float) -> Steps:
        """Where the trace is below a level."""
        return self._reaches(level, strict=False).inverted()

    def between(self, low: float, high: float, *, above: bool, below: bool) -> Steps:
        """Where the trace is at or above (above) one level and at or below (below) another."""
        if self.second is not None:
            parts = (self._reaches(low, strict=above), self._reaches(high, strict=not below).inverted())
            return all_of(parts)
        found = groups.within_changes(self.addresses, low, above, high, below)
        times, codes, first, all_times, all_codes, before = found
        self._levels.setdefault((low, above), Steps.of_arrays(times[:first], codes[:first], UNKNOWN))
        self._levels.setdefault((high, not below), Steps.of_arrays(times[first:], codes[first:], UNKNOWN))
        return Steps.of_arrays(all_times, all_codes, int(before))

    def _reaches(self, level: float, *, strict: bool) -> Steps:
        found = self._levels.get((level, strict))
        if found is None:
            found = Steps.of_arrays(*levels.level_changes(*self.packed, level, strict), UNKNOWN)
            if self.second is not None:
                own = blurred(self.second.trace._reaches(level, strict=strict), self.second.plus_minus)
                found = spliced(found, own, self.second.stretches)
            self._levels[(level, strict)] = found
        return found

    @made_once
    def _extremes(self) -> dict[tuple[int, int], Extremes]:
        return {}

    def extremes(self, start: int, end: int) -> Extremes:
        """Extremes over the closed stretch [start, end]."""
        found = self._extremes.get((start, end))
        if found is None:
            known, least, least_at, most, most_at, begin, finish = extremes.extremes(*self.packed, start, end)
            instants = int(least_at), int(most_at)
            found = Extremes(known, least, instants[0], most, instants[1], clipped(begin, finish, start, end))
            if self.second is not None:
                found = self._with_second(found, self.second, start, end)
            self._extremes[(start, end)] = found
        return found

    def extremes_asked(self) -> dict[tuple[int, int], Extremes]:
        """Every stretch whose extremes were asked of this trace so far, with the answer."""
        return self._extremes

    def _with_second(self, found: Extremes, second: Second, start: int, end: int) -> Extremes:
        """Also what the second recorder may have shown there, its clock's bound to both sides; it may be a little too much."""
        parts = [found] if found.known else []
        for a, b in second.over(start, end):
            parts.append(second.trace.extremes(a - second.plus_minus, b + second.plus_minus))
        known = [part for part in parts if part.known]
        if not known:
            return found
        least = min(known, key=lambda part: (part.least, part.least_at))
        most = max(known, key=lambda part: (part.most, -part.most_at))
        first = next(((a, b) for a, b, _ in self.unknown_stretches(start, end)), None)
        return Extremes(True, least.least, least.least_at, most.most, most.most_at, first)

    def value(self, instant: int) -> float | None:
        """The value at an instant, None where it is not known (nor is it where only a second recorder was there)."""
        i, share = self._places.get(instant) or self._place_of(instant)
        if share == 0.0:
            return float(self.v[i])
        if share < 0.0 or self.link[i] != JOINED:
            return None
        before = float(self.v[i])
        return before if self.hold else snapped(before + (float(self.v[i + 1]) - before) * share)

    def _place_of(self, instant: int) -> tuple[int, float]:
        """Between which sample and the next an instant lies, and how far along (0 at the sample itself, -1 outside all of them)."""
        i = int(self.t.searchsorted(instant, side="right")) - 1
        share = OUTSIDE
        if i >= 0:
            here = int(self.t[i])
            if here == instant:
                share = 0.0
            elif i + 1 < len(self.t):
                share = (instant - here) / (int(self.t[i + 1]) - here)
        self._places[instant] = i, share
        return i, share

    @made_once
    def _places(self) -> dict[int, tuple[int, float]]:
        """Where instants lie among the samples."""
        return {}

    def sharing_places(self, places: dict[int, tuple[int, float]]) -> Trace:
        """This trace, new as it is, with where instants lie as another one with the very same instants has it."""
        self.__dict__["_places"] = places
        return self

    def spans(self, start: int, end: int) -> bool:
        """Whether its samples reach over a stretch."""
        return self._ends[0] <= start and end <= self._ends[1]

    @made_once
    def _ends(self) -> tuple[int, int]:
        return (int(self.t[0]), int(self.t[-1])) if len(self.t) else (NEVER, -NEVER)

    def known(self) -> Steps:
        """Where the trace is known."""
        return self._known

    @made_once
    def _known(self) -> Steps:
        if self.second is not None:
            own = blurred(self.second.trace.known(), self.second.plus_minus)
            return spliced(self.alone.known(), own, self.second.stretches)
        if not len(self.t):
            return NOT_KNOWN
        edges = [int(self.t[0])]
        codes = [TRUE]
        for i in self.breaks:
            edges += [int(self.t[i]), int(self.t[i + 1])]
            codes += [1, TRUE]
        edges.append(int(self.t[-1]))
        codes.append(1)
        times: list[int] = []
        after: list[int] = []
        for edge, code in zip(edges, codes, strict=True):
            if times and times[-1] == edge:
                after[-1] = code
            else:
                times.append(edge)
                after.append(code)
        return Steps(tuple(times), (TRUE,) * len(times), tuple(after), 1)

    @made_once
    def ever_lost(self) -> bool:
        """Whether bad samples interrupt or end it."""
        return self.lost_after or bool((self.link == LOST).any())

    @made_once
    def less(self) -> dict[int, tuple[Trace, Trace]]:
        """What :func:`difference` made of it and others, with those."""
        return {}

    @made_once
    def outermost_of(self) -> dict[tuple[object, ...], tuple[NDArray[np.float64], tuple[Trace, ...]]]:
        """What :func:`outermost` made of it and others."""
        return {}

    @made_once
    def breaks(self) -> list[int]:
        """The samples after which the trace is not known."""
        link = self.link
        known = _BREAKS.get(id(link))
        if known is None or known[0] is not link:
            if len(_BREAKS) > AXES_KEPT:
                _BREAKS.clear()
            known = _BREAKS[id(link)] = (link, np.flatnonzero(link[:-1] != JOINED).tolist())
        return known[1]

    def unknown_stretches(self, start: int, end: int) -> list[tuple[int, int, int]]:
        """(from, to, why) of all open stretches inside [start, end] that are not known; why is GAP or LOST."""
        if self.second is not None:
            known = self.known()
            return [
                (a, b, why)
                for begin, finish, why in self.alone.unknown_stretches(start, end)
                for a, b in known.stretches(begin, finish, (UNKNOWN,))
                if a < b
            ]
        found: list[tuple[int, int, int]] = []
        if not len(self.t):
            return [(start, end, LOST if self.lost_after else GAP)]
        if start < self.t[0]:
            found.append((start, min(int(self.t[0]), end), LOST if self.lost_before else GAP))
        for i in self.breaks:
            a, b = int(self.t[i]), int(self.t[i + 1])
            if a < end and b > start:
                found.append((max(a, start), min(b, end), int(self.link[i])))
        if end > self.t[-1]:
            found.append((max(int(self.t[-1]), start), end, LOST if self.lost_after else GAP))
        return [stretch for stretch in found if stretch[0] < stretch[1] or start == end]

    def mapped(self, sign: float, shift: float) -> Trace:
        """The trace in another reference: sign * v + shift (a vacuum is a negative gauge pressure)."""
        if sign == 1.0 and shift == 0.0:
            return self
        second = self.second and replace(self.second, trace=self.second.trace.mapped(sign, shift))
        v = sign * self.v
        v += shift
        made = replace(self, v=v, second=second)
        t, _, link, hold, low, high, broken = self.packed
        ends = (low, high) if sign > 0 else (high, low)
        made.__dict__["packed"] = (t, made.v, link, hold, *(sign * end + shift for end in ends), broken)
        return made.sharing_places(self._places)

    def as_held(self) -> Trace:
        """The same samples read as steps, for the reading 'first sample in band' beside 'exact crossing'."""
        second = self.second and replace(self.second, trace=self.second.trace.as_held())
        made = replace(self, hold=True, second=second)
        t, v, link, _, *blocks = self.packed
        made.__dict__["packed"] = (t, v, link, True, *blocks)
        return made.sharing_places(self._places)

    def unheard(self, stretches: Sequence[tuple[int, int]]) -> Trace:
        """The trace with the links cut that reach from a sample outside a stretch to one inside it: what is set aside has
        no say outside its stretch either.
        """
        second = self.second
        if second is not None and any(a < end and start < b for start, end in stretches for a, b in second.stretches):
            return self.alone.unheard(stretches)
        link = self.link.copy()
        for start, end in stretches:
            inside = (self.t > start) & (self.t < end)
            link[:-1][inside[:-1] != inside[1:]] = LOST
        return self if (link == self.link).all() else replace(self, link=link)

    def without(self, stretches: Sequence[tuple[int, int]]) -> Trace:
        """The trace with the links across or inside the given stretches cut (set aside)."""
        if self.second is not None:
            return self.alone.without(stretches)
        link = self.link.copy()
        keep = np.ones(len(self.t), dtype=bool)
        for start, end in stretches:
            inside = (self.t > start) & (self.t < end)
            keep &= ~inside
            link[:-1][(self.t[:-1] < end) & (self.t[1:] > start)] = LOST
        if keep.all():
            return replace(self, link=link)
        return _kept(self, keep, link)


def _kept(trace: Trace, keep: NDArray[np.bool_], link: NDArray[np.uint8]) -> Trace:
    kept = np.flatnonzero(keep)
    new_link = link[kept].copy()
    skipped = np.diff(kept) > 1
    new_link[:-1][skipped] = LOST
    bridged = None if trace.bridged is None else trace.bridged[kept]
    return replace(trace, t=trace.t[kept], v=trace.v[kept], link=new_link, bridged=bridged)


def trace_of(name: str, pieces: Sequence[tuple[Channel, int, int]], largest_gap: int, *, raw: bool = False) -> Trace:
    """The trace of a sensor from the pieces of channels that the sensor map names, over [from, to) each.

    Nothing is joined across two pieces (a re-plugging is a change of channel).
    """
    if len(pieces) == 1 and _covers(pieces[0]):
        return _from_channel(name, pieces[0][0], largest_gap, raw=raw)
    parts = [
        _from_channel(name, _cut(channel, start, end), largest_gap, raw=raw)
        for channel, start, end in sorted(pieces, key=lambda p: p[1])
    ]
    t = np.concatenate([part.t for part in parts])
    v = np.concatenate([part.v for part in parts])
    link = np.concatenate([part.link for part in parts])
    bridges = [np.zeros(len(part.t), dtype=bool) if part.bridged is None else part.bridged for part in parts]
    bridged = None if all(part.bridged is None for part in parts) else np.concatenate(bridges)
    filled = [part for part in parts if len(part.t)]
    lost = filled[-1].lost_after if filled else any(part.lost_after for part in parts)
    return Trace(name, t, v, link, parts[0].hold, bool(filled and filled[0].lost_before), lost, bridged)


def _covers(piece: tuple[Channel, int, int]) -> bool:
    channel, start, end = piece
    return not len(channel.t) or (start <= channel.t[0] and end > channel.t[-1])


def _cut(channel: Channel, start: int, end: int) -> Channel:
    first, last = np.searchsorted(channel.t, [start, end])
    cut = slice(int(first), int(last))
    bridged = None if channel.bridged is None else channel.bridged[cut]
    arrays = {name: getattr(channel, name)[cut] for name in ("t", "v", "bad", "raw", "row")}
    return replace(channel, bridged=bridged, **arrays)


def _from_channel(name: str, channel: Channel, largest_gap: int, *, raw: bool) -> Trace:
    values = channel.raw if raw else channel.v
    hold = channel.kind == "state"
    if not channel.bad.any():
        link = _link_over(channel.t, largest_gap)
        if channel.bridged is not None:
            link = link.copy()
            link[channel.bridged] = JOINED
        t, v = np.ascontiguousarray(channel.t), np.ascontiguousarray(values)
        return Trace(name, t, v, link, hold, bridged=channel.bridged)
    return _from_partly_bad(name, channel, values, largest_gap)


def _link_over(t: NDArray[np.int64], largest_gap: int) -> NDArray[np.uint8]:
    """The links of good samples, made once for all channels that share their instants."""
    known = _LINKS.get((id(t), largest_gap))
    if known is None or known[0] is not t:
        if len(_LINKS) > AXES_KEPT:
            _LINKS.clear()
        link = np.zeros(len(t), np.uint8)
        link[:-1] = np.diff(t) > largest_gap
        if len(link):
            link[-1] = GAP
        known = _LINKS[(id(t), largest_gap)] = (t, link)
    return known[1]


def _from_partly_bad(name: str, channel: Channel, values: NDArray[np.float64], largest_gap: int) -> Trace:
    kept = np.flatnonzero(~channel.bad)
    hold = channel.kind == "state"
    t = channel.t[kept]
    link = np.full(len(kept), GAP, np.uint8)
    if not len(kept):
        return Trace(name, t, values[kept], link, hold, True, True)
    link[:-1] = np.where(np.diff(kept) > 1, LOST, (np.diff(t) > largest_gap).astype(np.uint8))
    bridged = None
    if channel.bridged is not None:
        bridged = channel.bridged[kept] & (link != LOST)
        link[bridged] = JOINED
    before, after = bool(kept[0] > 0), bool(kept[-1] < len(channel.t) - 1)
    return Trace(name, t, values[kept], link, hold, before, after, bridged)


def clipped(begin: int, finish: int, start: int, end: int) -> tuple[int, int] | None:
    """An unknown stretch as far as it lies in another one; None for one that never begins."""
    return (max(begin, start), min(finish, end)) if begin < NEVER else None


def snapped(value: float) -> float:
    """A value at a whole grain, half to even."""
    return float(round(value)) if -WHOLE < value < WHOLE else value


def union_axis(traces: Sequence[Trace]) -> NDArray[np.int64]:
    """All sample instants of several traces; a held trace also counts just before each sample, where it still has its
    old value.
    """
    if all(trace.t is traces[0].t for trace in traces) and not any(trace.hold for trace in traces):
        return traces[0].t
    different = {id(trace.t): trace.t for trace in traces}
    axes = [*different.values(), *(trace.t[1:] - 1 for trace in traces if trace.hold)]
    merged = np.sort(np.concatenate(axes), kind="stable")
    if not len(merged):
        return merged
    once = merged[np.append(True, merged[1:] != merged[:-1])]
    return _outside_bridges(once, traces)


def _outside_bridges(axis: NDArray[np.int64], traces: Sequence[Trace]) -> NDArray[np.int64]:
    """The instants at which no trace has let go of its samples: inside a bridge a value is not to be had."""
    keep = np.ones(len(axis), dtype=bool)
    for trace in traces:
        if trace.bridged is not None:
            index = np.searchsorted(trace.t, axis, side="right") - 1
            there = index >= 0
            keep[there] &= ~trace.bridged[index[there]] | (trace.t[index[there]] == axis[there])
    return axis[keep]


def on_axis(traces: Sequence[Trace], axis: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """Values of several traces on a common axis, shape (members, instants), and state bits (known here, known up to the
    next).
    """
    values = np.empty((len(traces), len(axis)))
    state = np.full(len(axis), 3, np.uint8)
    for j, trace in enumerate(traces):
        if axis is trace.t:
            values[j] = trace.v
            state &= _BITS[(trace.link == JOINED).view(np.uint8)]
            continue
        values[j], bits = envelopes.resample(trace.t, trace.v, trace.link, trace.hold, axis)
        state &= bits
    return values, state


def derived(
    name: str, axis: NDArray[np.int64], values: NDArray[np.float64], state: NDArray[np.uint8], *, lost: bool
) -> Trace:
    """A trace computed from several on a common axis: known only where all of them are."""
    kept = np.flatnonzero(state & 1)
    link = np.full(len(kept), LOST if lost else GAP, np.uint8)
    if len(kept):
        whole = (np.diff(kept) == 1) & ((state[kept[:-1]] & 2) != 0)
        link[:-1] = np.where(whole, JOINED, link[:-1])
    return Trace(name, np.ascontiguousarray(axis[kept]), np.ascontiguousarray(values[kept]), link, False, lost, lost)


def with_bridges(trace: Trace, sources: Sequence[Trace]) -> Trace:
    """A derived trace with the bridges of the traces that it was made of."""
    if all(source.bridged is None for source in sources):
        return trace
    return replace(trace, bridged=bridged_on(sources, trace.t))


def bridged_on(sources: Sequence[Trace], axis: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether, between each instant of an axis and the next, one of several traces has let go of samples."""
    bridged = np.zeros(len(axis), dtype=bool)
    following = np.append(axis[1:], axis[-1:])
    for source in sources:
        if source.bridged is not None:
            before = np.concatenate([[0], np.cumsum(source.bridged)])
            first = np.maximum(np.searchsorted(source.t, axis, side="right") - 1, 0)
            last = np.searchsorted(source.t, following, side="left")
            bridged |= before[last] > before[first]
    bridged[-1:] = False
    return bridged


def combined(
    name: str, traces: Sequence[Trace], weights: Sequence[float], axis: NDArray[np.int64] | None = None
) -> Trace:
    """A linear combination of traces, snapped to whole grains at every instant of their common axis; in gaps that all have, of
    what one second recorder shows there.
    """
    seconds = _speaking_together(traces)
    if seconds:
        own = combined(name, [second.trace for second in seconds], weights)
        alone = combined(name, [trace.alone for trace in traces], weights, axis)
        return replace(alone, second=replace(seconds[0], trace=own))
    axis = union_axis(traces) if axis is None else axis
    if all(trace.t is axis and not trace.breaks for trace in traces) and len(axis):
        whole = sum((weight * trace.v for weight, trace in zip(weights, traces, strict=True)), np.zeros(len(axis)))
        return with_bridges(Trace(name, axis, np.rint(whole), traces[0].link), traces)
    values, state = on_axis(traces, axis)
    summed = np.rint(sum((weight * row for weight, row in zip(weights, values, strict=True)), np.zeros(len(axis))))
    lost = any(trace.ever_lost for trace in traces)
    return with_bridges(derived(name, axis, summed, state, lost=lost), traces)


def _speaking_together(traces: Sequence[Trace]) -> list[Second]:
    """The second recorders of traces, where all of them are one recorder in the same gaps; else none."""
    seconds = [trace.second for trace in traces if trace.second is not None]
    if len(seconds) < len(traces):
        return []
    alike = {(second.channel.recorder, second.plus_minus, second.stretches) for second in seconds}
    return seconds if len(alike) == 1 else []


def difference(name: str, first: Trace, second: Trace) -> Trace:
    """One trace less another, snapped to whole grains at every instant of both; made once for the same two."""
    turned = id(first) > id(second)  # kept with one of the two only, so that they do not hold each other
    one, other = (second, first) if turned else (first, second)
    known = one.less.get(id(other))
    if known is None:
        known = one.less[id(other)] = (_difference(name, one, other), other)
    return renamed(known[0].mapped(-1.0, 0.0) if turned else known[0], name)


def renamed(trace: Trace, name: str) -> Trace:
    """The same trace under another name, with the extremes of its blocks."""
    made = replace(trace, name=name)
    made.__dict__["packed"] = trace.packed
    return made


def _difference(name: str, first: Trace, second: Trace) -> Trace:
    spoken_for = first.second is not None and second.second is not None
    if first.hold or second.hold or spoken_for or not (len(first.t) and len(second.t)):
        return combined(name, (first, second), (1.0, -1.0))
    bridges = not (first.bridged is None and second.bridged is None)
    lost = first.ever_lost or second.ever_lost
    alike = first.link is second.link or not (first.breaks or second.breaks)
    if not bridges and first.t is second.t and alike and not (lost and first.breaks):
        v = first.v - second.v
        return Trace(name, first.t, np.rint(v, out=v), first.link)
    arrays = ((one.t, one.v, one.link, one.bridges) for one in (first, second))
    t, v, link, bridged = envelopes.difference(*next(arrays), *next(arrays), LOST if lost else GAP)
    return Trace(name, t, v, link, False, lost, lost, bridged.view(bool) if bridges else None)


def together(traces: Sequence[Trace]) -> bool:
    """Whether traces are sampled at the same instants, linear, and known throughout."""
    t = traces[0].t
    return len(t) > 0 and all(trace.t is t and not trace.hold and not trace.breaks for trace in traces)


def outermost(traces: Sequence[Trace], *, greatest: bool) -> NDArray[np.float64]:
    """The greatest (least) value at each sample of traces that are sampled together; made once for the same ones."""
    key = (greatest, *map(id, traces))
    known = traces[0].outermost_of.get(key)
    if known is None:
        pick = np.maximum if greatest else np.minimum
        found = traces[0].v
        if len(traces) > 1:
            found = pick(found, traces[1].v)
            for trace in traces[2:]:
                pick(found, trace.v, out=found)
        known = traces[0].outermost_of[key] = (found, tuple(traces[1:]))
    return known[0]


def lost_at_its_end(t: NDArray[np.int64]) -> NDArray[np.uint8]:
    """The links of a trace that is known throughout and lost after its last sample, made once for all that share their instants."""
    known = _LINKS.get((id(t), -1))
    if known is None or known[0] is not t:
        link = np.zeros(len(t), np.uint8)
        link[-1] = LOST
        known = _LINKS[(id(t), -1)] = (t, link)
    return known[1]
