"""Events: the first (or last) instant from which a condition holds, each known between bounds, and phases between two
of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.conditions import steps_of
from curewright.judge.scene import Thing
from curewright.judge.steps import NEVER, When, first_stay, last_stay
from curewright.terms.light import light, made_once
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS
from curewright.terms.verdict import Bounds

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.judge.steps import Steps
    from curewright.terms.requirement import Event, Phase, Source
    from curewright.terms.run import Entry


def when(scene: Scene, name: str, thing: Thing) -> When:
    """When an event happened, as seen from a thing: earliest and latest, or never."""
    if name in (RECORD_STARTS, RECORD_ENDS):
        return _of_the_record(scene, name)
    seen = (name, thing.kind, thing.name)
    found = scene.events.get(seen)
    if found is None:
        event = scene.specification.event(name)
        owner = seen_from(scene, event, thing)
        key = (name, owner.kind, owner.name)
        found = scene.events.get(key)
        if found is None:
            found = scene.events[key] = _when(scene, event, owner)
        scene.events[seen] = found
    return found


def _of_the_record(scene: Scene, name: str) -> When:
    """The start or the end of the record."""
    key = (name, "", "")
    if key not in scene.events:
        covers = scene.hall.covers
        end = When(scene.end, scene.end if covers else NEVER, beyond=not covers)
        scene.events[key] = When(0, 0) if name == RECORD_STARTS else end
    return scene.events[key]


def seen_from(scene: Scene, event: Event, thing: Thing) -> Thing:
    """The thing for which an event is found: the thermocouple judged for events of each thermocouple, else its part,
    bag or the run.
    """
    if event.for_each == thing.kind:
        return thing
    if event.for_each == "bag":
        return Thing("bag", scene.part.bag)
    if event.for_each in ("run", "vessel"):
        return Thing("vessel", scene.hall.vessel.name)
    return Thing("part", scene.part.serial)


def _when(scene: Scene, event: Event, thing: Thing) -> When:
    after = when(scene, event.after, thing) if event.after else When(0, 0)
    if not event.sources:
        return after.shifted(event.delay)  # an event that is nothing but so long after another one
    for source in event.sources:
        found = _by_source(scene, event, source, thing, after)
        if found is not None:
            return found.shifted(event.delay)
    return _not_shown(scene, after)


def _not_shown(scene: Scene, after: When) -> When:
    """Nothing in the run can show the event: it may have been at any time, or never."""
    return When(min(after.earliest, NEVER), NEVER, ("nothing in this run shows it",), beyond=not scene.hall.covers)


def source_of(scene: Scene, event: Event, owner: Thing) -> Source | None:
    """The source that shows an event of a thing in this run; None where it has none."""
    after = when(scene, event.after, owner) if event.after else When(0, 0)
    shown = (source for source in event.sources if _by_source(scene, event, source, owner, after) is not None)
    return next(shown, None)


def state_behind(scene: Scene, name: str, thing: Thing) -> Steps | None:
    """The state by which a run shows an event, over the whole record; None where something else shows it."""
    if name in (RECORD_STARTS, RECORD_ENDS):
        return None
    event = scene.specification.event(name)
    owner = seen_from(scene, event, thing)
    after = when(scene, event.after, owner) if event.after else When(0, 0)
    for source in event.sources:
        if source.by == "state" and source.condition is not None and _has_channel(scene, source, owner):
            return steps_of(scene, source.condition, owner)
        if _by_source(scene, event, source, owner, after) is not None:
            return None
    return None


def _by_source(scene: Scene, event: Event, source: Source, thing: Thing, after: When) -> When | None:
    """The event by one of its sources; None where the run has nothing of that kind (then the next source is asked)."""
    if source.by == "entry":
        return _by_entry(scene, source.entry or event.name, thing, after if event.after else ANY_TIME, source.which)
    assert source.condition is not None
    if source.by == "state" and not _has_channel(scene, source, thing):
        return None
    steps = steps_of(scene, source.condition, thing)
    covers, end = scene.hall.covers, scene.end
    if source.which == "for good":
        found = last_stay(steps, after, end, covers=covers)
    else:
        found = first_stay(steps, after, source.stays, end, covers=covers)
    if source.by == "inferred":
        found = replace(found, notes=(*found.notes, f"'{event.name}' inferred from the trace"))
    return found


def _has_channel(scene: Scene, source: Source, thing: Thing) -> bool:
    from curewright.terms.requirement import AllOf, AnyOf, StateIs

    def groups(condition: object) -> list[StateIs]:
        if isinstance(condition, StateIs):
            return [condition]
        if isinstance(condition, AllOf | AnyOf):
            return [found for each in condition.conditions for found in groups(each)]
        return []

    return all(scene.members(state.group, thing) for state in groups(source.condition))


def entries_of(scene: Scene, name: str, thing: Thing) -> tuple[Entry, ...]:
    """Hand entries of that name about this thing (or about the part, its bag, its tool, or the whole run)."""
    about = {thing.name, *scene.near}
    return tuple(entry for entry in scene.hall.run.entries if entry.name == name and entry.thing in about)


ANY_TIME = When(-NEVER, -NEVER)  # a person may have written down what was before the record starts (out of the freezer)


def _by_entry(scene: Scene, name: str, thing: Thing, after: When, which: str) -> When | None:
    entries = entries_of(scene, name, thing)
    kept = [entry for entry in entries if entry.at + entry.plus_minus >= after.earliest]
    if not kept:
        return None
    entry = max(kept, key=lambda e: e.at) if which == "for good" else min(kept, key=lambda e: e.at)
    late = entry.at + entry.plus_minus
    until = None if entry.until is None else (entry.until - entry.plus_minus, entry.until + entry.plus_minus)
    sure = entry.at - entry.plus_minus >= after.latest
    note = f"'{name}' by hand entry of {entry.person}" + (f" ({entry.file}:{entry.line})" if entry.file else "")
    return When(max(entry.at - entry.plus_minus, after.earliest), late if sure else NEVER, (note,), until)


@light(frozen=True)
class Stretch:
    """A phase with its bounds: sure from latest start to earliest end, possible from earliest start to latest end.

    ``possible_end`` is cut at the end of the record; ``open_end`` says that the phase may go on where the record does
    not reach.
    """

    start: When
    end: When
    record_end: int
    covers: bool

    @made_once
    def never(self) -> bool:
        """The phase surely never started (or surely ended before it could start)."""
        return self.start.never or self.start.earliest > self.end.latest

    @property
    def sure_start(self) -> bool:
        """The phase surely started."""
        return self.start.latest < NEVER

    @made_once
    def sure(self) -> tuple[int, int] | None:
        """Latest start to earliest end, None where the phase may have no extent or not exist."""
        if self.start.latest >= NEVER:
            return None
        end = min(self.end.earliest, self.record_end)
        return (self.start.latest, end) if self.start.latest <= end else None

    @made_once
    def possible(self) -> tuple[int, int] | None:
        """Earliest start to latest end inside the record, None where it never started."""
        if self.never:
            return None
        end = min(self.end.latest, self.record_end)
        return (self.start.earliest, end) if self.start.earliest <= end else None

    @made_once
    def exact(self) -> tuple[int, int] | None:
        """From when to when, where the sure part is the possible part, in a record that covers the run; else None."""
        return self.sure if self.covers and self.sure == self.possible else None

    @made_once
    def open_end(self) -> bool:
        """Whether the phase may reach beyond the record, into what nobody knows."""
        return not self.covers and (self.end.latest > self.record_end or self.start.latest > self.record_end)

    def bounds(self, start: str, end: str) -> Bounds:
        """The bounds as they are printed."""
        if (start, end) not in self._bounds:
            instants = (self.start.earliest, self.start.latest, self.end.earliest, self.end.latest)
            first, latest, earliest, last = (instant if instant < NEVER else None for instant in instants)
            self._bounds[start, end] = Bounds(first, latest, earliest, last, start, end)
        return self._bounds[start, end]

    @made_once
    def _bounds(self) -> dict[tuple[str, str], Bounds]:
        return {}

    @made_once
    def notes(self) -> tuple[str, ...]:
        """How its ends were found."""
        return tuple(dict.fromkeys((*self.start.notes, *self.end.notes)))


def stretch_of(scene: Scene, phase: Phase, thing: Thing) -> Stretch:
    """A phase of a specification as it was in this run, for a thing."""
    own = thing.name if _is_own(scene, phase, thing.kind) else ""
    seen = ("phase", phase.start, phase.end, thing.kind, own)
    known = scene.kept.get(seen)
    if known is None:
        known = scene.kept[seen] = _stretch_of(scene, phase, thing)
    return known  # type: ignore[return-value]


def _is_own(scene: Scene, phase: Phase, kind: str) -> bool:
    """Whether each thing of a kind has an end of the phase of its own; else all of a part share it."""
    key = ("own phase", id(scene.specification), phase.start, phase.end, kind)
    if key not in scene.hall.kept:
        names = [name for name in (phase.start, phase.end) if name not in (RECORD_STARTS, RECORD_ENDS)]
        scene.hall.kept[key] = any(scene.specification.event(name).for_each == kind for name in names)
    return scene.hall.kept[key]  # type: ignore[return-value]


def _stretch_of(scene: Scene, phase: Phase, thing: Thing) -> Stretch:
    start, end = when(scene, phase.start, thing), when(scene, phase.end, thing)
    key = ("stretch", id(start), id(end))
    found = scene.kept.get(key)
    if found is None:  # which holds both ends, so that their ids stay theirs
        found = scene.kept[key] = Stretch(start, end, scene.end, scene.hall.covers)
    return found  # type: ignore[return-value]
