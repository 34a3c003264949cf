"""How probable it is that every sample of several channels was truly within limits: errors they share are integrated as shared.

Successive samples are not independent: the error of a wire stays the same over a run. What counts of a channel is therefore its
lowest and its highest recorded value. With shared errors b (roll, recorder, junction) and own errors e, all normal::

    P = ∫ φ(b) Π_i [Φ((high - max_i - b_i)/u_i) - Φ((low - min_i - b_i)/u_i)]₊ db

An error that only one channel has is its own. Channels that share nothing are multiplied; otherwise the error that most channels
share is integrated first, by Gauss–Legendre panels that break where the integrand is steep, then the rest is taken apart again.
No random numbers: the same in, the same out. Accuracy 1e-8 (checked against SciPy's adaptive integration and multivariate normal).
Rectangular limits enter through their standard uncertainty, as JCGM 106 does. Source: JCGM 106:2012 for one value; the integral over a
shared error is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, hypot, inf, sqrt
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled
from curewright.physics.conformance import FAR, between, breaks, nodes

if TYPE_CHECKING:
    from numpy.typing import NDArray

SURE = 1e-9  # bounds that are closer than this are an answer
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
    return _all_within(rooms, 0)


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


def _all_within(rooms: list[_Room], depth: int) -> float | None:
    result = 1.0
    for group in _groups(_simplified(rooms)):
        p = _group_within(group, depth)
        if p is None:
            return None
        result *= p
    return result


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


def _group_within(rooms: list[_Room], depth: int) -> float | None:
    keys = sorted({key for room in rooms for key in room.shared})
    if not keys:
        return float(np.prod([_alone(room) for room in rooms]))
    if depth == DEEPEST:
        return None
    key = max(keys, key=lambda one: (sum(one in room.shared for room in rooms), one))
    z, weight = _nodes_for(rooms, key)
    if z.size == 0:
        return 0.0
    if len(keys) == 1:
        return float(_sum_over(z, weight, *_arrays(rooms, key)))
    inner = [
        _all_within([room.moved(key, one) if key in room.shared else room for room in rooms], depth + 1) for one in z
    ]
    return None if None in inner else float(np.dot(weight, np.array(inner, dtype=np.float64)))


def _nodes_for(rooms: list[_Room], key: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points for the integral over one shared error: cut where a channel without other errors leaves, fine where one is steep."""
    low, high, steps = -FAR, FAR, []
    for room in rooms:
        if (u := room.shared.get(key, 0.0)) == 0.0:
            continue
        width = room.spread(without=key) / u
        if width == 0.0:
            low, high = max(low, room.down / u), min(high, room.up / u)
        else:
            steps += [(edge / u, width) for edge in (room.down, room.up) if abs(edge) < inf]
    if not high > low:
        return np.empty(0), np.empty(0)
    return nodes(breaks(steps, low, high))


def _arrays(rooms: list[_Room], key: str) -> tuple[NDArray[np.float64], ...]:
    """Down, up, shared u and own u of each channel, shape (channels,) each."""
    rows = [(room.down, room.up, room.shared.get(key, 0.0), room.own) for room in rooms]
    return tuple(np.ascontiguousarray(column) for column in np.array(rows, dtype=np.float64).T)


def _sum_of_products(
    z: NDArray[np.float64],
    weight: NDArray[np.float64],
    down: NDArray[np.float64],
    up: NDArray[np.float64],
    shared: NDArray[np.float64],
    own: NDArray[np.float64],
) -> float:
    total = 0.0
    for j in range(z.size):
        product = weight[j]
        for i in range(down.size):
            a, b = down[i] - shared[i] * z[j], up[i] - shared[i] * z[j]
            if own[i] > 0.0:
                scale = 1.0 / (own[i] * sqrt(2.0))
                product *= 0.5 * max(0.0, erfc(-b * scale) - erfc(-a * scale))
            elif a > 0.0 or b < 0.0:
                product = 0.0
        total += product
    return total


_sum_over = compiled("float64(float64[::1], float64[::1], float64[::1], float64[::1], float64[::1], float64[::1])")(
    _sum_of_products
)
