"""Computed signals: degree of cure, glass transition or viscosity of each thermocouple's place, by a stated card and
revision.

Integrated along the recorded temperature from the event that the specification names. Beyond a gap, a bad sample, or
the range of the card there is no number, so what is judged there is unknown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.envelope import GREATEST, LEAST, ONE, Atom, Envelope
from curewright.judge.steps import NEVER
from curewright.judge.trace import GAP, JOINED, Trace
from curewright.physics.cure import computed, integrate_cure, leaves
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.judge.scene import Member, Scene, Thing
    from curewright.physics.card import Card
    from curewright.terms.requirement import Computation, Signal

GRAINS = {"degree of cure": 1e9, "glass transition": 1e6, "viscosity": 1e6}  # fraction, kelvin, pascal second to grains
KELVIN = 1e6  # grains


def computed_envelope(scene: Scene, signal: Signal, thing: Thing) -> Envelope:
    """The computed signal of a group: 'coldest' means the least value of all places, 'hottest' the greatest."""
    asked = signal.computed
    assert asked is not None
    card = card_named(scene, asked)
    members = _members(scene, signal, thing)
    start = scene.instants(scene, asked.starts, thing)
    atoms = tuple(
        Atom(member.name, _trace(scene, member, asked, card, start.earliest, start.latest), (member,))
        for member in members
    )
    kind = {"coldest": LEAST, "hottest": GREATEST}.get(signal.take, ONE)
    if kind == ONE and len(atoms) > 1:
        raise CurewrightError(
            f"the computed {asked.quantity} is asked of {len(atoms)} thermocouples at once",
            expected="coldest (the least), hottest (the greatest), or each",
            remedy="say which",
        )
    return Envelope(kind, atoms)


def card_named(scene: Scene, asked: Computation) -> Card:
    """The card of that name and revision; raises :class:`CurewrightError` where it was not given."""
    for card in scene.hall.cards:
        if (card.name, card.revision) == (asked.card, asked.revision):
            return card
    have = ", ".join(f"{card.name} revision {card.revision}" for card in scene.hall.cards) or "none"
    raise CurewrightError(
        f"material card {asked.card} revision {asked.revision} is not at hand",
        expected=f"one of: {have}",
        remedy="add the card, or correct its name and revision in the specification",
    )


def not_covered(scene: Scene, signal: Signal, thing: Thing, until: int) -> tuple[int, str, str] | None:
    """Which thermocouple first leaves the range of the card before an instant: (when, which, why), None where none does."""
    asked = signal.computed
    assert asked is not None
    card, start = card_named(scene, asked), scene.instants(scene, asked.starts, thing)
    found = []
    for member in _members(scene, signal, thing):
        t, v = _temperature(scene, member, start.earliest, start.latest)
        out = leaves(card, t, v / KELVIN)
        if out is not None and int(t[max(out.index - 1, 0)]) < until:
            found.append((out.t, member.name, out.why))
    return min(found, default=None)


def _members(scene: Scene, signal: Signal, thing: Thing) -> tuple[Member, ...]:
    single = thing.member is not None and signal.take in ("each", "single")
    return (thing.member,) if single and thing.member is not None else scene.need(signal.group, thing)


def _temperature(
    scene: Scene, member: Member, earliest: int, latest: int
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Instants [ns] and temperatures [grains] from an exactly known start to where they stop being known; empty without
    one.
    """
    temperature = scene.trace(member, None)
    nothing = temperature.t[:0], temperature.v[:0]
    if earliest != latest or latest >= NEVER:
        return nothing
    first = int(np.searchsorted(temperature.t, latest))
    start_value = temperature.value(latest)
    if start_value is None:
        return nothing
    broken = np.flatnonzero(temperature.link[first:] != JOINED)
    stop = first + int(broken[0]) + 1 if len(broken) else len(temperature.t)
    t, v = temperature.t[first:stop], temperature.v[first:stop]
    if t[0] != latest:
        t, v = np.append(np.int64(latest), t), np.append(start_value, v)
    return t, v


def _trace(scene: Scene, member: Member, asked: Computation, card: Card, earliest: int, latest: int) -> Trace:
    """The computed signal at the samples of one thermocouple."""
    t, v = _temperature(scene, member, earliest, latest)
    if not len(t):
        return Trace(member.name, t, v, np.empty(0, np.uint8), False, True, True)
    kelvin = v / KELVIN
    alpha = integrate_cure(card, t, kelvin, float(asked.initial))
    values = computed(asked.quantity, card, kelvin, alpha) * GRAINS[asked.quantity]
    known = int(np.argmax(np.isnan(values))) if np.isnan(values).any() else len(values)
    link = np.full(known, JOINED, np.uint8)
    if known:
        link[-1] = GAP
    return Trace(member.name, np.ascontiguousarray(t[:known]), np.rint(values[:known]), link, False, True, True)
