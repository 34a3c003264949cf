"""The judge against an independent reading of the design in exact fractions, on random logs that are known everywhere.

Outcomes have to be equal and margins equal to the printed grain. All and any over members (coldest, hottest), means, spreads,
exact crossings, ties, touches, stays, clocks, allowances and leak windows are in here, for each thermocouple or for the part.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, event, given, note
from hypothesis import strategies as st

from tests.laws import oracle
from tests.laws.nouns import rate as rate_of
from tests.laws.nouns import verdicts
from tests.laws.paper import KINDS, Band, Duration, Ends, Leak, Order, logs, papers

NOTCH, TICK = Fraction(18, 100), Fraction(42, 100)  # K or kPa; min
GRAIN = Fraction(2, 10**5)  # K: the last printed decimal of a temperature, for each of value and limit
GRAIN_OF_TIME = Fraction(2, 10**6)  # min


def margin_agrees(paper, verdict, margin) -> bool:
    """Whether a printed margin equals an exact one to the printed grain."""
    in_time = isinstance(paper.requirement, Duration | Order)
    scale, grain = (TICK, GRAIN_OF_TIME) if in_time else (NOTCH, GRAIN)
    return abs(Fraction(verdict.margin.value) - margin * scale) <= grain


def agree(paper, log) -> None:
    """Judge and oracle agree about every thing."""
    note(f"{paper}\n{log}")
    for thing, verdict in verdicts(paper, log).items():
        try:
            outcome, margin = oracle.Reader(log, paper, thing).verdict()
        except oracle.UndecidedError:
            event("undecided")
            assume(False)
        event(outcome)
        assert verdict.outcome.value == outcome, f"{thing}: oracle {outcome} {margin}, judge {verdict}"
        if margin is not None and margin > -(10**8) and not isinstance(paper.requirement, Leak):
            assert verdict.margin is not None, f"oracle {margin}, judge {verdict}"
            assert margin_agrees(paper, verdict, margin), f"oracle {float(margin)}, judge {verdict.margin}"
        if isinstance(paper.requirement, Leak) and margin is not None:
            assert margin_agrees(paper, verdict, margin), f"oracle {float(margin)}, judge {verdict.margin}"


EXACT = (
    "coldest",
    "hottest",
)  # a mean has crossings that are no whole nanoseconds: it is judged, but ends no stay and stops no clock


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_judge_and_exact_reading_agree(kind, data):
    paper = data.draw(papers((kind,), decision=False, among=EXACT))
    log = data.draw(logs(doubt=False, covers=(True,), bag=kind == "leak check"))
    assume(kind != "spread" or sum(name.startswith("TC") for name in log.channels) > 1)
    agree(paper, log)


@given(data=st.data())
def test_the_instant_of_a_margin_is_where_that_value_is(data):
    paper = data.draw(papers(("band",), decision=False, among=EXACT))
    log = data.draw(logs(doubt=False, covers=(True,), bag=False))
    band = paper.requirement
    assert isinstance(band, Band)
    for thing, verdict in verdicts(paper, log).items():
        if verdict.margin is None:
            continue
        reader = oracle.Reader(log, paper, thing)
        at = min(Fraction(verdict.margin.at, 25_200_000_000), reader.end)
        line = reader.signal(band.signal)
        value = line.at(at)
        assert abs(180 + value * NOTCH - Fraction(verdict.margin.actual)) <= GRAIN
        if band.signal in ("coldest", "hottest", "each"):
            assert reader.lines[verdict.margin.channel].at(at) == pytest.approx(value, abs=1e-4)


A_NOTCH_A_TICK = NOTCH / TICK  # K/min


@given(data=st.data())
def test_rates_by_every_definition_agree(data):
    """Limits are printed to a hundredth of K/min and a rate is held to a thousandth; so is the margin of the exact reading."""
    paper = data.draw(papers(("rate",), decision=False, among=EXACT))
    rate = replace(
        paper.requirement, whenever=None if paper.requirement.kind in ONE_RATE else paper.requirement.whenever
    )
    paper = replace(paper, requirement=rate)
    log = data.draw(logs(doubt=False, covers=(True,), bag=False))
    note(f"{paper}\n{log}")
    printed = {
        side: None if level is None else Fraction(rate_of(level).number) * 10 / A_NOTCH_A_TICK
        for side, level in (("low", rate.ends.low), ("high", rate.ends.high))
    }
    asked = replace(paper, requirement=replace(rate, ends=Ends(**printed)))
    for thing, verdict in verdicts(paper, log).items():
        try:
            outcome, margin = oracle.Reader(log, asked, thing).verdict()
        except oracle.UndecidedError:
            assume(False)
        if margin is None:
            event(f"{rate.kind}: {outcome}")
            assert verdict.outcome.value == outcome, f"{thing}: oracle {outcome}, judge {verdict}"
            continue
        thousandths = margin / 10 * A_NOTCH_A_TICK * 1000
        assume(abs(abs(thousandths) - Fraction(1, 2)) > Fraction(1, 100))
        outcome = "met" if round(thousandths) >= 0 else "not met"
        event(f"{rate.kind}: {outcome}")
        assert verdict.outcome.value == outcome, f"{thing}: oracle {float(thousandths)}, judge {verdict}"
        assert abs(Fraction(verdict.margin.value) * 1000 - thousandths) <= Fraction(3, 2)


ONE_RATE = ("whole phase", "between levels")
