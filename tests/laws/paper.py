"""Small logs and small papers as plain numbers, for the laws: no noun of the program in here.

Times are whole ticks and values whole notches. A tick is 25.2 s and a notch 0.18 K (kPa), which divide by all that a log of this size
asks for: crossings of the traces of single sensors fall on whole nanoseconds and interpolated values on whole microkelvin, so
that ties and touches are real ones. Samples stand on even ticks and even notches; limits on any notch.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from hypothesis import strategies as st

GROUP = ("coldest", "hottest", "mean")
NAMES = ("TC1", "TC2", "TC3", "TC4")
RECORD_STARTS, RECORD_ENDS = "record starts", "record ends"


@dataclass(frozen=True)
class Row:
    """A sample; ``notch`` None: present, but bad."""

    tick: int
    notch: int | None


@dataclass(frozen=True)
class Note:
    """A hand entry: closed at a tick, give or take, until a tick."""

    name: str
    tick: int
    until: int | None
    plus_minus: int


@dataclass(frozen=True)
class Log:
    """Channels by name, hand entries, the end of the record, and whether it covers the whole run (None: the run is not closed)."""

    channels: dict[str, tuple[Row, ...]]
    end: int
    covers: bool | None = True
    notes: tuple[Note, ...] = ()
    gap: int = 4
    states: frozenset[str] = field(default_factory=frozenset)  # names of channels that hold


@dataclass(frozen=True)
class Ends:
    """A low and a high limit in notches (ticks for times), each part of the band unless open."""

    low: int | None = None
    high: int | None = None
    low_open: bool = False
    high_open: bool = False


@dataclass(frozen=True)
class Is:
    """A signal lies within limits."""

    signal: str
    ends: Ends


@dataclass(frozen=True)
class Shows:
    """The valve shows a state."""

    state: int


@dataclass(frozen=True)
class Join:
    """All or any of several conditions."""

    every: bool
    parts: tuple[Is | Shows | Join, ...]


Condition = Is | Shows | Join


@dataclass(frozen=True)
class Event:
    """``each``: found for each thermocouple; ``entry``: by hand entry of its name instead of a condition."""

    name: str
    condition: Condition | None
    stays: int = 0
    good: bool = False
    after: str | None = None
    each: bool = False
    delay: int = 0


@dataclass(frozen=True)
class Tolerated:
    """An allowance in notches and ticks."""

    depth: int | None = None
    at_a_time: int | None = None
    in_all: int | None = None


@dataclass(frozen=True)
class Band:
    """A signal within limits over a phase."""

    signal: str
    start: str
    end: str
    ends: Ends
    tolerated: Tolerated | None = None
    whenever: Condition | None = None


@dataclass(frozen=True)
class Time:
    """A time in a phase by a clock."""

    start: str
    end: str
    runs: Condition | None
    leaves: str
    ends: Ends
    tolerated: Tolerated | None = None


@dataclass(frozen=True)
class Duration:
    """One of several times is enough."""

    ways: tuple[Time, ...]


@dataclass(frozen=True)
class AtEvent:
    """A value at an event."""

    event: str
    signal: str
    ends: Ends


@dataclass(frozen=True)
class Order:
    """One event at or before another."""

    first: str
    then: str
    ends: Ends | None


@dataclass(frozen=True)
class Leak:
    """The loss of BAG1 while isolated by the hand entry 'source closed'."""

    rule: str
    settling: int
    window: int
    loses: int
    starting: int | None = None


@dataclass(frozen=True)
class Rate:
    """A rate by a definition; limits in notches a tick."""

    kind: str
    signal: str
    start: str
    end: str
    ends: Ends
    window: int = 8
    samples: int = 3
    falling: bool = False
    levels: tuple[int, int] = (0, 4)
    whenever: Condition | None = None


Requirement = Band | Duration | AtEvent | Order | Leak | Rate


@dataclass(frozen=True)
class Paper:
    """A requirement with its events. ``each``: judged for each thermocouple. ``guard`` notches of guard band, 0 for none."""

    requirement: Requirement
    events: tuple[Event, ...] = ()
    each: bool = False
    guard: int = 0
    rounded: bool = False


# -------------------------------------------------------------------------------------------------------------- strategies
NOTCHES = st.integers(-4, 4).map(lambda n: 2 * n)
LEVELS = st.integers(-7, 7)


@st.composite
def ends_around(draw, sided=("low", "high", "both")):
    """Limits near the samples, each part of the band or not."""
    side = draw(st.sampled_from(sided))
    low = draw(st.integers(-7, 3)) if side != "high" else None
    high = draw(st.integers(-2, 7)) if side != "low" else None
    if low is not None and high is not None and high < low:
        low, high = high, low
    opened = draw(st.sampled_from((False, False, False, True)))
    return Ends(low, high, opened and low is not None, opened and high is not None)


def signals(*, each, among=GROUP):
    """The signals that a condition may name."""
    return st.sampled_from((*among, "each") if each else among)


def conditions(*, each, valve=False, among=GROUP):
    """A comparison, seldom two of them joined, seldom what the valve shows."""
    compare = st.builds(Is, signals(each=each, among=among), ends_around())
    one = st.one_of(compare, compare, st.builds(Shows, st.integers(0, 1))) if valve else compare
    joined = st.builds(Join, st.booleans(), st.tuples(compare, one))
    return st.one_of(one, one, one, joined)


@st.composite
def events(draw, *, each=False, entry=False, valve=False, among=GROUP):
    """Two events, the second often looked for after the first, and seldom found for each thermocouple."""
    found = []
    for i, name in enumerate(("soak starts", "soak ends")):
        by_each = (each and draw(st.booleans())) or (i == 1 and bool(found) and found[0].each)
        after = "soak starts" if i and draw(st.booleans()) else None
        condition = draw(conditions(each=by_each, valve=valve, among=among))
        stays = draw(st.sampled_from((0, 0, 1, 2, 3, 5)))
        good = draw(st.sampled_from((False, False, True)))
        found.append(Event(name, condition, 0 if good else stays, good, after, by_each))
    if entry and draw(st.booleans()):
        found[0] = Event("noted", None)
        found[1] = replace(found[1], after="noted" if found[1].after else None)
    if draw(st.sampled_from((False, False, False, True))):
        found.append(Event("later", None, after=found[-1].name, each=found[-1].each, delay=draw(st.integers(1, 6))))
    return tuple(found)


@st.composite
def phases(draw, happened):
    """From one event to a later one, or from the start, or to the end."""
    first, last = draw(st.sampled_from(((0, 1), (0, 1), (0, None), (None, 1), (None, None))))
    ending = happened[-1].name if last else RECORD_ENDS
    return RECORD_STARTS if first is None else happened[0].name, ending


TOLERATED = st.one_of(
    st.none(),
    st.builds(
        Tolerated,
        st.one_of(st.none(), st.integers(0, 6)),
        st.one_of(st.none(), st.integers(0, 6)),
        st.one_of(st.none(), st.integers(0, 10)),
    ),
)
KINDS = ("band", "duration", "forgiving clock", "at event", "order", "leak check", "spread")


@st.composite
def papers(draw, kinds=KINDS, *, entry=True, valve=True, decision=True, among=GROUP, each=True):
    """A paper with one requirement of one of the kinds."""
    kind = draw(st.sampled_from(kinds))
    each = each and kind not in ("spread", "leak check") and draw(st.booleans())
    happened = draw(events(each=each, entry=entry, valve=valve, among=among))
    start, end = draw(phases(happened))
    whenever = draw(st.one_of(st.none(), st.none(), conditions(each=each, among=among)))
    if kind == "band":
        signal = "each" if each else draw(st.sampled_from(GROUP))
        requirement = Band(signal, start, end, draw(ends_around()), draw(TOLERATED), whenever)
    elif kind == "spread":
        requirement = Band("spread", start, end, Ends(high=draw(st.integers(0, 12))), draw(TOLERATED), whenever)
    elif kind == "duration":
        ways = draw(st.lists(times(each, start, end, among), min_size=1, max_size=2))
        requirement = Duration(tuple(ways))
    elif kind == "forgiving clock":
        clock = draw(times(each, start, end, among))
        runs = Is(draw(signals(each=each, among=among)), draw(ends_around()))
        tolerated = draw(TOLERATED.filter(lambda found: found is not None))
        requirement = Duration(
            (replace(clock, runs=runs, tolerated=tolerated, leaves=draw(st.sampled_from(("restarts", "pauses")))),)
        )
    elif kind == "at event":
        signal = "each" if each else draw(st.sampled_from(GROUP))
        name = draw(st.sampled_from([event.name for event in happened]))
        requirement = AtEvent(name, signal, draw(ends_around()))
    elif kind == "order":
        low, width = draw(st.integers(0, 6)), draw(st.integers(0, 20))
        ends = draw(st.sampled_from((None, Ends(low=low), Ends(high=low + width), Ends(low, low + width))))
        requirement = Order(happened[0].name, happened[1].name, ends)
    elif kind == "rate":
        requirement = draw(rates(each, start, end, whenever))
    else:
        requirement = draw(leaks())
    guard = draw(st.sampled_from((0, 0, 1, 2))) if decision else 0
    rounded = draw(st.sampled_from((False, False, True))) if decision else False
    return Paper(requirement, happened, each, guard, rounded)


@st.composite
def times(draw, each, start, end, among):
    """A clock with its limits."""
    low = draw(st.one_of(st.none(), st.integers(0, 24)))
    high = draw(st.one_of(st.none(), st.integers(0, 30)))
    if low is None and high is None:
        low = 6
    if low is not None and high is not None and high < low:
        low, high = high, low
    runs = draw(st.one_of(st.none(), conditions(each=each, among=among)))
    tolerated = draw(TOLERATED) if isinstance(runs, Is) else None
    return Time(start, end, runs, draw(st.sampled_from(("restarts", "pauses", "runs on"))), Ends(low, high), tolerated)


@st.composite
def leaks(draw):
    """A leak check."""
    rule = draw(st.sampled_from(("first", "worst", "whole")))
    settling, window = draw(st.integers(0, 4)), draw(st.integers(2, 8))
    return Leak(rule, settling, window, draw(st.integers(0, 8)), draw(st.one_of(st.none(), LEVELS)))


RATES = ("least squares", "end points", "sample to sample", "whole phase", "between levels")


@st.composite
def rates(draw, each, start, end, whenever):
    """A rate requirement: limits in tenths of a notch a tick."""
    low = draw(st.one_of(st.none(), st.integers(-20, 10)))
    high = draw(st.one_of(st.none(), st.integers(-10, 20)))
    if low is None and high is None:
        high = 10
    if low is not None and high is not None and high < low:
        low, high = high, low
    signal = "each" if each else draw(st.sampled_from(GROUP))
    levels = draw(st.sampled_from(((-3, 4), (4, -3), (0, 6))))
    kind = draw(st.sampled_from(RATES))
    window, falling = draw(st.sampled_from((4, 6, 8))), draw(st.booleans())
    return Rate(kind, signal, start, end, Ends(low, high), window, draw(st.integers(2, 4)), falling, levels, whenever)


def _kept(start, stop, spared, values):
    """Samples on every other tick, without those whose place is spared."""
    ticks = [tick for i, tick in enumerate(range(start, stop + 1, 2)) if i not in spared]
    return [Row(tick, value) for tick, value in zip(ticks, values, strict=False)]


@st.composite
def logs(draw, *, doubt=True, most=4, bag=True, valve=True, covers=(True, True, False)):
    """A log of 1 to 4 thermocouples with 10 to 20 samples each; with ``doubt`` bad samples, absent rows, late starts and early ends."""
    samples = draw(st.integers(10, 20))
    end = 2 * (samples - 1)
    gap = draw(st.sampled_from((2, 4, 6))) if doubt else 6
    names = [*NAMES[: draw(st.integers(1, most))], *(["BAG1"] if bag else [])]
    channels = {}
    for name in names:
        values = draw(st.lists(NOTCHES, min_size=samples, max_size=samples))
        if doubt and draw(st.booleans()):
            values = _doubted(draw, values, samples)
            spared = _run(draw, samples)
            start, stop = draw(st.sampled_from((0, 0, 0, 4))), end - draw(st.sampled_from((0, 0, 0, 2, 6)))
        else:
            spared, start, stop = set(), 0, end
            if not doubt and draw(st.booleans()):
                first = draw(st.integers(1, samples - 3))
                spared = {first, first + draw(st.integers(0, 1))} - {samples - 1}
        channels[name] = tuple(_kept(start, stop, spared, values))
    states = frozenset({"VALVE1"}) if valve else frozenset()
    if valve:
        every = draw(st.sampled_from((1, 2)))
        shown = draw(st.lists(st.integers(0, 1), min_size=samples, max_size=samples))
        rows = {2 * i: shown[i] for i in range(0, samples, every)}
        if not doubt:
            rows[end] = shown[-1]
        channels["VALVE1"] = tuple(Row(tick, state) for tick, state in rows.items())
    at = draw(st.integers(0, end // 2))
    notes = (
        Note("source closed", at, at + draw(st.integers(2, 16)), draw(st.sampled_from((0, 0, 1, 2))) if doubt else 0),
        Note("noted", draw(st.integers(0, end)), None, draw(st.sampled_from((0, 1, 3))) if doubt else 0),
    )
    return Log(channels, end, draw(st.sampled_from(covers)), notes, gap, states)


def _doubted(draw, values, samples):
    bad = draw(st.sets(st.integers(0, samples - 1), max_size=3))
    return [None if i in bad else value for i, value in enumerate(values)]


def _run(draw, samples):
    first = draw(st.integers(0, samples - 1))
    return set(range(first, first + draw(st.sampled_from((0, 0, 1, 2, 4)))))
