"""Columns of fixed width in an export: told by the places at which every line is blank."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from curewright.read.plain import CELL

FEWEST = 3  # lines of one length
MOST = 0.6  # of the lines have to have it
LOOKED_AT = 400

Run = tuple[int, int]


def widths_of(lines: list[str]) -> tuple[int, ...]:
    """How wide each column is, in characters; () where lines of one length do not stand under each other in columns.

    Right-aligned columns begin behind the one to their left, so that longer numbers stay in them.
    """
    tail = [line.rstrip("\r") for line in lines if line.strip()][-LOOKED_AT:]
    length, count = Counter(map(len, tail)).most_common(1)[0] if tail else (0, 0)
    if count < FEWEST or count < MOST * len(tail) or any("\t" in line for line in tail):
        return ()
    alike = [line for line in tail if len(line) == length]
    filled = [any(line[at] != " " for line in alike) for at in range(length)]
    runs = _joined(_runs(filled), alike[0])
    if len(runs) < 2:
        return ()
    ends = [_cut(left, right, alike) for left, right in pairwise(runs)]
    return tuple(end - start for start, end in zip((0, *ends), (*ends, length), strict=True))


def cut_at(lines: list[str], widths: tuple[int, ...]) -> list[str]:
    """Lines with a sign between the cells of fixed width."""
    ends = [sum(widths[: n + 1]) for n in range(len(widths) - 1)]
    places = list(zip((0, *ends), (*ends, None), strict=True))
    return [CELL.join(line[start:end].strip() for start, end in places) if line.strip() else "" for line in lines]


def _runs(filled: list[bool]) -> list[Run]:
    runs, start = [], None
    for at, here in enumerate([*filled, False]):
        if here and start is None:
            start = at
        elif not here and start is not None:
            runs.append((start, at))
            start = None
    return runs


def _joined(runs: list[Run], top: str) -> list[Run]:
    """Runs one blank apart of which the header names only the first are one column: a date and a time of day."""
    made: list[Run] = []
    for start, end in runs:
        if made and start - made[-1][1] == 1 and not top[start:end].strip():
            made[-1] = (made[-1][0], end)
        else:
            made.append((start, end))
    return made


def _cut(left: Run, right: Run, lines: list[str]) -> int:
    cells = [line[right[0] : right[1]] for line in lines if line[right[0] : right[1]].strip()]
    flush = all(cell[-1] != " " for cell in cells) and not all(cell[0] != " " for cell in cells)
    even = all(cell[-1] != " " and cell[0] != " " for cell in cells)
    return left[1] if flush or even else right[0]
