"""Bands and Sobol's indices, where the answer is known: a lump lags by rate × ρ c L / Σh, so its spread follows from that of h."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from curewright.predict.band import DOUBTS, ZoneAsked, band, is_a_rate, sampled, shares
from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.terms.build_up import BuildUp, Doubts, Place, Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Convection, Segment
from curewright.terms.errors import CurewrightError
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, part, zone

UP = cycle(Segment("up", target=400.0, rate=1 / 60))
RAMPED, _ = surroundings(UP, HEAT, ["B1"], SITE, {})
TIMES = np.array([0.0, 3000.0, 6000.0])


def doubtful(convection: float | None = None, tool: float | None = None, **doubts: float):
    plate = replace(zone(), tool_side=ZoneFace(0.5, None, tool))
    question = asked(part("1", plate), convection=Convection("straight", (50.0, 0.0), source="s", error=convection))
    return replace(question, build_up=BuildUp("r", "P", question.build_up.parts, doubts=Doubts(**doubts)))


def test_a_band_of_convection_alone_is_that_of_the_lag() -> None:
    found = band(doubtful(convection=0.1), RAMPED, TIMES, samples=200)
    factors = stats.norm.ppf([0.975, 0.025]) * 0.1 + 1
    lags = 2700 * 900 * 0.01 / (75 * factors) / 60
    air = RAMPED.air.at(TIMES)[-1]
    assert found.high["TC1"][-1] == pytest.approx(air - lags[0], abs=0.15)
    assert found.low["TC1"][-1] == pytest.approx(air - lags[1], abs=0.15)
    assert found.refused == 0


def test_where_nothing_is_doubtful_the_band_is_the_prediction() -> None:
    question = doubtful()
    found = band(question, RAMPED, TIMES, samples=20)
    shown = predict(question, RAMPED, every=3000.0).places["TC1"]
    assert found.low["TC1"] == pytest.approx(shown, abs=1e-9)
    assert found.high["TC1"] == pytest.approx(shown, abs=1e-9)
    assert found.left_out == DOUBTS


def test_what_was_not_stated_is_named() -> None:
    found = band(doubtful(convection=0.1, thickness=0.02), RAMPED, TIMES, samples=20)
    assert "convection" not in found.left_out
    assert "rate of cure" in found.left_out


def test_samples_fill_a_latin_hypercube_and_come_out_the_same_again() -> None:
    varied = sampled({"convection": 0.1, "rate of cure": 0.2}, 40, seed=3)
    ranks = np.floor(stats.norm.cdf([(one.convection - 1) / 0.1 for one in varied]) * 40)
    assert sorted(ranks.tolist()) == list(range(40))  # one in each fortieth
    assert varied == sampled({"convection": 0.1, "rate of cure": 0.2}, 40, seed=3)
    assert varied != sampled({"convection": 0.1, "rate of cure": 0.2}, 40, seed=4)


def test_too_few_samples_are_refused() -> None:
    with pytest.raises(CurewrightError, match="at least 20"):
        band(doubtful(convection=0.1), RAMPED, TIMES, samples=10)


def test_sobol_of_two_doubts_whose_shares_are_known() -> None:
    # h = 50 c (1 + t / 2): relative variances 0.12² of all of it, and 0.12² / 9 of the tool side's third: shares 0.9 and 0.1
    question = doubtful(convection=0.12, tool=0.12)
    plate = question.build_up.parts[0]
    of_zone = ZoneAsked(question, RAMPED, TIMES, plate, plate.zones[0])
    found = shares(of_zone, lambda one: float(one.T[-1].mean()), base=128)
    assert [one.doubt for one in found] == ["convection", "tool side position"]
    assert found[0].total == pytest.approx(0.9, abs=0.06)
    assert found[1].total == pytest.approx(0.1, abs=0.06)


def test_sobol_without_doubts_is_refused() -> None:
    question = doubtful()
    plate = question.build_up.parts[0]
    with pytest.raises(CurewrightError, match="nothing is said to be doubtful"):
        shares(ZoneAsked(question, RAMPED, TIMES, plate, plate.zones[0]), lambda one: 0.0)


def test_kinetics_thickness_and_depth_widen_a_band() -> None:
    skin = Zone("z", (ZoneLayer("plate", 0.02, "prepreg"),), ZoneFace(1.0), ZoneFace(1.0))
    hot = cycle(Segment("up", target=440.0, rate=1 / 30), Segment("soak", hold=3600.0))
    seen, _ = surroundings(hot, HEAT, ["B1"], SITE, {})
    times = np.linspace(seen.start, seen.end, 60)
    question = asked(part("1", skin, degree_of_cure=0.01, places=(Place("TC1", "z", "plate", 0.5),)))
    widths = {}
    for name in ("thickness", "rate_of_cure", "heat_of_reaction", "depth"):
        doubts = Doubts(**{name: 0.001 if name == "depth" else 0.1})
        found = band(replace(question, build_up=replace(question.build_up, doubts=doubts)), seen, times, samples=20)
        low, high = found.hottest["1", "z"]
        widths[name] = high - low
        assert np.all(found.low["TC1"] <= found.high["TC1"] + 1e-9)
        if name != "depth":
            assert found.cure["1", "z"][0] < found.cure["1", "z"][1]
    assert min(widths["thickness"], widths["rate_of_cure"], widths["heat_of_reaction"]) > 0.5
    assert widths["depth"] == 0.0  # where a thermocouple sits changes what it shows, not the part


@pytest.mark.parametrize(
    "name, rate", [("A", True), ("A1", True), ("A3", True), ("aC0", False), ("E1", False), ("B", False), ("AX", False)]
)
def test_which_constants_are_rates(name: str, rate: bool) -> None:
    assert is_a_rate(name) == rate
