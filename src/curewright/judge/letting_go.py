"""Which samples of a growing run may still matter, so that the rest can be let go and the state stays small.

The judge asks a run five things: where a level is crossed, the extremes between two instants, a value at an instant,
the steepest windows of a rate, and where a sensor is not known. What bounds a phase is an event; of what has passed only
such instants can still come to be one at which it was found (for certain, or as a bound), or since when its condition
holds without a break. These, with the ends of entries and settings-aside, each shifted by the delays of the
specification, are the *cuts*. So it is enough to keep, of every trace that the judge has looked at (also of differences,
means and envelopes): both samples of every change of side at a level; those around every cut; the extremes between
neighbouring cuts (where a band is left or a 'while' condition changes, also between these instants); those around the
ends of the windows with the extreme slopes between neighbouring ends of phases (begin, end and rate of which are kept
by themselves, see ``steep``); everything next to a gap or a bad sample; and what is recent. Judging what is kept gives
the verdicts of the whole log.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.conditions import unit_of
from curewright.judge.envelope import LEAST, ONE, Envelope
from curewright.judge.events import when
from curewright.judge.kinds.leak_check import opened
from curewright.judge.kinds.rate import WINDOWED, rates_in
from curewright.judge.limits import APART, held
from curewright.judge.scene import Thing
from curewright.judge.steep import NO_WINDOWS, Windows, key_of
from curewright.judge.steps import NEVER, TRUE, UNKNOWN, Steps
from curewright.judge.trace import JOINED, on_axis, union_axis
from curewright.terms.requirement import AtEvent, Band, Compare, Duration, LeakCheck, Spread

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from curewright.judge.envelope import Atom
    from curewright.judge.kinds.rate import Regions, Where
    from curewright.judge.scene import Scene
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import Clock, Event, Rate, RateDefinition

SHARED = ("part", "bag", "vessel")  # kinds of things whose conditions may bound the phase of any other
AROUND = 3  # samples kept on each side of an instant that matters (two are quoted as evidence)


def instants_that_matter(scene: Scene) -> dict[str, NDArray[np.int64]]:
    """For each sensor channel that this scene has looked at: the instants of the samples to keep (sorted, may repeat)."""
    kept: dict[str, list[NDArray[np.int64]]] = {}
    for _ in each_that_matters(scene, kept):
        pass
    return {name: np.unique(np.concatenate(parts)) for name, parts in kept.items()}


def each_that_matters(scene: Scene, kept: dict[str, list[NDArray[np.int64]]]) -> Iterator[None]:
    """The same in slices, one signal or rate after the other; what is to be kept goes to ``kept``."""
    for key, found in list(scene.kept.items()):
        if isinstance(found, Envelope):
            cuts = np.union1d(cuts_of(scene, (key[2], key[3])), _narrowed(scene, key))
            limits = _limit_levels(scene, key, found)
            yield from _keep_envelope(found, cuts, limits, kept, turns=_asks_for_turns(scene, key, found))
        elif key[0] == "windows":
            _keep_windows(scene, key, found, kept)  # type: ignore[arg-type]
        else:
            continue
        yield
    _keep_isolated(scene, kept)


def cuts_of(scene: Scene, thing: tuple[object, object]) -> NDArray[np.int64]:
    """Every instant that may come to bound a phase for a thing: of its events and of shared ones, of entries, losses and
    settings-aside.
    """
    key = ("cuts", *thing)
    if key not in scene.kept:
        times = {0} | _by_hand(scene)
        for found_key, found in scene.kept.items():
            if isinstance(found, Envelope):
                times.update(edge for entry in found.aside for edge in (entry.start, entry.end))
            elif found_key[0] == "losses":  # whether a lost sensor decided a signal is asked at its last good sample
                times.update(start for start, _ in found)  # type: ignore[attr-defined]
        for event in scene.specification.events:
            times |= edges_of(scene, event, thing)
        scene.kept[key] = np.array(sorted(time for time in times if abs(time) < NEVER), dtype=np.int64)
    return scene.kept[key]  # type: ignore[return-value]


def edges_of(scene: Scene, event: Event, thing: tuple[object, object]) -> set[int]:
    """The instants that have passed and may be an event, now or later: where it is found at present, and since when its
    conditions hold without a break (surely, or not surely not), for a thing or for one that all share.
    """
    known = ("edges", event.name, *thing)
    if known not in scene.kept:
        found: set[int] = set()
        for (name, *whose), when in scene.events.items():
            if name == event.name and (tuple(whose) == thing or whose[0] in SHARED):
                found.update((when.earliest, when.latest))
        for token in {scene.hall.token(source.condition) for source in event.sources if source.condition is not None}:
            for key, steps in list(scene.kept.items()):
                if key[:2] == ("condition", token) and (key[2:4] == thing or key[2] in SHARED):
                    assert isinstance(steps, Steps)
                    since = {open_since(steps, scene.end, codes) for codes in ((TRUE,), (UNKNOWN, TRUE))}
                    found |= {time + event.delay for time in since if time is not None}
        after = next((one for one in scene.specification.events if one.name == event.after), None)
        if after is not None:  # a condition that holds already begins there; or it is nothing but so long after it
            found |= {time + event.delay for time in edges_of(scene, after, thing)}
        scene.kept[known] = {time for time in found if abs(time) < NEVER}
    return scene.kept[known]  # type: ignore[return-value]


def open_since(steps: Steps, end: int, codes: tuple[int, ...]) -> int | None:
    """Since when only these codes have occurred up to ``end``; None where another one does there, or since ever."""
    if steps.value(end) not in codes:
        return None
    i = bisect_left(steps.times, end)
    if i < len(steps.times) and steps.times[i] == end and (steps.after[i - 1] if i else steps.before) not in codes:
        return end
    while i:
        i -= 1
        if steps.at[i] not in codes or (steps.after[i - 1] if i else steps.before) not in codes:
            return steps.times[i]
    return None


def _narrowed(scene: Scene, key: tuple[object, ...]) -> NDArray[np.int64]:
    """The instants at which the 'while' conditions of bands on a signal change: extremes are asked for between them."""
    times: set[int] = set()
    for form in _held_on(scene, key):
        if form.while_ is not None:
            steps = scene.kept.get(("condition", scene.hall.token(form.while_), key[2], key[3]))
            times.update(steps.times if isinstance(steps, Steps) else ())
    return np.array(sorted(times), dtype=np.int64)


def _limit_levels(scene: Scene, key: tuple[object, ...], signal: Envelope) -> set[float]:
    """The levels at which excursions of a signal begin and end: the deepest value of each is asked for."""
    apart = APART if signal.derived else 0.0
    levels: set[float] = set()
    for form in _held_on(scene, key):
        limits = held(scene, form.limits, form.unit)
        for pair in (limits.judged, limits.guarded):
            levels |= {one.grains for one in ((pair.low, pair.high) if pair else ()) if one is not None}
    for clock in _forgiving(scene):
        assert isinstance(clock.runs_while, Compare)
        if scene.hall.token(clock.runs_while.signal) == key[1]:
            limits = held(scene, clock.runs_while.limits, unit_of(clock.runs_while.limits), decide=False)
            levels |= {one.grains for one in (limits.judged.low, limits.judged.high) if one is not None}
    return {level + beside for level in levels for beside in (-apart, 0.0, apart)}


def _held_on(scene: Scene, key: tuple[object, ...]) -> list[Band | Spread]:
    """The bands and spreads that ask for the signal of an envelope."""
    return [
        form
        for clause in scene.specification.clauses
        for form in clause.forms
        if isinstance(form, Band | Spread) and scene.hall.token(form.signal) == key[1]
    ]


def _forgiving(scene: Scene) -> list[Clock]:
    """The clocks with an allowance."""
    return [
        way.clock
        for clause in scene.specification.clauses
        for form in clause.forms
        if isinstance(form, Duration)
        for way in form.alternatives
        if way.clock.allowance is not None and isinstance(way.clock.runs_while, Compare)
    ]


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


def _keep_envelope(
    envelope: Envelope,
    cuts: NDArray[np.int64],
    limits: set[float],
    kept: dict[str, list[NDArray[np.int64]]],
    *,
    turns: bool = True,
) -> Iterator[None]:
    """What to keep of an envelope: its crest where that has answered everything, else each of its traces and its turning
    points.
    """
    crest = envelope.crest
    if crest is not None:
        instants = _of_trace(crest, cuts, _with_levels(cuts, [crest], limits))
        for sensor in envelope.all_sensors:
            _give(sensor, instants, kept)
            _give(sensor, _sides(crest), kept, beside=1)
    if crest is not None and "atoms" not in envelope.__dict__:  # no single difference was ever asked for
        return
    segments = _with_levels(cuts, [atom.trace for atom in envelope.atoms], limits)
    for atom in envelope.atoms:
        _give(atom, _of_trace(atom.trace, cuts, segments), kept)
        _give(atom, _sides(atom.trace), kept, beside=1)
        yield
    if turns and envelope.kind != ONE and len(envelope.atoms) > 1:
        for start, end, counting in envelope.counting(-NEVER, NEVER):
            if len(counting) > 1:
                inside = segments[(segments >= start) & (segments <= end)]
                instants = _turning_points(envelope.kind, counting, inside, start, end)
                for atom in counting:
                    _give(atom, instants, kept)
            yield


def _with_levels(cuts: NDArray[np.int64], traces: list[Trace], limits: set[float]) -> NDArray[np.int64]:
    """The cuts and all crossings of limits, between which extremes may be asked for (excursions)."""
    times = {
        time
        for trace in traces
        for (level, _), steps in trace.levels_asked().items()
        if level in limits
        for time in steps.times
    }
    return np.union1d(cuts, np.array(sorted(times), dtype=np.int64)) if times else cuts


def _give(
    atom: Atom, instants: NDArray[np.int64], kept: dict[str, list[NDArray[np.int64]]], beside: int = AROUND
) -> None:
    """Every channel of an atom keeps its samples around these instants."""
    for member in atom.members:
        for channel, _, _ in member.pieces:
            kept.setdefault(channel.name, []).append(around(channel.t, instants, beside))


def around(t: NDArray[np.int64], instants: NDArray[np.int64], beside: int = AROUND) -> NDArray[np.int64]:
    """The samples of ``t`` next to each instant, some on each side."""
    if not len(t) or not len(instants):
        return t[:0]
    at = np.searchsorted(t, instants)[:, None] + np.arange(-beside, beside + 1)
    near: NDArray[np.int64] = t[np.unique(at[(at >= 0) & (at < len(t))])]
    return near


def _of_trace(trace: Trace, cuts: NDArray[np.int64], segments: NDArray[np.int64]) -> NDArray[np.int64]:
    """Instants to keep of one trace: the cuts, the extremes of each segment, neighbours of what is unknown."""
    if not len(trace.t):
        return cuts
    broken = np.flatnonzero(trace.link != JOINED)
    edges = np.searchsorted(trace.t, segments)
    parts = [cuts, trace.t[broken], trace.t[np.minimum(broken + 1, len(trace.t) - 1)]]
    parts += _extremes_between(trace.t, trace.v, edges)
    parts.append(_widest(trace, edges))
    return np.concatenate(parts)


def _sides(trace: Trace) -> NDArray[np.int64]:
    """The samples before and after every change of side at a level that was asked for."""
    changed = [np.flatnonzero(np.diff(np.sign(trace.v - level)) != 0) for level, _ in trace.levels_asked()]
    before = np.unique(np.concatenate(changed)) if changed else np.empty(0, np.int64)
    both: NDArray[np.int64] = trace.t[np.union1d(before, before + 1)]
    return both


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


def _asks_for_turns(scene: Scene, key: tuple[object, ...], signal: Envelope) -> bool:
    """Whether somebody may ask for the greatest value of a least, or the least of a greatest: a limit on that side, a value
    at an event that is known within bounds, an excursion that a clock forgives.
    """
    forgiving = any(
        isinstance(clock.runs_while, Compare) and scene.hall.token(clock.runs_while.signal) == key[1]
        for clock in _forgiving(scene)
    )
    forms = [form for clause in scene.specification.clauses for form in clause.forms]
    if forgiving or any(isinstance(f, AtEvent | LeakCheck) and scene.hall.token(f.signal) == key[1] for f in forms):
        return True
    held_by = [form.limits for form in _held_on(scene, key)]
    if signal.kind == LEAST:
        return any(limits.high is not None or limits.high_attribute is not None for limits in held_by)
    return any(limits.low is not None or limits.low_attribute is not None for limits in held_by)


def _turning_points(
    kind: str, atoms: Sequence[Atom], segments: NDArray[np.int64], start: int, end: int
) -> NDArray[np.int64]:
    """Where the least of several is greatest (the greatest least) between neighbouring cuts: the samples around the
    turn.
    """
    traces = [atom.trace for atom in atoms]
    axis = union_axis(traces)
    values, state = on_axis(traces, axis)
    there = slice(*np.searchsorted(axis, (start, end), side="left")) if len(axis) else slice(0, 0)
    axis, values, state = axis[there], values[:, there], state[there]
    if not len(axis):
        return axis
    sign = 1.0 if kind == LEAST else -1.0
    bounds_of_piece = np.where((state[:-1] & 2) != 0, _upper_bounds(sign * values), -np.inf)
    best = np.where((state & 1) != 0, np.min(sign * values, axis=0), -np.inf)
    edges = np.searchsorted(axis, segments)
    bounds = np.unique(np.concatenate([[0], edges[(edges > 0) & (edges < len(axis))]]))
    top = np.repeat(np.maximum.reduceat(best, bounds), np.diff(np.append(bounds, len(axis))))
    tops = np.flatnonzero((best == top) & (best > -np.inf))
    _, first = np.unique(np.searchsorted(bounds, tops, side="right"), return_index=True)
    hopeful = np.union1d(np.flatnonzero(np.append(bounds_of_piece, -np.inf) > top), tops[first])
    turns: NDArray[np.int64] = axis[np.unique(np.concatenate([hopeful, np.minimum(hopeful + 1, len(axis) - 1)]))]
    return turns


def _upper_bounds(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """A bound on the least of several lines over each piece of their axis."""
    bounds: NDArray[np.float64] = np.min(np.maximum(values[:, :-1], values[:, 1:]), axis=0)
    return bounds


def _keep_windows(
    scene: Scene, key: tuple[object, ...], asked: tuple[Trace, Rate, Where], kept: dict[str, list[NDArray[np.int64]]]
) -> None:
    """The steepest windows between neighbouring instants that may bound the phase: each with its rate, and the samples around
    its end.
    """
    trace, form, where = asked
    if form.definition.kind not in (*WINDOWED, "sample to sample"):
        return
    thing = (key[2], key[3])
    edges = np.array(sorted(_ends_of_phase(scene, form, thing)), dtype=np.int64)
    last = int(trace.t[-1]) if len(trace.t) else 0
    begins = [edge for event in _named(scene, form.phase.start) for edge in edges_of(scene, event, thing)]
    ended = [_surely(scene, event, thing) for event in _named(scene, form.phase.end)]
    span = min(begins, default=0), ended[0] if ended and ended[0] is not None else last
    key_of_windows = key_of(scene.part.serial, form, *thing)
    let_go = scene.hall.windows.get(key_of_windows, NO_WINDOWS)
    codes_of_interest = ((TRUE,), (UNKNOWN, TRUE)) if span[0] <= span[1] else ()
    found = {
        window
        for codes in codes_of_interest
        for window in _steepest(_windows_in(trace, form.definition, let_go, where.regions(span, codes)), edges)
    }
    columns = zip(*sorted(found), strict=True) if found else ((), (), ())
    begins_at, ends_at, rates = (np.array(column) for column in columns)
    ends_at = ends_at.astype(np.int64)
    scene.hall.windows[key_of_windows] = Windows(
        form.definition, begins_at.astype(np.int64), ends_at, rates.astype(np.float64)
    )
    signal = scene.kept.get(("envelope", scene.hall.token(form.signal), *thing, None))
    for atom in signal.all_sensors if isinstance(signal, Envelope) else ():
        _give(atom, ends_at, kept)


def _ends_of_phase(scene: Scene, form: Rate, thing: tuple[object, object]) -> set[int]:
    """Instants that may come to bound the phase of a rate."""
    names = {form.phase.start, form.phase.end}
    return {
        edge for event in scene.specification.events if event.name in names for edge in edges_of(scene, event, thing)
    }


def _named(scene: Scene, name: str) -> list[Event]:
    """The event of that name; none, where it is the start or the end of the record."""
    return [event for event in scene.specification.events if event.name == name]


def _surely(scene: Scene, event: Event, thing: tuple[object, object]) -> int | None:
    """The instant of an event that nothing to come can change: the first stay in a condition, found without doubt after
    one that is as sure; None where there is no such instant (yet).
    """
    if any(source.by == "entry" or source.which != "first" for source in event.sources):
        return None
    if any(_surely(scene, after, thing) is None for after in _named(scene, event.after or "")):
        return None
    found = {
        when_found
        for (name, *whose), when_found in scene.events.items()
        if name == event.name and (tuple(whose) == thing or whose[0] in SHARED)
    }
    instants = {edge for when_found in found for edge in (when_found.earliest, when_found.latest)}
    return instants.pop() if len(instants) == 1 and max(instants) < NEVER else None


def _steepest(windows: Windows, edges: NDArray[np.int64]) -> Iterator[tuple[int, int, float]]:
    """(begin, end, rate) of the windows with the least and greatest rate of all (the first on ties), for each choice of edges
    that windows lie between.
    """
    groups = np.searchsorted(edges, windows.begins, side="right") * (len(edges) + 1)
    groups += np.searchsorted(edges, windows.ends, side="left")
    for group in np.unique(groups):
        there = np.flatnonzero(groups == group)
        for sign in (1.0, -1.0):
            at = there[np.lexsort((windows.ends[there], sign * windows.rates[there]))[0]]
            yield int(windows.begins[at]), int(windows.ends[at]), float(windows.rates[at])


def _windows_in(trace: Trace, definition: RateDefinition, let_go: Windows, regions: Regions) -> Windows:
    """Every window in some stretches: those of which the samples are there, and those that were kept as such."""
    window = definition.window or 0
    begins, ends, found = [np.empty(0, np.int64)], [np.empty(0, np.int64)], [np.empty(0)]
    for start, end in regions:
        first, rates = rates_in(trace, definition, start, end)
        there = np.flatnonzero(~np.isnan(rates))
        ends.append(trace.t[first + there])
        begins.append(ends[-1] - window if window else trace.t[first + there - 1])
        found.append(rates[there])
        kept = let_go.inside(start, end)
        begins.append(let_go.begins[kept])
        ends.append(let_go.ends[kept])
        found.append(let_go.rates[kept])
    return Windows(definition, np.concatenate(begins), np.concatenate(ends), np.concatenate(found))


def _keep_isolated(scene: Scene, kept: dict[str, list[NDArray[np.int64]]]) -> None:
    """All samples of a bag while its source is, or may be, closed, for the worst window of a leak check."""
    for form in (form for clause in scene.specification.clauses for form in clause.forms):
        if not isinstance(form, LeakCheck):
            continue
        bag = Thing("bag", scene.part.bag)
        closed = when(scene, form.closed, bag)
        end = opened(scene, form, bag, closed).latest
        for member in scene.members(form.signal.group, bag):
            for channel, _, _ in member.pieces:
                inside = channel.t[(channel.t >= closed.earliest) & (channel.t <= end)]
                kept.setdefault(channel.name, []).append(inside)
