"""The channel budget: what counts, as which distribution, shared with what, and when it is whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from math import sqrt

import pytest

from curewright.physics.thermocouples import ToleranceError
from curewright.physics.uncertainty import Budget, channel_budget
from curewright.terms.load import Calibration, Correction, Recorder, Sensor
from curewright.terms.units import Quantity, unit_named

SOAK, DAY = 273.15 + 177, date(2029, 6, 1)


def q(number: str, unit: str) -> Quantity:
    return Quantity(Decimal(number), unit_named(unit))


JUNCTION = q("0.5", "degC difference")
RECORDER = Recorder("A", accuracy=q("1.98", "degF difference"), reference_junction=JUNCTION, resolution=q("0.1", "K"))
WIRE = Sensor("TC1", "ch1", "temperature", wire="J", tolerance="special", roll="7", drift=q("0.3", "K difference"))
CERTIFICATE = Calibration("C-17", date(2030, 1, 1), q("0.4", "K difference"))
CORRECTION = Correction(q("0.2", "K difference"), "C-17", date(2029, 1, 1), date(2030, 1, 1))


def standards(budget: Budget) -> dict[str, float | None]:
    return {one.name: one.standard for one in budget.contributions}


def test_every_contribution_with_its_distribution() -> None:
    budget = channel_budget(WIRE, RECORDER, SOAK, DAY)
    assert standards(budget) == {
        "wire": pytest.approx(1.1 / sqrt(3)),
        "recorder accuracy": pytest.approx(1.98 / 1.8 / sqrt(3)),  # a difference in °F by scale only
        "reference junction": pytest.approx(0.5 / sqrt(3)),
        "drift": pytest.approx(0.3 / sqrt(3)),
        "resolution": pytest.approx(0.1 / sqrt(12)),
    }
    expected = sqrt((1.1**2 + 1.1**2 + 0.5**2 + 0.3**2 + 0.05**2) / 3)
    assert budget.whole
    assert budget.combined == pytest.approx(expected)


def test_what_each_error_is_shared_through() -> None:
    budget = channel_budget(WIRE, RECORDER, SOAK, DAY)
    assert dict(budget.shared()) == {
        "roll 7": pytest.approx(1.1 / sqrt(3)),
        "recorder A": pytest.approx(1.1 / sqrt(3)),
        "junction A": pytest.approx(0.5 / sqrt(3)),
    }
    assert budget.own == pytest.approx(sqrt(0.3**2 / 3 + 0.1**2 / 12))
    assert budget.combined == pytest.approx(sqrt(budget.own**2 + sum(u * u for _, u in budget.shared())))


def test_a_roll_or_recorder_without_a_name_is_shared_with_nobody() -> None:
    budget = channel_budget(replace(WIRE, roll=""), replace(RECORDER, name=""), SOAK, DAY)
    assert budget.shared() == ()
    assert budget.own == pytest.approx(budget.combined)


@pytest.mark.parametrize(
    "missing, sensor, recorder",
    [
        ("wire", replace(WIRE, wire=""), RECORDER),
        ("wire", replace(WIRE, tolerance=""), RECORDER),
        ("recorder accuracy", WIRE, replace(RECORDER, accuracy=None)),
        ("reference junction", WIRE, replace(RECORDER, reference_junction=None)),
        ("drift", replace(WIRE, drift=None), RECORDER),
        (
            "recorder accuracy",
            WIRE,
            replace(RECORDER, accuracy=q("1", "psi difference")),
        ),  # says nothing of a temperature
    ],
)
def test_nothing_is_said_of_the_whole_while_one_is_missing(missing: str, sensor: Sensor, recorder: Recorder) -> None:
    budget = channel_budget(sensor, recorder, SOAK, DAY)
    assert budget.missing == (missing,)
    assert not budget.whole
    assert budget.combined is None


def test_resolution_is_not_needed() -> None:
    assert channel_budget(WIRE, replace(RECORDER, resolution=None), SOAK, DAY).whole


def test_a_certificate_whose_correction_is_applied_takes_the_place_of_the_tolerance() -> None:
    sensor = replace(WIRE, calibration=CERTIFICATE, corrections=(CORRECTION,))
    corrected = channel_budget(sensor, RECORDER, SOAK, DAY)
    assert standards(corrected)["wire"] == pytest.approx(0.4 / sqrt(3))
    assert "roll 7" not in dict(corrected.shared()), "the certificate is that thermocouple's own"


@pytest.mark.parametrize("day", [date(2029, 1, 1), date(2030, 1, 1)])
def test_a_correction_is_in_force_on_its_first_and_on_its_last_day(day: date) -> None:
    sensor = replace(WIRE, calibration=CERTIFICATE, corrections=(CORRECTION,))
    assert standards(channel_budget(sensor, RECORDER, SOAK, day))["wire"] == pytest.approx(0.4 / sqrt(3))


def test_the_certificate_of_a_roll_is_shared_by_its_wires() -> None:
    sensor = replace(WIRE, calibration=CERTIFICATE, corrections=(replace(CORRECTION, of="wire roll"),))
    assert dict(channel_budget(sensor, RECORDER, SOAK, DAY).shared())["roll 7"] == pytest.approx(0.4 / sqrt(3))


@pytest.mark.parametrize(
    "corrections, day",
    [
        ((), DAY),  # none
        ((CORRECTION,), date(2030, 1, 2)),  # no longer in force
        ((CORRECTION,), date(2028, 12, 31)),  # not yet
        ((replace(CORRECTION, certificate="C-18"),), DAY),  # of another certificate (the recorder's)
    ],
)
def test_without_its_correction_the_tolerance_and_the_certificate_count(
    corrections: tuple[Correction, ...], day: date
) -> None:
    sensor = replace(WIRE, calibration=CERTIFICATE, corrections=corrections)
    found = standards(channel_budget(sensor, RECORDER, SOAK, day))
    assert found["wire"] == pytest.approx(1.1 / sqrt(3))
    assert found["calibration"] == pytest.approx(0.4 / sqrt(3))


def test_a_standard_uncertainty_on_a_certificate_is_normal_and_stands_as_it_is() -> None:
    certificate = replace(CERTIFICATE, standard=True)
    budget = channel_budget(
        replace(WIRE, calibration=certificate), replace(RECORDER, calibration=certificate), SOAK, DAY
    )
    assert standards(budget)["calibration"] == pytest.approx(0.4)
    assert standards(budget)["recorder calibration"] == pytest.approx(0.4)
    assert dict(budget.shared())["recorder A"] == pytest.approx(sqrt(1.1**2 / 3 + 0.4**2)), "shared by all its channels"


def test_a_wire_has_no_budget_where_no_standard_speaks() -> None:
    with pytest.raises(ToleranceError, match="at 900 °C"):
        channel_budget(WIRE, RECORDER, 273.15 + 900, DAY)


def test_a_pressure_channel_has_no_wire_and_no_junction() -> None:
    gauge = Sensor("PT1", "p1", "pressure", calibration=Calibration("C-2", date(2030, 1, 1), q("1", "psi difference")))
    recorder = replace(RECORDER, accuracy=q("0.5", "psi gauge"))
    budget = channel_budget(replace(gauge, drift=q("0", "psi difference")), recorder, SOAK, DAY)
    psi = 6894.757293168  # Pa, NIST SP 811
    assert budget.combined == pytest.approx(psi * sqrt((1 + 0.25) / 3), rel=1e-7)  # amounts are whole mPa
    assert channel_budget(gauge, recorder, SOAK, DAY).missing == ("drift",)
    assert channel_budget(replace(gauge, calibration=None), RECORDER, SOAK, DAY).missing == (
        "transducer",
        "recorder accuracy",
        "drift",
    )


def test_a_state_channel_has_no_budget() -> None:
    assert not channel_budget(Sensor("valve", "v1", "state"), RECORDER, SOAK, DAY).whole
