"""Tightening never helps: with a narrower limit, a smaller allowance, a wider guard band or one way less, no outcome is better.

Stated exactly: on the ladder *not met* < *not shown* (or *open*) < *met* the outcome of the tighter requirement never stands
higher. So *not met* stays *not met*, and *not shown* never becomes *met*. Events are not tightened: they say where a requirement
looks, not how strict it is.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from curewright.terms.verdict import Outcome
from tests.laws.nouns import verdicts
from tests.laws.paper import (
    KINDS,
    AtEvent,
    Band,
    Duration,
    Ends,
    Is,
    Leak,
    Order,
    Paper,
    Rate,
    Time,
    Tolerated,
    logs,
    papers,
)

RANK = {Outcome.NOT_MET: 0, Outcome.NOT_SHOWN: 1, Outcome.OPEN: 1, Outcome.MET: 2}


@st.composite
def tighter_ends(draw, ends: Ends, farthest: int = 60) -> Ends:
    """Limits that lie further in, exclude their end, or have one more side."""
    low, high = draw(st.integers(0, 3)), draw(st.integers(0, 3))
    new_low = ends.low + low if ends.low is not None else draw(st.sampled_from((None, None, -farthest, -2)))
    new_high = ends.high - high if ends.high is not None else draw(st.sampled_from((None, None, farthest, 2)))
    return Ends(new_low, new_high, ends.low_open or draw(st.booleans()), ends.high_open or draw(st.booleans()))


@st.composite
def tighter_times(draw, ends: Ends) -> Ends:
    """A longer least or a shorter greatest time."""
    low = None if ends.low is None else ends.low + draw(st.integers(0, 4))
    return Ends(low, None if ends.high is None else ends.high - draw(st.integers(0, 4)))


@st.composite
def tighter_allowance(draw, tolerated: Tolerated | None) -> Tolerated | None:
    """A smaller allowance, or none."""
    if tolerated is None or draw(st.sampled_from((False, False, True))):
        return None

    def less(number):
        return draw(st.sampled_from((None, 3))) if number is None else max(number - draw(st.integers(0, 3)), 0)

    return Tolerated(less(tolerated.depth), less(tolerated.at_a_time), less(tolerated.in_all))


@st.composite
def tighter_way(draw, way: Time) -> Time:
    runs = way.runs
    if isinstance(runs, Is) and way.tolerated is None:
        # with an allowance the limits of the condition also say from where its depth is measured
        runs = Is(runs.signal, draw(tighter_ends(runs.ends)))
    tolerated = None if way.tolerated is None else draw(tighter_allowance(way.tolerated))
    return replace(way, ends=draw(tighter_times(way.ends)), runs=runs, tolerated=tolerated)


@st.composite
def tighter(draw, paper: Paper) -> Paper:
    """The paper with a stricter requirement."""
    asked = paper.requirement
    match asked:
        case Band():
            ends = (
                draw(tighter_ends(asked.ends))
                if asked.signal != "spread"
                else replace(asked.ends, high=asked.ends.high - draw(st.integers(0, 3)))
            )
            asked = replace(asked, ends=ends, tolerated=draw(tighter_allowance(asked.tolerated)))
        case AtEvent() | Rate():
            asked = replace(asked, ends=draw(tighter_ends(asked.ends)))
        case Duration():
            ways = [draw(tighter_way(way)) for way in asked.ways]
            asked = Duration(tuple(ways[: draw(st.integers(1, len(ways)))]))
        case Order():
            asked = replace(asked, ends=Ends(low=2) if asked.ends is None else draw(tighter_times(asked.ends)))
        case Leak():
            starting = asked.starting if asked.starting is None else asked.starting + draw(st.integers(0, 3))
            asked = replace(asked, loses=asked.loses - draw(st.integers(0, 3)), starting=starting)
    return replace(paper, requirement=asked, guard=paper.guard + draw(st.integers(0, 2)))


@pytest.mark.parametrize("kind", [*KINDS, "rate"])
@given(data=st.data())
def test_nothing_is_better_under_a_stricter_requirement(kind, data):
    paper = data.draw(papers((kind,)))
    strict, log = data.draw(tighter(paper)), data.draw(logs(covers=(True, True, True, False, None)))
    note(f"{paper}\n{strict}\n{log}")
    before, after = verdicts(paper, log), verdicts(strict, log)
    assert before.keys() == after.keys()
    for thing, verdict in before.items():
        event(f"{verdict.outcome.value} to {after[thing].outcome.value}")
        assert RANK[after[thing].outcome] <= RANK[verdict.outcome], f"{thing}: {verdict}\n\nstricter: {after[thing]}"
