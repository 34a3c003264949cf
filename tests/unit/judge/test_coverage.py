"""The stretches that no clause looks at, by hand (semantics § 6.5): of each quantity, named or not."""

from __future__ import annotations

from curewright.judge.coverage import uncovered
from curewright.judge.judge import hall_of, scene_for
from curewright.terms.load import Vessel
from curewright.terms.requirement import (
    Alternative,
    AtEvent,
    Band,
    Clause,
    Clock,
    Compare,
    Duration,
    Group,
    Phase,
    Signal,
    Spread,
)
from curewright.terms.units import unit_named
from curewright.terms.verdict import Stretch
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    at_least,
    at_most,
    channel,
    entry,
    event,
    load_of,
    minutes,
    run_of,
    specification,
)

PRESSURE = Signal(Group("vessel pressure"), "single")
VACUUM = Signal(Group("bag vacuum"), "single")
AIR = Signal(Group("air thermocouple"), "single")
NAMES = ("a", "b", "c", "d")


def band(start, end, signal=HOTTEST):
    unit = unit_named("degC")
    return Band("band", "part", unit, None, None, signal, Phase(start, end), at_most("200 degC"))


def found(*forms, **given):
    """What is not covered, in minutes, without the pressure and vacuum that no form at all looks at."""
    whole = {(quantity, 0, given.get("length", 60)) for quantity in ("bag vacuum", "vessel pressure")}
    return [each for each in found_of_all(*forms, **given) if each not in whole]


def found_of_all(*forms, at=(10, 20, 30, 40), plus_minus=0, length=60, events=(), gap=2, clauses=None):
    """What is not covered, in minutes; entries ``a``, ``b``, ``c``, ``d`` at the minutes given."""
    marks = tuple(event(name, None, by="entry") for name in NAMES)
    entries = tuple(entry(name, t, thing="S1", plus_minus=plus_minus) for name, t in zip(NAMES, at, strict=True))
    log = channel("TC1", [(t, 100.0) for t in range(length + 1)])
    run = run_of(log, channel("P1", [(t, 90.0) for t in range(length + 1)], "psi gauge"), entries=entries)
    load = load_of(run)
    spec = specification(*forms, events=(*marks, *events), gap=gap, **({} if clauses is None else {"clauses": clauses}))
    scene = scene_for(hall_of(Vessel("V1", (), (), ()), load, run), load.parts[0], (spec,))
    for stretch in uncovered(scene):
        assert (isinstance(stretch, Stretch), stretch.part) == (True, "S1")
    return [(s.quantity, s.start / minutes(1), s.end / minutes(1)) for s in uncovered(scene)]


def test_what_nothing_looks_at_is_told_from_start_to_end_of_the_record():
    nothing = [("bag vacuum", 0, 60), ("part temperature", 0, 60), ("vessel pressure", 0, 60)]
    assert found_of_all() == nothing
    assert found_of_all(band("a", "b", AIR)) == nothing  # the air is none of these quantities
    assert found_of_all(band("record starts", "record ends")) == [nothing[0], nothing[2]]
    assert found_of_all(band("record starts", "record ends", PRESSURE)) == nothing[:2]


def test_before_and_after():
    assert found(band("a", "b")) == [("part temperature", 0, 10), ("part temperature", 20, 60)]
    assert found(band("record starts", "record ends")) == []
    assert found(band("record starts", "b")) == [("part temperature", 20, 60)]
    assert found(band("a", "record ends")) == [("part temperature", 0, 10)]


def test_between():
    assert found(band("record starts", "b"), band("c", "record ends")) == [("part temperature", 20, 30)]
    assert found(band("record starts", "b"), band("b", "record ends")) == []
    assert found(band("record starts", "c"), band("b", "record ends")) == []
    assert found(band("record starts", "d"), band("a", "b"), band("d", "record ends")) == []  # one inside another
    assert found(band("c", "record ends"), band("record starts", "b")) == [("part temperature", 20, 30)]


def test_over_all_clauses():
    clauses = (Clause("1", "", (band("record starts", "b"),)), Clause("2", "", (band("c", "record ends"),)))
    assert found(clauses=clauses) == [("part temperature", 20, 30)]


def test_each_quantity_for_itself():
    assert found(band("a", "record ends"), band("b", "record ends", PRESSURE), band("c", "record ends", VACUUM)) == [
        ("bag vacuum", 0, 30),
        ("part temperature", 0, 10),
        ("vessel pressure", 0, 20),
    ]


def test_a_difference_looks_at_both():
    assert found(band("a", "record ends", Signal(Group("vessel pressure"), "single", minus=VACUUM))) == [
        ("bag vacuum", 0, 10),
        ("part temperature", 0, 60),
        ("vessel pressure", 0, 10),
    ]


def test_the_possible_part_counts():
    assert found(band("a", "b"), plus_minus=2) == [("part temperature", 0, 8), ("part temperature", 22, 60)]


def test_a_phase_that_never_started_covers_nothing():
    never = event("never", Compare(HOTTEST, at_least("1000 degC")))
    assert found(band("never", "record ends"), events=(never,)) == [("part temperature", 0, 60)]


def test_a_phase_whose_event_cannot_be_found_covers_nothing():
    broken = event("broken", Compare(Signal(Group("channel", "NO-SUCH"), "single"), at_least("1 degC")))
    assert found(band("broken", "record ends"), events=(broken,)) == [("part temperature", 0, 60)]
    assert found(band("broken", "record ends"), band("a", "record ends"), events=(broken,)) == [
        ("part temperature", 0, 10)
    ]


def test_other_kinds():
    spread = Spread(
        "spread", "part", unit_named("degC difference"), None, None, Signal(Group("part thermocouple"), "spread"),
        Phase("a", "record ends"), at_most("9 degC difference"),
    )  # fmt: skip
    assert found(spread) == [("part temperature", 0, 10)]
    at = AtEvent("at event", "part", unit_named("degC"), None, None, "a", COLDEST, at_least("1 degC"))
    assert found(at) == [("part temperature", 0, 60)]  # looked at, but over no stretch


def test_a_duration_looks_at_what_its_clock_runs_by_over_each_of_its_ways():
    clock = Clock("coldest", Compare(COLDEST, at_least("1 degC")), "pauses")
    alternatives = (
        Alternative(Phase("a", "b"), clock, at_least("1 min")),
        Alternative(Phase("c", "d"), clock, at_least("1 min")),
    )
    form = Duration("duration", "part", unit_named("min"), None, None, alternatives)
    assert found(form) == [("part temperature", 0, 10), ("part temperature", 20, 30), ("part temperature", 40, 60)]
