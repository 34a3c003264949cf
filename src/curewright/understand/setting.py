"""What a phrase is read against: the file's units, the events that there are, and the thing that is judged."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from curewright.text.quantities import Measure, difference_of

if TYPE_CHECKING:
    from curewright.terms.errors import Place
    from curewright.terms.requirement import Event, Signal
    from curewright.terms.units import Unit


@dataclass(frozen=True)
class Heard:
    """A signal as it was read: what it measures, and the trade's word (lagging, leading) where one was used, with its place."""

    signal: Signal
    measure: Measure
    trade_word: str | None = None
    place: Place | None = None


@dataclass(frozen=True)
class HeardEvent:
    """An event as it was read. ``stated``: whether every trace source says 'for good' or 'the first time'."""

    event: Event
    stated: bool


@dataclass
class Setting:
    """The file's units, its events by name (None where one could not be read), the thing judged, and what ``it`` stands for."""

    units: dict[str, Unit]
    events: dict[str, HeardEvent | None] = field(default_factory=dict)
    thing: str | None = None
    it: Heard | None = None
    notes: list[str] = field(default_factory=list)

    def measure(self, quantity: str, references: tuple[str, ...] = ()) -> Measure:
        """How a quantity of this name under ``units:`` is measured in this file."""
        return Measure("pressure" if quantity == "vacuum" else quantity, self.units.get(quantity), references)

    def difference(self, quantity: str) -> Measure:
        """How a difference of two temperatures or two pressures is measured in this file."""
        unit = self.units.get(quantity)
        return Measure(f"{quantity} difference", difference_of(unit) if unit else None)

    def seen_from(self, thing: str | None, it: Heard | None = None) -> Setting:
        """The same setting for a thing judged."""
        return Setting(self.units, self.events, thing, it, self.notes)
