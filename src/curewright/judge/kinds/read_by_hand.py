"""What people read in a leak check by hand, beside the verdict: the loss with the doubt of both readings, held against the limit.

For information: the outcome stands on the recorded bag. Doubts are bounds, so that of a loss is the sum of both readings' (our own
choice, towards *not shown*). A check is held against the limit only where it lasted as long as the paper's window, within the doubt of
its times.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from curewright.judge.envelope import Extreme
from curewright.judge.events import entries_of
from curewright.judge.kinds.leak_loss import Loss
from curewright.terms.units import UNITS, in_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.judge.limits import Held
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.run import Entry

KIND = "leak check"


def hand_notes(scene: Scene, thing: Thing, window: int, limits: Held) -> Iterator[str]:
    """A sentence for each leak check by hand of a thing; ``window`` [ns] is the paper's."""
    for check in entries_of(scene, KIND, thing):
        read = [
            one for one in scene.hall.run.entries
            if one.name == "reading" and (one.file, one.line, one.thing) == (check.file, check.line, check.thing)
        ]  # fmt: skip
        yield from (_words(first, last, window, limits) for first, last in pairwise(read) if _comparable(first, last))


def _comparable(first: Entry, last: Entry) -> bool:
    """Whether two readings are pressures with one reference, so that their difference is a loss."""
    units = first.unit, last.unit
    stated = {(one.quantity, one.reference) for one in units if one is not None}
    return None not in units and len(stated) == 1 and next(iter(stated))[0] == "pressure"


def _words(first: Entry, last: Entry, window: int, limits: Held) -> str:
    """The readings, what was lost, and how that lies to the limit."""
    lasted, unit = last.at - first.at, limits.unit
    lost = (last.value or 0.0) - (first.value or 0.0)
    told = [one.value_plus_minus for one in (first, last) if one.value_plus_minus is not None]
    doubt = sum(told) if len(told) == 2 else None
    where = f", {first.file}:{first.line}" if first.file else ""
    said = "nobody said how uncertain" if doubt is None else f"± {in_unit(doubt, unit)}"
    as_long = abs(lasted - window) <= first.plus_minus + last.plus_minus
    other = f"not held against the limit, which is for {in_unit(window, UNITS['min'])} min"
    return (
        f"by hand (gauge {first.gauge}, {first.person}{where}), for information: {first.read} to {last.read} "
        f"in {in_unit(lasted, UNITS['min'])} min, so {in_unit(lost, unit)} {unit.name} lost ({said}); "
        f"{_held(lost, doubt, limits) if as_long else other}"
    )


def _held(lost: float, doubt: float | None, limits: Held) -> str:
    off = doubt or 0.0
    loss, as_read = (
        Loss(Extreme(lost - off, 0, ""), Extreme(lost + off, 0, "")),
        " as read" if doubt is None else " with all of that doubt",
    )
    if loss.met(limits.judged):
        return f"within {limits.text}{as_read}"
    if loss.broken(limits.judged):
        return f"past {limits.text}{as_read}"
    return f"the doubt reaches over the limit of {limits.text}: these readings do not tell"
