"""An invented paper of thirty requirements of every common kind, as plans (no file is read here).

Illustrative, not the controlling specification of anything: all limits are invented for the bench.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from curewright.terms.requirement import (
    Allowance,
    Alternative,
    AtEvent,
    Band,
    Clause,
    Clock,
    Compare,
    Comparison,
    Count,
    Decision,
    Duration,
    Event,
    Exposure,
    Group,
    LeakCheck,
    Limits,
    LostThermocouples,
    Order,
    Phase,
    Rate,
    RateDefinition,
    Recording,
    Requirement,
    SecondRecorder,
    Signal,
    Source,
    Specification,
    Spread,
    StateIs,
)
from curewright.terms.units import Quantity, unit_named

MIN = 60 * 10**9
SOURCE = "illustrative, not the controlling specification"
PART, AIR, BAG = Group("part thermocouple"), Group("air thermocouple"), Group("bag vacuum")
PRESSURE, SEGMENT, VALVE = Group("vessel pressure"), Group("channel", "SEGMENT"), Group("channel", "source valve")
EACH, COLDEST, HOTTEST, SPREAD = (Signal(PART, take) for take in ("each", "coldest", "hottest", "spread"))
HOTTEST_AIR, MEAN_AIR = Signal(AIR, "hottest"), Signal(AIR, "mean")
VESSEL, VACUUM = Signal(PRESSURE, "single"), Signal(BAG, "single")
AIR_LEAD = replace(HOTTEST_AIR, minus=COLDEST)
DIFFERENTIAL = replace(VESSEL, minus=VACUUM)
TC = "part thermocouple"


def _quantity(number: float, unit: str) -> Quantity:
    return Quantity(Decimal(str(number)), unit_named(unit))


def limits(unit: str, low: float | None = None, high: float | None = None, *, opened: bool = False) -> Limits:
    """Limits in a unit; ``opened``: above, below."""
    ends = [None if number is None else _quantity(number, unit) for number in (low, high)]
    return Limits(
        *ends, opened and low is not None, opened and high is not None, written=_written(*ends, opened=opened)
    )


def _written(low: Quantity | None, high: Quantity | None, *, opened: bool) -> str:
    """Limits as a specification file writes them."""
    if low is not None and high is not None:
        return f"{low.number} to {high}"
    if low is not None:
        return f"{'above' if opened else 'at least'} {low}"
    return f"{'below' if opened else 'at most'} {high}"


def reaches(signal: Signal, level: float, unit: str = "degF") -> Compare:
    """The signal is at or above a level."""
    return Compare(signal, limits(unit, low=level))


def falls_below(signal: Signal, level: float, unit: str = "degF") -> Compare:
    """The signal is below a level."""
    return Compare(signal, limits(unit, high=level, opened=True))


def _on(
    name: str,
    for_each: str,
    by: str,
    condition: object,
    *,
    stays: float = 0,
    which: str = "first",
    after: str | None = None,
) -> Event:
    return Event(name, for_each, (Source(by, condition, int(stays * MIN), which),), after)  # type: ignore[arg-type]


EVENTS = (
    _on("heating starts", "vessel", "state", StateIs(SEGMENT, ("heat-up",))),
    _on("cooling starts", "vessel", "state", StateIs(SEGMENT, ("cool-down",))),
    _on("source closed", "bag", "entry", None),
    _on("vacuum on", "bag", "trace", reaches(VACUUM, 22, "inHg of vacuum"), stays=1),
    _on("vent begins", "bag", "state", StateIs(VALVE, ("atmosphere",))),
    _on("pressure on", "vessel", "trace", reaches(VESSEL, 85, "psi gauge"), stays=1),
    _on(
        "pressure released",
        "vessel",
        "trace",
        falls_below(VESSEL, 85, "psi gauge"),
        which="for good",
        after="pressure on",
    ),
    _on("dwell starts", "part", "trace", reaches(COLDEST, 255), stays=1, after="heating starts"),
    _on(
        "dwell ends",
        "part",
        "trace",
        Compare(HOTTEST, limits("degF", low=285, opened=True)),
        stays=1,
        after="dwell starts",
    ),
    _on("soak starts", "part", "trace", reaches(COLDEST, 340), stays=1, after="heating starts"),
    _on("soak ends", "part", "trace", falls_below(COLDEST, 340), which="for good", after="soak starts"),
    _on("hot", TC, "trace", reaches(EACH, 340), stays=1, after="heating starts"),
    _on("cool", "part", "trace", falls_below(HOTTEST, 150), stays=1, after="cooling starts"),
)
HEATING, HEATING_2 = Phase("heating starts", "dwell starts"), Phase("dwell ends", "soak starts")
DWELL, SOAK = Phase("dwell starts", "dwell ends"), Phase("soak starts", "soak ends")
WARM, UNDER_PRESSURE = Phase("heating starts", "pressure released"), Phase("pressure on", "pressure released")
COOLING, WHOLE = Phase("cooling starts", "cool"), Phase("record starts", "record ends")
LEAST_SQUARES = RateDefinition("least squares", 10 * MIN, 8)
SHORT = Allowance(_quantity(5, "degF difference"), 2 * MIN, 6 * MIN)


def _between(low: float, high: float) -> Compare:
    return Compare(EACH, limits("degF", low, high))


def _band(for_each: str, signal: Signal, phase: Phase, held: Limits, unit: str = "degF", **more: object) -> Band:
    return Band("band", for_each, unit_named(unit), None, None, signal, phase, held, **more)  # type: ignore[arg-type]


def _rate(
    for_each: str,
    signal: Signal,
    phase: Phase,
    definition: RateDefinition,
    sense: str,
    held: Limits,
    unit: str = "degF/min",
    **more: object,
) -> Rate:
    return Rate("rate", for_each, unit_named(unit), None, None, signal, phase, definition, sense, held, **more)  # type: ignore[arg-type]


def _duration(for_each: str, *alternatives: tuple[Phase, Compare, str, Limits]) -> Duration:
    made = tuple(Alternative(phase, Clock("coldest", runs, leaves), held) for phase, runs, leaves, held in alternatives)
    return Duration("duration", for_each, unit_named("min"), None, None, made)


def _spread(phase: Phase, most: float) -> Spread:
    unit = unit_named("degF difference")
    return Spread("spread", "part", unit, None, None, SPREAD, phase, limits("degF difference", high=most))


def _order(for_each: str, first: str, then: str, held: Limits | None) -> Order:
    return Order("order", for_each, unit_named("min"), None, None, first, then, held)


def requirements() -> tuple[Requirement, ...]:
    """The thirty requirements, in the order of the cure."""
    vacuum, psi, minute = "inHg of vacuum", "psi gauge", "min"
    return (
        LeakCheck(
            "leak check",
            "bag",
            unit_named(vacuum),
            None,
            None,
            VACUUM,
            "source closed",
            None,
            MIN,
            5 * MIN,
            "first",
            limits(vacuum, high=5),
            limits(vacuum, low=22),
        ),
        AtEvent("at event", "bag", unit_named(psi), None, None, "vent begins", VESSEL, limits(psi, 15, 30)),
        _band("bag", VACUUM, Phase("vacuum on", "vent begins"), limits(vacuum, low=20), vacuum),
        _band("vessel", VESSEL, UNDER_PRESSURE, limits(psi, 84, 100), psi),
        _order("part", "pressure on", "dwell starts", limits(minute, 30, 120)),
        _rate(TC, EACH, HEATING, LEAST_SQUARES, "rising", limits("degF/min", 0.5, 4), while_=_between(100, 240)),
        _rate(TC, EACH, HEATING_2, LEAST_SQUARES, "rising", limits("degF/min", 0.2, 4), while_=_between(288, 335)),
        _rate(
            "vessel",
            VESSEL,
            Phase("record starts", "pressure on"),
            RateDefinition("end points", 5 * MIN, 8),
            "rising",
            limits("psi/min", high=4),
            "psi/min",
        ),
        _duration("part", (DWELL, reaches(COLDEST, 255), "restarts", limits(minute, 60, 150))),
        _band(TC, EACH, DWELL, limits("degF", 250, 290), allowance=SHORT),
        _spread(DWELL, 25),
        _band("part", COLDEST, SOAK, limits("degF", low=338)),
        _band(TC, EACH, WARM, limits("degF", high=360), allowance=SHORT),
        _duration("part", (SOAK, reaches(COLDEST, 340), "pauses", limits(minute, 120, 180))),
        _duration(TC, (Phase("hot", "record ends"), reaches(EACH, 340), "pauses", limits(minute, low=115))),
        _duration(
            "part",
            (SOAK, reaches(COLDEST, 345), "pauses", limits(minute, low=100)),
            (SOAK, reaches(COLDEST, 340), "pauses", limits(minute, low=140)),
        ),
        _spread(SOAK, 20),
        _band("vessel", HOTTEST_AIR, WHOLE, limits("degF", high=390)),
        _band("part", AIR_LEAD, HEATING, limits("degF difference", high=60), "degF difference"),
        _rate(
            "vessel",
            MEAN_AIR,
            Phase("heating starts", "cooling starts"),
            LEAST_SQUARES,
            "rising",
            limits("degF/min", high=8),
        ),
        _rate(TC, EACH, COOLING, LEAST_SQUARES, "falling", limits("degF/min", high=5), while_=_between(150, 330)),
        _rate(
            "part",
            COLDEST,
            WARM,
            RateDefinition("between levels", None, None, _quantity(150, "degF"), _quantity(240, "degF")),
            "rising",
            limits("degF/min", 1, 4),
        ),
        AtEvent(
            "at event", "part", unit_named("degF"), None, None, "pressure released", HOTTEST, limits("degF", high=140)
        ),
        _order("bag", "vent begins", "pressure on", limits(minute, high=30)),
        _band("bag", DIFFERENTIAL, UNDER_PRESSURE, limits("psi difference", low=80), "psi difference"),
        Count("count", "part", unit_named("count"), None, None, "working sensors", PART, SOAK, limits("count", low=5)),
        Recording("recording", "part", unit_named("s"), None, None, PART, WARM, limits("s", high=120)),
        _band("part", HOTTEST, WARM, limits("degF", high=360), while_=reaches(COLDEST, 340)),
        _rate(TC, EACH, WARM, RateDefinition("sample to sample"), "rising", limits("degF/min", high=90)),
        Exposure(
            "exposure",
            "part",
            unit_named("min"),
            None,
            None,
            "time",
            WHOLE,
            reaches(HOTTEST, 250),
            limits(minute, high=420),
        ),
    )


def specification(count: int = 30) -> Specification:
    """A specification with the first ``count`` of the requirements; beyond thirty they come again with other levels."""
    clauses = []
    for i in range(count):
        form = requirements()[i % 30]
        clauses.append(Clause(f"{i + 1}", "as invented for the bench", (_eased(form, i // 30),)))
    return Specification(
        "EX-BENCH", "A", "draft", None, "thirty invented requirements", SOURCE, Comparison("absolute"),
        Decision("simple"), 2 * MIN, 3 * MIN, LostThermocouples(4, True, 4), SecondRecorder(False), (), EVENTS, tuple(clauses),
    )  # fmt: skip


def _eased(form: Requirement, times: int) -> Requirement:
    """The same requirement with its limits moved, so that no result can be taken from the first one."""
    if not times or not hasattr(form, "limits") or form.limits is None:
        return form

    def moved(quantity: Quantity | None, by: str) -> Quantity | None:
        return None if quantity is None else replace(quantity, number=quantity.number + Decimal(by) * times)

    low, high = moved(form.limits.low, "-0.7"), moved(form.limits.high, "0.7")
    return replace(form, limits=replace(form.limits, low=low, high=high))
