"""How the paper was read: every choice that it does not make, with why and by whom; and the whole specification in English."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.record.cure_record.blocks import degrees, paragraph, section, table, title
from curewright.understand.choices import UNSTATED
from curewright.understand.english import english

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block, Cell
    from curewright.record.cure_record.papers import Papers


def interpretations(papers: Papers) -> Iterator[Block]:
    """The chapter of choices, and a chapter for each specification as it was understood."""
    rows: list[list[Cell]] = [
        [one["number"], choice["what"], degrees(choice["chosen"]), choice["because"] or UNSTATED, choice["approved_by"]]
        for one in papers.document["specifications"]
        for choice in one["choices"]
    ]
    illustrative: list[list[Cell]] = [
        [one["number"], clause["number"], "", f"illustrative, no controlling limit: {clause['illustrative']}", ""]
        for one in papers.document["specifications"]
        for clause in one["clauses"]
        if clause["illustrative"]
    ]
    head = ("Specification", "Event or requirement", "What is chosen", "Because", "Approved by")
    none = "None: the paper leaves no choice open."
    yield section(
        "Interpretations and who approved them", [table(head, (1.1, 1.4, 3, 2.2, 1.3), rows + illustrative, none)]
    )
    used = {(one["number"], one["revision"]) for one in papers.document["specifications"]}
    for one in papers.specifications:
        if (one.number, one.revision) in used:
            yield section(f"{one.number} revision {one.revision} as it was read", _read_back(english(one)))


def _read_back(text: str) -> Iterator[Block]:
    """The English of a specification, a list a stretch, indented as it is."""
    stretch: list[dict[str, int | str]] = []
    for line in text.splitlines():
        words = line.strip()
        if words.startswith("# "):
            if stretch:
                yield {"kind": "read_back", "lines": stretch}
            stretch = []
            yield title(words.removeprefix("# "))
        elif words:
            stretch.append({"indent": (len(line) - len(words)) // 2, "words": degrees(words)})
    if stretch:
        yield {"kind": "read_back", "lines": stretch}
    yield paragraph(
        "Each sentence above is one fact of the plan that the judge works from; the file itself is attached.", "small"
    )
