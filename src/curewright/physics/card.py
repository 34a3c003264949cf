"""Material cards: constants of published laws, each with its source and confidence, and the range over which they may be used.

A :class:`Card` is of something that cures (a resin, or a whole laminate as published); a :class:`SolidCard` of what does not (a fibre, a
tool, a layer of a bag). Numbers are in SI units inside, as written on the card beside.
"""

from __future__ import annotations

from dataclasses import dataclass

CONFIDENCES = ("read", "second-hand", "from memory", "our own choice")
UNVERIFIED = ("from memory", "second-hand")  # worst first
CONSTANT, STRAIGHT, STRAIGHT_IN_BOTH = "constant", "straight in temperature", "straight in temperature and cure"
PROPERTY_LAWS: dict[str, tuple[str, ...]] = {
    CONSTANT: ("value",),
    STRAIGHT: ("at 0 degC", "per K"),
    STRAIGHT_IN_BOTH: ("at 0 degC", "per K", "per degree of cure"),
}
ZERO_CELSIUS_K = 273.15


@dataclass(frozen=True)
class Value:
    """One constant. ``number`` in SI units (seconds, kelvin); ``written``, ``unit``, ``low`` and ``high`` as on the card.

    ``between``: low and high in SI units, where both are written; ``number`` lies between them.
    """

    name: str
    number: float
    written: str
    unit: str
    source: str
    confidence: str  # one of CONFIDENCES
    low: str = ""
    high: str = ""
    note: str = ""
    between: tuple[float, float] | None = None


@dataclass(frozen=True)
class Law:
    """A law by its name, and its constants in the order in which the law takes them."""

    name: str
    values: tuple[Value, ...]

    @property
    def numbers(self) -> tuple[float, ...]:
        """The constants in SI units."""
        return tuple(value.number for value in self.values)


@dataclass(frozen=True)
class OtherLaw:
    """What another work says of the same resin: not used, but shown, because published sets disagree."""

    work: str
    law: Law


@dataclass(frozen=True)
class Range:
    """What a card may be used for: ends included, in SI units, with source and confidence."""

    low: float
    high: float
    unit: str
    source: str
    confidence: str


@dataclass(frozen=True)
class Heat:
    """Heat of reaction [J/kg], of what: ``kg of resin`` or ``kg of composite``. The one taken for the other is a known error."""

    value: Value
    per: str


@dataclass(frozen=True)
class KnownTime:
    """How long the law takes, as someone else computed or printed it: a card whose constants say otherwise is refused.

    T [K] held; from ``start`` to ``alpha`` in ``seconds``, to ``within`` (a fraction).
    """

    T: float
    start: float
    alpha: float
    seconds: float
    within: float
    source: str
    confidence: str


@dataclass(frozen=True)
class Properties:
    """Density [kg/m³], specific heat [J/kg/K], conductivity [W/m/K] across and along: what of them the card has.

    Each is one of PROPERTY_LAWS. ``along`` is in the plane of a laminate, or along a fibre; ``conductivity`` is across.
    """

    density: Law | None = None
    specific_heat: Law | None = None
    conductivity: Law | None = None
    along: Law | None = None


NO_PROPERTIES = Properties()


@dataclass(frozen=True)
class Card:
    """What cures: a resin, or a laminate as a whole (``kind``); named after author and year of its published source.

    temperature [K], heating [K/s] (the fastest counts; cooling is not limited), start: degree of cure that integration may start from.
    predictions: temperatures over which an estimate may use the card, wider than those over which a verdict may.
    """

    name: str
    revision: str
    work: str
    resin: str
    temperature: Range
    heating: Range
    start: Range
    degree_of_cure: Law
    glass_transition: Law | None = None
    viscosity: Law | None = None
    notes: tuple[str, ...] = ()
    file: str = ""
    kind: str = "resin"
    predictions: Range | None = None
    cured_at: Value | None = None
    gel: Value | None = None
    heat: Heat | None = None
    properties: Properties = NO_PROPERTIES
    fibre_volume: Value | None = None
    other_glass_transitions: tuple[OtherLaw, ...] = ()
    known_times: tuple[KnownTime, ...] = ()

    def law(self, quantity: str) -> Law | None:
        """The law for ``degree of cure``, ``glass transition`` or ``viscosity``; None where the card has none."""
        return {
            "degree of cure": self.degree_of_cure,
            "glass transition": self.glass_transition,
            "viscosity": self.viscosity,
        }[quantity]

    @property
    def glass_transitions(self) -> tuple[Law, ...]:
        """All published laws of the glass transition on the card, its own first."""
        own = (self.glass_transition,) if self.glass_transition else ()
        return (*own, *(other.law for other in self.other_glass_transitions))

    @property
    def title(self) -> str:
        """Name and revision, as results cite the card."""
        return f"{self.name} revision {self.revision}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What every result that uses this card has to say: which of its constants nobody has verified."""
        return _unverified(self.title, self._stated())

    def warnings_about(self, *quantities: str) -> tuple[str, ...]:
        """The same, of some quantities only: ``degree of cure``, ``viscosity``, ``heat of reaction``, ``density``…"""
        return _unverified(self.title, {name: values for name, values in self._stated().items() if name in quantities})

    def _stated(self) -> dict[str, tuple[Value, ...]]:
        """Every constant that is used, by quantity."""
        return _parts(self.properties) | {
            "degree of cure": self.degree_of_cure.values,
            "glass transition": self.glass_transition.values if self.glass_transition else (),
            "viscosity": self.viscosity.values if self.viscosity else (),
            "gel": (self.gel,) if self.gel else (),
            "heat of reaction": (self.heat.value,) if self.heat else (),
        }


@dataclass(frozen=True)
class SolidCard:
    """What does not cure: a ``fibre``, a ``tool``, a ``layer`` of a bag (``kind``). thickness [m] is the usual one, where there is one."""

    name: str
    revision: str
    work: str
    kind: str
    what: str
    temperature: Range
    properties: Properties
    thickness: Range | None = None
    notes: tuple[str, ...] = ()
    file: str = ""

    @property
    def title(self) -> str:
        """Name and revision, as results cite the card."""
        return f"{self.name} revision {self.revision}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What every result that uses this card has to say: which of its values nobody has verified."""
        return _unverified(self.title, _parts(self.properties))


def _parts(properties: Properties) -> dict[str, tuple[Value, ...]]:
    named = {
        "density": properties.density,
        "specific heat": properties.specific_heat,
        "conductivity": properties.conductivity,
        "conductivity along": properties.along,
    }
    return {name: law.values for name, law in named.items() if law}


def _unverified(title: str, parts: dict[str, tuple[Value, ...]]) -> tuple[str, ...]:
    """One sentence per confidence that is no reading of a first-hand source."""
    found = []
    for confidence in UNVERIFIED:
        of = [name for name, values in parts.items() if any(value.confidence == confidence for value in values)]
        if of:
            rest = "rests" if len(of) == 1 else "rest"
            found.append(f"card {title}: {', '.join(sorted(of))} {rest} on values {confidence}, not verified")
    return tuple(found)


def coefficients(law: Law) -> tuple[float, float, float]:
    """A property's law as (c0, cT, cα) of c0 + cT T + cα α, with T in kelvin.

    >>> def value(name, number):
    ...     return Value(name, number, str(number), "", "invented", "our own choice")
    >>> c0, cT, ca = coefficients(Law(STRAIGHT, (value("at 0 degC", 1005.0), value("per K", 2.0))))
    >>> round(c0, 9), cT, ca
    (458.7, 2.0, 0.0)
    """
    numbers = law.numbers
    at_zero, per_K = numbers[0], numbers[1] if len(numbers) > 1 else 0.0
    return at_zero - ZERO_CELSIUS_K * per_K, per_K, numbers[2] if len(numbers) > 2 else 0.0
