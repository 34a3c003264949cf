"""What a peer's tool is asked of the samples, and the words in which it and the logic above it speak: conditions, events, answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from bench.peers import stretches as sets

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np

NEVER = 2**62
MET, NOT_MET, NOT_SHOWN = "met", "not met", "not shown"
Event = tuple[int, int]
Found = tuple[float, int, str]


@dataclass(frozen=True)
class Answer:
    """What a peer says of one requirement and thing: margin in grains, deciding instant [ns] and channel, the other readings,
    the samples around.
    """

    outcome: str
    margin: float | None = None
    at: int | None = None
    channel: str = ""
    others: tuple[tuple[str, str], ...] = ()
    without_set_aside: str | None = None
    numbers: tuple[tuple[str, float, float], ...] = ()  # of the other definitions of a rate: least and greatest
    samples: tuple[tuple[str, int, float], ...] = ()  # quoted around the deciding instant: column, instant, value


@dataclass(frozen=True, eq=False)
class Condition:
    """Where it surely holds and where it surely does not; ``closed``: the stretches in which it holds have their ends."""

    true: np.ndarray
    false: np.ndarray
    closed: bool

    def maybe(self) -> np.ndarray:
        """Where it is not surely false."""
        return sets.outside(self.false, closed=self.closed)

    def inverted(self) -> Condition:
        return Condition(self.false, self.true, not self.closed)

    def surely(self, start: int, end: int) -> np.ndarray:
        return sets.cut(self.true, start, end, closed=self.closed)

    def possibly(self, start: int, end: int) -> np.ndarray:
        return sets.cut(self.maybe(), start, end, closed=self.closed)


class Tool(Protocol):
    """What a peer has to find in the samples. Names are columns of the table; times are ns."""

    name: str

    def unknown(self) -> dict[str, list[tuple[int, int, str]]]:
        """Open stretches without known value, by column: from, to and why ('lost' by a bad sample, or 'gap').

        What lies before and after the record is among them.
        """

    def runs(self, asks: Sequence[tuple[str, float, bool, bool]]) -> list[Condition]:
        """Where a column is at or above (strictly: above) a level, by exact crossing or (held) by sample: column, level, strictly, held."""

    def states(self, asks: Sequence[tuple[str, int]]) -> list[np.ndarray]:
        """Where a state column shows a code."""

    def extremes(self, asks: Sequence[tuple[Sequence[str], int, int, str]]) -> list[Found | None]:
        """The 'least' or 'most' known value of several columns over a stretch."""

    def apart(self, asks: Sequence[tuple[Sequence[str], Sequence[str], int, int]]) -> list[Found | None]:
        """The greatest difference of one of the first columns less one of the second over a stretch."""

    def rates(
        self, asks: Sequence[tuple[str, int, int]], window: int, samples: int
    ) -> list[dict[str, tuple[int, float, int, float, int]]]:
        """Windows, least rate and its instant, greatest and its instant, for each definition, over a stretch without unknowns."""

    def combine(self, asks: Sequence[tuple[str, Sequence[str], str]]) -> None:
        """New columns: the 'mean', 'sum' or 'least' of others."""

    def values(self, asks: Sequence[tuple[str, int]]) -> list[float | None]:
        """Values at instants, linear between samples."""

    def falls(self, asks: Sequence[tuple[str, int, int, int]]) -> list[float]:
        """The greatest fall over a window inside a stretch."""

    def around(self, asks: Sequence[tuple[str, int]]) -> list[tuple[tuple[str, int, float], ...]]:
        """Two samples on each side of an instant, and the one at it."""

    def spacing(self, asks: Sequence[tuple[str, int, int]]) -> list[tuple[int, int]]:
        """The longest time without a good sample and when it begins, over a stretch."""
