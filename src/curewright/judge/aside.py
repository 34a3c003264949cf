"""What is left out of a group, over which stretch, by whose word or by which rule.

Unknown is not set aside. A member leaves only by a named person's ruling, or by the specification's rule for lost
thermocouples: enough must remain, the surveyed places among them, and the lost one must not have decided the signal
when it was lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.steps import NEVER
from curewright.terms.verdict import SetAside

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from curewright.judge.scene import Member, Scene

COLDEST, HOTTEST = "coldest", "hottest"


def rulings_on(scene: Scene, member: Member) -> tuple[SetAside, ...]:
    """The stretches over which named persons set this sensor aside."""
    if not scene.options.rulings:
        return ()
    names = {
        member.name,
        *(channel.name for channel, _, _ in member.pieces),
        *(line.sensor for line in member.assignments),
    }
    return tuple(
        SetAside(member.name, ruling.start, ruling.end, ruling.person, ruling.reason)
        for ruling in scene.hall.rulings
        if ruling.kind == "set aside" and ruling.sensor in names
    )


def losses(scene: Scene, member: Member) -> list[tuple[int, int]]:
    """The stretches over which a sensor is lost: from its last good sample when none follows for the stated time."""
    key = ("losses", member.name, member.role, id(member.channel), scene.options.second)
    if key not in scene.common:
        trace = scene.trace(member, None)
        lost_after = scene.specification.lost_after
        found = trace.unknown_stretches(0, scene.end)
        began = int(trace.t[0]) if len(trace.t) else NEVER
        scene.common[key] = [
            (start, NEVER if end >= scene.end and trace.value(scene.end) is None else end)
            for start, end, _ in found
            if end - start > lost_after and start >= began
        ]
    return scene.common[key]  # type: ignore[return-value]


def by_rule(scene: Scene, members: Sequence[Member], sides: frozenset[str]) -> dict[str, tuple[SetAside, ...]]:
    """What the specification's rule sets aside of a group, for a signal that its coldest and/or hottest member decides."""
    rule = scene.specification.lost
    if not (scene.options.rule and rule.may_set_aside and sides):
        return {}
    found: dict[str, tuple[SetAside, ...]] = {}
    for member in members:
        stretches = tuple(
            SetAside(
                member.name,
                start,
                end,
                "rule for lost thermocouples",
                "lost; enough others remain and it was not the one that decided",
            )
            for start, end in losses(scene, member)
            if _enough_remain(scene, members, start) and not _decided(scene, member, members, sides, start)
        )
        if stretches:
            found[member.name] = stretches
    return found


def why_kept(scene: Scene, members: Sequence[Member], sides: frozenset[str]) -> tuple[tuple[str, int, int, str], ...]:
    """(sensor, start, end, why) of each loss that the specification's rule does not set aside for such a signal, nor a
    person.
    """
    key = ("kept in", tuple(member.name for member in members), tuple(sorted(sides)))
    if key not in scene.kept:
        scene.kept[key] = tuple(_kept_in(scene, members, sides))
    return scene.kept[key]  # type: ignore[return-value]


def _kept_in(scene: Scene, members: Sequence[Member], sides: frozenset[str]) -> Iterator[tuple[str, int, int, str]]:
    for member in members:
        ruled = rulings_on(scene, member)
        for start, end in losses(scene, member):
            if not any(ruling.start <= start and end <= ruling.end for ruling in ruled):
                why = _why_kept(scene, member, members, sides, start)
                if why:
                    yield member.name, start, end, why


def _why_kept(scene: Scene, lost: Member, members: Sequence[Member], sides: frozenset[str], instant: int) -> str:
    """Why the rule does not set a lost one aside for such a signal ('' where it does)."""
    rule = scene.specification.lost
    if not rule.may_set_aside:
        return "the specification never sets a lost thermocouple aside"
    if not sides:
        return "a mean needs all of its thermocouples, so the rule may not set it aside"
    if not _enough_remain(scene, members, instant):
        places = "".join(f", the {place} among them" for place in rule.including)
        return f"fewer than {rule.remaining or 1} others go on{places}, so the rule may not set it aside"
    if not _decided(scene, lost, members, sides, instant):
        return ""
    ends = [side for side in (COLDEST, HOTTEST) if side in sides]
    decided = [side for side in ends if _decided(scene, lost, members, frozenset({side}), instant)]
    return f"it was the {' and the '.join(decided)} one then, so the rule may not set it aside"


def may_yet_be_set_aside(scene: Scene) -> bool:
    """Whether, in an open run, a thermocouple is silent or bad but not yet for the time after which the rule counts it
    as lost.
    """
    if not scene.specification.lost.may_set_aside:
        return False
    for member in scene.hall.members_of("judging", scene.part.serial):
        trace = scene.trace(member, None)
        silent = scene.end - int(trace.t[-1]) if len(trace.t) else 0
        if 0 < silent <= scene.specification.lost_after:
            return True
    return False


def _enough_remain(scene: Scene, members: Sequence[Member], instant: int) -> bool:
    rule = scene.specification.lost
    remaining = [m for m in members if not any(start <= instant < end for start, end in losses(scene, m))]
    remaining = [m for m in remaining if not any(s.start <= instant < s.end for s in rulings_on(scene, m))]
    places = {member.place for member in remaining}
    return len(remaining) >= (rule.remaining or 1) and all(place in places for place in rule.including)


def _decided(scene: Scene, lost: Member, members: Sequence[Member], sides: frozenset[str], instant: int) -> bool:
    """Whether the lost one may have been the coldest (hottest) when it was lost: no other is known to have been colder
    (hotter).
    """
    own = scene.trace(lost, None).value(instant)
    if own is None:
        return True
    others = [scene.trace(member, None).value(instant) for member in members if member is not lost]
    known = [value for value in others if value is not None]
    colder, hotter = any(value < own for value in known), any(value > own for value in known)
    return (COLDEST in sides and not colder) or (HOTTEST in sides and not hotter)


def aside_of(scene: Scene, members: Sequence[Member], sides: frozenset[str]) -> dict[str, tuple[SetAside, ...]]:
    """All that is set aside of a group for one signal, by member name (only members with something set aside)."""
    key = ("aside", tuple(map(id, members)), sides)
    known: tuple[dict[str, tuple[SetAside, ...]], Sequence[Member]] | None = scene.kept.get(key)  # type: ignore[assignment]
    if known is None:  # the members are kept with it, so that their ids stay theirs
        ruled = by_rule(scene, members, sides)
        found = {member.name: rulings_on(scene, member) + ruled.get(member.name, ()) for member in members}
        found = {name: stretches for name, stretches in found.items() if stretches}
        known = scene.kept[key] = (found, tuple(members))
    return known[0]
