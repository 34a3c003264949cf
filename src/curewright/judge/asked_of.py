"""Where the extremes of a signal may be asked for, now or later: what a growing run keeps them between.

Every requirement that asks for a least value asks for it between two instants that may bound its phase. A band asks besides for the
deepest value of every stay beyond a limit, and between the changes of its 'while' condition; a clock with an allowance asks like a
band; a value at an event that is known within bounds may be any between them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.concession import conceded, with_limits
from curewright.judge.conditions import unit_of
from curewright.judge.envelope import LEAST
from curewright.judge.limits import APART, held
from curewright.judge.steps import Steps
from curewright.terms.requirement import AtEvent, Band, Compare, Duration, LeakCheck, Spread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from curewright.judge.envelope import Envelope
    from curewright.judge.limits import Held
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Clock, Requirement

Key = tuple[object, ...]


@dataclass(frozen=True, eq=False)
class AskedOf:
    """``least``, ``most``: whether that extreme is asked for at all. ``lows``, ``highs``: thresholds [grains] below (above) which
    the deepest value of each stay is asked for. ``narrowed``: instants [ns] between which extremes are asked for besides.
    """

    least: bool = True
    most: bool = True
    lows: frozenset[float] = frozenset()
    highs: frozenset[float] = frozenset()
    narrowed: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))

    def turns(self, kind: str) -> bool:
        """Whether the greatest of a least, or the least of a greatest, is asked for."""
        return self.most if kind == LEAST else self.least

    def turns_in_stays(self, kind: str) -> bool:
        """Whether it is also asked for in each stay beyond a limit."""
        return bool(self.highs if kind == LEAST else self.lows)


def asked_of(scene: Scene, key: Key, signal: Envelope) -> AskedOf:
    """What is asked of the signal that stands under a key in the scene's memory."""
    held_on = list(_limits_on(scene, key))
    apart = APART if signal.derived else 0.0
    lows, highs = (
        frozenset(
            one.grains + beside
            for limits in held_on
            for pair in (limits.judged, limits.guarded)
            if pair is not None
            for one in (getattr(pair, side),)
            if one is not None
            for beside in (-apart, 0.0, apart)
        )
        for side in ("low", "high")
    )
    at_event = any(isinstance(form, AtEvent | LeakCheck) for form in _forms_on(scene, key))
    least = at_event or any(limits.low is not None for limits in held_on)
    most = at_event or any(limits.high is not None for limits in held_on)
    return AskedOf(least, most, lows, highs, _narrowed(scene, key))


def _forms_on(scene: Scene, key: Key) -> Iterator[Requirement]:
    """The requirements that ask for a signal, each also as a concession has it."""
    for clause in scene.specification.clauses:
        for form in clause.forms:
            if hasattr(form, "signal") and scene.hall.token(form.signal) == key[1]:
                yield form
                concession = conceded(scene.part, clause, form)
                if concession is not None:
                    yield with_limits(form, concession.limits)


def _limits_on(scene: Scene, key: Key) -> Iterator[Held]:
    """The limits in which a signal is held: of bands and spreads, and of clocks with an allowance."""
    for form in _forms_on(scene, key):
        if isinstance(form, Band | Spread):
            yield held(scene, form.limits, form.unit)
    for clock in _forgiving(scene):
        condition = clock.runs_while
        if isinstance(condition, Compare) and scene.hall.token(condition.signal) == key[1]:
            yield held(scene, condition.limits, unit_of(condition.limits), decide=False)


def _forgiving(scene: Scene) -> list[Clock]:
    """The clocks with an allowance."""
    forms = [form for clause in scene.specification.clauses for form in clause.forms if isinstance(form, Duration)]
    return [way.clock for form in forms for way in form.alternatives if way.clock.allowance is not None]


def _narrowed(scene: Scene, key: Key) -> NDArray[np.int64]:
    """The instants at which the 'while' conditions of bands on a signal change."""
    times: set[int] = set()
    for form in _forms_on(scene, key):
        if isinstance(form, Band | Spread) and form.while_ is not None:
            steps = scene.kept.get(("condition", scene.hall.token(form.while_), key[2], key[3]))
            times.update(steps.times if isinstance(steps, Steps) else ())
    return np.array(sorted(times), dtype=np.int64)
