"""Bounds, limits and refusals of the fitter; its numbers are held against NIST's in tests/outside."""

from __future__ import annotations

import numpy as np
import pytest

from curewright.physics.fitting.least_squares import CannotTellError, covariance_of, differences, fit

X = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0])
Y = np.array([1.1, 2.9, 5.2, 6.8, 9.1, 11.0])


def straight(b):
    return b[0] + b[1] * X - Y


def test_a_straight_line_by_the_textbook():
    """Slope, intercept and their standard errors by the closed forms of the straight line; Student's t for 4 degrees is 2.7764."""
    found = fit(straight, [[0.0, 0.0]], ("a", "b"))
    about = X - X.mean()
    slope = (about @ Y) / (about @ about)
    residuals = Y - Y.mean() - slope * about
    s = np.sqrt(residuals @ residuals / 4)
    assert found.value("b") == pytest.approx(slope)
    assert found.value("a") == pytest.approx(Y.mean() - slope * X.mean())
    assert found.residual_deviation == pytest.approx(s)
    assert found.standard_error("b") == pytest.approx(s / np.sqrt(about @ about))
    assert found.standard_error("a") == pytest.approx(s * np.sqrt(1 / 6 + X.mean() ** 2 / (about @ about)))
    low, high = found.limits()
    assert (high - found.values) / found.standard_errors == pytest.approx([2.7764] * 2, abs=1e-4)
    assert found.values - low == pytest.approx(high - found.values)
    assert found.on_bound == ()


def test_a_value_on_its_bound_has_no_standard_error_and_is_named():
    found = fit(straight, [[0.5, 1.0]], ("a", "b"), bounds=[(-10, 10), (0, 1.5)])
    assert found.on_bound == ("b",)
    assert found.value("b") == pytest.approx(1.5)
    assert np.isnan(found.standard_error("b"))
    assert found.degrees_of_freedom == 5, "what is held by its bound is not fitted"
    assert found.value("a") == pytest.approx(np.mean(Y - 1.5 * X)), "the other is fitted beside it"
    both = fit(straight, [[0.5, 1.0]], ("a", "b"), bounds=[(2, 3), (0, 1.5)])
    assert both.on_bound == ("a", "b") or both.on_bound == ("b",)


def test_a_start_outside_the_bounds_is_brought_inside_and_the_best_of_several_wins():
    def two_valleys(b):
        return np.array([(b[0] ** 2 - 4) * 3, 0.5 * (b[0] - 2)])

    found = fit(two_valleys, [[-3.0], [3.0]], ("b",))
    assert found.value("b") == pytest.approx(2.0)
    assert fit(two_valleys, [[-3.0]], ("b",)).value("b") < 0, "a single start can end in the other valley"
    assert fit(straight, [[50.0, 50.0]], ("a", "b"), bounds=[(0, 2), (0, 3)]).on_bound == ()


def test_slopes_that_are_known_give_the_same():
    J = np.column_stack([np.ones_like(X), X])
    by_differences, exact = fit(straight, [[0, 0]], ("a", "b")), fit(straight, [[0, 0]], ("a", "b"), slopes=lambda _: J)
    assert by_differences.values == pytest.approx(exact.values)
    assert by_differences.covariance == pytest.approx(exact.covariance, rel=1e-8)


def test_differences_are_of_order_four_inside_and_one_sided_at_a_bound():
    def curved(b):
        return np.array([np.exp(b[0]), np.sin(b[1])])

    free = differences(curved, np.array([0.5, 1.0]), np.full(2, -np.inf), np.full(2, np.inf))
    assert free == pytest.approx(np.array([[np.exp(0.5), 0], [0, np.cos(1.0)]]), rel=1e-10, abs=1e-10)
    bounded = differences(curved, np.array([0.5, 1.0]), np.array([0.5, 0.0]), np.array([2.0, 1.0]))
    assert bounded == pytest.approx(np.array([[np.exp(0.5), 0], [0, np.cos(1.0)]]), rel=1e-7, abs=1e-8)


def test_what_cannot_be_told_is_refused_by_name():
    with pytest.raises(CannotTellError, match="2 measurements for 2 unknowns"):
        fit(lambda b: np.array([b[0] - 1, b[1] - 2]), [[0, 0]], ("a", "b"))
    with pytest.raises(CannotTellError, match="tell only a combination of a, c"):
        fit(lambda b: b[0] + b[2] + b[1] * X - Y, [[0, 0, 0]], ("a", "b", "c"))
    with pytest.raises(CannotTellError, match="do not depend on c"):
        fit(lambda b: b[0] + b[1] * X - Y + 0 * b[2], [[0, 0, 0]], ("a", "b", "c"))
    with pytest.raises(CannotTellError, match="no start gives finite residuals"):
        fit(lambda b: np.full(6, np.nan), [[0, 0]], ("a", "b"))
    with pytest.raises(CannotTellError, match="tell only a combination"):
        covariance_of(np.array([[1.0, 1.0], [1.0, 1.0 + 1e-12], [2.0, 2.0]]), ("a", "b"))
