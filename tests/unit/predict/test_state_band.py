"""How sure the state of a resin is, where the answer is known: a rate faster by a factor is the same cure in that much less time."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from curewright.predict.band import ZoneAsked
from curewright.predict.planned import surroundings
from curewright.predict.resin import of_trace, state_at
from curewright.predict.state_band import band_of_trace, band_of_zone
from curewright.predict.surroundings import Surroundings
from curewright.read.cards import packaged_card
from curewright.terms.build_up import Doubts, PartBuildUp, Zone, ZoneFace, ZoneLayer
from curewright.terms.course import course
from curewright.terms.cycle import Segment
from curewright.terms.errors import CurewrightError
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, part

HUBERT = packaged_card("hubert_2001")
T = np.arange(0.0, 7201.0, 60.0)
STEADY = np.full(T.size, 450.15)
SEEN = Surroundings("recorded", course([(0, 450)]), course([(0, 7e5)]), {}, 1e5)


def cure_after(seconds: float) -> float:
    """At 177 °C from 0.01, by the course that other tests hold against SciPy."""
    bare = PartBuildUp("1", (), (), 450.15, 0.01)
    found = state_at(of_trace("p", HUBERT, T, STEADY, bare, SEEN, "B"), seconds).cure
    assert found is not None
    return found


def test_along_a_recorded_temperature_the_rate_is_what_is_doubtful() -> None:
    found = band_of_trace("TC1", HUBERT, T, STEADY, 0.01, 3000.0, 0.1, samples=400)
    assert found is not None
    assert found.cure is not None
    slow, fast = 1 + 0.1 * stats.norm.ppf([0.025, 0.975])
    assert found.cure == pytest.approx((cure_after(3000 * slow), cure_after(3000 * fast)), abs=2e-3)
    assert found.temperature == pytest.approx((450.15, 450.15))
    assert found.over == ("rate of cure",)
    assert found.gelled == 1.0
    assert found.viscosity is None


def test_where_some_samples_have_gelled_it_says_how_many() -> None:
    at = 24.0 * 60  # it gels at 24.0 min with the rate as it stands (SciPy, outside the project)
    found = band_of_trace("TC1", HUBERT, T, STEADY, 0.01, at, 0.1, samples=200)
    assert found is not None
    assert found.gelled == pytest.approx(0.5, abs=0.03)
    assert found.viscosity is None
    early = band_of_trace("TC1", HUBERT, T, STEADY, 0.01, 600.0, 0.1, samples=200)
    assert early is not None
    assert early.gelled == 0.0
    assert early.viscosity is not None
    assert early.viscosity[0] < early.viscosity[1]


def test_without_a_doubt_the_range_is_a_point() -> None:
    found = band_of_trace("TC1", HUBERT, T, STEADY, 0.01, 3000.0, None)
    assert found is not None
    assert found.cure == pytest.approx((cure_after(3000.0),) * 2, abs=1e-9)
    assert found.over == ()


def test_what_was_not_recorded_has_no_band() -> None:
    assert band_of_trace("TC1", HUBERT, T, STEADY, 0.01, 8000.0, 0.1) is None


@pytest.fixture(scope="module")
def skin() -> ZoneAsked:
    zone = Zone("z", (ZoneLayer("plate", 0.004, "prepreg"),), ZoneFace(1.0), ZoneFace(1.0))
    question = asked(part("1", zone, degree_of_cure=0.01))
    question = replace(
        question, build_up=replace(question.build_up, doubts=Doubts(rate_of_cure=0.1, heat_of_reaction=0.05))
    )
    seen, _ = surroundings(
        cycle(Segment("up", target=450.15, rate=1 / 30), Segment("soak", hold=7200.0)), HEAT, ["B1"], SITE, {}
    )
    return ZoneAsked(question, seen, np.zeros(0), question.build_up.parts[0], zone)


def test_a_zone_through_its_depth(skin: ZoneAsked) -> None:
    bands = band_of_zone(skin, HUBERT, "plate", (0.0, 0.5, 1.0), 9000.0, samples=40)
    assert [one.place for one in bands] == ["part 1, z, plate at 0", "part 1, z, plate at 0.5", "part 1, z, plate at 1"]
    for one in bands:
        assert one.cure is not None
        assert one.glass is not None
        assert 0.0 < one.cure[1] - one.cure[0] < 0.1
        assert one.temperature[1] - one.temperature[0] < 5.0
        assert one.glass[1] - one.glass[0] > 10.0  # published laws for this resin lie so far apart
        assert one.over == ("rate of cure", "heat of reaction")
    assert bands[0].cure == pytest.approx(bands[2].cure, abs=1e-6)  # both faces alike


def test_at_the_start_nothing_is_doubtful(skin: ZoneAsked) -> None:
    (one,) = band_of_zone(skin, HUBERT, "plate", (0.5,), skin.seen.start, samples=20)
    assert one.cure == pytest.approx((0.01, 0.01), abs=1e-4)


def test_too_few_samples_are_refused(skin: ZoneAsked) -> None:
    with pytest.raises(CurewrightError, match="at least 20"):
        band_of_zone(skin, HUBERT, "plate", (0.5,), 9000.0, samples=5)
