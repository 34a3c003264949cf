"""What a prediction comes to: for every sensor how hot and how late, for every zone its hottest place, its cure, gel and void margin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.solve import Solution
from curewright.predict.resin import of_zone, pressed_until_gel
from curewright.predict.stands_on import outside_law

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from curewright.physics.card import Card
    from curewright.predict.predicted import PredictedZone, Prediction
    from curewright.predict.resin import ResinCourse
    from curewright.predict.stands_on import OutsideLaw
    from curewright.terms.build_up import Zone, ZoneLayer
    from curewright.terms.load import Load

    ResinOf = Callable[[Zone], tuple[ZoneLayer, Card] | None]

SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)  # depths of a resin layer that are looked at, from its bag side


@dataclass(frozen=True)
class PlaceSummary:
    """A sensor: hottest [K] and when [s]; ``lags``: the most that it is behind the air [K], and when [s]; ``over``: above the air [K]."""

    sensor: str
    part: str
    zone: str
    hottest: float
    hottest_at: float
    lags: float
    lags_at: float
    over: float


@dataclass(frozen=True, eq=False)
class ZoneSummary:
    """A zone. hottest [K], when [s], in which layer; ``over``: the most that it is above the air before the final
    cooling [K], and when [s].

    ``resin``: the courses looked at, from the bag side down; none where nothing cures. Lowest and highest of them at the end: cure [1]
    and glass transition [K]; ``gels``: the first and the last place to gel [s], None where one does not; ``margin``: the least margin
    against voids from full pressure to gel [Pa] and when [s]; ``full``: when the vessel first has its full pressure [s].
    ``refused``: why the zone is not predicted ('' where it is). ``outside``: where a layer was colder or
    hotter than its kinetic law covers.
    """

    part: str
    zone: str
    hottest: float = np.nan
    hottest_at: float = np.nan
    layer: str = ""
    over: float = np.nan
    over_at: float = np.nan
    resin: tuple[ResinCourse, ...] = ()
    cure: tuple[float, float] | None = None
    glass: tuple[float, float] | None = None
    gels: tuple[float, float] | None = None
    margin: tuple[float, float] | None = None
    full: float | None = None
    refused: str = ""
    outside: OutsideLaw | None = None


def places(prediction: Prediction) -> tuple[PlaceSummary, ...]:
    """Every placed sensor, in the order of the build-up."""
    air = prediction.seen.air.at(prediction.t)
    return tuple(
        _place(place.sensor, one, prediction, air)
        for one in prediction.zones
        for place in one.part.places
        if place.zone == one.zone.name and place.sensor in prediction.places
    )


def _place(sensor: str, one: PredictedZone, prediction: Prediction, air: NDArray[np.float64]) -> PlaceSummary:
    t, shown = prediction.t, prediction.places[sensor]
    hottest, behind = int(np.argmax(shown)), int(np.argmax(air - shown))
    over = float(np.max((shown - air)[: _cooling(air)]))
    return PlaceSummary(
        sensor, one.part.serial, one.zone.name, float(shown[hottest]), float(t[hottest]),
        float(air[behind] - shown[behind]), float(t[behind]), over,
    )  # fmt: skip


def _cooling(air: NDArray[np.float64]) -> int:
    """The output after which the air only falls: from there a part is hotter than the air because it lags, not because it reacts."""
    near = np.flatnonzero(air >= air.max() - 1.0)
    return int(near[-1]) + 1


def zones(prediction: Prediction, load: Load, resin_of: ResinOf) -> tuple[ZoneSummary, ...]:
    """Every zone, in the order of the build-up."""
    bags = {part.serial: part.bag for part in load.parts}
    air = prediction.seen.air.at(prediction.t)
    return tuple(_zone(one, prediction, air, bags.get(one.part.serial, ""), resin_of) for one in prediction.zones)


def _zone(
    one: PredictedZone, prediction: Prediction, air: NDArray[np.float64], bag: str, resin_of: ResinOf
) -> ZoneSummary:
    if not isinstance(one.found, Solution):
        return ZoneSummary(one.part.serial, one.zone.name, refused=str(one.found))
    found = one.found
    at, cell = np.unravel_index(int(np.argmax(found.T)), found.T.shape)
    layer = next(name for name, (first, end) in found.grid.parts.items() if first <= cell < end)
    above = (found.T.max(axis=1) - air)[: _cooling(air)]
    most = int(np.argmax(above))
    of = resin_of(one.zone)
    courses = () if of is None else tuple(
        of_zone(one, of[1], of[0].name, share, prediction.seen, bag) for share in SHARES
    )  # fmt: skip
    return ZoneSummary(
        one.part.serial, one.zone.name, float(found.T[at, cell]), float(found.t[at]), layer, float(above[most]),
        float(found.t[most]), courses,
        _ends([course.cure for course in courses]),
        _ends([course.glass_low for course in courses] + [course.glass_high for course in courses]),
        _gels(courses), _least_margin(courses), courses[0].full if courses else None, outside=outside_law(found),
    )  # fmt: skip


def _ends(courses: list[NDArray[np.float64]]) -> tuple[float, float] | None:
    """The lowest and the highest last value; None where one is not known."""
    last = [float(course[-1]) for course in courses]
    return None if not last or np.isnan(last).any() else (min(last), max(last))


def _gels(courses: tuple[ResinCourse, ...]) -> tuple[float, float] | None:
    instants = [course.gels_at for course in courses]
    known = [at for at in instants if at is not None]
    return (min(known), max(known)) if known and len(known) == len(instants) else None


def _least_margin(courses: tuple[ResinCourse, ...]) -> tuple[float, float] | None:
    """The least margin against voids from full pressure to gel [Pa], and when [s]: least over the places, each as a part's state has it."""
    least = [margin for course in courses if (margin := pressed_until_gel(course).margin) is not None]
    return min(least) if least else None
