"""From a signal of the specification to the envelope of traces that answers for it, for a part, bag or thermocouple."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.aside import COLDEST, HOTTEST, aside_of
from curewright.judge.computed_signal import computed_envelope
from curewright.judge.envelope import GREATEST, LEAST, ONE, Atom, Envelope, mean_of
from curewright.terms.errors import SpecificationError
from curewright.terms.requirement import Group

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.judge.scene import Member, Scene, Thing
    from curewright.terms.requirement import Signal
    from curewright.terms.verdict import SetAside

ALL_OF_A_PART = Group("part thermocouple")
SIDES = {
    "coldest": frozenset({COLDEST}),
    "hottest": frozenset({HOTTEST}),
    "spread": frozenset({COLDEST, HOTTEST}),
    "each": frozenset({COLDEST, HOTTEST}),
    "single": frozenset({COLDEST, HOTTEST}),
    "mean": frozenset(),
}


def envelope(scene: Scene, signal: Signal, thing: Thing, reference: str | None) -> Envelope:
    """The envelope of a signal for a thing, in a pressure reference (None for temperatures and differences)."""
    token = scene.hall.token(signal)
    key: tuple[object, ...] = ("envelope", token, thing.kind, thing.name, reference)
    found = scene.kept.get(key)
    if found is None:
        shared = ("envelope", id(scene.specification), scene.options, token, reference)
        found = scene.hall.kept.get(shared) if of_vessel(signal) else None
        if found is None:
            found = _envelope(scene, signal, thing, reference)
            if of_vessel(signal):
                scene.hall.kept[shared] = found
        scene.kept[key] = found
    return found  # type: ignore[return-value]


def of_vessel(signal: Signal) -> bool:
    """Whether a signal is the same for all parts of a load."""
    whole = signal.computed is None and signal.group.role in ("air thermocouple", "vessel pressure")
    return whole and (signal.minus is None or of_vessel(signal.minus))


def _envelope(scene: Scene, signal: Signal, thing: Thing, reference: str | None) -> Envelope:
    if signal.minus is not None:
        return _difference(scene, signal, thing)
    if signal.computed is not None:
        return computed_envelope(scene, signal, thing)
    members = _judged(scene, signal, thing)
    aside = aside_of(scene, peers_of(scene, members, thing), SIDES[signal.take])
    atoms = tuple(_atom(scene, signal, member, reference, _stretches(aside.get(member.name, ()))) for member in members)
    left_out: tuple[SetAside, ...] = ()
    if aside:
        named = {member.name for member in members}
        left_out = tuple(entry for name, entries in aside.items() if name in named for entry in entries)
    cuts = tuple(sorted({edge for entry in left_out for edge in (entry.start, entry.end)}))
    if signal.take == "mean":
        return Envelope(ONE, (mean_of(atoms),), left_out, cuts)
    if signal.take == "spread":
        return Envelope(GREATEST, atoms, left_out, cuts, less=atoms)
    kind = {"coldest": LEAST, "hottest": GREATEST}.get(signal.take, ONE)
    if kind == ONE and len(atoms) > 1:
        names = ", ".join(atom.label for atom in atoms)
        raise SpecificationError(
            f"the signal '{signal.take} {signal.group.role}' meets {len(atoms)} sensors here: {names}",
            expected="one sensor, or coldest, hottest or mean",
            remedy="say which, or judge each of them",
        )
    return Envelope(kind, atoms, left_out, cuts)


def _atom(
    scene: Scene, signal: Signal, member: Member, reference: str | None, aside: tuple[tuple[int, int], ...]
) -> Atom:
    trace = scene.trace(member, reference, raw=signal.raw)
    return Atom(member.name, trace.unheard(aside) if aside else trace, (member,), aside)


def _judged(scene: Scene, signal: Signal, thing: Thing) -> tuple[Member, ...]:
    """The sensors of a signal: the thing itself where it is a sensor of that group and the signal is of each."""
    if thing.member is not None and signal.take in ("each", "single") and thing.kind == signal.group.role:
        return (thing.member,)
    return scene.need(signal.group, thing)


def peers_of(scene: Scene, members: Sequence[Member], thing: Thing) -> Sequence[Member]:
    """The group that a single thermocouple belongs to, among which the rule for lost ones looks."""
    if len(members) == 1 and members[0].role == "judging":
        return scene.members(ALL_OF_A_PART, thing) or members
    return members


def _stretches(entries: Sequence[SetAside]) -> tuple[tuple[int, int], ...]:
    return tuple((entry.start, entry.end) for entry in entries)


def _difference(scene: Scene, signal: Signal, thing: Thing) -> Envelope:
    """signal - minus: the least of a least less a greatest, the greatest of a greatest less a least; others have no
    such form.
    """
    other = signal.minus
    assert other is not None
    reference = common_reference(scene, signal, other, thing)
    first = envelope(scene, replace(signal, minus=None), thing, reference)
    second = envelope(scene, other, thing, reference)
    leanings = {first.kind, {ONE: ONE, LEAST: GREATEST, GREATEST: LEAST}[second.kind]} - {ONE}
    if len(leanings) > 1:
        raise SpecificationError(
            f"the difference of the {signal.take} and the {other.take} of two groups is neither a least nor a greatest",
            expected="a single sensor or a mean on one side, or the hottest less the coldest",
            remedy="state which of the two groups is taken sensor by sensor",
        )
    kind = leanings.pop() if leanings else ONE
    cuts = tuple(sorted({*first.cuts, *second.cuts}))
    return Envelope(kind, first.sensors, first.aside + second.aside, cuts, less=second.sensors)


def common_reference(scene: Scene, signal: Signal, other: Signal, thing: Thing) -> str | None:
    """The pressure reference in which two signals can be subtracted: their own if they share it, else gauge."""
    own = {member.channel.reference for part in (signal, other) for member in _judged(scene, part, thing)} - {None}
    if not own:
        return None
    return own.pop() if len(own) == 1 else "gauge"
