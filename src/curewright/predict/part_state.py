"""What is said of a part's resin at an instant, place by place, beside the planned cycle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curewright.predict.resin import PressedUntilGel, ResinState


@dataclass(frozen=True)
class PlaceState:
    """One place at the instant: ``by`` says whose temperature it stands on; ``nominal``: the same place in the planned cycle, at the
    same time since the start and at the cycle's end (None without a planned cycle); ``pressed`` and ``nominal_pressed``: what pressed on
    it before gel, in this run and in the planned cycle. ``hold``: seconds of further hold, where asked for.
    """

    by: str
    state: ResinState
    at_end: ResinState
    nominal: ResinState | None
    nominal_end: ResinState | None
    pressed: PressedUntilGel
    nominal_pressed: PressedUntilGel | None
    hold: float | None = None


@dataclass(frozen=True)
class PartState:
    """A part's states at an instant [s since the start], with everything that has to be said with them."""

    part: str
    t: float
    places: tuple[PlaceState, ...]
    warnings: tuple[str, ...]

    @property
    def planned(self) -> bool:
        """Whether a planned cycle stands beside any place."""
        return any(one.nominal_pressed is not None for one in self.places)
