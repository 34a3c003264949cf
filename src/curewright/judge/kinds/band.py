"""Band: a signal stays within limits over a phase, save for excursions that an allowance tolerates.

Not met: outside in the sure part (by more than the allowance). Met: nothing outside (beyond the allowance) and
nothing unknown over the possible part. A ``while`` condition narrows the phase; where it is not known to hold, a
breach is not shown. Excursions count from exact crossing to exact crossing, clipped to the phase, both sides added.
The margin is the distance of the extreme to the plain limit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import steps_of, within
from curewright.judge.envelope import ONE
from curewright.judge.events import Stretch, stretch_of
from curewright.judge.limits import APART, Held, Pair, held
from curewright.judge.result import Result, Ruled, guarded, instant_text, margin_of, nearest, over_stretch, unknown_in
from curewright.judge.signals import envelope
from curewright.judge.steps import ALWAYS, FALSE, TRUE, UNKNOWN, Steps, any_of
from curewright.terms.units import UNITS, in_unit
from curewright.terms.verdict import Excursion, Margin, Outcome, Unknown

if TYPE_CHECKING:
    from curewright.judge.envelope import Envelope, Extreme
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Allowance, Band, Spread
    from curewright.terms.units import Unit

MINUTES = UNITS["min"]


def judge_band(scene: Scene, form: Band | Spread, thing: Thing) -> Result:
    """A band for a thing."""
    signal = envelope(scene, form.signal, thing, form.unit.reference)
    limits = held(scene, form.limits, form.unit)
    stretch = stretch_of(scene, form.phase, thing)
    narrowing = None if form.while_ is None else steps_of(scene, form.while_, thing)
    plain = _ruled(signal, limits.judged, stretch, narrowing, limits, form.allowance)
    tight = (
        None if limits.guarded is None else _ruled(signal, limits.guarded, stretch, narrowing, limits, form.allowance)
    )
    ruled = guarded(tight, plain)
    return _with_evidence(ruled, signal, limits, stretch, form, narrowing)


def _ruled(
    signal: Envelope, pair: Pair, stretch: Stretch, narrowing: Steps | None, limits: Held, allowance: Allowance | None
) -> Ruled:
    ok = ALWAYS if _clear(signal, pair, stretch) else _ok(signal, pair, narrowing)
    ruled = over_stretch(ok, stretch)
    if (
        narrowing is not None
        and ruled.outcome is Outcome.MET
        and stretch.sure
        and TRUE not in narrowing.over(*stretch.sure)
    ):
        return Ruled(Outcome.NOT_SHOWN, "its 'while' condition never surely held in the phase: nothing to judge")
    if allowance is None or FALSE not in (ok.over(*stretch.possible) if stretch.possible else frozenset()):
        return ruled
    return _allowed(signal, ok, stretch, limits, allowance)


def look_at_band(scene: Scene, form: Band | Spread, thing: Thing) -> None:
    """Asks the run what a band asks, but for the extremes: of those nothing is left that a growing run goes by."""
    signal = envelope(scene, form.signal, thing, form.unit.reference)
    limits = held(scene, form.limits, form.unit)
    stretch = stretch_of(scene, form.phase, thing)
    narrowing = None if form.while_ is None else steps_of(scene, form.while_, thing)
    for pair in (limits.judged, limits.guarded):
        if pair is not None and not _clear(signal, pair, stretch):
            _ok(signal, pair, narrowing)


def _clear(signal: Envelope, pair: Pair, stretch: Stretch) -> bool:
    """Whether extremes alone tell that a signal is within a pair of thresholds over the phase."""
    return stretch.exact is not None and signal.clear_of(pair, *stretch.exact)


def _ok(signal: Envelope, pair: Pair, narrowing: Steps | None) -> Steps:
    ok = within(signal, pair)
    if signal.kind == ONE:  # a single sensor that is set aside is not judged there
        ok = ok.replaced([stretch for atom in signal.atoms for stretch in atom.aside], TRUE)
    return ok if narrowing is None else any_of((ok, narrowing.inverted()))


def _allowed(signal: Envelope, ok: Steps, stretch: Stretch, limits: Held, allowance: Allowance) -> Ruled:
    """The outcome with an allowance, from the excursions in the sure and in the possible part."""
    assert stretch.possible is not None
    if stretch.sure is not None:
        surely = _exceeded(excursions(signal, ok, *stretch.sure, limits), limits, allowance)
        if surely:
            return Ruled(Outcome.NOT_MET, surely)
    possibly = _exceeded(excursions(signal, ok, *stretch.possible, limits), limits, allowance)
    if stretch.sure is None or stretch.open_end:
        return Ruled(
            Outcome.NOT_SHOWN,
            "excursions inside the allowance so far; the phase is not known to its end",
            stretch.open_end,
        )
    if possibly or UNKNOWN in ok.over(*stretch.possible):
        return Ruled(Outcome.NOT_SHOWN, possibly or "not known throughout the phase")
    return Ruled(Outcome.MET, "outside the plain limits only as far as the allowance permits")


def excursions(
    signal: Envelope, ok: Steps, start: int, end: int, limits: Held
) -> list[tuple[int, int, float, Extreme]]:
    """(from, to, depth beyond the plain limit in grains, deepest value) of each sure stay outside in [start, end]."""
    found = []
    for begin, finish in ok.stretches(start, end, (FALSE,)):
        deepest = nearest(limits, *_both(signal, limits, begin, finish))
        if deepest is not None:
            found.append((begin, finish, -deepest[0], deepest[1]))
    return found


def _exceeded(found: list[tuple[int, int, float, Extreme]], limits: Held, allowance: Allowance) -> str:
    """Why excursions exceed the allowance, '' if they do not."""
    left = dict(_left(found, allowance))
    for what, spare in left.items():
        if spare < 0:
            unit = _unit_of(what, limits)
            return f"outside by more than the allowance ({what}: {in_unit(-spare, unit)} {unit.name} too much)"
    return ""


def _left(found: list[tuple[int, int, float, Extreme]], allowance: Allowance) -> list[tuple[str, float]]:
    left: list[tuple[str, float]] = []
    if allowance.at_a_time is not None:
        left.append(
            ("at a time", allowance.at_a_time - max((finish - begin for begin, finish, _, _ in found), default=0))
        )
    if allowance.in_all is not None:
        left.append(("in all", allowance.in_all - sum(finish - begin for begin, finish, _, _ in found)))
    if allowance.depth is not None:
        spare = round(allowance.depth.grains - max((depth for _, _, depth, _ in found), default=0.0))
        left.append(("depth", 0 if abs(spare) <= APART else spare))
    return left


def _with_evidence(
    ruled: Ruled, signal: Envelope, limits: Held, stretch: Stretch, form: Band | Spread, narrowing: Steps | None
) -> Result:
    """The outcome with its margin, the excursions, what is left of the allowance, and what is unknown where it is not shown."""
    possible, allowance = stretch.possible, form.allowance
    worst = None if possible is None else _extreme(signal, limits, possible, narrowing)
    margin, reason = None, ruled.reason
    unknown: tuple[Unknown, ...] = ()
    excursions_found: tuple[Excursion, ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    if possible is not None and (worst is None or ruled.outcome is Outcome.NOT_SHOWN):
        unknown = unknown_in(signal, *possible)
    if worst is not None:
        margin = _margin(ruled, signal, limits, stretch, narrowing, worst)
        if unknown:
            span = f"({instant_text(unknown[0].start)}, {instant_text(unknown[0].end)})"
            reason = f"{ruled.reason}: {unknown[0].channel} unknown over {span}"
        if worst[0] < 0:
            excursions_found, left = _listing(signal, limits, stretch, narrowing, allowance)
        elif allowance is not None:
            left = _spare(limits, [], allowance)
    return Result(
        ruled.outcome,
        reason,
        limits.text,
        margin,
        left,
        stretch.bounds(form.phase.start, form.phase.end),
        excursions_found,
        unknown,
        signal.aside,
        signal.all_sensors,
        notes=stretch.notes,
        beyond=ruled.beyond,
    )


def _margin(
    ruled: Ruled,
    signal: Envelope,
    limits: Held,
    stretch: Stretch,
    narrowing: Steps | None,
    worst: tuple[float, Extreme],
) -> Margin:
    """The distance of the extreme to the plain limit; both ends where the sure part has another one than the possible part."""
    best = worst
    if stretch.sure != stretch.possible:
        sure = None if stretch.sure is None else _extreme(signal, limits, stretch.sure, narrowing)
        best = worst if sure is None else sure
    chosen = best if ruled.outcome is Outcome.NOT_MET else worst
    ends = (worst[0], best[0]) if best[0] != worst[0] else (None, None)
    return margin_of(limits, *chosen, of_known=ruled.outcome is Outcome.NOT_SHOWN, low=ends[0], high=ends[1])


def _extreme(
    signal: Envelope, limits: Held, stretch: tuple[int, int], narrowing: Steps | None
) -> tuple[float, Extreme] | None:
    """The value nearest to (or farthest beyond) a plain limit over a stretch, where the 'while' condition may hold."""
    if narrowing is None:
        return nearest(limits, *_both(signal, limits, *stretch))
    parts = narrowing.stretches(*stretch, (UNKNOWN, TRUE))
    found = [nearest(limits, *_both(signal, limits, *part)) for part in parts]
    kept = [each for each in found if each is not None]
    return min(kept, key=lambda pair: (pair[0], pair[1].at, pair[1].label)) if kept else None


def _both(signal: Envelope, limits: Held, start: int, end: int) -> tuple[Extreme | None, Extreme | None]:
    least = signal.least(start, end) if limits.low is not None else None
    most = signal.greatest(start, end) if limits.high is not None else None
    return least, most


def _listing(
    signal: Envelope, limits: Held, stretch: Stretch, narrowing: Steps | None, allowance: Allowance | None
) -> tuple[tuple[Excursion, ...], tuple[tuple[str, str], ...]]:
    """Every excursion with its length and depth, and what is left of the allowance."""
    assert stretch.possible is not None
    ok = _ok(signal, limits.judged, narrowing)
    found = excursions(signal, ok, *stretch.possible, limits)
    apart = limits.unit.difference()
    listed = tuple(
        Excursion(
            extreme.label,
            begin,
            finish,
            in_unit(depth, apart),
            limits.unit.name,
            extreme.at,
            stretch.sure is not None and stretch.sure[0] <= begin and finish <= stretch.sure[1],
        )
        for begin, finish, depth, extreme in found
    )
    return listed, () if allowance is None else _spare(limits, found, allowance)


def _spare(
    limits: Held, found: list[tuple[int, int, float, Extreme]], allowance: Allowance
) -> tuple[tuple[str, str], ...]:
    return tuple(
        (what, f"{in_unit(spare, _unit_of(what, limits))} {_unit_of(what, limits).name}")
        for what, spare in _left(found, allowance)
    )


def _unit_of(what: str, limits: Held) -> Unit:
    return limits.unit.difference() if what == "depth" else MINUTES
