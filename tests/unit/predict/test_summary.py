"""What a prediction comes to, on a plate whose temperatures are known (a lump: lag = rate × τ)."""

from dataclasses import replace

import numpy as np
import pytest

from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.predict.summary import places, zones
from curewright.read.cards import packaged_card
from curewright.terms.build_up import Place, Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Segment
from curewright.terms.errors import CurewrightError
from tests.unit.predict.test_predicted import HEAT, SITE, TAU, asked, cycle, load, part

UP_AND_DOWN = (Segment("up", target=400.0, rate=1 / 60), Segment("down", target=350.0, rate=1 / 60))


def test_how_hot_and_how_late_a_sensor_is() -> None:
    seen, _ = surroundings(cycle(*UP_AND_DOWN), HEAT, ["B1"], SITE, {})
    first, second = places(predict(asked(), seen))
    assert (first.sensor, first.part, first.zone) == ("TC1", "1", "z")
    assert first.lags == pytest.approx(TAU / 60, abs=0.05)
    assert 6 * TAU < first.lags_at <= 6000.0  # steady from there on: any of them may be the greatest
    # after the turn the air falls as fast: the plate's hottest is where both meet, TAU ln 2 later, at 400 - rate × TAU ln 2
    assert first.hottest_at == pytest.approx(6000 + TAU * np.log(2), abs=31)
    assert first.hottest == pytest.approx(400 - TAU * np.log(2) / 60, abs=0.1)
    assert first.over == pytest.approx(0.0, abs=0.01)  # a plate without reaction is never above air that rises
    assert second.lags == pytest.approx(0.6 * TAU / 60, abs=0.05)


def test_a_zone_without_resin_has_no_cure() -> None:
    seen, _ = surroundings(cycle(*UP_AND_DOWN), HEAT, ["B1"], SITE, {})
    found = predict(asked(), seen)
    (only,) = zones(found, load(), lambda zone: None)
    assert (only.cure, only.glass, only.gels, only.margin, only.resin) == (None, None, None, None, ())
    assert only.hottest == pytest.approx(found.zones[0].solution.T.max())
    assert only.layer == "plate"


def test_a_zone_that_cures() -> None:
    card = packaged_card("hubert_2001")
    skin = Zone("z", (ZoneLayer("plate", 0.002, "prepreg"),), ZoneFace(1.0), ZoneFace(1.0))
    hot = cycle(Segment("up", target=450.15, rate=1 / 30), Segment("soak", hold=7200.0))
    seen, _ = surroundings(hot, HEAT, ["B1"], SITE, {})
    question = asked(
        part("1", skin, degree_of_cure=0.01, humidity=0.5, resin_share=0.7, places=(Place("TC1", "z", "plate", 0.5),))
    )
    found = predict(question, seen)
    (only,) = zones(found, load(), lambda zone: (zone.layers[0], card))
    assert only.cure is not None
    assert only.gels is not None
    assert only.margin is not None
    # thin, so near isothermal: 0.8064 after two hours at 177 °C (SciPy, outside the project), and a little for the ramp
    assert 0.806 < only.cure[0] <= only.cure[1] < 0.825
    low, high = only.gels
    assert low <= high < seen.end
    least = min(np.nanmin(course.void_margin) for course in only.resin)
    assert only.margin[0] == pytest.approx(least)


def test_a_zone_that_the_solver_refuses_says_why() -> None:
    seen, _ = surroundings(cycle(*UP_AND_DOWN), HEAT, ["B1"], SITE, {})
    found = predict(asked(), seen)
    refused = replace(found, zones=(replace(found.zones[0], found=CurewrightError("a front")),))
    (only,) = zones(refused, load(), lambda zone: None)
    assert "a front" in only.refused
