"""Exposure: something added up over all runs of a part: its cures, or its time under a condition.

What earlier runs contributed comes from their sealed verdicts. A run that is listed for the part but whose share is
not known makes the sum unknown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.conditions import steps_of
from curewright.judge.events import stretch_of
from curewright.judge.kinds.duration import spent_in
from curewright.judge.limits import held
from curewright.judge.result import Result
from curewright.judge.steps import ALWAYS, NEVER
from curewright.terms.light import light
from curewright.terms.units import in_unit
from curewright.terms.verdict import Margin, Outcome

if TYPE_CHECKING:
    from curewright.judge.events import Stretch
    from curewright.judge.scene import Scene, Thing
    from curewright.judge.steps import Steps
    from curewright.terms.requirement import Exposure


@light(frozen=True)
class Share:
    """What an earlier run contributed to an exposure: from least to most, in grains (ns or count)."""

    run: str
    least: int
    most: int


def judge_exposure(scene: Scene, form: Exposure, thing: Thing, earlier: tuple[Share, ...] | None) -> Result:
    """An exposure for a thing; ``earlier`` None: the earlier runs of the part are not all known."""
    limits = held(scene, form.limits, form.unit)
    stretch = stretch_of(scene, form.phase, thing)
    steps = ALWAYS if form.runs_while is None else steps_of(scene, form.runs_while, thing)
    own = own_share(form, stretch, steps)
    least = own[0] + sum(share.least for share in earlier or ())
    most = NEVER if earlier is None else min(NEVER, own[1] + sum(share.most for share in earlier))
    low, high = limits.judged.low, limits.judged.high
    if (high is not None and not high.high_met(least)) or (low is not None and not low.low_met(most)):
        outcome, reason = Outcome.NOT_MET, "outside the limits over all runs of the part"
    elif (low is None or low.low_met(least)) and (high is None or high.high_met(most)):
        outcome, reason = Outcome.MET, "within the limits over all runs of the part"
    else:
        outcome = Outcome.NOT_SHOWN
        reason = (
            "the share of an earlier run is not known"
            if earlier is None
            else "the time in this run is known only within bounds"
        )
    text = (
        in_unit(least, form.unit)
        if least == most
        else f"{in_unit(least, form.unit)} to {'?' if most >= NEVER else in_unit(most, form.unit)}"
    )
    notes = (
        *stretch.notes,
        f"this run: {in_unit(own[0], form.unit)} {form.unit.name}",
        *(f"run {s.run}: {in_unit(s.least, form.unit)}" for s in earlier or ()),
    )
    worst = least if most >= NEVER else min((least, most), key=lambda value: limits.margin(float(value)))
    margin = Margin(
        in_unit(limits.margin(float(worst)), form.unit),
        form.unit.name,
        None,
        "",
        text,
        limits.text,
        of_known=outcome is Outcome.NOT_SHOWN,
    )
    bounds = stretch.bounds(form.phase.start, form.phase.end)
    beyond = outcome is Outcome.NOT_SHOWN and stretch.open_end
    return Result(
        outcome,
        reason,
        limits.text,
        margin=margin,
        phase=bounds,
        notes=notes,
        beyond=beyond,
        statistic=(float(own[0]), float(own[1])),
    )


def own_share(form: Exposure, stretch: Stretch, steps: Steps) -> tuple[int, int]:
    """What this run contributes, from least to most."""
    if form.of == "cures":
        return (1 if stretch.sure_start else 0, 0 if stretch.never else 1)
    return spent_in(stretch, steps, "pauses").clock
