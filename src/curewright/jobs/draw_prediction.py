"""The plots of a prediction or a replay, and the folder they are kept in with the traces and the sealed prediction file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.jobs.judge_run import PROGRAM
from curewright.jobs.predict_run import BAND_EVERY
from curewright.picture.judged_run import JudgedRun
from curewright.picture.limits_shown import limit_lines
from curewright.picture.predictions.band_map import band_map
from curewright.picture.predictions.margins_sheet import inside_rows, margins_sheet, rows_of
from curewright.picture.predictions.resin_sheet import resin_sheet
from curewright.picture.predictions.sensor_traces import SensorCourse, predicted_traces, replayed_traces
from curewright.picture.predictions.sheet import Shows
from curewright.picture.predictions.through_thickness import courses
from curewright.picture.predictions.zone_map import zone_map
from curewright.predict.resin import of_zone
from curewright.predict.sensors import channel_of, known
from curewright.predict.summary import places, zones
from curewright.read.plan_folder import NO_START
from curewright.record.prediction_file import JSON, TRACES, Estimate, Picture, prediction_document
from curewright.record.prediction_traces import traces_text
from curewright.record.seal import sealed_text
from curewright.terms.errors import CurewrightError
from curewright.text.file_names import plain, unlike
from curewright.text.in_units import shown_by_part

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

    from curewright.jobs.materials import Materials
    from curewright.jobs.predict_run import Predicted, Replayed
    from curewright.picture.panel import LimitLine
    from curewright.predict.band import Band
    from curewright.predict.predicted import PredictedZone, Prediction
    from curewright.predict.resin import ResinCourse
    from curewright.predict.verdict_band import JudgedSamples
    from curewright.terms.build_up import PartBuildUp
    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification
    from curewright.terms.units import Unit
    from curewright.text.in_units import Shown

    Array = NDArray[np.float64]

KINDS = ("map-", "margins-", "resin-", "sure-", "traces-")
MOST_SENSORS = 6  # on one sheet; more go on further sheets
PREDICTED, REPLAYED = "PREDICTED, not recorded", "REPLAYED by the model, not recorded"


@dataclass(frozen=True, eq=False)
class _Drawn:
    """What every sheet of one prediction needs."""

    kind: str
    number: str
    prediction: Prediction
    load: Load
    materials: Materials
    start: datetime
    clock: bool
    specifications: tuple[Specification, ...]

    def shows(self, what: str) -> Shows:
        return Shows(f"{self.kind}: run {self.number}, {what}", self.prediction.seen, self.start, self.clock)

    def shown(self, serial: str = "") -> Shown:
        """The units of a part's specification, those of the first one where there is none of it."""
        return shown_by_part(self.load, self.specifications).of(serial)

    def bag(self, serial: str) -> str:
        return next((part.bag for part in self.load.parts if part.serial == serial), "")


def prediction_files(
    found: Predicted, band: Band | None = None, judged: JudgedSamples | None = None
) -> dict[str, bytes]:
    """What is kept of a predicted load, by name: plots, the sensors' traces, and the sealed prediction file."""
    plan, prediction = found.plan, found.prediction
    clock = round(plan.start.timestamp() * 1e9) != NO_START
    drawn = _Drawn(
        PREDICTED, plan.number, prediction, plan.load, found.materials, plan.start, clock, found.specifications
    )
    cycle = plan.prediction.cycle
    estimate = Estimate(
        kind=PREDICTED, program=PROGRAM, run=plan.number, vessel=plan.load.vessel, start=plan.start if clock else None,
        cycle=None if cycle is None else (cycle.name, cycle.revision), inputs=found.judgement.inputs, prediction=prediction,
        sensors=places(prediction), zones=zones(prediction, plan.load, found.materials.resin_of),
        band=band, band_times=prediction.t[::BAND_EVERY], outcomes=found.document["outcomes"], judged=judged,
    )  # fmt: skip
    limits = {
        part.serial: _limits(found, part.serial, drawn.shown(part.serial).temperature) for part in plan.load.parts
    }
    of_parts = [*_margin_sheets(drawn, judged), *_predicted_traces(drawn, limits, band)]
    return _kept(drawn, estimate, [*of_parts, *_zone_sheets(drawn, None), *_band_maps(drawn, band, limits)])


def _replay(found: Replayed) -> tuple[_Drawn, tuple[tuple[str, str], ...]]:
    """What the sheets of a replay need, and names and digests of its specifications."""
    run, load = found.inputs.run, found.inputs.load
    specifications, hashes = found.papers
    drawn = _Drawn(REPLAYED, run.number, found.prediction, load, found.materials, run.start, True, specifications)
    return drawn, hashes


def plots_of_part(found: Replayed, planned: Predicted | None, serial: str) -> list[tuple[Picture, bytes]]:
    """Of one part of a replay: recorded beside replayed, and what the resin of each zone went through."""
    drawn, _ = _replay(found)
    of_part = replace(drawn, prediction=replace(drawn.prediction, zones=drawn.prediction.of_part(serial)))
    sheets = [*_replayed_traces(of_part, found), *_zone_sheets(of_part, planned)]
    return [(picture, svg) for picture, svg in sheets if not picture.file.startswith("map-")]


def shown_for(found: Replayed, serial: str) -> Shown:
    """The units in which a part of a replay is shown: those of its specification."""
    return _replay(found)[0].shown(serial)


def replay_files(
    found: Replayed, planned: Predicted | None, band: Band | None = None, judged: JudgedSamples | None = None
) -> dict[str, bytes]:
    """What is kept of a replay, by name; ``planned``: the planned cycle, drawn beside it."""
    run, load, prediction = found.inputs.run, found.inputs.load, found.prediction
    drawn, papers = _replay(found)
    estimate = Estimate(
        kind=REPLAYED, program=PROGRAM, run=run.number, vessel=run.vessel, start=run.start,
        cycle=None, inputs=tuple(dict.fromkeys((*run.files, *found.given.files, *papers))), prediction=prediction,
        sensors=places(prediction), zones=zones(prediction, load, found.materials.resin_of), residuals=found.residuals(),
        band=band, band_times=prediction.t[::BAND_EVERY], judged=judged,
    )  # fmt: skip
    of_parts = [*_margin_sheets(drawn, judged), *_replayed_traces(drawn, found, band)]
    return _kept(drawn, estimate, [*of_parts, *_zone_sheets(drawn, planned), *_band_maps(drawn, band, {})])


def keep(out: Path, files: dict[str, bytes]) -> None:
    """Write the files into a folder, the prediction file last: what it names is there. Plots of an earlier one are removed."""
    out.mkdir(parents=True, exist_ok=True)
    for old in out.glob("*.svg"):
        if old.name not in files and old.name.startswith(KINDS):
            old.unlink()
    for name, content in files.items():
        (out / name).write_bytes(content)


def _kept(drawn: _Drawn, estimate: Estimate, plots: list[tuple[Picture, bytes]]) -> dict[str, bytes]:
    files = {picture.file: svg for picture, svg in plots}
    units = shown_by_part(drawn.load, drawn.specifications)
    traces = traces_text(drawn.prediction, drawn.load, units, "predicted" if drawn.kind == PREDICTED else "replayed")
    files[TRACES] = traces.encode("utf-8")
    digests = {name: sha256(content).hexdigest() for name, content in files.items()}
    document = prediction_document(estimate, units, [picture for picture, _ in plots], digests)
    return files | {JSON: sealed_text(document).encode("utf-8")}


def _sheets(
    part: PartBuildUp, sensors: list[SensorCourse], taken: set[str]
) -> Iterator[tuple[str, str, list[SensorCourse]]]:
    """File name, words and sensors of each sheet of a part's traces."""
    groups = [sensors[i : i + MOST_SENSORS] for i in range(0, len(sensors), MOST_SENSORS)]
    for number, group in enumerate(groups, 1):
        further = f", sheet {number} of {len(groups)}" if len(groups) > 1 else ""
        yield unlike(f"traces-{plain(part.serial)}", taken) + ".svg", f"part {part.serial}{further}", group


def _parts(prediction: Prediction) -> list[PartBuildUp]:
    return list({one.part.serial: one.part for one in prediction.zones}.values())


def _margin_sheets(drawn: _Drawn, judged: JudgedSamples | None) -> Iterator[tuple[Picture, bytes]]:
    """Of each part, which of its requirements is at risk."""
    taken: set[str] = set()
    for part in _parts(drawn.prediction) if judged is not None else ():
        assert judged is not None
        rows = rows_of(judged, part.serial)
        inside = inside_rows(judged, part.serial, drawn.shown(part.serial))
        if rows or inside:
            file = unlike(f"margins-{plain(part.serial)}", taken) + ".svg"
            what = f"the margins of part {part.serial} with their bands, by risk"
            svg = margins_sheet(drawn.shows(f"part {part.serial}").title, rows, inside)
            yield Picture(file, f"{drawn.kind}: {what}"), svg


def _band_maps(drawn: _Drawn, band: Band | None, limits: dict[str, list[LimitLine]]) -> Iterator[tuple[Picture, bytes]]:
    """How sure each zone is, through what cures in it."""
    taken: set[str] = set()
    for one in drawn.prediction.zones if band is not None else ():
        assert band is not None
        through = band.through.get((one.part.serial, one.zone.name))
        file = unlike(f"sure-{plain(one.part.serial)}-{plain(one.zone.name)}", taken) + ".svg"
        if through is not None and not isinstance(one.found, CurewrightError):
            words, times = f"part {one.part.serial}, {one.zone.name}", drawn.prediction.t[::BAND_EVERY]
            shown, held = drawn.shown(one.part.serial), limits.get(one.part.serial, [])
            svg = band_map(drawn.shows(f"{words}: how sure"), one, through, times, shown, held)
            yield Picture(file, f"{drawn.kind}: how sure temperature and degree of cure are through {words}"), svg


def _predicted_traces(
    drawn: _Drawn, limits: dict[str, list[LimitLine]], band: Band | None
) -> Iterator[tuple[Picture, bytes]]:
    prediction, taken = drawn.prediction, set[str]()
    for part in _parts(prediction):
        sensors = [
            SensorCourse(
                place.sensor, prediction.t, prediction.places[place.sensor], _band(band, place.sensor, prediction)
            )
            for place in part.places
            if place.sensor in prediction.places
        ]
        shown = drawn.shown(part.serial)
        for file, words, group in _sheets(part, sensors, taken):
            svg = predicted_traces(drawn.shows(words), group, shown, limits.get(part.serial, ()))
            yield Picture(file, f"{drawn.kind}: what the sensors of {words} would show, with its limits"), svg


def _band(band: Band | None, sensor: str, prediction: Prediction) -> tuple[Array, Array, Array] | None:
    if band is None or sensor not in band.low:
        return None
    return prediction.t[::BAND_EVERY], band.low[sensor], band.high[sensor]


def _limits(found: Predicted, serial: str, unit: Unit) -> list[LimitLine]:
    """The limits of a part's specification over the phases that the predicted run has, in the unit that is shown."""
    judged = JudgedRun(
        found.specifications, found.plan.vessel, found.plan.load, found.run, found.judgement,
        cards=cards_of(found.specifications),
    )  # fmt: skip
    end = round(float(found.prediction.t[-1]) * 1e9)
    return limit_lines(judged, judged.verdicts(serial), "temperature", unit, end)


def _replayed_traces(drawn: _Drawn, found: Replayed, band: Band | None = None) -> Iterator[tuple[Picture, bytes]]:
    prediction = drawn.prediction
    taken: set[str] = set()
    for part in _parts(prediction):
        sensors = []
        for place in part.places:
            if place.sensor in prediction.places:
                channel = channel_of(found.inputs.run, drawn.load, place.sensor)
                recorded = None if channel is None else known(channel)
                sensors.append(
                    SensorCourse(
                        place.sensor, prediction.t, prediction.places[place.sensor], _band(band, place.sensor, prediction), recorded
                    )
                )  # fmt: skip
        for file, words, group in _sheets(part, sensors, taken):
            svg = replayed_traces(drawn.shows(words), group, drawn.shown(part.serial))
            yield Picture(file, f"{drawn.kind}: recorded and replayed sensors of {words}, and their difference"), svg


def _zone_sheets(drawn: _Drawn, planned: Predicted | None) -> Iterator[tuple[Picture, bytes]]:
    """The maps of each zone, and the sheet of its resin where something cures; a zone that was refused has none."""
    taken: set[str] = set()
    for one in drawn.prediction.zones:
        if isinstance(one.found, CurewrightError):
            continue
        words, shown = f"part {one.part.serial}, {one.zone.name}", drawn.shown(one.part.serial)
        file = unlike(f"{plain(one.part.serial)}-{plain(one.zone.name)}", taken) + ".svg"
        of, bag = drawn.materials.resin_of(one.zone), drawn.bag(one.part.serial)
        shows = drawn.shows(words)
        svg = zone_map(shows, one, of, bag, shown)
        yield Picture(f"map-{file}", f"{drawn.kind}: temperature, degree of cure and void margin through {words}"), svg
        if of is not None:
            found = courses(one, of, drawn.prediction.seen, bag)[1]
            svg = resin_sheet(shows, found, shown, _middle_planned(one, planned, bag))
            yield Picture(f"resin-{file}", f"{drawn.kind}: what the resin of {words} goes through"), svg


def _middle_planned(one: PredictedZone, planned: Predicted | None, bag: str) -> ResinCourse | None:
    """The middle of the same zone in the planned cycle."""
    if planned is None:
        return None
    for other in planned.prediction.of_part(one.part.serial):
        of = planned.materials.resin_of(other.zone)
        if other.zone.name == one.zone.name and of is not None and not isinstance(other.found, CurewrightError):
            return of_zone(other, of[1], of[0].name, 0.5, planned.prediction.seen, bag)
    return None
