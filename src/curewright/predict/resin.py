"""What the resin of one place goes through: degree of cure, glass transition, viscosity, gel, glass, and the margin against voids.

Either at a depth of a predicted zone, or along a thermocouple's own recorded temperature. Estimates by published laws, never
evidence; every course carries what has to be said with it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.cure import integrate_cure, leaves
from curewright.physics.gel import gel_time, gelled
from curewright.physics.glass.laws import spread
from curewright.physics.solve.places import cure_at, temperature_at
from curewright.physics.viscosity.laws import viscosity
from curewright.physics.voids import resin_pressure, void_margin
from curewright.predict.stands_on import OutsideLaw, gained_outside, is_outside, outside_words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.card import Card
    from curewright.predict.predicted import PredictedZone
    from curewright.predict.surroundings import Surroundings
    from curewright.terms.build_up import PartBuildUp

    Array = NDArray[np.float64]

FULL = 0.98  # of the vessel's highest pressure


@dataclass(frozen=True, eq=False)
class ResinCourse:
    """The resin of one place over time; every array has the shape of t [s].

    temperature [K]; cure [1]; glass_low, glass_high [K]: the lowest and highest glass transition that published laws for this resin give;
    viscosity [Pa s], not a number from gel on; void_margin [Pa], not a number from gel on, or where humidity, share or bag are not
    known; pressed [Pa]: the vessel's pressure less that in the bag, which is what lies on the laminate, not a number where the bag's
    is not known. ``gel``: degree of cure at gel. ``full``: when the vessel first has its full pressure [s]. outside [1]: what of the degree
    of cure was gained colder or hotter than the card's law covers. gauge [Pa]: the vessel's pressure above that outside, which would lie on
    the laminate if the bag were open to the air outside.
    """

    place: str
    card: str
    t: Array
    temperature: Array
    cure: Array
    glass_low: Array
    glass_high: Array
    viscosity: Array
    void_margin: Array
    pressed: Array
    gel: float | None
    full: float
    outside: Array
    notes: tuple[str, ...] = field(default=())
    gauge: Array | None = None

    @property
    def gels_at(self) -> float | None:
        """When it gels [s]; None where it does not, or nobody knows at which degree of cure."""
        return None if self.gel is None else gel_time(self.t, self.cure, self.gel)

    @property
    def least_pressed(self) -> tuple[float, float] | None:
        """The least pressure on the laminate [Pa] between full pressure in the vessel and gel, and when [s]; None where not known.

        That is when the pressure is meant to close the laminate; before, it only rises. None also where it gels before full pressure.
        """
        gels = self.gels_at
        if gels is None or np.isnan(self.pressed).any() or not self.full < gels:
            return None
        inside = self.t[(self.t > self.full) & (self.t < gels)]
        t = np.concatenate([[max(self.full, self.t[0])], inside, [gels]])
        pressed = np.interp(t, self.t, self.pressed)
        least = int(np.argmin(pressed))
        return float(pressed[least]), float(t[least])

    @property
    def pressed_at_gel(self) -> float | None:
        """The pressure on the laminate at gel [Pa]: what the resin is frozen under."""
        gels = self.gels_at
        return None if gels is None else _value(self.t, self.pressed, gels)


@dataclass(frozen=True)
class PressedUntilGel:
    """What pressed on the resin of a place before it gelled; None where it is not known.

    From full pressure in the vessel to gel: ``least`` pressure on the laminate [Pa] and when [s]; ``margin``: least margin against voids
    [Pa] and when [s]. ``at_gel``: pressure on the laminate at gel [Pa]; ``open_bag``: what it would be with the bag open
    to the air outside.
    """

    least: tuple[float, float] | None
    at_gel: float | None
    margin: tuple[float, float] | None
    open_bag: float | None = None


@dataclass(frozen=True)
class ResinState:
    """The resin of one place at one instant: as in :class:`ResinCourse`; None where it is not known or has no meaning any more.

    ``glass``: 'yes', 'no', or 'depends on the law of the glass transition'.
    """

    place: str
    t: float
    temperature: float
    cure: float | None
    glass_low: float | None
    glass_high: float | None
    viscosity: float | None
    gelled: bool | None
    glass: str
    void_margin: float | None
    pressed: float | None
    outside: float | None = None


@dataclass(frozen=True, eq=False)
class _Around:
    """A part in what its vessel did, with the name of its bag."""

    part: PartBuildUp
    seen: Surroundings
    bag: str


def of_zone(zone: PredictedZone, card: Card, layer: str, share: float, seen: Surroundings, bag: str) -> ResinCourse:
    """The resin at a depth of a predicted zone: ``share`` of the layer from its bag side. Raises where the solver refused the zone."""
    solution = zone.solution
    temperature, cure = temperature_at(solution, layer, 1.0 - share), cure_at(solution, layer, 1.0 - share)
    place = f"part {zone.part.serial}, {zone.zone.name}, {layer} at {share:g}"
    notes = (*card.warnings, *_outside(place, card, temperature))
    return _course(place, card, (solution.t, temperature, cure), _Around(zone.part, seen, bag), notes)


def of_trace(
    place: str, card: Card, t: Array, temperature: Array, part: PartBuildUp, seen: Surroundings, bag: str
) -> ResinCourse:
    """The resin where a thermocouple sits, along its own temperature [K] at instants [s].

    Not a number from the first instant on that the card does not cover, or that has no temperature.
    """
    t_ns = np.rint(t * 1e9).astype(np.int64)
    wide = for_estimates(card)
    cure = integrate_cure(wide, t_ns, temperature, part.degree_of_cure)
    out = leaves(wide, t_ns, temperature)
    notes = (*card.warnings, f"{place}: not known from {out.t / 60e9:.0f} min on: {out.why}") if out else card.warnings
    extrapolated = _extrapolated(place, card, temperature, cure)
    return _course(place, card, (t, temperature, cure), _Around(part, seen, bag), (*notes, *extrapolated))


def for_estimates(card: Card) -> Card:
    """The card with the temperatures over which an estimate may use it, which are wider than those for a verdict."""
    return replace(card, temperature=card.predictions or card.temperature)


def _outside(place: str, card: Card, temperature: Array) -> tuple[str, ...]:
    wide = card.predictions or card.temperature
    if temperature.min() < wide.low - 1e-6 or temperature.max() > wide.high + 1e-6:
        low, high = temperature.min() - 273.15, temperature.max() - 273.15
        return (f"{place}: {low:.0f} to {high:.0f} °C goes beyond what card {card.title} is for",)
    return ()


def _extrapolated(place: str, card: Card, temperature: Array, cure: Array) -> tuple[str, ...]:
    """What has to be said where a thermocouple was colder or hotter than the card's law covers (a zone's note says it of a replay)."""
    low, high = card.temperature.low, card.temperature.high
    outside = gained_outside(temperature, cure, (low, high))
    known = np.isfinite(outside) & np.isfinite(temperature)
    if not is_outside(temperature[known], (low, high)).any():
        return ()
    coldest, hottest = float(temperature[known].min()), float(temperature[known].max())
    law = OutsideLaw(card.title, low, high, coldest, hottest, float(outside[known].max()))
    return (f"{place}: {outside_words(law)}",)


def _course(
    place: str, card: Card, found: tuple[Array, Array, Array], around: _Around, notes: tuple[str, ...]
) -> ResinCourse:
    t, temperature, cure = found
    none = np.full(t.size, np.nan)
    covers = card.temperature.low, card.temperature.high
    outside = gained_outside(temperature, cure, covers)
    laws = card.glass_transitions
    glass_low, glass_high = spread(laws, cure) if laws else (none, none)
    gel = card.gel.number if card.gel else None
    solid = gelled(cure, gel) if gel is not None else np.zeros(t.size, dtype=np.bool_)
    flows = viscosity(card.viscosity, temperature, cure) if card.viscosity else none
    margin, why = _margin(t, temperature, solid, gel, around)
    lacking = [
        f"card {card.title} has no {what}"
        for what, there in (
            ("glass transition", laws),
            ("viscosity", card.viscosity),
            ("degree of cure at gel", card.gel),
        )
        if not there
    ]
    return ResinCourse(
        place, card.title, t, temperature, cure, glass_low, glass_high, np.where(solid, np.nan, flows), margin,
        _pressed(t, around), gel, full_pressure(around.seen), outside,
        tuple(dict.fromkeys((*notes, *lacking, *why))),
        around.seen.pressure.at(t) - around.seen.site,
    )  # fmt: skip


def full_pressure(seen: Surroundings) -> float:
    """When the vessel first has its full pressure [s]: at least 98 % of the highest above that outside (our own choice)."""
    gauge = seen.pressure.value - seen.site
    return float(seen.pressure.t[int(np.argmax(gauge >= FULL * gauge.max()))])


def _pressed(t: Array, around: _Around) -> Array:
    """The vessel's pressure less that in the bag [Pa]."""
    inside = around.seen.bags.get(around.bag)
    return np.full(t.size, np.nan) if inside is None else np.asarray(around.seen.pressure.at(t) - inside.at(t))


def _margin(
    t: Array, temperature: Array, solid: NDArray[np.bool_], gel: float | None, around: _Around
) -> tuple[Array, tuple[str, ...]]:
    """The margin against water voids [Pa], and what is missing where there is none."""
    part, seen, bag = around.part, around.seen, around.bag
    missing = [
        what
        for what, there in (
            ("the humidity at lay-up", part.humidity),
            ("the resin's share of the pressure", part.resin_share),
            ("the degree of cure at gel", gel),
            ("the pressure in the bag", seen.bags.get(bag)),
        )
        if there is None
    ]
    if missing or part.humidity is None or part.resin_share is None:
        return np.full(t.size, np.nan), (f"no void margin without {', '.join(missing)}",)
    resin = resin_pressure(seen.pressure.at(t), seen.bags[bag].at(t), part.resin_share)
    return void_margin(temperature, resin, part.humidity, solid), ()


def pressed_until_gel(course: ResinCourse) -> PressedUntilGel:
    """What pressed on the resin of a course before it gelled."""
    inside = (course.t >= course.full) & ~np.isnan(course.void_margin)
    margin = None
    if course.gels_at is not None and inside.any():
        lowest = int(np.argmin(course.void_margin[inside]))
        margin = float(course.void_margin[inside][lowest]), float(course.t[inside][lowest])
    at_gel, gels = course.pressed_at_gel, course.gels_at
    vented = None if at_gel is None or gels is None or course.gauge is None else _value(course.t, course.gauge, gels)
    return PressedUntilGel(course.least_pressed, at_gel, margin, vented)


def state_at(course: ResinCourse, t: float) -> ResinState:
    """The state at an instant [s] within the course, straight between outputs."""
    temperature = float(np.interp(t, course.t, course.temperature))
    cure = _value(course.t, course.cure, t)
    low, high = _value(course.t, course.glass_low, t), _value(course.t, course.glass_high, t)
    gels = course.gels_at
    known = course.gel is not None and cure is not None
    return ResinState(
        course.place, t, temperature, cure, low, high, _value(course.t, course.viscosity, t),
        (gels is not None and gels <= t) if known else None,
        _glass(temperature, low, high),
        _value(course.t, course.void_margin, t), _value(course.t, course.pressed, t), _value(course.t, course.outside, t),
    )  # fmt: skip


def _value(t: Array, v: Array, at: float) -> float | None:
    """Straight between the samples beside an instant; None where one of them is not known, or the instant is outside."""
    if not t[0] <= at <= t[-1]:
        return None
    i = min(int(np.searchsorted(t, at, side="right")) - 1, t.size - 2)
    share = (at - t[i]) / (t[i + 1] - t[i])
    found = v[i] if share == 0.0 else v[i + 1] if share == 1.0 else (1.0 - share) * v[i] + share * v[i + 1]
    return None if np.isnan(found) else float(found)


def _glass(temperature: float, low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "not known"
    if (low >= temperature) == (high >= temperature):
        return "yes" if low >= temperature else "no"
    return "depends on the law of the glass transition"
