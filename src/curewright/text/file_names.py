"""Names of files from words that people wrote."""

from __future__ import annotations

import re


def plain(words: str) -> str:
    """Words as a piece of a file name on any system: letters, digits and hyphens.

    >>> plain("00104"), plain("flange, lee side"), plain("§")
    ('00104', 'flange-lee-side', 'x')
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-") or "x"


def unlike(name: str, others: set[str]) -> str:
    """The name, with a number at its end where another file is called so; what comes out is one of the others from then on.

    >>> taken = {"a"}
    >>> unlike("a", taken), unlike("a", taken), unlike("b", taken)
    ('a-2', 'a-3', 'b')
    """
    found, number = name, 1
    while found in others:
        number += 1
        found = f"{name}-{number}"
    others.add(found)
    return found
