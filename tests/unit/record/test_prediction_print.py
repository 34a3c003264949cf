"""What is printed of a prediction. Void margins by hand: water needs humidity x 935.5 kPa at 177 °C (saturation of IAPWS, as in
tests/unit/predict/test_resin.py), the resin has bag + share x (vessel - bag).
"""

import numpy as np
import pytest
from rich.console import Console

from curewright.predict.resin import of_trace, pressed_until_gel
from curewright.predict.summary import ZoneSummary, _least_margin
from curewright.predict.surroundings import Surroundings
from curewright.record.prediction_print import exotherm_lines, void_lines, zone_table
from curewright.terms.course import course
from curewright.text.in_units import Shown, ShownByPart
from tests.unit.predict.test_resin import HUBERT, part

METRIC = ShownByPart({}, Shown())
RISING = Surroundings("predicted", course([(0, 450)]), course([(0, 1e5), (600, 7e5)]), {"B": course([(0, 1e5)])}, 1e5)


def along(share: float = 0.7):
    t = np.arange(0.0, 7201.0, 60.0)
    return of_trace("TC1", HUBERT, t, np.full(t.size, 450.15), part(resin_share=share), RISING, "B")


def printed(*what: object) -> str:
    screen = Console(width=400, highlight=False)
    with screen.capture() as caught:
        for one in what:
            screen.print(one)
    return " ".join(caught.get().split())


def zone(**changes: object) -> ZoneSummary:
    given: dict[str, object] = {
        "hottest": 450.0,
        "hottest_at": 60.0,
        "over": 0.0,
        "full": 600.0,
        "gels": (1440.0, 1500.0),
    }
    return ZoneSummary("1", "web", **{**given, **changes})  # type: ignore[arg-type]


def test_the_least_void_margin_counts_from_full_pressure_as_in_a_state() -> None:
    one = along()
    assert np.nanmin(one.void_margin) < 0  # before the pressure is on: 1e5 against 4.7e5
    assert _least_margin((one,)) == pressed_until_gel(one).margin
    assert _least_margin((one,)) == (pytest.approx(5.2e5 - 0.5 * 935.5e3, abs=0.5e3), 600.0)


def test_a_negative_margin_under_full_pressure_is_marked_and_told_in_words() -> None:
    least = _least_margin((along(0.3),))
    assert least is not None
    assert least[0] == pytest.approx(1e5 + 0.3 * 6e5 - 0.5 * 935.5e3, abs=0.5e3)  # -1.88 bar
    below = zone(margin=least)
    table = printed(zone_table([below], METRIC))
    assert "least void margin from full pressure (0:10) to gel, bar" in table
    assert "-1.88 at 0:10 !" in table
    words = printed(*void_lines([below, zone(margin=(1e4, 700.0))], METRIC))
    assert "no clause asks for it" in words
    assert words.endswith("- part 1, web: -1.88 bar at 0:10")


def test_a_margin_above_0_and_one_that_there_is_not() -> None:
    assert printed(*void_lines([zone(margin=(1e4, 700.0)), zone()], METRIC)) == ""
    assert "0.10 at 0:12 !" not in printed(zone_table([zone(margin=(1e4, 700.0))], METRIC))
    assert "gels before full pressure" in printed(zone_table([zone(gels=(300.0, 500.0))], METRIC))
    assert "not known" in printed(zone_table([zone()], METRIC))


def test_an_exotherm_is_told_in_words_from_ten_kelvin_on() -> None:
    cures = (along(),)
    hot, mild = zone(over=75.6, over_at=7440.0, resin=cures), zone(over=9.9, over_at=60.0, resin=cures)
    assert printed(*exotherm_lines([mild, hot])).endswith("- part 1, web: exotherm 76 K above the air at 2:04")
    assert printed(*exotherm_lines([mild, zone(over=20.0)])) == ""  # nothing cures there
    assert "over air: the most by which the hottest place lies above the air" in printed(zone_table([hot], METRIC))
