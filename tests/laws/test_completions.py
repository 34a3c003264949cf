"""The guiding rule: *met* is met whatever the unknown was, *not met* is met for no value of it.

A random log with bad samples, gaps, late starts, early ends, uncertain hand entries and a record that may stop too soon is judged; then
all that is unknown in it is filled with random values, and the completed log is judged. The definition of what is unknown is
written here anew, from the design alone.

Not in here: ``count`` and ``recording`` are about the record itself, so filling it is another record; for ``rate`` only bad samples are
filled, because absent rows cost no more than their windows (case 25).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import event, given, note
from hypothesis import strategies as st

from curewright.terms.verdict import Outcome
from tests.laws.nouns import verdicts
from tests.laws.paper import KINDS, Log, Note, Row, logs, papers

SETTLED = (Outcome.MET, Outcome.NOT_MET)
FILLINGS = st.one_of(st.integers(-8, 8), st.integers(-8, 8), st.sampled_from((-60, 60)))


def unknown_ticks(rows: tuple[Row, ...], end: int, gap: int) -> list[int]:
    """The ticks of [0, end] at which a channel is not known."""
    good = [row.tick for row in rows if row.notch is not None]
    bad = [row.tick for row in rows if row.notch is None]
    known = set(good)
    for a, b in pairwise(good):
        if b - a <= gap and not any(a < tick < b for tick in bad):
            known |= set(range(a, b))
    return [tick for tick in range(end + 1) if tick not in known]


@st.composite
def completions(draw, log: Log, *, bad_only: bool = False):
    """The log with everything that is unknown in it replaced by random values, one for every tick."""
    end = log.end if log.covers or bad_only else log.end + draw(st.integers(0, 12))
    channels = {}
    for name, rows in log.channels.items():
        bad = {row.tick for row in rows if row.notch is None}
        ticks = sorted(bad) if bad_only else unknown_ticks(rows, end, log.gap)
        values = st.integers(0, 1) if name in log.states else FILLINGS
        filled = dict(zip(ticks, draw(st.lists(values, min_size=len(ticks), max_size=len(ticks))), strict=True))
        filled |= {row.tick: row.notch for row in rows if row.notch is not None}
        channels[name] = tuple(Row(tick, filled[tick]) for tick in sorted(filled))
    covers = log.covers if bad_only else True
    notes = tuple(draw(exact(each, end)) for each in log.notes)
    return replace(log, channels=channels, end=end, covers=covers, notes=notes)


@st.composite
def exact(draw, of: Note, end: int):
    """A hand entry whose times are some of those that it allows; nothing happens after the end of a record that covers the run."""

    def one_of(tick: int) -> int:
        return draw(st.integers(tick - of.plus_minus, max(min(tick + of.plus_minus, end), tick - of.plus_minus)))

    return Note(of.name, one_of(of.tick), None if of.until is None else one_of(of.until), 0)


def holds(paper, log, completed) -> None:
    """What was settled by the log is so in its completion."""
    before, after = verdicts(paper, log), verdicts(paper, completed)
    note(f"{paper}\n{log}\n{completed}")
    assert before.keys() == after.keys()
    event(f"outcomes: {sorted({verdict.outcome.value for verdict in before.values()})}")
    for thing, verdict in before.items():
        if verdict.outcome in SETTLED:
            assert after[thing].outcome is verdict.outcome, f"{thing}: {verdict}\n\ncompleted: {after[thing]}"


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_what_is_settled_is_so_whatever_the_unknown_was(kind, data):
    paper = data.draw(papers((kind,)))
    log = data.draw(logs(covers=(True, True, False, None)))
    holds(paper, log, data.draw(completions(log)))


@given(data=st.data())
def test_a_rate_is_so_whatever_the_bad_samples_were(data):
    paper = data.draw(papers(("rate",)))
    log = data.draw(logs())
    holds(paper, log, data.draw(completions(log, bad_only=True)))
