"""The state of a part's resin on the terminal, for the review board: at the instant, at the end, and beside the planned cycle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from curewright.predict.further_hold import MARKED
from curewright.record.prediction_print import headed
from curewright.record.state_words import (
    EXTRAPOLATED,
    ISOLATES,
    PRESSURE_TITLE,
    band_head,
    band_row,
    band_words,
    clock,
    extrapolated,
    pressure_caption,
    pressure_head,
    pressure_row,
    state_head,
    state_row,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.table import Table

    from curewright.predict.part_state import PlaceState
    from curewright.predict.resin import ResinState
    from curewright.predict.state_band import StateBand
    from curewright.text.in_units import Shown


def state_table(
    rows: Iterable[tuple[str, ResinState, ResinState | None]], shown: Shown, *, planned: bool = True
) -> Table:
    """Rows of (whose temperature it stands on, the state, the planned cycle's at the same time or place, where one is ``planned``)."""
    told = tuple(rows)
    table = _table(state_head(shown, planned=planned), (state_row(*row, shown) for row in told))
    if extrapolated(state for _, *both in told for state in both):
        table.caption, table.caption_justify = EXTRAPOLATED, "left"
    return table


def pressure_table(rows: Iterable[PlaceState], shown: Shown, *, planned: bool = True) -> Table:
    """What lay on the laminate of each place: at the instant, and until it gelled; the planned cycle's in brackets."""
    table = _table(pressure_head(shown), (pressure_row(row, shown) for row in rows))
    table.title, table.caption = f"{PRESSURE_TITLE}, {shown.pressure_difference}", pressure_caption(planned=planned)
    table.title_justify = table.caption_justify = "left"
    return table


def band_table(bands: Iterable[StateBand], left_out: Sequence[str], samples: int, shown: Shown) -> Table:
    """The middle 95 % of the state of each place; what was not varied stands below."""
    told = tuple(bands)
    table = _table(band_head(shown), (band_row(one, shown) for one in told))
    table.title = f"How sure that is: the middle 95 % of {samples} samples"
    table.caption = band_words(told, left_out)
    table.title_justify = table.caption_justify = "left"
    return table


def _table(head: Iterable[str], rows: Iterable[list[str]]) -> Table:
    table = headed(*head)
    for row in rows:
        table.add_row(*row)
    return table


def hold_lines(places: Iterable[PlaceState], temperature: str) -> Iterable[Text]:
    """What a further hold would take at each place, marked for what it is; nothing to reach where no cycle is planned."""
    told = tuple(places)
    if all(one.nominal_pressed is None for one in told):
        yield Text(f"Further hold at {temperature}: no cycle is planned, so there is no degree of cure to reach.")
        return
    yield Text(f"Further hold at {temperature} to the planned cycle's degree of cure ({MARKED}):", style="bold")
    for one in told:
        yield Text(f"- {one.state.place}, {one.by}: {_hold(one.hold)}")
    if len({one.hold == 0.0 for one in told}) > 1:
        yield Text(
            f"By thermocouple and by replay they differ, for they answer two questions. {ISOLATES}. "
            "'none' by replay says that by the model "
            "the run cured as far as planned; "
            "a time by a recorded thermocouple says that what it showed gives less than the model plans there."
        )


def _hold(seconds: float | None) -> str:
    if seconds is None:
        return "not within a day"
    return "none" if seconds == 0.0 else f"{clock(seconds)} (hours and minutes)"
