"""How probable it is that every sample of several channels was truly within limits: errors they share are integrated as shared.

Successive samples are not independent: the error of a wire stays the same over a run. What counts of a channel is therefore its
lowest and its highest recorded value. With shared errors b (roll, recorder, junction) and own errors, all normal::

    P = ∫ φ(b) Π_i [Φ((high - max_i - b_i)/own_i) - Φ((low - min_i - b_i)/own_i)]₊ db

An error that only one channel has is its own; errors that always go together are one. Channels that share nothing are multiplied;
otherwise the error that most channels share is integrated first, then the rest is taken apart again. No random numbers: the same
in, the same out. Absolute accuracy 1e-7 (checked against SciPy's adaptive integration, its multivariate normal and simulation).
Rectangular limits enter through their standard uncertainty, as JCGM 106 does. Source: JCGM 106:2012 for one value; the integral
over a shared error is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf, prod
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.conformance import between
from curewright.physics.shared_error import nodes, one_deep, two_deep

if TYPE_CHECKING:
    from numpy.typing import NDArray

SURE = 1e-7  # bounds that are closer than this are an answer
DEEPEST = 3  # errors integrated inside one another


@dataclass(frozen=True)
class Extremes:
    """What a run says of one channel: lowest and highest recorded value, its own u, and (key, u) of each error shared through ``key``."""

    lowest: float
    highest: float
    own: float
    shared: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class _Room:
    """How far a channel's error may go down and up, its own u, and its shared ones by key."""

    down: float
    up: float
    own: float
    shared: dict[str, float]

    def moved(self, key: str, z: float) -> _Room:
        step = self.shared[key] * z
        return _Room(
            self.down - step, self.up - step, self.own, {other: u for other, u in self.shared.items() if other != key}
        )

    def spread(self, without: str = "") -> float:
        return hypot(self.own, *(u for key, u in self.shared.items() if key != without))


def probability_for_run(
    channels: tuple[Extremes, ...], low: float | None = None, high: float | None = None
) -> float | None:
    """Probability that all channels were truly within the limits all the time; any one unit throughout.

    None where more than three shared errors cross (no tree of rolls and recorders) and the answer is not near 0 or 1.

    >>> one = Extremes(177.0, 183.0, own=0.0, shared=(("roll 7", 1.0),))
    >>> round(probability_for_run((one, one), 175.0, 185.0), 4)
    0.9545
    """
    floor, ceiling = (-inf if low is None else low), (inf if high is None else high)
    rooms = [_Room(floor - one.lowest, ceiling - one.highest, one.own, _together(one.shared)) for one in channels]
    least, most = _bounds(rooms)
    if most - least <= SURE:
        return (least + most) / 2
    rooms = _simplified(rooms)
    return _all_within(rooms) if _depth(rooms) <= DEEPEST else None


def _together(shared: tuple[tuple[str, float], ...]) -> dict[str, float]:
    found: dict[str, float] = {}
    for key, u in shared:
        if u > 0:
            found[key] = hypot(found.get(key, 0.0), u)
    return found


def _alone(room: _Room) -> float:
    spread = room.spread()
    return between(room.down / spread, room.up / spread) if spread > 0 else float(room.down <= 0 <= room.up)


def _bounds(rooms: list[_Room]) -> tuple[float, float]:
    """What holds whatever is shared: no more than the least probable channel, no less than 1 minus all their risks (Bonferroni)."""
    alone = [_alone(room) for room in rooms]
    return max(0.0, 1.0 - sum(1.0 - p for p in alone)), min(alone, default=1.0)


def _simplified(rooms: list[_Room]) -> list[_Room]:
    """The same channels with errors that one alone has made its own, and errors that always go together made one."""
    users = {
        key: tuple(i for i, room in enumerate(rooms) if key in room.shared) for room in rooms for key in room.shared
    }
    simple = []
    for room in rooms:
        own, shared = [room.own], dict[str, list[float]]()
        for key, u in room.shared.items():
            if len(users[key]) == 1:
                own.append(u)
            else:
                shared.setdefault(_first_alike(key, users, rooms), []).append(u)
        simple.append(_Room(room.down, room.up, hypot(*own), {key: hypot(*parts) for key, parts in shared.items()}))
    return simple


def _first_alike(key: str, users: dict[str, tuple[int, ...]], rooms: list[_Room]) -> str:
    """The first key (by name) that has the same channels in the same proportion, so that both add up to one error."""
    first = rooms[users[key][0]].shared
    for other in sorted(users):
        if users[other] == users[key]:
            ratio = first[other] / first[key]
            if all(
                abs(rooms[i].shared[other] - ratio * rooms[i].shared[key]) <= 1e-12 * first[other] for i in users[key]
            ):
                return other
    return key


def _groups(rooms: list[_Room]) -> list[list[_Room]]:
    """The channels in groups that share nothing with one another."""
    groups: list[tuple[set[str], list[_Room]]] = []
    for room in rooms:
        keys, members = set(room.shared), [room]
        apart = []
        for other_keys, others in groups:
            if keys & other_keys:
                keys, members = keys | other_keys, [*others, *members]
            else:
                apart.append((other_keys, others))
        groups = [*apart, (keys, members)]
    return [members for _, members in groups]


def _most_shared(rooms: list[_Room]) -> str:
    """The error that most channels of a group share (the last by name, on ties)."""
    keys = sorted({key for room in rooms for key in room.shared})
    return max(keys, key=lambda key: (sum(key in room.shared for room in rooms), key))


def _depth(rooms: list[_Room]) -> int:
    """How many errors have to be integrated inside one another."""
    return max((1 + _depth(_given(group, 0.0)) for group in _groups(rooms) if group[0].shared), default=0)


def _given(rooms: list[_Room], z: float) -> list[_Room]:
    """The channels of a group once the error that most of them share is known."""
    key = _most_shared(rooms)
    return _simplified([room.moved(key, z) if key in room.shared else room for room in rooms])


def _all_within(rooms: list[_Room]) -> float:
    return prod(_group_within(group) for group in _groups(rooms))


def _group_within(rooms: list[_Room]) -> float:
    depth = _depth(rooms)
    key = _most_shared(rooms) if depth else ""
    if depth < 2:
        return float(one_deep(*_ends(rooms), _shared(rooms, key), _own(rooms)))
    if depth == 2:
        return _two_deep(rooms, key)
    rest = _floats([room.spread(without=key) for room in rooms])
    z, weight = nodes(*_ends(rooms), _shared(rooms, key), rest)
    return float(np.dot(weight, _floats([_all_within(_given(rooms, one)) for one in z])))


def _two_deep(rooms: list[_Room], key: str) -> float:
    """A group that falls apart into groups with one shared error each, once the error ``key`` is known."""
    place = {id(room): outer for room, outer in zip(rooms, _shared(rooms, key), strict=True)}
    given = [(room, after) for room, after in zip(rooms, _given(rooms, 0.0), strict=True)]
    outer = {id(after): place[id(room)] for room, after in given}
    groups = _groups([after for _, after in given])
    members = [room for group in groups for room in group]
    inner = _floats([sum(room.shared.values()) for room in members])
    ends = np.cumsum([0, *(len(group) for group in groups)], dtype=np.int64)
    outers = _floats([outer[id(room)] for room in members])
    return float(two_deep(*_ends(members), outers, inner, _own(members), ends))


def _ends(rooms: list[_Room]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return _floats([room.down for room in rooms]), _floats([room.up for room in rooms])


def _shared(rooms: list[_Room], key: str) -> NDArray[np.float64]:
    return _floats([room.shared.get(key, 0.0) for room in rooms])


def _own(rooms: list[_Room]) -> NDArray[np.float64]:
    return _floats([room.own for room in rooms])


def _floats(numbers: list[float]) -> NDArray[np.float64]:
    return np.array(numbers, dtype=np.float64)
