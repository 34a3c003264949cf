"""Computed: a computed signal (degree of cure, Tg, viscosity) at an event or over a phase.

Met only if the controlling specification itself names card and revision, and the temperatures lie inside the card's
range; else not shown, the number being an estimate for information.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge.events import when
from curewright.judge.kinds.at_event import at_event
from curewright.judge.kinds.band import judge_band
from curewright.judge.limits import held
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
    card = form.signal.computed
    if card is None or card.named_by_specification or result.outcome is not Outcome.MET:
        return result
    why = f"an estimate by card {card.card} revision {card.revision}, which the controlling specification does not name"
    return replace(result, outcome=Outcome.NOT_SHOWN, reason=why)
