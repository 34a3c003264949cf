"""Texts as the fonts of the record can print them: a sign that they lack is shown by its number, never as an empty box.

Long words get places where they may be broken, so that no name is cut at the edge of its column.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

FONTS = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
# Signs that both fonts have, known beforehand so that the fonts need not be asked for an everyday text.
USUAL = frozenset(map(chr, [*range(0x20, 0x7F), *range(0xA1, 0x180), *range(0x391, 0x3A2), *range(0x3B1, 0x3CA)])) - {
    "\u00ad"
} | set("–—‘’“”…•−×≤≥→✗✓✎∅\u00a0")
LONG = re.compile(r"[^\s\u200b]{17,}")
BREAK = "\u200b"


def printable(data: Any) -> Any:
    """The data with every text in it as the fonts can print it, and with long words breakable."""
    return _each_text(data, _text)


def _each_text(data: Any, change: Callable[[str], str]) -> Any:
    if isinstance(data, str):
        return change(data)
    if isinstance(data, dict):
        return {name: value if name in KEPT else _each_text(value, change) for name, value in data.items()}
    if isinstance(data, list):
        return [_each_text(value, change) for value in data]
    return data


KEPT = {"digest", "file", "digits", "kind", "outcome_class", "path", "mime", "relationship"}  # no words for people


def _text(words: str) -> str:
    if not USUAL.issuperset(words):
        words = "".join(
            sign if sign in USUAL or sign in _covered() else f"[U+{ord(sign):04X}]"
            for sign in " ".join(words.split("\n"))
        )
    return LONG.sub(_breakable, words)


def _breakable(found: re.Match[str]) -> str:
    """A long word with a place to break after each sign that joins, or after twelve letters without one."""
    return re.sub(r"([-_./\\:,;=+]|[^-_./\\:,;=+]{12})(?=.)", rf"\1{BREAK}", found[0])


@cache
def _covered() -> frozenset[str]:
    """The signs that every font of the record has."""
    from matplotlib.ft2font import FT2Font  # here: only a rare text needs it

    folder = fonts_folder()
    maps = [set(FT2Font(str(folder / name)).get_charmap()) for name in FONTS]
    hidden = {
        code
        for code in set.intersection(*maps)
        if code < 0x20
        or 0x7F <= code <= 0xA0
        or 0x200C <= code <= 0x200F
        or 0x202A <= code <= 0x202E
        or 0x2060 <= code <= 0x206F
        or 0xE000 <= code <= 0xF8FF
    }
    return frozenset(map(chr, set.intersection(*maps) - hidden))


@cache
def fonts_folder() -> Path:
    """The folder with the fonts that come with matplotlib (DejaVu), found without importing it."""
    from importlib.util import find_spec

    spec = find_spec("matplotlib")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
