"""Rate: the heating or cooling (or pressure) rate of a signal over a phase, by a stated definition.

Windowed definitions (least squares, end points): every sample instant t ends a window [t - W, t] that lies wholly in
the phase, is known throughout, crosses no change of membership, holds the stated number of samples, and in which the
``while`` condition holds throughout. No full window in the sure part: not shown. Absent rows only cost windows; a bad
sample inside a stretch in which windows would lie makes the rate there unknown, so the requirement cannot be met
(doubt never helps), and nor can it where the end-to-end rate over a gap itself breaks the limit. A falling rate is
the negative of the slope. Rates are compared after snapping the margin to 1 mK/min (1 Pa/min).
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.conditions import steps_of
from curewright.judge.envelope import Extreme
from curewright.judge.events import Stretch, stretch_of
from curewright.judge.kernels import even, slopes
from curewright.judge.kinds.rate_levels import between_levels, whole_phase
from curewright.judge.limits import Held, Pair, held
from curewright.judge.result import Result, Ruled, guarded, margin_of, nearest, readings
from curewright.judge.signals import envelope
from curewright.judge.steep import NO_WINDOWS, Windows, key_of
from curewright.judge.steps import TRUE, UNKNOWN, Steps
from curewright.judge.trace import LOST, Trace
from curewright.terms.light import light, made_once
from curewright.terms.requirement import RateDefinition
from curewright.terms.verdict import Margin, Outcome, Reading, Unknown

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.judge.envelope import Envelope
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Rate

WINDOWED = ("least squares", "end points")
KIND_OF = {"least squares": 0, "end points": 1, "sample to sample": 2}
Regions = list[tuple[int, int]]
LARGEST = 2**63
TEN_MINUTES = 10 * 60 * 10**9
Swept = tuple[list[list[int]], list[list[float]]]
"""By definition, as :data:`KIND_OF` numbers them: (count, instant of the least, of the greatest) and (least, greatest)."""


@light(frozen=True)
class Slopes:
    """The least and greatest rate in the sense of the requirement."""

    least: Extreme
    most: Extreme

    def met(self, pair: Pair) -> bool:
        """Whether all rates satisfy the thresholds."""
        low = pair.low is None or pair.low.low_met(self.least.value)
        return low and (pair.high is None or pair.high.high_met(self.most.value))


@light(frozen=True)
class Taken:
    """A rate as one definition takes it: over the sure and over the possible part, and why it cannot be shown to be met
    ('' if it can).
    """

    sure: Slopes | None
    possible: Slopes | None
    doubt: str = ""


def judge_rate(scene: Scene, form: Rate, thing: Thing) -> Result:
    """A rate for a thing."""
    signal = envelope(scene, form.signal, thing, None)  # a rate has no reference
    limits = held(scene, form.limits, form.unit)
    stretch = stretch_of(scene, form.phase, thing)
    trace = signal.one_trace(thing.name)
    where = _where(scene, form, thing, stretch, signal.cuts)
    asked = form.definition
    let_go = _let_go(scene, form, thing)
    sweep = Sweep(trace, where, asked.window or TEN_MINUTES, asked.samples or 2, form.sense, let_go)
    taken = _take(signal, sweep, asked, limits)
    ruled = _ruled(taken, limits.judged, stretch)
    if limits.guarded is not None:
        ruled = guarded(_ruled(taken, limits.guarded, stretch), ruled)
    note_windows(scene, thing, form, trace, where)
    return Result(
        ruled.outcome,
        ruled.reason,
        limits.text,
        _margin(ruled.outcome, taken, limits),
        phase=stretch.bounds(form.phase.start, form.phase.end),
        set_aside=signal.aside,
        atoms=signal.all_sensors,
        others=_others(signal, sweep, form, limits, ruled.outcome) if scene.options.others else (),
        notes=stretch.notes,
        beyond=ruled.beyond,
        unknown=_unknown(trace, stretch) if ruled.outcome is Outcome.NOT_SHOWN else (),
    )


def look_at_rate(scene: Scene, form: Rate, thing: Thing) -> None:
    """Asks the run what a rate asks, but for the windows themselves: where they may lie is remembered."""
    if form.definition.kind not in KIND_OF:
        judge_rate(scene, form, thing)
        return
    signal = envelope(scene, form.signal, thing, None)
    where = _where(scene, form, thing, stretch_of(scene, form.phase, thing), signal.cuts)
    note_windows(scene, thing, form, signal.one_trace(thing.name), where)


def _where(scene: Scene, form: Rate, thing: Thing, stretch: Stretch, cuts: tuple[int, ...]) -> Where:
    """Where windows may lie, made once for all sensors that share a phase."""
    if form.while_ is not None:
        return Where(stretch, steps_of(scene, form.while_, thing), cuts)
    key = ("where", id(stretch), cuts)
    found = scene.kept.get(key)
    if found is None:  # which holds the phase, so that its id stays its own
        found = scene.kept[key] = Where(stretch, None, cuts)
    return found  # type: ignore[return-value]


def _let_go(scene: Scene, form: Rate, thing: Thing) -> Windows:
    """The windows of a rate for a thing whose samples a growing run has let go."""
    kept = scene.hall.windows
    return kept.get(key_of(scene.part.serial, form, thing.kind, thing.name), NO_WINDOWS) if kept else NO_WINDOWS


def note_windows(scene: Scene, thing: Thing, form: Rate, trace: Trace, where: Where) -> None:
    """Remembers which windows were asked for, so that a live run keeps what they may need."""
    scene.kept[("windows", scene.hall.token(form), thing.kind, thing.name)] = (trace, form, where)


@light(frozen=True)
class Where:
    """Where windows may lie: the phase, the 'while' condition, and the changes of membership that no window crosses."""

    stretch: Stretch
    narrowing: Steps | None
    cuts: tuple[int, ...]

    @made_once
    def surely(self) -> Regions:
        """The stretches of the sure part in which the condition surely holds."""
        return self.regions(self.stretch.sure, (TRUE,))

    @made_once
    def possibly(self) -> Regions:
        """The stretches of the possible part in which the condition surely holds."""
        return (
            self.surely if self.stretch.sure == self.stretch.possible else self.regions(self.stretch.possible, (TRUE,))
        )

    @made_once
    def perhaps(self) -> Regions:
        """The stretches of the possible part in which the condition may hold."""
        return self.regions(self.stretch.possible, (UNKNOWN, TRUE))

    @made_once
    def exactly(self) -> bool:
        """Whether the sure part and the possible part give the same windows."""
        return self.surely is self.possibly or self.surely == self.possibly

    def regions(self, part: tuple[int, int] | None, codes: tuple[int, ...]) -> Regions:
        """The stretches of a part of the phase in which the condition has only these codes, cut at changes of
        membership. What follows a change begins one nanosecond later: a signal of several sensors has two samples at
        the instant of the change, one for each membership, and no window holds both.
        """
        if part is None:
            return []
        whole = [part] if self.narrowing is None else self.narrowing.stretches(*part, codes)
        if not self.cuts:
            return whole
        found: Regions = []
        for start, end in whole:
            edges = [start, *(cut for cut in self.cuts if start < cut < end), end]
            found += [(a if a == start else a + 1, b) for a, b in pairwise(edges)]
        return found


@light(frozen=True, eq=False)
class Sweep:
    """The steepest windows of a trace by all three sliding definitions, each part of the phase gone through once."""

    trace: Trace
    where: Where
    window: int
    samples: int
    sense: str
    let_go: Windows = NO_WINDOWS  # those of which a growing run has kept the rate only

    @made_once
    def surely(self) -> tuple[Slopes | None, ...]:
        """By definition, as :data:`KIND_OF` numbers them: the rates over the sure part, None where no window lies in it."""
        return self._over(self.where.surely)

    @made_once
    def possibly(self) -> tuple[Slopes | None, ...]:
        """The same over the possible part."""
        return self.surely if self.where.exactly else self._over(self.where.possibly)

    def _over(self, regions: Regions) -> tuple[Slopes | None, ...]:
        if not regions:
            return (None, None, None)
        instants, rates = steepest(self.trace, regions, self.window, self.samples)
        if self.let_go.definition is not None:
            number = KIND_OF[self.let_go.definition.kind]
            instants[number], rates[number] = self.let_go.weighed(regions, instants[number], rates[number])
        return tuple(map(self._slopes, instants, rates))

    def _slopes(self, instants: list[int], rates: list[float]) -> Slopes | None:
        count, least_at, most_at = instants
        if not count:
            return None
        (least, most), name = rates, self.trace.name
        if self.sense == "falling":
            return Slopes(Extreme(-most, most_at, name), Extreme(-least, least_at, name))
        return Slopes(Extreme(least, least_at, name), Extreme(most, most_at, name))

    @made_once
    def known(self) -> bool:
        """Whether the trace is known wherever a window may lie."""
        return not self.trace.breaks and all(self.trace.spans(start, end) for start, end in self.where.perhaps)

    def doubt(self, window: int, limits: Held) -> str:
        """Why windows that the data could have given may be missing: bad samples, or a gap whose own rate breaks the limit."""
        return "" if self.known else _doubt(self.trace, self.where, window, self.sense, limits)


def _take(signal: Envelope, sweep: Sweep, definition: RateDefinition, limits: Held) -> Taken:
    """The rate by one definition."""
    kind = definition.kind
    if kind == "between levels":
        return _instantaneous(between_levels(signal, definition, sweep.where.stretch), sweep.sense, sweep.trace.name)
    if kind == "whole phase":
        return _instantaneous(whole_phase(signal, sweep.where.stretch), sweep.sense, sweep.trace.name)
    window = definition.window or 0
    if kind == "least squares" and not exact(sweep.trace, window):
        return Taken(
            None, None, "its windows hold too much to be added up exactly: state a shorter window, or end points"
        )
    number = KIND_OF[kind]
    return Taken(sweep.surely[number], sweep.possibly[number], sweep.doubt(window, limits))


def exact(trace: Trace, window: int) -> bool:
    """Whether the sums of every least-squares window fit into 63 bits, so that what they come to is exact (products on the
    way may wrap round and back).

    Counted from a window's last sample no sum exceeds n x W x max(W, range), with n samples in W [ms] over a range [grains].
    """
    if not len(trace.t):
        return True
    length = window // 1_000_000 + 1
    each = length * max(length, int(trace.span) + 1)
    if len(trace.t) * each < LARGEST:
        return True
    held = np.arange(1, len(trace.t) + 1) - np.searchsorted(trace.t, trace.t - window)
    return int(held.max()) * each < LARGEST


def _instantaneous(found: tuple[tuple[float, int], tuple[float, int], bool] | str, sense: str, label: str) -> Taken:
    """A single rate that is known within bounds, as sure (if one of its bounds holds for sure) and possible."""
    if isinstance(found, str):
        return Taken(None, None, found)
    ends = [Extreme(rate if sense == "rising" else -rate, at, label) for rate, at in found[:2]]
    least, most = min(ends, key=lambda e: e.value), max(ends, key=lambda e: e.value)
    slopes_found = Slopes(least, most)
    if found[2]:
        return Taken(slopes_found, slopes_found)
    return Taken(None, slopes_found, "its instants are known only within bounds")


def rates_in(trace: Trace, definition: RateDefinition, start: int, end: int) -> tuple[int, NDArray[np.float64]]:
    """(index of the first sample, rate that ends at each sample from there on) inside a stretch; nan where there is no
    window.
    """
    window, samples = definition.window or 0, definition.samples or 2
    if definition.kind == "least squares":
        return slopes.each_least_squares(trace.t, trace.ms, trace.v, trace.window_link, start, end, window, samples)
    each = slopes.each_end_points if definition.kind == "end points" else slopes.each_sample_to_sample
    return each(trace.t, trace.v, trace.window_link, start, end, window, samples)


def steepest(trace: Trace, regions: Regions, window: int, samples: int) -> Swept:
    """The steepest windows over several stretches together, by each of the three sliding definitions."""
    bounds = np.array(regions, dtype=np.int64).T.copy()
    arrays = (trace.t, trace.ms, trace.v, trace.window_link, *trace.even_runs, bounds[0], bounds[1])
    instants, rates = even.steepest_by_each(7, *arrays, window, samples, trace.span)
    return instants.tolist(), rates.tolist()


def _doubt(trace: Trace, where: Where, window: int, sense: str, limits: Held) -> str:
    """Why windows may be missing in what is not known throughout."""
    for start, end in where.perhaps:
        if end - start < window or not trace.extremes(start, end).unknown:
            continue
        for begin, finish, why in trace.unknown_stretches(start, end):
            if why == LOST:
                return "bad or lost samples where a window would lie"
            before, after = trace.value(begin), trace.value(finish)
            if before is None or after is None:
                continue
            chord = (after - before) / ((finish - begin) / 1e6) * slopes.PER_MINUTE
            if not limits.judged.met(chord if sense == "rising" else -chord):
                return "the end-to-end rate over a gap is outside the limits"
    return ""


def _ruled(taken: Taken, pair: Pair, stretch: Stretch) -> Ruled:
    if taken.sure is not None and not taken.sure.met(pair):
        return Ruled(Outcome.NOT_MET, "a rate outside the limits")
    if stretch.never:
        return Ruled(Outcome.NOT_SHOWN, "the phase never started: nothing to judge", stretch.open_end)
    if stretch.open_end:
        return Ruled(Outcome.NOT_SHOWN, "the phase reaches beyond the record", beyond=True)
    if taken.sure is None:
        return Ruled(Outcome.NOT_SHOWN, taken.doubt or "no full window in the phase")
    if taken.possible is not None and not taken.possible.met(pair):
        return Ruled(
            Outcome.NOT_SHOWN, "a rate outside the limits where it is not known whether the phase had begun or ended"
        )
    if taken.doubt:
        return Ruled(Outcome.NOT_SHOWN, taken.doubt)
    return Ruled(
        Outcome.MET,
        "all rates within the limits",
    )


def _margin(outcome: Outcome, taken: Taken, limits: Held) -> Margin | None:
    shown = taken.sure if outcome is Outcome.NOT_MET else (taken.possible or taken.sure)
    chosen = None if shown is None else nearest(limits, shown.least, shown.most)
    if chosen is None:
        return None
    distance, extreme = chosen
    rounded = Extreme(float(round(extreme.value)), extreme.at, extreme.label)
    return margin_of(limits, float(round(distance)), rounded, of_known=outcome is Outcome.NOT_SHOWN)


def _unknown(trace: Trace, stretch: Stretch) -> tuple[Unknown, ...]:
    if stretch.possible is None or trace.extremes(*stretch.possible).unknown is None:
        return ()
    why = {LOST: "bad or lost samples"}
    found = trace.unknown_stretches(*stretch.possible)[:20]
    return tuple(Unknown(trace.name, start, end, why.get(reason, "gap in the record")) for start, end, reason in found)


def _others(signal: Envelope, sweep: Sweep, form: Rate, limits: Held, outcome: Outcome) -> tuple[Reading, ...]:
    """The other definitions of a rate, with the same window where they need one."""
    found = []
    for definition, name in _other_definitions(form.definition.kind, sweep.window, sweep.samples):
        taken = _take(signal, sweep, definition, limits)
        shown = taken.sure or taken.possible
        text = "no full window"
        if shown is not None:
            unit = limits.unit
            text = f"{unit.from_grains(shown.least.value):.2f} to {unit.from_grains(shown.most.value):.2f} {unit.name}"
        found.append((name, text, _ruled(taken, limits.judged, sweep.where.stretch).outcome))
    return readings(outcome, found)


@cache
def _other_definitions(kind: str, window: int, samples: int) -> tuple[tuple[RateDefinition, str], ...]:
    """The definitions beside one of a kind, each with its name."""
    others = [each for each in ("least squares", "end points", "sample to sample", "whole phase") if each != kind]
    names = [f"{each} over {window / 6e10:g} min" if each in WINDOWED else each for each in others]
    return tuple((RateDefinition(each, window, samples), name) for each, name in zip(others, names, strict=True))
