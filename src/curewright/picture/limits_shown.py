"""The limits of a part's requirements as lines on a panel: each over the phase in which it holds, in the panel's unit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.judge.limits import held
from curewright.picture.panel import LimitLine
from curewright.picture.shown import signs
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import AtEvent, Band

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.picture.judged_run import JudgedRun
    from curewright.terms.requirement import Limits, Signal
    from curewright.terms.units import Quantity, Unit
    from curewright.terms.verdict import Verdict

IN_BAGS = ("bag vacuum", "source vacuum")
WORDS = {(False, False): "at least", (False, True): "above", (True, False): "at most", (True, True): "below"}
PLAIN_TAKES = ("each", "single", "coldest", "hottest", "mean")


def row_of(signal: Signal, unit: Unit, scene: Scene) -> str:
    """The panel on which a signal stands: ``temperature``, ``pressure`` or ``vacuum``; '' where it has none there."""
    if signal.minus is not None or signal.computed is not None or signal.take not in PLAIN_TAKES:
        return ""
    if unit.quantity != "pressure":
        return unit.quantity if unit.quantity == "temperature" else ""
    role = signal.group.role
    if role == "channel" and signal.group.name:
        members = scene.hall.named(signal.group.name, scene.near)
        role = {"bag transducer": "bag vacuum", "source": "source vacuum"}.get(members[0].role if members else "", role)
    return "vacuum" if role in IN_BAGS else "pressure"


@dataclass(frozen=True)
class _Key:
    clause: str
    written: str
    upper: bool
    value: float


def limit_lines(judged: JudgedRun, verdicts: list[Verdict], row: str, unit: Unit, end: int) -> list[LimitLine]:
    """The limits that hold on a panel, one for each clause and value, over the phases of the verdicts together."""
    found: dict[_Key, list[Verdict]] = {}
    for verdict in verdicts:
        form = judged.form(verdict)
        if not isinstance(form, Band | AtEvent) or verdict.phase is None or verdict.phase.earliest_start is None:
            continue
        scene = judged.scene(verdict.part)
        if row_of(form.signal, form.unit, scene) != row:
            continue
        for value, upper, written in levels(scene, form.limits, form.unit, unit):
            found.setdefault(_Key(verdict.clause, written, upper, value), []).append(verdict)
    return [_line(key, together, end) for key, together in found.items()]


def levels(scene: Scene, limits: Limits, own: Unit, unit: Unit) -> list[tuple[float, bool, str]]:
    """(value in the unit of a panel, whether it is an upper limit there, its words) of limits that are written in another unit."""
    try:
        ready = held(scene, limits, own, decide=False)
        ends = [(ready.low, False, limits.low_open), (ready.high, True, limits.high_open)]
        return [
            _level(scene, quantity, upper, is_open, unit) for quantity, upper, is_open in ends if quantity is not None
        ]
    except CurewrightError:  # no barometer, or no attribute of the part: the verdict says so
        return []


def level_of(words: str) -> str:
    """The level alone: 345 degF of 'at least 345 degF'."""
    return next((words.removeprefix(bound).strip() for bound in WORDS.values() if words.startswith(bound)), words)


def _level(scene: Scene, quantity: Quantity, upper: bool, is_open: bool, unit: Unit) -> tuple[float, bool, str]:
    own, wanted = quantity.unit.reference, unit.reference
    sign, shift = (1.0, 0.0) if own is None or wanted is None else scene.change_of_reference(own, wanted, "a limit")
    bound = WORDS[upper, is_open]
    return unit.from_grains(sign * quantity.grains + shift), upper if sign > 0 else not upper, f"{bound} {quantity}"


def _line(key: _Key, verdicts: list[Verdict], end: int) -> LimitLine:
    phases = [verdict.phase for verdict in verdicts if verdict.phase is not None]
    possible = (
        min(phase.earliest_start for phase in phases if phase.earliest_start is not None),
        max(end if phase.latest_end is None else phase.latest_end for phase in phases),
    )
    sure = [
        (phase.latest_start, phase.earliest_end)
        for phase in phases
        if phase.latest_start is not None and phase.earliest_end is not None
    ]
    inner = (max(a for a, _ in sure), min(b for _, b in sure)) if len(sure) == len(phases) else None
    shared = inner if inner is not None and inner[0] <= inner[1] else None
    return LimitLine(key.value, key.upper, f"{key.clause}: {signs(key.written)}", possible, shared)
