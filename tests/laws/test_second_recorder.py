"""A second recorder settles what was open and turns nothing round; and the bound of its clock costs outcomes, never makes them.

The second recorder's samples here are any samples: nothing says that they agree with the first one's. Its clock is off by a whole
number of ticks inside the stated bound. Outcomes may only move as :mod:`tests.laws.test_doubt` says that worse data may move them.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from curewright.terms.requirement import SecondRecorder
from curewright.terms.run import RecorderClock, Recording
from tests.laws.nouns import TICK, Case, case, channel
from tests.laws.paper import KINDS, Log, Row, logs, papers
from tests.laws.test_doubt import MAY_BECOME

ALLOWED = SecondRecorder(True, None, None, "SP-12 rev B")


@st.composite
def broken(draw, covers=(True, True, True, False)) -> tuple[Log, dict[str, tuple[Row, ...]]]:
    """A log with a silence in one to all of its channels, and a second recorder of these: every tick or two, mostly all along."""
    log = draw(logs(doubt=draw(st.sampled_from((False, False, True))), covers=covers))
    names = [name for name, rows in log.channels.items() if not name.startswith("V") and len(rows) > 6]
    if not names:
        return log, {}
    chosen = names if draw(st.booleans()) else draw(st.lists(st.sampled_from(names), min_size=1, unique=True))
    start = draw(st.integers(0, log.end - log.gap - 2))
    end = start + draw(st.sampled_from((log.gap + 4, log.gap + 8, 40)))
    channels = dict(log.channels)
    for name in chosen:
        channels[name] = tuple(row for row in log.channels[name] if not start < row.tick < end)
    first, every = draw(st.sampled_from((-8, -8, -8, start + 3))), draw(st.sampled_from((1, 2)))
    base = draw(st.integers(-2, 2))
    notch = st.sampled_from(
        (2 * base, 2 * base, 2 * base + 2, 2 * base - 2, *([None] if draw(st.integers(0, 4)) == 0 else []))
    )
    ticks = range(first, log.end + 8, every)
    return replace(log, channels=channels), {name: tuple(Row(tick, draw(notch)) for tick in ticks) for name in chosen}


def with_seconds(
    whole: Case, second: dict[str, tuple[Row, ...]], *, shift: int, bound: int, rule: SecondRecorder
) -> Case:
    """The case with a second recorder whose samples are ``shift`` ticks later, known to ``bound`` ticks."""
    made = {}
    for name, rows in second.items():
        moved = channel(name, tuple(Row(row.tick + shift, row.notch) for row in rows))
        made[f"{name} (backup)"] = replace(moved, name=f"{name} (backup)", second_of=name, recorder="backup")
    clock = RecorderClock(0, 0, bound * TICK, "by hand", person="inspector B")
    recordings = (Recording("main", ("log.csv",), 0, 0, TICK), Recording("backup", ("b.csv",), 0, 0, TICK, clock=clock))
    run = replace(whole.run, channels={**whole.run.channels, **made}, recordings=recordings)
    return whole.but(run=run, specification=replace(whole.specification, second_recorder=rule))


def no_better(before, after) -> None:
    assert before.keys() == after.keys()
    for thing, verdict in before.items():
        event(f"{verdict.outcome.value} -> {after[thing].outcome.value}")
        assert after[thing].outcome in MAY_BECOME[verdict.outcome], f"{thing}: {verdict}\n\nworse data: {after[thing]}"


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_a_second_recorder_settles_and_turns_nothing_round(kind, data):
    paper = data.draw(papers((kind,)))
    log, second = data.draw(broken(covers=(True, True, True, False, None)))
    note(f"{paper}\n{log}\n{second}")
    whole = case(paper, log)
    both = with_seconds(whole, second, shift=0, bound=data.draw(st.sampled_from((0, 1, 2))), rule=ALLOWED).verdicts()
    alone = whole.verdicts()
    no_better(both, alone)
    for thing, verdict in both.items():
        differs = verdict.outcome is not alone[thing].outcome
        assert verdict.without_second_recorder == (alone[thing].outcome if differs else None)


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_whatever_its_clock_was_within_the_bound_nothing_settled_would_be_otherwise(kind, data):
    paper = data.draw(papers((kind,)))
    log, second = data.draw(broken())
    bound = data.draw(st.integers(1, 3))
    shift = data.draw(st.integers(-bound, bound))
    note(f"{paper}\n{log}\n{second}\noff by {shift} of {bound}")
    whole = case(paper, log)
    true = with_seconds(whole, second, shift=shift, bound=0, rule=ALLOWED).verdicts()
    known = with_seconds(whole, second, shift=0, bound=bound, rule=ALLOWED).verdicts()
    no_better(true, known)


@given(data=st.data())
def test_what_is_not_allowed_changes_nothing(data):
    paper = data.draw(papers(KINDS))
    log, second = data.draw(broken())
    whole = case(paper, log)
    rule = SecondRecorder(False)
    assert with_seconds(whole, second, shift=0, bound=0, rule=rule).verdicts() == whole.verdicts()
    short = SecondRecorder(True, log.gap * TICK, None, "SP-12 rev B")  # every gap is longer than the largest one
    assert with_seconds(whole, second, shift=0, bound=0, rule=short).verdicts() == whole.verdicts()
