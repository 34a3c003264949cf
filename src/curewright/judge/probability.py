"""How probable it is that a requirement was truly met, beside its verdict: information, never an input (JCGM 106).

Given only where the whole uncertainty budget of every sensor involved is known, nothing of the phase is unknown, and
the question has an answer: a sensor, a mean, or a difference of two such within limits; the coldest at least, the
hottest at most; a spread; a value at an event; a time from one crossing to another. Errors that sensors share (wire
of one roll, recorder, reference junction) are integrated as shared. Events and 'while' are taken as found. Held
against the plain limits.
"""

from __future__ import annotations

from math import fsum, hypot, isinf
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.budgets import GRAINS, errors_of, family_of
from curewright.judge.conditions import compares, steps_of, unit_of
from curewright.judge.crossing import crossing
from curewright.judge.envelope import GREATEST, ONE, Envelope
from curewright.judge.limits import held
from curewright.judge.result import by_second_recorder
from curewright.judge.signals import common_reference, envelope
from curewright.judge.steps import TRUE
from curewright.physics import conformance
from curewright.physics.conformance_of_run import Extremes, probability_for_run
from curewright.physics.time_uncertainty import uncertainty_of_duration
from curewright.terms.requirement import AtEvent, Band, Duration, Spread
from curewright.terms.units import NANOSECONDS, in_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.judge.budgets import Errors
    from curewright.judge.envelope import Atom
    from curewright.judge.limits import Held
    from curewright.judge.result import Result
    from curewright.judge.scene import Member, Scene, Thing
    from curewright.terms.requirement import Condition, Requirement

    Stretches = Sequence[tuple[int, int]]

CLOSE = 0.0005  # bounds that print as one number
MINUTE = NANOSECONDS["min"]


def probability_text(scene: Scene, form: Requirement, thing: Thing, result: Result) -> str | None:
    """The probability with three decimals, from '0.001' (or less) to '0.999' (or more); None where it is not known."""
    found = probability_of(scene, form, thing, result)
    return None if found is None else f"{min(max(found, 0.001), 0.999):.3f}"


def probability_of(scene: Scene, form: Requirement, thing: Thing, result: Result) -> float | None:
    """The probability that the form was truly met for a thing; None where it is not known."""
    if not scene.hall.vessel.sensors:  # nobody stated what any of them may be off by
        return None
    phase = _exact(scene, result)
    if phase is None or by_second_recorder(result.atoms):  # its budget is another one
        return None
    if isinstance(form, Duration):
        return _of_duration(scene, form, thing, result, phase)
    if not isinstance(form, Band | Spread | AtEvent) or _unusual(form):
        return None
    stretches = _counted(scene, form, thing, phase)
    if not stretches or _begins_at_its_limit(scene, form):
        return None
    signal, limits = envelope(scene, form.signal, thing, form.unit.reference), held(scene, form.limits, form.unit)
    reference = form.unit.reference
    if form.signal.minus is not None:
        reference = common_reference(scene, form.signal, form.signal.minus, thing)
    if signal.less and signal.less is signal.sensors:
        return _of_spread(scene, signal, limits, stretches)
    rooms = _rooms(scene, signal, limits, stretches, reference)
    if rooms is None:
        return None
    scale = GRAINS[form.unit.quantity.removesuffix(" difference")]
    low, high = (None if one is None else one.grains / scale for one in (limits.low, limits.high))
    return probability_for_run(rooms, low, high)


def _exact(scene: Scene, result: Result) -> tuple[int, int] | None:
    """The phase of a decided verdict of a closed run, judged from its whole log with everything taken into account."""
    options, bounds = scene.options, result.phase
    if scene.hall.run.closing is None or not (options.rulings and options.rule and options.others):
        return None
    if result.margin is None or result.unknown or bounds is None:
        return None
    start, end = bounds.latest_start, bounds.earliest_end
    if start is None or end is None or (start, end) != (bounds.earliest_start, bounds.latest_end):
        return None
    return (start, end) if start <= end <= scene.end else None


def _unusual(form: Band | Spread | AtEvent) -> bool:
    """What has no budget (computed signals), another one (raw readings), or more than limits to it (an allowance)."""
    signals = [form.signal] if form.signal.minus is None else [form.signal, form.signal.minus]
    if any(signal.raw or signal.computed is not None for signal in signals):
        return True
    if form.unit.quantity.removesuffix(" difference") not in GRAINS:
        return True
    return not isinstance(form, AtEvent) and form.allowance is not None


def _begins_at_its_limit(scene: Scene, form: Band | Spread | AtEvent) -> bool:
    """Whether the judged sensors' reaching the very limit begins, ends or narrows the phase: off by a degree, they would
    have begun it elsewhere, and the question would be another one.
    """
    names = (form.event,) if isinstance(form, AtEvent) else (form.phase.start, form.phase.end)
    narrowing = None if isinstance(form, AtEvent) else form.while_
    ends = {one.grains for one in (form.limits.low, form.limits.high) if one is not None}
    return any(
        compare.signal.group.role == form.signal.group.role
        and any(one is not None and one.grains in ends for one in (compare.limits.low, compare.limits.high))
        for condition in (narrowing, *_shown_by(scene, names))
        for compare in compares(condition)
    )


def _shown_by(scene: Scene, names: Sequence[str | None]) -> list[Condition | None]:
    """The conditions by which events show themselves."""
    found: list[Condition | None] = []
    for name in names:
        for event in scene.specification.events:
            if event.name == name:
                found += [source.condition for source in event.sources]
                found += [] if event.sources else _shown_by(scene, (event.after,))
    return found


def _counted(scene: Scene, form: Band | Spread | AtEvent, thing: Thing, phase: tuple[int, int]) -> Stretches:
    if isinstance(form, AtEvent) or form.while_ is None:
        return [phase]
    return steps_of(scene, form.while_, thing).stretches(*phase, (TRUE,))


def _rooms(
    scene: Scene, signal: Envelope, limits: Held, stretches: Stretches, reference: str | None
) -> tuple[Extremes, ...] | None:
    """What each sensor that has to hold recorded, with its errors; None where that is not known, or not the question."""
    if signal.kind == ONE:
        if signal.cuts:
            return None
        weights = _weights(signal.sensors, 1.0) + _weights(signal.less, -1.0)
        atoms = [(signal.atoms[0], weights)] if _stated(scene, weights, reference) else []
    else:
        excess = limits.low if signal.kind == GREATEST else limits.high
        if excess is not None or signal.less or not _stated(scene, _weights(signal.sensors, 1.0), reference):
            return None  # the hottest at least, the coldest at most: one sensor is enough, and no bound on each
        atoms = [(atom, _weights((atom,), 1.0)) for atom in signal.sensors if _counts(signal, atom, stretches)]
    found = [_room(scene, signal, atom, each, stretches, reference) for atom, each in atoms]
    kept = tuple(room for room in found if room is not None)
    return kept if kept and len(kept) == len(found) else None


def _weights(atoms: Sequence[Atom], sign: float) -> list[tuple[Member, float]]:
    return [(member, sign / len(atom.members)) for atom in atoms for member in atom.members]


def _stated(scene: Scene, weights: Sequence[tuple[Member, float]], reference: str | None) -> bool:
    """Whether all budgets are whole, asked of a value that costs nothing to find."""
    return all(
        len(member.channel.v) > 0 and errors_of(scene.hall, member, float(member.channel.v[0]), reference) is not None
        for member, _ in weights
    )


def _room(
    scene: Scene,
    signal: Envelope,
    atom: Atom,
    weights: Sequence[tuple[Member, float]],
    stretches: Stretches,
    reference: str | None,
) -> Extremes | None:
    span = _span(signal, atom, stretches)
    if span is None:
        return None
    found = [(errors_of(scene.hall, member, _hottest(member, stretches), reference), by) for member, by in weights]
    known = [(errors, by) for errors, by in found if errors is not None]
    if len(known) < len(found):
        return None
    scale = GRAINS[family_of(weights[0][0])]
    return Extremes(span[0] / scale, span[1] / scale, *_together(known))


def _counts(signal: Envelope, atom: Atom, stretches: Stretches) -> bool:
    """Whether an atom is not set aside all along."""
    return any(atom in counting for start, end in stretches for _, _, counting in signal.counting(start, end))


def _span(signal: Envelope, atom: Atom, stretches: Stretches) -> tuple[float, float] | None:
    """Lowest and highest value of an atom where it counts; None where it is unknown or never counts."""
    values: list[float] = []
    for start, end in stretches:
        for a, b, counting in signal.counting(start, end):
            if atom in counting:
                found = atom.trace.extremes(a, b)
                if not found.known or found.unknown is not None:
                    return None
                values += [found.least, found.most]
    return (min(values), max(values)) if values else None


def _hottest(member: Member, stretches: Stretches) -> float:
    """The greatest sample of a sensor's first channel from the first stretch to the last (the first one after, if none)."""
    t, v = member.channel.t, member.channel.v
    first, last = np.searchsorted(t, stretches[0][0]), np.searchsorted(t, stretches[-1][1], side="right")
    chosen = v[first:last] if last > first else v[min(int(first), len(v) - 1) :][:1]
    return float(chosen.max())


def _together(errors: Sequence[tuple[Errors, float]]) -> tuple[float, tuple[tuple[str, float], ...]]:
    """Errors of a weighted sum: what is shared adds up with its sign, the rest in squares."""
    keys = dict.fromkeys(key for each, _ in errors for key, _ in each.shared)
    shared = tuple((key, abs(fsum(by * dict(each.shared).get(key, 0.0) for each, by in errors))) for key in keys)
    return hypot(*(by * each.own for each, by in errors)), shared


def _of_spread(scene: Scene, signal: Envelope, limits: Held, stretches: Stretches) -> float | None:
    """At most the probability of the worst pair, at least 1 less the risks of all pairs: a number where both agree."""
    atoms, axis = signal.sensors, signal.sensors[0].trace.t
    if signal.cuts or limits.high is None or any(atom.trace.t is not axis for atom in atoms):
        return None
    if not _stated(scene, _weights(atoms, 1.0), None):
        return None
    spans = [_span(Envelope(ONE, (atom,)), atom, stretches) for atom in atoms]
    errors = [errors_of(scene.hall, atom.members[0], _hottest(atom.members[0], stretches), None) for atom in atoms]
    if None in spans or None in errors:
        return None
    scale = GRAINS["temperature"]
    apart = _farthest(atoms, stretches) / scale
    risks = []
    for i, one in enumerate(errors):
        for j, other in enumerate(errors):
            if i != j and one is not None and other is not None:
                own, shared = _together([(one, 1.0), (other, -1.0)])
                u = hypot(own, *(each for _, each in shared))
                risks.append(1.0 - conformance.probability(apart[i, j], u, high=limits.high.grains / scale))
    least, most = max(0.0, 1.0 - fsum(risks)), 1.0 - max(risks, default=0.0)
    return (least + most) / 2 if most - least < CLOSE else None


def _farthest(atoms: Sequence[Atom], stretches: Stretches) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Greatest value of each less each [grains], shape (n, n), on one time axis that is known throughout."""
    t = atoms[0].trace.t
    apart = np.full((len(atoms), len(atoms)), -np.inf)
    for start, end in stretches:
        first, last = np.searchsorted(t, start), np.searchsorted(t, end, side="right")
        inner = np.stack([atom.trace.v[first:last] for atom in atoms])
        ends = np.array([[atom.trace.value(start), atom.trace.value(end)] for atom in atoms], dtype=np.float64)
        values = np.concatenate([inner, ends], axis=1)
        apart = np.maximum(apart, [(each - values).max(axis=1) for each in values])
    return apart


def _of_duration(scene: Scene, form: Duration, thing: Thing, result: Result, phase: tuple[int, int]) -> float | None:
    """A time from one crossing to another, each uncertain by u / slope; None where the clock stood still in between."""
    if len(form.alternatives) != 1 or result.margin is None:
        return None
    asked = form.alternatives[0]
    limits = held(scene, asked.limits, unit_of(asked.limits), decide=False)
    elapsed = phase[1] - phase[0]
    if result.margin.actual != in_unit(elapsed, limits.unit):
        return None
    start = crossing(scene, asked.phase.start, thing, phase[0])
    end = crossing(scene, asked.phase.end, thing, phase[1])
    if start is None or end is None or not (start[1] or end[1]):
        return None
    u = uncertainty_of_duration(start, end)
    low, high = (None if one is None else one.grains / MINUTE for one in (limits.low, limits.high))
    return None if isinf(u) else conformance.probability(elapsed / MINUTE, u, low, high)
