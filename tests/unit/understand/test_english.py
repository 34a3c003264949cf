"""The reading-back, word for word, and that it says the whole plan: papers 1 and 2 together hold every kind and every choice."""

from __future__ import annotations

from pathlib import Path

import pytest

from curewright.terms.errors import FileError, Place
from curewright.terms.requirement import KINDS, Specification
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand, without_places
from curewright.understand.writer import write

HERE = Path(__file__).parent
PAPERS = ("paper", "paper-2")


def paper(name: str) -> Specification:
    return understand((HERE / f"{name}.yaml").read_bytes(), f"{name}.yaml")


@pytest.mark.parametrize("name", PAPERS)
def test_english_word_for_word(name: str) -> None:
    assert english(paper(name)) == (HERE / f"{name}.english.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", PAPERS)
def test_written_again_word_for_word(name: str) -> None:
    assert write(paper(name)) == (HERE / f"{name}.written.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", PAPERS)
def test_english_and_yaml_read_back_to_the_same_plan(name: str) -> None:
    plan = paper(name)
    assert without_places(read_back(english(plan))) == without_places(plan)
    assert without_places(understand(write(plan), "again.yaml")) == without_places(plan)


def test_the_papers_hold_every_kind() -> None:
    used = {type(form) for name in PAPERS for clause in paper(name).clauses for form in clause.forms}
    assert used == set(KINDS.values())


def test_a_changed_limit_in_the_english_changes_the_plan() -> None:
    plan = paper("paper")
    changed = english(plan).replace("must be at most 140 degF at", "must be at most 141 degF at")
    assert without_places(read_back(changed)) != without_places(plan)


def test_notes_and_headings_are_passed_over() -> None:
    plan = paper("paper")
    without = "\n".join(line for line in english(plan).splitlines() if not line.strip().startswith(("Note: ", "# ")))
    assert without_places(read_back(without)) == without_places(plan)


@pytest.mark.parametrize("line", ["Soak it well.", "For each part, one must be.", "It stays."])
def test_a_line_that_is_no_sentence_of_ours_is_refused(line: str) -> None:
    text = english(paper("paper"))
    with pytest.raises(FileError) as caught:
        read_back(text + line)
    assert caught.value.found == f"'{line}'"
    assert caught.value.expected == "a sentence of Curewright's English"
    assert caught.value.where == Place("", text.count("\n") + 1, 1)


def test_the_trade_word_is_told_but_is_no_part_of_the_plan() -> None:
    plan = paper("paper")
    assert plan.notes == ("paper.yaml:26:11: 'lagging' is read as coldest, because this is about heating.",)
    assert f"Note: {plan.notes[0]}\n" in english(plan)
    assert read_back(english(plan)).notes == ()


@pytest.mark.parametrize("begin", ["Status: ", "Because ", "The paper says: "])
def test_what_is_said_twice_is_refused(begin: str) -> None:
    """A second sentence on the same thing would win unseen."""
    text = english(paper("paper"))
    line = next(line for line in text.splitlines() if line.strip().startswith(begin))
    with pytest.raises(FileError, match=r"says again what was said before; expected each thing once"):
        read_back(text.replace(line, f"{line}\n{line}", 1))
