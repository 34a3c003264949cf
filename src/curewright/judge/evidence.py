"""The recorded samples around the deciding instant, with file and line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.steps import NEVER
from curewright.terms.verdict import Quoted

if TYPE_CHECKING:
    from curewright.judge.envelope import Atom
    from curewright.judge.scene import Member
    from curewright.terms.run import Channel
    from curewright.terms.verdict import Sample

AROUND = 2  # samples quoted on each side of the deciding instant


def samples_around(atoms: tuple[Atom, ...], label: str, instant: int | None) -> tuple[Sample, ...]:
    """Samples next to an instant on the sensors of the trace with that label."""
    return tuple(sample for quoted in quoted_around(atoms, label, instant) for sample in quoted.samples())


def quoted_around(atoms: tuple[Atom, ...], label: str, instant: int | None) -> tuple[Quoted, ...]:
    """The same as numbers, not yet written out."""
    if instant is None or abs(instant) >= NEVER:
        return ()
    names = {label, *label.split(" - ")} - {"mean"} if " - " in label or label == "mean" else (label,)
    return tuple(
        _of(member, instant, _second(atom, instant)) for atom in atoms if atom.label in names for member in atom.members
    )


def _second(atom: Atom, instant: int) -> Channel | None:
    """The second recorder's channel where it speaks for a sensor at an instant."""
    second = atom.trace.second
    return second.channel if second is not None and second.over(instant, instant) else None


def _of(member: Member, instant: int, second: Channel | None) -> Quoted:
    channel, name = member.channel, member.name
    if len(member.pieces) > 1:
        channel = next((channel for channel, start, end in member.pieces if start <= instant < end), channel)
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
