"""What becomes of the predicted verdicts over what is doubtful: every sample is a run of its own, and judged like any other run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import count
from time import monotonic
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.jobs.cores import in_threads
from curewright.judge.judge import judge
from curewright.picture.judged_run import JudgedRun
from curewright.picture.limits_shown import levels, row_of
from curewright.predict.band import FEWEST, middle
from curewright.predict.inside import InsideBand, UpperLimit, over_limits
from curewright.predict.predicted import predict, predict_cycle
from curewright.predict.recorded import site_of
from curewright.predict.run import run_of
from curewright.predict.sampled_load import not_varied, sampled_loads
from curewright.predict.verdict_band import JudgedSamples, by_risk, verdict_bands
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import Band
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from curewright.jobs.predict_run import Predicted, Replayed
    from curewright.predict.predicted import LoadToPredict, Prediction
    from curewright.terms.cycle import Cycle
    from curewright.terms.load import Load, Vessel
    from curewright.terms.requirement import Specification
    from curewright.terms.run import Run
    from curewright.terms.verdict import Judgement, Verdict

    Over = dict[tuple[UpperLimit, str], float]

KELVIN = UNITS["K"]


@dataclass(frozen=True, eq=False)
class _Papers:
    """What a run is judged by."""

    specifications: tuple[Specification, ...]
    vessel: Vessel
    load: Load

    def judgement(self, run: Run, *, lean: bool = False) -> Judgement:
        return judge(self.specifications, self.vessel, self.load, run, cards=cards_of(self.specifications), lean=lean)

    def upper_limits(self, run: Run, judgement: Judgement) -> tuple[UpperLimit, ...]:
        """The upper limits of parts' temperatures over a phase."""
        judged = JudgedRun(
            self.specifications, self.vessel, self.load, run, judgement, cards=cards_of(self.specifications)
        )
        found = []
        for verdict in judgement.verdicts:
            form = judged.form(verdict)
            if not isinstance(form, Band) or form.signal.group.role != "part thermocouple":
                continue
            scene = judged.scene(verdict.part)
            if row_of(form.signal, form.unit, scene) == "temperature":
                found += [
                    UpperLimit(verdict.part, verdict.clause, verdict.form, level, words)
                    for level, upper, words in levels(scene, form.limits, form.unit, KELVIN)
                    if upper
                ]
        return tuple(dict.fromkeys(found))


def judged_samples(found: Predicted, samples: int, step: Callable[[str], None] = lambda _: None) -> JudgedSamples:
    """The samples of a planned load. Each goes through the whole cycle: a hold that waits for the coldest thermocouple waits for that of
    the sample, as the controller's would.
    """
    plan, cycle = found.plan, found.plan.prediction.cycle
    assert cycle is not None
    papers, site = _Papers(found.specifications, plan.vessel, plan.load), site_of(plan.vessel)

    def one(asked: LoadToPredict) -> tuple[Prediction, Run]:
        if waits(cycle):
            prediction = predict_cycle(asked, cycle, plan.prediction.heat, site)
        else:  # the timetable of every sample is that of the plan
            prediction = predict(asked, found.prediction.seen)
        return prediction, run_of(prediction, plan.load, plan.number, plan.start)

    return _samples(found.asked, (found.prediction, found.run), papers, one, (samples, step))


def waits(cycle: Cycle) -> bool:
    """Whether some hold of a cycle is counted from when the coldest thermocouple reaches a temperature."""
    return any(segment.counted_from is not None for segment in cycle.segments)


def judged_replays(found: Replayed, samples: int, step: Callable[[str], None] = lambda _: None) -> JudgedSamples:
    """The samples of a replayed run: recorded but for the thermocouples that the model has a temperature for."""
    papers = _Papers(found.papers[0], found.inputs.vessel, found.inputs.load)

    def one(asked: LoadToPredict) -> tuple[Prediction, Run]:
        prediction = predict(asked, found.prediction.seen)
        return prediction, replayed_run(found, prediction)

    as_replayed = found.prediction, replayed_run(found, found.prediction)
    judged = _samples(found.asked, as_replayed, papers, one, (samples, step))
    modelled = found.prediction.places.keys()
    touched = tuple(one for one in judged.verdicts if modelled & set(one.verdict.behind))
    return replace(judged, verdicts=touched)


def replayed_run(found: Replayed, prediction: Prediction) -> Run:
    """The recorded run with the model's temperatures in place of what its thermocouples recorded."""
    recorded, load = found.inputs.run, found.inputs.load
    modelled = run_of(prediction, load, recorded.number, recorded.start).channels
    placed = {line.channel for line in load.map if line.sensor in prediction.places}
    channels = {**recorded.channels, **{name: modelled[name] for name in placed}}
    return replace(recorded, channels=channels, notes=("REPLAYED by the model, not recorded", *recorded.notes))


def _samples(
    asked: LoadToPredict,
    predicted: tuple[Prediction, Run],
    papers: _Papers,
    one: Callable[[LoadToPredict], tuple[Prediction, Run]],
    how: tuple[int, Callable[[str], None]],
) -> JudgedSamples:
    samples, step = how
    prediction, run = predicted
    judgement = papers.judgement(run)
    limits = papers.upper_limits(run, judgement)
    told = _told(samples, step)

    def sample(load: LoadToPredict) -> tuple[Sequence[Verdict], Over] | CurewrightError:
        try:
            of_sample, its_run = one(load)
            verdicts = papers.judgement(its_run, lean=True).verdicts
            return verdicts, over_limits(of_sample, load, verdicts, limits)
        except CurewrightError as refused:
            return refused
        finally:
            told()

    answers = [
        each for each in in_threads(sample, sampled_loads(asked, samples)) if not isinstance(each, CurewrightError)
    ]
    if len(answers) < FEWEST:
        raise CurewrightError(
            f"{samples - len(answers)} of {samples} samples of the load have no answer",
            expected=f"at least {FEWEST} that do",
            remedy="see what 'curewright predict' says without a band, and the standard uncertainties that are stated",
        )
    bands = by_risk(verdict_bands(judgement.verdicts, [verdicts for verdicts, _ in answers]))
    inside = _inside(
        over_limits(prediction, asked, judgement.verdicts, limits), [over for _, over in answers], prediction
    )
    return JudgedSamples(samples, samples - len(answers), bands, inside, not_varied(asked))


def _told(samples: int, step: Callable[[str], None]) -> Callable[[], None]:
    """Tells after each sample how many are done, and how long the rest will take."""
    words = f"predicting and judging {samples} samples of the load"
    step(words)
    started, done = monotonic(), count(1)

    def one_more() -> None:
        sofar = next(done)
        left = (monotonic() - started) / sofar * (samples - sofar)
        step(f"{words}: {sofar} done, about {left:.0f} s more")

    return one_more


def _inside(predicted: Over, samples: Sequence[Over], prediction: Prediction) -> tuple[InsideBand, ...]:
    sensed = {(one.part.serial, place.zone) for one in prediction.zones for place in one.part.places}
    found: Iterable[InsideBand] = (
        InsideBand(
            limit, zone, (limit.part, zone) in sensed, over, middle(known), sum(value > 0.0 for value in known), len(known)
        )
        for (limit, zone), over in predicted.items()
        if len(known := [one[limit, zone] for one in samples if (limit, zone) in one]) >= FEWEST
    )  # fmt: skip
    return tuple(sorted(found, key=lambda one: (-one.over / one.samples, -one.band[1])))
