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
# Controls, spaces without width, marks of direction, private use: what nobody sees must not change what an auditor reads.
HIDDEN = (
    (0, 0x1F),
    (0x7F, 0xA0),
    (0xAD, 0xAD),
    (0x200B, 0x200F),
    (0x2028, 0x202E),
    (0x2060, 0x206F),
    (0xE000, 0xF8FF),
    (0xFE00, 0xFEFF),
)
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


KEPT = {"metadata", "file", "digits", "kind"}  # what is not printed as words


def _text(words: str) -> str:
    if not USUAL.issuperset(words):
        words = "".join(
            sign if sign in USUAL or sign in _covered() else f"[U+{ord(sign):04X}]"
            for sign in " ".join(words.split("\n"))
        )
    return words if "____" in words else LONG.sub(_breakable, words)  # a line to write on stays one line


def _breakable(found: re.Match[str]) -> str:
    """A long word with a place to break after each sign that joins, or after twelve letters without one."""
    return re.sub(r"([-_./\\:,;=+]|[^-_./\\:,;=+]{12})(?=.)", rf"\1{BREAK}", found[0])


@cache
def _covered() -> frozenset[str]:
    """The signs that every font of the record has."""
    from matplotlib.ft2font import FT2Font  # here: only a rare text needs it

    folder = fonts_folder()
    maps = [set(FT2Font(str(folder / name)).get_charmap()) for name in FONTS]
    return frozenset(
        chr(code) for code in set.intersection(*maps) if not any(low <= code <= high for low, high in HIDDEN)
    )


@cache
def fonts_folder() -> Path:
    """The folder with the fonts that come with matplotlib (DejaVu), found without importing it."""
    from importlib.util import find_spec

    spec = find_spec("matplotlib")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
