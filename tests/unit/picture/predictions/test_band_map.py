"""How sure a zone is, as a map: of a band whose width is known everywhere, read back from the drawing."""

import numpy as np
import pytest

from curewright.picture.panel import LimitLine
from curewright.picture.predictions.band_map import band_map
from curewright.picture.predictions.sheet import Shows
from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.predict.through_band import ThroughBand
from curewright.terms.build_up import Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Segment
from tests.unit.picture.predictions.made import FAHRENHEIT, START
from tests.unit.picture.svg import Read
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, part

HOUR = 3600.0
TIMES = np.linspace(0.0, 2 * HOUR, 25)
SHARES = np.linspace(0.0, 1.0, 5)


@pytest.fixture(scope="module")
def zone():
    """A laminate of 10 mm on a plate of 5 mm; only where its layers are matters here."""
    layers = (ZoneLayer("laminate", 0.01, "prepreg"), ZoneLayer("plate", 0.005, "metal"))
    one = part("1", Zone("z", layers, ZoneFace(1.0), ZoneFace(0.5)), degree_of_cure=0.01, places=())
    seen, _ = surroundings(cycle(Segment("hold", hold=2 * HOUR)), HEAT, ["B1"], SITE, {})
    return predict(asked(one), seen)


def through() -> ThroughBand:
    """About 400 K; half as wide as 5 K times the share of time gone (9 degF at the end), less so at the tool; cure: 0.1 of it."""
    gone = TIMES / TIMES[-1]
    half = 5.0 * gone[None, :] * (1.0 - 0.5 * SHARES[:, None])
    return ThroughBand("laminate", SHARES, 400.0 - half, 400.0 + half, 0.5 - 0.02 * half, 0.5 + 0.02 * half)


def drawn(zone, *limits: LimitLine) -> Read:
    shows = Shows("PREDICTED, not recorded: z", zone.seen, START)
    return Read(band_map(shows, zone.zones[0], through(), TIMES, FAHRENHEIT, limits))


def test_where_it_is_least_sure_is_told_in_the_units_that_are_shown(zone) -> None:
    sheet = drawn(zone)
    assert "least sure: ± 9.0 °F at 2:00" in sheet.text
    assert "least sure: ± 0.1 at 2:00" in sheet.text
    ring = sheet.elements("least sure")[0]
    frame = sheet.boxes("frame")[0]
    assert int(ring.get("cx", "")) == pytest.approx(frame[0] + frame[2], abs=2)  # at the end
    assert int(ring.get("cy", "")) == pytest.approx(frame[1], abs=2)  # at the bag's side of the laminate
    assert "no probability of the real run" in sheet.text


def test_isolines_run_where_the_half_width_has_their_value(zone) -> None:
    """At the bag's side the half width is 9 degF times the share of time gone: that of 4 starts at 4/9 of the scale."""
    sheet = drawn(zone)
    frame = sheet.boxes("frame")[0]
    starts = sorted(
        line[np.argmin(np.abs(line[:, 1] - frame[1]))][0]
        for line in sheet.lines("isoline")
        if np.abs(line[:, 1] - frame[1]).min() < 3
    )
    shares = [(x - frame[0]) / frame[2] for x in starts]
    assert any(abs(share - 4 / 9) < 0.01 for share in shares)


def test_where_the_band_reaches_over_an_upper_limit_is_outlined_only_in_its_phase(zone) -> None:
    """400 K + 5 K × share of time is 402.5 K (264.83 degF) at half time at the bag's side."""
    whole, early = (0, int(2 * HOUR * 1e9)), (0, int(0.4 * HOUR * 1e9))
    level = 402.5 * 9 / 5 - 459.67
    sheet = drawn(zone, LimitLine(level, True, "6: at most 264.83 °F", whole, whole))
    assert "inside, the band reaches over clause 6: at most 264.83 °F" in sheet.text
    frame = sheet.boxes("frame")[0]
    line = np.concatenate(sheet.lines("named isoline"))
    top = line[np.argmin(line[:, 1])]
    assert (top[0] - frame[0]) / frame[2] == pytest.approx(0.5, abs=0.01)
    assert drawn(zone, LimitLine(level, True, "6: at most", early, early)).lines("named isoline") == []
    assert drawn(zone, LimitLine(level, False, "6: at least", whole, whole)).lines("named isoline") == []
