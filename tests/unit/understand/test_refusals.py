"""Everything that the language refuses, with the exact words, file, line and column: see refusals.txt."""

from __future__ import annotations

from pathlib import Path

import pytest

from curewright.terms.errors import Errors
from curewright.understand.specification import understand
from tests.unit.understand.head import HEAD, clause, text_of

ADVICE = ". To do: state one; where the paper does not say which, add a 'because' with who approved it"
PERSON = '"1":\n  says: a sentence\n  by a person: inspector\n'


def tried() -> list[tuple[str, str, str]]:
    """The entries of refusals.txt: what is tried, and what is said of it."""
    found: list[tuple[str, str, list[str]]] = []
    for line in Path(__file__).with_name("refusals.txt").read_text(encoding="utf-8").split("\n"):
        if line.startswith("    "):
            found[-1][2].append(line.removeprefix("    ").replace(" …!", ADVICE))
        elif line and not line.startswith("#"):
            kind, _, what = line.partition(": ")
            found.append((kind, what.replace(" ¶ ", "\n"), []))
    return [(kind, what, "\n".join(said)) for kind, what, said in found]


def file_of(kind: str, what: str) -> str:
    """The file that is tried: one form, one more event, or a changed head."""
    if kind == "form":
        return text_of(clause(what))
    if kind == "event":
        return text_of(PERSON, head=HEAD.replace("events:\n", f"events:\n  x: {what}\n"))
    before, _, after = what.partition(" => ")
    assert before in HEAD
    return text_of(PERSON, head=HEAD.replace(before, after, 1))


@pytest.mark.parametrize("kind, what, said", tried())
def test_refused_in_these_words(kind: str, what: str, said: str) -> None:
    with pytest.raises(Errors) as caught:
        understand(file_of(kind, what), "s.yaml")
    assert str(caught.value) == said


def test_the_table_is_read() -> None:
    assert len(tried()) > 120
    assert all(said for _, _, said in tried())
