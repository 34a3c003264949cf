"""Verdicts over samples, where the share that is met is known: a lump lags by rate × τ / c, and c is a normal deviate about 1.

Sources: the lag of a lump behind a ramp is rate × ρ c L / Σh (any textbook of heat transfer); the share below a limit and the middle 95 %
are those of the normal distribution (SciPy). A Latin hypercube of one doubt has one sample in each of N equal chances, so that a share
is right to one sample.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from curewright.jobs import judge_samples
from curewright.jobs.judge_samples import judged_replays, judged_samples, replayed_run
from curewright.jobs.predict_run import replay_run
from curewright.jobs.understand_run import RunFiles
from curewright.predict.inside import UpperLimit
from curewright.predict.predicted import predict, predict_cycle
from curewright.predict.run import run_of
from curewright.predict.verdict_band import BROKEN, NEAR, REACHES_PAST, JudgedSamples
from curewright.terms.build_up import ZoneLayer
from curewright.terms.cycle import Convection, Cycle, Segment
from curewright.terms.errors import CurewrightError
from curewright.terms.load import Vessel
from curewright.terms.requirement import (
    Alternative,
    Band,
    Clause,
    Clock,
    Compare,
    Duration,
    Form,
    Phase,
    Specification,
)
from curewright.terms.units import unit_named
from tests.unit.judge.build import COLDEST, EACH, at_least, at_most, specification
from tests.unit.predict.test_predicted import HEAT, SITE, TAU, asked, cycle, part, zone

N, ERROR = 200, 0.1
UP = cycle(Segment("up", target=400.0, rate=1 / 60))
WHOLE = Phase("record starts", "record ends")
DEGC = unit_named("degC")


def paper(*forms: Form) -> Specification:
    return replace(specification(), number="S", revision="A", clauses=(Clause("1", "as the paper says", forms),))


def at_most_everywhere(kelvin: float, name: str = "band") -> Band:
    return Band(name, "part thermocouple", DEGC, None, None, EACH, WHOLE, at_most(f"{kelvin - 273.15:.4f} degC"))


def judged(
    one: Cycle,
    *forms: Form,
    samples: int = N,
    error: float | None = ERROR,
    material: str = "metal",
    step: Callable[[str], None] = lambda _: None,
) -> JudgedSamples:
    """The samples of one plate in a cycle, with the convection in doubt; only its thermocouple in the middle of the plate."""
    plate = part("1", replace(zone(), layers=(ZoneLayer("plate", 0.01, material),)), degree_of_cure=0.01)
    plate = replace(plate, places=plate.places[:1])
    question = asked(plate, convection=Convection("straight", (50.0, 0.0), source="s", error=error))
    load = replace(question.load, parts=question.load.parts[:1], map=question.load.map[:1])
    question = replace(question, load=load)
    prediction = predict_cycle(question, one, HEAT, SITE)
    start = datetime(2031, 3, 4, 10, tzinfo=UTC)
    vessel = Vessel("v", (), (), ())
    plan = SimpleNamespace(
        prediction=SimpleNamespace(cycle=one, heat=HEAT), vessel=replace(vessel, site_pressure=None), load=load, number="R", start=start
    )  # fmt: skip
    found = SimpleNamespace(
        plan=plan, asked=question, prediction=prediction, run=run_of(prediction, load, "R", start), specifications=(paper(*forms),)
    )  # fmt: skip
    return judged_samples(found, samples, step)  # type: ignore[arg-type]


def hottest(factor: float | np.ndarray) -> float | np.ndarray:
    """How hot the plate is at the end of the ramp [K] where its convection is that many times as strong."""
    return 400.0 - TAU / 60 / factor


def test_the_share_that_is_met_is_that_of_the_normal_distribution() -> None:
    chance = 0.7
    limit = float(hottest(1 + ERROR * stats.norm.ppf(chance)))
    [one] = judged(UP, at_most_everywhere(limit)).verdicts
    assert one.met == pytest.approx(chance * N, abs=1.01)
    assert one.not_met == N - one.met
    assert one.not_shown == 0
    assert one.rank == REACHES_PAST  # met as predicted, for 70 % is more than half


def test_the_band_of_a_margin_is_that_of_the_lag() -> None:
    [one] = judged(UP, at_most_everywhere(405.0)).verdicts
    low, high = 405.0 - hottest(1 + ERROR * stats.norm.ppf([0.975, 0.025]))
    assert one.margin == pytest.approx((low, high), abs=0.15)  # as the band of a temperature in test_band
    assert one.verdict.margin is not None
    assert float(one.verdict.margin.value) == pytest.approx(405.0 - hottest(1.0), abs=0.05)
    assert (one.met, one.rank) == (N, NEAR)


def test_what_is_not_met_as_predicted_comes_first_then_by_share_then_the_nearest() -> None:
    chances = {"half": 0.45, "some": 0.9, "few": 0.97}
    forms = [
        at_most_everywhere(float(hottest(1 + ERROR * stats.norm.ppf(chance))), name)
        for name, chance in reversed(chances.items())
    ]
    found = judged(UP, at_most_everywhere(480.0, "far"), at_most_everywhere(410.0, "near"), *forms).verdicts
    assert [one.verdict.form for one in found] == ["half", "some", "few", "near", "far"]
    assert [one.rank for one in found] == [BROKEN, REACHES_PAST, REACHES_PAST, NEAR, NEAR]


def soaked(minutes: float) -> Duration:
    """At least so long at 395 K (121.85 °C) or more."""
    clock = Clock("coldest", Compare(COLDEST, at_least("121.85 degC")), "pauses", None)
    way = Alternative(WHOLE, clock, at_least(f"{minutes:.4f} min"))
    return Duration("duration", "part", unit_named("min"), None, None, (way,))


def test_a_hold_of_a_fixed_time_leaves_a_slow_sample_less_of_it() -> None:
    """From the end of the ramp the lag τ / 60 c dies away with τ / c; it is 5 K after (τ / c) ln(τ / 300 c), which the hold loses."""
    factor = 0.95
    lost = TAU / factor * np.log(TAU / (300.0 * factor))
    fixed = cycle(UP.segments[0], Segment("soak", hold=1800.0))
    [one] = judged(fixed, soaked((1800.0 - lost) / 60)).verdicts
    share = stats.norm.sf((factor - 1) / ERROR)  # whoever is served better loses less
    assert one.met == pytest.approx(share * N, abs=3)
    assert one.met + one.not_met == N


def test_a_hold_waits_in_every_sample_for_its_own_coldest_thermocouple() -> None:
    """A controller counts the soak from the slowest thermocouple of the day, not from that of the plan."""
    soak = Segment("soak", hold=1800.0, counted_from=395.0, longest=36000.0)
    [band] = judged(cycle(UP.segments[0], soak), soaked(29.0), samples=20).verdicts
    assert band.met == 20
    assert band.margin == pytest.approx((1.0, 1.0), abs=0.6)  # half a minute is how often a prediction is put out


def test_where_nothing_is_doubtful_every_sample_is_the_prediction() -> None:
    found = judged(UP, at_most_everywhere(405.0), samples=20, error=None)
    [one] = found.verdicts
    assert one.verdict.margin is not None
    assert one.margin == (float(one.verdict.margin.value),) * 2
    assert one.met == 20
    assert "convection" in found.left_out


def test_the_inside_of_what_cures_is_held_against_the_upper_limits_of_its_part() -> None:
    """Of a plate that does not cure there is nothing; of one that does, the hottest cell, which no thermocouple shows."""
    assert judged(UP, at_most_everywhere(405.0), samples=20).inside == ()
    [one] = judged(UP, at_most_everywhere(405.0), samples=20, material="prepreg").inside
    assert one.limit == UpperLimit("1", "1", "band", pytest.approx(405.0, abs=1e-6), "at most 131.8500 degC")
    assert one.sensed
    assert one.band[0] <= one.predicted <= one.band[1] < 0.0  # a prepreg of 10 mm still lags at the end of this ramp
    assert (one.over, one.samples) == (0, 20)


def test_samples_that_have_no_answer_are_counted_and_too_many_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The prediction itself is made before; of the samples every second, then every one, is refused."""
    asked_for: list[int] = []

    def every(second: int):
        def refusing(*given, **named):
            asked_for.append(1)
            if len(asked_for) % second == 0:
                raise CurewrightError("refused")
            return predict(*given, **named)

        return refusing

    monkeypatch.setattr(judge_samples, "predict", every(2))
    found = judged(UP, at_most_everywhere(405.0), samples=40)
    assert (found.samples, found.refused, found.verdicts[0].samples) == (40, 20, 20)
    monkeypatch.setattr(judge_samples, "predict", every(1))
    with pytest.raises(CurewrightError, match="40 of 40 samples of the load have no answer"):
        judged(UP, at_most_everywhere(405.0), samples=40)


def test_how_far_it_is_is_told_with_the_time_that_is_left() -> None:
    said: list[str] = []
    judged(UP, at_most_everywhere(405.0), samples=20, step=said.append)
    assert said[0] == "predicting and judging 20 samples of the load"
    done = sorted(
        int(found[1]) for words in said[1:] if (found := re.search(r": (\d+) done, about \d+ s more$", words))
    )
    assert done == list(range(1, 21))


def test_too_few_samples_are_refused() -> None:
    with pytest.raises(CurewrightError, match="at least 20"):
        judged(UP, at_most_everywhere(405.0), samples=19)


def test_a_replay_keeps_what_was_recorded_but_for_the_thermocouples_of_the_model(demo_folder: Path) -> None:
    found = replay_run(RunFiles(demo_folder))
    run = replayed_run(found, found.prediction)
    recorded = found.inputs.run
    assert run.channels["Vessel"] is recorded.channels["Vessel"]
    assert run.channels["BAG-2 pressure"] is recorded.channels["BAG-2 pressure"]
    assert run.entries == recorded.entries
    shown = run.channels["TC04"]
    assert shown.v / 1e6 == pytest.approx(found.prediction.places["TC04"], abs=1e-6)
    bands = judged_replays(found, 20).verdicts
    assert {"leak check", "not covered"} & {one.verdict.kind for one in bands} == set()
    assert all(any(name.startswith("TC") for name in one.verdict.behind) for one in bands)
