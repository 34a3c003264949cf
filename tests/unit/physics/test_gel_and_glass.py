"""Gel that never comes back, glass that does, and published laws that do not agree."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics import vitrification
from curewright.physics.gel import gel_time, gelled
from curewright.physics.glass.laws import glass_transition, spread
from curewright.read.cards import packaged_card

LEE, VAN_EE = packaged_card("lee_1982"), packaged_card("van_ee_2009")


def test_gel_is_for_good_and_unknown_is_no_gel() -> None:
    alpha = np.array([0.1, np.nan, 0.5, 0.4, np.nan])
    assert gelled(alpha, 0.47).tolist() == [False, False, True, True, True]


def test_the_time_of_gel() -> None:
    t = np.array([0.0, 10.0, 20.0])
    assert gel_time(t, np.array([0.1, 0.3, 0.5]), 0.3) == 10.0
    assert gel_time(t, np.array([0.1, 0.3, 0.5]), 0.4) == pytest.approx(15.0)
    assert gel_time(t, np.array([0.1, 0.3, 0.5]), 0.6) is None
    assert gel_time(t, np.array([0.1, np.nan, 0.5]), 0.4) is None, "when it came is not known"
    assert gel_time(t, np.array([0.6, 0.7, 0.8]), 0.4) == 0.0


def test_glass_comes_and_goes() -> None:
    t = np.arange(5.0)
    T = np.array([400.0, 400.0, 400.0, 440.0, 400.0])
    Tg = np.array([380.0, 390.0, 410.0, 420.0, 430.0])
    assert vitrification.vitrified(T, Tg).tolist() == [False, False, True, False, True]
    found = vitrification.stretches(t, T, Tg)
    assert found[0] == pytest.approx((1.5, 2 + 1 / 3))
    assert found[1][0] == pytest.approx(3.4)
    assert found[1][1] is None
    assert vitrification.stretches(t, T, np.full(5, np.nan)) == ()
    assert vitrification.stretches(t[:1], T[:1], np.array([500.0])) == ((0.0, None),)
    late = vitrification.stretches(t, T, np.array([np.nan, 410.0, 410.0, 410.0, 410.0]))
    assert late[0][0] == 1.0, "from when it is known"


def test_ceilings_of_the_two_sets_as_printed() -> None:
    T = np.array([453.15])
    assert vitrification.ceiling(T, -1.684, 5.475e-3)[0] == pytest.approx(0.797, abs=5e-4)
    assert vitrification.ceiling(T, -1.5148, 5.171e-3)[0] == pytest.approx(0.829, abs=6e-4)


def test_published_glass_transitions_as_printed() -> None:
    """Fully cured 198.4 (Simon 2000) and 200.2 °C (Kim 1996); at 0.9 145 and 165 °C, and 218 against 193 for the other resin."""
    simon, kim, other = (one.law for one in LEE.other_glass_transitions)
    ends = [glass_transition(law, np.array([1.0]))[0] - 273.15 for law in (simon, kim, other)]
    assert ends == pytest.approx([198.4, 200.2, 220.0], abs=0.06)
    assert [glass_transition(law, np.array([0.9]))[0] - 273.15 for law in (simon, kim)] == pytest.approx(
        [145, 165], abs=1
    )
    low, high = spread([VAN_EE.glass_transition, VAN_EE.other_glass_transitions[0].law], np.array([0.9]))  # type: ignore[list-item]
    assert (low[0] - 273.15, high[0] - 273.15) == pytest.approx((193, 218), abs=0.6)
    assert np.isnan(glass_transition(simon, np.array([-0.1, 1.1, np.nan]))).all()
