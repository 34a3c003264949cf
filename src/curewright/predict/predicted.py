"""A load predicted: every zone's temperature and degree of cure, and what each placed sensor would show.

One call for a planned cycle, one for a recorded run's air (replay). Whoever wants several cores passes a ``map``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.many import solve_all
from curewright.physics.solve.places import shown_by
from curewright.physics.solve.solve import Solution
from curewright.predict.against_load import factor_questions, thickness_findings
from curewright.predict.planned import surroundings
from curewright.predict.stands_on import build_up_notes, card_notes, factor_notes, outside_notes
from curewright.predict.zone import case_of, probe_of
from curewright.terms.course import first_reached
from curewright.terms.errors import CurewrightError
from curewright.terms.stack import Layer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from curewright.physics.solve.many import Case
    from curewright.predict.surroundings import Surroundings
    from curewright.predict.zone import Materials
    from curewright.terms.build_up import BuildUp, PartBuildUp, Zone
    from curewright.terms.cycle import Convection, Cycle, VesselHeat
    from curewright.terms.load import Load

    Over = Callable[..., Iterable[Solution | CurewrightError]]

EVERY = 30.0  # s: how often a prediction is put out


@dataclass(frozen=True, eq=False)
class PredictedZone:
    """A zone as the solver found it, or why there is nothing; ``case``: what the solver was asked."""

    part: PartBuildUp
    zone: Zone
    case: Case
    found: Solution | CurewrightError

    @property
    def solution(self) -> Solution:
        """The solution. Raises the solver's :class:`CurewrightError` where there is none."""
        if isinstance(self.found, CurewrightError):
            raise self.found
        return self.found


@dataclass(frozen=True, eq=False)
class Prediction:
    """A load predicted. ``t`` [s since the start of the run]; ``places``: what each sensor would show [K], shape of t.

    ``warnings``: what everybody who reads a number of it has to be told. Never evidence of what a part was.
    """

    t: NDArray[np.float64]
    seen: Surroundings
    zones: tuple[PredictedZone, ...]
    places: dict[str, NDArray[np.float64]]
    warnings: tuple[str, ...] = field(default=())

    def of_part(self, serial: str) -> tuple[PredictedZone, ...]:
        """The zones of a part; none where it has no build-up."""
        return tuple(one for one in self.zones if one.part.serial == serial)


@dataclass(frozen=True, eq=False)
class LoadToPredict:
    """What a prediction needs beside the surroundings: the load, its build-up, materials by layer, and the vessel's convection.

    ``gas``: what the vessel is filled with, said beside the convection, which holds for it; '' where nobody said.
    """

    load: Load
    build_up: BuildUp
    material: Materials
    convection: Convection
    gas: str = ""

    @property
    def judging(self) -> frozenset[str]:
        """The sensors that judge a part."""
        return frozenset(one.sensor for one in self.load.map if one.role == "judging")


def predict(asked: LoadToPredict, seen: Surroundings, over: Over = map, *, every: float = EVERY) -> Prediction:
    """What the parts of a load do in these surroundings, put out ``every`` so many seconds.

    A zone that the solver refuses stays with its reason; the others are given. Raises :class:`CurewrightError` for a build-up that cannot
    be put to the solver, and where there is nothing to predict.
    """
    times = _times(seen, every)
    rows = [(part, zone) for part in asked.build_up.parts for zone in part.zones]
    if not rows:
        raise CurewrightError(
            "no part has a build-up", expected="at least one", remedy="write one: docs/formats/build-up.md"
        )
    cases = [case_of(part, zone, seen, asked.convection, asked.material, times) for part, zone in rows]
    found = solve_all(cases, over)
    zones = tuple(
        PredictedZone(part, zone, case, one) for (part, zone), case, one in zip(rows, cases, found, strict=True)
    )
    return Prediction(times, seen, zones, _places(zones), _warnings(asked, seen, zones))


def _times(seen: Surroundings, every: float) -> NDArray[np.float64]:
    """Instants from the first to the last, at whole multiples of ``every`` between them."""
    inside = np.arange(np.ceil(seen.start / every), np.floor(seen.end / every) + 1) * every
    inside = inside[(inside > seen.start) & (inside < seen.end)]
    return np.concatenate([[seen.start], inside, [seen.end]])


def _places(zones: Sequence[PredictedZone]) -> dict[str, NDArray[np.float64]]:
    """What each placed sensor shows [K]; sensors of a zone that was refused are missing."""
    shown = {}
    for one in zones:
        if isinstance(one.found, Solution):
            for place in one.part.places:
                if place.zone == one.zone.name:
                    probe = probe_of(place, one.zone)
                    shown[place.sensor] = shown_by(one.found, probe, one.case.faces) + place.offset
    return shown


def _warnings(asked: LoadToPredict, seen: Surroundings, zones: Sequence[PredictedZone]) -> tuple[str, ...]:
    said = [
        "an engineering estimate, never evidence; it says nothing of the quality of a laminate",
        *seen.notes,
        *build_up_notes(asked.build_up, asked.load.run),
    ]
    said += [
        f"part {part.serial} has no build-up and is not predicted"
        for part in asked.load.parts
        if asked.build_up.part(part.serial) is None
    ]
    for one in zones:
        if isinstance(one.found, CurewrightError):
            said.append(f"{one.case.stack.name} is not predicted: {one.found}")
        else:
            said += _of_zone(one, one.found)
    said += card_notes(one.case.stack for one in zones)
    said += outside_notes(one.found for one in zones)
    differs = thickness_findings(asked.load, asked.build_up, lambda layer: asked.material(layer).reacts)
    said += [one.message for one in differs]
    said += factor_questions(asked.build_up)
    said.append(f"convection{f' in {asked.gas}' if asked.gas else ''}: {asked.convection.source}")
    said += factor_notes((one.part, one.zone) for one in zones)
    return tuple(dict.fromkeys(said))


def _of_zone(one: PredictedZone, found: Solution) -> Iterator[str]:
    """What the solver said: of the materials as it stands, once for all zones; of what this zone did, with its name."""
    layers = [layer for layer in found.stack.layers if isinstance(layer, Layer)]
    of_materials = {f"layer '{layer.name}': {words}" for layer in layers for words in layer.material.warnings}
    return (note if note in of_materials else f"{one.case.stack.name}: {note}" for note in found.notes)


def warnings_of_part(asked: LoadToPredict, prediction: Prediction, serial: str) -> tuple[str, ...]:
    """What everybody has to be told who reads a number of one part: nothing of the other parts' layers, faces and cards."""
    return _warnings(of_part(asked, serial), prediction.seen, prediction.of_part(serial))


def of_part(asked: LoadToPredict, serial: str) -> LoadToPredict:
    """The same with nothing but one part."""
    load = replace(asked.load, parts=tuple(one for one in asked.load.parts if one.serial == serial))
    parts = tuple(one for one in asked.build_up.parts if one.serial == serial)
    return replace(asked, load=load, build_up=replace(asked.build_up, parts=parts))


def predict_cycle(
    asked: LoadToPredict, cycle: Cycle, heat: VesselHeat, site: float, over: Over = map, *, every: float = EVERY
) -> Prediction:
    """What a planned cycle does to a load. Holds that wait for the coldest judging thermocouple are found one after another.

    A segment's hold cannot change what came before it, so each is timed with those before it known (one prediction a hold).
    """
    holds: dict[int, float] = {}
    bags = [bag.name for bag in asked.load.bags]
    seen, table = surroundings(cycle, heat, bags, site, holds)
    notes: list[str] = []
    for index, segment in enumerate(cycle.segments):
        if segment.counted_from is None or segment.hold is None or segment.longest is None:
            continue
        trial = predict(asked, _until(seen, table.starts[index] + segment.longest), over, every=every)
        reached = _coldest_reaches(trial, asked.judging, segment.counted_from)
        if reached is None:
            holds[index] = segment.longest
            notes.append(
                f"{segment.name}: the coldest thermocouple does not reach {_celsius(segment.counted_from)} in time"
            )
        else:
            wanted = max(0.0, reached - table.starts[index]) + segment.hold
            holds[index] = min(wanted, segment.longest)
            if wanted > segment.longest:
                notes.append(f"{segment.name}: its longest time ends it before the hold is over")
        seen, table = surroundings(cycle, heat, bags, site, holds)
    found = predict(asked, seen, over, every=every)
    return Prediction(found.t, found.seen, found.zones, found.places, (*found.warnings, *notes))


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.1f} °C"


def _until(seen: Surroundings, end: float) -> Surroundings:
    return seen if end >= seen.end else seen.until(end)


def _coldest_reaches(trial: Prediction, judging: frozenset[str], level: float) -> float | None:
    """When the coldest judging thermocouple first reaches a temperature, straight between outputs [s]; None where it never does.

    Raises :class:`CurewrightError` where no judging thermocouple has a place in a build-up.
    """
    shown = [trial.places[name] for name in sorted(judging & trial.places.keys())]
    if not shown:
        raise CurewrightError(
            "the cycle waits for the coldest judging thermocouple, and none is predicted",
            expected="a place in the build-up sheet for at least one sensor whose role is judging",
            remedy="; ".join(trial.warnings[-3:]),
        )
    return first_reached(trial.t, np.min(shown, axis=0), level)
