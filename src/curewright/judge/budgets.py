"""What the readings of a sensor may be off by in this run: its uncertainty budget, where all of it is stated.

A budget counts only whole (wire or transducer, recorder, reference junction, drift). What is missing where somebody
stated a part of it is remembered for one note in the judgement.
"""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from curewright.physics.thermocouples import ToleranceError
from curewright.physics.uncertainty import channel_budget
from curewright.terms.light import light
from curewright.terms.load import Recorder

if TYPE_CHECKING:
    from curewright.judge.scene import Hall, Member
    from curewright.terms.load import Sensor

GRAINS = {"temperature": 1e6, "pressure": 1e3}  # per K, per Pa
SHOWN = 4  # names of sensors in a note
WRITTEN = {  # what a budget needs, and the keys of the vessel file that state it
    "wire": "'wire' and 'tolerance' of the sensor",
    "transducer": "'uncertainty' and 'stated as' in the sensor's 'calibration'",
    "recorder accuracy": "'accuracy' of the recorder, in a unit of what the sensor measures",
    "reference junction": "'reference junction' of the recorder",
    "drift": "'drift' of the sensor, such as 'drift: 0.2 degC' ('drift: 0 degC' where none is to be expected)",
}


@light(frozen=True)
class Errors:
    """Standard uncertainties of a sensor's readings [K or Pa]: its own, and (key, u) of each shared through ``key``."""

    own: float
    shared: tuple[tuple[str, float], ...]


def family_of(member: Member) -> str:
    """``temperature`` or ``pressure``, as its channel is recorded; anything else has no budget."""
    return member.channel.unit.quantity


def errors_of(hall: Hall, member: Member, grains: float, reference: str | None) -> Errors | None:
    """The errors of a sensor at a value in grains, judged in a pressure reference; None where its budget is not whole.

    A tolerance that grows with temperature is taken at the next whole kelvin.
    """
    sensor = _sensor_of(hall, member)
    if sensor is None or family_of(member) not in GRAINS:
        return None
    kelvin = ceil(grains / GRAINS["temperature"]) if family_of(member) == "temperature" else 0
    key = ("errors", sensor.name, member.channel.recorder, kelvin)
    if key not in hall.kept:
        hall.kept[key] = _whole(hall, sensor, member.channel.recorder, float(kelvin))
    if hall.kept[key] is not None and _by_barometer(member.channel.reference, reference):
        unstated(hall)[sensor.name] = ("ambient pressure",)
        return None
    return hall.kept[key]  # type: ignore[return-value]


def notes(hall: Hall) -> tuple[str, ...]:
    """One line for each part of a budget that is missing where the rest is stated: of which sensors, and where to state it."""
    missing: dict[tuple[str, ...], list[str]] = {}
    for sensor, parts in sorted(unstated(hall).items()):
        missing.setdefault(parts, []).append(sensor)
    return tuple(_note(parts, sensors, hall.vessel.file) for parts, sensors in missing.items())


def _note(parts: tuple[str, ...], sensors: list[str], file: str) -> str:
    begins = f"no probability of conformance is printed beside verdicts from {_listed(sensors)}"
    if not set(parts) <= WRITTEN.keys():
        return f"{begins}: its uncertainty is not known ({', '.join(parts)})"
    keys = "; ".join(WRITTEN[part] for part in parts)
    return (
        f"{begins}: {file or 'the vessel file'} does not state {' and '.join(parts)}. To have it, write there, as the certificate "
        f"or your procedure says: {keys} (docs/uncertainty.md). No verdict needs it"
    )


def _listed(names: list[str]) -> str:
    more = len(names) - SHOWN
    return ", ".join(names[:SHOWN]) + (f" and {more} more" if more > 0 else "")


def _whole(hall: Hall, sensor: Sensor, recorder: str, kelvin: float) -> Errors | None:
    described = next((one for one in hall.vessel.recorders if one.name == recorder), Recorder(recorder))
    try:
        budget = channel_budget(sensor, described, kelvin, hall.run.start.date())
    except ToleranceError as error:
        unstated(hall)[sensor.name] = (f"a tolerance ({error.found})",)
        return None
    if budget.whole:
        return Errors(budget.own, budget.shared())
    if any(one.value is not None for one in budget.contributions):
        unstated(hall)[sensor.name] = budget.missing
    return None


def unstated(hall: Hall) -> dict[str, tuple[str, ...]]:
    """What is missing of the budget of each sensor of which something is stated."""
    return hall.kept.setdefault(("unstated",), {})  # type: ignore[return-value]


def _sensor_of(hall: Hall, member: Member) -> Sensor | None:
    """The one sensor behind a place on one recorder; None where there were several, or the vessel does not know it."""
    key = ("sensor", member.role, member.name, member.channel.name)
    if key not in hall.kept:
        names = {line.sensor for line in member.assignments}
        channel = member.channel.name
        found = [one for one in hall.vessel.sensors if (one.name in names if names else one.channel == channel)]
        alone = len(found) == 1 and len(names) <= 1 and len({piece[0].recorder for piece in member.pieces}) == 1
        hall.kept[key] = found[0] if alone else None
    return hall.kept[key]  # type: ignore[return-value]


def _by_barometer(own: str | None, wanted: str | None) -> bool:
    """Whether a change of reference takes in the ambient pressure, whose uncertainty nobody states."""
    return None not in (own, wanted) and own != wanted and "absolute" in (own, wanted)
