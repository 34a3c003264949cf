"""Which samples of a growing run may still matter, so that the rest can be let go and the state stays small.

The judge asks a run five things: where a level is crossed, the extremes between two instants, a value at an instant,
the steepest windows of a rate, and where a sensor is not known. The instants are always among the *cuts*: changes of
a condition, ends of entries and settings-aside, each also shifted by the delays of the specification. So it is enough
to keep, of every trace that the judge has looked at (also of differences, means and envelopes): the samples around
every change of side at a level; around every cut; the extremes between neighbouring cuts; the windows with the
extreme slopes between neighbouring ends of phases; everything next to a gap or a bad sample; and what is recent.
Judging what is kept gives the verdicts of the whole log.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.envelope import GREATEST, LEAST, ONE, Envelope
from curewright.judge.kinds.rate import WINDOWED, rates_in
from curewright.judge.scene import Thing
from curewright.judge.steps import NEVER, TRUE, UNKNOWN, Steps
from curewright.judge.trace import JOINED, on_axis, union_axis
from curewright.terms.requirement import LeakCheck

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from curewright.judge.envelope import Atom
    from curewright.judge.kinds.rate import Where
    from curewright.judge.scene import Scene
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import Event, Rate

SHARED = ("part", "bag", "vessel")  # kinds of things whose conditions may bound the phase of any other
AROUND = 3  # samples kept on each side of an instant that matters (two are quoted as evidence)


def instants_that_matter(scene: Scene) -> dict[str, NDArray[np.int64]]:
    """For each sensor channel that this scene has looked at: the instants of the samples to keep (sorted, may repeat)."""
    kept: dict[str, list[NDArray[np.int64]]] = {}
    for key, found in list(scene.kept.items()):
        if isinstance(found, Envelope):
            _keep_envelope(found, cuts_of(scene, (key[2], key[3])), kept)
        elif key[0] == "windows":
            _keep_windows(scene, key, found, kept)  # type: ignore[arg-type]
    _keep_isolated(scene, kept)
    return {name: np.unique(np.concatenate(parts)) for name, parts in kept.items()}


def cuts_of(scene: Scene, thing: tuple[object, object]) -> NDArray[np.int64]:
    """Every instant that may come to bound a phase or a 'while' stretch for a thing: changes of its conditions and of
    shared ones.
    """
    key = ("cuts", *thing)
    if key not in scene.kept:
        times = {0} | _by_hand(scene)
        for found_key, found in scene.kept.items():
            if isinstance(found, Steps) and (found_key[2:4] == thing or found_key[2] in SHARED):
                times.update(found.times)
            elif isinstance(found, Envelope):
                times.update(edge for entry in found.aside for edge in (entry.start, entry.end))
            elif found_key[0] == "losses":  # whether a lost sensor decided a signal is asked at its last good sample
                times.update(start for start, _ in found)  # type: ignore[attr-defined]
        for event in scene.specification.events:
            times |= _edges_of(scene, event)
        scene.kept[key] = np.array(sorted(time for time in times if abs(time) < NEVER), dtype=np.int64)
    return scene.kept[key]  # type: ignore[return-value]


def _by_hand(scene: Scene) -> set[int]:
    """The instants of hand entries, each with its uncertainty, and where windows of leak checks begin and end from
    there.
    """
    times: set[int] = set()
    for entry in scene.hall.run.entries:
        for instant in (entry.at, entry.until):
            if instant is not None:
                times.update((instant - entry.plus_minus, instant, instant + entry.plus_minus))
    return times


def _keep_envelope(envelope: Envelope, cuts: NDArray[np.int64], kept: dict[str, list[NDArray[np.int64]]]) -> None:
    """What to keep of an envelope: its crest where that has answered everything, else each of its traces and its turning
    points.
    """
    crest = envelope.crest
    if crest is not None:
        instants = _of_trace(crest, cuts, _with_levels(cuts, [crest]))
        for sensor in envelope.all_sensors:
            _give(sensor, instants, kept)
    if crest is not None and "atoms" not in envelope.__dict__:  # no single difference was ever asked for
        return
    segments = _with_levels(cuts, [atom.trace for atom in envelope.atoms])
    for atom in envelope.atoms:
        _give(atom, _of_trace(atom.trace, cuts, segments), kept)
    if envelope.kind != ONE and len(envelope.atoms) > 1:
        instants = _turning_points(envelope, segments)
        for atom in envelope.atoms:
            _give(atom, instants, kept)


def _with_levels(cuts: NDArray[np.int64], traces: list[Trace]) -> NDArray[np.int64]:
    """The cuts and all crossings of levels, between which extremes may be asked for (excursions)."""
    times = {time for trace in traces for steps in trace.levels_asked().values() for time in steps.times}
    return np.union1d(cuts, np.array(sorted(times), dtype=np.int64)) if times else cuts


def _give(atom: Atom, instants: NDArray[np.int64], kept: dict[str, list[NDArray[np.int64]]]) -> None:
    """Every channel of an atom keeps its samples around these instants."""
    for member in atom.members:
        for channel, _, _ in member.pieces:
            kept.setdefault(channel.name, []).append(around(channel.t, instants))


def around(t: NDArray[np.int64], instants: NDArray[np.int64]) -> NDArray[np.int64]:
    """The samples of ``t`` next to each instant, some on each side."""
    if not len(t) or not len(instants):
        return t[:0]
    at = np.searchsorted(t, instants)[:, None] + np.arange(-AROUND, AROUND + 1)
    near: NDArray[np.int64] = t[np.unique(at[(at >= 0) & (at < len(t))])]
    return near


def _of_trace(trace: Trace, cuts: NDArray[np.int64], segments: NDArray[np.int64]) -> NDArray[np.int64]:
    """Instants to keep of one trace: the cuts, the extremes of each segment, changes of side, neighbours of what is
    unknown.
    """
    if not len(trace.t):
        return cuts
    broken = np.flatnonzero(trace.link != JOINED)
    edges = np.searchsorted(trace.t, segments)
    parts = [cuts, trace.t[broken], trace.t[np.minimum(broken + 1, len(trace.t) - 1)]]
    parts += _extremes_between(trace.t, trace.v, edges)
    parts.append(_widest(trace, edges))
    for level, _ in trace.levels_asked():
        side = np.sign(trace.v - level)
        parts.append(trace.t[np.flatnonzero(np.diff(side) != 0)])
    return np.concatenate(parts)


def _extremes_between(
    t: NDArray[np.int64], v: NDArray[np.float64], edges: NDArray[np.int64]
) -> list[NDArray[np.int64]]:
    """First instants of the least and of the greatest sample in each group of samples between two edges (indices)."""
    bounds = np.unique(np.concatenate([[0], edges[(edges > 0) & (edges < len(t))]]))
    found = []
    for reduce in (np.minimum, np.maximum):
        best = np.repeat(reduce.reduceat(v, bounds), np.diff(np.append(bounds, len(v))))
        hits = np.flatnonzero(v == best)
        group = np.searchsorted(bounds, hits, side="right")
        _, first = np.unique(group, return_index=True)
        found.append(t[hits[first]])
    return found


def _widest(trace: Trace, edges: NDArray[np.int64]) -> NDArray[np.int64]:
    """Both ends of the widest step between samples in each group, for the recording interval."""
    if len(trace.t) < 2:
        return trace.t[:0]
    apart = np.diff(trace.t)
    if trace.bridged is not None:
        apart = np.where(trace.bridged[:-1], 0, apart)
    bounds = np.unique(np.concatenate([[0], edges[(edges > 0) & (edges < len(apart))]]))
    best = np.repeat(np.maximum.reduceat(apart, bounds), np.diff(np.append(bounds, len(apart))))
    hits = np.flatnonzero((apart == best) & (apart > 0))
    _, first = np.unique(np.searchsorted(bounds, hits, side="right"), return_index=True)
    chosen = hits[first]
    ends: NDArray[np.int64] = trace.t[np.concatenate([chosen, chosen + 1])]
    return ends


def _turning_points(envelope: Envelope, segments: NDArray[np.int64]) -> NDArray[np.int64]:
    """Where the least of several is greatest (the greatest least) between neighbouring cuts: the samples around the
    turn.
    """
    traces = [atom.trace for atom in envelope.atoms]
    axis = union_axis(traces)
    values, state = on_axis(traces, axis)
    sign = 1.0 if envelope.kind == LEAST else -1.0
    assert envelope.kind in (LEAST, GREATEST)
    bounds_of_piece = _upper_bounds(sign * values)
    lower = np.min(sign * values, axis=0)
    known = (state & 1) != 0
    best = np.where(known, lower, -np.inf)
    edges = np.searchsorted(axis, segments)
    bounds = np.unique(np.concatenate([[0], edges[(edges > 0) & (edges < len(axis))]]))
    top = np.repeat(np.maximum.reduceat(best, bounds), np.diff(np.append(bounds, len(axis))))
    tops = np.flatnonzero(best == top)
    _, first = np.unique(np.searchsorted(bounds, tops, side="right"), return_index=True)
    hopeful = np.union1d(np.flatnonzero(np.append(bounds_of_piece, -np.inf) > top), tops[first])
    if not len(axis):
        return axis
    turns: NDArray[np.int64] = axis[np.unique(np.concatenate([hopeful, np.minimum(hopeful + 1, len(axis) - 1)]))]
    return turns


def _upper_bounds(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """A bound on the least of several lines over each piece of their axis."""
    bounds: NDArray[np.float64] = np.min(np.maximum(values[:, :-1], values[:, 1:]), axis=0)
    return bounds


def _keep_windows(
    scene: Scene, key: tuple[object, ...], asked: tuple[Trace, Rate, Where], kept: dict[str, list[NDArray[np.int64]]]
) -> None:
    """All samples of the steepest windows between neighbouring instants that may bound the phase or the 'while'
    condition.
    """
    trace, form, where = asked
    edges = np.array(sorted(_ends_of_phase(scene, form)), dtype=np.int64)
    found: list[NDArray[np.int64]] = []
    last = int(trace.t[-1]) if len(trace.t) else 0
    for start, end in where.regions((0, last), (UNKNOWN, TRUE)):
        found += _steepest(trace, form, start, end, edges)
    for part in found:
        for channel in _channels_of(scene, form, key):
            kept.setdefault(channel, []).append(part)


def _channels_of(scene: Scene, form: Rate, key: tuple[object, ...]) -> Iterable[str]:
    for found_key, found in scene.kept.items():
        if found_key[0] == "envelope" and found_key[1] == scene.hall.token(form.signal) and found_key[2:4] == key[2:4]:
            assert isinstance(found, Envelope)
            yield from {
                channel.name for atom in found.all_sensors for member in atom.members for channel, _, _ in member.pieces
            }


def _ends_of_phase(scene: Scene, form: Rate) -> set[int]:
    """Instants that may come to bound the phase of a rate."""
    names = {form.phase.start, form.phase.end}
    edges: set[int] = set()
    for event in scene.specification.events:
        if event.name in names:
            edges |= _edges_of(scene, event)
    return edges


def _edges_of(scene: Scene, event: Event) -> set[int]:
    tokens = {scene.hall.token(source.condition) for source in event.sources if source.condition is not None}
    found: set[int] = set()
    for key, steps in list(scene.kept.items()):
        if key[0] == "condition" and key[1] in tokens:
            assert isinstance(steps, Steps)
            found.update(time + event.delay for time in steps.times)
    for when in (bounds for (name, _, _), bounds in scene.events.items() if name == event.name):
        found.update(edge for edge in (when.earliest, when.latest) if edge < NEVER)
    return found


def _steepest(trace: Trace, form: Rate, start: int, end: int, edges: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The samples of the windows (or pairs) with the least and greatest rate, for each choice of edges that windows lie
    between.
    """
    if form.definition.kind not in (*WINDOWED, "sample to sample"):
        return []
    first, rates = rates_in(trace, form.definition, start, end)
    window = form.definition.window or 0
    there = np.flatnonzero(~np.isnan(rates))
    if not len(there):
        return []
    closing = trace.t[first + there]
    opening = closing - window if window else trace.t[first + there - 1]
    begins, ends = np.searchsorted(edges, opening, side="right"), np.searchsorted(edges, closing, side="left")
    bounds = np.flatnonzero(np.diff(begins, prepend=-1) | np.diff(ends, prepend=-1))
    found = []
    for a, b in zip(bounds, np.append(bounds[1:], len(there)), strict=True):
        group = rates[there[a:b]]
        found += [_samples_of(trace.t, int(closing[a + int(pick(group))]), window) for pick in (np.argmin, np.argmax)]
    return found


def _samples_of(t: NDArray[np.int64], at: int, window: int) -> NDArray[np.int64]:
    first = max(int(np.searchsorted(t, at - window)) - 1, 0)
    last = int(np.searchsorted(t, at, side="right"))
    return t[max(min(first, last - 2), 0) : last]


def _keep_isolated(scene: Scene, kept: dict[str, list[NDArray[np.int64]]]) -> None:
    """All samples of a bag while its source is, or may be, closed, for the worst window of a leak check."""
    from curewright.judge.events import when

    for form in (form for clause in scene.specification.clauses for form in clause.forms):
        if not isinstance(form, LeakCheck):
            continue
        bag = Thing("bag", scene.part.bag)
        closed = when(scene, form.closed, bag)
        opened = when(scene, form.opened, bag).latest if form.opened else (closed.until or (0, NEVER))[1]
        for member in scene.members(form.signal.group, bag):
            for channel, _, _ in member.pieces:
                inside = channel.t[(channel.t >= closed.earliest) & (channel.t <= opened)]
                kept.setdefault(channel.name, []).append(inside)
