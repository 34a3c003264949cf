"""What the README shows is what a reader gets: the excerpt, the clause to write, the refusal that it speaks of."""

import re
from pathlib import Path

import pytest

from curewright.picture.example_traces import example
from curewright.terms.errors import CurewrightError
from curewright.terms.verdict import Outcome
from curewright.understand.specification import understand

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAPER = ROOT / "src" / "curewright" / "jobs" / "demo_files" / "specification-EX-177-2.yaml"


def block(after: str) -> str:
    """The first code block after some words."""
    found = re.search(r"```\w*\n(.*?)```", README[README.index(after) :], re.DOTALL)
    assert found is not None
    return found.group(1)


def paper_with(clause: str) -> str:
    """The demo's head with the events and the clause of the README instead of its own."""
    head = PAPER.read_text(encoding="utf-8").split("events:")[0]
    return head + clause


def test_the_excerpt_is_what_the_demo_prints(demo_judged) -> None:  # type: ignore[no-untyped-def]
    printed = [line.rstrip() for line in demo_judged[1].stdout.splitlines()]
    shown = block("## What the result looks like").splitlines()
    assert len(shown) > 30
    spot = 0
    for line in shown:
        if line not in ("[…]", ""):
            assert line in printed[spot:], line
            spot = printed.index(line, spot)


def test_the_clause_can_be_copied() -> None:
    specification = understand(paper_with(block("## Write a clause")), "copied.yaml")
    (clause,) = specification.clauses
    assert [form.name for form in clause.forms] == ["duration", "band"]
    for form in clause.forms:
        for wanted in (Outcome.MET, Outcome.NOT_MET):
            assert example(specification, clause, form, wanted) is not None


def test_left_out_it_is_refused_with_the_choices() -> None:
    clause = block("## Write a clause").replace("      when it leaves: the clock pauses\n", "")
    with pytest.raises(CurewrightError) as refused:
        understand(paper_with(clause), "copied.yaml")
    for choice in ("the clock restarts", "the clock pauses", "the clock runs on"):
        assert choice in str(refused.value)


def test_what_it_counts_is_so() -> None:
    from curewright.terms.requirement import KINDS

    assert "eleven kinds" in README
    assert len(KINDS) == 11
    assert "ten published cures" in README
    assert len(list((ROOT / "examples" / "specifications").glob("*.yaml"))) == 10
