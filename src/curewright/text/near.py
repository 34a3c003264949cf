"""Did you mean: the known words that are nearest to one that is not known."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The advice for an unknown word: the nearest known ones, else all of them (at most twelve).

    >>> did_you_mean("serail", ["serial", "number"])
    "did you mean 'serial'?"
    >>> did_you_mean("x", ["serial", "number"])
    "known here: 'serial', 'number'"
    """
    words = list(dict.fromkeys(known))
    near = nearest(word, words)
    if near:
        return near
    listed = ", ".join(repr(each) for each in words[:12])
    return f"known here: {listed}" + (", …" if len(words) > 12 else "")


def same_but_for_noughts(word: str, known: Iterable[str]) -> str:
    """The advice for a number that lost the noughts at its front; nothing where no known one is the same without them.

    >>> same_but_for_noughts("103", ["00103", "00104"])
    "did you mean '00103'? Noughts at the front belong to it: write it alike, in quotes"
    """
    near = [each for each in known if each != word and each.lstrip("0") == word.lstrip("0") != ""]
    listed = " or ".join(repr(each) for each in near)
    return f"did you mean {listed}? Noughts at the front belong to it: write it alike, in quotes" if near else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """The advice for an unknown word where known ones are near; nothing where none is.

    >>> nearest("serail", ["serial", "number"])
    "did you mean 'serial'?"
    >>> nearest("x", ["serial", "number"])
    ''
    """
    words = list(known)
    near = [each for each in words if each.casefold() == word.casefold()]
    near = near or get_close_matches(word.lower(), words, n=3, cutoff=0.6)
    return f"did you mean {' or '.join(repr(each) for each in near)}?" if near else ""


def nearest_file(name: str, known: Iterable[str]) -> str:
    """The advice for a file that is not there: those of the same ending whose names before it are near; nothing where none is.

    >>> nearest_file("lernt.yaml", ["learnt.yaml", "run.yaml", "learnt.csv"])
    "did you mean 'learnt.yaml'?"
    """
    stem, dot, ending = name.rpartition(".")
    by_stem = {one.rpartition(".")[0].lower(): one for one in known if one.rpartition(".")[1:] == (dot, ending)}
    near = [by_stem[one] for one in get_close_matches(stem.lower(), by_stem, n=3, cutoff=0.6)]
    return f"did you mean {' or '.join(repr(each) for each in near)}?" if near else ""
