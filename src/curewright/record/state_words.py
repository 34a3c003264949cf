"""The state of a part's resin as texts, for the terminal and for paper: the same words at both places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.predict.band import NOT_CARDS
from curewright.predict.stands_on import TOLD

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from curewright.predict.part_state import PlaceState
    from curewright.predict.resin import ResinState
    from curewright.predict.state_band import StateBand
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


def state_head(shown: Shown, *, planned: bool = True) -> tuple[str, ...]:
    """The headings over :func:`state_row`; ``planned``: whether a planned cycle stands beside it."""
    unit = shown.temperature.name
    margin = f"void margin, {shown.pressure_difference}"
    return (
        "place",
        f"T, {unit}",
        "cure (planned)" if planned else "cure",
        f"Tg, {unit}",
        "Pa s",
        "gelled",
        "glass",
        margin,
    )


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


EXTRAPOLATED = (
    f"! {TOLD:g} or more of this degree of cure was gained colder or hotter than the card's law covers, and is extrapolated: see what "
    "this stands on"
)


def marked(words: str, gained: float | None) -> str:
    """A degree of cure in words, with a mark where so much of it was ``gained`` outside of what the law covers that it has to be said.

    >>> marked("0.93", 0.012), marked("0.93", 0.009), marked("0.93", None)
    ('0.93 !', '0.93', '0.93')
    """
    return f"{words} !" if gained is not None and gained >= TOLD else words


def extrapolated(states: Iterable[ResinState | None]) -> bool:
    """Whether one of these states is marked so."""
    return any(one is not None and one.outside is not None and one.outside >= TOLD for one in states)


def cure_words(state: ResinState, planned: ResinState | None) -> str:
    """The degree of cure, with the planned cycle's in brackets."""
    return _beside(_cure(state), None if planned is None else _cure(planned))


def band_head(shown: Shown) -> tuple[str, ...]:
    """The headings over :func:`band_row`."""
    unit = shown.temperature.name
    return ("place", f"T, {unit}", "cure", f"Tg, {unit}", "Pa s", "gelled in")


def band_row(one: StateBand, shown: Shown) -> list[str]:
    """The middle 95 % of the state of a place."""
    return [
        f"{one.place}, {one.by}",
        ends(one.temperature, shown.hot),
        ends(one.cure, lambda value: f"{value:.3f}"),
        ends(one.glass, lambda value: shown.hot(value, 0)),
        "–" if one.gelled else ends(one.viscosity, lambda value: f"{value:.2g}"),
        "not known" if one.gelled is None else f"{one.gelled:.0%}",
    ]


def band_words(bands: Sequence[StateBand], left_out: Sequence[str]) -> str:
    """What was varied for the bands of a part, and what was not."""
    varied = dict.fromkeys(name for one in bands for name in one.over)
    words = f"varied: {', '.join(varied) or 'nothing'} (along what was recorded the rate of cure alone)"
    if left_out:
        words += f"; not varied, because nobody stated how well it is known: {', '.join(left_out)}"
    return f"{words}; {NOT_CARDS}"


LOST = 0.01  # of the planned pressure on the laminate at gel: by less it is not told
MISLEADING = (
    "! Void margin higher than planned although less pressed on the laminate: that is no good news. The margin takes the resin's "
    "pressure as the bag's plus the resin's share of what lies on the laminate, so gas that leaks into the bag raises the number while "
    "it takes pressure off the laminate; and it knows only water, not the gas that got in. Look at the pressure on the laminate"
)


UNPLANNED = "No cycle is planned: nothing stands beside the numbers to compare them with"
PUSHED = (
    "! Less lies on the laminate at gel than the vessel's gauge pressure, which would lie on it with the bag open to the air outside (in "
    "square brackets). So the gas in the bag stands above the air outside, as where a bag leaks: it takes pressure off the laminate, and "
    "the void margin, which knows only water, rises with it and is no comfort. No cycle is planned to say what was meant"
)
ISOLATES = (
    "Recorded against planned holds two things: what the run did otherwise, and by how much the model is off at that thermocouple, for "
    "the planned cycle is the model's alone. What the run did otherwise, by itself, is replayed against planned: there the model of the "
    "part is on both sides (the planned air is that of the lumped vessel)"
)
BAND_OF_EACH = "Each band is of that cure itself; of the difference from the planned cycle, which shares these doubts, it is not the band"


def off_vessel(one: PlaceState) -> bool:
    """Whether, without a plan, less lay on the laminate at gel than the vessel's gauge pressure: the bag's gas stood above that outside."""
    now = one.pressed
    if one.nominal_pressed is not None or now.at_gel is None or now.open_bag is None:
        return False
    return now.at_gel < (1.0 - LOST) * now.open_bag


def warning_of(places: Sequence[PlaceState]) -> str | None:
    """What has to be said of a bag that leaks, with a plan or without; None where no place asks for it."""
    if any(misleads(one) for one in places):
        return MISLEADING
    return PUSHED if any(off_vessel(one) for one in places) else None


def misleads(one: PlaceState) -> bool:
    """Whether the void margin of a place rose above the planned one although less pressed on its laminate: a bag that leaks does that."""
    now, plan = one.pressed, one.nominal_pressed
    if plan is None or now.margin is None or plan.margin is None or now.at_gel is None or plan.at_gel is None:
        return False
    return now.margin[0] > plan.margin[0] and now.at_gel < (1.0 - LOST) * plan.at_gel


PRESSURE_TITLE = "Pressure on the laminate (vessel less bag)"
PRESSURE_CAPTION = (
    "least: from full pressure in the vessel to gel, and when; {beside}. A leaking bag takes pressure off the "
    "laminate; the void margin knows only water, not the gas that gets in, and even rises with the bag's pressure: it is no comfort"
)


def pressure_caption(*, planned: bool) -> str:
    """What the numbers of :func:`pressure_row` are, and what stands beside them."""
    unplanned = "no cycle is planned to compare with; in square brackets what would lie on it with the bag open to the air outside"
    return PRESSURE_CAPTION.format(beside="in brackets the planned cycle's" if planned else unplanned)


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
        _at_gel(one, shown),
        _beside(_least(one.pressed.margin, shown), _least(plan.margin, shown) if plan else None)
        + (" !" if misleads(one) else ""),
    ]


def _at_gel(one: PlaceState, shown: Shown) -> str:
    """The pressure at gel beside the planned one; without a plan, beside what would lie on it with the bag open to the air outside."""
    words, plan = _pressure(one.pressed.at_gel, shown), one.nominal_pressed
    if plan is not None or one.pressed.open_bag is None:
        return _beside(words, _pressure(plan.at_gel, shown) if plan else None)
    return f"{words} [{_pressure(one.pressed.open_bag, shown)}]" + (" !" if off_vessel(one) else "")


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
    return marked(_known(state.cure, lambda value: f"{value:.3f}"), state.outside)


def _glass_transition(state: ResinState, shown: Shown) -> str:
    if state.glass_low is None or state.glass_high is None:
        return "not known"
    return f"{shown.hot(state.glass_low, 0)}–{shown.hot(state.glass_high, 0)}"


def _known(value: float | None, words: Callable[[float], str]) -> str:
    return "not known" if value is None else words(value)
