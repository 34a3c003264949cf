"""The state of a part's resin in words, for the review board: at the instant, at the end, and beside the planned cycle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from curewright.predict.further_hold import MARKED
from curewright.record.prediction_print import clock

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from curewright.predict.part_state import PlaceState
    from curewright.predict.resin import ResinState
    from curewright.text.in_units import Shown


def state_table(rows: Iterable[tuple[str, ResinState, ResinState | None]], shown: Shown) -> Table:
    """Rows of (whose temperature it stands on, the state, the planned cycle's at the same time or place)."""
    table = Table(box=None, padding=(0, 1), pad_edge=False, header_style="bold")
    unit = shown.temperature.name
    for heading in (
        "place", f"T, {unit}", "cure (planned)", f"Tg, {unit}", "Pa s", "gelled", "glass", f"void margin, {shown.pressure_difference}",
    ):  # fmt: skip
        table.add_column(heading, overflow="fold")
    for by, state, planned in rows:
        table.add_row(
            f"{state.place}, {by}",
            shown.hot(state.temperature),
            _cure(state, planned),
            _glass_transition(state, shown),
            "–" if state.gelled else _known(state.viscosity, lambda value: f"{value:.2g}"),
            {True: "yes", False: "no", None: "not known"}[state.gelled],
            "depends" if state.glass.startswith("depends") else state.glass,
            "–" if state.gelled else _known(state.void_margin, shown.pressed),
        )
    return table


def pressure_table(rows: Iterable[PlaceState], shown: Shown) -> Table:
    """What lay on the laminate of each place: at the instant, and until it gelled; the planned cycle's in brackets."""
    table = Table(box=None, padding=(0, 1), pad_edge=False, header_style="bold")
    unit = shown.pressure_difference
    for heading in ("place", f"now, {unit}", "least", "at gel", "least void margin"):
        table.add_column(heading, overflow="fold")
    for one in rows:
        now, then, plan = one.state, one.nominal, one.nominal_pressed
        table.add_row(
            f"{now.place}, {one.by}",
            _beside(_pressure(now.pressed, shown), _pressure(then.pressed, shown) if then else None),
            _beside(_least(one.pressed.least, shown), _least(plan.least, shown) if plan else None),
            _beside(_pressure(one.pressed.at_gel, shown), _pressure(plan.at_gel, shown) if plan else None),
            _beside(_least(one.pressed.margin, shown), _least(plan.margin, shown) if plan else None),
        )
    table.title = f"Pressure on the laminate (vessel less bag), {unit}"
    table.title_justify = "left"
    table.caption = "least: from full pressure in the vessel to gel, and when; in brackets the planned cycle's"
    table.caption_justify = "left"
    return table


def _pressure(pascal: float | None, shown: Shown) -> str:
    return _known(pascal, lambda value: shown.pressed(value, 1))


def _least(found: tuple[float, float] | None, shown: Shown) -> str:
    return "not known" if found is None else f"{shown.pressed(found[0], 1)} at {clock(found[1])}"


def _beside(now: str, planned: str | None) -> str:
    return now if planned is None else f"{now} ({planned})"


def _cure(state: ResinState, planned: ResinState | None) -> str:
    now = _known(state.cure, lambda value: f"{value:.3f}")
    return now if planned is None else f"{now} ({_known(planned.cure, lambda value: f'{value:.3f}')})"


def _glass_transition(state: ResinState, shown: Shown) -> str:
    if state.glass_low is None or state.glass_high is None:
        return "not known"
    return f"{shown.hot(state.glass_low, 0)}–{shown.hot(state.glass_high, 0)}"


def _known(value: float | None, words: Callable[[float], str]) -> str:
    return "not known" if value is None else words(value)


def hold_lines(holds: Iterable[tuple[str, float | None]], temperature: str) -> Iterable[Text]:
    """What a further hold would take at each place, marked for what it is."""
    yield Text(f"Further hold at {temperature} to the planned cycle's degree of cure ({MARKED}):", style="bold")
    for place, seconds in holds:
        words = (
            "not within a day"
            if seconds is None
            else "none"
            if seconds == 0.0
            else f"{clock(seconds)} (hours and minutes)"
        )
        yield Text(f"- {place}: {words}")
