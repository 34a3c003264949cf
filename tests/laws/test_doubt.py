"""Doubt never helps: losing data, or trusting it less, settles nothing that was not settled, and never turns one outcome into the other.

Worse data here: samples marked bad, rows absent over more than the largest gap, a channel that starts later or ends sooner, or is
lost altogether, a record cut short, a hand entry with a wider uncertainty. A row absent *within* the largest gap is not in here:
the neighbours are then joined, which is other data, not less (semantics 2.2). For ``rate`` only bad samples, because absent rows cost
no more than their windows (case 25). The rule for lost thermocouples is off: setting aside is what it is for.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from curewright.terms.load import Ruling
from curewright.terms.requirement import Count, Limits, Phase, Recording
from curewright.terms.units import UNITS, Quantity
from curewright.terms.verdict import Outcome
from tests.laws.nouns import MINUTES, PART, TICK, case, limits, time, verdicts
from tests.laws.paper import KINDS, RECORD_ENDS, Ends, Log, Row, logs, papers

OPEN = {Outcome.NOT_SHOWN, Outcome.OPEN}
MAY_BECOME = {
    Outcome.MET: OPEN | {Outcome.MET},
    Outcome.NOT_MET: OPEN | {Outcome.NOT_MET},
    Outcome.NOT_SHOWN: OPEN,
    Outcome.OPEN: OPEN,
}


# ---------------------------------------------------------------------------------------------------- ways to be worse
@st.composite
def marked(draw, log: Log):
    """Some good samples marked bad."""
    name = draw(st.sampled_from(sorted(log.channels)))
    rows = log.channels[name]
    if not rows:
        return log
    bad = draw(st.sets(st.integers(0, len(rows) - 1), min_size=1, max_size=3))
    doubted = tuple(Row(row.tick, None) if i in bad else row for i, row in enumerate(rows))
    return replace(log, channels={**log.channels, name: doubted})


@st.composite
def absent(draw, log: Log):
    """Rows absent so that more than the largest gap opens between two that stay."""
    name = draw(st.sampled_from(sorted(log.channels)))
    rows = log.channels[name]
    pairs = [(i, j) for i in range(len(rows)) for j in range(i + 2, len(rows)) if rows[j].tick - rows[i].tick > log.gap]
    if not pairs:
        return log
    i, j = draw(st.sampled_from(pairs))
    return replace(log, channels={**log.channels, name: rows[: i + 1] + rows[j:]})


@st.composite
def shortened(draw, log: Log):
    """A channel that starts later, ends sooner, or has nothing at all."""
    name = draw(st.sampled_from(sorted(log.channels)))
    rows = log.channels[name]
    first, last = draw(st.sampled_from(((0, 3), (2, 0), (1, 1), (0, len(rows)))))
    return replace(log, channels={**log.channels, name: rows[first : max(len(rows) - last, first)]})


@st.composite
def cut_short(draw, log: Log):
    """A record that ends before the run did."""
    end = draw(st.integers(log.end // 4, log.end))
    channels = {name: tuple(row for row in rows if row.tick <= end) for name, rows in log.channels.items()}
    return replace(log, channels=channels, end=end, covers=False)


@st.composite
def vaguer(draw, log: Log):
    """Hand entries that are less certain."""
    wider = tuple(replace(each, plus_minus=each.plus_minus + draw(st.integers(0, 3))) for each in log.notes)
    return replace(log, notes=wider)


WAYS = {"marked": marked, "absent": absent, "shortened": shortened, "cut short": cut_short, "vaguer": vaguer}


def no_better(before, after) -> None:
    assert before.keys() == after.keys()
    for thing, verdict in before.items():
        event(verdict.outcome.value)
        assert after[thing].outcome in MAY_BECOME[verdict.outcome], f"{thing}: {verdict}\n\nworse data: {after[thing]}"


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_worse_data_settle_nothing(kind, data):
    paper, log = data.draw(papers((kind,))), data.draw(logs(covers=(True, True, True, False, None)))
    worse = log
    for _ in range(data.draw(st.integers(1, 2))):
        worse = data.draw(WAYS[data.draw(st.sampled_from(sorted(WAYS)))](worse))
    note(f"{paper}\n{log}\n{worse}")
    no_better(verdicts(paper, log), verdicts(paper, worse))


@given(data=st.data())
def test_bad_samples_settle_no_rate(data):
    paper, log = data.draw(papers(("rate",))), data.draw(logs())
    worse = data.draw(marked(log))
    note(f"{paper}\n{log}\n{worse}")
    no_better(verdicts(paper, log), verdicts(paper, worse))


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "leak check"])
@given(data=st.data())
def test_a_sensor_on_the_map_whose_column_is_missing_is_unknown_not_gone(kind, data):
    paper = data.draw(papers((kind,), each=False))
    log = data.draw(logs(covers=(True,)))
    whole = case(paper, log)
    gone = data.draw(st.sampled_from([name for name in log.channels if name.startswith("TC")]))
    run = replace(whole.run, channels={name: made for name, made in whole.run.channels.items() if name != gone})
    note(f"{paper}\n{log}\nwithout {gone}")
    before = {thing: verdict for thing, verdict in whole.verdicts().items() if thing == "S1"}
    after = {thing: verdict for thing, verdict in whole.but(run=run).verdicts().items() if thing == "S1"}
    no_better(before, after)


# ----------------------------------------------------------------------------------------- about the record itself
@given(log=logs(covers=(True,)), least=st.integers(1, 4), data=st.data())
def test_worse_data_never_make_enough_sensors_work(log, least, data):
    paper = data.draw(papers(("band",)))
    phase = Phase(data.draw(st.sampled_from(("record starts", paper.events[0].name))), RECORD_ENDS)
    several = Count("count", "part", UNITS["count"], None, None, "working sensors", PART, phase, _count(least))
    worse = data.draw(WAYS[data.draw(st.sampled_from(("marked", "absent", "shortened")))](log))
    not_to_met(paper, log, worse, several)


@given(log=logs(covers=(True,)), most=st.integers(1, 12), data=st.data())
def test_worse_data_are_never_recorded_often_enough(log, most, data):
    paper = data.draw(papers(("band",)))
    phase = Phase(data.draw(st.sampled_from(("record starts", paper.events[0].name))), RECORD_ENDS)
    often = Recording("recording", "part", MINUTES, None, None, PART, phase, limits(Ends(high=most), time))
    worse = data.draw(WAYS[data.draw(st.sampled_from(("marked", "absent", "shortened")))](log))
    not_to_met(paper, log, worse, often)


def _count(least):
    return Limits(low=Quantity(Decimal(least), UNITS["count"]))


def not_to_met(paper, log, worse, form) -> None:
    """With another form in the place of the paper's own: what was not met is not met with worse data."""
    note(f"{form}\n{paper.events}\n{log}\n{worse}")
    outcomes = []
    for each in (log, worse):
        made = case(paper, each)
        (clause,) = made.specification.clauses
        spec = replace(made.specification, clauses=(replace(clause, forms=(form,)),))
        outcomes.append(made.but(specification=spec).verdicts()["S1"].outcome)
    event(f"{outcomes[0].value} to {outcomes[1].value}")
    assert outcomes[0] is Outcome.MET or outcomes[1] is not Outcome.MET


# ------------------------------------------------------------------------------------------------- what is set aside
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "leak check"])
@given(data=st.data())
def test_what_is_set_aside_has_no_say(kind, data):
    """Whatever a sensor showed inside the stretch over which somebody set it aside: the verdicts are the same."""
    paper, log = data.draw(papers((kind,))), data.draw(logs(covers=(True,)))
    name = data.draw(st.sampled_from([name for name in log.channels if name.startswith("TC")]))
    start = data.draw(st.integers(0, log.end - 2))
    end = data.draw(st.integers(start + 1, log.end))
    ruling = Ruling("set aside", name, start * TICK, end * TICK, "engineer C", "loose plug")
    rows = log.channels[name]
    notches = st.one_of(st.none(), st.integers(-20, 20))
    changed = tuple(Row(row.tick, data.draw(notches)) if start < row.tick < end else row for row in rows)
    other = replace(log, channels={**log.channels, name: changed})
    note(f"{paper}\n{log}\n{name} set aside over ({start}, {end})\n{changed}")
    before, after = (case(paper, each).but(rulings=(ruling,)).verdicts() for each in (log, other))
    assert {thing: verdict.outcome for thing, verdict in before.items()} == {
        thing: verdict.outcome for thing, verdict in after.items()
    }
