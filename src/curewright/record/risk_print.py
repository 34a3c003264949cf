"""Which requirement is at risk, on the terminal: the predicted verdicts over samples of what is doubtful, worst first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from curewright.predict.verdict_band import BROKEN, NEAR, REACHES_PAST, SHARES_ONLY
from curewright.record.prediction_print import OF_THE_MAP, headed
from curewright.record.table import mark
from curewright.text.shown import apart, as_sure, is_number, plain, short

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rich.console import RenderableType
    from rich.table import Table

    from curewright.predict.inside import InsideBand
    from curewright.predict.verdict_band import VerdictBand
    from curewright.terms.verdict import Verdict
    from curewright.text.in_units import ShownByPart

RARE = 0.025  # of the samples: what fewer do not meet lies in the tail that the band leaves out
MOST_PAST, MOST_NEAR, MOST_INSIDE = 10, 5, 6  # rows
INFORMATION = (
    "for information: a requirement is about what its thermocouples show, over its own phase; 'none there': no thermocouple of the "
    "map sits in that zone"
)
NO_PROBABILITY = f"The counts are {SHARES_ONLY}."


def risk_lines(bands: Sequence[VerdictBand], samples: int, refused: int, *, waits: bool) -> Iterator[RenderableType]:
    """The ranked table and what its numbers are not. ``bands``: by risk; ``waits``: each sample went through the cycle's own holds."""
    told = [one for one in bands if one.verdict.kind not in OF_THE_MAP]
    broken = [one for one in told if one.rank == BROKEN]
    past = [one for one in told if one.rank == REACHES_PAST]
    often = [one for one in past if one.not_met > RARE * one.samples]
    rest = [one for one in told if one.rank == NEAR or (one.rank == REACHES_PAST and one not in often)]
    near = sorted(rest, key=lambda one: one.room)[:MOST_NEAR]
    table = headed("", "requirement", "margin", "middle 95 %", f"not met, of {samples - refused}")
    table.title = "Which requirement is at risk: every sample of what is doubtful as a run of its own, judged"
    table.title_justify = "left"
    shown = [*broken, *often[:MOST_PAST], *near]
    for one in shown:
        table.add_row(_mark(one), requirement(one.verdict), margin_of(one), band_of_margin(one), counts_of(one))
    yield table
    if len(past) > MOST_PAST:
        most = max(one.not_met for one in past[MOST_PAST:])
        yield Text(
            f"{len(past) - MOST_PAST} more are not met, in at most {most} of the samples each (prediction.json has all)."
        )
    yield Text(
        "Margin: as predicted, and the middle 95 % of the samples'; below 0 lies past the limit. First what is not met as predicted, then "
        "what some samples do not meet (!), then what comes nearest. "
        + ("The holds wait for each sample's own coldest thermocouple. " if waits else "")
        + (
            "Two groups: the samples go one of two ways, and the band between them is empty: look for what tips them. "
            if any(one.groups for one in shown)
            else ""
        )
        + NO_PROBABILITY
    )
    if refused:
        yield Text(
            f"{refused} samples have no answer (the solver refused them, or a hold never began) and do not count."
        )


def _mark(one: VerdictBand) -> Text:
    if one.rank == REACHES_PAST:
        return Text.assemble(mark(one.verdict.outcome.value), Text(" !", style="bold red"))
    return mark(one.verdict.outcome.value)


def requirement(verdict: Verdict) -> str:
    """The thing judged, clause, form and limit."""
    thing = "" if verdict.thing in ("", verdict.part) else f", {verdict.thing}"
    return f"part {verdict.part}{thing}, clause {verdict.clause} {verdict.form} ({plain(verdict.limit)})"


def margin_of(one: VerdictBand) -> str:
    """The predicted margin in the requirement's unit, to as many digits as its band bears."""
    margin = one.verdict.margin
    if margin is None:
        return ""
    value = as_sure(float(margin.value), _wide(one)) if one.margin and is_number(margin.value) else short(margin.value)
    return f"{value} {apart(margin.unit)}".strip()


def band_of_margin(one: VerdictBand) -> str:
    """The band of the margin to two digits of its width, and in words where the samples fall into two groups."""
    if one.margin is None:
        return "not known"
    low, high = (as_sure(value, _wide(one)) for value in one.margin)
    return (low if low == high else f"{low} to {high}") + groups_words(one)


def groups_words(one: VerdictBand) -> str:
    """Where the margins of the samples fall into two groups with nothing between: how many lie where."""
    told = [
        f"{group.count} at {as_sure(group.low, _wide(one))} to {as_sure(group.high, _wide(one))}"
        for group in one.groups
    ]
    return f"; two groups: {', '.join(told)}, none between" if told else ""


def _wide(one: VerdictBand) -> float:
    return 0.0 if one.margin is None else one.margin[1] - one.margin[0]


def counts_of(one: VerdictBand) -> str:
    """In how many samples it is not met, and in how many not shown."""
    shares = f"{one.not_met} ({one.not_met / one.samples:.0%})" if one.not_met else "0"
    return f"{shares}, {one.not_shown} not shown" if one.not_shown else shares


def inside_table(found: Sequence[InsideBand], units: ShownByPart) -> Table | None:
    """The hottest place inside what cures against the upper limits of its part; None where there is none."""
    over = [one for one in found if one.over]
    told = (over or list(found))[:MOST_INSIDE]
    if not told:
        return None
    table = headed("part, zone", "upper limit", units.headed("over it (below 0: under)"), "middle 95 %", "over in")
    table.title = "Hottest place inside what cures, against the upper limits of its part"
    table.caption = INFORMATION
    table.title_justify = table.caption_justify = "left"
    for one in told:
        part = one.limit.part
        shown = units.of(part)
        table.add_row(
            f"{part}, {one.zone}" + ("" if one.sensed else " (none there)"),
            f"clause {one.limit.clause} {one.limit.form}, {one.limit.words}",
            units.degrees(part, shown.by(one.predicted)),
            f"{shown.by(one.band[0])} to {shown.by(one.band[1])}",
            Text(f"{one.over} of {one.samples}", style="bold red" if one.over else ""),
        )
    return table
