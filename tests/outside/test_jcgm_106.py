"""Decision rules against the examples of JCGM 106:2012 (free from the BIPM) and the guard choices of ILAC G8:09/2019.

The inputs of the resistor are those of JCGM 106:2012, 9.5, as a public script repeats them. The inputs of the other examples and
all equations are from memory; expected figures were worked from those inputs outside this program.
"""

from __future__ import annotations

from math import sqrt

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from curewright.physics import conformance as c
from curewright.physics.uncertainty import JUNCTION, OWN, RECORDER, RECTANGULAR, ROLL, Budget, Contribution


def test_T12_vector_1_resistor() -> None:
    """Consumer's risk (outside and accepted) and producer's (inside and rejected) of the process, by SciPy over its true values."""
    mean, spread, u, limits = 1500.0, 0.12, 0.04, (1499.80, 1500.20)

    def accepted(low: float, high: float, acceptance: tuple[float, float]) -> float:
        return quad(lambda true: norm.pdf(true, mean, spread) * c.probability(true, u, *acceptance), low, high)[0]  # type: ignore[no-any-return]

    for acceptance, risks in (((1499.82, 1500.18), (0.009878, 0.069027)), (limits, (0.018942, 0.037208))):
        consumer = accepted(1499.0, limits[0], acceptance) + accepted(limits[1], 1501.0, acceptance)
        producer = c.probability(mean, spread, *limits) - accepted(*limits, acceptance)
        assert (consumer, producer) == pytest.approx(risks, abs=5e-7)
    assert c.probability(mean, spread, *limits) == pytest.approx(0.904419, abs=5e-7)  # the prior's own conformance


@pytest.mark.parametrize(
    "value, u, low, high, expected",
    [
        (-5.47, 0.05, None, -5.40, 0.919243),  # vector 2, Zener breakdown
        (509.7, 8.6, 490.0, None, 0.989010),  # vector 3, container burst: Φ(19.7/8.6)
        (177, 1, 175, 185, 0.97725),  # vector 6, 180 ± 5 °C
        (179, 1, 175, 185, 0.999968),
        (182, 1, 175, 185, 0.99865),
        (183, 1, 175, 185, 0.97725),
        (185, 1, 175, 185, 0.5),
        (340, 2, 340, 360, 0.5),  # vector 7, 350 ± 10 °F
        (341, 2, 340, 360, 0.691462),
        (342, 2, 340, 360, 0.841345),
        (344, 2, 340, 360, 0.97725),
    ],
)
def test_T12_vectors_2_3_6_7_one_value(
    value: float, u: float, low: float | None, high: float | None, expected: float
) -> None:
    assert c.probability(value, u, low, high) == pytest.approx(expected, abs=5e-6)


def test_T12_vector_4_speed() -> None:
    """u is 2 % of the reading: 100 is exceeded with a probability of 99.9 % at a reading of 106.588."""
    assert c.probability(106.588, 0.02 * 106.588, low=100) == pytest.approx(0.999, abs=2e-6)


# Vector 5, and the guard choices of ILAC G8:09/2019, Table 1 (from memory): multiplier of u, risk at the limit.
@pytest.mark.parametrize(
    "multiplier, risk",
    [
        (0, 0.5),
        (1, 0.158655),
        (1.2816, 0.1000),
        (1.6449, 0.0500),
        (1.96, 0.0250),
        (2, 0.022750),
        (2.3263, 0.0100),
        (3, 0.001350),
    ],
)
def test_T12_vector_5_risk_at_the_acceptance_limit(multiplier: float, risk: float) -> None:
    accepted_up_to = c.guarded(None, 360.0, multiplier * 2.0)[1]
    assert accepted_up_to is not None
    assert c.probability(accepted_up_to, 2.0, high=360.0) == pytest.approx(
        1 - risk, abs=1e-5
    )  # multipliers: four decimals


@pytest.mark.parametrize(
    "of_expanded, below",
    [(3.0, 1e-6), (1.5, 0.0016), (1.0, 0.025), (0.83, 0.05), (0.0, 0.5000001)],  # 1.5 U: 0.135 %, printed "< 0.16 %"
)
def test_T12_ilac_g8_guard_choices_hold_the_risk_they_promise(of_expanded: float, below: float) -> None:
    accepted_up_to = c.guarded(None, 360.0, of_expanded * 2.0)[1]
    assert accepted_up_to is not None
    risk = 1 - c.probability(accepted_up_to, 1.0, high=360.0)
    assert risk < below
    assert risk > below / 1200, "a rule far stricter than promised would be another rule"


def test_T12_ilac_g8_rejection_beyond_the_limit_plus_U() -> None:
    """Guard −U: only a value surely outside is rejected; true conformance there is below 2.5 %."""
    u = 1.0
    rejected_from = c.guarded(None, 360.0, -2 * u)[1]
    assert rejected_from == 362.0
    assert c.probability(362.0, u, high=360.0) == pytest.approx(0.022750, abs=5e-7)


def budget(wire: float) -> Budget:
    """Vector 8: wire, recorder and junction as limits ±a [K]."""
    parts = (("wire", wire, ROLL), ("recorder accuracy", 1.1, RECORDER), ("reference junction", 0.5, JUNCTION))
    known = tuple(Contribution(name, limit, RECTANGULAR, common, "1") for name, limit, common in parts)
    return Budget((*known, Contribution("drift", 0.0, RECTANGULAR, OWN, "1")), ("wire", "recorder accuracy", "drift"))


@pytest.mark.parametrize("wire, u, U_degF, p_at_343", [(1.1, 0.94340, 3.396, 0.96136), (2.2, 1.44914, 5.217, 0.87495)])
def test_T12_vector_8_channel_budget(wire: float, u: float, U_degF: float, p_at_343: float) -> None:
    found = budget(wire)
    assert found.combined == pytest.approx(u, abs=5e-6)
    assert found.combined is not None
    assert 2 * 1.8 * found.combined == pytest.approx(U_degF, abs=1e-3)
    assert c.probability(343, 1.8 * found.combined, 340, 360) == pytest.approx(p_at_343, abs=5e-6)


def test_T12_vector_8_usual_guard_bands() -> None:
    """0.83 U and 1.65 u are the same guard within a hundredth of a kelvin: 1.566 and 1.557 K (2.819 and 2.802 °F)."""
    u = sqrt((1.1**2 + 1.1**2 + 0.5**2) / 3)
    assert 0.83 * 2 * u == pytest.approx(1.566, abs=5e-4)
    assert 1.8 * 0.83 * 2 * u == pytest.approx(2.819, abs=5e-4)
    assert 1.65 * u == pytest.approx(1.557, abs=5e-4)
    assert budget(1.1).combined == pytest.approx(u, rel=1e-12)


def test_a_guard_band_lies_inside_both_limits_and_a_negative_one_outside() -> None:
    assert c.guarded(340.0, 360.0, 3.4) == (343.4, 356.6)  # case 35 of the binding cases: 1.0 × U, U = 3.4 °F
    assert c.guarded(340.0, 360.0, -2.0) == (338.0, 362.0)
    assert c.guarded(None, 360.0, 2.0) == (None, 358.0)
    assert c.guarded(340.0, None, 2.0) == (342.0, None)


def test_a_value_without_uncertainty_conforms_or_does_not_ends_included() -> None:
    assert c.probability(360.0, 0.0, 340.0, 360.0) == 1.0
    assert c.probability(340.0, 0.0, 340.0, 360.0) == 1.0
    assert c.probability(360.001, 0.0, 340.0, 360.0) == 0.0
    assert c.probability(1e9, 1.0) == 1.0, "no limits"


def test_small_risks_keep_their_digits() -> None:
    assert c.normal(-8.0) == pytest.approx(float(norm.cdf(-8.0)), rel=1e-12)
    assert c.between(7.0, 8.0) == pytest.approx(float(norm.sf(7.0) - norm.sf(8.0)), rel=1e-12)
    assert c.between(-8.0, -7.0) == pytest.approx(c.between(7.0, 8.0), rel=1e-12)
    assert c.between(2.0, 1.0) == 0.0
