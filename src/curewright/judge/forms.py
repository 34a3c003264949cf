"""From the kind of a requirement to the function that judges it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.kinds.at_event import judge_at_event
from curewright.judge.kinds.band import judge_band, look_at_band
from curewright.judge.kinds.computed import judge_computed
from curewright.judge.kinds.count import judge_count
from curewright.judge.kinds.duration import judge_duration
from curewright.judge.kinds.exposure import Share, judge_exposure
from curewright.judge.kinds.leak_check import judge_leak_check
from curewright.judge.kinds.order import judge_order
from curewright.judge.kinds.rate import judge_rate, look_at_rate
from curewright.judge.kinds.recording import judge_recording
from curewright.judge.kinds.spread import judge_spread
from curewright.terms.requirement import (
    AtEvent,
    Band,
    Computed,
    Count,
    Duration,
    Exposure,
    LeakCheck,
    Order,
    Rate,
    Recording,
    Spread,
)

if TYPE_CHECKING:
    from curewright.judge.result import Result
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Requirement


def judge_form(scene: Scene, form: Requirement, thing: Thing, earlier: tuple[Share, ...] | None) -> Result:
    """What one exact form finds for one thing."""
    match form:
        case Band():
            return judge_band(scene, form, thing)
        case Spread():
            return judge_spread(scene, form, thing)
        case Rate():
            return judge_rate(scene, form, thing)
        case Duration():
            return judge_duration(scene, form, thing)
        case AtEvent():
            return judge_at_event(scene, form, thing)
        case Order():
            return judge_order(scene, form, thing)
        case LeakCheck():
            return judge_leak_check(scene, form, thing)
        case Count():
            return judge_count(scene, form, thing)
        case Recording():
            return judge_recording(scene, form, thing)
        case Exposure():
            return judge_exposure(scene, form, thing, earlier)
        case Computed():
            return judge_computed(scene, form, thing)


def look_at_form(scene: Scene, form: Requirement, thing: Thing) -> None:
    """Asks the run what judging a form asks of it, as far as a growing run goes by it: levels, events, conditions, windows."""
    match form:
        case Band() | Spread():
            look_at_band(scene, form, thing)
        case Rate():
            look_at_rate(scene, form, thing)
        case _:
            judge_form(scene, form, thing, ())
