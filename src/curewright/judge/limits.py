"""How a value meets a limit: plain limits, the thresholds that rounding or a guard band makes of them, and margins.

The outcome compares with ``judged`` (or ``guarded``) thresholds; the margin is the signed distance to the plain limit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import CurewrightError
from curewright.terms.light import light
from curewright.terms.rounding import effective_limit
from curewright.terms.units import Quantity

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Limits
    from curewright.terms.units import Unit


class MissingAttributeError(CurewrightError):
    """A limit or condition that needs an attribute of the part which nobody stated."""


# Two readings and a limit are each snapped by at most half a grain: a difference printed equal to its limit (363 - 358 degF
# and 5 degF) may lie one grain beside it, and is equal to it all the same.
APART = 1.0


@light(frozen=True)
class Threshold:
    """A value in grains that a statistic is held against; ``open``: the threshold itself does not satisfy it.

    ``apart`` is how many grains beside it are still equal to it (:data:`APART` for differences of readings).
    """

    grains: float
    open: bool

    def low_met(self, value: float, apart: float = 0.0) -> bool:
        """Whether a value satisfies it as a low limit. The distance is snapped to a grain first."""
        distance = round(value - self.grains)
        return distance > apart if self.open else distance >= -apart

    def high_met(self, value: float, apart: float = 0.0) -> bool:
        """Whether a value satisfies it as a high limit."""
        distance = round(self.grains - value)
        return distance > apart if self.open else distance >= -apart


@light(frozen=True)
class Pair:
    """A low and a high threshold (None: no such limit)."""

    low: Threshold | None
    high: Threshold | None

    def met(self, value: float, apart: float = 0.0) -> bool:
        """Whether one value satisfies both."""
        low = self.low is None or self.low.low_met(value, apart)
        return low and (self.high is None or self.high.high_met(value, apart))


@light(frozen=True)
class Held:
    """Limits made ready for one part: the plain quantities, the judged thresholds and the guarded ones (None: simple
    acceptance).
    """

    unit: Unit
    low: Quantity | None
    high: Quantity | None
    judged: Pair
    guarded: Pair | None
    text: str

    def margin(self, value: float) -> float:
        """Signed distance in grains to the nearer plain limit."""
        distances = []
        if self.low is not None:
            distances.append(value - self.low.grains)
        if self.high is not None:
            distances.append(self.high.grains - value)
        return min(distances)


def held(scene: Scene, limits: Limits, unit: Unit, *, decide: bool = True) -> Held:
    """Limits for a part: its own limits from planning filled in; with ``decide``, rounding and guard band applied
    (events never are).
    """
    own = limits.low_attribute is not None or limits.high_attribute is not None  # else the same for all its parts
    kept = scene.kept if own else scene.hall.kept
    key = ("held", id(scene.specification), scene.hall.token(limits), unit.name, decide)
    found = kept.get(key)
    if found is None:
        found = kept[key] = _held(scene, limits, unit, decide=decide)
    return found  # type: ignore[return-value]


def _held(scene: Scene, limits: Limits, unit: Unit, *, decide: bool) -> Held:
    low = _own(scene, limits.low, limits.low_attribute)
    high = _own(scene, limits.high, limits.high_attribute)
    plain = Pair(_threshold(low, limits.low_open), _threshold(high, limits.high_open))
    judged, guarded = plain, None
    if decide:
        judged = Pair(_rounded(scene, low, plain.low, "low"), _rounded(scene, high, plain.high, "high"))
        guarded = _guarded(scene, low, high, judged)
    return Held(unit, low, high, judged, guarded, written(low, high, limits))


def _own(scene: Scene, quantity: Quantity | None, attribute: str | None) -> Quantity | None:
    if attribute is None:
        return quantity
    stated = scene.part.attribute(attribute)
    if not isinstance(stated, Quantity):
        raise MissingAttributeError(
            f"part {scene.part.serial} has no '{attribute}' stated as a quantity",
            expected=f"'{attribute}' among the attributes of the part, from planning",
            remedy="state it in the load",
        )
    return stated


def _threshold(quantity: Quantity | None, is_open: bool) -> Threshold | None:
    return None if quantity is None else Threshold(quantity.grains, is_open)


def _rounded(scene: Scene, quantity: Quantity | None, plain: Threshold | None, side: str) -> Threshold | None:
    """The unrounded threshold that stands for rounding half to even before comparing (ASTM E29)."""
    comparison = scene.specification.comparison
    if quantity is None or plain is None or comparison.method == "absolute":
        return plain
    for place in comparison.places:
        if _same_but_for_reference(place.unit, quantity.unit):
            number, is_open = effective_limit(quantity.number, place.number, side, strict=plain.open)
            return Threshold(quantity.unit.grains_of(number), is_open)
    return plain


def _same_but_for_reference(one: Unit, other: Unit) -> bool:
    """Whether two units differ only in their reference, or in that one is of differences (psi gauge, psi of vacuum, psi difference)."""
    return one.name.split()[0] == other.name.split()[0] and one.scale == other.scale


def _guarded(scene: Scene, low: Quantity | None, high: Quantity | None, judged: Pair) -> Pair | None:
    widths = {width.unit.quantity: width for width in scene.specification.decision.widths}
    if scene.specification.decision.rule == "simple" or not widths:
        return None

    def width(quantity: Quantity | None) -> Quantity | None:
        if quantity is None:
            return None
        return widths.get(quantity.unit.difference().quantity) or widths.get(quantity.unit.quantity)

    if not (width(low) or width(high)):
        return None
    return Pair(_moved(judged.low, low, width(low), 1), _moved(judged.high, high, width(high), -1))


def _moved(judged: Threshold | None, limit: Quantity | None, width: Quantity | None, sign: int) -> Threshold | None:
    """A threshold moved inwards by a width, in the limit's own decimal unit where the width is written in that unit."""
    if judged is None or limit is None or width is None:
        return judged
    if judged.grains == limit.grains and width.unit.scale == limit.unit.scale:
        return Threshold(limit.unit.grains_of(limit.number + sign * width.number), judged.open)
    return Threshold(judged.grains + sign * width.grains, judged.open)


def written(low: Quantity | None, high: Quantity | None, limits: Limits) -> str:
    """Limits as both ends, so that a one-sided tolerance cannot be misread: '85 to 100 psi gauge'."""
    if low is not None and high is not None:
        ends = f"{low.number if low.unit == high.unit else low} to {high}"
        return ends + (" (ends excluded)" if limits.low_open or limits.high_open else "")
    if low is not None:
        return f"{'above' if limits.low_open else 'at least'} {low}"
    return f"{'below' if limits.high_open else 'at most'} {high}"
