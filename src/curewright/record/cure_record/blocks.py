"""The blocks that the template (``cure_record.typ``) can print: dictionaries of texts, so that no word of a user is ever markup."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from curewright.record.words import MARKS
from curewright.text.shown import plain, shortened

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from curewright.record.cure_record.papers import Plot

Block = dict[str, Any]
Cell = str | dict[str, str]


def section(title: str, blocks: Iterable[Block], *, flipped: bool = False, new_page: bool = False) -> Block:
    """A chapter of the record; ``flipped`` prints it across the paper."""
    return {"title": title, "blocks": list(blocks), "flipped": flipped, "new_page": new_page}


def title(words: str) -> Block:
    """A heading inside a chapter."""
    return {"kind": "title", "words": words}


def paragraph(words: str, style: str = "plain") -> Block:
    """A paragraph; ``style``: plain, small or notice (in a frame)."""
    return {"kind": "paragraph", "words": words, "style": style}


def pairs(rows: Iterable[tuple[str, Cell]]) -> Block:
    """Labels with what belongs to each; a label without words is left out."""
    return {"kind": "pairs", "rows": [[label, cell] for label, cell in rows if cell]}


def table(head: Sequence[str], widths: Sequence[float], rows: Iterable[Sequence[Cell]], none: str = "None.") -> Block:
    """A table whose head comes again on each page; ``widths`` are shares of the page (0: as wide as its words)."""
    made = [list(row) for row in rows]
    if not made:
        return paragraph(none)
    assert all(len(row) == len(head) == len(widths) for row in made)
    return {"kind": "table", "head": list(head), "widths": list(widths), "rows": made}


def lines(items: Iterable[str], none: str = "None.") -> Block:
    """A list."""
    made = list(items)
    return {"kind": "lines", "lines": made} if made else paragraph(none)


def plot(drawn: Plot) -> Block:
    """A plot that fills what is left of its page."""
    return {"kind": "plot", "file": drawn.name, "says": drawn.says}


def outcome(word: str) -> dict[str, str]:
    """A cell with the mark and the word of an outcome; its look repeats them without colour."""
    sign, said, _ = MARKS[word]
    return {"outcome": word, "words": f"{sign} {said}"}


def digits(words: str) -> dict[str, str]:
    """A cell of hexadecimal digits or other text whose every sign counts."""
    return {"digits": words}


def unit_signs(words: str) -> str:
    """Numbers to three places and units as paper writes them.

    >>> unit_signs("at most 355.00000 degF difference")
    'at most 355 °F'
    """
    return degrees(plain(shortened(words)))


def degrees(words: str) -> str:
    """The words with the sign of a degree in its place: ``355 degF`` is 355 °F."""
    return re.sub(r"\bdeg([CF])\b", r"°\1", words) if "deg" in words else words
