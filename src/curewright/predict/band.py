"""How sure a prediction is: what the stated uncertainties of convection, positions, kinetics, thickness and places make of it.

Latin hypercube (McKay, Beckman and Conover 1979) over the doubts that were stated, each normal; the load is predicted once for each sample.
A band is the middle 95 % of what comes out. Which doubt matters most is told by Sobol's indices (Saltelli and others 2010), both from
SciPy. What nobody stated is not varied, and is named. A model's own faults are not in it: published models of this sort agree with
measurement within 1 to 5 K where convection was surveyed.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.kinetics.laws import VALUES
from curewright.physics.solve.many import solve_all
from curewright.physics.solve.places import cure_at, shown_by
from curewright.physics.solve.solve import Solution
from curewright.predict.through_band import ThroughBand, through_band
from curewright.predict.zone import case_of, probe_of
from curewright.terms.errors import CurewrightError
from curewright.terms.stack import Layer

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from curewright.physics.solve.many import Case
    from curewright.predict.predicted import LoadToPredict, Over
    from curewright.predict.surroundings import Surroundings
    from curewright.predict.zone import Materials
    from curewright.terms.build_up import PartBuildUp, Place, Zone, ZoneFace, ZoneLayer
    from curewright.terms.material import LayerMaterial
    from curewright.terms.stack import Face

    Faces = tuple[Face, Face]

MIDDLE = 0.95
ENDS = ((1 - MIDDLE) / 2, (1 + MIDDLE) / 2)
FEWEST = 20
NOT_CARDS = (
    "the band is of the inputs listed, and the choice of the material card is not in it: another published card of the same resin can "
    "differ by more (docs/predictions.md, How sure)"
)
SMALLEST = 0.05  # a factor is never below this, however far out a sample lies
DOUBTS = (
    "convection",
    "bag side position",
    "tool side position",
    "thickness",
    "rate of cure",
    "heat of reaction",
    "thermocouple depth",
)


@dataclass(frozen=True, eq=False)
class ZoneAsked:
    """One zone in its surroundings, and the instants [s] at which it is put out."""

    asked: LoadToPredict
    seen: Surroundings
    times: NDArray[np.float64]
    part: PartBuildUp
    zone: Zone


@dataclass(frozen=True)
class Varied:
    """One sample of everything that is doubtful: factors (1: as stated), and a shift of thermocouples [m] towards the tool."""

    convection: float = 1.0
    bag_side: float = 1.0
    tool_side: float = 1.0
    thickness: float = 1.0
    rate: float = 1.0
    heat: float = 1.0
    depth: float = 0.0


@dataclass(frozen=True, eq=False)
class Band:
    """The middle 95 % of some samples. low, high : float64, shape of the prediction's t, by sensor [K]; ``hottest`` and ``cure``: low and
    high of each zone's hottest [K] and of its least degree of cure at the end, by (part, zone). ``left_out``: doubts that nobody stated.
    ``through``: of each zone in which something cures, over depth and time.
    """

    samples: int
    low: dict[str, NDArray[np.float64]]
    high: dict[str, NDArray[np.float64]]
    hottest: dict[tuple[str, str], tuple[float, float]]
    cure: dict[tuple[str, str], tuple[float, float]]
    left_out: tuple[str, ...]
    refused: int
    through: dict[tuple[str, str], ThroughBand] = field(default_factory=dict)


@dataclass(frozen=True)
class Share:
    """How much of the variance of a quantity comes from one doubt: alone (first order), and with its interactions (total)."""

    doubt: str
    alone: float
    total: float


def doubts_of(asked: LoadToPredict, zone: Zone) -> dict[str, float]:
    """The stated standard uncertainties that bear on a zone, by the names in :data:`DOUBTS`."""
    known = asked.build_up.doubts
    found = {
        "convection": asked.convection.error,
        "bag side position": zone.bag_side.position_error,
        "tool side position": zone.tool_side.position_error,
        "thickness": known.thickness,
        "rate of cure": known.rate_of_cure,
        "heat of reaction": known.heat_of_reaction,
        "thermocouple depth": known.depth,
    }
    return {name: value for name, value in found.items() if value}


def band(
    asked: LoadToPredict,
    seen: Surroundings,
    times: NDArray[np.float64],
    over: Over = map,
    *,
    samples: int = 64,
    seed: int = 1,
) -> Band:
    """The band of a load's prediction in given surroundings. times : as of the prediction [s]. Raises for fewer than 20 samples.

    Each zone has samples of its own: zones are not compared with one another.
    """
    if samples < FEWEST:
        raise CurewrightError(f"a band of {samples} samples", expected=f"at least {FEWEST}")
    low: dict[str, NDArray[np.float64]] = {}
    high: dict[str, NDArray[np.float64]] = {}
    hottest, cure, through, refused = {}, {}, {}, 0
    left_out: set[str] = set()
    for part in asked.build_up.parts:
        for zone in part.zones:
            doubts = doubts_of(asked, zone)
            left_out |= set(DOUBTS) - doubts.keys()
            varied = sampled(doubts, samples, seed)
            found = solved(ZoneAsked(asked, seen, times, part, zone), varied, over)
            refused += samples - len(found)
            if len(found) < FEWEST:
                continue
            hottest[part.serial, zone.name] = middle([float(one.T.max()) for _, one, _ in found])
            if least := [value for _, one, _ in found if (value := _least_cure(one)) is not None]:
                cure[part.serial, zone.name] = middle(least)
            if (cures := _curing(asked, zone)) is not None:
                through[part.serial, zone.name] = through_band(cures, [one for _, one, _ in found], ENDS)
            for place in part.places:
                if place.zone == zone.name:
                    shown = np.array([_shown(place, zone, *one) for one in found])
                    low[place.sensor], high[place.sensor] = np.quantile(shown, ENDS, axis=0)
    return Band(samples, low, high, hottest, cure, tuple(name for name in DOUBTS if name in left_out), refused, through)


def _curing(asked: LoadToPredict, zone: Zone) -> str | None:
    """The name of the first layer of a zone that cures."""
    return next((layer.name for layer in zone.layers if asked.material(layer).reacts), None)


def shares(
    of_zone: ZoneAsked, quantity: Callable[[Solution], float], over: Over = map, *, base: int = 32, seed: int = 1
) -> tuple[Share, ...]:
    """Sobol's indices of a quantity of one zone over its doubts, largest first; ``base`` (a power of two) × (doubts + 2) simulations.

    Raises where nothing is doubtful, or the solver refuses a sample.
    """
    from scipy import stats  # here, as below: half a second that no judgement needs

    doubts = {
        name: value for name, value in doubts_of(of_zone.asked, of_zone.zone).items() if name != "thermocouple depth"
    }
    if not doubts:
        raise CurewrightError(
            "nothing is said to be doubtful", expected="standard uncertainties in the build-up or the vessel's heating"
        )

    def of(normals: NDArray[np.float64]) -> NDArray[np.float64]:
        flat = normals.reshape(len(doubts), -1)
        varied = [_varied(doubts, flat[:, i]) for i in range(flat.shape[1])]
        found = solved(of_zone, varied, over)
        if len(found) < len(varied):
            raise CurewrightError(
                f"{len(varied) - len(found)} of {len(varied)} samples of {of_zone.zone.name} are refused by the solver"
            )
        return np.array([quantity(one) for _, one, _ in found]).reshape(normals.shape[1:])

    indices = stats.sobol_indices(func=of, n=base, dists=[stats.norm()] * len(doubts), rng=np.random.default_rng(seed))
    rows = zip(doubts, indices.first_order, indices.total_order, strict=True)
    return tuple(sorted((Share(name, float(a), float(b)) for name, a, b in rows), key=lambda one: -one.total))


def sampled(doubts: dict[str, float], samples: int, seed: int) -> list[Varied]:
    """Latin hypercube samples of some doubts, the same for the same seed."""
    if not doubts:
        return [Varied()] * samples
    return [_varied(doubts, row) for row in normals_of(len(doubts), samples, seed)]


def normals_of(count: int, samples: int, seed: int) -> NDArray[np.float64]:
    """Standard normal deviates in a Latin hypercube, shape (samples, count): each column has one in each of so many equal chances."""
    from scipy import stats

    hypercube = stats.qmc.LatinHypercube(count, rng=np.random.default_rng(seed)).random(samples)
    return np.asarray(stats.norm.ppf(hypercube))


def _varied(doubts: dict[str, float], normals: Sequence[float] | NDArray[np.float64]) -> Varied:
    off = {name: float(z) * doubts[name] for name, z in zip(doubts, normals, strict=True)}

    def factor(name: str) -> float:
        return max(SMALLEST, 1.0 + off.get(name, 0.0))

    convection, bag_side, tool_side, thickness, rate, heat = (factor(name) for name in DOUBTS[:-1])
    return Varied(convection, bag_side, tool_side, thickness, rate, heat, off.get(DOUBTS[-1], 0.0))


def solved(of_zone: ZoneAsked, varied: Sequence[Varied], over: Over) -> list[tuple[Varied, Solution, Faces]]:
    """The samples that the solver does not refuse."""
    cases = [_case(of_zone, one) for one in varied]
    found = zip(varied, cases, solve_all(cases, over), strict=True)
    return [(one, solution, case.faces) for one, case, solution in found if isinstance(solution, Solution)]


def _case(of_zone: ZoneAsked, one: Varied) -> Case:
    asked = of_zone.asked
    changed, material = varied_zone(of_zone.zone, asked, one), varied_material(asked.material, one)
    return case_of(of_zone.part, changed, of_zone.seen, asked.convection, material, of_zone.times)


def varied_zone(zone: Zone, asked: LoadToPredict, one: Varied) -> Zone:
    """A zone as a sample has it: how thick what cures is, and how well its faces are served."""
    return replace(
        zone,
        layers=tuple(_thicker(layer, asked, one) for layer in zone.layers),
        bag_side=_served(zone.bag_side, one.convection * one.bag_side),
        tool_side=_served(zone.tool_side, one.convection * one.tool_side),
    )


def varied_material(material: Materials, one: Varied) -> Materials:
    """The materials as a sample has them: how fast what reacts cures, and with how much heat."""

    def of(layer: ZoneLayer) -> LayerMaterial:
        return _changed(material(layer), one)

    return of


def moved(place: Place, zone: Zone, depth: float) -> Place:
    """A thermocouple's place, so many metres nearer the tool, within its layer."""
    layer = next(layer for layer in zone.layers if layer.name == place.layer)
    return replace(place, share=min(1.0, max(0.0, place.share + depth / layer.thickness)))


def _served(face: ZoneFace, factor: float) -> ZoneFace:
    return replace(face, position_factor=face.position_factor * factor)


def _thicker(layer: ZoneLayer, asked: LoadToPredict, one: Varied) -> ZoneLayer:
    return replace(layer, thickness=layer.thickness * one.thickness) if asked.material(layer).reacts else layer


def _changed(material: LayerMaterial, one: Varied) -> LayerMaterial:
    """The material with another rate of cure and heat: every factor of Arrhenius (A, A1, …) times the rate's."""
    if not material.reacts:
        return material
    names = VALUES[material.law]
    constants = tuple(
        value * one.rate if is_a_rate(name) else value for name, value in zip(names, material.constants, strict=True)
    )
    return replace(material, constants=constants, heat_of_cure=material.heat_of_cure * one.heat)


def is_a_rate(name: str) -> bool:
    """Whether a law's constant is a factor of Arrhenius."""
    return name == "A" or (name.startswith("A") and name[1:].isdigit())


def _shown(place: Place, zone: Zone, one: Varied, solution: Solution, faces: Faces) -> NDArray[np.float64]:
    return shown_by(solution, probe_of(moved(place, zone, one.depth), zone), faces) + place.offset


def _least_cure(solution: Solution) -> float | None:
    """The least degree of cure at the end, over the depths of what cures."""
    least = [
        float(cure_at(solution, layer.name, share)[-1])
        for layer in solution.stack.layers
        if isinstance(layer, Layer) and layer.material.reacts
        for share in (0.0, 0.5, 1.0)
    ]
    return min(least) if least else None


def middle(values: Sequence[float] | NDArray[np.float64]) -> tuple[float, float]:
    """The ends of the middle 95 % of some samples, of those that are numbers."""
    low, high = np.nanquantile(np.asarray(values), ENDS)
    return float(low), float(high)
