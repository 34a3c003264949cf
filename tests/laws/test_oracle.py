"""The judge against an independent reading of the design in exact fractions, on random logs that are known everywhere.

Outcomes have to be equal and margins equal to the printed grain. All and any over members (coldest, hottest), means, spreads,
exact crossings, ties, touches, stays, clocks, allowances and leak windows are in here, for each thermocouple or for the part.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, event, given, note
from hypothesis import strategies as st

from tests.laws import oracle
from tests.laws.nouns import verdicts
from tests.laws.paper import KINDS, Band, Duration, Leak, Order, logs, papers

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
