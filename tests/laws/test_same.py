"""What changes nothing: units, the order of channels, the time zone, when the run began, a line of the sensor map in two.

Outcomes are equal, and margins to the last printed decimal. Rounding before comparing (ASTM E29) is left out of the change of units: it is
defined in the specification's own unit.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from datetime import timedelta, timezone
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, note
from hypothesis import strategies as st

from curewright.terms.load import ALWAYS
from curewright.terms.requirement import Band, Group, Phase, Signal
from curewright.terms.units import UNITS, Quantity, Unit
from tests.laws.nouns import DEGREES, TICK, case, degrees
from tests.laws.paper import KINDS, Event, Log, Note, Row, logs, papers
from tests.unit.judge.build import channel, quantity, run_of, specification, within
from tests.unit.judge.build import verdict as judged

ALL = [*KINDS, "rate"]


def outcomes(verdicts):
    return {thing: (verdict.outcome, verdict.margin and verdict.margin.value) for thing, verdict in verdicts.items()}


# --------------------------------------------------------------------------------------------------------------- units
def celsius(number: Decimal, unit: str) -> Decimal:
    return {"degC": number, "K": number + Decimal("273.15"), "degF": number * 9 / 5 + 32}[unit]


def apart(number: Decimal, unit: str) -> Decimal:
    return number * 9 / 5 if unit == "degF" else number


MBAR_IN_INHG = Fraction(100) / (Fraction(135951, 10) * Fraction(980665, 10**5) * Fraction(254, 10**4))  # ISO 80000-4


def vacuum(number: Decimal, unit: str) -> Decimal:
    """kPa in another unit, to a millionth of a millipascal."""
    factor = {"kPa": Fraction(1), "mbar": Fraction(10), "inHg": MBAR_IN_INHG * 10}[unit]
    exact = Fraction(number) * factor
    return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(Decimal("1e-12"))


def told_in(thing, degree: str, head: str):
    """A noun with every temperature, difference, rate and vacuum in it written in other units."""
    match thing:
        case Quantity(number, Unit(name="degC", quantity="temperature")):
            return Quantity(celsius(number, degree), UNITS[degree])
        case Quantity(number, Unit(quantity="temperature difference")):
            return Quantity(apart(number, degree), UNITS[f"{degree} difference"])
        case Quantity(number, Unit(quantity="temperature rate")):
            return Quantity(apart(number, degree), UNITS[f"{degree}/min"])
        case Quantity(number, Unit(quantity="pressure")):
            return Quantity(vacuum(number, head), UNITS[f"{head} of vacuum"])
        case Quantity(number, Unit(quantity="pressure difference")):
            return Quantity(vacuum(number, head), UNITS[f"{head} difference"])
        case Unit(quantity="temperature"):
            return UNITS[degree]
        case Unit(quantity="temperature difference"):
            return UNITS[f"{degree} difference"]
        case Unit(quantity="temperature rate"):
            return UNITS[f"{degree}/min"]
        case Unit(quantity="pressure"):
            return UNITS[f"{head} of vacuum"]
        case tuple():
            return tuple(told_in(each, degree, head) for each in thing)
    if is_dataclass(thing) and not isinstance(thing, Unit | Quantity):
        return replace(thing, **{each.name: told_in(getattr(thing, each.name), degree, head) for each in fields(thing)})
    return thing


def recorded_in(made, log: Log, degree: str, head: str):
    """The same channel as a recorder in other units would have printed it."""
    numbers = [row.notch or 0 for row in log.channels[made.name]]
    if made.name.startswith("V"):
        return made
    if made.name.startswith("B"):
        unit = UNITS[f"{head} of vacuum"]
        v = -unit.to_grains([float(vacuum(80 + Decimal("0.18") * n, head)) for n in numbers])
    else:
        unit = UNITS[degree]
        v = unit.to_grains([float(celsius(degrees(n), degree)) for n in numbers])
    return replace(made, unit=unit, v=v, raw=v)


def scale(verdict) -> tuple[Fraction, Fraction]:
    """What one of the margin's unit is in K, kPa or min, and a printed grain of it."""
    unit = verdict.margin.unit
    if unit.startswith(("degF", "degC", "K")):
        return Fraction(5, 9) if unit.startswith("degF") else Fraction(1), Fraction(
            2, 10**5
        ) if "/" not in unit else Fraction(2, 1000)
    factors = {"kPa": Fraction(1), "mbar": Fraction(1, 10), "inHg": 1 / (MBAR_IN_INHG * 10), "min": Fraction(1)}
    return factors[unit.split()[0]], Fraction(2, 10**5)


def equal_margins(one, other) -> bool:
    if one.margin is None or other.margin is None:
        return one.margin is other.margin
    if "not known" in (one.margin.value, other.margin.value):
        return one.margin.value == other.margin.value
    (a, grain), (b, _) = scale(one), scale(other)
    return abs(Fraction(one.margin.value) * a - Fraction(other.margin.value) * b) <= grain


@pytest.mark.parametrize("kind", ALL)
@given(data=st.data())
def test_units(kind, data):
    paper = replace(data.draw(papers((kind,))), rounded=False)
    log = data.draw(logs())
    degree, head = data.draw(st.sampled_from(("degF", "K"))), data.draw(st.sampled_from(("inHg", "mbar")))
    there, back = data.draw(st.sampled_from(((True, True), (True, False), (False, True))))
    plain = case(paper, log)
    told = plain
    if there:
        told = told.but(specification=told_in(plain.specification, degree, head))
    if back:
        channels = {name: recorded_in(made, log, degree, head) for name, made in plain.run.channels.items()}
        told = told.but(run=replace(plain.run, channels=channels))
    note(f"{paper}\n{log}\n{degree} {head}: specification {there}, recorder {back}")
    one, other = plain.verdicts(), told.verdicts()
    assert one.keys() == other.keys()
    for thing, verdict in one.items():
        assert verdict.outcome is other[thing].outcome, f"{verdict}\n\n{other[thing]}"
        assert equal_margins(verdict, other[thing]), f"{verdict.margin}\n\n{other[thing].margin}"
        assert bounds(verdict) == bounds(other[thing])


def bounds(verdict):
    found = verdict.phase
    return found and (found.earliest_start, found.latest_start, found.earliest_end, found.latest_end)


PSI_IN_KPA = Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2 / 1000  # NIST SP 811
GAUGE = {"psi": 1 / PSI_IN_KPA, "bar": Fraction(1, 100), "kPa": Fraction(1)}


@given(
    tenths=st.lists(st.integers(840, 1010), min_size=3, max_size=12),
    low=st.integers(840, 900),
    wide=st.integers(0, 150),
    unit=st.sampled_from(("bar", "kPa")),
)
def test_gauge_pressure_in_psi_bar_and_kpa(tenths, low, wide, unit):
    def written(tenth: int, name: str) -> str:
        exact = Fraction(tenth, 10) * GAUGE[name] / GAUGE["psi"]
        return str((Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(Decimal("1e-10")))

    found = []
    for name in ("psi", unit):
        points = [(i, float(written(tenth, name))) for i, tenth in enumerate(tenths)]
        limits = within(f"{written(low, name)} {name} gauge", f"{written(low + wide, name)} {name} gauge")
        pressure = Signal(Group("vessel pressure"), "single")
        head = ("band", "vessel", UNITS[f"{name} gauge"], None, None)
        form = Band(*head, pressure, Phase("record starts", "record ends"), limits)
        found.append(judged(specification(form), run_of(channel("P1", points, f"{name} gauge"))))
    one, other = found
    assert one.outcome is other.outcome
    assert one.outcome.value == ("met" if all(low <= tenth <= low + wide for tenth in tenths) else "not met")
    difference = Fraction(one.margin.value) * PSI_IN_KPA - Fraction(other.margin.value) / GAUGE[unit]
    assert abs(difference) <= Fraction(2, 10**5)
    assert one.margin.at == other.margin.at


# ------------------------------------------------------------------------------------------------ order, zone, instants
@given(data=st.data())
def test_order_of_channels_lines_and_entries(data):
    paper, log = data.draw(papers(ALL)), data.draw(logs())
    plain = case(paper, log)
    names = data.draw(st.permutations(sorted(plain.run.channels)))
    channels = {name: plain.run.channels[name] for name in names}
    lines = tuple(data.draw(st.permutations(plain.load.map)))
    run = replace(plain.run, channels=channels, entries=tuple(reversed(plain.run.entries)))
    note(f"{paper}\n{log}\n{names}")
    assert plain.but(run=run, load=replace(plain.load, map=lines)).verdicts() == plain.verdicts()


@given(data=st.data())
def test_time_zone(data):
    plain = case(data.draw(papers(ALL)), data.draw(logs()))
    zone = timezone(timedelta(hours=data.draw(st.integers(-11, 13)), minutes=data.draw(st.sampled_from((0, 30)))))
    moved = replace(plain.run, start=plain.run.start.astimezone(zone))
    assert moved.start == plain.run.start
    assert plain.but(run=moved).verdicts() == plain.verdicts()


def from_loading(paper):
    """The paper with everything reckoned from a hand entry instead of from the start of the record."""
    loaded = Event("loaded", None)
    happened = tuple(each if each.after else replace(each, after="loaded") for each in paper.events)
    return replace(paper, events=(loaded, *happened))


def later(log: Log, ticks: int) -> Log:
    channels = {name: tuple(Row(row.tick + ticks, row.notch) for row in rows) for name, rows in log.channels.items()}
    notes = tuple(
        Note(each.name, each.tick + ticks, None if each.until is None else each.until + ticks, each.plus_minus)
        for each in log.notes
    )
    return replace(log, channels=channels, notes=notes, end=log.end + ticks)


@given(data=st.data())
def test_the_same_run_later_on_the_recorder(data):
    paper, log = from_loading(data.draw(papers(ALL))), data.draw(logs())
    log = replace(log, notes=(*log.notes, Note("loaded", 0, None, 0)))
    ticks = data.draw(st.integers(1, 10_000))
    note(f"{paper}\n{log}\n{ticks} ticks later")
    one, other = (loaded_first(case(paper, each)).verdicts() for each in (log, later(log, ticks)))
    assert outcomes(one) == outcomes(other)
    for thing, verdict in one.items():
        moved = (
            None
            if bounds(verdict) is None
            else tuple(each if each is None else each + ticks * TICK for each in bounds(verdict))
        )
        assert moved == bounds(other[thing])


def loaded_first(made):
    """Phases that begin with the record begin with the loading."""
    (clause,) = made.specification.clauses
    clauses = (replace(clause, forms=tuple(_from(form) for form in clause.forms)),)
    happened = tuple(
        replace(each, after="loaded") if each.name == "source closed" else each for each in made.specification.events
    )
    spec = replace(made.specification, clauses=clauses, events=happened)
    return made.but(specification=spec)


def _from(noun):
    if isinstance(noun, Phase):
        return Phase("loaded" if noun.start == "record starts" else noun.start, noun.end)
    if isinstance(noun, tuple):
        return tuple(_from(each) for each in noun)
    if is_dataclass(noun) and not isinstance(noun, Unit | Quantity):
        return replace(noun, **{each.name: _from(getattr(noun, each.name)) for each in fields(noun)})
    return noun


@given(data=st.data())
def test_a_line_of_the_sensor_map_in_two_where_nothing_is_known_anyway(data):
    paper, log = data.draw(papers(ALL)), data.draw(logs())
    places = [(name, tick) for name, rows in log.channels.items() for tick in breaks(rows, log.gap)]
    assume(places)
    name, tick = data.draw(st.sampled_from(places))
    note(f"{paper}\n{log}\n{name} in two at {tick}")
    plain = case(paper, log)
    (line,) = (line for line in plain.load.map if line.channel == name)
    halves = (replace(line, start=-ALWAYS, end=tick * TICK), replace(line, start=tick * TICK, end=ALWAYS))
    others = tuple(each for each in plain.load.map if each is not line)
    assert outcomes(plain.but(load=replace(plain.load, map=(*others, *halves))).verdicts()) == outcomes(
        plain.verdicts()
    )


def breaks(rows: tuple[Row, ...], gap: int) -> list[int]:
    """Ticks strictly between good samples that are not joined."""
    good = [i for i, row in enumerate(rows) if row.notch is not None]
    found = []
    for i, j in pairwise(good):
        if rows[j].tick - rows[i].tick > gap or j - i > 1:
            found += range(rows[i].tick + 1, rows[j].tick)
    return found


def test_the_law_of_units_compares_what_it_should():
    """357.62 degF is 180.9 degC, five notches up."""
    five_up = told_in(Quantity(degrees(5), DEGREES), "degF", "inHg")
    assert (five_up.number, five_up.grains) == (Decimal("357.62"), quantity("180.9 degC").grains)
