"""The vessel, and what was in it: parts, bags, tools, and which sensor sat where, when, by whose word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

    from curewright.terms.requirement import Limits
    from curewright.terms.units import Quantity

ALWAYS = 2**62  # ns: no end

ROLES = (
    "judging",
    "information only",
    "tool",
    "air",
    "vessel pressure",
    "bag transducer",
    "source",
    "source valve",
    "set point",
    "other",
)


@dataclass(frozen=True)
class Correction:
    """What has to be added to a reading (sign as on the certificate), valid from one date to another.

    ``of`` says what it corrects (wire roll, recorder channel, transducer): one of each is in force on a day, and they
    add up.
    """

    add: Quantity
    certificate: str
    valid_from: date
    valid_to: date
    of: str = ""
    line: int = 0


@dataclass(frozen=True)
class Calibration:
    """A certificate with its due date, and the contributions to uncertainty that it states (as standard or as limits)."""

    certificate: str
    due: date
    uncertainty: Quantity | None = None  # limits (rectangular) unless stated otherwise
    standard: bool = False


@dataclass(frozen=True)
class Sensor:
    """A thermocouple or transducer of the vessel: wire type, tolerance class, roll, recorder channel."""

    name: str
    channel: str
    measures: str  # 'temperature' | 'pressure' | 'vacuum' | 'state'
    wire: str = ""
    tolerance: str = ""  # 'standard' | 'special' | 'class 1' | 'class 2' | 'class 3'
    roll: str = ""
    corrections: tuple[Correction, ...] = ()
    calibration: Calibration | None = None
    drift: Quantity | None = None
    line: int = 0
    also_on: tuple[tuple[str, str], ...] = ()  # (recorder, channel) of further recorders that it is wired to


@dataclass(frozen=True)
class Port:
    """A vacuum port or thermocouple jack of the vessel by its number (text), and the sensor behind it."""

    number: str
    kind: str  # 'vacuum' | 'thermocouple'
    sensor: str | None
    line: int = 0
    file: str = ""


@dataclass(frozen=True)
class Recorder:
    """A recorder, its accuracy, reference junction and calibration."""

    name: str
    accuracy: Quantity | None = None
    reference_junction: Quantity | None = None
    resolution: Quantity | None = None
    calibration: Calibration | None = None
    line: int = 0


@dataclass(frozen=True)
class Vessel:
    """An autoclave: its sensors, ports, recorders, and the pressure of the site (for changes of reference).

    ``facility``: the plant that it stands in ('' where not stated). ``agreement_at_ambient``: how far a thermocouple may
    be from the median of all before heating; None where nobody stated it.
    """

    name: str
    sensors: tuple[Sensor, ...]
    ports: tuple[Port, ...]
    recorders: tuple[Recorder, ...]
    site_pressure: Quantity | None = None
    file: str = ""
    agreement_at_ambient: Quantity | None = None
    facility: str = ""


@dataclass(frozen=True)
class Assignment:
    """One line of the sensor map: this sensor stood here, for this thing, from then until then, by whose word.

    ``start``/``end`` in ns since the start of the run. A sensor that was re-plugged has two.
    """

    sensor: str
    channel: str
    role: str  # one of ROLES
    thing: str  # part serial, bag name, or vessel name
    place: str  # 'edge top', 'surveyed lagging' … ('' where not stated)
    start: int
    end: int
    author: str
    position: str = ""  # name of the place on the part that the thermocouple is known by (TC1); defaults to the sensor
    line: int = 0
    file: str = ""


@dataclass(frozen=True)
class Concession:
    """A limit changed for one serial by an authority; the original outcome stays visible."""

    clause: str
    form: str
    limits: Limits
    authority: str


@dataclass(frozen=True)
class Part:
    """A part in the load: identities, material, stated attributes, its bag, and the specification revision that it
    follows.
    """

    serial: str
    number: str
    revision: str
    lot: str
    bag: str
    tool: str
    specification: str
    specification_revision: str
    attributes: tuple[tuple[str, Quantity | str], ...] = ()
    out_time_used: Quantity | None = None
    out_time_limit: Quantity | None = None
    concessions: tuple[Concession, ...] = ()
    position: str = ""
    earlier_runs: tuple[str, ...] = ()  # files with earlier sealed verdicts
    line: int = 0

    def attribute(self, name: str) -> Quantity | str | None:
        """A stated attribute of the part, or None where nobody stated it."""
        return dict(self.attributes).get(name)


@dataclass(frozen=True)
class Bag:
    """A vacuum bag and its ports."""

    name: str
    ports: tuple[str, ...]
    line: int = 0


@dataclass(frozen=True)
class Load:
    """One load of a vessel: parts, bags, tools and the sensor map."""

    run: str
    vessel: str
    start: datetime | None
    parts: tuple[Part, ...]
    bags: tuple[Bag, ...]
    map: tuple[Assignment, ...]
    file: str = ""


@dataclass(frozen=True)
class Ruling:
    """What a named person decided about data: a sensor set aside over a stretch, or trusted there although it is flagged,
    with a reason. ``second``: the second person, where needed.
    """

    kind: str  # 'set aside' | 'trusted'
    sensor: str
    start: int
    end: int
    person: str
    reason: str
    second: str = ""
    file: str = ""
    line: int = 0
