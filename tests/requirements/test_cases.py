"""The Markdown cases beside this file: each says in words what a requirement means, and is judged as written."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from curewright.terms.errors import CurewrightError
from curewright.understand.attainable import attainable
from tests.requirements.case_run import Judged, barometer_of, judged, specification_of
from tests.requirements.expected import differences_in_events, differences_in_verdicts, differences_in_words
from tests.requirements.pages import Expected, Trial, pages, trials_of

if TYPE_CHECKING:
    from collections.abc import Iterator

TRIALS = [trial for page in pages() for trial in trials_of(page)]
REFUSED, BEFORE_THE_RUN = "refused", "refused before the run"
BINDING = range(1, 46)  # the numbers of the design's cases


@pytest.mark.parametrize("trial", [pytest.param(trial, id=trial.name) for trial in TRIALS])
def test_case(trial: Trial) -> None:
    found = list(differences(trial))
    if found:
        pytest.fail(report(trial, found), pytrace=False)


def differences(trial: Trial) -> Iterator[str]:
    """Everything in which a trial does not come out as expected."""
    words = [pair for expected in trial.expected for pair in expected.words]
    refusals = [said for what, said in words if what == REFUSED]
    if refusals:
        yield from _refused(trial, refusals)
    for what, said in words:
        if what == BEFORE_THE_RUN:
            errors = attainable(specification_of(trial.blocks), barometer_of(trial.blocks))
            yield from _missing(said, "\n".join(str(error) for error in errors), "before the run")
    rest = [(what, said) for what, said in words if what not in (REFUSED, BEFORE_THE_RUN)]
    tables = [expected.rows for expected in trial.expected if expected.rows]
    if refusals and (rest or tables):
        yield "a trial that is refused has no other outcome"
    elif rest or tables:
        yield from _held(tables, rest, judged(trial.blocks))


def _held(tables: list, rest: list[tuple[str, str]], found: Judged) -> Iterator[str]:
    for rows in tables:
        yield from (differences_in_events if "event" in rows[0] else differences_in_verdicts)(rows, found)
    for what, said in rest:
        yield from differences_in_words(what, said, found)


def _refused(trial: Trial, refusals: list[str]) -> Iterator[str]:
    try:
        found = judged(trial.blocks) if "log" in trial.blocks else specification_of(trial.blocks)
    except CurewrightError as error:
        for said in refusals:
            yield from _missing(said, str(error), "refused")
    else:
        yield f"refused with '{refusals[0]}' expected; it was taken: {type(found).__name__}"


def _missing(said: str, message: str, when: str) -> Iterator[str]:
    for part in said.split(";"):
        if part.strip() not in message:
            yield f"{when}: '{part.strip()}' expected in the message, which is: {message or 'nothing'}"


def report(trial: Trial, found: list[str]) -> str:
    """A failure in words: where, the prose, the blocks and the differences."""
    blocks = "\n".join(f"```{kind}\n{text}```" for kind, text in trial.blocks.items())
    listed = "\n".join(f"  * {each}" for each in found)
    return f"{trial.name}\n\n{trial.prose}\n\n{blocks}\n\nIt does not come out as written:\n{listed}"


@pytest.mark.parametrize("number", BINDING)
def test_every_case_of_the_design_is_here(number: int) -> None:
    headings = {trial.case for trial in TRIALS}
    pattern = re.compile(rf"^Case {number}\b")
    assert [each for each in headings if pattern.match(each)], f"no case {number}"


SURELY_WRONG = {"starts": "12345", "ends": "12345", "at": "12345", "instant": "12345", "margin": "12345"}


@pytest.mark.parametrize("trial", [pytest.param(trial, id=trial.name) for trial in TRIALS])
def test_every_expectation_counts(trial: Trial) -> None:
    """Each cell and each word of the expectations, made wrong, is found to be wrong: none of them asserts nothing."""
    for i, expected in enumerate(trial.expected):
        for wrong in wrong_ones(expected):
            changed = (*trial.expected[:i], wrong, *trial.expected[i + 1 :])
            assert list(differences(replace(trial, expected=changed))), wrong


def wrong_ones(expected: Expected) -> Iterator[Expected]:
    """The same expectations with one cell wrong, in turn."""
    for i, (what, said) in enumerate(expected.words):
        yield replace(expected, words=(*expected.words[:i], (what, f"{said} not so"), *expected.words[i + 1 :]))
    for i, row in enumerate(expected.rows):
        for column in [column for column in row if row[column]]:
            wrong = {**row, column: wrong_cell(column, row[column])}
            yield replace(expected, rows=(*expected.rows[:i], wrong, *expected.rows[i + 1 :]))


def wrong_cell(column: str, cell: str) -> str:
    """Another cell of the same kind."""
    if column == "outcome":
        return "met" if cell != "met" else "not met"
    return SURELY_WRONG.get(column) or (f"{cell} not so" if " " in cell else "54321")
