"""What a requirement kind hands back: outcome, reason, margin and evidence, before it is filed as a verdict."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.steps import FALSE, NEVER, TRUE, Steps
from curewright.judge.trace import GAP, LOST
from curewright.terms.light import light
from curewright.terms.units import in_unit
from curewright.terms.verdict import UNKNOWN_LISTED, Bounds, Excursion, Margin, Outcome, Reading, SetAside, Unknown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.judge.envelope import Atom, Envelope, Extreme
    from curewright.judge.events import Stretch
    from curewright.judge.limits import Held
    from curewright.judge.scene import Scene

WORST = {Outcome.NOT_MET: 0, Outcome.NOT_SHOWN: 1, Outcome.OPEN: 2, Outcome.MET: 3}
WHY = {GAP: "gap in the record", LOST: "bad or lost samples"}


@light(frozen=True)
class Result:
    """An outcome with its reason. ``beyond``: what lies after the end of the record could still decide it."""

    outcome: Outcome
    reason: str
    limit: str
    margin: Margin | None = None
    allowance_left: tuple[tuple[str, str], ...] = ()
    phase: Bounds | None = None
    excursions: tuple[Excursion, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    atoms: tuple[Atom, ...] = ()
    deciding: tuple[Atom, ...] = ()  # quoted besides: the sensors of the event that is the deciding instant
    others: tuple[Reading, ...] = ()
    notes: tuple[str, ...] = ()
    beyond: bool = False
    needs_whole_phase: bool = False  # a duration, or a value at an event: not to be had from a part of the phase
    statistic: tuple[float, float] | None = None  # least and greatest judged value in grains, for the probability

    def but(self, **changes: object) -> Result:
        """The same with some fields changed; as :func:`dataclasses.replace`, which takes six times as long."""
        if not changes.keys() <= self.__dict__.keys():
            raise TypeError(f"a result has no {', '.join(changes.keys() - self.__dict__.keys())}")
        made = Result.__new__(Result)
        made.__dict__.update(self.__dict__, **changes)
        return made


@light(frozen=True)
class Ruled:
    """An outcome and why, from three-valued logic alone."""

    outcome: Outcome
    reason: str
    beyond: bool = False


def over_stretch(ok: Steps, stretch: Stretch) -> Ruled:
    """A condition that has to hold throughout a phase: breached in the sure part, or nothing wrong or unknown over the
    possible part.
    """
    sure, possible = stretch.sure, stretch.possible
    if sure is not None and FALSE in ok.over(*sure):
        return Ruled(Outcome.NOT_MET, "outside the limits in the phase")
    if stretch.never or possible is None:
        return Ruled(Outcome.NOT_SHOWN, "the phase never started: nothing to judge", beyond=stretch.open_end)
    codes = ok.over(*possible)
    if sure is None:
        return Ruled(Outcome.NOT_SHOWN, "it is not known whether the phase took place", beyond=stretch.open_end)
    if stretch.open_end:
        return Ruled(Outcome.NOT_SHOWN, "the phase reaches beyond the record", beyond=True)
    if codes == {TRUE}:
        return Ruled(Outcome.MET, "within the limits throughout the phase")
    if FALSE in codes:
        return Ruled(Outcome.NOT_SHOWN, "outside the limits where it is not known whether the phase had begun or ended")
    return Ruled(Outcome.NOT_SHOWN, "not known throughout the phase")


def guarded(tight: Ruled | None, plain: Ruled) -> Ruled:
    """Decision rule with a guard band: met against the tightened, not met against the plain limits, between is not
    shown.
    """
    if tight is None or plain.outcome is not Outcome.MET or tight.outcome is Outcome.MET:
        return plain
    return Ruled(Outcome.NOT_SHOWN, "inside the guard band of the decision rule", plain.beyond)


def nearest(held: Held, least: Extreme | None, most: Extreme | None) -> tuple[float, Extreme] | None:
    """The smaller distance to a plain limit, with the value that has it (earliest, then by name, on ties)."""
    low = None if held.low is None or least is None else (least.value - held.low.grains, least)
    high = None if held.high is None or most is None else (held.high.grains - most.value, most)
    if low is None or high is None:
        return low or high
    return min(low, high, key=lambda pair: (pair[0], pair[1].at, pair[1].label))


def margin_of(
    held: Held,
    distance: float,
    extreme: Extreme,
    *,
    of_known: bool = False,
    low: float | None = None,
    high: float | None = None,
) -> Margin:
    """A margin in the unit of the limits."""
    apart = held.unit.difference()
    return Margin(
        in_unit(distance, apart),
        held.unit.name,
        extreme.at,
        extreme.label,
        in_unit(extreme.value, held.unit),
        held.text,
        None if low is None else in_unit(low, apart),
        None if high is None else in_unit(high, apart),
        of_known,
    )


def unknown_in(signal: Envelope, start: int, end: int, most: int = UNKNOWN_LISTED) -> tuple[Unknown, ...]:
    """The stretches of [start, end] over which sensors of a signal are not known (at most so many are listed)."""
    found = []
    for atom in signal.all_sensors:
        if atom.trace.extremes(start, end).unknown is None:
            continue
        for begin, finish, why in atom.trace.unknown_stretches(start, end):
            if not any(a <= begin and finish <= b for a, b in atom.aside):
                found.append(Unknown(atom.label, begin, finish, WHY[why]))
    return tuple(sorted(found, key=lambda u: (u.start, u.channel))[:most])


def by_second_recorder(atoms: Sequence[Atom]) -> bool:
    """Whether a second recorder speaks for any of the sensors."""
    for atom in atoms:  # noqa: SIM110 (asked of every verdict, and a generator costs more than the loop)
        if atom.trace.second is not None:
            return True
    return False


def second_notes(result: Result) -> tuple[str, ...]:
    """Which sensors of a result a second recorder speaks for inside its phase, and how well its clock is known."""
    phase = result.phase
    if phase is None or phase.earliest_start is None or not by_second_recorder(result.atoms):
        return ()
    end = NEVER if phase.latest_end is None else phase.latest_end
    by_recorder: dict[tuple[str, int], list[str]] = {}
    for atom in result.atoms:
        second = atom.trace.second
        if second is not None and second.fills(phase.earliest_start, end):
            by_recorder.setdefault((second.channel.recorder, second.plus_minus), []).append(atom.label)
    return tuple(
        f"the recorder {recorder} (its clock known to ± {bound / 1e9:.1f} s) speaks for {', '.join(names)} in gaps of the first one"
        for (recorder, bound), names in by_recorder.items()
    )


def with_held_crossings(scene: Scene) -> Scene:
    """The same scene read sample by sample: a level counts as reached at the first sample that shows it."""
    key = ("held scene",)
    if key not in scene.kept:
        options = replace(scene.options, held=True)
        scene.kept[key] = replace(scene, options=options, events={}, kept={})
    return scene.kept[key]  # type: ignore[return-value]


def readings(judged: Outcome, found: Sequence[tuple[str, str, Outcome]]) -> tuple[Reading, ...]:
    """Other readings of the same data, each with whether it would change the outcome."""
    return tuple(Reading(definition, actual, outcome, outcome is not judged) for definition, actual, outcome in found)


def instant_text(instant: int) -> str:
    """An instant as run time, +h:mm:ss.s since the start (never where it did not happen)."""
    if instant >= NEVER:
        return "never"
    sign = "-" if instant < 0 else "+"
    tenths = (abs(instant) + 50_000_000) // 100_000_000
    hours, rest = divmod(tenths, 36000)
    minutes, seconds = divmod(rest, 600)
    return f"{sign}{hours}:{minutes:02d}:{seconds // 10:02d}" + (f".{seconds % 10}" if seconds % 10 else "")
