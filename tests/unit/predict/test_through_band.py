"""The band through a layer: quantiles of the samples by NumPy, from the bag's side down."""

import numpy as np
import pytest

from curewright.physics.solve.places import cure_at, temperature_at
from curewright.predict.band import ENDS, ZoneAsked, band, doubts_of, sampled, solved
from curewright.predict.planned import surroundings
from curewright.predict.through_band import through_band
from curewright.terms.build_up import BuildUp, Doubts, Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Convection, Segment
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, part

TIMES = np.linspace(0.0, 9000.0, 31)
HOT, _ = surroundings(
    cycle(Segment("up", target=450.15, rate=1 / 30), Segment("on", hold=9000.0)), HEAT, ["B1"], SITE, {}
)
LAMINATE = Zone(
    "z", (ZoneLayer("laminate", 0.02, "prepreg"), ZoneLayer("plate", 0.005, "metal")), ZoneFace(1.0), ZoneFace(0.5)
)


def question():
    one = asked(
        part("1", LAMINATE, degree_of_cure=0.01, places=()), convection=Convection("straight", (50.0, 0.0), error=0.1)
    )
    return BuildUp("r", "P", one.build_up.parts, doubts=Doubts(rate_of_cure=0.1)), one


def test_it_is_the_quantiles_of_the_samples_at_each_depth_and_time() -> None:
    build_up, one = question()
    one = type(one)(one.load, build_up, one.material, one.convection)
    of_zone = ZoneAsked(one, HOT, TIMES, build_up.parts[0], LAMINATE)
    samples = [found for _, found, _ in solved(of_zone, sampled(doubts_of(one, LAMINATE), 20, 1), map)]
    found = through_band("laminate", samples, ENDS)
    for row, share in enumerate(found.shares.tolist()):  # share 0: bag side, which the solver counts as 1
        hot = np.array([temperature_at(each, "laminate", 1.0 - share) for each in samples])
        cured = np.array([cure_at(each, "laminate", 1.0 - share) for each in samples])
        assert found.temperature_low[row] == pytest.approx(np.quantile(hot, 0.025, axis=0))
        assert found.temperature_high[row] == pytest.approx(np.quantile(hot, 0.975, axis=0))
        assert found.cure_low[row] == pytest.approx(np.quantile(cured, 0.025, axis=0))
        assert found.cure_high[row] == pytest.approx(np.quantile(cured, 0.975, axis=0))
    outer = np.array([each.surfaces[:, 1] for each in samples])
    assert found.temperature_high[0] == pytest.approx(np.quantile(outer, 0.975, axis=0))
    whole = band(one, HOT, TIMES, samples=20).through["1", "z"]  # the same samples, for the same seed
    assert whole.temperature_high == pytest.approx(found.temperature_high)
    assert whole.layer == "laminate"


def test_a_zone_in_which_nothing_cures_has_none() -> None:
    assert band(asked(), HOT, TIMES, samples=20).through == {}
