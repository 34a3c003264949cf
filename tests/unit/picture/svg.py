"""Reads a drawing back: its lines, boxes and words, and the scales as its own ticks state them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np

NAMESPACE = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Word:
    """Words with their anchor point [tenths of a point]."""

    x: int
    y: int
    text: str
    anchor: str


class Read:
    """A drawing, parsed as XML."""

    def __init__(self, svg: bytes) -> None:
        self.root = ElementTree.fromstring(svg)
        self.words = [
            Word(int(e.get("x", "")), int(e.get("y", "")), e.text or "", e.get("text-anchor", "start"))
            for e in self.root.iter(f"{NAMESPACE}text")
        ]

    @property
    def text(self) -> str:
        """All words."""
        return " | ".join(word.text for word in self.words)

    def elements(self, kind: str) -> list[ElementTree.Element]:
        """Everything of a kind, in the order in which it was drawn."""
        return [element for element in self.root.iter() if element.get("class") == kind]

    def lines(self, kind: str) -> list[np.ndarray]:
        """The unbroken lines of a kind, shape (n, 2) each [tenths of a point]."""
        return [piece for element in self.elements(kind) for piece in pieces(element.get("d", ""))]

    def boxes(self, kind: str) -> list[tuple[int, int, int, int]]:
        """The boxes of a kind: left, top, width, height."""
        return [tuple(int(e.get(name, "")) for name in ("x", "y", "width", "height")) for e in self.elements(kind)]  # type: ignore[misc]

    def values(self, frame: tuple[int, int, int, int]):
        """(slope, offset) of the value scale beside a frame, from the first and the last number of its axis; checks those between."""
        left, top, _, height = frame
        numbers = [
            w for w in self.words if w.anchor == "end" and 0 < left - w.x < 60 and top - 40 <= w.y <= top + height + 60
        ]
        ticks = sorted((w.y - 32, float(w.text)) for w in numbers)
        (y1, v1), (y2, v2) = ticks[0], ticks[-1]
        slope = (v2 - v1) / (y2 - y1)
        for y, v in ticks:
            assert abs(v1 + slope * (y - y1) - v) <= abs(slope) * 1.01
        return slope, v1 - slope * y1


def pieces(d: str) -> list[np.ndarray]:
    """The unbroken lines of a path."""
    return [
        np.array([int(n) for n in part.replace("Z", "").split()]).reshape(-1, 2)
        for part in re.split("M", d)
        if part.strip()
    ]
