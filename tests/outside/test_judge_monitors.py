"""Band and hold against general temporal-logic monitors (requirements/monitors.txt; skipped with a line where they are not installed).

A monitor looks at samples, the judge at the lines between them. The traces are such that both mean the same: for a band any trace will do,
because a line has its extremes at samples; for a hold the readings are whole degrees that change by at most one from
second to second, so that a level is only ever reached or left at a sample. The hold looks back, and the trace begins
and ends below the level, so that no window of a monitor reaches beyond it.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from curewright.terms.requirement import AtEvent, Band, Compare, Phase
from curewright.terms.units import UNITS
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import EACH, at_least, channel, event, run_of, specification, verdict, within

SECOND = 1 / 60  # min
WHOLE = Phase("record starts", "record ends")
LEVEL, LOW, HIGH = 180, 170, 190


def robustness_by_rtamt(text: str, values: list[float]) -> list[float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # its parser's run-time is of 2017
        rtamt = pytest.importorskip("rtamt", reason="rtamt is not installed (tools/setup.sh monitors): not compared")
        made = rtamt.StlDiscreteTimeSpecification()
        made.declare_var("x", "float")
        made.spec = text
        made.parse()
        return [found for _, found in made.evaluate({"time": list(range(len(values))), "x": values})]


def robustness_by_sentil(text: str, values: list[float]) -> float:
    sentil = pytest.importorskip("sentil", reason="sentil is not installed (tools/setup.sh monitors): not compared")
    trace = sentil.Trace(np.arange(len(values), dtype=float), {"x": np.array(values, dtype=float)})
    return float(sentil.Formula.parse(text).robustness(trace))


def judged(form, values, *events):
    points = [(i * SECOND, value) for i, value in enumerate(values)]
    return verdict(specification(form, events=events), run_of(channel("TC1", points)))


def wander(seed: int) -> list[float]:
    """A trace of whole degrees about the level that changes by at most one a second, and begins and ends five below it."""
    rng = np.random.default_rng(seed)
    walk = np.clip(np.cumsum(rng.choice([-1, 0, 0, 1], 150)), -6, 6) + LEVEL
    ends = [LEVEL - 5]
    up = list(range(LEVEL - 5, int(walk[0]))) or ends
    down = list(range(int(walk[-1]), LEVEL - 6, -1)) or ends
    return [float(value) for value in [*up, *walk, *down]]


@pytest.mark.parametrize("monitor", ["rtamt", "sentil"])
@pytest.mark.parametrize("seed", range(20))
def test_band(monitor, seed):
    rng = np.random.default_rng(seed)
    values = np.round(rng.normal(LEVEL, 4, 60), 1).tolist()
    form = Band(
        "band", "part thermocouple", UNITS["degC"], None, None, EACH, WHOLE, within(f"{LOW} degC", f"{HIGH} degC")
    )
    found = judged(form, values)
    if monitor == "rtamt":
        robustness = robustness_by_rtamt(f"always((x >= {LOW}) and (x <= {HIGH}))", values)[0]
    else:
        robustness = robustness_by_sentil(f"always ((x >= {LOW}) and (x <= {HIGH}))", values)
    assert float(found.margin.value) == pytest.approx(robustness, abs=1e-6)
    assert found.outcome is (Outcome.MET if robustness >= -1e-9 else Outcome.NOT_MET)


@pytest.mark.parametrize("monitor", ["rtamt", "sentil"])
@pytest.mark.parametrize("seed", range(20))
def test_hold(monitor, seed):
    values = wander(seed)
    outcomes = set()
    for stays in (2, 8, 20, 45):
        reaches = event(
            "soak starts", Compare(EACH, at_least(f"{LEVEL} degC")), stays=stays * SECOND, for_each="part thermocouple"
        )
        form = AtEvent(
            "at event", "part thermocouple", UNITS["degC"], None, None, "soak starts", EACH, at_least("0 degC")
        )
        found = judged(form, values, reaches)
        outcomes.add(found.outcome)
        between = LEVEL - 0.5  # the same for whole degrees, and never a tie
        if monitor == "sentil":
            robustness = robustness_by_sentil(f"eventually (historically[0, {stays}] (x >= {between}))", values)
            assert (found.outcome is Outcome.MET) == (robustness > 0)
            continue
        held = np.array(robustness_by_rtamt(f"historically[0:{stays}](x >= {between})", values)) > 0
        assert not held[0]
        assert (found.outcome is Outcome.MET) == bool(held.any())
        if held.any():
            assert found.phase.earliest_start == (int(np.argmax(held)) - stays) * 10**9
    assert Outcome.NOT_SHOWN not in outcomes
