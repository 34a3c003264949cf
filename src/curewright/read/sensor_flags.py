"""Sensor faults: which stretches of the channels somebody should look at. Flagged, never removed; nothing is judged here.

What is looked for, and from which size on, is our own choice after common practice (no source); it is listed with the reasons
in ``docs/sensor-flags.md``. All of it looks ahead, so it ends before the judge, who does not read it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.run import Flag

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from curewright.terms.run import Channel

    Floats = NDArray[np.float64]
    Instants = NDArray[np.int64]

KELVIN = 1e6  # grains
MISSED = 3  # rows of its recorder without a good sample, to the end: lost
CLOSE = 10  # intervals: dropouts that are no further apart are told as one
AT_END = 4  # samples at an end of the range: clipped
BEFORE_LOSS = 6  # samples before a loss in which a run-up is looked for
RUN_UP = 5.0  # times the step that was usual before: a run-up
LEAST_RUN_UP = 5 * KELVIN
STILL = 10  # equal samples from which on a channel may be frozen
UNLIKELY = 1e-6  # the chance of so many equal samples, by the share of equal neighbours around
MOVED = 3 * KELVIN  # what the neighbours have to do meanwhile
LIKE = 24  # of so many like channels, spread over all, the median is taken
STILL_ROWS = 5  # whole rows that repeat: the recorder wrote its last values again
BLOCK = 128  # samples in which two channels have to agree to the last digit
BLOCKS = 16  # at most so many blocks of a channel are looked at, spread over the record
CHANGES = 32  # changes from sample to sample in such a block; else agreement says little


@dataclass(frozen=True, eq=False)
class _Side:
    """One channel's good samples: instants and recorded values (before correction), and the rows of its recorder."""

    channel: Channel
    t: Instants
    v: Floats
    axis: Instants

    @property
    def interval(self) -> int:
        """Its usual time between samples [ns]."""
        return int(np.median(np.diff(self.t))) if len(self.t) > 1 else 0


def flagged(
    channels: Mapping[str, Channel], ranges: Mapping[str, tuple[float, float]] | None = None
) -> dict[str, Channel]:
    """The channels with their flags. ``ranges``: ends of a channel's range [grains, as recorded], where they are stated."""
    sides = {name: _side(channel, axis) for channel, axis, name in _with_axes(channels)}
    frozen_rows = _rows_repeated(sides)
    copies = _copies(sides)
    found: dict[str, Channel] = {}
    for name, channel in channels.items():
        side = sides.get(name)
        if side is None:
            found[name] = channel
            continue
        flags = [*_losses(side), *_clipped(side, (ranges or {}).get(name))]
        flags += [flag for loss in flags if (flag := _run_up(side, loss, sides)) is not None]
        flags += frozen_rows.get(name, ()) or _frozen(side, sides)
        flags += copies.get(name, ())
        flags.sort(key=lambda flag: (flag.start, flag.kind))
        found[name] = replace(channel, flags=(*channel.flags, *flags)) if flags else channel
    return found


def flag_notes(channels: Mapping[str, Channel]) -> tuple[str, ...]:
    """One line for each channel with flags, for the notes of the record."""
    return tuple(
        f"{name} is flagged: {', '.join(_counted(channel.flags))}"
        for name, channel in channels.items()
        if channel.flags
    )


def _counted(flags: Sequence[Flag]) -> list[str]:
    kinds = list(dict.fromkeys(flag.kind for flag in flags))
    return [f"{kind} ({sum(flag.kind == kind for flag in flags)})" for kind in kinds]


def _with_axes(channels: Mapping[str, Channel]) -> Iterable[tuple[Channel, Instants, str]]:
    """Each continuous channel with the rows of its recorder: the instants of its fullest channel."""
    axes: dict[str, Instants] = {}
    for channel in channels.values():
        if len(channel.t) > len(axes.get(channel.recorder, ())):
            axes[channel.recorder] = channel.t
    for name, channel in channels.items():
        if channel.kind == "continuous" and channel.recorder in axes:
            yield channel, axes[channel.recorder], name


def _side(channel: Channel, axis: Instants) -> _Side:
    if not channel.bad.any():
        return _Side(channel, channel.t, channel.raw, axis)
    good = ~channel.bad
    return _Side(channel, channel.t[good], channel.raw[good], axis)


# ------------------------------------------------------------------------------------------------- lost, dropouts, run-up
def _losses(side: _Side) -> list[Flag]:
    """Lost at the end, and holes between, where its recorder went on."""
    t, axis = side.t, side.axis
    if not len(t):
        return [Flag("lost", int(axis[0]), None, "no good sample at all")] if len(axis) >= MISSED else []
    if len(t) == len(axis):
        return []
    found = _dropouts(side)
    after = len(axis) - int(np.searchsorted(axis, t[-1], side="right"))
    if after >= MISSED:
        text = f"no good sample follows in the {after} rows that its recorder still wrote"
        found.append(Flag("lost", int(t[-1]), None, text))
    elif after:
        found.append(Flag("dropout", int(t[-1]), int(axis[-1]), f"the last {after} row(s) have no good sample"))
    return found


def _dropouts(side: _Side) -> list[Flag]:
    """Holes with good samples on both sides: bad samples, or more rows without one than this channel usually leaves."""
    t, axis = side.t, side.axis
    rows = np.searchsorted(axis, t)
    skipped = np.diff(rows)
    usual = max(int(np.median(skipped)), 1) if len(skipped) else 1
    bad = side.channel.t[side.channel.bad]
    between = np.searchsorted(bad, t[1:]) - np.searchsorted(bad, t[:-1])
    holes = np.flatnonzero((between > 0) | (skipped > MISSED * usual))
    found: list[Flag] = []
    if len(bad) and bad[0] < t[0]:
        found.append(Flag("dropout", int(bad[0]), int(t[0]), "no good sample before"))
    if not len(holes):
        return found
    apart = np.flatnonzero(np.diff(t[holes]) > CLOSE * side.interval) + 1
    for group in np.split(holes, apart):
        missing = int(np.maximum(between[group], skipped[group] // usual - 1).sum())
        many = f"{len(group)} holes, " if len(group) > 1 else ""
        text = f"{many}{missing} sample(s) missing or bad between good ones"
        found.append(Flag("dropout", int(t[group[0]]), int(t[group[-1] + 1]), text))
    return found


def _run_up(side: _Side, loss: Flag, sides: Mapping[str, _Side]) -> Flag | None:
    """A climb or fall in the last samples before a loss, much steeper than just before and than that of like channels: an
    opening circuit.
    """
    if loss.kind not in ("lost", "dropout") or side.channel.unit.quantity != "temperature":
        return None
    last = int(np.searchsorted(side.t, loss.start))
    first = max(last - BEFORE_LOSS, 0)
    before = np.abs(np.diff(side.v[max(first - 20, 0) : first + 1]))
    steps = np.diff(side.v[first : last + 1])
    if len(before) < 5 or len(steps) < 2:
        return None
    usual = max(float(np.median(before)), float(np.percentile(before, 90)) / 2, 0.05 * KELVIN)
    steep = np.sign(steps[-1]) * steps > RUN_UP * usual
    count = len(steps) - (int(np.flatnonzero(~steep)[-1]) + 1 if not steep.all() else 0)
    rise = abs(float(side.v[last] - side.v[last - count])) if count else 0.0
    if count < 1 or rise < max(LEAST_RUN_UP, 2 * _moves(side, sides, int(side.t[last - count]), int(side.t[last]))):
        return None
    way = "rises" if steps[-1] > 0 else "falls"
    text = f"{way} by {rise / KELVIN:.1f} K in the last {count + 1} samples before it is lost; plausible values, flagged only"
    return Flag("run-up", int(side.t[last - count]), int(side.t[last]), text)


# ---------------------------------------------------------------------------------------------------------------- clipped
def _clipped(side: _Side, ends: tuple[float, float] | None) -> list[Flag]:
    """Several samples exactly at a stated end of the range; else (temperatures) at the highest value, cut off in mid-rise."""
    if len(side.v) < AT_END:
        return []
    found: list[Flag] = []
    for end, word in zip(ends or (), ("lower", "upper"), strict=False):
        at_end = side.v <= end if word == "lower" else side.v >= end
        for start, finish in _runs(at_end, AT_END):
            text = f"{finish - start + 1} samples at the {word} end of its range"
            found.append(Flag("clipped", int(side.t[start]), int(side.t[finish]), text))
    if not found and side.channel.unit.quantity == "temperature":
        found = _flat_top(side)
    return found


def _flat_top(side: _Side) -> list[Flag]:
    """A plateau of exactly the highest value that begins and ends with a step much larger than the channel's usual one."""
    v = side.v
    top = float(v.max())
    found = []
    for start, finish in _runs(v == top, AT_END):
        if start == 0 or finish == len(v) - 1:
            continue
        usual = float(np.median(np.abs(np.diff(v))))
        into, out = top - v[start - 1], top - v[finish + 1]
        climbing = start >= 2 and v[start - 1] - v[start - 2] > 5 * max(usual, 0.2 * KELVIN)
        if climbing and min(into, out) > max(usual, 0.2 * KELVIN):
            text = f"{finish - start + 1} samples at exactly its highest value, cut off in mid-rise"
            found.append(Flag("clipped", int(side.t[start]), int(side.t[finish]), text))
    return found


def _runs(mask: NDArray[np.bool_], least: int) -> list[tuple[int, int]]:
    """(first, last) of each run of True with at least so many members."""
    if not mask.any():
        return []
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return [(a, b - 1) for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True) if b - a >= least]


# ----------------------------------------------------------------------------------------------------------------- frozen
def _frozen(side: _Side, sides: Mapping[str, _Side]) -> list[Flag]:
    """Exactly constant for longer than the share of equal neighbours around explains, while like channels moved; and then
    with a jump, or to the end of the record.
    """
    if side.channel.unit.quantity != "temperature" or len(side.v) < 2 * STILL:
        return []
    changes = np.flatnonzero(side.v[1:] != side.v[:-1])
    edges = np.concatenate([[-1], changes, [len(side.v) - 1]])
    lengths = np.diff(edges)
    if int(lengths.max()) < STILL:
        return []
    found = []
    for i in np.flatnonzero(lengths >= STILL).tolist():
        first, last = int(edges[i]) + 1, int(edges[i + 1])
        if _chance(side.v, first, last) < UNLIKELY and _jumps(side, first, last, sides):
            text = f"exactly the same for {last - first + 1} samples while like channels moved"
            end = int(side.t[last]) if last < len(side.v) - 1 else None
            found.append(Flag("frozen", int(side.t[first]), end, text))
    return found


def _jumps(side: _Side, first: int, last: int, sides: Mapping[str, _Side]) -> bool:
    """Whether what follows a still stretch is no continuation of it: a jump, or (to the end) it left off following the
    like channels, which it had followed for as long before.
    """
    span = int(side.t[first]), int(side.t[last])
    if last < len(side.v) - 1:
        around = np.abs(np.diff(side.v[last + 1 : last + 22]))
        usual = max(float(np.median(around)) if len(around) else 0.0, 0.1 * KELVIN)
        jump = abs(float(side.v[last + 1] - side.v[last]))
        return jump > max(RUN_UP * usual, KELVIN) and _moves(side, sides, *span) > MOVED
    start = max(2 * first - last, 0)
    before = float(np.ptp(side.v[start : first + 1])) if first > start else 0.0
    if before <= MOVED or _moves(side, sides, *span) <= 5 * MOVED:
        return False
    return before > 0.3 * _moves(side, sides, int(side.t[start]), int(side.t[first])) > 0


def _chance(v: Floats, first: int, last: int) -> float:
    """The chance of so many equal neighbours, by their share in 200 samples around the run (in the worse half of them)."""
    shares = []
    for part in (v[max(first - 100, 0) : first], v[last + 1 : last + 101]):
        if len(part) > STILL:
            shares.append(float(np.mean(part[1:] == part[:-1])))
    share = max(shares, default=0.0)
    return float(max(share, 0.02) ** (last - first))


def _moves(side: _Side, sides: Mapping[str, _Side], start: int, end: int) -> float:
    """By how much the median channel of the same quantity moved meanwhile [grains]; 0 with fewer than two of them."""
    alike = [
        other
        for other in sides.values()
        if other is not side and other.channel.unit.quantity == side.channel.unit.quantity
    ]
    ranges = []
    for other in alike[:: max(len(alike) // LIKE, 1)]:
        a, b = np.searchsorted(other.t, [start, end + 1])
        if b - a >= 2:
            ranges.append(float(np.ptp(other.v[a:b])))
    return float(np.median(ranges)) if len(ranges) >= 2 else 0.0


def _rows_repeated(sides: Mapping[str, _Side]) -> dict[str, list[Flag]]:
    """Where all channels of a recorder stand still to the last digit at once, in a record that hardly does so elsewhere."""
    found: dict[str, list[Flag]] = {}
    axes = {id(side.t): side.t for side in sides.values()}
    for key, t in axes.items():
        group = {name: side for name, side in sides.items() if id(side.t) == key}
        if len(group) < 3 or len(t) < 4 * STILL_ROWS:
            continue
        still = np.ones(len(t) - 1, dtype=np.bool_)
        for side in group.values():
            still &= side.v[1:] == side.v[:-1]
            if not still.any():
                break
        runs = _runs(still, STILL_ROWS)
        within = sum(b - a + 1 for a, b in runs)
        if not runs or int(still.sum()) - within > 0.02 * len(t):
            continue
        for start, last in runs:
            text = f"all {len(group)} channels exactly the same for {last - start + 2} rows: the recorder wrote its last values again"
            for name in group:
                found.setdefault(name, []).append(Flag("frozen", int(t[start]), int(t[last + 1]), text))
    return found


# -------------------------------------------------------------------------------------------------------------- duplicates
def _copies(sides: Mapping[str, _Side]) -> dict[str, list[Flag]]:
    """Channels that agree to the last digit over a whole block: one jack read twice, or a cell copied on."""
    groups: dict[tuple[int, int, bytes], list[str]] = {}
    for name, side in sides.items():
        blocks = len(side.v) // BLOCK
        for block in range(0, blocks, max(blocks // BLOCKS, 1)):
            first = block * BLOCK
            groups.setdefault((block, int(side.t[first]), side.v[first : first + 16].tobytes()), []).append(name)
    pairs: dict[tuple[str, str], list[int]] = {}
    for (block, _, _), names in groups.items():
        for i, one in enumerate(names):
            for other in names[i + 1 :]:
                if _agree(sides[one], sides[other], block):
                    pairs.setdefault((one, other), []).append(block)
    found: dict[str, list[Flag]] = {}
    for (one, other), agreed in pairs.items():
        for start, end in _extents(sides[one], sides[other], agreed):
            for name, twin in ((one, other), (other, one)):
                found.setdefault(name, []).append(
                    Flag("duplicate", start, end, f"the same as {twin} to the last digit")
                )
    return found


def _agree(one: _Side, other: _Side, block: int) -> bool:
    part = slice(block * BLOCK, (block + 1) * BLOCK)
    same = np.array_equal(one.v[part], other.v[part]) and np.array_equal(one.t[part], other.t[part])
    return bool(same) and int((np.diff(one.v[part]) != 0).sum()) >= CHANGES


def _extents(one: _Side, other: _Side, blocks: list[int]) -> list[tuple[int, int]]:
    """The stretches over which two channels agree around such blocks, to the first differing sample."""
    n = min(len(one.v), len(other.v))
    runs = _runs((one.v[:n] == other.v[:n]) & (one.t[:n] == other.t[:n]), BLOCK)
    return [(int(one.t[a]), int(one.t[b])) for a, b in runs if any(a <= block * BLOCK <= b for block in blocks)]
