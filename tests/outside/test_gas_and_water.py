"""Air, nitrogen, water vapour and convection against CoolProp and ht/fluids (general-purpose libraries), and printed values."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.core import Prandtl, Reynolds
from ht.conv_external import Nu_horizontal_plate_laminar_Baehr

from curewright.physics.convection import ConvectionError, plate
from curewright.physics.fitting.calorimeter import coefficient
from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.survey import fit_survey
from curewright.physics.gas import AIR, NITROGEN
from curewright.physics.voids import VoidsError, needed_pressure, resin_pressure, void_margin
from curewright.physics.water import saturation_pressure

GASES = [(AIR, "Air"), (NITROGEN, "Nitrogen")]


@pytest.mark.parametrize("gas, theirs", GASES, ids=["air", "nitrogen"])
@pytest.mark.parametrize("p", [1e5, 4e5, 8e5])
def test_gases_against_coolprop(gas, theirs, p):
    T = np.linspace(273.15, 503.15, 24)
    for ours, name, within in (
        (gas.density(T, p), "D", 0.005),
        (gas.viscosity(T), "V", 0.022),
        (gas.conductivity(T), "L", 0.022),
        (gas.specific_heat(T), "C", 0.015),
    ):
        reference = np.array([PropsSI(name, "T", t, "P", p, theirs) for t in T])
        assert ours == pytest.approx(reference, rel=within), name


def test_gases_as_printed():
    """Table of nitrogen and air computed by others with CoolProp 8.0.0: two rows of it."""
    T = np.array([393.15])
    assert NITROGEN.density(T, 7e5)[0] == pytest.approx(5.988, rel=0.005)
    assert NITROGEN.prandtl(T)[0] == pytest.approx(0.710, abs=0.02)
    assert AIR.density(T, 1e5)[0] == pytest.approx(0.886, rel=0.005)
    assert AIR.viscosity(T)[0] * 1e6 == pytest.approx(22.76, rel=0.02)


def test_outside_its_range_a_gas_has_no_numbers():
    assert np.isnan(AIR.viscosity(np.array([120.0, 600.0]))).all(), "°C taken for K"
    assert np.isnan(AIR.density(np.array([300.0]), 5.0)).all(), "bar taken for Pa"


def test_saturation_pressure_against_coolprop_and_the_release():
    T = np.linspace(273.16, 646.0, 300)
    reference = np.array([PropsSI("P", "T", t, "Q", 0, "Water") for t in T])
    assert saturation_pressure(T) == pytest.approx(reference, rel=2.5e-4)
    printed = saturation_pressure(np.array([300.0, 500.0, 600.0]))  # IAPWS-IF97, table 35
    assert printed == pytest.approx([0.353658941e4, 0.263889776e7, 0.123443146e8], rel=1e-8)
    assert np.isnan(saturation_pressure(np.array([273.0, 650.0, 100.0]))).all()


# By the published fit, which is good to 2 % from 90 to 165 °C.
PRINTED_KARDOS = [  # °C; kPa absolute at 20, 40, 50, 60, 80 and 100 % relative humidity at lay-up
    (107, (25.9, 51.8, 64.8, 77.8, 103.7, 129.6)),
    (120, (39.7, 79.3, 99.2, 119.0, 158.7, 198.3)),
    (140, (72.4, 144.9, 181.1, 217.3, 289.8, 362.2)),
]
PRINTED_STEAM = [
    (60, 19.95),
    (80, 47.41),
    (100, 101.42),
    (120, 198.67),
    (140, 361.5),
    (150, 476.2),
    (180, 1002.8),
]  # kPa


@pytest.mark.parametrize("celsius, row", PRINTED_KARDOS)
def test_pressure_that_keeps_water_in_solution_as_published(celsius, row):
    T = np.array([celsius + 273.15])
    for percent, kPa in zip((20, 40, 50, 60, 80, 100), row, strict=True):
        assert needed_pressure(T, percent / 100)[0] / 1e3 == pytest.approx(kPa, rel=0.013)


@pytest.mark.parametrize("celsius, kPa", PRINTED_STEAM)
def test_needed_pressure_is_the_humidity_of_lay_up_times_the_steam_table(celsius, kPa):
    found = needed_pressure(np.array([celsius + 273.15]), 0.5)[0] / 1e3
    assert found == pytest.approx(kPa / 2, rel=3e-4)  # printed to four or five digits


def test_dry_prepreg_needs_no_pressure():
    assert needed_pressure(np.array([400.0]), 0.0)[0] == 0.0


def test_vacuum_bag_alone_and_half_humidity():
    """Printed: at 50 % the needed pressure passes one atmosphere at about 121 °C."""
    T = np.linspace(373.15, 423.15, 5001)
    first = T[np.argmax(needed_pressure(T, 0.5) > 101325)] - 273.15
    assert first == pytest.approx(121, abs=0.8)


def test_the_resins_share_is_explicit_and_gel_ends_the_margin():
    T = np.full(4, 393.15)
    gelled = np.array([False, False, True, False])
    full = resin_pressure(np.full(4, 7e5), np.full(4, 1e4), 1.0)
    none = resin_pressure(np.full(4, 7e5), np.full(4, 1e4), 0.0)
    assert full.tolist() == [7e5] * 4
    assert none.tolist() == [1e4] * 4
    margin = void_margin(T, full, 0.5, gelled)
    assert margin[:2] == pytest.approx(7e5 - 99.33e3, rel=1e-3)
    assert np.isnan(margin[2:]).all(), "gel is for good"
    assert (void_margin(T, none, 0.5, gelled)[:2] < 0).all()
    for wrong in (1.2, -0.1, float("nan")):
        with pytest.raises(VoidsError, match="a resin's share"):
            resin_pressure(T, T, wrong)
    with pytest.raises(VoidsError, match=r"50 % is 0.5"):
        needed_pressure(T, 50.0)


PLATES = [  # m/s, bar absolute, laminar, turbulent, mixed W/m²/K: nitrogen at 120 °C along 1 m, computed by others with CoolProp
    (1, 1, 3.8, 5.0, 3.8), (1, 7, 10.1, 23.9, 10.1), (3, 1, 6.6, 12.1, 6.6), (3, 4, 13.1, 36.8, 13.1), (3, 7, 17.4, 57.6, 32.3),
    (5, 1, 8.5, 18.2, 8.5), (5, 4, 17.0, 55.3, 30.1), (5, 7, 22.5, 86.7, 61.4),
]  # fmt: skip


@pytest.mark.parametrize("speed, bar, laminar, turbulent, mixed", PLATES)
def test_a_plate_as_printed(speed, bar, laminar, turbulent, mixed):
    for boundary_layer, printed in (("laminar", laminar), ("turbulent", turbulent), ("mixed", mixed)):
        found = plate(NITROGEN, 393.15, bar * 1e5, speed, 1.0, boundary_layer)
        assert found == pytest.approx(printed, rel=0.015, abs=0.05), boundary_layer


@pytest.mark.parametrize("speed", [0.5, 2.0, 4.0])
def test_a_laminar_plate_against_ht(speed):
    T, p = 393.15, 2e5
    rho, mu, k, cp = (PropsSI(name, "T", T, "P", p, "Nitrogen") for name in ("D", "V", "L", "C"))
    Re, Pr = Reynolds(V=speed, D=0.5, rho=rho, mu=mu), Prandtl(Cp=cp, k=k, mu=mu)
    assert Re < 5e5
    reference = Nu_horizontal_plate_laminar_Baehr(Re, Pr) * k / 0.5
    assert plate(NITROGEN, T, p, speed, 0.5, "laminar") == pytest.approx(reference, rel=0.012)


def test_pressure_raises_convection_as_theory_says():
    for boundary_layer, ratio in (("turbulent", 4.74), ("laminar", 2.65)):  # 1 to 7 bar, printed
        low, high = (plate(NITROGEN, 393.15, p, 3.0, 1.0, boundary_layer) for p in (1e5, 7e5))
        assert high / low == pytest.approx(ratio, abs=0.01)
    cold, hot = (plate(NITROGEN, T, 7e5, 5.0, 1.0, "turbulent") for T in (333.15, 423.15))
    assert hot / cold == pytest.approx(0.86, abs=0.01)  # printed: -14 % from 60 to 150 °C


def test_the_boundary_layer_turns_at_half_a_million() -> None:
    """Re 5e5 (textbook): just below a plate is laminar, well beyond the mixed formula holds, (0.037 Re^0.8 - 871) Pr^(1/3)."""
    T, p = 393.15, 4e5
    rho, mu = NITROGEN.density(np.array([T]), p)[0], NITROGEN.viscosity(np.array([T]))[0]
    for Re, as_laminar in ((4.99e5, True), (5.01e5, False), (8e5, False)):
        speed = Re * mu / rho
        laminar = plate(NITROGEN, T, p, speed, 1.0, "laminar")
        assert (plate(NITROGEN, T, p, speed, 1.0, "mixed") == laminar) == as_laminar
        turbulent = plate(NITROGEN, T, p, speed, 1.0, "turbulent")
        assert laminar / turbulent == pytest.approx(0.664 * Re**0.5 / (0.037 * Re**0.8))


def test_a_plate_needs_a_flow_along_it():
    with pytest.raises(ConvectionError, match="a speed of 0"):
        plate(AIR, 400.0, 1e5, 0.0, 1.0)


def test_a_survey_gives_the_form_back_with_honest_errors():
    rng = np.random.default_rng(4)
    p = np.repeat([1.0e5, 2.5e5, 4e5, 5.5e5, 7e5], 4)
    inside = np.zeros(2)
    for _ in range(200):
        h = 22 * (p / 1e5) ** 0.62 + rng.normal(0, 2.0, p.size)
        convection, found = fit_survey(p, h, "power")
        low, high = found.limits()
        inside += (low <= [22, 0.62]) & (high >= [22, 0.62])
        assert (convection.law, convection.values) == ("power", (found.value("h0"), 1e5, found.value("n")))
    assert (inside / 200 > 0.90).all(), "95 % limits hold the truth about 95 times in 100"
    assert (inside / 200 < 0.99).all()
    with pytest.raises(CannotTellError, match="a survey at 2 pressure"):
        fit_survey(np.array([1e5, 7e5]), np.array([20.0, 80.0]), "power")
    with pytest.raises(CannotTellError, match="at least 20 % above"):
        fit_survey(np.array([7e5, 7.1e5, 7.2e5]), np.array([80.0, 81, 82]), "straight")
    straight, _ = fit_survey(p, 20.1 + 9.3e-5 * p, "straight")
    assert straight.law == "straight"
    assert straight.values == pytest.approx((20.1, 9.3e-5))


def test_a_block_of_metal_measures_the_film_coefficient():
    """Lumped aluminium of 25.4 mm, one face at h = 50: 20.6 min time constant and 41 K of lag at 2 K/min (printed)."""
    capacity = 2700 * 896 * 0.0254
    tau = capacity / 50
    assert tau / 60 == pytest.approx(20.6, abs=0.15)
    t = np.arange(0.0, 7200.0, 20.0)
    rate = 2 / 60
    lag = rate * tau * (1 - np.exp(-t / tau))
    assert lag[-1] == pytest.approx(41, abs=0.5)
    gas = 300 + rate * t
    rng = np.random.default_rng(5)
    found = coefficient(t, gas - lag + rng.normal(0, 0.05, t.size), gas, capacity, 167 / 0.0127)
    assert found.value("h") == pytest.approx(50, abs=0.3)
    with pytest.raises(CannotTellError, match=r"within .* K of each other"):
        coefficient(t, gas - 1.9, gas, capacity, 1e4)
    with pytest.raises(
        CannotTellError, match="a Biot number of"
    ):  # 2.1 K is enough, but a body that only follows tells no h
        coefficient(t, np.full(t.size, 300.0), np.full(t.size, 302.1), capacity, 1e4)
    with pytest.raises(CannotTellError, match="a Biot number of"):
        coefficient(t, gas - lag, gas, capacity, 100.0)
    with pytest.raises(CannotTellError, match="4 samples"):
        coefficient(t[:4], gas[:4] - 9, gas[:4], capacity, 1e4)
