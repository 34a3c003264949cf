"""Computed: a computed signal (degree of cure, Tg, viscosity) at an event or over a phase.

Met only if the controlling specification itself names card and revision, and the temperatures lie inside the card's
range; else not shown, the number being an estimate for information.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.computed_signal import card_named, not_covered
from curewright.judge.events import when
from curewright.judge.kinds.at_event import at_event
from curewright.judge.kinds.band import judge_band
from curewright.judge.limits import held
from curewright.judge.result import instant_text
from curewright.judge.signals import envelope
from curewright.terms.requirement import Band
from curewright.terms.verdict import Outcome

if TYPE_CHECKING:
    from curewright.judge.result import Result
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Computed


def judge_computed(scene: Scene, form: Computed, thing: Thing) -> Result:
    """A computed signal for a thing."""
    if form.event is not None:
        limits = held(scene, form.limits, form.unit)
        signal = envelope(scene, form.signal, thing, None)
        result = at_event(scene, signal, limits, when(scene, form.event, thing), form.event)
    else:
        assert form.phase is not None
        band = Band(form.name, form.for_each, form.unit, form.because, form.place, form.signal, form.phase, form.limits)
        result = judge_band(scene, band, thing)
    result = result.but(notes=(*result.notes, *_unverified(scene, form)))
    if result.outcome is Outcome.NOT_SHOWN:
        return _with_reason(scene, form, thing, result)
    card = form.signal.computed
    if card is None or card.named_by_specification or result.outcome is not Outcome.MET:
        return result
    why = f"an estimate by card {card.card} revision {card.revision}, which the controlling specification does not name"
    return result.but(outcome=Outcome.NOT_SHOWN, reason=why)


def _unverified(scene: Scene, form: Computed) -> tuple[str, ...]:
    """Which of the card's constants behind the number nobody has verified."""
    asked = form.signal.computed
    return card_named(scene, asked).warnings_about("degree of cure", asked.quantity) if asked else ()


def _with_reason(scene: Scene, form: Computed, thing: Thing, result: Result) -> Result:
    """The result, with where the run leaves what the card covers, if that is before the end of the phase."""
    last = result.phase.latest_end if result.phase else None
    found = not_covered(scene, form.signal, thing, scene.end if last is None else min(last, scene.end))
    if found is None:
        return result
    at, name, why = found
    return result.but(reason=f"{result.reason}; {name} at {instant_text(at)}: {why}")
