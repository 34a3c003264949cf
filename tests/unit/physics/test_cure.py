"""Where a card is not to be used: nothing is clipped, nothing is guessed, and the reason is told."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics.cure import CardError, computed, integrate_cure, leaves
from curewright.read.cards import packaged_card

SECOND, MINUTE = 10**9, 60 * 10**9
HUBERT, LEE, VAN_EE = (packaged_card(name) for name in ("hubert_2001", "lee_1982", "van_ee_2009"))


def trace(*points: tuple[float, float], every: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """(minute, °C) joined linearly, a sample every so many minutes."""
    minutes, celsius = np.array(points).T
    grid = np.arange(minutes[0], minutes[-1] + every / 2, every)
    return np.round(grid * MINUTE).astype(np.int64), np.interp(grid, minutes, celsius) + 273.15


def test_inside_the_range_nothing_is_left_out() -> None:
    t, T = trace((0, 80), (60, 200))
    assert leaves(HUBERT, t, T) is None
    assert not np.isnan(integrate_cure(HUBERT, t, T, 0.01)).any()


@pytest.mark.parametrize(
    "points, minute, why",
    [(((0, 180), (30, 210)), 21, "201.0 °C is outside 80 to 200 °C"), (((0, 90), (30, 60)), 11, "79.0 °C")],
)
def test_beyond_the_temperature_range_there_is_no_number(
    points: tuple[tuple[float, float], ...], minute: int, why: str
) -> None:
    t, T = trace(*points)
    out = leaves(HUBERT, t, T)
    assert out is not None
    assert (out.index, out.t) == (minute, minute * MINUTE)
    assert why in out.why
    assert "card hubert_2001 revision 1" in out.why
    alpha = integrate_cure(HUBERT, t, T, 0.01)
    assert not np.isnan(alpha[:minute]).any()
    assert np.isnan(alpha[minute:]).all()


def test_coming_back_into_the_range_does_not_help() -> None:
    t, T = trace((0, 190), (10, 205), (20, 190), (60, 190))
    assert np.isnan(integrate_cure(HUBERT, t, T, 0.01)[-1])


def test_heating_faster_than_the_card_covers() -> None:
    t, T = trace((0, 90), (20, 90), (25, 145), (60, 145), every=0.25)  # 11 K/min for five minutes
    out = leaves(HUBERT, t, T)
    assert out is not None
    assert "faster than 10 K/min" in out.why
    assert 20 < out.t / MINUTE <= 25
    t, T = trace((0, 90), (20, 90), (25, 139), (60, 139), every=0.25)  # 9.8 K/min
    assert leaves(HUBERT, t, T) is None


def test_the_noise_of_single_samples_is_no_heating_rate_and_cooling_is_not_limited() -> None:
    t = np.arange(0, 1800) * SECOND
    T = 400.0 + 0.5 * (np.arange(1800) % 2)  # half a kelvin up and down each second: 30 K/min from sample to sample
    assert leaves(HUBERT, t, T) is None
    t, T = trace((0, 180), (5, 90))
    assert leaves(HUBERT, t, T) is None


def test_a_temperature_that_is_not_known_ends_all_knowledge() -> None:
    t, T = trace((0, 150), (30, 150))
    T[10] = np.nan
    alpha = integrate_cure(HUBERT, t, T, 0.01)
    assert not np.isnan(alpha[:10]).any()
    assert np.isnan(alpha[10:]).all()
    assert not np.isnan(T[11:]).any(), "the caller's own array is left as it was"


def test_a_log_cut_anywhere_gives_the_same_bits() -> None:
    t, T = trace((0, 100), (40, 177), (150, 177), every=0.5)
    for card, alpha0 in ((HUBERT, 0.01), (LEE, 0.0)):
        whole = integrate_cure(card, t, T, alpha0)
        for cut in (1, 2, 17, 100, 250):
            assert np.array_equal(integrate_cure(card, t[:cut], T[:cut], alpha0), whole[:cut])


def test_two_samples_at_one_instant_and_an_empty_trace() -> None:
    t, T = np.array([0, MINUTE, MINUTE, 2 * MINUTE]), np.full(4, 450.0)
    alpha = integrate_cure(LEE, t, T, 0.0)
    assert alpha[1] == alpha[2]
    assert alpha[3] == integrate_cure(LEE, t[[0, 1, 3]], T[:3], 0.0)[2]
    assert integrate_cure(LEE, t[:0], T[:0], 0.0).size == 0


@pytest.mark.parametrize(
    "card, alpha0", [(HUBERT, 0.0), (HUBERT, 0.2), (VAN_EE, 0.0), (LEE, -0.01), (LEE, 1.0), (LEE, float("nan"))]
)
def test_a_start_that_the_law_cannot_take_is_refused(card: object, alpha0: float) -> None:
    t, T = trace((0, 150), (30, 150))
    with pytest.raises(CardError, match="cannot start from"):
        integrate_cure(card, t, T, alpha0)  # type: ignore[arg-type]


def test_lee_started_above_its_switch_follows_the_second_piece() -> None:
    t, T = trace((0, 177), (60, 177))
    K3 = 1.960e5 * np.exp(-5.66e4 / (8.314 * 450.15))
    assert integrate_cure(LEE, t, T, 0.4)[-1] == pytest.approx(1 - 0.6 * np.exp(-K3 * 60), abs=1e-9)


def test_a_quantity_that_the_card_has_no_law_for() -> None:
    with pytest.raises(CardError, match="no law for the viscosity; expected degree of cure or glass transition"):
        computed("viscosity", VAN_EE, np.array([400.0]), np.array([0.1]))
    with pytest.raises(CardError, match="no law for the glass transition"):
        computed("glass transition", LEE, np.array([400.0]), np.array([0.1]))


def test_degree_of_cure_is_itself() -> None:
    alpha = np.array([0.1, np.nan])
    assert computed("degree of cure", LEE, np.array([400.0, 400.0]), alpha) is alpha
