"""The close view of a verdict: for every requirement kind, with what decided where the run and the paper have it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from curewright.jobs.cards import cards_of
from curewright.judge.judge import judge
from curewright.picture.deviation import ROWS, deviation
from curewright.picture.example_traces import example, shares
from curewright.picture.judged_run import JudgedRun
from curewright.terms.load import Ruling, Vessel
from curewright.terms.requirement import (
    KINDS,
    Allowance,
    Band,
    Clause,
    Compare,
    Group,
    Phase,
    Requirement,
    Signal,
    Specification,
)
from curewright.terms.units import UNITS
from curewright.terms.verdict import Outcome, Verdict
from curewright.understand.specification import understand
from tests.unit.judge.build import (
    COLDEST,
    at_least,
    at_most,
    channel,
    event,
    load_of,
    minutes,
    quantity,
    run_of,
    specification,
    within,
)
from tests.unit.picture.conftest import Columns
from tests.unit.picture.svg import Read

ROOT = Path(__file__).resolve().parents[3]
FILES = (
    *sorted((ROOT / "src" / "curewright" / "jobs" / "demo_files").glob("specification-*.yaml")),
    ROOT / "tests" / "unit" / "picture" / "other-kinds.yaml",
)
SPECIFICATIONS = [understand(file.read_bytes(), file.name) for file in FILES]
FORMS = [(one, clause, form) for one in SPECIFICATIONS for clause in one.clauses for form in clause.forms]
NAMES = [f"{one.number} {clause.number} {form.name}" for one, clause, form in FORMS]
MINUTE = 60 * 10**9


def test_every_kind_has_its_view_and_is_among_the_cases() -> None:
    assert set(ROWS) == set(KINDS)
    assert {type(form) for _, _, form in FORMS} == set(KINDS.values())


@pytest.mark.parametrize("wanted", [Outcome.MET, Outcome.NOT_MET], ids=str)
@pytest.mark.parametrize("one, clause, form", FORMS, ids=NAMES)
def test_every_requirement_can_be_looked_at(
    one: Specification, clause: Clause, form: Requirement, wanted: Outcome
) -> None:
    cards = cards_of((one,))
    found = example(one, clause, form, wanted, cards)
    assert found is not None
    made = found.drawn
    alone = replace(one, clauses=(replace(clause, forms=(form,), by_person=None, not_covered=None),))
    judgement = judge(
        (alone,), made.vessel, made.load, made.run, cards=cards, earlier=shares(found.sketch, clause, form)
    )
    run = JudgedRun((alone,), made.vessel, made.load, made.run, judgement, cards=cards)
    drawn = 0
    for verdict in judgement.verdicts:
        svg = deviation(run, verdict)
        assert svg is not None
        assert svg == deviation(replace(run), verdict)
        read = Read(svg)
        assert {"met": "✓ met", "not met": "✗ NOT MET"}.get(verdict.outcome.value, "") in read.text
        assert f"clause {clause.number} {form.name}" in read.text
        assert read.boxes("frame")
        assert sheet_holds(read)
        drawn += 1
    assert drawn


def sheet_holds(read: Read) -> bool:
    """Whether all words begin on the sheet and end on it (by 8 point letters)."""
    from curewright.picture.letters import width

    right, bottom = (int(n) for n in read.root.get("viewBox", "").split()[2:])
    for word in read.words:
        wide = width(word.text, 8.0) * 10
        left = word.x - {"start": 0.0, "middle": wide / 2, "end": wide}[word.anchor]
        assert left >= -1, word
        assert left + wide <= right + 5, word
        assert 0 < word.y < bottom, word
    return True


# ----------------------------------------------------------------------------------------------------------- the demo's deviations
def demo_verdict(run: JudgedRun, part: str, clause: str, form: str, thing: str | None = None) -> Verdict:
    return next(v for v in run.verdicts(part) if (v.clause, v.form) == (clause, form) and thing in (None, v.thing))


def view_of(run: JudgedRun, verdict: Verdict) -> Read:
    svg = deviation(run, verdict)
    assert svg is not None
    return Read(svg)


def clock_x(read: Read):  # type: ignore[no-untyped-def]
    """A function from minutes of the day to tenths of a point, from the ticks of the clock below the panels."""
    bottom = max(word.y for word in read.words if word.anchor == "middle" and ":" in word.text)
    ticks = sorted(
        (word.x, word.text.split(":"))
        for word in read.words
        if word.anchor == "middle" and word.y == bottom and ":" in word.text
    )
    (x1, t1), (x2, t2) = ticks[0], ticks[-1]
    one, two = (sum(int(n) * k for n, k in zip(t, (60, 1, 1 / 60), strict=False)) for t in (t1, t2))
    return lambda minute: x1 + (minute - one) * (x2 - x1) / (two - one)


def test_a_short_soak_shows_its_crossings_and_the_required_length(demo_run: JudgedRun, demo_columns: Columns) -> None:
    read = view_of(demo_run, demo_verdict(demo_run, "00102", "4.7", "duration"))
    coldest = np.min([[float(v) for v in demo_columns[name]] for name in ("TC04", "TC05", "TC06")], axis=0) * 1.8 + 32
    minute = np.array([340 + 0.5 * k for k in range(len(coldest))])  # the file begins at 05:40, a row each half minute
    up, down = (
        np.flatnonzero((coldest[:-1] < 345) & (coldest[1:] >= 345))[0],
        np.flatnonzero((coldest[:-1] >= 345) & (coldest[1:] < 345))[-1],
    )
    crossings = [minute[k] + 0.5 * (345 - coldest[k]) / (coldest[k + 1] - coldest[k]) for k in (up, down)]
    x = clock_x(read)
    marks = sorted(line[0, 0] for line in read.lines("mark"))
    assert marks == pytest.approx([x(m) for m in crossings], abs=2)
    required = read.boxes("bar outside")
    assert required[0][0] == pytest.approx(x(crossings[0]), abs=2)
    assert required[0][2] == pytest.approx(x(120) - x(0), abs=2)  # 120 min as long as the axis has it
    assert "required 120 to 150 min" in read.text
    assert f"found {crossings[1] - crossings[0]:.3f} min" in read.text
    assert "coldest of the part thermocouples, °F" in read.text
    assert "counts from 345 °F" in read.text


def test_an_excursion_is_shaded_from_crossing_to_crossing(demo_run: JudgedRun, demo_columns: Columns) -> None:
    read = view_of(demo_run, demo_verdict(demo_run, "00103", "2", "band"))
    bag = np.array([float(v) for v in demo_columns["BAG-3 pressure"]]) / 1000  # mbar to bar
    k = int(np.flatnonzero((bag[:-1] <= 0.35) & (bag[1:] > 0.35))[-1])
    start = 340 + 0.5 * (k + (0.35 - bag[k]) / (bag[k + 1] - bag[k]))
    (area,) = read.lines("excursion")
    assert area[:, 0].min() == pytest.approx(clock_x(read)(start), abs=2)
    slope, offset = read.values(read.boxes("frame")[0])
    assert (area[:, 1] * slope + offset).max() == pytest.approx(bag[k:].max(), abs=abs(slope) * 1.5)
    assert (area[:, 1] * slope + offset).min() == pytest.approx(0.35, abs=abs(slope) * 1.5)
    assert "at most 0.35 bar gauge" in read.text
    assert "0.635 at 08:42:00" in read.text
    assert len(read.elements("deciding")) == 1
    assert len(read.elements("sample")) == len(demo_verdict(demo_run, "00103", "2", "band").samples)


def test_what_is_not_known_is_hatched(demo_run: JudgedRun) -> None:
    read = view_of(demo_run, demo_verdict(demo_run, "00101", "4.7", "band", "TC03"))
    (hatched,) = read.boxes("unknown")
    x = clock_x(read)
    assert hatched[0] == pytest.approx(x(9 * 60 + 42.5), abs=2)
    assert hatched[0] + hatched[2] == pytest.approx(x(12 * 60 + 23.5), abs=2)
    assert "TC03 not known: bad or lost samples" in read.text
    assert "part thermocouples, °F" in read.text
    assert {"TC01", "TC02", "TC03"} <= {word.text for word in read.words}  # the neighbours thin beside it


def test_the_sure_and_the_possible_phase_are_apart(demo_run: JudgedRun) -> None:
    # The hand entries: source closed 05:50 to 05:56, each +- 10 s.
    read = view_of(demo_run, demo_verdict(demo_run, "00101", "4.2", "leak check"))
    (possible,), (sure,) = read.boxes("possible phase"), read.boxes("sure phase")
    x = clock_x(read)
    assert [possible[0], possible[0] + possible[2]] == pytest.approx([x(350 - 1 / 6), x(356 + 1 / 6)], abs=2)
    assert [sure[0], sure[0] + sure[2]] == pytest.approx([x(350 + 1 / 6), x(356 - 1 / 6)], abs=2)


def test_a_leak_check_has_its_limit_below_the_start_of_the_window(demo_run: JudgedRun) -> None:
    read = view_of(demo_run, demo_verdict(demo_run, "00101", "4.2", "leak check"))
    slope, offset = read.values(read.boxes("frame")[0])
    chord = read.lines("chord")[0]
    start = chord[0, 1] * slope + offset
    limits = sorted(line[0, 1] * slope + offset for line in read.lines("limit"))
    assert limits == pytest.approx([start - 5.0, 22.0], abs=2 * abs(slope))
    assert "may lose 5 inHg in 5 min" in read.text
    assert "starting: at least 22 inHg of vacuum" in read.text


def test_a_rate_is_drawn_as_the_slope_it_is(demo_run: JudgedRun) -> None:
    verdict = demo_verdict(demo_run, "00101", "4.5", "rate", "TC01")
    assert verdict.margin is not None
    read = view_of(demo_run, verdict)
    slope, _ = read.values(read.boxes("frame")[0])
    x = clock_x(read)
    minute = x(1) - x(0)
    rates = [(line[1, 1] - line[0, 1]) * slope / ((line[1, 0] - line[0, 0]) / minute) for line in read.lines("chord")]
    assert rates == pytest.approx([float(verdict.margin.actual), 1.0, 5.0], abs=0.03)
    assert all(line[1, 0] - line[0, 0] == pytest.approx(10 * minute, abs=2) for line in read.lines("chord"))
    assert "least squares over 10 min, heating, °F/min" in read.text
    lower = read.boxes("frame")[1]
    slope, offset = read.values(lower)
    limits = [
        line[0, 1] * slope + offset for line in read.lines("limit") if lower[1] <= line[0, 1] <= lower[1] + lower[3]
    ]
    assert sorted(limits) == pytest.approx([1.0, 5.0], abs=2 * abs(slope))


def test_a_spread_shows_both_traces_and_their_difference(demo_run: JudgedRun, demo_columns: Columns) -> None:
    verdict = demo_verdict(demo_run, "00102", "4.8", "spread")
    assert verdict.margin is not None
    assert verdict.margin.at is not None
    read = view_of(demo_run, verdict)
    row = verdict.margin.at // (30 * 10**9)
    readings = [float(demo_columns[name][row]) * 1.8 for name in ("TC04", "TC05", "TC06")]
    assert f"{max(readings) - min(readings):.2f} at 08:56:00" in read.text
    assert len(read.boxes("frame")) == 2
    assert "spread of the part thermocouples, °F" in read.text


def test_what_people_judge_is_not_drawn(demo_run: JudgedRun) -> None:
    assert deviation(demo_run, demo_verdict(demo_run, "00101", "4.10", "by a person")) is None
    assert deviation(demo_run, demo_verdict(demo_run, "00103", "5", "duration")) is None  # does not apply to this part


# ----------------------------------------------------------------------------------------------------- small runs of our own
SOAK = (
    event("hot", Compare(COLDEST, at_least("180 degC"))),
    event("cool", Compare(COLDEST, at_most("170 degC")), after="hot"),
)


def judged_run(form: Requirement, *channels, rulings=(), **more):  # type: ignore[no-untyped-def]
    run = run_of(*channels)
    load = load_of(run)
    spec = specification(form, events=SOAK, **more)
    vessel = Vessel("V1", (), (), ())
    judgement = judge((spec,), vessel, load, run, tuple(rulings))
    return JudgedRun((spec,), vessel, load, run, judgement, tuple(rulings)), judgement.verdicts


def trapezium(name: str, top: float = 185.0, *, bad: tuple[int, ...] = ()):  # type: ignore[no-untyped-def]
    """25 to top in 60 min, held for 60 min, down in 60 min."""
    return channel(name, [(m, min(top, 25 + (top - 25) * min(m, 180 - m) / 60)) for m in range(181)], bad=bad)


def test_the_edge_of_an_allowance_is_drawn_beyond_the_limit() -> None:
    allowance = Allowance(quantity("5 degC difference"), minutes(2), minutes(6))
    form = Band(
        "band",
        "part",
        UNITS["degC"],
        None,
        None,
        Signal(Group("part thermocouple"), "hottest"),
        Phase("hot", "cool"),
        at_most("182 degC"),
        allowance,
    )
    run, verdicts = judged_run(form, trapezium("TC1"))
    read = view_of(run, verdicts[0])
    slope, offset = read.values(read.boxes("frame")[0])
    (level,) = read.lines("level")
    assert level[0, 1] * slope + offset == pytest.approx(187.0, abs=2 * abs(slope))
    assert "allowed: by at most 5 °C, 2 min at a time, 6 min in all" in read.text


def test_the_coldest_drawn_is_the_coldest_of_the_known() -> None:
    form = Band(
        "band",
        "part",
        UNITS["degC"],
        None,
        None,
        COLDEST,
        Phase("record starts", "record ends"),
        within("0 degC", "300 degC"),
    )
    run, verdicts = judged_run(form, trapezium("TC1", 185), trapezium("TC2", 150, bad=tuple(range(85, 96))))
    assert verdicts[0].outcome is Outcome.NOT_SHOWN
    read = view_of(run, verdicts[0])
    slope, offset = read.values(read.boxes("frame")[0])
    x = clock_x(read)
    signal = np.concatenate(read.lines("signal"))
    drawn = (
        np.interp([x(600 + m) for m in (80, 86, 90, 94, 100)], signal[:, 0], signal[:, 1]) * slope + offset
    )  # from 10:00
    assert drawn == pytest.approx([150.0, 185.0, 185.0, 185.0, 150.0], abs=2 * abs(slope))
    assert [box[0] for box in read.boxes("unknown")] == pytest.approx([x(600 + 84)], abs=2)


def test_a_sensor_that_was_set_aside_is_named() -> None:
    form = Band("band", "part", UNITS["degC"], None, None, COLDEST, Phase("hot", "cool"), at_least("170 degC"))
    ruling = Ruling("set aside", "TC2", minutes(70), minutes(90), "engineer C", "loose", "quality engineer D")
    run, verdicts = judged_run(form, trapezium("TC1"), trapezium("TC2", 186), rulings=(ruling,))
    read = view_of(run, verdicts[0])
    assert verdicts[0].set_aside
    assert "phase: hot" in read.text


def test_degrees_fahrenheit_where_the_requirement_is_written_in_them() -> None:
    form = Band("band", "part", UNITS["degF"], None, None, COLDEST, Phase("hot", "cool"), at_least("360 degF"))
    run, verdicts = judged_run(form, trapezium("TC1"))
    read = view_of(run, verdicts[0])
    assert "°F" in read.text
    assert "at least 360 °F" in read.text
    assert "degF" not in read.text


def test_a_phase_that_never_came_is_drawn_over_the_whole_record() -> None:
    form = Band("band", "part", UNITS["degC"], None, None, COLDEST, Phase("hot", "cool"), at_least("170 degC"))
    run, verdicts = judged_run(form, trapezium("TC1", 100))
    assert verdicts[0].outcome is Outcome.NOT_SHOWN
    assert "? NOT SHOWN" in view_of(run, verdicts[0]).text
