"""Signals as envelopes of linear traces: the coldest is the least, the hottest the greatest of several.

So a level is reached by the coldest when all have reached it, and by the hottest when one has: crossings are found
exactly, sensor by sensor. A spread is the greatest of all differences of two; a difference of two signals is the
envelope of the differences of their traces.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.kernels import crests, envelopes, groups
from curewright.judge.steps import FALSE, NEVER, TRUE, UNKNOWN, Steps, all_of, any_of
from curewright.judge.trace import (
    GAP,
    JOINED,
    Extremes,
    Trace,
    bridged_on,
    clipped,
    combined,
    derived,
    difference,
    lost_at_its_end,
    on_axis,
    outermost,
    together,
    union_axis,
    with_bridges,
)
from curewright.terms.light import light, made_once

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.limits import Pair
    from curewright.judge.scene import Member
    from curewright.terms.verdict import SetAside

ONE, LEAST, GREATEST = "one", "least", "greatest"
CLEAR = 3.0  # grains: more than all that rounding can do to a value, and a grain that a sum may lie beside a limit


@light(frozen=True, eq=False)
class Atom:
    """One linear trace of an envelope: its label, the sensors in it, and the stretches over which it is set aside."""

    label: str
    trace: Trace
    members: tuple[Member, ...]
    aside: tuple[tuple[int, int], ...] = ()


@light(frozen=True)
class Extreme:
    """A known value with its instant and the label of the trace it is on."""

    value: float
    at: int
    label: str


@light(frozen=True, eq=False)
class Envelope:
    """``kind`` one, least or greatest of ``atoms``; ``aside`` says what was left out and why; ``cuts`` are changes of
    membership.

    ``less``: the atoms are the differences of each of ``sensors`` and each of these. They are made only where the crest
    does not answer: the greatest of all differences is greatest sensor less least one; it is convex between samples, so
    its samples bound it.
    """

    kind: str
    sensors: tuple[Atom, ...]
    aside: tuple[SetAside, ...] = ()
    cuts: tuple[int, ...] = ()
    less: tuple[Atom, ...] = ()

    @made_once
    def atoms(self) -> tuple[Atom, ...]:
        """The linear traces that the envelope is the least or greatest of."""
        return pairs_of(self.sensors, self.less) if self.less else self.sensors

    @made_once
    def alone(self) -> Atom | None:
        """The one trace that it is, where nothing of it is set aside; None where it is of several."""
        return self.sensors[0] if len(self.sensors) == 1 and not (self.less or self.sensors[0].aside) else None

    @made_once
    def derived(self) -> bool:
        """Whether its values are sums or differences of readings."""
        return bool(self.less) or any(len(atom.members) > 1 for atom in self.sensors)

    @made_once
    def any_aside(self) -> bool:
        """Whether anything of it is set aside at any time."""
        return any(atom.aside for atom in self.atoms)

    @made_once
    def all_sensors(self) -> tuple[Atom, ...]:
        """The traces of all sensors in it, each once."""
        if not self.less or self.less is self.sensors:
            return self.sensors if len({atom.label for atom in self.sensors}) == len(self.sensors) else self._once
        return self._once

    @made_once
    def _once(self) -> tuple[Atom, ...]:
        return tuple({atom.label: atom for atom in (*self.sensors, *self.less)}.values())

    @made_once
    def crest(self) -> Trace | None:
        """The envelope of differences at its samples, where all sensors are sampled together and known throughout."""
        if not self.less or self.kind == ONE or any(atom.aside for atom in self.all_sensors):
            return None
        traces = [atom.trace for atom in self.all_sensors]
        if any(trace.second is not None for trace in traces):
            return None
        if not together(traces):
            return None
        top = outermost([atom.trace for atom in self.sensors], greatest=self.kind == GREATEST)
        bottom = outermost([atom.trace for atom in self.less], greatest=self.kind != GREATEST)
        return with_bridges(replace(traces[0], name="", v=top - bottom, bridged=None, second=None), traces)

    def _by_crest(self, level: float) -> Steps | None:
        """Where no difference is beyond a level on the side to which the envelope leans; None without a crest."""
        crest = self.crest
        if crest is None:
            return None
        asked = crest.levels_asked()
        if (level, True) not in asked:
            asked[(level, True)] = self._crossed(crest, level)
        return asked[(level, True)]

    def _crossed(self, crest: Trace, level: float) -> Steps:
        sign = (
            1.0 if self.kind == GREATEST else -1.0
        )  # least at or above a level: its negative at or below minus the level
        _, _, _, _, low, high, _ = crest.packed
        if (high.max() if sign > 0 else -low.min()) <= sign * level:
            return Steps((int(crest.t[0]), int(crest.t[-1])), (TRUE, TRUE), (TRUE, UNKNOWN), UNKNOWN)
        height = sign * crest.v
        beyond = np.flatnonzero(height > sign * level)
        some = slice(max(int(beyond[0]) - 1, 0), int(beyond[-1]) + 2)
        first = np.stack([atom.trace.v[some] for atom in self.sensors])
        second = first if self.less is self.sensors else np.stack([atom.trace.v[some] for atom in self.less])
        tops, bottoms = (first, second) if sign > 0 else (second, first)
        times, codes = crests.within_changes(crest.t, height, tops, bottoms, sign * level, some.start)
        return Steps.of_arrays(times, codes, UNKNOWN)

    def at_least(self, level: float, *, above: bool = False) -> Steps:
        """Where the envelope is at or above (above) a level, three-valued."""
        if self.alone is not None:
            return self.alone.trace.above(level) if above else self.alone.trace.at_least(level)
        key = (level, above, "low")
        if key not in self._asked:
            self._asked[key] = self._at_least(level, above=above)
        return self._asked[key]

    @made_once
    def _asked(self) -> dict[tuple[float, bool, str], Steps]:
        """What was found of each level that was asked so far."""
        return {}

    def _at_least(self, level: float, *, above: bool) -> Steps:
        swift = self._by_crest(level) if self.kind == LEAST and not above else None
        if swift is not None:
            return swift
        if self._addresses is not None:
            return self._grouped(level, strict=above, every=self.kind != GREATEST)
        parts = [atom.trace.above(level) if above else atom.trace.at_least(level) for atom in self.atoms]
        return self._join(parts, every=self.kind != GREATEST)

    def at_most(self, level: float, *, below: bool = False) -> Steps:
        """Where the envelope is at or below (below) a level, three-valued."""
        if self.alone is not None:
            return self.alone.trace.below(level) if below else self.alone.trace.at_most(level)
        key = (level, below, "high")
        if key not in self._asked:
            self._asked[key] = self._at_most(level, below=below)
        return self._asked[key]

    def _at_most(self, level: float, *, below: bool) -> Steps:
        swift = self._by_crest(level) if self.kind == GREATEST and not below else None
        if swift is not None:
            return swift
        if self._addresses is not None:  # all at or below: not one above
            return self._grouped(level, strict=not below, every=self.kind == LEAST).inverted()
        parts = [atom.trace.below(level) if below else atom.trace.at_most(level) for atom in self.atoms]
        return self._join(parts, every=self.kind != LEAST)

    @made_once
    def _addresses(self) -> NDArray[np.int64] | None:
        """The table of its traces for one kernel; None where that does not do: what is set aside counts differently, and a second
        recorder speaks for itself.
        """
        if len(self.atoms) < 2 or any(atom.aside or atom.trace.second is not None for atom in self.atoms):
            return None
        return np.stack([atom.trace.addresses for atom in self.atoms])

    def _grouped(self, level: float, *, strict: bool, every: bool) -> Steps:
        """Where all (any) of its traces reach a level; what each gives is kept with it."""
        assert self._addresses is not None
        times, codes, offsets, all_times, all_codes, before = groups.group_changes(
            self._addresses, level, strict, FALSE if every else TRUE
        )
        bounds = offsets.tolist()
        for atom, first, last in zip(self.atoms, bounds, bounds[1:], strict=False):
            atom.trace.levels_asked().setdefault(
                (level, strict), Steps.of_arrays(times[first:last], codes[first:last], UNKNOWN)
            )
        return Steps.of_arrays(all_times, all_codes, int(before))

    def _look(self, start: int, end: int) -> None:
        """Finds the extremes of all its traces over a stretch in one call; each trace keeps its own."""
        if self._addresses is None or (start, end) in self.atoms[0].trace.extremes_asked():
            return
        found = groups.group_extremes(self._addresses, start, end)
        for atom, values, instants in zip(self.atoms, *(each.tolist() for each in found), strict=True):
            (least, most), (known, least_at, most_at, begin, finish) = values, instants
            unknown = clipped(begin, finish, start, end)
            atom.trace.extremes_asked()[start, end] = Extremes(bool(known), least, least_at, most, most_at, unknown)

    def _join(self, parts: Sequence[Steps], *, every: bool) -> Steps:
        if len(parts) == 1:
            return parts[0].replaced(self.atoms[0].aside, UNKNOWN)
        neutral = TRUE if every else FALSE
        kept = [steps.replaced(atom.aside, neutral) for steps, atom in zip(parts, self.atoms, strict=True)]
        joined = all_of(kept) if every else any_of(kept)
        return joined.replaced(self.all_aside(), UNKNOWN)

    def clear_of(self, pair: Pair, start: int, end: int) -> bool:
        """Whether, by its least and greatest value alone, it is known and within thresholds all over [start, end], and not
        only just. Then no crossing of a threshold needs to be looked for there: an instant at which the condition does not hold has
        a value on the threshold or beyond, which rounding to a grain cannot take :data:`CLEAR` to the other side.

        False says nothing. Nothing is known in this way of what was let go of, set aside, or shown by a second recorder.
        """
        if self.less or not self.sensors:
            return False
        self._look(start, end)
        for atom in self.sensors:
            trace = atom.trace
            if atom.aside or trace.second is not None or trace.bridged is not None:
                return False
            found = trace.extremes(start, end)
            if not found.known or found.unknown is not None:
                return False
            if pair.low is not None and found.least < pair.low.grains + CLEAR:
                return False
            if pair.high is not None and found.most > pair.high.grains - CLEAR:
                return False
        return True

    def known(self) -> Steps:
        """Where every atom that counts is known."""
        return self._join([atom.trace.known() for atom in self.atoms], every=True)

    def all_aside(self) -> list[tuple[int, int]]:
        """The stretches over which everything is set aside."""
        if not all(atom.aside for atom in self.atoms):
            return []
        edges = sorted({edge for atom in self.atoms for stretch in atom.aside for edge in stretch})
        return [
            (a, b)
            for a, b in pairwise(edges)
            if all(any(s <= a and b <= e for s, e in atom.aside) for atom in self.atoms)
        ]

    def counting(self, start: int, end: int) -> list[tuple[int, int, tuple[Atom, ...]]]:
        """[start, end] in stretches of constant membership, with the atoms that count there."""
        if not self.any_aside:
            return [(start, end, self.atoms)]
        inner = sorted(
            {edge for atom in self.atoms for stretch in atom.aside for edge in stretch if start < edge < end}
        )
        edges = [start, *inner, end]
        if start == end:
            edges = [start, end]
        return [
            (
                a,
                b,
                tuple(
                    atom
                    for atom in self.atoms
                    if not any(s <= a and b <= e and (a < b or s < a < e) for s, e in atom.aside)
                ),
            )
            for a, b in pairwise(edges)
        ]

    def least(self, start: int, end: int) -> Extreme | None:
        """The least known value over [start, end] (earliest, then by name), None where nothing is known."""
        return self._extreme(start, end, sign=1.0)

    def greatest(self, start: int, end: int) -> Extreme | None:
        """The greatest known value over [start, end] (earliest, then by name), None where nothing is known."""
        return self._extreme(start, end, sign=-1.0)

    def _extreme(self, start: int, end: int, *, sign: float) -> Extreme | None:
        """Least of sign * value: plain where the envelope leans that way, else the turning point of the envelope."""
        if self.alone is not None:
            found_alone = _plain((self.alone,), start, end, sign)
            return found_alone[0] if found_alone else None
        if self.crest is not None and self.kind == (LEAST if sign > 0 else GREATEST):
            return self._on_crest(self.crest, start, end)
        self._look(start, end)
        leaning = self.kind == ONE or self.kind == (LEAST if sign > 0 else GREATEST)
        found: list[Extreme] = []
        for a, b, atoms in self.counting(start, end):
            if leaning or len(atoms) == 1:
                found += _plain(atoms, a, b, sign)
            elif atoms:
                found += _turning(atoms, a, b, sign)
        if not found:
            return None
        return min(found, key=lambda extreme: (sign * extreme.value, extreme.at, extreme.label))

    def _on_crest(self, crest: Trace, start: int, end: int) -> Extreme | None:
        """The outermost value over [start, end]: at a sample, or at an end of the stretch."""
        i, k = np.searchsorted(crest.t, start), np.searchsorted(crest.t, end, side="right") - 1
        instants = [start, end]
        if i <= k:
            found = crest.extremes(int(crest.t[i]), int(crest.t[k]))
            instants.append(found.most_at if self.kind == GREATEST else found.least_at)
        known = [value for value in map(self.value, instants) if value is not None]
        sign = -1.0 if self.kind == GREATEST else 1.0
        return min(known, key=lambda extreme: (sign * extreme.value, extreme.at, extreme.label)) if known else None

    def value(self, instant: int) -> Extreme | None:
        """The value at an instant; None unless all that count are known there."""
        if self.alone is not None:
            known = self.alone.trace.value(instant)
            return None if known is None else Extreme(float(known), instant, self.alone.label)
        if self.crest is not None:
            return self._difference_at(instant)
        sign = -1.0 if self.kind == GREATEST else 1.0
        found: tuple[float, str, float] | None = None
        for atom in self.counting(instant, instant)[0][2]:
            value = atom.trace.value(instant)
            if value is None:
                return None
            if found is None or (sign * value, atom.label) < found[:2]:
                found = (sign * value, atom.label, value)
        return None if found is None else Extreme(found[2], instant, found[1])

    def _difference_at(self, instant: int) -> Extreme | None:
        first, second = (side.value(instant) for side in self._sides)
        if first is None or second is None:
            return None
        return Extreme(first.value - second.value, instant, f"{first.label} - {second.label}")

    @made_once
    def _sides(self) -> tuple[Envelope, Envelope]:
        """What is taken as it is, and what is taken off it."""
        return Envelope(self.kind, self.sensors), Envelope(LEAST if self.kind == GREATEST else GREATEST, self.less)

    def one_trace(self, name: str) -> Trace:
        """The envelope as one trace at its sample instants, for rates; not joined across changes of membership."""
        if name not in self._as_one:
            self._as_one[name] = self._one_trace(name)
        return self._as_one[name]

    @made_once
    def _as_one(self) -> dict[str, Trace]:
        return {}

    def _one_trace(self, name: str) -> Trace:
        if len(self.atoms) == 1:
            atom = self.atoms[0]
            return atom.trace.without(atom.aside) if atom.aside else atom.trace.alone
        traces = [atom.trace for atom in self.atoms]
        if together(traces) and not any(atom.aside for atom in self.atoms):
            v = outermost(traces, greatest=self.kind == GREATEST)
            return with_bridges(Trace(name, traces[0].t, v, lost_at_its_end(traces[0].t), False, True, True), traces)
        pick = np.max if self.kind == GREATEST else np.min
        pieces = []
        for a, b, atoms in self.counting(-NEVER, NEVER):
            if atoms:
                axis = _axis_within(atoms, a, b)
                values, state = on_axis([atom.trace for atom in atoms], axis)
                made = derived(name, axis, pick(values, axis=0), state, lost=True)
                pieces.append(with_bridges(made, [atom.trace for atom in atoms]))
        return _chained(name, pieces)


def _plain(atoms: Sequence[Atom], start: int, end: int, sign: float) -> list[Extreme]:
    found = []
    for atom in atoms:
        extremes = atom.trace.extremes(start, end)
        if extremes.known:
            value, at = (extremes.least, extremes.least_at) if sign > 0 else (extremes.most, extremes.most_at)
            found.append(Extreme(value, at, atom.label))
    return found


def _turning(atoms: Sequence[Atom], start: int, end: int, sign: float) -> list[Extreme]:
    """Greatest of the least (sign < 0) or least of the greatest (sign > 0), where all that count are known."""
    traces = [atom.trace for atom in atoms]
    axis = _with_ends(union_axis(traces), start, end)
    values, state = on_axis(traces, axis)
    kept = np.flatnonzero(state & 1)
    if not len(kept):
        return []
    joined = np.zeros(len(kept), np.uint8)
    joined[:-1] = (np.diff(kept) == 1) & ((state[kept[:-1]] & 2) != 0)
    joined[bridged_on(traces, axis[kept])] = 0
    most, at = envelopes.warmest_of_lowest(axis[kept], np.ascontiguousarray(-sign * values[:, kept]), joined)
    distances = [(abs((atom.trace.value(int(at)) or 0.0) + sign * most), atom.label) for atom in atoms]
    return [Extreme(-sign * most, int(at), min(distances)[1])]


def _chained(name: str, pieces: Sequence[Trace]) -> Trace:
    filled = [piece for piece in pieces if len(piece.t)]
    if not filled:
        empty = np.empty(0)
        return Trace(name, empty.astype(np.int64), empty, empty.astype(np.uint8), False, True, True)
    t = [filled[0].t]
    for piece in filled[1:]:
        shifted = piece.t.copy()
        shifted[0] = max(shifted[0], t[-1][-1] + 1)
        t.append(shifted)
    link = np.concatenate([piece.link for piece in filled])
    times = np.concatenate(t)
    edge = np.cumsum([len(piece.t) for piece in filled])[:-1] - 1
    link[edge] = np.where(times[edge + 1] - times[edge] == 1, JOINED, GAP)  # a step at a change of membership
    v = np.concatenate([piece.v for piece in filled])
    trace = Trace(name, times, v, link, False, filled[0].lost_before, filled[-1].lost_after)
    return with_bridges(trace, filled)


def _axis_within(atoms: Sequence[Atom], start: int, end: int) -> NDArray[np.int64]:
    """All sample instants of several atoms in a stretch, and its ends."""
    axis = union_axis([atom.trace for atom in atoms])
    if start <= -NEVER and end >= NEVER:
        return axis
    return _with_ends(axis, start, end)


def _with_ends(axis: NDArray[np.int64], start: int, end: int) -> NDArray[np.int64]:
    """The instants of an axis inside a stretch, and its ends where it has any."""
    first, last = np.searchsorted(axis, start, side="right"), np.searchsorted(axis, end, side="left")
    before, after = ([edge] if abs(edge) < NEVER else [] for edge in (start, end))
    after = after if start < end else []
    return np.concatenate([np.array(before, np.int64), axis[first:last], np.array(after, np.int64)])


def mean_of(atoms: Sequence[Atom]) -> Atom:
    """The mean of those that count, over each stretch of constant membership."""
    whole = Envelope(ONE, tuple(atoms))
    pieces = []
    for a, b, counting in whole.counting(-NEVER, NEVER):
        if counting:
            weights = [1.0 / len(counting)] * len(counting)
            pieces.append(combined("mean", [atom.trace for atom in counting], weights, _axis_within(counting, a, b)))
    trace = pieces[0] if len(pieces) == 1 else _chained("mean", pieces)
    members = tuple(member for atom in atoms for member in atom.members)
    return Atom("mean", trace, members, tuple(whole.all_aside()))


def pairs_of(tops: Sequence[Atom], bottoms: Sequence[Atom]) -> tuple[Atom, ...]:
    """Every difference of one of the first and one of the second (no sensor less itself)."""
    found = []
    for top in tops:
        for bottom in bottoms:
            if top is not bottom:
                label = f"{top.label} - {bottom.label}"
                aside = tuple(sorted({*top.aside, *bottom.aside}))
                trace = difference(label, top.trace, bottom.trace)
                found.append(Atom(label, trace, (*top.members, *bottom.members), aside))
    return tuple(found)
