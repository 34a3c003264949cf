"""Hypothesis strategies for whole plans: every kind of requirement, every source of an event, every way to write a limit."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import strategies as st

from curewright.terms import requirement as rq
from curewright.terms.units import UNITS, Quantity
from curewright.text.quantities import decimal_text
from curewright.understand.because import PAPER

MILLISECOND = 10**6
HARD_WORDS = [
    "coldest",
    "to",
    "from the top",
    "is",
    "must be",
    "at most 5",
    'the "big" one',
    "a, b",
    "(x)",
    "1.10",
    "NO",
    "12:30",
]
HARD_WORDS += [
    "# no",
    "it: is",
    "back\\slash",
    "Ärger − ± °",
    "- item",
    "yes",
    "~",
    "TC 7",
    "falls below",
    "\u00a7 4",
    "𝛼",
    "a;b",
    "Note: x",
]
prose = st.one_of(
    st.sampled_from(HARD_WORDS),
    st.text(st.characters(exclude_categories=["C", "Z"]) | st.just(" "), min_size=1, max_size=20),
).map(lambda text: " ".join(text.split())).filter(bool)  # fmt: skip
names = prose
decimals = st.decimals(-500, 500, places=2) | st.integers(-500, 500).map(Decimal)
steps = st.integers(0, 10**7).map(lambda count: count * MILLISECOND) | st.sampled_from([0, 60 * 10**9, 5400 * 10**9])
lengths = steps.filter(bool)
because = st.none() | st.just(PAPER) | st.builds(rq.Because, prose, prose)
authority = because.filter(bool)

TEMPERATURES = [UNITS[name] for name in ("degF", "degC", "K")]
PRESSURES = [UNITS[name] for name in ("psi gauge", "bar absolute", "kPa gauge")]
VACUA = [UNITS[name] for name in ("inHg of vacuum", "mbar of vacuum")]
TIMES = [UNITS[name] for name in ("min", "h", "s")]
KINDS_OF_UNIT = {
    "temperature": TEMPERATURES,
    "temperature difference": [UNITS["degF difference"], UNITS["K difference"]],
    "pressure": PRESSURES,
    "pressure difference": [UNITS["psi difference"], UNITS["bar difference"]],
    "vacuum": VACUA,
    "time": TIMES,
    "temperature rate": [UNITS["degF/min"], UNITS["K/h"]],
    "pressure rate": [UNITS["psi/min"], UNITS["kPa/s"]],
    "fraction": [UNITS["fraction"], UNITS["percent"]],
    "viscosity": [UNITS["Pa s"]],
    "count": [UNITS["count"]],
}


def bare_unit(unit):
    """A unit behind a number; written out here once more, so that a change of the program's own text shows."""
    return "" if unit.name == "count" else " " + unit.name.removesuffix(" difference")


@st.composite
def limits(draw, quantity, *, attributes=False):
    """Limits with the text that the paper would have."""
    unit = draw(st.sampled_from(KINDS_OF_UNIT[quantity]))
    low, high = sorted((draw(decimals), draw(decimals)))
    shape = draw(st.sampled_from(["at least", "at most", "above", "below", "to", "±", "+/-", "both"]))
    if shape in ("at least", "above"):
        level = Quantity(low, unit)
        return rq.Limits(low=level, low_open=shape == "above", written=f"{shape} {decimal_text(low)}{bare_unit(unit)}")
    if shape in ("at most", "below"):
        level = Quantity(high, unit)
        return rq.Limits(
            high=level, high_open=shape == "below", written=f"{shape} {decimal_text(high)}{bare_unit(unit)}"
        )
    if shape == "to":
        text = f"{decimal_text(low)} to {decimal_text(high)}{bare_unit(unit)}"
        return rq.Limits(Quantity(low, unit), Quantity(high, unit), written=text)
    plus, minus = abs(draw(decimals)), abs(draw(decimals))
    if shape == "±":
        text = f"{decimal_text(low)} ± {decimal_text(plus)}{bare_unit(unit)}"
        return rq.Limits(Quantity(low - plus, unit), Quantity(low + plus, unit), written=text)
    if shape == "+/-":
        text = f"{decimal_text(low)} +{decimal_text(plus)}/-{decimal_text(minus)}{bare_unit(unit)}"
        return rq.Limits(Quantity(low - minus, unit), Quantity(low + plus, unit), written=text)
    text = f"above {decimal_text(low)}{bare_unit(unit)} and at most {decimal_text(high)}{bare_unit(unit)}"
    return rq.Limits(Quantity(low, unit), Quantity(high, unit), low_open=True, written=text)


@st.composite
def level(draw, quantity):
    unit = draw(st.sampled_from(KINDS_OF_UNIT[quantity]))
    return Quantity(draw(decimals), unit)


# -------------------------------------------------------------------------------------------------------------------- signals
THERMOCOUPLES = ("part thermocouple", "tool thermocouple", "air thermocouple")
OWNER = {"part thermocouple": "part", "tool thermocouple": "part", "bag vacuum": "bag", "source vacuum": "bag"}
LINE = {
    "vessel": ("vessel",),
    "bag": ("bag", "vessel"),
    "part": ("part", "bag", "vessel"),
    "part thermocouple": ("part thermocouple", "part", "bag", "vessel"),
    "tool thermocouple": ("tool thermocouple", "part", "bag", "vessel"),
    "air thermocouple": ("air thermocouple", "vessel"),
}


@st.composite
def temperature_signal(draw, thing, event_names=()):
    role = draw(st.sampled_from([*THERMOCOUPLES, "channel"]))
    raw = draw(st.booleans())
    if role == "channel":
        signal = rq.Signal(rq.Group("channel", name=draw(names)), "single", raw=raw)
    else:
        group = rq.Group(role, draw(st.none() | names), draw(st.none() | names))
        takes = ["coldest", "hottest", "mean"]
        if thing == role:
            takes.append("each")
        elif (group.name or group.place) and OWNER.get(role, "vessel") in LINE[thing]:
            takes.append("single")
        signal = rq.Signal(group, draw(st.sampled_from(takes)), raw=raw)
    return signal


@st.composite
def pressure_signal(draw, thing, *, vacuum=False):
    roles = ["channel"] + [role for role in ("bag vacuum", "source vacuum") if OWNER[role] in LINE[thing]]
    roles += [] if vacuum else ["vessel pressure"]
    role = draw(st.sampled_from(roles))
    name = draw(names) if role == "channel" else None
    return rq.Signal(rq.Group(role, name), "single", raw=draw(st.booleans()))


@st.composite
def signal_of(draw, thing):
    """A signal and the quantity that its limits have."""
    kind = draw(
        st.sampled_from(
            ["temperature", "temperature difference", "spread", "pressure", "pressure difference", "vacuum"]
        )
    )
    if kind == "temperature":
        return draw(temperature_signal(thing)), kind
    if kind == "spread":
        return draw(spread_signal()), "temperature difference"
    if kind == "pressure":
        return draw(pressure_signal(thing)), kind
    if kind == "vacuum":
        return draw(pressure_signal(thing, vacuum=True)), kind
    part = temperature_signal(thing) if kind.startswith("temperature") else pressure_signal(thing)
    first, second = draw(part), draw(part)
    return rq.Signal(first.group, first.take, second, first.raw), kind


@st.composite
def spread_signal(draw):
    group = rq.Group(draw(st.sampled_from(THERMOCOUPLES)), draw(st.none() | names), draw(st.none() | names))
    return rq.Signal(group, "spread", raw=draw(st.booleans()))


@st.composite
def computed_signal(draw, thing, events):
    base = draw(temperature_signal(thing))
    quantity = draw(st.sampled_from(["degree of cure", "glass transition", "viscosity"]))
    starts = draw(st.sampled_from([name for name, owner in events.items() if owner in LINE[thing]]))
    initial = draw(st.decimals(0, Decimal("0.99"), places=2))
    card = rq.Computation(quantity, draw(names), draw(names), starts, initial, draw(st.booleans()))
    kind = {"degree of cure": "fraction", "glass transition": "temperature", "viscosity": "viscosity"}[quantity]
    return rq.Signal(base.group, base.take, raw=base.raw, computed=card), kind


# ----------------------------------------------------------------------------------------------------------------- conditions
@st.composite
def compare(draw, thing):
    signal, quantity = draw(signal_of(thing))
    return rq.Compare(signal, draw(limits(quantity)))


state_is = st.builds(
    rq.StateIs, st.builds(rq.Group, st.just("channel"), names), st.lists(names, min_size=1, max_size=3).map(tuple)
)


def conditions(thing):
    leaf = compare(thing) | state_is
    return st.recursive(
        leaf,
        lambda inner: st.builds(
            lambda kind, parts: kind(tuple(parts)),
            st.sampled_from([rq.AllOf, rq.AnyOf]),
            st.lists(inner, min_size=2, max_size=3),
        ),
        max_leaves=4,
    )


def comparisons(condition):
    if isinstance(condition, rq.Compare):
        return [condition]
    return (
        []
        if isinstance(condition, rq.StateIs)
        else [each for part in condition.conditions for each in comparisons(part)]
    )


# --------------------------------------------------------------------------------------------------------------------- events
@st.composite
def source(draw, thing, *, inferred):
    if not inferred and draw(st.booleans()):
        return rq.Source("entry", None, 0, "first", draw(st.none() | names))
    condition = draw(conditions(thing))
    found = comparisons(condition)
    which = "first" if any(each.limits.low for each in found) else draw(st.sampled_from(["first", "for good"]))
    by = "inferred" if inferred else "trace" if found else "state"
    return rq.Source(by, condition, draw(steps), which)


@st.composite
def event(draw, name, earlier):
    """An event that can only wait for events that were made before it."""
    thing = draw(st.sampled_from(rq.THINGS))
    usable = [other for other, owner in earlier.items() if owner in LINE[thing]]
    if usable and draw(st.integers(0, 4)) == 0:
        return rq.Event(name, thing, (), draw(st.sampled_from(usable)), draw(steps))
    plain = draw(st.lists(source(thing, inferred=False), max_size=2))
    inferred = draw(st.lists(source(thing, inferred=True), min_size=0 if plain else 1, max_size=2))
    sources = tuple(plain + inferred)
    needs = any(each.stays or each.by == "inferred" for each in sources)
    after = draw(st.none() | st.sampled_from(usable)) if usable else None
    return rq.Event(name, thing, sources, after, draw(steps), draw(authority if needs else because))


@st.composite
def all_events(draw):
    made = []
    owners = {}
    for name in draw(
        st.lists(
            names.filter(lambda name: name not in ("record starts", "record ends")), min_size=2, max_size=4, unique=True
        )
    ):
        one = draw(event(name, owners))
        made.append(one)
        owners[name] = one.for_each
    return tuple(made)


def may_end(event_):
    """Whether the language takes an event as the end of a phase: an exit is for good, or the first one after something."""
    exits = [
        each for each in event_.sources
        if each.condition is not None and any(c.limits.low_open or c.limits.high_open for c in comparisons(each.condition))
    ]  # fmt: skip
    return event_.after is not None or all(each.which == "for good" for each in exits)


# ---------------------------------------------------------------------------------------------------------------------- forms
@st.composite
def phase(draw, events, thing):
    usable = [each for each in events if each.for_each in LINE[thing]]
    start = draw(st.sampled_from([rq.RECORD_STARTS, *(each.name for each in usable)]))
    end = draw(
        st.sampled_from([rq.RECORD_ENDS, *(each.name for each in usable if may_end(each) and each.name != start)])
    )
    return rq.Phase(start, end)


@st.composite
def allowance(draw, quantity):
    kind = (
        quantity
        if "difference" in quantity or quantity not in ("temperature", "pressure", "vacuum")
        else quantity + " difference"
    )
    kind = "pressure difference" if kind == "vacuum difference" else kind
    depth = draw(st.none() | level(kind))
    return rq.Allowance(depth, draw(st.none() | steps), draw(st.none() | steps))


def unit_of(found):
    return (found.low or found.high).unit


@st.composite
def band(draw, name, events, kind=rq.Band):
    thing = draw(st.sampled_from(rq.THINGS))
    if kind is rq.Spread:
        signal, quantity = draw(spread_signal()), "temperature difference"
    else:
        signal, quantity = draw(signal_of(thing))
    found = draw(limits(quantity))
    while_ = draw(st.none() | conditions(thing) | st.builds(rq.Compare, st.just(signal), limits(quantity)))
    outside = draw(st.none() | allowance(quantity))
    why = draw(authority if while_ or outside else because)
    return kind(name, thing, unit_of(found), why, None, signal, draw(phase(events, thing)), found, outside, while_)


@st.composite
def rate(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    temperature = draw(st.booleans())
    signal = draw(temperature_signal(thing) if temperature else pressure_signal(thing))
    quantity = "temperature" if temperature else "pressure"
    found = draw(limits(f"{quantity} rate"))
    kind = draw(st.sampled_from(rq.RATE_DEFINITIONS))
    if kind == "between levels":
        definition = rq.RateDefinition(kind, first_level=draw(level(quantity)), second_level=draw(level(quantity)))
    elif kind in ("least squares", "end points"):
        definition = rq.RateDefinition(kind, draw(lengths), draw(st.integers(2, 99)))
    else:
        definition = rq.RateDefinition(kind)
    while_ = draw(st.none() | conditions(thing) | st.builds(rq.Compare, st.just(signal), limits(quantity)))
    sense = draw(st.sampled_from(["rising", "falling"]))
    where = draw(phase(events, thing))
    return rq.Rate(name, thing, unit_of(found), draw(authority), None, signal, where, definition, sense, found, while_)


@st.composite
def way(draw, events, thing):
    from curewright.understand.signals import signal_text

    signal, quantity = draw(signal_of(thing))
    found = draw(limits(quantity))
    runs = draw(
        st.none()
        | st.just(rq.Compare(signal, found))
        | st.builds(lambda other: rq.AllOf((rq.Compare(signal, found), other)), state_is)
    )
    leaves = draw(st.sampled_from(["runs on"] if runs is None else ["restarts", "pauses", "runs on"]))
    whose = signal_text(signal, unit_of(found))
    clock = rq.Clock(whose, runs, leaves, draw(st.none() | allowance(quantity)))
    return rq.Alternative(draw(phase(events, thing)), clock, draw(limits("time")))


@st.composite
def duration(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    ways = tuple(draw(st.lists(way(events, thing), min_size=1, max_size=3)))
    why = draw(authority if any(each.clock.allowance for each in ways) else because)
    return rq.Duration(name, thing, unit_of(ways[0].limits), why, None, ways)


@st.composite
def event_for(draw, events, thing):
    usable = [each.name for each in events if each.for_each in LINE[thing]]
    return draw(st.sampled_from([rq.RECORD_STARTS, rq.RECORD_ENDS, *usable]))


@st.composite
def at_event(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    signal, quantity = draw(signal_of(thing))
    found = draw(limits(quantity))
    return rq.AtEvent(name, thing, unit_of(found), draw(because), None, draw(event_for(events, thing)), signal, found)


@st.composite
def order(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    found = draw(st.none() | limits("time"))
    unit = unit_of(found) if found else UNITS["min"]
    return rq.Order(
        name, thing, unit, draw(because), None, draw(event_for(events, thing)), draw(event_for(events, thing)), found
    )


@st.composite
def leak_check(draw, name, events):
    thing = draw(st.sampled_from(["bag", "part"]))
    rule = draw(st.sampled_from(["first", "worst", "whole"]))
    settling = draw(steps)
    loses = draw(limits("pressure difference"))
    inside = draw(st.none() | limits("pressure"))
    if inside is not None and any(each.unit.reference != "absolute" for each in (inside.low, inside.high) if each):
        inside = None
    return rq.LeakCheck(
        name, thing, unit_of(loses), draw(authority if settling or rule == "first" else because), None,
        rq.Signal(rq.Group("bag vacuum"), "single"), draw(event_for(events, thing)), draw(st.none() | event_for(events, thing)),
        settling, draw(lengths), rule, loses, draw(st.none() | limits("vacuum")), inside,
    )  # fmt: skip


@st.composite
def group(draw):
    role = draw(st.sampled_from(rq.GROUPS))
    if role == "channel":
        return rq.Group(role, name=draw(names))
    return rq.Group(role, draw(st.none() | names), draw(st.none() | names))


@st.composite
def count(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    of = draw(st.sampled_from(["working sensors", "sensors on the map", "vacuum ports"]))
    whose = rq.Group("bag vacuum") if of == "vacuum ports" else draw(group())
    where = draw(phase(events, thing)) if of == "working sensors" else None
    return rq.Count(name, thing, UNITS["count"], draw(because), None, of, whose, where, draw(limits("count")))


@st.composite
def recording(draw, name, events):
    thing = draw(st.sampled_from(rq.THINGS))
    found = draw(limits("time"))
    return rq.Recording(
        name, thing, unit_of(found), draw(because), None, draw(group()), draw(phase(events, thing)), found
    )


@st.composite
def exposure(draw, name, events):
    thing = draw(st.sampled_from(["part", "part thermocouple", "tool thermocouple"]))
    of = draw(st.sampled_from(["cures", "time"]))
    found = draw(limits("count" if of == "cures" else "time"))
    runs = draw(conditions(thing)) if of == "time" else None
    return rq.Exposure(name, thing, unit_of(found), draw(because), None, of, draw(phase(events, thing)), runs, found)


@st.composite
def computed(draw, name, events):
    thing = draw(
        st.sampled_from(
            [thing for thing in rq.THINGS if any(each.for_each in LINE[thing] for each in events)] or ["vessel"]
        )
    )
    owners = {each.name: each.for_each for each in events}
    if not any(owner in LINE[thing] for owner in owners.values()):
        owners = {}
    if not owners:
        return draw(band(name.replace("computed", "band"), events))
    signal, quantity = draw(computed_signal(thing, owners))
    found = draw(limits(quantity))
    where = draw(st.none() | phase(events, thing))
    at = None if where else draw(event_for(events, thing))
    return rq.Computed(name, thing, unit_of(found), draw(because), None, signal, at, where, found)


FORMS = {
    "band": band, "spread": lambda name, events: band(name, events, rq.Spread), "rate": rate, "duration": duration,
    "at event": at_event, "order": order, "leak check": leak_check, "count": count, "recording": recording,
    "exposure": exposure, "computed": computed,
}  # fmt: skip


@st.composite
def clause(draw, number, events):
    kinds = draw(st.lists(st.sampled_from(sorted(FORMS)), max_size=2, unique=True))
    forms = tuple(draw(FORMS[kind](kind + draw(st.sampled_from(["", " 2", " upper limit"])), events)) for kind in kinds)
    if len({form.name for form in forms}) < len(forms):
        forms = forms[:1]
    person = draw(st.none() | prose) if forms else draw(prose)
    attributes = st.lists(names, max_size=2, unique=True)
    conditions_ = tuple(
        rq.AttributeCondition(name, draw(limits("temperature"))) if draw(st.booleans())
        else rq.AttributeCondition(name, equals=tuple(draw(st.lists(names, min_size=1, max_size=2))))
        for name in draw(attributes)
    )  # fmt: skip
    return rq.Clause(number, draw(prose), forms, person, draw(st.none() | prose), conditions_, draw(st.none() | prose))


# ------------------------------------------------------------------------------------------------------------ the whole plan
@st.composite
def lost(draw):
    per_part = draw(st.none() | st.integers(1, 9))
    if not draw(st.booleans()):
        return rq.LostThermocouples(per_part, False, None)
    return rq.LostThermocouples(per_part, True, draw(st.integers(1, 9)), tuple(draw(st.lists(prose, max_size=2))))


@st.composite
def decision(draw):
    if draw(st.booleans()):
        return rq.Decision("simple")
    multiplier = draw(st.decimals("0.1", 3, places=1))
    widths = draw(
        st.lists(
            st.tuples(st.decimals("0.1", 9, places=1), st.sampled_from(["degF", "psi", "min"])), min_size=1, max_size=2
        )
    )
    units = {"degF": UNITS["degF difference"], "psi": UNITS["psi difference"], "min": UNITS["min"]}
    written = f"{multiplier} x U, U = " + ", ".join(f"{number} {name}" for number, name in widths)
    return rq.Decision("guard", tuple(Quantity(multiplier * number, units[name]) for number, name in widths), written)


@st.composite
def specifications(draw):
    events = draw(all_events())
    numbers = draw(st.lists(names, min_size=1, max_size=3, unique=True))
    comparison = draw(st.just(rq.Comparison("absolute")) | st.just(rq.Comparison("rounding", EVERY_PLACE)))
    second = draw(
        st.just(rq.SecondRecorder(False))
        | st.builds(rq.SecondRecorder, st.just(True), st.none() | steps, st.none() | steps, prose)
    )
    status = draw(st.sampled_from(["draft", "approved"]))
    units = draw(
        st.sampled_from(
            [(), (("temperature", UNITS["degF"]), ("vacuum", UNITS["inHg of vacuum"]), ("time", UNITS["min"]))]
        )
    )
    return rq.Specification(
        draw(prose), draw(prose), status, draw(prose) if status == "approved" else None, draw(prose), draw(prose), comparison,
        draw(decision()), draw(steps), draw(steps), draw(lost()), second, units, events,
        tuple(draw(clause(number, events)) for number in numbers),
    )  # fmt: skip


EVERY_PLACE = tuple(
    Quantity(Decimal("0.1"), UNITS[name])
    for name in (
        "degF", "degC", "K", "psi gauge", "bar absolute", "kPa gauge", "inHg of vacuum", "mbar of vacuum", "min", "h", "s",
        "degF/min", "K/h", "psi/min", "kPa/s", "fraction", "percent", "Pa s",
    )
)  # fmt: skip
