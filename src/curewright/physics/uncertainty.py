"""The uncertainty of one recorder channel, contribution by contribution, and what each one is shared with.

A contribution stated as limits ±a is rectangular: u = a/√3. One stated as a standard uncertainty is normal: u as it stands.
A resolution (the smallest step q) is rectangular over half a step: u = q/√12. Together u = √(Σ u²), expanded U = 2 u
(JCGM 100, the GUM). An error is shared by every channel that has the same ``common_to`` and ``tag``: wire off the same roll,
the same recorder, the same reference junction; ``own`` errors are shared with nobody. An unnamed roll or recorder is taken as
shared with nobody: that gives the lower probability when several channels have to hold. An amount in a unit that does not fit
what the sensor measures (a recorder's accuracy in °F, for a pressure) says nothing of this channel: not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, sqrt
from typing import TYPE_CHECKING

from curewright.physics.thermocouples import tolerance

if TYPE_CHECKING:
    from datetime import date

    from curewright.terms.load import Calibration, Correction, Recorder, Sensor
    from curewright.terms.units import Quantity

ROLL, RECORDER, JUNCTION, OWN = "roll", "recorder", "junction", "own"
RECTANGULAR, NORMAL = "rectangular", "normal"
GRAINS = {"temperature": 1e6, "pressure": 1e3}  # per K, per Pa
NEEDED = {
    "temperature": ("wire", "recorder accuracy", "reference junction", "drift"),
    "pressure": ("transducer", "recorder accuracy", "drift"),
    "vacuum": ("transducer", "recorder accuracy", "drift"),
}


@dataclass(frozen=True)
class Contribution:
    """One source of error of a channel.

    value : half-width of the limits (``rectangular``) or standard uncertainty (``normal``) [K or Pa]; None where nobody stated it
    common_to : ``roll``, ``recorder``, ``junction`` or ``own``; tag : which one
    """

    name: str
    value: float | None
    distribution: str
    common_to: str
    tag: str

    @property
    def standard(self) -> float | None:
        """Its standard uncertainty [K or Pa]; None where it is not known."""
        if self.value is None:
            return None
        return self.value / sqrt(3) if self.distribution == RECTANGULAR else self.value


@dataclass(frozen=True)
class Budget:
    """All contributions of one channel at one temperature; ``needed`` names those without which nothing can be said of the whole."""

    contributions: tuple[Contribution, ...]
    needed: tuple[str, ...]

    @property
    def missing(self) -> tuple[str, ...]:
        """The needed contributions that nobody stated."""
        known = {one.name for one in self.contributions if one.value is not None}
        return tuple(name for name in self.needed if name not in known)

    @property
    def whole(self) -> bool:
        """Whether every needed contribution is known."""
        return not self.missing

    @property
    def combined(self) -> float | None:
        """Combined standard uncertainty u [K or Pa]; None while the budget is not whole."""
        return _root_sum_of_squares(self.contributions) if self.whole else None

    def shared(self) -> tuple[tuple[str, float], ...]:
        """Standard uncertainties shared with other channels, each with the key of what they are shared through."""
        found: dict[str, list[Contribution]] = {}
        for one in self.contributions:
            if one.common_to != OWN:
                found.setdefault(f"{one.common_to} {one.tag}", []).append(one)
        return tuple((key, _root_sum_of_squares(tuple(group))) for key, group in found.items())

    @property
    def own(self) -> float:
        """Standard uncertainty of what is shared with nobody [K or Pa]."""
        return _root_sum_of_squares(tuple(one for one in self.contributions if one.common_to == OWN))


def channel_budget(sensor: Sensor, recorder: Recorder, at: float, on: date) -> Budget:
    """The budget of a channel on a day, at a temperature in K (not used for a pressure or vacuum), in K or Pa.

    Where the correction of a sensor's certificate is applied on that day, the certificate's uncertainty takes the place of the wire's
    tolerance, shared through the roll if the roll was calibrated; otherwise both count. Raises
    :class:`~curewright.physics.thermocouples.ToleranceError` for a wire, class or temperature that no standard covers.
    """
    tag, amount = recorder.name, _amount
    temperature = sensor.measures == "temperature"
    junction = Contribution(
        "reference junction", amount(sensor, recorder.reference_junction), RECTANGULAR, *_shared(JUNCTION, tag)
    )
    contributions = (
        *(_wire(sensor, at, on) if temperature else _transducer(sensor)),
        Contribution("recorder accuracy", amount(sensor, recorder.accuracy), RECTANGULAR, *_shared(RECORDER, tag)),
        *((junction,) if temperature else ()),
        Contribution("drift", amount(sensor, sensor.drift), RECTANGULAR, OWN, sensor.name),
        *_resolution(sensor, recorder),
        *_certificate("recorder calibration", sensor, recorder.calibration, _shared(RECORDER, tag)),
    )
    return Budget(contributions, NEEDED.get(sensor.measures, ("a quantity that is measured",)))


def _wire(sensor: Sensor, at: float, on: date) -> tuple[Contribution, ...]:
    shared = _shared(ROLL, sensor.roll) if _calibrated_as_roll(sensor) else (OWN, sensor.name)
    if _correction_applies(sensor, on) and (certified := _certificate("wire", sensor, sensor.calibration, shared)):
        return certified
    stated = tolerance(sensor.wire, sensor.tolerance, at) if sensor.wire and sensor.tolerance else None
    wire = Contribution("wire", stated, RECTANGULAR, *_shared(ROLL, sensor.roll))
    return (wire, *_certificate("calibration", sensor, sensor.calibration, shared))


def _corrections(sensor: Sensor) -> tuple[Correction, ...]:
    """The corrections that come from the sensor's own certificate."""
    number = sensor.calibration.certificate if sensor.calibration else None
    return tuple(correction for correction in sensor.corrections if correction.certificate == number)


def _correction_applies(sensor: Sensor, on: date) -> bool:
    return any(correction.valid_from <= on <= correction.valid_to for correction in _corrections(sensor))


def _calibrated_as_roll(sensor: Sensor) -> bool:
    return any("roll" in correction.of for correction in _corrections(sensor))


def _transducer(sensor: Sensor) -> tuple[Contribution, ...]:
    certified = _certificate("transducer", sensor, sensor.calibration, (OWN, sensor.name))
    return certified or (Contribution("transducer", None, RECTANGULAR, OWN, sensor.name),)


def _resolution(sensor: Sensor, recorder: Recorder) -> tuple[Contribution, ...]:
    step = _amount(sensor, recorder.resolution)
    return () if step is None else (Contribution("resolution", step / 2, RECTANGULAR, OWN, sensor.name),)


def _certificate(
    name: str, sensor: Sensor, calibration: Calibration | None, shared: tuple[str, str]
) -> tuple[Contribution, ...]:
    amount = _amount(sensor, calibration.uncertainty) if calibration else None
    if calibration is None or amount is None:
        return ()
    return (Contribution(name, amount, NORMAL if calibration.standard else RECTANGULAR, *shared),)


def _shared(common_to: str, tag: str) -> tuple[str, str]:
    """What an error is shared through; with nobody where the roll or recorder has no name."""
    return (common_to, tag) if tag else (OWN, "")


def _amount(sensor: Sensor, quantity: Quantity | None) -> float | None:
    """A stated amount as a difference, in K or Pa; None where nobody stated it or its unit does not fit the sensor."""
    family = "temperature" if sensor.measures == "temperature" else "pressure"
    if quantity is None or quantity.unit.quantity not in (family, f"{family} difference"):
        return None
    return quantity.unit.difference().grains_of(quantity.number) / GRAINS[family]


def _root_sum_of_squares(contributions: tuple[Contribution, ...]) -> float:
    return sqrt(fsum(one.standard**2 for one in contributions if one.standard is not None))
