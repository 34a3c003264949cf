"""Mixing rules against values that others print and against the model that they stand for, integrated numerically."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from curewright.physics.laminate import (
    RULES,
    MixingError,
    concentric_cylinders,
    density,
    in_series,
    mass_share_of_fibre,
    side_by_side,
    specific_heat,
    springer_tsai,
)

shares = st.floats(0.01, 0.78)
conductivities = st.floats(0.1, 30.0)


@pytest.mark.parametrize(
    "V, k_f, k_m, printed", [(0.574, 3.96, 0.212, 0.637), (0.574, 2.806, 0.212, 0.600), (0.5, 26, 0.167, 0.455)]
)
def test_springer_tsai_as_printed(V: float, k_f: float, k_m: float, printed: float) -> None:
    """Values computed by others from the printed rule (0.6386 also occurs for the first, with more digits of V)."""
    assert springer_tsai(V, k_f, k_m) == pytest.approx(printed, abs=7e-4)


@given(V=shares, k_f=conductivities, k_m=st.floats(0.1, 1.0))
def test_springer_tsai_is_the_square_cell_of_strips(V: float, k_f: float, k_m: float) -> None:
    """Heat that flows straight through a square cell with a round fibre, strip beside strip, integrated numerically."""
    r = np.sqrt(V / np.pi)
    if abs(k_m / k_f - 1) < 1e-3 or 4 * (k_m / k_f - 1) ** 2 * V / np.pi > 0.999:
        return

    def strip(y: float) -> float:
        through = 2 * np.sqrt(max(r * r - y * y, 0.0))
        return 1.0 / ((1.0 - through) / k_m + through / k_f)

    cell = (1 - 2 * r) * k_m + quad(strip, -r, r, epsabs=1e-12, epsrel=1e-10, limit=200)[0]
    assert springer_tsai(V, k_f, k_m) == pytest.approx(cell, rel=1e-5)


@given(V=shares, k_f=st.floats(0.5, 30.0), k_m=st.floats(0.1, 0.4))
def test_every_rule_lies_within_the_bounds(V: float, k_f: float, k_m: float) -> None:
    low, high = in_series(V, k_f, k_m), side_by_side(V, k_f, k_m)
    for rule in RULES.values():
        assert low * (1 - 1e-12) <= rule(V, k_f, k_m) <= high * (1 + 1e-12)
    assert concentric_cylinders(V, k_f, k_m) > low


def test_no_fibre_and_a_fibre_like_the_resin() -> None:
    for rule in RULES.values():
        assert rule(0.0, 5.0, 0.2) == pytest.approx(0.2)
        assert rule(0.5, 0.2, 0.2) == pytest.approx(0.2)
    assert side_by_side(1.0, 5.0, 0.2) == in_series(1.0, 5.0, 0.2) == 5.0


def test_what_square_packing_cannot_hold_is_refused() -> None:
    with pytest.raises(MixingError, match=r"a fibre volume of 0.8"):
        springer_tsai(0.8, 4.0, 0.2)
    with pytest.raises(MixingError, match="conducts much better than the fibre"):
        springer_tsai(0.7, 0.1, 5.0)


def test_a_suppliers_sheet() -> None:
    """Data sheet of a carbon/epoxy prepreg (read): 57.42 and 57.70 % fibre by volume make 1580 and 1570 kg/m³ at 35 % resin by weight."""
    assert density(0.5742, 1790, 1300) == pytest.approx(1580, abs=5)
    assert density(0.5770, 1770, 1300) == pytest.approx(1570, abs=5)
    assert 1 - mass_share_of_fibre(0.5742, 1790, 1300) == pytest.approx(0.35, abs=0.005)


def test_specific_heat_is_weighed_by_mass() -> None:
    """Printed: 1051 by mass (by volume it would be 1080)."""
    assert specific_heat(mass_share_of_fibre(0.574, 1790, 1300), 914, 1304.2) == pytest.approx(1051, abs=0.5)
