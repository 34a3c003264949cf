"""Further hold, against isothermal degrees of cure computed outside the project (SciPy, rtol 1e-10, from the published constants)."""

import pytest

from curewright.predict.further_hold import further_hold
from curewright.read.cards import packaged_card

HUBERT = packaged_card("hubert_2001")


@pytest.mark.parametrize(
    "cure, celsius, wanted, minutes",
    [
        (0.5548, 177, 0.8064, 90),
        (0.7411, 177, 0.8314, 180),
        (0.3795, 150, 0.6237, 60),
    ],  # from 30, 60, 60 min to 120, 240, 120
)
def test_how_much_longer(cure: float, celsius: float, wanted: float, minutes: float) -> None:
    found = further_hold(HUBERT, cure, celsius + 273.15, wanted)
    assert found is not None
    assert found / 60 == pytest.approx(minutes, rel=0.01)  # the degrees of cure are printed to four places


def test_nothing_more_is_needed() -> None:
    assert further_hold(HUBERT, 0.82, 450.15, 0.8064) == 0.0


def test_a_hold_that_never_gets_there() -> None:
    assert further_hold(HUBERT, 0.7, 393.15, 0.83) is None  # 120 °C: the law stops at a ceiling far below


def test_a_temperature_that_the_card_does_not_cover() -> None:
    assert further_hold(HUBERT, 0.7, 573.15, 0.83) is None
