"""Predict a planned load, or replay a recorded run: what the parts do, and which verdicts the cycle would get."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.jobs.cores import in_threads
from curewright.jobs.judge_run import PROGRAM, document_of
from curewright.jobs.materials import Materials
from curewright.jobs.understand_run import RunFiles, Understood, read_specifications
from curewright.judge.judge import judge
from curewright.predict.band import Band, Share, ZoneAsked, band, shares
from curewright.predict.learn import learnt_notes, with_learnt
from curewright.predict.predicted import LoadToPredict, Prediction, predict, predict_cycle
from curewright.predict.recorded import recorded, site_of
from curewright.predict.residuals import Residual, residuals
from curewright.predict.run import TEMPERATURES, run_of
from curewright.read.folder import RunInputs
from curewright.read.plan_folder import PlanInputs, read_plan, read_prediction
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from curewright.read.plan_folder import PredictionInputs
    from curewright.record.verdicts import Document
    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification
    from curewright.terms.run import Run
    from curewright.terms.verdict import Judgement


BAND_EVERY = 4  # outputs of a prediction for one of its band


@dataclass(frozen=True, eq=False)
class Predicted:
    """A planned load predicted: the prediction, the run it would be, and the verdicts that the cycle would get."""

    plan: PlanInputs
    asked: LoadToPredict
    materials: Materials
    prediction: Prediction
    run: Run
    document: Document
    judgement: Judgement
    specifications: tuple[Specification, ...]


@dataclass(frozen=True, eq=False)
class Replayed:
    """A recorded run's air and pressure put to the model: what the parts should have done, beside what was recorded."""

    inputs: RunInputs
    given: PredictionInputs
    asked: LoadToPredict
    materials: Materials
    prediction: Prediction

    @cached_property
    def papers(self) -> tuple[tuple[Specification, ...], tuple[tuple[str, str], ...]]:
        """The specifications of the run, read when first asked for, and name and SHA-256 of their files."""
        return read_specifications(self.inputs.specifications)

    def residuals(self) -> tuple[Residual, ...]:
        """Recorded minus replayed, sensor by sensor."""
        return residuals(self.prediction, self.inputs.run, self.inputs.load)


def predict_load(folder: Path, step: Callable[[str], None] = lambda _: None) -> Predicted:
    """What a planned cycle does to the load of a folder. Raises :class:`CurewrightError` with what is missing or wrong."""
    step("reading the plan")
    plan = read_plan(folder)
    cycle = plan.prediction.cycle
    if cycle is None:
        raise FileError(
            "no cycle is planned",
            expected="'cycle: …' in the run sheet",
            where=Place("run.yaml"),
            remedy="write one (docs/formats/cycle.md), or replay a recorded run",
        )
    asked, materials = _asked(plan.load, plan.prediction)
    step("predicting the cure")
    prediction = predict_cycle(asked, cycle, plan.prediction.heat, site_of(plan.vessel), in_threads)
    prediction = _with_notes(prediction, plan.load, plan.prediction, materials)
    run = run_of(prediction, plan.load, plan.number, plan.start)
    step("judging the predicted run")
    understood, judgement = _judged(plan, run)
    document = document_of(understood, judgement, None)
    return Predicted(plan, asked, materials, prediction, run, document, judgement, understood.specifications)


def unpredicted(load: Load, run: Run) -> dict[str, str]:
    """The sensors of the map that have no predicted reading, and why."""
    return {
        line.sensor: "no place in the build-up sheet" if line.role in TEMPERATURES else "no reading of it is predicted"
        for line in load.map
        if line.channel not in run.channels
    }


def band_of(found: Predicted | Replayed, samples: int, step: Callable[[str], None] = lambda _: None) -> Band:
    """The band of a predicted load or a replayed run. A cycle's holds stay as predicted: a band is of the parts, not of the timetable."""
    step(f"predicting {samples} samples of what is doubtful")
    return band(found.asked, found.prediction.seen, found.prediction.t[::BAND_EVERY], in_threads, samples=samples)


def shares_of(found: Predicted, step: Callable[[str], None] = lambda _: None) -> tuple[str, tuple[Share, ...]]:
    """The hottest zone, and how much of the variance of its hottest temperature comes from each doubt."""
    step("telling the doubts apart")
    solved = [one for one in found.prediction.zones if not isinstance(one.found, CurewrightError)]
    if not solved:
        raise CurewrightError("no zone could be predicted", expected="at least one", remedy="see the reasons above")
    hottest = max(solved, key=lambda one: float(one.solution.T.max()))
    asked = ZoneAsked(found.asked, found.prediction.seen, found.prediction.t[::BAND_EVERY], hottest.part, hottest.zone)
    return hottest.case.stack.name, shares(asked, lambda one: float(one.T.max()), in_threads)


def replay_run(
    files: RunFiles, step: Callable[[str], None] = lambda _: None, *, to_write: Path | None = None
) -> Replayed:
    """What the parts of a recorded run should have done in its air and pressure. Raises :class:`CurewrightError`.

    ``to_write``: the file of what this run teaches, which may be named in the run sheet before it is there.
    """
    step("reading the files")
    inputs = files.read()
    given = read_prediction(files.home, inputs.load, to_write)
    asked, materials = _asked(inputs.load, given)
    seen = recorded(inputs.run, inputs.vessel, inputs.load)
    step("predicting the cure")
    prediction = _with_notes(predict(asked, seen, in_threads), inputs.load, given, materials)
    return Replayed(inputs, given, asked, materials, prediction)


def _with_notes(prediction: Prediction, load: Load, given: PredictionInputs, materials: Materials) -> Prediction:
    """With what the cards say of themselves, and what of the learnt file is used."""
    learnt = learnt_notes(given.build_up, load, given.learnt, given.learnt_file) if given.learnt_file else ()
    return replace(prediction, warnings=(*prediction.warnings, *materials.notes(given.build_up), *learnt))


def _asked(load: Load, given: PredictionInputs) -> tuple[LoadToPredict, Materials]:
    materials = Materials(given.own_cards, given.build_up.file)
    build_up = with_learnt(given.build_up, load, given.learnt)
    return LoadToPredict(load, build_up, materials, given.heat.convection, given.heat.gas), materials


def _judged(plan: PlanInputs, run: Run) -> tuple[Understood, Judgement]:
    specifications, hashes = read_specifications(plan.specifications)
    files = (*plan.prediction.files, *hashes)
    judgement = judge(
        specifications, plan.vessel, plan.load, run, program=PROGRAM, inputs=files, cards=cards_of(specifications)
    )
    inputs = RunInputs(run, plan.vessel, plan.load, (), plan.specifications)
    return Understood(inputs, specifications, (), files), judgement
