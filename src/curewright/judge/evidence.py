"""The recorded samples around the deciding instant, with file and line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.steps import NEVER
from curewright.terms.verdict import Quoted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.judge.envelope import Atom
    from curewright.judge.scene import Member
    from curewright.terms.run import Channel
    from curewright.terms.verdict import Unknown

AROUND = 2  # samples quoted on each side of the deciding instant


def quoted_around(atoms: tuple[Atom, ...], label: str, instant: int | None) -> tuple[Quoted, ...]:
    """Samples next to an instant on the sensors of the trace with that label, not yet written out."""
    if instant is None or abs(instant) >= NEVER:
        return ()
    names = {label, *label.split(" - ")} - {"mean"} if " - " in label or label == "mean" else (label,)
    return tuple(
        _of(member, instant, _second(atom, instant)) for atom in atoms if atom.label in names for member in atom.members
    )


def quoted_beside(
    atoms: tuple[Atom, ...], unknown: tuple[Unknown, ...], quoted: tuple[Quoted, ...]
) -> tuple[Quoted, ...]:
    """The last good sample before every unknown stretch and the first good one after it, but those that are quoted already."""
    there = {(one.channel, t) for one in quoted for t in one.t}
    found: dict[tuple[str, int], Quoted] = {}
    for one in unknown:
        for member in (member for atom in atoms if atom.label == one.channel for member in atom.members):
            for channel, i in _edges(member, one.start, one.end):
                key = (member.name, int(channel.t[i]))
                if key not in there:
                    number = [float(channel.v[i])]
                    found[key] = Quoted(member.name, channel.written, [key[1]], number, [], [int(channel.row[i])])
    return tuple(found.values())


def _edges(member: Member, start: int, end: int) -> Iterator[tuple[Channel, int]]:
    """The places of the last good sample at or before a stretch and of the first good one at or after it, as far as there are."""
    before, after = _channel_at(member, start), _channel_at(member, end)
    i = int(before.t.searchsorted(start, side="right")) - 1
    while i >= 0 and before.bad[i]:
        i -= 1
    if i >= 0:
        yield before, i
    j = int(after.t.searchsorted(end))
    while j < len(after.t) and after.bad[j]:
        j += 1
    if j < len(after.t):
        yield after, j


def _channel_at(member: Member, instant: int) -> Channel:
    """The channel that carried a sensor at an instant."""
    if len(member.pieces) == 1:
        return member.channel
    return next((channel for channel, start, end in member.pieces if start <= instant < end), member.channel)


def _second(atom: Atom, instant: int) -> Channel | None:
    """The second recorder's channel where it speaks for a sensor at an instant."""
    second = atom.trace.second
    return second.channel if second is not None and second.over(instant, instant) else None


def _of(member: Member, instant: int, second: Channel | None) -> Quoted:
    channel, name = _channel_at(member, instant), member.name
    if second is not None:
        channel, name = second, f"{member.name} ({second.recorder})"
    i = int(channel.t.searchsorted(instant))
    first, last = max(0, i - AROUND), i + AROUND
    t = channel.t[first : last + 1].tolist()
    if instant in t:
        last += 1
    else:
        t = t[: last - first]
    bad = channel.bad[first:last].tolist() if channel.any_bad else []
    return Quoted(name, channel.written, t, channel.v[first:last].tolist(), bad, channel.row[first:last].tolist())
