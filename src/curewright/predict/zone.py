"""From a zone of a part's build-up, its materials and what the load sees to what the solver is asked, and back to depths and places.

The solver counts from the tool's side up; a build-up is written from the bag down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.many import Case
from curewright.terms.course import Course
from curewright.terms.errors import CurewrightError
from curewright.terms.stack import Face, Film, Layer, Probe, Stack

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from curewright.predict.surroundings import Surroundings
    from curewright.terms.build_up import PartBuildUp, Place, Zone, ZoneFace, ZoneLayer
    from curewright.terms.cycle import Convection
    from curewright.terms.material import LayerMaterial

    Materials = Callable[[ZoneLayer], LayerMaterial]


def stack_of(part: PartBuildUp, zone: Zone, material: Materials) -> Stack:
    """The zone as the solver takes it, its resin at the degree of cure that the part starts from.

    Raises :class:`CurewrightError` where a resin's law may not be started from there.
    """
    layers: list[Layer | Film] = []
    if zone.tool_side.film is not None:
        layers.append(Film("sub-structure", 1.0 / zone.tool_side.film))
    layers += [_layer(part, one, material(one)) for one in reversed(zone.layers)]
    if zone.bag_side.film is not None:
        layers.append(Film("on the bag", 1.0 / zone.bag_side.film))
    return Stack(f"part {part.serial}, zone {zone.name}", tuple(layers))


def _layer(part: PartBuildUp, layer: ZoneLayer, of: LayerMaterial) -> Layer:
    cured = part.degree_of_cure if of.reacts else None
    if cured is not None and not of.start[0] <= cured <= of.start[1]:
        raise CurewrightError(
            f"part {part.serial} starts at a degree of cure of {cured:g}, which {of.name} does not allow",
            expected=f"{of.start[0]:g} to {of.start[1]:g}",
            remedy="correct 'degree of cure at the start' in the build-up sheet",
        )
    return Layer(layer.name, of, layer.thickness, cured)


def faces_of(zone: Zone, seen: Surroundings, convection: Convection) -> tuple[Face, Face]:
    """What the tool's and the bag's side of a zone are exposed to, in the solver's order."""
    return _face(zone.tool_side, seen, convection), _face(zone.bag_side, seen, convection)


def _face(face: ZoneFace, seen: Surroundings, convection: Convection) -> Face:
    if convection.law == "straight":
        a, b = convection.values
        return Face(seen.air, a, b, 1.0, seen.pressure, face.position_factor)
    if convection.law == "power":
        h0, p0, n = convection.values
        return Face(seen.air, 0.0, h0 / p0**n, n, seen.pressure, face.position_factor)
    return Face(seen.air, 0.0, 1.0, 1.0, _surveyed(seen.pressure, convection), face.position_factor)


def _surveyed(pressure: Course, convection: Convection) -> Course:
    """Convection over time from a survey: straight between its points, so a kink wherever the pressure passes one."""
    points = np.array(convection.points)
    low, high = pressure.value.min(), pressure.value.max()
    if low < points[0, 0] - 1.0 or high > points[-1, 0] + 1.0:
        raise CurewrightError(
            f"pressures of {low / 1e5:.2f} to {high / 1e5:.2f} bar absolute lie outside the survey of convection",
            expected=f"{points[0, 0] / 1e5:.2f} to {points[-1, 0] / 1e5:.2f} bar absolute",
            remedy="survey the vessel over the whole range, or state a law",
        )
    t = np.unique(np.concatenate([pressure.t, *(_crossings(pressure, level) for level in points[:, 0])]))
    return Course(t, np.interp(pressure.at(t), points[:, 0], points[:, 1]))


def _crossings(line: Course, level: float) -> NDArray[np.float64]:
    over = line.value - level
    at = np.flatnonzero(over[:-1] * over[1:] < 0)
    share = over[at] / (over[at] - over[at + 1])
    return np.asarray(line.t[at] + share * (line.t[at + 1] - line.t[at]))


def case_of(
    part: PartBuildUp,
    zone: Zone,
    seen: Surroundings,
    convection: Convection,
    material: Materials,
    times: NDArray[np.float64],
) -> Case:
    """What the solver is asked for a zone: its stack and faces, and the instants [s] to put out."""
    return Case(stack_of(part, zone, material), faces_of(zone, seen, convection), times, start=part.temperature)


def probe_of(place: Place, zone: Zone) -> Probe:
    """Where a sensor sits, as the solver takes it; the air it sees is that beside the nearer face."""
    deep = zone.depth(place.layer, place.share)
    beside = "upper" if deep <= zone.thickness / 2 else "lower"
    return Probe(place.sensor, place.layer, 1.0 - place.share, place.air_share, beside)
