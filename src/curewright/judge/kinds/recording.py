"""Recording: the time between neighbouring good samples of each sensor of a group stays within limits over a phase.

The stretch from the last good sample to the end of the phase counts as well. A bad sample is no recorded value.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.envelope import Atom
from curewright.judge.events import stretch_of
from curewright.judge.limits import Held, held
from curewright.judge.result import Result
from curewright.terms.units import in_unit
from curewright.terms.verdict import Margin, Outcome

if TYPE_CHECKING:
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import Recording


def judge_recording(scene: Scene, form: Recording, thing: Thing) -> Result:
    """The recording interval of a group for a thing."""
    limits = held(scene, form.limits, form.unit)
    members = (thing.member,) if thing.member is not None else scene.need(form.group, thing)
    atoms = tuple(Atom(member.name, scene.trace(member, None), (member,)) for member in members)
    stretch = stretch_of(scene, form.phase, thing)
    sure = None if stretch.sure is None else _longest(scene, atoms, *stretch.sure)
    possible = sure
    if stretch.possible != stretch.sure:
        possible = None if stretch.possible is None else _longest(scene, atoms, *stretch.possible)
    outcome, reason = _ruled(sure, possible, limits, open_end=stretch.open_end)
    shown = sure if outcome is Outcome.NOT_MET else possible
    margin = None
    if shown is not None:
        longest, at, label = shown
        value = in_unit(limits.margin(float(longest)), limits.unit)
        margin = Margin(value, limits.unit.name, at, label, in_unit(longest, limits.unit), limits.text)
    return Result(
        outcome,
        reason,
        limits.text,
        margin=margin,
        phase=stretch.bounds(form.phase.start, form.phase.end),
        atoms=atoms,
        notes=stretch.notes,
        beyond=outcome is Outcome.NOT_SHOWN and stretch.open_end,
    )


def _ruled(
    sure: tuple[int, int, str] | None, possible: tuple[int, int, str] | None, limits: Held, *, open_end: bool
) -> tuple[Outcome, str]:
    if sure is not None and not limits.judged.met(float(sure[0])):
        return Outcome.NOT_MET, "samples too far apart in the phase"
    if sure is None or possible is None:
        return Outcome.NOT_SHOWN, "it is not known whether the phase took place"
    if open_end or not limits.judged.met(float(possible[0])):
        return Outcome.NOT_SHOWN, "the phase is known only within bounds"
    return Outcome.MET, "recorded often enough throughout the phase"


def _longest(scene: Scene, atoms: tuple[Atom, ...], start: int, end: int) -> tuple[int, int, str]:
    """(longest time without a good sample, its start, sensor) over a stretch."""
    found = [(*_kept_longest(scene, atom.trace, start, end), atom.label) for atom in atoms]
    return max(found, key=lambda each: (each[0], -each[1], each[2]))


def _kept_longest(scene: Scene, trace: Trace, start: int, end: int) -> tuple[int, int]:
    """The same for one sensor, looked for once for all sensors that were sampled together."""
    if trace.bridged is not None:
        return _longest_of(trace, start, end)
    key = ("longest", id(trace.t), start, end)
    known: tuple[tuple[int, int], object] | None = scene.hall.kept.get(key)  # type: ignore[assignment]
    if known is None:  # the instants are kept with it, so that their id stays theirs
        known = scene.hall.kept[key] = (_longest_of(trace, start, end), trace.t)
    return known[0]


def _longest_of(trace: Trace, start: int, end: int) -> tuple[int, int]:
    first = max(int(np.searchsorted(trace.t, start, side="right")) - 1, 0)
    last = int(np.searchsorted(trace.t, end, side="left"))
    times, let_go = trace.t[first : last + 1], np.zeros(0, dtype=bool)
    if trace.bridged is not None:
        let_go = trace.bridged[first:last]
    if not len(times) or times[0] > start:
        times = np.concatenate([np.array([start], dtype=np.int64), times])
        let_go = np.concatenate([[False], let_go])
    if times[-1] < end:
        times = np.concatenate([times, np.array([end], dtype=np.int64)])
    if len(times) < 2:
        return 0, start
    apart = np.diff(times)
    apart[: len(let_go)][let_go[: len(apart)]] = 0
    i = int(np.argmax(apart))
    return int(apart[i]), int(times[i])
