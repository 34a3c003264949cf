"""What a verdict stands on: the sensors of its own signals, behind its conditions and its events, and inside a mean.

The evidence of a verdict quotes the sensors of its own signal. When a soak starts is decided by thermocouples too; whoever doubts one
of those doubts the verdict. Every source of an event counts, also one that was not needed: that can only block more.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

from curewright.judge.aside import losses, why_kept
from curewright.judge.result import instant_text
from curewright.judge.signals import SIDES, peers_of
from curewright.judge.steps import NEVER
from curewright.terms.requirement import Group, Limits, Signal, StateIs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.judge.result import Result
    from curewright.judge.scene import Member, Scene, Thing
    from curewright.terms.requirement import Requirement, Specification

NAMING = ("start", "end", "event", "first", "then", "closed", "opened", "starts", "after")
"""The fields of a plan that name an event."""
THERMOCOUPLES = ("part thermocouple", "tool thermocouple", "air thermocouple")
Asked = tuple[Group, str, "str | None"]
"""A group of sensors, how its signal is taken ('' for states and counts), and whose event it decides (None: the form's own)."""


def asked_by(scene: Scene, form: Requirement) -> tuple[Asked, ...]:
    """All that a form asks the sensors for, directly or through an event, each once."""
    key = ("asked", scene.hall.token(form), id(scene.specification))
    if key not in scene.hall.kept:
        scene.hall.kept[key] = tuple(dict.fromkeys(_asked(scene.specification, form)))
    return scene.hall.kept[key]  # type: ignore[return-value]


def _asked(specification: Specification, form: Requirement) -> Iterator[Asked]:
    events: list[str] = []
    for found in _groups_in(form, events):
        yield (*found, None)
    known = {event.name: event for event in specification.events}
    for name in events:  # grows while it is read: an event may stand after another one
        event = known.get(name)
        if event is not None:
            known.pop(name)
            for found in _groups_in(event, events):
                yield (*found, event.for_each)


def _groups_in(noun: object, events: list[str]) -> Iterator[tuple[Group, str]]:
    """The groups of sensors inside a piece of a plan; the names of the events that it speaks of go to ``events``."""
    for each in _nouns_in(noun, events):
        if isinstance(each, Signal):
            yield each.group, each.take
        elif isinstance(each, StateIs):
            yield each.group, ""
        else:
            found = (getattr(each, field.name) for field in fields(each))  # type: ignore[arg-type]
            yield from ((one, "") for one in found if isinstance(one, Group))


def _nouns_in(noun: object, events: list[str]) -> Iterator[object]:
    """A piece of a plan and all pieces inside it but limits and groups; the names of events go to ``events``."""
    if isinstance(noun, tuple):
        for each in noun:
            yield from _nouns_in(each, events)
    elif is_dataclass(noun) and not isinstance(noun, Limits | Group):
        yield noun
        for field in fields(noun):
            value = getattr(noun, field.name)
            if isinstance(value, str):
                events.extend([value] if field.name in NAMING else [])
            else:
                yield from _nouns_in(value, events)


def asks_for_computed(specification: Specification, form: Requirement) -> bool:
    """Whether a form asks for a computed signal, directly or through an event."""
    events: list[str] = []
    known = {event.name: event for event in specification.events}
    nouns: list[object] = [form]
    while nouns:
        if any(isinstance(each, Signal) and each.computed is not None for each in _nouns_in(nouns.pop(), events)):
            return True
        nouns += [known.pop(name) for name in events if name in known]
    return False


def sensors_behind(scene: Scene, form: Requirement, thing: Thing) -> tuple[str, ...]:
    """The names of all sensors that a verdict on a thing stands on, sorted."""
    key = ("behind", scene.hall.token(form), thing.kind if thing.member else "")
    found: tuple[frozenset[str], tuple[str, ...], bool] | None = scene.kept.get(key)  # type: ignore[assignment]
    if found is None:
        groups, own = _others_asked(scene, form, thing)
        names = frozenset([member.name for group in groups for member in scene.members(group, thing)])
        found = scene.kept[key] = (names, tuple(sorted(names)), own)
    names, listed, own = found
    return tuple(sorted({*names, thing.name})) if own and thing.name not in names else listed


def _others_asked(scene: Scene, form: Requirement, thing: Thing) -> tuple[tuple[Group, ...], bool]:
    """The groups that a form asks beside the thing that is judged, and whether it asks that one; the same for all parts."""
    key = ("others asked", scene.hall.token(form), id(scene.specification), thing.kind if thing.member else "")
    if key not in scene.hall.kept:
        asked = asked_by(scene, form)
        own = thing.member is not None and any(_is_the_thing(each, thing) for each in asked)
        others = [each[0] for each in asked if not (own and _is_the_thing(each, thing))]
        scene.hall.kept[key] = tuple(dict.fromkeys(others)), own
    return scene.hall.kept[key]  # type: ignore[return-value]


def _speaking(scene: Scene, asked: Asked, thing: Thing) -> tuple[Member, ...]:
    if thing.member is not None and _is_the_thing(asked, thing):
        return (thing.member,)
    return scene.members(asked[0], thing)


def _is_the_thing(asked: Asked, thing: Thing) -> bool:
    """Whether a signal of each sensor is that of the one which is judged."""
    group, take, owner = asked
    return take in ("each", "single") and group.role == thing.kind and owner in (None, thing.kind)


def members_behind(scene: Scene, form: Requirement, thing: Thing) -> Iterator[Member]:
    """Every sensor that a verdict hangs on: those it stands on and, where one of them was lost, those among which the rule for
    lost thermocouples looks.
    """
    for asked in asked_by(scene, form):
        members = _speaking(scene, asked, thing)
        yield from members
        if scene.specification.lost.may_set_aside and any(losses(scene, member) for member in members):
            yield from peers_of(scene, members, thing)


def why_not_aside(scene: Scene, form: Requirement, thing: Thing, result: Result) -> tuple[str, ...]:
    """For each lost thermocouple that a verdict waits for: why the rule for lost ones did not set it aside here."""
    found: dict[str, None] = {}
    for asked in asked_by(scene, form):
        group, take, _ = asked
        if group.role not in THERMOCOUPLES or not take:
            continue
        members = _speaking(scene, asked, thing)
        names = {member.name for member in members}
        for name, start, end, why in why_kept(scene, peers_of(scene, members, thing), SIDES[take]):
            if name in names and _touches(result, start, end):
                found[f"{name} was lost at {instant_text(start)}; {why}"] = None
    return tuple(found)


def _touches(result: Result, start: int, end: int) -> bool:
    """Whether a loss reaches into the phase that was judged, as far as its bounds are known."""
    phase = result.phase
    if phase is None:
        return True
    first = 0 if phase.earliest_start is None else phase.earliest_start
    last = NEVER if phase.latest_end is None else phase.latest_end
    return start <= last and end >= first
