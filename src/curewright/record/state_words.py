"""The state of a part's resin as texts, for the terminal and for paper: the same words at both places."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.predict.part_state import PlaceState
    from curewright.predict.resin import ResinState
    from curewright.text.in_units import Shown


def ends(both: tuple[float, float] | None, words: Callable[[float], str]) -> str:
    """A range in words, as one value where both ends read the same.

    >>> ends((1.0, 2.0), str), ends((1.01, 1.04), "{:.1f}".format), ends(None, str)
    ('1.0–2.0', '1.0', 'not known')
    """
    if both is None:
        return "not known"
    low, high = words(both[0]), words(both[1])
    return low if low == high else f"{low}–{high}"


def state_head(shown: Shown) -> tuple[str, ...]:
    """The headings over :func:`state_row`."""
    unit = shown.temperature.name
    margin = f"void margin, {shown.pressure_difference}"
    return ("place", f"T, {unit}", "cure (planned)", f"Tg, {unit}", "Pa s", "gelled", "glass", margin)


def state_row(by: str, state: ResinState, planned: ResinState | None, shown: Shown) -> list[str]:
    """A place at an instant; ``by``: whose temperature it stands on; ``planned``: of the planned cycle, in brackets."""
    return [
        f"{state.place}, {by}",
        shown.hot(state.temperature),
        cure_words(state, planned),
        _glass_transition(state, shown),
        "–" if state.gelled else _known(state.viscosity, lambda value: f"{value:.2g}"),
        {True: "yes", False: "no", None: "not known"}[state.gelled],
        "depends" if state.glass.startswith("depends") else state.glass,
        "–" if state.gelled else _known(state.void_margin, shown.pressed),
    ]


def cure_words(state: ResinState, planned: ResinState | None) -> str:
    """The degree of cure, with the planned cycle's in brackets."""
    return _beside(_cure(state), None if planned is None else _cure(planned))


PRESSURE_TITLE = "Pressure on the laminate (vessel less bag)"
PRESSURE_CAPTION = (
    "least: from full pressure in the vessel to gel, and when; in brackets the planned cycle's. A leaking bag takes pressure off the "
    "laminate; the void margin knows only water, not the gas that gets in, and even rises with the bag's pressure: it is no comfort"
)


def pressure_head(shown: Shown) -> tuple[str, ...]:
    """The headings over :func:`pressure_row`."""
    return ("place", f"now, {shown.pressure_difference}", "least", "at gel", "least void margin")


def pressure_row(one: PlaceState, shown: Shown) -> list[str]:
    """What lay on the laminate of a place: at the instant, and until it gelled; the planned cycle's in brackets."""
    now, then, plan = one.state, one.nominal, one.nominal_pressed
    return [
        f"{now.place}, {one.by}",
        _beside(_pressure(now.pressed, shown), _pressure(then.pressed, shown) if then else None),
        _beside(_least(one.pressed.least, shown), _least(plan.least, shown) if plan else None),
        _beside(_pressure(one.pressed.at_gel, shown), _pressure(plan.at_gel, shown) if plan else None),
        _beside(_least(one.pressed.margin, shown), _least(plan.margin, shown) if plan else None),
    ]


def clock(seconds: float) -> str:
    """Hours and minutes since the start, ``3:05``."""
    minutes = round(seconds / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _pressure(pascal: float | None, shown: Shown) -> str:
    return _known(pascal, lambda value: shown.pressed(value, 1))


def _least(found: tuple[float, float] | None, shown: Shown) -> str:
    return "not known" if found is None else f"{shown.pressed(found[0], 1)} at {clock(found[1])}"


def _beside(now: str, planned: str | None) -> str:
    return now if planned is None else f"{now} ({planned})"


def _cure(state: ResinState) -> str:
    return _known(state.cure, lambda value: f"{value:.3f}")


def _glass_transition(state: ResinState, shown: Shown) -> str:
    if state.glass_low is None or state.glass_high is None:
        return "not known"
    return f"{shown.hot(state.glass_low, 0)}–{shown.hot(state.glass_high, 0)}"


def _known(value: float | None, words: Callable[[float], str]) -> str:
    return "not known" if value is None else words(value)
