"""General temporal-logic monitors on what they can state, for the record: a band and a hold, one channel at a time.

They know samples, not what lies between them, and neither gaps, events, allowances, clocks nor rates; so only *always
within* and *for two hours at least* are asked, of channels without gaps. The margin of the band and whether the hold
exists have to agree with ours.
"""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Protocol

import numpy as np

from bench import measure
from bench.scenario import Size, scenario
from curewright.judge.trace import trace_of
from curewright.terms.units import unit_named

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.terms.run import Channel

HOLD = 7200  # s
LOW, HIGH, LEVEL = (float(unit_named("degF").to_grains(np.array([number]))[0]) for number in (60.0, 360.0, 340.0))
Found = tuple[float, bool]


class Monitor(Protocol):
    """Margin of the band [grains] and whether the hold exists."""

    def __call__(self) -> Found: ...


def ours(channel: Channel) -> Monitor:
    """The judge's own primitives, from the bare samples on."""

    def look() -> Found:
        trace = trace_of(channel.name, ((channel, -(2**62), 2**62),), 120 * 10**9)
        start, end = int(channel.t[0]), int(channel.t[-1])
        found = trace.extremes(start, end)
        stays = trace.at_least(LEVEL).stretches(start, end, (2,))
        return min(found.least - LOW, HIGH - found.most), any(b - a >= HOLD * 10**9 for a, b in stays)

    return look


def with_sentil(channel: Channel) -> Monitor:
    """sentil: both formulas over one trace."""
    import sentil

    band = sentil.Formula.parse(f"always ((x >= {LOW:.0f}) and (x <= {HIGH:.0f}))")
    hold = sentil.Formula.parse(f"eventually (always[0, {HOLD}] (x >= {LEVEL:.0f}))")
    seconds, values = channel.t / 1e9, channel.v.copy()

    def look() -> Found:
        trace = sentil.Trace(seconds, {"x": values})
        return float(band.robustness(trace)), float(hold.robustness(trace)) >= 0.0

    return look


def with_rtamt(channel: Channel) -> Monitor:
    """rtamt: discrete time, offline; the hold looks back, so that no window reaches beyond the log."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # its parser's run-time is of 2017
        import rtamt

    def formula(text: str) -> object:
        made = rtamt.StlDiscreteTimeSpecification()
        made.declare_var("x", "float")
        made.spec = text
        made.parse()
        return made

    times, values = list(range(len(channel.t))), channel.v.tolist()
    steps = HOLD * 10**9 // int(np.median(np.diff(channel.t)))
    band, hold = (
        lambda: formula(f"always((x >= {LOW:.0f}) and (x <= {HIGH:.0f}))"),
        lambda: formula(f"eventually(historically[0:{steps}](x >= {LEVEL:.0f}))"),
    )

    def look() -> Found:
        first, second = (made().evaluate({"time": times, "x": values}) for made in (band, hold))  # type: ignore[attr-defined]
        return float(first[0][1]), float(second[0][1]) >= 0.0

    return look


MONITORS: dict[str, Callable[[Channel], Monitor]] = {"sentil": with_sentil, "rtamt": with_rtamt}


def run(size: Size, rounds: int) -> bool:
    """Prints the table; True where what was here agreed."""
    asked = scenario(Size(2, size.hours, size.every))
    channel = asked.run.channels["TC000-1"]
    own = ours(channel)
    base_found = own()
    print(f"\nTemporal-logic monitors: band and hold on one channel of {len(channel.t):,} samples (for the record)")
    actions: dict[str, Callable[[], object]] = {"Curewright": own}
    equal = True
    for name, maker in MONITORS.items():
        try:
            made = maker(channel)
        except ImportError as error:
            print(f"  {name} is not here ({error}): not measured. tools/setup.sh monitors installs it.")
            continue
        found = made()
        agrees = abs(found[0] - base_found[0]) <= 1.0 and found[1] == base_found[1]
        equal &= agrees
        print(f"  {name}: " + ("agrees" if agrees else f"DIFFERS: {found}, ours {base_found}"))
        actions[name] = made
    seconds = measure.in_turn(actions, rounds)
    base = measure.median(seconds["Curewright"], clock=1)
    for name, each in seconds.items():
        middle = measure.median(each, clock=1)
        print(measure.row(name, measure.shown(middle), f"{middle / base:,.0f}", "x ours"))
    return equal
