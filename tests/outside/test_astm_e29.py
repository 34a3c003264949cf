"""Rounding half to even, as ASTM E29 says (from memory), on decimal text, and against Python's own decimal arithmetic.

ASTM E29, rounding method: the observed value is rounded to the nearest unit in the last place of the limit, and then compared; exactly
half goes to the even digit. Absolute method: compared as observed.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, Inexact

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from curewright.terms.rounding import effective_limit, round_half_even

D = Decimal


@pytest.mark.parametrize(
    "text, place, expected",
    [
        ("360.4", "1", "360"),
        ("360.5", "1", "360"),  # exactly half: to the even digit
        ("361.5", "1", "362"),
        ("360.50000000000000000000000001", "1", "361"),  # more than half, in the 29th digit
        ("-360.5", "1", "-360"),
        ("0.15", "0.1", "0.2"),  # in binary 0.15 is less than half
        ("0.25", "0.1", "0.2"),
        ("2.675", "0.01", "2.68"),  # in binary 2.675 is less than half
        ("1.05", "0.7", "1.4"),  # one and a half times the place: to the even multiple
        ("0.35", "0.7", "0.0"),
        ("1.0499999999999999999999999999999999", "0.7", "0.7"),
        ("37.5", "5", "40"),
        ("42.5", "5", "40"),
        ("1250", "100", "1200"),
    ],
)
def test_half_goes_to_the_even_multiple_of_the_place(text: str, place: str, expected: str) -> None:
    assert round_half_even(D(text), D(place)) == D(expected)


@given(st.decimals(-10000, 10000, places=4), st.integers(-4, 2))
def test_as_pythons_quantize_for_places_that_are_powers_of_ten(number: Decimal, exponent: int) -> None:
    place = D(1).scaleb(exponent)
    assert round_half_even(number, place) == number.quantize(place, rounding=ROUND_HALF_EVEN)


@pytest.mark.parametrize(
    "limit, place, side, strict, threshold, excluded",
    [
        ("360", "1", "high", False, "360.5", False),  # 360.5 rounds to 360
        ("359", "1", "high", False, "359.5", True),  # 359.5 rounds to 360
        ("340", "1", "low", False, "339.5", False),
        ("341", "1", "low", False, "340.5", True),
        ("360", "1", "high", True, "359.5", True),  # below 360: at most 359 after rounding
        ("361", "1", "high", True, "360.5", False),
        ("340", "1", "low", True, "340.5", True),  # above 340: at least 341 after rounding
        ("339", "1", "low", True, "339.5", False),
        ("360.4", "1", "high", False, "360.5", False),  # 360 is the last multiple that satisfies
        ("360.4", "1", "high", True, "360.5", False),
        ("360.4", "1", "low", False, "360.5", True),
        ("0.88", "0.01", "low", False, "0.875", False),
        ("-0.2", "0.1", "high", False, "-0.15", False),
    ],
)
def test_the_threshold_that_stands_for_rounding(
    limit: str, place: str, side: str, strict: bool, threshold: str, excluded: bool
) -> None:
    assert effective_limit(D(limit), D(place), side, strict=strict) == (D(threshold), excluded)


places = st.sampled_from([D("1"), D("0.1"), D("0.5"), D("5"), D("0.3"), D("0.07"), D("10")])
numbers = st.decimals(-500, 500, places=3)


@given(numbers, places, st.integers(-4, 4), st.sampled_from(["high", "low"]), st.booleans())
@example(D("359.5"), D("1"), 1, "high", True)
def test_rounding_and_comparing_is_comparing_with_the_threshold(
    limit: Decimal, place: Decimal, quarters: int, side: str, strict: bool
) -> None:
    """At quarter places about the limit, where the ties are, and a hair to each side of them."""
    near = round_half_even(limit, place)
    threshold, excluded = effective_limit(limit, place, side, strict=strict)
    for hair in (D("-1e-12"), D(0), D("1e-12")):
        value = near + quarters * place / 4 + hair
        rounded = round_half_even(value, place)
        if side == "high":
            after = rounded < limit if strict else rounded <= limit
            before = value < threshold if excluded else value <= threshold
        else:
            after = rounded > limit if strict else rounded >= limit
            before = value > threshold if excluded else value >= threshold
        assert before is after, (value, rounded)


def test_case_36_of_the_binding_cases_by_hand() -> None:
    """Largest 360.4, 360.5, 361.5 °F against at most 360 °F rounded to 1 °F: met, met, not met. Absolute: none of them is."""
    threshold, excluded = effective_limit(D(360), D(1), "high")
    met = [(value < threshold if excluded else value <= threshold) for value in (D("360.4"), D("360.5"), D("361.5"))]
    assert met == [True, True, False]
    assert [round_half_even(value, D(1)) for value in (D("360.4"), D("360.5"), D("361.5"))] == [360, 360, 362]


def test_a_number_that_a_hundred_digits_do_not_hold_is_no_silent_rounding() -> None:
    with pytest.raises(Inexact):
        round_half_even(D("1e60"), D("3." + "1" * 99))
