"""Probability that a whole run lay within limits, against closed forms, SciPy's integration and its multivariate normal, and simulation.

The simulation draws errors outside the program, with a fixed seed; the program itself draws none.
"""

from __future__ import annotations

import itertools
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from curewright.physics.conformance import probability
from curewright.physics.conformance_of_run import Extremes, probability_for_run
from curewright.physics.time_uncertainty import uncertainty_of_duration

ROLL, OTHER, RECORDER, SECOND = "roll 7", "roll 8", "recorder A", "recorder B"


def by_multivariate_normal(channels: tuple[Extremes, ...], high: float) -> float:
    """One upper limit: the errors' joint distribution function at the room that is left (SciPy, Genz' method)."""
    keys = sorted({key for channel in channels for key, _ in channel.shared})
    loads = np.array([[dict(channel.shared).get(key, 0.0) for key in keys] for channel in channels])
    covariance = loads @ loads.T + np.diag([channel.own**2 for channel in channels])
    room = np.array([high - channel.highest for channel in channels])
    return float(
        multivariate_normal.cdf(
            room, mean=np.zeros(len(channels)), cov=covariance, maxpts=4_000_000, abseps=1e-9, releps=1e-9
        )
    )


def by_drawing(channels: tuple[Extremes, ...], low: float, high: float, draws: int = 1_000_000) -> float:
    random = np.random.default_rng(20240511)
    errors = {key: random.standard_normal(draws) for key in sorted({key for one in channels for key, _ in one.shared})}
    held = np.ones(draws, dtype=bool)
    for one in channels:
        error = one.own * random.standard_normal(draws)
        for key, u in one.shared:
            error = error + u * errors[key]
        held &= (one.lowest + error >= low) & (one.highest + error <= high)
    return float(held.mean())


def test_the_closed_form_for_one_shared_error() -> None:
    """With nothing but the shared error: Φ((T_U − y_max)/u) − Φ((T_L − y_min)/u), y over all channels (common practice, no source)."""
    run = (Extremes(176.0, 181.0, 0.0, ((ROLL, 1.2),)), Extremes(178.0, 184.0, 0.0, ((ROLL, 1.2),)))
    expected = norm.cdf((185 - 184) / 1.2) - norm.cdf((175 - 176) / 1.2)
    assert probability_for_run(run, 175.0, 185.0) == pytest.approx(expected, abs=1e-10)


def test_one_channel_is_the_product_of_nothing_it_is_the_one_value_rule_with_all_errors_together() -> None:
    run = (Extremes(178.0, 183.0, 0.3, ((ROLL, 1.2), (RECORDER, 0.6))),)
    u = sqrt(0.3**2 + 1.2**2 + 0.6**2)
    assert probability_for_run(run, 175.0, 185.0) == pytest.approx(norm.cdf(2 / u) - norm.cdf(-3 / u), abs=1e-12)
    level = (Extremes(183.0, 183.0, 0.3, ((ROLL, 1.2),)),)
    assert probability_for_run(level, 175.0, 185.0) == pytest.approx(
        probability(183.0, sqrt(0.09 + 1.44), 175.0, 185.0), abs=1e-12
    )


def test_channels_that_share_nothing_multiply() -> None:
    run = tuple(Extremes(179.0, highest, 0.8) for highest in (183.0, 184.0, 184.5))
    expected = np.prod([norm.cdf((185 - y) / 0.8) - norm.cdf((175 - 179) / 0.8) for y in (183.0, 184.0, 184.5)])
    assert probability_for_run(run, 175.0, 185.0) == pytest.approx(float(expected), abs=1e-12)


@pytest.mark.parametrize("own", [2.0, 0.5, 0.1, 0.02, 0.002, 1e-5])
def test_one_shared_error_against_scipys_quadrature(own: float) -> None:
    run = tuple(Extremes(177.0 + k / 3, 182.5 + k / 2, own * (1 + k / 4), ((ROLL, 1.0 + k / 10),)) for k in range(4))

    def integrand(z: float) -> float:
        value = norm.pdf(z)
        for one in run:
            b = one.shared[0][1] * z
            value *= max(0.0, norm.cdf((185 - one.highest - b) / one.own) - norm.cdf((175 - one.lowest - b) / one.own))
        return float(value)

    steep = sorted(
        {(edge - y) / one.shared[0][1] for one in run for edge, y in ((185, one.highest), (175, one.lowest))}
    )
    edges = [-9.0, *steep, 9.0]
    expected = sum(quad(integrand, a, b, epsabs=1e-11, limit=400)[0] for a, b in itertools.pairwise(edges))
    assert probability_for_run(run, 175.0, 185.0) == pytest.approx(expected, abs=1e-8)


def test_two_rolls_on_one_recorder_against_scipys_multivariate_normal() -> None:
    run = (
        Extremes(0.0, 183.0, 0.3, ((ROLL, 1.27), (RECORDER, 0.7))),
        Extremes(0.0, 183.6, 0.3, ((ROLL, 1.27), (RECORDER, 0.7))),
        Extremes(0.0, 184.0, 0.2, ((OTHER, 0.64), (RECORDER, 0.7))),
        Extremes(0.0, 183.9, 0.4, ((OTHER, 0.64), (RECORDER, 0.7))),
    )
    assert probability_for_run(run, high=185.0) == pytest.approx(by_multivariate_normal(run, 185.0), abs=2e-7)


def test_rolls_and_recorders_that_cross_against_scipys_multivariate_normal() -> None:
    """No tree: each of two rolls has wires on each of two recorders; three integrals inside one another."""
    pairs = itertools.product((ROLL, OTHER), (RECORDER, SECOND))
    run = tuple(Extremes(0.0, 183.0 + k / 3, 0.5, ((roll, 1.0), (box, 0.7))) for k, (roll, box) in enumerate(pairs))
    assert probability_for_run(run, high=185.0) == pytest.approx(by_multivariate_normal(run, 185.0), abs=2e-7)


def test_rolls_and_recorders_that_cross_two_sided_against_simulation() -> None:
    pairs = tuple(itertools.product((ROLL, OTHER), (RECORDER, SECOND)))
    rooms = ((175.5, 181.0), (176.0, 184.0), (175.2, 180.0), (177.0, 183.0))
    run = tuple(Extremes(*room, 0.4, ((roll, 1.0), (box, 0.7))) for room, (roll, box) in zip(rooms, pairs, strict=True))
    found, drawn = probability_for_run(run, 175.0, 185.0), by_drawing(run, 175.0, 185.0)
    assert 0.2 < drawn < 0.8
    assert found == pytest.approx(drawn, abs=4 * sqrt(drawn * (1 - drawn) / 1_000_000))


def test_two_sided_with_shared_and_own_errors_against_simulation() -> None:
    run = (
        Extremes(175.8, 183.0, 0.3, ((ROLL, 1.27), (RECORDER, 0.6), ("junction A", 0.29))),
        Extremes(176.5, 184.1, 0.5, ((ROLL, 1.27), (RECORDER, 0.6), ("junction A", 0.29))),
        Extremes(176.0, 183.6, 0.2, ((OTHER, 0.64), (RECORDER, 0.6), ("junction A", 0.29))),
    )
    found, drawn = probability_for_run(run, 175.0, 185.0), by_drawing(run, 175.0, 185.0)
    assert 0.2 < drawn < 0.8
    assert found == pytest.approx(drawn, abs=4 * sqrt(drawn * (1 - drawn) / 1_000_000))  # four standard errors: 0.002


def test_errors_in_common_are_not_treated_as_independent() -> None:
    """Ten channels of one roll, each at one u below the limit: 0.84 together, not 0.84 to the tenth (0.18)."""
    together = tuple(Extremes(180.0, 184.0, 0.0, ((ROLL, 1.0),)) for _ in range(10))
    apart = tuple(Extremes(180.0, 184.0, 1.0) for _ in range(10))
    assert probability_for_run(together, high=185.0) == pytest.approx(0.841345, abs=5e-7)
    assert probability_for_run(apart, high=185.0) == pytest.approx(0.841345**10, abs=1e-6)


def test_more_crossing_errors_than_can_be_integrated_are_not_guessed() -> None:
    rolls, boxes = [f"roll {i}" for i in range(5)], [f"recorder {i}" for i in range(5)]
    run = tuple(Extremes(0.0, 184.0, 0.3, ((roll, 1.0), (box, 0.7))) for roll in rolls for box in boxes)
    assert probability_for_run(run, high=185.0) is None
    assert probability_for_run(run, high=200.0) == pytest.approx(1.0, abs=1e-9), "but a sure answer is given"
    assert probability_for_run(run, high=170.0) == pytest.approx(0.0, abs=1e-9)


def test_a_range_wider_than_the_band_cannot_conform() -> None:
    run = tuple(Extremes(174.0, 186.0, 0.2, ((ROLL, 3.0),)) for _ in range(2))
    assert probability_for_run(run, 175.0, 185.0) == 0.0
    no_own = tuple(Extremes(174.0, 186.0, 0.0, ((ROLL, 3.0),)) for _ in range(2))
    assert probability_for_run(no_own, 175.0, 185.0) == 0.0


def test_without_any_error_it_is_plain_comparison_ends_included() -> None:
    assert probability_for_run((Extremes(175.0, 185.0, 0.0),), 175.0, 185.0) == 1.0
    assert probability_for_run((Extremes(175.0, 185.001, 0.0),), 175.0, 185.0) == 0.0


def test_whole_numbers_are_numbers_too() -> None:
    run = (Extremes(176, 184, 0, ((ROLL, 1),)), Extremes(177, 183, 1, ((ROLL, 1),)))
    same = (Extremes(176.0, 184.0, 0.0, ((ROLL, 1.0),)), Extremes(177.0, 183.0, 1.0, ((ROLL, 1.0),)))
    assert probability_for_run(run, 175, 185) == probability_for_run(same, 175.0, 185.0)


channels = st.builds(
    Extremes,
    st.floats(174, 180),
    st.floats(180, 186),
    st.floats(0, 2),
    st.lists(
        st.tuples(st.sampled_from((ROLL, OTHER, RECORDER)), st.floats(0.01, 2)),
        max_size=2,
        unique_by=lambda pair: pair[0],
    ).map(tuple),
)


@given(st.lists(channels, min_size=1, max_size=4).map(tuple))
def test_between_the_bounds_that_hold_whatever_is_shared_and_blind_to_order(run: tuple[Extremes, ...]) -> None:
    found = probability_for_run(run, 175.0, 185.0)
    assert found is not None
    alone = [probability_for_run((one,), 175.0, 185.0) or 0.0 for one in run]
    assert max(0.0, 1 - sum(1 - p for p in alone)) - 2e-7 <= found <= min(alone) + 2e-7
    assert probability_for_run(run[::-1], 175.0, 185.0) == pytest.approx(found, abs=2e-7)
    wider = probability_for_run(run, 174.5, 185.5)
    assert wider is not None
    assert wider >= found - 2e-7


def test_the_start_of_a_soak_is_uncertain_by_u_over_the_slope() -> None:
    """0.94 K at 0.5 K/min: "1.9 min" for a slow entry. The end, at a thousand times that slope, adds nothing to it."""
    for slope in (0.5, -0.5):
        assert uncertainty_of_duration((slope, (("TC1", 0.94),)), (500.0, ())) == pytest.approx(1.88)


def test_an_error_shared_by_both_ends_of_a_soak_adds_up_and_own_ones_in_squares() -> None:
    """Up at 0.5 K/min, down at 2 K/min: a wire reading 1 K low starts 2 min late and ends 0.5 min early. Checked by drawing."""
    shared = uncertainty_of_duration((0.5, ((ROLL, 1.0),)), (-2.0, ((ROLL, 1.0),)))
    assert shared == pytest.approx(2.5)
    apart = uncertainty_of_duration((0.5, (("TC1", 1.0),)), (-2.0, (("TC2", 1.0),)))
    assert apart == pytest.approx(sqrt(2.0**2 + 0.5**2))
    both = uncertainty_of_duration((0.5, ((ROLL, 1.0), ("TC1", 0.4))), (-2.0, ((ROLL, 1.0), ("TC2", 0.4))))
    random = np.random.default_rng(7)
    roll, first, second = random.standard_normal((3, 400_000)) * np.array([[1.0], [0.4], [0.4]])
    drawn = np.std((roll + second) / 2.0 + (roll + first) / 0.5)
    assert both == pytest.approx(drawn, rel=5e-3)
    assert uncertainty_of_duration((0.0, ()), (1.0, ())) == inf
