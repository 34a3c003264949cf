"""The build-up held against the load sheet: how thick the parts are by either, and position factors that are hardly meant.

Limits that depend on a part's thickness follow the load sheet, and a prediction follows the build-up: told where the two differ by more
than 20 % (our own choice: an uncured laminate is thicker than the cured one by less than that; common practice, no source).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import Place
from curewright.terms.finding import Finding
from curewright.terms.units import Quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from curewright.terms.build_up import BuildUp, Zone, ZoneLayer
    from curewright.terms.load import Load, Part

    Cures = Callable[[ZoneLayer], bool]

ALIKE = 0.2  # of the stated thickness
HARDLY = 3.0  # a position factor above this is asked about (our own choice)


def thickness_findings(load: Load, build_up: BuildUp, cures: Cures) -> Iterator[Finding]:
    """The parts whose thickest zone is not as thick as the load sheet states, by more than :data:`ALIKE`; ``cures``: whether a layer does.

    What cures counts, alone or with what lies between its layers (a core): either may be meant by a part's thickness.
    """
    for part in load.parts:
        stated, built = _stated(part), build_up.part(part.serial)
        zones = [] if built is None else [found for zone in built.zones if (found := _thick(zone, cures))]
        if stated is None or built is None or not zones:
            continue
        name, *thick = max(zones, key=lambda one: one[1])
        if all(abs(one / stated - 1.0) > ALIKE for one in thick):
            message = (
                f"part {part.serial} is {1e3 * stated:.3g} mm thick by the load sheet, and what cures of its thickest zone ({name}) is "
                f"{1e3 * thick[0]:.3g} mm by the build-up: limits that depend on thickness follow the load sheet, the prediction follows "
                "the build-up; put the wrong one right, or give the thickest place a zone"
            )
            places = (Place(load.file, part.line), Place(build_up.file, built.line))
            yield Finding("thickness differs", part.serial, message, places)


def factor_questions(build_up: BuildUp) -> Iterator[str]:
    """What has to be asked about position factors that are hardly meant."""
    for part in build_up.parts:
        for zone in part.zones:
            for side, face in (("bag side", zone.bag_side), ("tool side", zone.tool_side)):
                if face.position_factor > HARDLY:
                    yield (
                        f"part {part.serial}, zone {zone.name}, {side}: a position factor of {face.position_factor:.3g} says that it is "
                        f"served {face.position_factor:.3g} times as well as the survey's place: is it meant?"
                    )


def _stated(part: Part) -> float | None:
    """The thickness [m] that the load sheet states; None where it states none, or none that is a length."""
    found = part.attribute("thickness")
    if not isinstance(found, Quantity) or found.unit.quantity != "length" or found.number <= 0:
        return None
    return found.grains / 1e9


def _thick(zone: Zone, cures: Cures) -> tuple[str, float, float] | None:
    """A zone's name, what cures in it, and that with what lies between [m]; None where nothing cures."""
    at = [index for index, layer in enumerate(zone.layers) if cures(layer)]
    if not at:
        return None
    between = zone.layers[at[0] : at[-1] + 1]
    return zone.name, sum(zone.layers[index].thickness for index in at), sum(layer.thickness for layer in between)
