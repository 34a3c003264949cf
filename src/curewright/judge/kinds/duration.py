"""Duration: a time to be spent in a phase, by a stated clock; one of several alternatives is enough.

When the signal leaves, the clock restarts (longest unbroken stretch), pauses (sum inside) or runs on (elapsed). The
low limit is held against the clock, the high limit always against elapsed time. Each is the box of what start and end
allow: least from the latest start to the earliest end counting what is surely true, greatest from the earliest start
to the latest end counting what is not surely false.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import compares, signals_in, steps_of, unit_of
from curewright.judge.decider import decider
from curewright.judge.events import Stretch, stretch_of
from curewright.judge.kinds.forgiven import forgiven
from curewright.judge.limits import Held, held
from curewright.judge.result import WORST, Result, readings, unknown_in, with_held_crossings
from curewright.judge.signals import envelope
from curewright.judge.steps import ALWAYS, NEVER, TRUE, UNKNOWN, Steps
from curewright.terms.light import light
from curewright.terms.requirement import Alternative, Clock, Compare
from curewright.terms.units import in_unit
from curewright.terms.verdict import Margin, Outcome, Reading

if TYPE_CHECKING:
    from curewright.judge.envelope import Atom, Envelope
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Condition, Duration

CLOCKS = ("restarts", "pauses", "runs on")


@light(frozen=True)
class Spent:
    """Time by the clock and elapsed time, each as least and greatest [ns]."""

    clock: tuple[int, int]
    elapsed: tuple[int, int]


def judge_duration(scene: Scene, form: Duration, thing: Thing) -> Result:
    """A duration for a thing: the best of its alternatives."""
    results = [_alternative(scene, alternative, thing) for alternative in form.alternatives]
    best = max(results, key=lambda result: (WORST[result.outcome], _size(result)))
    if len(results) > 1:
        number = results.index(best) + 1
        best = best.but(notes=(*best.notes, f"alternative {number} of {len(results)} is the one shown"))
    return best


def _size(result: Result) -> float:
    assert result.margin is not None  # a duration always has one
    return float(result.margin.value)


def _alternative(scene: Scene, asked: Alternative, thing: Thing) -> Result:
    limits = held(scene, asked.limits, unit_of(asked.limits))
    stretch = stretch_of(scene, asked.phase, thing)
    clock = _running(scene, asked.clock, thing, stretch)
    spent = spent_in(stretch, clock, asked.clock.when_it_leaves)
    outcome, reason = ruled(spent, limits, stretch)
    signal = _signal(scene, asked.clock.runs_while, thing)
    at = stretch.end.earliest if stretch.end.earliest < NEVER else stretch.record_end
    label, deciding = _decided(scene, asked, thing, signal, at) if stretch.possible else ("", ())
    result = Result(
        outcome,
        reason,
        limits.text,
        margin=_margin(spent, limits, at if stretch.possible else None, label, outcome),
        phase=stretch.bounds(asked.phase.start, asked.phase.end),
        set_aside=signal.aside if signal else (),
        atoms=signal.all_sensors if signal else (),
        deciding=deciding,
        notes=(*stretch.notes, *_both_times(spent, limits)),
        needs_whole_phase=True,
        beyond=outcome is Outcome.NOT_SHOWN and stretch.open_end,
    )
    if outcome is Outcome.NOT_SHOWN and signal and stretch.possible:
        result = result.but(unknown=unknown_in(signal, *stretch.possible))
    if not scene.options.others:
        return result
    return result.but(others=_others(scene, asked, thing, limits, stretch, clock, outcome))


def _running(scene: Scene, clock: Clock, thing: Thing, stretch: Stretch) -> Steps:
    """The condition under which the clock runs, with excursions inside its allowance counted as inside."""
    if clock.runs_while is None:
        return ALWAYS
    steps = steps_of(scene, clock.runs_while, thing)
    if clock.allowance is None or not isinstance(clock.runs_while, Compare):
        return steps
    return forgiven(scene, steps, clock.runs_while, clock.allowance, thing, stretch)


def spent_in(stretch: Stretch, clock: Steps, when_it_leaves: str) -> Spent:
    """Time by the clock and elapsed, in a phase that is known within bounds."""
    sure, possible = stretch.sure, stretch.possible
    if possible is None:
        most = NEVER if stretch.open_end else 0
        return Spent((0, most), (0, most))
    elapsed = (0 if sure is None else sure[1] - sure[0], NEVER if stretch.open_end else possible[1] - possible[0])
    if when_it_leaves == "runs on":
        return Spent(elapsed, elapsed)
    total = max if when_it_leaves == "restarts" else sum
    least = 0 if sure is None else total([b - a for a, b in clock.stretches(*sure, (TRUE,))] or [0])
    most = NEVER if stretch.open_end else total([b - a for a, b in clock.stretches(*possible, (UNKNOWN, TRUE))] or [0])
    return Spent((least, most), elapsed)


def ruled(spent: Spent, limits: Held, stretch: Stretch) -> tuple[Outcome, str]:
    """The outcome of a time known between bounds against its limits."""
    low, high = limits.judged.low, limits.judged.high
    if stretch.never and not stretch.open_end:
        return Outcome.NOT_MET, "the phase never started"
    too_short = low is not None and not low.low_met(spent.clock[1])
    too_long = high is not None and not high.high_met(spent.elapsed[0])
    if too_short or too_long:
        return Outcome.NOT_MET, " and ".join(["too short"] * too_short + ["too long"] * too_long)
    enough = low is None or low.low_met(spent.clock[0])
    within = high is None or high.high_met(spent.elapsed[1])
    if enough and within and (stretch.sure is not None):
        return Outcome.MET, "long enough" if high is None else "within its limits"
    why = (
        "the phase is not known to its end"
        if stretch.open_end
        else "its start, its end or what lies between is known only within bounds"
    )
    return Outcome.NOT_SHOWN, why


def _margin(spent: Spent, limits: Held, at: int | None, label: str, outcome: Outcome) -> Margin:
    """The distance to the nearer limit: worst case as value, both ends where they differ, beside the time that has it; when the
    phase ends, and on which sensor.
    """
    unit = limits.unit
    found: list[
        tuple[float, float, tuple[int, int]]
    ] = []  # worst and best distance, and the time held against that limit
    if limits.low is not None:
        found.append((spent.clock[0] - limits.low.grains, spent.clock[1] - limits.low.grains, spent.clock))
    if limits.high is not None:
        found.append((limits.high.grains - spent.elapsed[1], limits.high.grains - spent.elapsed[0], spent.elapsed))
    value, _, nearer = min(found)
    high = min(best for _, best, _ in found)
    open_low, open_high = value < -(NEVER // 2), high > NEVER // 2
    text = in_unit(high if open_low else value, unit)
    differ = value != high
    return Margin(
        text,
        unit.name,
        at,
        label,
        _span(nearer, limits),
        limits.text,
        None if not differ else ("not known" if open_low else in_unit(value, unit)),
        None if not differ else ("not known" if open_high else in_unit(high, unit)),
        differ and outcome is Outcome.NOT_SHOWN,
    )


def _both_times(spent: Spent, limits: Held) -> tuple[str, ...]:
    """Both times where each has a limit of its own and they differ: a longest time runs on while the clock does not."""
    if limits.low is None or limits.high is None or spent.clock == spent.elapsed:
        return ()
    unit = limits.unit.name
    return (f"{_span(spent.clock, limits)} {unit} by the clock, {_span(spent.elapsed, limits)} {unit} elapsed",)


def _span(pair: tuple[int, int], limits: Held) -> str:
    if pair[0] == pair[1]:
        return in_unit(pair[0], limits.unit)
    upper = "?" if pair[1] >= NEVER // 2 else in_unit(pair[1], limits.unit)
    return f"{in_unit(pair[0], limits.unit)} to {upper}"


def _decided(
    scene: Scene, asked: Alternative, thing: Thing, signal: Envelope | None, at: int
) -> tuple[str, tuple[Atom, ...]]:
    """The sensor on which the phase ends, where an event on sensors ends it; else that which has the value of the clock's signal
    then. A thermocouple that is judged for itself is named itself.
    """
    found: tuple[str, tuple[Atom, ...]] = ("", ())
    if signal is None or thing.member is None:
        found = decider(scene, asked.phase.end, thing, at)
    if found[0] or signal is None:
        return found
    value = signal.value(at)
    return (value.label if value else ""), ()


def _signal(scene: Scene, condition: Condition | None, thing: Thing) -> Envelope | None:
    found = signals_in(condition)
    if not found:
        return None
    compare = compares(condition)[0]
    return envelope(scene, found[0], thing, unit_of(compare.limits).reference)


def _others(
    scene: Scene, asked: Alternative, thing: Thing, limits: Held, stretch: Stretch, clock: Steps, outcome: Outcome
) -> tuple[Reading, ...]:
    """The other clocks, and the first sample in band instead of the exact crossing."""
    found = []
    for rule in CLOCKS:
        if rule != asked.clock.when_it_leaves and asked.clock.runs_while is not None:
            spent = spent_in(stretch, clock, rule)
            found.append(
                (
                    f"the clock {rule} when it leaves",
                    f"{_span(spent.clock, limits)} {limits.unit.name}",
                    ruled(spent, limits, stretch)[0],
                )
            )
    if not scene.options.held:
        sampled = with_held_crossings(scene)
        by_sample = stretch_of(sampled, asked.phase, thing)
        spent = spent_in(by_sample, _running(sampled, asked.clock, thing, by_sample), asked.clock.when_it_leaves)
        text = f"{_span(spent.clock, limits)} {limits.unit.name}"
        found.append(("first sample in band instead of the exact crossing", text, ruled(spent, limits, by_sample)[0]))
    return readings(outcome, found)
