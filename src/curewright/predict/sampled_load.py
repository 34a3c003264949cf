"""A whole load as samples of what is doubtful have it, so that a run can be made of each, and judged.

In :mod:`curewright.predict.band` each zone is sampled for itself. A verdict is of several zones at once (the coldest of a part, a hold that
waits for the coldest of the load), so here one Latin hypercube spans the load. Common to all of it are the convection of the vessel, and
rate of cure and heat of reaction; each part has a thickness of its own, each face of a zone a position factor, each thermocouple a depth
(our own choice: what has one cause varies as one).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from curewright.predict.band import (
    DOUBTS,
    FEWEST,
    SMALLEST,
    Varied,
    doubts_of,
    moved,
    normals_of,
    varied_material,
    varied_zone,
)
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from curewright.predict.predicted import LoadToPredict
    from curewright.terms.build_up import PartBuildUp, Zone

CONVECTION, BAG_SIDE, TOOL_SIDE, THICKNESS, RATE, HEAT, DEPTH = DOUBTS


@dataclass(frozen=True)
class Doubtful:
    """One thing that varies by itself: a doubt, of which part and which zone or sensor ('' where it is the whole load's or part's)."""

    doubt: str
    part: str = ""
    place: str = ""


def doubtful(asked: LoadToPredict) -> dict[Doubtful, float]:
    """Everything of a load that varies by itself, with its standard uncertainty."""
    known, found = asked.build_up.doubts, {
        Doubtful(CONVECTION): asked.convection.error,
        Doubtful(RATE): asked.build_up.doubts.rate_of_cure,
        Doubtful(HEAT): asked.build_up.doubts.heat_of_reaction,
    }  # fmt: skip
    for part in asked.build_up.parts:
        found[Doubtful(THICKNESS, part.serial)] = known.thickness
        for zone in part.zones:
            found[Doubtful(BAG_SIDE, part.serial, zone.name)] = zone.bag_side.position_error
            found[Doubtful(TOOL_SIDE, part.serial, zone.name)] = zone.tool_side.position_error
        for place in part.places:
            found[Doubtful(DEPTH, part.serial, place.sensor)] = known.depth
    return {one: error for one, error in found.items() if error}


def sampled_loads(asked: LoadToPredict, samples: int, seed: int = 1) -> tuple[LoadToPredict, ...]:
    """The load as so many samples have it, the same for the same seed. Raises :class:`CurewrightError` for fewer than 20."""
    if samples < FEWEST:
        raise CurewrightError(f"a band of {samples} samples", expected=f"at least {FEWEST}")
    found = doubtful(asked)
    if not found:
        return (asked,) * samples
    return tuple(
        _varied(asked, {one: float(z) * error for (one, error), z in zip(found.items(), row, strict=True)})
        for row in normals_of(len(found), samples, seed)
    )


def not_varied(asked: LoadToPredict) -> tuple[str, ...]:
    """The doubts that nobody stated for some zone."""
    stated = [doubts_of(asked, zone) for part in asked.build_up.parts for zone in part.zones]
    return tuple(name for name in DOUBTS if not all(name in one for one in stated))


def _varied(asked: LoadToPredict, off: Mapping[Doubtful, float]) -> LoadToPredict:
    """The load with everything off by so much: factors relative to 1, depths in m."""
    parts = tuple(_part(part, asked, off) for part in asked.build_up.parts)
    resin = Varied(rate=_factor(off, Doubtful(RATE)), heat=_factor(off, Doubtful(HEAT)))
    return replace(
        asked, build_up=replace(asked.build_up, parts=parts), material=varied_material(asked.material, resin)
    )


def _part(part: PartBuildUp, asked: LoadToPredict, off: Mapping[Doubtful, float]) -> PartBuildUp:
    places = tuple(
        moved(place, part.zone(place.zone), off.get(Doubtful(DEPTH, part.serial, place.sensor), 0.0))
        for place in part.places
    )
    zones = tuple(varied_zone(zone, asked, _of_zone(part, zone, off)) for zone in part.zones)
    return replace(part, zones=zones, places=places)


def _of_zone(part: PartBuildUp, zone: Zone, off: Mapping[Doubtful, float]) -> Varied:
    return Varied(
        convection=_factor(off, Doubtful(CONVECTION)),
        bag_side=_factor(off, Doubtful(BAG_SIDE, part.serial, zone.name)),
        tool_side=_factor(off, Doubtful(TOOL_SIDE, part.serial, zone.name)),
        thickness=_factor(off, Doubtful(THICKNESS, part.serial)),
    )


def _factor(off: Mapping[Doubtful, float], one: Doubtful) -> float:
    return max(SMALLEST, 1.0 + off.get(one, 0.0))
