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

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.asked_of import asked_of
from curewright.judge.cuts import cuts_of, edges_of, ends_of_phase, named, surely
from curewright.judge.envelope import LEAST, ONE, Atom, Envelope
from curewright.judge.events import when
from curewright.judge.kinds.leak_check import opened
from curewright.judge.kinds.leak_loss import fall_over
from curewright.judge.kinds.rate import WINDOWED, rates_in
from curewright.judge.scene import Thing
from curewright.judge.signals import envelope
from curewright.judge.steep import NO_WINDOWS, Windows, key_of
from curewright.judge.steps import NEVER, TRUE, UNKNOWN
from curewright.judge.things import things_of
from curewright.judge.trace import JOINED, on_axis, union_axis
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import Count, LeakCheck, Recording

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from curewright.judge.asked_of import AskedOf
    from curewright.judge.kinds.rate import Regions, Where
    from curewright.judge.scene import Scene
    from curewright.judge.steps import When
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import Rate, RateDefinition

AROUND = 3  # samples kept on each side of an instant that may bound a phase
QUOTED = 2  # and of an extreme, next to which as many are quoted as evidence
Wanted = list[tuple[int, "NDArray[np.int64]"]]  # samples on each side, instants


def each_that_matters(scene: Scene, kept: dict[str, list[NDArray[np.int64]]]) -> Iterator[None]:
    """For each sensor channel that this scene has looked at: the instants of the samples to keep, added to ``kept`` in slices, one signal
    or rate after the other.
    """
    for key, found in list(scene.kept.items()):
        if isinstance(found, Envelope):
            yield from _keep_envelope(found, cuts_of(scene, (key[2], key[3])), asked_of(scene, key, found), kept)
        elif key[0] == "windows":
            _keep_windows(scene, key, found, kept)  # type: ignore[arg-type]
        else:
            continue
        yield
    _keep_isolated(scene, kept)
    _keep_recorded(scene, kept)


def _keep_envelope(
    envelope: Envelope, cuts: NDArray[np.int64], asked: AskedOf, kept: dict[str, list[NDArray[np.int64]]]
) -> Iterator[None]:
    """What to keep of an envelope: its crest where that has answered everything, else each of its traces and its turning
    points.
    """
    crest = envelope.crest
    if crest is not None:
        wanted = _of_trace(crest, cuts, _stays(cuts, [crest], asked), asked)
        for sensor in envelope.all_sensors:
            _give_all(sensor, wanted, kept)
        if "atoms" not in envelope.__dict__:  # no single difference was ever asked for
            return
    stays = _stays(cuts, [atom.trace for atom in envelope.atoms], asked)
    for atom in envelope.atoms:
        _give_all(atom, _of_trace(atom.trace, cuts, stays, asked), kept)
        yield
    if asked.turns(envelope.kind) and envelope.kind != ONE and len(envelope.atoms) > 1:
        segments = np.union1d(stays, asked.narrowed) if asked.turns_in_stays(envelope.kind) else cuts
        for start, end, counting in envelope.counting(-NEVER, NEVER):
            if len(counting) > 1:
                inside = segments[(segments >= start) & (segments <= end)]
                instants = _turning_points(envelope.kind, counting, inside, start, end)
                for atom in counting:
                    _give(atom, instants, kept)
            yield


def _stays(cuts: NDArray[np.int64], traces: Sequence[Trace], asked: AskedOf) -> NDArray[np.int64]:
    """The cuts, the changes of 'while' conditions and all crossings of limits, between which a stay beyond a limit lies."""
    levels = asked.lows | asked.highs
    times = [
        steps.packed[0] for trace in traces for (level, _), steps in trace.levels_asked().items() if level in levels
    ]
    return np.unique(np.concatenate([cuts, asked.narrowed, *times]))


def _give(
    atom: Atom, instants: NDArray[np.int64], kept: dict[str, list[NDArray[np.int64]]], beside: int = AROUND
) -> None:
    """Every channel of an atom keeps its samples around these instants."""
    for member in atom.members:
        for channel, _, _ in member.pieces:
            kept.setdefault(channel.name, []).append(around(channel.t, instants, beside))


def _give_all(atom: Atom, wanted: Wanted, kept: dict[str, list[NDArray[np.int64]]]) -> None:
    for beside, instants in wanted:
        _give(atom, instants, kept, beside)


def around(t: NDArray[np.int64], instants: NDArray[np.int64], beside: int = AROUND) -> NDArray[np.int64]:
    """The samples of ``t`` next to each instant, some on each side; where an instant is between two, at least these."""
    if not len(t) or not len(instants):
        return t[:0]
    first = np.searchsorted(t, instants)
    at = first[:, None] + np.arange(-beside, beside + 1)
    if not beside:
        between = t[np.minimum(first, len(t) - 1)] != instants
        at = np.concatenate([first, first[between] - 1])
    near: NDArray[np.int64] = t[np.unique(at[(at >= 0) & (at < len(t))])]
    return near


def _of_trace(trace: Trace, cuts: NDArray[np.int64], stays: NDArray[np.int64], asked: AskedOf) -> Wanted:
    """Instants to keep of one trace, with how many samples on each side: the cuts, the extremes between them, neighbours of
    what is unknown, the deepest of each stay beyond a limit, both sides of each level.
    """
    if not len(trace.t):
        return [(AROUND, cuts)]
    broken = np.flatnonzero(trace.link != JOINED)
    edges = trace.t[np.union1d(broken, np.minimum(broken + 1, len(trace.t) - 1))]
    between = [_extremes_between(trace.t, sign * trace.v, np.searchsorted(trace.t, cuts)) for sign in _signs(asked)]
    return [
        (AROUND, cuts),
        (QUOTED, _joined(between)),
        (QUOTED, _while(trace, cuts, asked)),
        (0, edges),
        (0, _deepest(trace, stays, asked)),
        (0, _sides(trace)),
    ]


def _signs(asked: AskedOf) -> list[float]:
    """1 where the greatest is asked for, -1 where the least is."""
    return [sign for sign, wanted in ((1.0, asked.most), (-1.0, asked.least)) if wanted]


def _joined(parts: Sequence[NDArray[np.int64]]) -> NDArray[np.int64]:
    return np.concatenate([np.empty(0, np.int64), *parts])


def _deepest(trace: Trace, stays: NDArray[np.int64], asked: AskedOf) -> NDArray[np.int64]:
    """The extreme of each stay beyond a limit."""
    parts = []
    for sign, levels in ((1.0, asked.highs), (-1.0, asked.lows)):
        if levels:
            deepest = _extremes_between(trace.t, sign * trace.v, np.searchsorted(trace.t, stays))
            beyond = sign * trace.v[np.searchsorted(trace.t, deepest)] >= min(sign * level for level in levels)
            parts.append(deepest[beyond])
    return _joined(parts)


def _while(trace: Trace, cuts: NDArray[np.int64], asked: AskedOf) -> NDArray[np.int64]:
    """The instants at which a 'while' condition changes, and the extremes between these and the cuts."""
    if not len(asked.narrowed):
        return asked.narrowed
    edges = np.searchsorted(trace.t, np.union1d(cuts, asked.narrowed))
    signs = [sign for sign, levels in ((1.0, asked.highs), (-1.0, asked.lows)) if levels]
    return _joined([asked.narrowed, *(_extremes_between(trace.t, sign * trace.v, edges) for sign in signs)])


def _sides(trace: Trace) -> NDArray[np.int64]:
    """The samples before and after every change of side at a level that was asked for."""
    changed = [np.flatnonzero(np.diff(np.sign(trace.v - level)) != 0) for level, _ in trace.levels_asked()]
    before = np.unique(np.concatenate(changed)) if changed else np.empty(0, np.int64)
    both: NDArray[np.int64] = trace.t[np.union1d(before, before + 1)]
    return both


def _extremes_between(t: NDArray[np.int64], v: NDArray[np.float64], edges: NDArray[np.int64]) -> NDArray[np.int64]:
    """The first instant of the greatest sample in each group of samples between two edges (indices)."""
    bounds = np.unique(np.concatenate([[0], edges[(edges > 0) & (edges < len(t))]]))
    best = np.repeat(np.maximum.reduceat(v, bounds), np.diff(np.append(bounds, len(v))))
    hits = np.flatnonzero(v == best)
    group = np.searchsorted(bounds, hits, side="right")
    _, first = np.unique(group, return_index=True)
    found: NDArray[np.int64] = t[hits[first]]
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
    edges = np.array(sorted(ends_of_phase(scene, form, thing)), dtype=np.int64)
    last = int(trace.t[-1]) if len(trace.t) else 0
    begins = [edge for event in named(scene, form.phase.start) for edge in edges_of(scene, event, thing)]
    ended = [surely(scene, event, thing) for event in named(scene, form.phase.end)]
    span = min(begins, default=0), ended[0] if ended and ended[0] is not None else last
    key_of_windows = key_of(scene.part.serial, form, *thing)
    let_go = scene.hall.windows.get(key_of_windows, NO_WINDOWS)
    certain, perhaps = (
        where.regions(span, codes) if span[0] <= span[1] else [] for codes in ((TRUE,), (UNKNOWN, TRUE))
    )
    found = {
        window
        for regions in ([certain] if certain == perhaps else [certain, perhaps])
        for window in _steepest(_windows_in(trace, form.definition, let_go, regions), edges)
    }
    columns = zip(*sorted(found), strict=True) if found else ((), (), ())
    begins_at, ends_at, rates = (np.array(column) for column in columns)
    ends_at = ends_at.astype(np.int64)
    scene.hall.windows[key_of_windows] = Windows(
        form.definition, begins_at.astype(np.int64), ends_at, rates.astype(np.float64)
    )
    signal = scene.kept.get(("envelope", scene.hall.token(form.signal), *thing, None))
    ends_of_range = trace.t[[np.argmin(trace.v), np.argmax(trace.v)]] if len(trace.t) else trace.t
    for atom in signal.all_sensors if isinstance(signal, Envelope) else ():
        _give(atom, ends_at, kept)
        _give(atom, ends_of_range, kept, beside=1)  # by its range a trace is told whether its sums are exact


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
    """Of a bag that is, or may be, isolated: the ends of the windows with the greatest and least loss, and the extremes of where
    windows may begin and end.
    """
    for form in (form for clause in scene.specification.clauses for form in clause.forms):
        if not isinstance(form, LeakCheck):
            continue
        bag = Thing("bag", scene.part.bag)
        try:
            signal = envelope(scene, form.signal, bag, "vacuum")
        except CurewrightError:
            continue
        instants = _of_leak_check(scene, form, bag, signal.one_trace(bag.name))
        for atom in signal.all_sensors:
            _give(atom, instants, kept)


def _of_leak_check(scene: Scene, form: LeakCheck, bag: Thing, trace: Trace) -> NDArray[np.int64]:
    """The instants that a leak check may look at, whichever of the instants that have passed turn out to be closing and opening."""
    if not len(trace.t):
        return trace.t
    closed = when(scene, form.closed, bag)
    begins = {at + form.settling for at in _candidates(scene, form.closed, bag, closed)}
    ends = _candidates(scene, form.opened, bag, opened(scene, form, bag, closed)) | {int(trace.t[-1])}
    falls = [
        fall_over(trace, *stretch, form.window, sign)
        for sign in ((1.0, -1.0) if form.window_rule == "first" else (1.0,))
        for stretch in _stretches_of(form, begins, ends)
    ]
    last = [fall.at for fall in falls if fall is not None]
    edges = np.array(sorted(begins | ends | {at + form.window for at in begins}), np.int64)
    at = np.unique(np.concatenate([edges, np.array(last, np.int64)]))
    between = [_extremes_between(trace.t, sign * trace.v, np.searchsorted(trace.t, edges)) for sign in (1.0, -1.0)]
    return np.concatenate([at, at - form.window, *between])


def _stretches_of(form: LeakCheck, begins: set[int], ends: set[int]) -> Iterator[tuple[int, int]]:
    """Between what instants the windows of a leak check may lie."""
    if form.window_rule == "first":
        yield from ((a, b + form.window) for a in begins for b in begins if a <= b)
    elif form.window_rule == "worst":
        yield from ((a, b) for a in begins for b in ends if b - a >= form.window)


def _candidates(scene: Scene, name: str | None, thing: Thing, found: When) -> set[int]:
    """The instants that have passed and may be an event that was found between bounds."""
    edges = {found.earliest, found.latest}
    for event in named(scene, name or ""):
        edges |= edges_of(scene, event, (thing.kind, thing.name))
    return {edge for edge in edges if abs(edge) < NEVER}


def _keep_recorded(scene: Scene, kept: dict[str, list[NDArray[np.int64]]]) -> None:
    """Of sensors whose recording or number is asked for: what is unknown, and the widest step between neighbouring cuts."""
    for form in (form for clause in scene.specification.clauses for form in clause.forms):
        if not isinstance(form, Recording | Count) or form.phase is None:
            continue
        try:
            things = things_of(scene, form)
        except CurewrightError:
            continue
        for thing in things:
            cuts = cuts_of(scene, (thing.kind, thing.name))
            for member in (thing.member,) if thing.member is not None else scene.members(form.group, thing):
                trace = scene.trace(member, None)
                widest = _widest(trace, np.searchsorted(trace.t, cuts)) if isinstance(form, Recording) else trace.t[:0]
                broken = np.flatnonzero(trace.link != JOINED)
                edges = trace.t[np.union1d(broken, np.minimum(broken + 1, len(trace.t) - 1))]
                _give_all(Atom(member.name, trace, (member,)), [(AROUND, cuts), (QUOTED, widest), (0, edges)], kept)
