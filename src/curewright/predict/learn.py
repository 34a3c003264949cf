"""Learning from a recorded run how well each zone is served by the vessel's air: one position factor a zone, one offset a sensor.

Bounded least squares of recorded against replayed; the factor of the bag's side is held as stated, since the two faces of a column
cannot be told apart by thermocouples on one side of it. Standard errors are widened because neighbouring samples go together
(first-order autocorrelation). Refused where the run cannot tell: too little heating, too few samples, a factor on its bound or known
to no better than a third.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, fit
from curewright.physics.fitting.together import along, widening
from curewright.physics.solve.many import solve_case
from curewright.physics.solve.places import shown_by
from curewright.physics.solve.solve import Solution
from curewright.predict.residuals import rms
from curewright.predict.sensors import channel_of, known
from curewright.predict.zone import case_of, probe_of
from curewright.terms.errors import CurewrightError
from curewright.terms.learnt import LearntOffset, LearntZone

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    from curewright.physics.solve.many import Case
    from curewright.predict.predicted import LoadToPredict
    from curewright.predict.surroundings import Surroundings
    from curewright.terms.build_up import BuildUp, PartBuildUp, Place, Zone
    from curewright.terms.load import Load, Part
    from curewright.terms.run import Run

EVERY = 120.0  # s: samples closer than this say nothing more about minutes of lag
FEWEST = 30  # samples of a sensor
LEAST_HEATING = 20.0  # K: a run that hardly heats tells nothing of how a place is heated
BOUNDS = (0.05, 5.0)  # of a position factor
FARTHEST = 15.0  # K: of an offset
WORST = 1.0 / 3.0  # relative standard error of a factor or an offset that is still an answer
APART = 2.0  # combined standard uncertainties (about 95 %, as the GUM's coverage factor): a factor that is farther off is remarked


@dataclass(frozen=True, eq=False)
class _Heard:
    """A sensor's recorded temperatures [K] at instants [s] of the fit, as indices into all instants."""

    place: Place
    at: NDArray[np.int64]
    recorded: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class _Trial:
    """The sensors of a zone, and what they would show for a position factor of its tool's side. Tried are the factor and some offsets."""

    heard: tuple[_Heard, ...]
    shown: Callable[[float], list[NDArray[np.float64]]]
    free: tuple[int, ...]
    """the sensors whose offset is tried; that of the others is 0"""

    def residuals(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """Recorded less shown [K], of one sensor after the other."""
        return np.concatenate(self.by_sensor(x))

    def by_sensor(self, x: NDArray[np.float64]) -> list[NDArray[np.float64]]:
        """The same, one array a sensor."""
        offsets = dict(zip(self.free, x[1:], strict=True))
        pairs = zip(self.heard, self.shown(float(x[0])), strict=True)
        return [one.recorded - was - offsets.get(i, 0.0) for i, (one, was) in enumerate(pairs)]

    def slopes(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """Exact for offsets; over the factor by central differences, which is all that costs a simulation."""
        h = 1e-3 * float(x[0])
        up, down = self.shown(float(x[0]) + h), self.shown(float(x[0]) - h)
        of_factor = np.concatenate([(low - high) / (2.0 * h) for high, low in zip(up, down, strict=True)])
        count, sizes = len(self.heard), [one.at.size for one in self.heard]
        of_offsets = [np.repeat(-1.0 * (np.arange(count) == i), sizes) for i in self.free]
        return np.column_stack([of_factor, *of_offsets])


def learn_zone(asked: LoadToPredict, seen: Surroundings, run: Run, part: PartBuildUp, zone: Zone) -> LearntZone:
    """The position factor and offsets of one zone. Raises :class:`CannotTellError` with the reason where the run cannot tell."""
    times = np.append(np.arange(seen.start, seen.end, EVERY), seen.end)
    heard = _heard(asked, run, part, zone, times)

    @cache
    def shown(factor: float) -> list[NDArray[np.float64]]:
        tried = replace(zone, tool_side=replace(zone.tool_side, position_factor=factor))
        case = case_of(part, tried, seen, asked.convection, asked.material, times)
        return _replayed(case, tried, heard)

    trial = _Trial(heard, shown, tuple(range(len(heard))))
    start = zone.tool_side.position_factor
    (values, errors), not_kept = _found(trial, start, zone), []
    while weak := [i for i in range(1, values.size) if not errors[i] <= WORST * abs(values[i])]:
        not_kept += [_offset(asked.load, heard[trial.free[i - 1]], values[i], errors[i]) for i in weak]
        trial = replace(trial, free=tuple(one for i, one in enumerate(trial.free, 1) if i not in weak))
        values, errors = _found(trial, start, zone)
    number, tool = _again(asked.load, part.serial)
    kept = zip(trial.free, values[1:], errors[1:], strict=True)
    offsets = tuple(_offset(asked.load, heard[i], value, error) for i, value, error in kept)
    before, left = trial.by_sensor(_unmoved(trial, start)), trial.by_sensor(values)
    each = tuple((one.place.sensor, rms(b), rms(a)) for one, b, a in zip(heard, before, left, strict=True))
    of_all = np.concatenate(left)
    return LearntZone(
        number, tool, zone.name, float(values[0]), float(errors[0]), offsets, run.number, run.start.date().isoformat(),
        rms(np.concatenate(before)), rms(of_all), of_all.size, not_kept=tuple(not_kept), by_sensor=each,
    )  # fmt: skip


def _unmoved(trial: _Trial, factor: float) -> NDArray[np.float64]:
    return np.array([factor, *[0.0] * len(trial.free)])


def _found(trial: _Trial, start: float, zone: Zone) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The factor and the offsets that are tried, with widened standard errors. Refuses a factor that is no answer."""
    names = ["position factor", *(f"offset of {trial.heard[i].place.sensor}" for i in trial.free)]
    bounds = [BOUNDS, *[(-FARTHEST, FARTHEST)] * len(trial.free)]
    first = _unmoved(trial, start).tolist()
    found = fit(trial.residuals, [first], names, bounds=bounds, slopes=trial.slopes, rank=1e-4, tight=1e-7)
    errors = found.standard_errors * _widening(trial.residuals(found.values), trial.heard)
    _refuse(found.on_bound, found.values[0], errors[0], zone)
    return found.values, errors


def _offset(load: Load, heard: _Heard, value: float, error: float) -> LearntOffset:
    return LearntOffset(_name(load, heard.place.sensor), float(value), float(error))


def learn(
    asked: LoadToPredict, seen: Surroundings, run: Run
) -> tuple[tuple[LearntZone, ...], tuple[tuple[str, CurewrightError], ...]]:
    """What a run teaches about every zone that has sensors, and why it teaches nothing about the others, by name."""
    taught, refused = [], []
    for part in asked.build_up.parts:
        for zone in part.zones:
            try:
                taught.append(learn_zone(asked, seen, run, part, zone))
            except CurewrightError as why:
                refused.append((f"part {part.serial}, zone {zone.name}", why))
    return tuple(taught), tuple(refused)


def with_learnt(build_up: BuildUp, load: Load, learnt: Sequence[LearntZone]) -> BuildUp:
    """The build-up with what earlier runs taught about the same part numbers on the same tools; the last one written counts."""
    by = {(one.part_number, one.tool, one.zone): one for one in learnt}
    parts = []
    for part in build_up.parts:
        number, tool = _again(load, part.serial)
        own = {zone.name: by.get((number, tool, zone.name)) for zone in part.zones}
        zones = tuple(_taught(zone, own[zone.name]) for zone in part.zones)
        places = tuple(_moved(place, own.get(place.zone), load) for place in part.places)
        parts.append(replace(part, zones=zones, places=places))
    return replace(build_up, parts=tuple(parts))


def learnt_notes(build_up: BuildUp, load: Load, learnt: Sequence[LearntZone], file: str) -> Iterator[str]:
    """Which of what earlier runs taught is used here, place by place, and in place of what; ``build_up``: without it."""
    used = False
    for part in build_up.parts:
        for zone in part.zones:
            one = _of_zone(learnt, load, part.serial, zone)
            if one is not None:
                used = True
                instead = f"in place of {zone.tool_side.position_factor:.3g} of the build-up{_offsets_of(one)}"
                yield (
                    f"{file}: part {part.serial}, zone {zone.name}, tool side: position factor {one.factor:.2f} ± "
                    f"{one.standard_error:.2f} (standard error), {one.origin}, {instead}"
                )
                yield from apart(build_up, load, (one,), part.serial)
    if not used:
        yield f"{file}: nothing of it is used, for no line is for a part number, tool and zone of this build-up"


def apart(build_up: BuildUp, load: Load, learnt: Sequence[LearntZone], serial: str = "") -> Iterator[str]:
    """The learnt factors that lie farther from the build-up's than :data:`APART` of both standard uncertainties combined."""
    for part in build_up.parts:
        for zone in part.zones if serial in ("", part.serial) else ():
            one, side = _of_zone(learnt, load, part.serial, zone), zone.tool_side
            if one is None:
                continue
            stated = side.position_factor * (side.position_error or 0.0)
            off = abs(one.factor - side.position_factor)
            if off > APART * float(np.hypot(one.standard_error, stated)):
                sure = f" ± {100 * side.position_error:.2g} %" if side.position_error else ""
                yield (
                    f"! part {part.serial}, zone {zone.name}: the learnt factor {one.factor:.2f} ± {one.standard_error:.2f} and the "
                    f"build-up's {side.position_factor:.3g}{sure} are more than {APART:g} combined standard uncertainties apart: one of "
                    "them is wrong, or the layers, the convection or the places of the thermocouples are; look before you use it"
                )


def _of_zone(learnt: Sequence[LearntZone], load: Load, serial: str, zone: Zone) -> LearntZone | None:
    """What was learnt of a zone; the last line written counts."""
    key = (*_again(load, serial), zone.name)
    return next((one for one in reversed(learnt) if (one.part_number, one.tool, one.zone) == key), None)


def _offsets_of(one: LearntZone) -> str:
    told = ", ".join(f"{each.place} {each.offset:+.1f} ± {each.standard_error:.1f} K" for each in one.offsets)
    return f"; offsets: {told}" if told else ""


def _taught(zone: Zone, by: LearntZone | None) -> Zone:
    if by is None:
        return zone
    side = replace(
        zone.tool_side, position_factor=by.factor, position_error=by.standard_error / by.factor, factor_from=by.origin
    )
    return replace(zone, tool_side=side)


def _moved(place: Place, by: LearntZone | None, load: Load) -> Place:
    offsets = {one.place: one.offset for one in by.offsets} if by else {}
    return replace(place, offset=offsets.get(_name(load, place.sensor), place.offset))


def _again(load: Load, serial: str) -> tuple[str, str]:
    """Part number and tool: what comes again in the next run."""
    part: Part = next(one for one in load.parts if one.serial == serial)
    return part.number, part.tool


def _name(load: Load, sensor: str) -> str:
    """The place of the sensor map that a sensor sits at; its own name where nobody stated one."""
    return next((one.place for one in load.map if one.sensor == sensor and one.place), sensor)


def _heard(
    asked: LoadToPredict, run: Run, part: PartBuildUp, zone: Zone, times: NDArray[np.float64]
) -> tuple[_Heard, ...]:
    found = []
    for place in part.places:
        channel = channel_of(run, asked.load, place.sensor)
        if place.zone != zone.name or channel is None:
            continue
        t, v = known(channel)
        near = np.array([t.size > 0 and np.min(np.abs(t - at)) <= EVERY for at in times])
        at = np.flatnonzero(near)
        if at.size >= FEWEST:
            recorded = np.interp(times[at], t, v)
            if np.ptp(recorded) >= LEAST_HEATING:
                found.append(_Heard(place, at, recorded))
    if not found:
        raise CannotTellError(
            f"no sensor of zone {zone.name} has {FEWEST} values over {LEAST_HEATING:g} K of heating",
            expected="a recorded thermocouple with a place in it",
        )
    return tuple(found)


def _replayed(case: Case, zone: Zone, heard: Sequence[_Heard]) -> list[NDArray[np.float64]]:
    """What the sensors would have shown; solved finely, so that small changes of the factor show."""
    found = solve_case(replace(case, tolerance=case.tolerance / 10))
    if not isinstance(found, Solution):
        raise found
    return [shown_by(found, probe_of(one.place, zone), case.faces)[one.at] for one in heard]


def _widening(left: NDArray[np.float64], heard: Sequence[_Heard]) -> float:
    """By how much standard errors are widened for residuals that go together from one sample of a sensor to the next."""
    ends = np.cumsum([one.at.size for one in heard])[:-1]
    return widening(along(piece - piece.mean() for piece in np.split(left, ends)))


def _refuse(on_bound: tuple[str, ...], factor: float, error: float, zone: Zone) -> None:
    if on_bound:
        raise CannotTellError(
            f"{', '.join(on_bound)} of zone {zone.name} ends on its bound",
            expected=f"a factor between {BOUNDS[0]:g} and {BOUNDS[1]:g}, offsets within {FARTHEST:g} K",
            remedy="look at the layers, the convection and the places of the thermocouples first",
        )
    if not error <= WORST * factor:
        raise CannotTellError(
            f"the position factor of zone {zone.name} comes out as {factor:.2f} ± {error:.2f}",
            expected="a standard error of at most a third",
            remedy="use a run with more heating, or thermocouples that follow the part",
        )
