"""The index of Frank-Kamenetskii against the exact slab, and against what is known of the thick laminates of the literature."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from scipy.optimize import minimize_scalar

from curewright.physics.layers import layer_of_laminate, layer_of_solid
from curewright.physics.runaway import CRITICAL_SLAB, RunawayError, runaway_index
from curewright.read.cards import packaged_card, packaged_solid
from curewright.terms.material import LayerMaterial

POLYESTER = layer_of_laminate(packaged_card("bogetti_1991_polyester"))


def test_the_critical_value_is_that_of_the_exact_slab() -> None:
    """θ'' + δ exp(θ) = 0 has √(δ/2) = arccosh(exp(θm/2)) exp(-θm/2): its largest δ, and no solution just above (SciPy)."""

    def delta(theta: float) -> float:
        return float(2 * np.arccosh(np.exp(theta / 2)) ** 2 * np.exp(-theta))

    largest = -minimize_scalar(lambda theta: -delta(theta), bounds=(0.1, 5), method="bounded").fun
    assert pytest.approx(largest, abs=5e-5) == CRITICAL_SLAB
    x = np.linspace(0, 1, 41)
    for share, exists in ((0.95, True), (1.05, False)):
        d = share * CRITICAL_SLAB
        found = solve_bvp(
            lambda s, y, d=d: np.vstack([y[1], -d * np.exp(np.minimum(y[0], 50))]),
            lambda a, b: np.array([a[1], b[0]]),
            x,
            np.vstack([0.5 * (1 - x**2), -x]),
            max_nodes=2000,
        )
        assert (found.status == 0) == exists


def test_a_layer_by_hand() -> None:
    """First order with E/RT² known: δ = L² H A exp(-E/RT) (1 - α) E/(R T²) / k."""
    layer = LayerMaterial("invented", 1500, (1000, 0, 0), (0.5, 0, 0), 3e8, "nth order", (1e5, 6e4, 1.0))
    by_hand = 0.01**2 * 3e8 * 1e5 * np.exp(-6e4 / (8.314 * 420)) * 0.75 * 6e4 / (8.314 * 420**2) / 0.5
    assert runaway_index(layer, 0.01, 420.0, 0.25) == pytest.approx(by_hand, rel=1e-12)
    assert runaway_index(layer, 0.02, 420.0, 0.25) == pytest.approx(4 * by_hand)
    assert runaway_index(layer, 0.01, 420.0) == pytest.approx(by_hand / 0.75 * 0.999, rel=1e-3), (
        "largest where it begins"
    )


def test_thicker_and_hotter_is_worse_and_the_thick_polyester_is_a_runaway() -> None:
    """The glass/polyester overshoots at 25.4 mm and forms a front at 35 to 40 mm (computed by others); thin ones do not at 90 °C."""
    at_90 = [runaway_index(POLYESTER, mm / 2000, 363.15) for mm in (13.8, 18.5, 25.4, 40.0)]
    assert all(thin < thick for thin, thick in itertools.pairwise(at_90))
    assert runaway_index(POLYESTER, 0.020, 403.15) > CRITICAL_SLAB
    assert runaway_index(POLYESTER, 0.0005, 363.15) < 0.1
    assert runaway_index(POLYESTER, 0.01, 393.15) > runaway_index(POLYESTER, 0.01, 373.15)


def test_what_the_index_says_nothing_of_is_refused() -> None:
    with pytest.raises(RunawayError, match="does not react"):
        runaway_index(layer_of_solid(packaged_solid("mill_sheets_invar")), 0.01, 400.0)
    with pytest.raises(RunawayError, match="expected 0 to 250 °C"):
        runaway_index(POLYESTER, 0.01, 130.0)
    with pytest.raises(RunawayError, match="a half thickness of 0 m"):
        runaway_index(POLYESTER, 0.0, 400.0)
    lee = layer_of_laminate(packaged_card("bogetti_1991_epoxy"))
    assert runaway_index(lee, 0.01, 450.0, 0.29) > 0.0
    assert runaway_index(replace(lee, heat_of_cure=0.0), 0.01, 450.0) == 0.0
