"""The loss of vacuum in an isolated bag by a window rule, as bounds over all instants of closing and opening that the
run allows.

*first*: x(c + settling) - x(c + settling + W); *whole*: x(c + settling) - x(o); *worst*: the greatest x(t - W) - x(t)
between them. A fall over a sliding window is piecewise linear in t and turns only where an end of the window meets a
sample.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.envelope import Extreme
from curewright.judge.kernels import windows
from curewright.judge.limits import APART
from curewright.judge.steps import NEVER, TRUE
from curewright.terms.light import light

if TYPE_CHECKING:
    from curewright.judge.limits import Pair
    from curewright.judge.steps import When
    from curewright.judge.trace import Trace
    from curewright.terms.requirement import LeakCheck

Span = tuple[int, int]
BEFORE = "the isolated interval lies before the first reading of the bag"
SHORT = "the isolated interval is, or may be, shorter than settling and window"
OPEN = "the bag may be isolated beyond the end of the record"
NOT_READ = "the reading at the start or the end of the window is not known"


@light(frozen=True)
class Loss:
    """Least and greatest loss (None: not bounded on that side), and why it is not known better ('' where it is)."""

    least: Extreme | None
    most: Extreme | None
    why: str = ""

    def met(self, pair: Pair) -> bool:
        """Whether the loss surely satisfies the thresholds."""
        if self.least is None or self.most is None:
            return False
        return pair.met(self.least.value, APART) and pair.met(self.most.value, APART)

    def broken(self, pair: Pair) -> bool:
        """Whether the loss surely does not satisfy them."""
        too_much = pair.high is not None and self.least is not None and not pair.high.high_met(self.least.value, APART)
        too_little = pair.low is not None and self.most is not None and not pair.low.low_met(self.most.value, APART)
        return too_much or too_little


@light(frozen=True)
class Isolated:
    """Closing and opening of the source with their bounds, in a record that reaches to ``end`` and may cover the run."""

    closed: When
    opened: When
    end: int
    covers: bool = True

    @property
    def proven(self) -> bool:
        """Whether both are known to have happened."""
        return self.closed.latest < NEVER and self.opened.earliest < NEVER

    @property
    def open_end(self) -> bool:
        """Whether it may go on where the record does not reach."""
        return not self.covers and self.opened.latest > self.end

    def begins(self, settling: int) -> Span:
        """The instants at which the check can have begun, after settling."""
        return self.closed.earliest + settling, self.closed.latest + settling

    @property
    def ends(self) -> Span:
        """The instants inside the record at which the isolation can have ended."""
        return self.opened.earliest, max(self.opened.earliest, min(self.opened.latest, self.end))


def loss(trace: Trace, isolated: Isolated, form: LeakCheck, rule: str) -> Loss:
    """The loss by a window rule."""
    begins, ends = isolated.begins(form.settling), isolated.ends
    if ends[0] - begins[1] < form.window:
        return Loss(None, None, SHORT)
    if len(trace.t) and ends[1] < trace.t[0]:
        return Loss(None, None, BEFORE)
    if rule == "first":
        return _first(trace, begins, form.window)
    found = _whole(trace, begins, ends) if rule == "whole" else _worst(trace, begins, ends, form.window)
    if isolated.open_end:
        return Loss(found.least if rule == "worst" else None, None, OPEN)
    return found


def _first(trace: Trace, begins: Span, window: int) -> Loss:
    closings = begins[0] + window, begins[1] + window
    if not (_known(trace, begins) and _known(trace, closings)):
        return Loss(None, None, NOT_READ)
    return Loss(
        fall_over(trace, begins[0], closings[1], window, -1.0), fall_over(trace, begins[0], closings[1], window, 1.0)
    )


def _whole(trace: Trace, begins: Span, ends: Span) -> Loss:
    if not (_known(trace, begins) and _known(trace, ends)):
        return Loss(None, None, NOT_READ)
    before, after = trace.extremes(*begins), trace.extremes(*ends)
    least = Extreme(before.least - after.most, after.most_at, trace.name)
    return Loss(least, Extreme(before.most - after.least, after.least_at, trace.name))


def _worst(trace: Trace, begins: Span, ends: Span, window: int) -> Loss:
    """What is known inside is a lower bound even where not all is known."""
    least = fall_over(trace, begins[1], ends[0], window, 1.0)
    if not _known(trace, (begins[0], ends[1])):
        return Loss(least, None, "not known throughout the isolated interval")
    return Loss(least, fall_over(trace, begins[0], ends[1], window, 1.0))


def fall_over(trace: Trace, start: int, end: int, window: int, sign: float) -> Extreme | None:
    """The greatest (sign 1) or least (sign -1) known fall over the windows in a stretch, None where none is known."""
    arrays = trace.t, sign * trace.v, trace.window_link, trace.hold
    tried, fall, at = windows.greatest_fall(*arrays, start, end, window)
    return Extreme(sign * fall, int(at), trace.name) if tried else None


def _known(trace: Trace, span: Span) -> bool:
    return trace.known().over(*span) == {TRUE}
