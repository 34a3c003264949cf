"""The shared time axis of a plot: wall clock below, time since the start above."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.picture.drawing import Pen

if TYPE_CHECKING:
    from curewright.picture.drawing import Drawing
    from curewright.picture.scales import TimeScale

TICK = Pen(0.8)
SIZE, SMALL = 9.0, 8.0
CAPTION = 24.0  # pt beside the last tick


def clock_axis(drawing: Drawing, times: TimeScale, y: float) -> None:
    """Ticks of the wall clock under a panel that ends at ``y`` [pt]; takes 26 points below."""
    for tick in times.clock_ticks():
        x = times.x(tick.at)
        drawing.line(x, y, x, y + 4.0, TICK, "clock tick")
        drawing.words(x, y + 13.0, tick.words, SIZE, anchor="middle")
        if tick.below:
            drawing.words(x, y + 23.0, tick.below, SMALL, anchor="middle")
    words = f"clock, {times.zone()}"
    drawing.words(times.right + CAPTION, y + 13.0, words, SMALL)


def elapsed_axis(drawing: Drawing, times: TimeScale, y: float) -> None:
    """Ticks since the start above a panel that begins at ``y`` [pt]; takes 14 points above."""
    for tick in times.elapsed_ticks():
        x = times.x(tick.at)
        drawing.line(x, y - 4.0, x, y, TICK, "elapsed tick")
        drawing.words(x, y - 5.5, tick.words, SMALL, anchor="middle", ground=True, colour="#333")
    drawing.words(times.right + CAPTION, y - 5.5, "since start, h:mm", SMALL, colour="#333")
