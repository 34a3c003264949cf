"""A drawing in points that becomes SVG: lines, areas, hatching and words, the same bytes for the same strokes.

Coordinates are rounded to tenths of a point (0.035 mm) and written as whole numbers, so that nothing depends on how a
float is printed. Words stay words (DejaVu Sans, which the record embeds). There is no date and no random name in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from curewright.picture.letters import FONT, width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

TENTHS = 10
OUTSIDE, UNKNOWN = "outside", "unknown"  # the two hatchings: forbidden by a limit; not known


@dataclass(frozen=True)
class Pen:
    """A stroke: width [pt], colour, and dashes [pt] (none: a solid line)."""

    width: float = 1.0
    colour: str = "#000"
    dash: tuple[float, ...] = ()

    @property
    def attributes(self) -> str:
        """As attributes of an SVG element."""
        dash = f' stroke-dasharray="{" ".join(str(_tenths(d)) for d in self.dash)}"' if self.dash else ""
        return f'fill="none" stroke="{self.colour}" stroke-width="{_tenths(self.width)}"{dash}'


@dataclass(frozen=True)
class Box:
    """A rectangle [pt]."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge (downwards is greater)."""
        return self.top + self.height

    def overlap(self, other: Box) -> float:
        """The area that two boxes share [pt2]."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(across, 0.0) * max(down, 0.0)


class Drawing:
    """A sheet of ``width`` by ``height`` points with strokes in their order; what is above all else is laid on top."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height, self.title = width, height, title
        self._under: list[str] = []
        self._over: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: Pen, kind: str = "") -> None:
        """A straight line; ``kind`` says what it is for whoever reads the file."""
        self._add(f'<path{_kind(kind)} d="M{_tenths(x1)} {_tenths(y1)} {_tenths(x2)} {_tenths(y2)}" {pen.attributes}/>')

    def path(self, pieces: Sequence[NDArray[np.float64]], pen: Pen, kind: str = "") -> None:
        """Lines through points, shape (n, 2) each; a gap is where one piece ends and the next begins. A single point is a dot."""
        d = "".join(_polyline(piece) for piece in pieces if len(piece))
        if d:
            ends = ' stroke-linejoin="round" stroke-linecap="round"' if not pen.dash else ' stroke-linejoin="round"'
            self._add(f'<path{_kind(kind)} d="{d}" {pen.attributes}{ends}/>')

    def area(self, outlines: Sequence[NDArray[np.float64]], fill: str, kind: str = "") -> None:
        """Closed outlines, shape (n, 2) each, filled with a colour or one of the hatchings."""
        d = "".join(_polyline(outline) + "Z" for outline in outlines if len(outline))
        if d:
            self._add(f'<path{_kind(kind)} d="{d}" fill="{_fill(fill)}"/>')

    def box(self, box: Box, fill: str = "none", pen: Pen | None = None, kind: str = "") -> None:
        """A rectangle, filled or outlined or both."""
        stroke = f' stroke="{pen.colour}" stroke-width="{_tenths(pen.width)}"' if pen else ""
        self._add(f'<rect{_kind(kind)} {_edges(box)} fill="{_fill(fill)}"{stroke}/>')

    def dot(self, x: float, y: float, radius: float, fill: str = "#000", kind: str = "") -> None:
        """A filled dot with a thin black rim."""
        self._add(
            f'<circle{_kind(kind)} cx="{_tenths(x)}" cy="{_tenths(y)}" r="{_tenths(radius)}" fill="{fill}"'
            ' stroke="#000" stroke-width="7"/>'
        )

    def ring(self, x: float, y: float, radius: float, kind: str = "deciding") -> None:
        """An open ring around a point."""
        where = f'cx="{_tenths(x)}" cy="{_tenths(y)}" r="{_tenths(radius)}"'
        self._add(f'<circle{_kind(kind)} {where} fill="none" stroke="#000" stroke-width="13"/>')

    def words(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        anchor: str = "start",
        bold: bool = False,
        ground: bool = False,
        colour: str = "#000",
    ) -> None:
        """Words on their base line; ``anchor`` start, middle or end; ``ground`` whitens what lies under them."""
        if not words:
            return
        if ground:
            self._ground(x, y, words, size, anchor, bold)
        weight = ' font-weight="bold"' if bold else ""
        where = "" if anchor == "start" else f' text-anchor="{anchor}"'
        ink = "" if colour == "#000" else f' fill="{colour}"'
        self._over.append(
            f'<text x="{_tenths(x)}" y="{_tenths(y)}" font-size="{_tenths(size)}"{weight}{where}{ink}>{_plain(words)}</text>'
        )

    def svg(self) -> bytes:
        """The whole drawing as an SVG file."""
        w, h = _tenths(self.width), _tenths(self.height)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:g}pt" height="{self.height:g}pt" viewBox="0 0 {w} {h}"'
            f' font-family="{FONT}">\n<title>{_plain(self.title)}</title>\n{_HATCHES}'
        )
        return "\n".join([head, *self._under, *self._over, "</svg>", ""]).encode("utf-8")

    def _add(self, element: str) -> None:
        self._under.append(element)

    def _ground(self, x: float, y: float, words: str, size: float, anchor: str, bold: bool) -> None:
        wide = width(words, size, bold=bold)
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        self._over.append(
            f'<rect {_edges(Box(left - 1.0, y - 0.80 * size, wide + 2.0, 1.06 * size))} fill="#fff" fill-opacity="0.85"/>'
        )


_HATCHES = """<defs>
<pattern id="outside" width="38" height="38" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">\
<rect width="38" height="38" fill="#e4e4e4"/><path d="M0 0V38" stroke="#555" stroke-width="9"/></pattern>
<pattern id="unknown" width="60" height="60" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">\
<path d="M0 0V60M0 0H60" stroke="#888" stroke-width="7"/></pattern>
</defs>"""


def _tenths(points: float) -> int:
    return round(points * TENTHS)


def _fill(fill: str) -> str:
    return f"url(#{fill})" if fill in (OUTSIDE, UNKNOWN) else fill


def _kind(kind: str) -> str:
    return f' class="{escape(kind)}"' if kind else ""


def _edges(box: Box) -> str:
    return f'x="{_tenths(box.left)}" y="{_tenths(box.top)}" width="{_tenths(box.width)}" height="{_tenths(box.height)}"'


def _plain(words: str) -> str:
    """Words that may stand in XML: no control characters."""
    return escape("".join(letter if letter.isprintable() else " " for letter in words), quote=False)


def _polyline(points: NDArray[np.float64]) -> str:
    numbers: NDArray[np.int64] = np.rint(points * TENTHS).astype(np.int64)
    if len(numbers) == 1:
        numbers = np.repeat(numbers, 2, axis=0)
    elif len(numbers) > 2:
        numbers = _without_repeats(numbers)
    return "M" + " ".join(map(str, numbers.ravel().tolist()))


def _without_repeats(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """Without points that say nothing: the same as the one before, or in the middle of a level or an upright stretch."""
    same = (np.diff(numbers, axis=0) == 0).all(axis=1)
    numbers = numbers[np.append(True, ~same)]
    if len(numbers) < 3:
        return numbers if len(numbers) > 1 else np.repeat(numbers, 2, axis=0)
    step = np.diff(numbers, axis=0)
    level = (step[:-1, 1] == 0) & (step[1:, 1] == 0) & (step[:-1, 0] * step[1:, 0] > 0)
    upright = (step[:-1, 0] == 0) & (step[1:, 0] == 0) & (step[:-1, 1] * step[1:, 1] > 0)
    keep = np.concatenate([[True], ~(level | upright), [True]])
    return np.asarray(numbers[keep])
