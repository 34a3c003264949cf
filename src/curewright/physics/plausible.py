"""Whether a card can be meant as it is written: windows for every constant, and the errors that are known to go round in reprints.

Known: constants per minute taken per second (60 times too fast) and the other way round; heat per kg of composite taken per kg of resin;
an exponent lost from a viscosity (10¹⁰); a dimensionless constant divided by 60; a ceiling that lost its sign or was meant for °C; a
fibre's conductivity along its axis used across it. The windows are our own choice, wide enough for every published set that we hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.card import coefficients
from curewright.physics.glass.laws import glass_transition
from curewright.physics.kinetics.along_a_trace import degree_of_cure
from curewright.physics.kinetics.laws import LAWS
from curewright.physics.viscosity.laws import viscosity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from curewright.physics.card import Card, KnownTime, Law, Properties, SolidCard

ZERO_CELSIUS_K = 273.15
WINDOWS = {  # of constants of kinetic laws, in SI units
    "E": (2e4, 2.5e5),
    "m": (0.0, 3.0),
    "n": (0.0, 25.0),
    "C": (0.0, 200.0),
    "D": (0.0, 200.0),
    "B": (0.2, 1.0),
    "switch": (0.05, 0.9),
    "aC0": (-5.0, 2.0),
    "aCT": (0.0, 0.03),
}
HALF_CURED = (30.0, 3 * 3600.0)  # s, held at the usual temperature of cure
AT_ONCE = 100  # steps of time after which is looked whether it is there
LONGEST = 1e7  # s
CEILING = (0.3, 1.2)  # of the degree of cure at that temperature
HEAT = {"kg of resin": (1.5e5, 7.5e5), "kg of composite": (3e4, 3e5)}  # J/kg
UNCURED_GLASS, CURED_GLASS = (200.0, 320.0), (320.0, 650.0)  # K
FLOWING = (1e-3, 1e5)  # Pa s at 100 °C before the cure
GEL = (0.2, 0.8)
DENSITY = {
    "resin": (900.0, 1500.0),
    "laminate": (1200.0, 2500.0),
    "fibre": (1300.0, 2800.0),
    "tool": (50.0, 9500.0),
    "core": (10.0, 1000.0),
    "layer": (10.0, 9500.0),
}
SPECIFIC_HEAT = (300.0, 2600.0)  # J/kg/K, between 20 and 180 °C
CONDUCTIVITY = {  # W/m/K, across
    "resin": (0.08, 0.6),
    "laminate": (0.1, 5.0),
    "fibre": (0.2, 10.0),
    "tool": (0.02, 450.0),
    "core": (0.02, 10.0),
    "layer": (0.01, 450.0),
}
ALONG = (0.05, 1500.0)


@dataclass(frozen=True)
class Implausible:
    """One thing on a card that cannot be meant: in which field, what was found, what would be expected, and what it may be."""

    field: str
    found: str
    expected: str
    remedy: str = ""


def implausible_in_card(card: Card) -> tuple[Implausible, ...]:
    """Everything on a card of something that cures that cannot be meant as it is written."""
    found = list(_constants(card.degree_of_cure))
    if not found and card.cured_at:
        found += [*_ceiling(card, card.cured_at.number), *_half_cured(card, card.cured_at.number)]
    if not found:
        found += [one for known in card.known_times for one in _known_time(card, known)]
    return (*found, *_glass(card), *_flow(card), *_heat(card), *_properties(card.kind, card.properties))


def implausible_in_solid(card: SolidCard) -> tuple[Implausible, ...]:
    """Everything on a card of something that does not cure that cannot be meant as it is written."""
    return tuple(_properties(card.kind, card.properties))


def _outside(value: float, window: tuple[float, float]) -> bool:
    return not window[0] <= value <= window[1]


def _between(window: tuple[float, float], unit: str = "") -> str:
    return f"{window[0]:g} to {window[1]:g} {unit}".strip()


def _constants(law: Law) -> Iterator[Implausible]:
    for value in law.values:
        window = WINDOWS.get(value.name) or WINDOWS.get(value.name.rstrip("012"))
        if window and _outside(value.number, window):
            remedy = "it is dimensionless: it must not be divided by 60" if value.name == "B" else ""
            yield Implausible(
                "degree of cure", f"{value.name} of {value.written}", _between(window, "in SI units"), remedy
            )


def _ceiling(card: Card, T: float) -> Iterator[Implausible]:
    constants = {value.name: value.number for value in card.degree_of_cure.values}
    if "aCT" in constants:
        ceiling = constants["aC0"] + constants["aCT"] * T
        if _outside(ceiling, CEILING):
            yield Implausible(
                "degree of cure",
                f"a ceiling aC0 + aCT T of {ceiling:.3g} at {T - ZERO_CELSIUS_K:g} °C",
                _between(CEILING),
                "T is in kelvin, and aC0 is negative in the published sets",
            )


def seconds_to(card: Card, T: float, start: float, alpha: float) -> float:
    """How long a card's law takes from one degree of cure to another at a held temperature [K]; inf beyond four months.

    Taken between steps of 0.5 % in time, on the logarithm of time.
    """
    seconds = np.concatenate([[0.0], np.geomspace(1e-3, LONGEST, int(np.log(LONGEST / 1e-3) / 0.005))])
    law, reached = card.degree_of_cure, start
    for first in range(0, seconds.size - 1, AT_ONCE):  # no further than asked: a resin that is done makes a law stiff
        piece = seconds[first : first + AT_ONCE + 1]
        cured = degree_of_cure(
            LAWS[law.name],
            np.round(piece * 1e9).astype(np.int64),
            np.full(piece.size, T),
            reached,
            np.array(law.numbers),
        )
        past = np.flatnonzero(cured >= alpha)
        if past.size:
            return _between_steps(piece, cured, int(past[0]), alpha)
        stands_still = reached > start + 0.01 and cured[-1] - reached < 1e-9
        reached = float(cured[-1])
        if stands_still:
            break
    return float("inf")


def _between_steps(seconds: NDArray[np.float64], cured: NDArray[np.float64], i: int, alpha: float) -> float:
    """When a degree of cure is passed between a step and the one before it, on the logarithm of time."""
    if i == 0 or seconds[i - 1] == 0.0:
        return float(seconds[i])
    share = (alpha - cured[i - 1]) / (cured[i] - cured[i - 1])
    return float(seconds[i - 1] * (seconds[i] / seconds[i - 1]) ** share)


def _sixty(too_fast: bool, too_slow: bool) -> str:
    """What it means that constants would fit if they were 60 times slower, or faster."""
    if too_fast:
        return "about 60 times too fast: were constants per minute written as per second?"
    if too_slow:
        return "about 60 times too slow: were constants per second written as per minute?"
    return "check the constants and their units: per minute or per second, J/mol or kJ/mol"


def _half_cured(card: Card, T: float) -> Iterator[Implausible]:
    start = min(max(0.01, card.start.low), card.start.high)
    seconds = seconds_to(card, T, start, 0.5)
    if _outside(seconds, HALF_CURED):
        yield Implausible(
            "degree of cure",
            f"half cured after {_time(seconds)} at {T - ZERO_CELSIUS_K:g} °C",
            f"{_time(HALF_CURED[0])} to {_time(HALF_CURED[1])}",
            _sixty(not _outside(60 * seconds, HALF_CURED), not _outside(seconds / 60, HALF_CURED)),
        )


def _known_time(card: Card, known: KnownTime) -> Iterator[Implausible]:
    seconds = seconds_to(card, known.T, known.start, known.alpha)
    if not abs(seconds / known.seconds - 1.0) <= known.within:
        yield Implausible(
            "known times",
            f"the constants take {_time(seconds)} to a degree of cure of {known.alpha:g} at {known.T - ZERO_CELSIUS_K:g} °C",
            f"{_time(known.seconds)} within {100 * known.within:g} % ({known.source})",
            _sixty(1 / 90 < seconds / known.seconds < 1 / 40, 40 < seconds / known.seconds < 90),
        )


def _time(seconds: float) -> str:
    if seconds < 120:
        return f"{seconds:.3g} s"
    return f"{seconds / 60:.3g} min" if seconds < 2e4 else f"{seconds / 3600:.3g} h"


def _glass(card: Card) -> Iterator[Implausible]:
    for law in card.glass_transitions:
        ends = glass_transition(law, np.array([0.0, 1.0]))
        for Tg, window, what in zip(ends, (UNCURED_GLASS, CURED_GLASS), ("uncured", "fully cured"), strict=True):
            if _outside(float(Tg), window):
                yield Implausible(
                    "glass transition",
                    f"a glass transition of {Tg:.0f} K when {what}",
                    _between(window, "K"),
                    "degC or K?",
                )


def _flow(card: Card) -> Iterator[Implausible]:
    if card.viscosity is None:
        return
    at = float(viscosity(card.viscosity, np.array([373.15]), np.array([card.start.low]))[0])
    if _outside(at, FLOWING):
        yield Implausible(
            "viscosity",
            f"a viscosity of {at:.3g} Pa s at 100 °C before the cure",
            _between(FLOWING, "Pa s"),
            "has a factor lost its exponent (7.93e-4 for 7.93e-14 goes round)?",
        )


def _heat(card: Card) -> Iterator[Implausible]:
    if card.gel and _outside(card.gel.number, GEL):
        yield Implausible("gel", f"gel at a degree of cure of {card.gel.written}", _between(GEL))
    if card.heat is None:
        return
    window = HEAT[card.heat.per]
    if _outside(card.heat.value.number, window):
        other = next(per for per in HEAT if per != card.heat.per)
        yield Implausible(
            "heat of reaction",
            f"{card.heat.value.number / 1e3:g} kJ per {card.heat.per}",
            f"{_between((window[0] / 1e3, window[1] / 1e3), 'kJ per ' + card.heat.per)}",
            f"is it per {other}?" if not _outside(card.heat.value.number, HEAT[other]) else "J or kJ?",
        )


def _properties(kind: str, properties: Properties) -> Iterator[Implausible]:
    checked: tuple[tuple[str, Law | None, tuple[float, float], str], ...] = (
        ("density", properties.density, DENSITY[kind], "kg/m3"),
        ("specific heat", properties.specific_heat, SPECIFIC_HEAT, "J/kg/K"),
        ("conductivity", properties.conductivity, CONDUCTIVITY[kind], "W/m/K"),
        ("conductivity along", properties.along, ALONG, "W/m/K"),
    )
    for name, law, window, unit in checked:
        for T in (293.15, 453.15) if law else ():
            c0, cT, _ = coefficients(law) if law else (0.0, 0.0, 0.0)
            if _outside(c0 + cT * T, window):
                yield Implausible(
                    name,
                    f"a {name} of {c0 + cT * T:.4g} {unit} at {T - ZERO_CELSIUS_K:g} °C",
                    f"{_between(window, unit)} for a {kind}",
                    "along the fibre it is much higher than across: which one is it?" if name == "conductivity" else "",
                )
                break
