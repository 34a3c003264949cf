"""The recorded samples around the deciding instant, with file and line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.limits import in_unit
from curewright.judge.steps import NEVER
from curewright.terms.verdict import Sample

if TYPE_CHECKING:
    from curewright.judge.envelope import Atom
    from curewright.judge.scene import Member
    from curewright.terms.run import Channel

AROUND = 2  # samples quoted on each side of the deciding instant


def samples_around(atoms: tuple[Atom, ...], label: str, instant: int | None) -> tuple[Sample, ...]:
    """Samples next to an instant on the sensors of the trace with that label."""
    if instant is None or abs(instant) >= NEVER:
        return ()
    names = {label, *label.split(" - ")} - {"mean"}
    found: list[Sample] = []
    for atom in atoms:
        if atom.label in names:
            for member in atom.members:
                found += _of(member, instant, _second(atom, instant))
    return tuple(found)


def _second(atom: Atom, instant: int) -> Channel | None:
    """The second recorder's channel where it speaks for a sensor at an instant."""
    second = atom.trace.second
    return second.channel if second is not None and second.over(instant, instant) else None


def _of(member: Member, instant: int, second: Channel | None) -> list[Sample]:
    channel, name = member.channel, member.name
    if len(member.pieces) > 1:
        channel = next((channel for channel, start, end in member.pieces if start <= instant < end), channel)
    if second is not None:
        channel, name = second, f"{member.name} ({second.recorder})"
    i = int(channel.t.searchsorted(instant))
    around = slice(max(0, i - AROUND), i + AROUND)
    t = channel.t[around].tolist()
    if instant in t:
        around = slice(around.start, i + AROUND + 1)
        t = channel.t[around].tolist()
    values = _as_text(channel, channel.v[around].tolist(), channel.bad[around].tolist())
    rows, unit = channel.row[around].tolist(), channel.unit.name
    quoted = zip(t, values, rows, strict=True)
    return [Sample(name, at, value, unit, channel.file_at(at), row) for at, value, row in quoted]


def _as_text(channel: Channel, values: list[float], bad: list[bool]) -> list[str]:
    """Values as they were written (a vacuum is kept as negative gauge), a state by its label."""
    if channel.states:
        texts = [channel.states[int(value)] for value in values]
    else:
        sign = -1.0 if channel.unit.reference == "vacuum" else 1.0
        texts = [in_unit(sign * value, channel.unit) for value in values]
    return ["bad" if is_bad else text for text, is_bad in zip(texts, bad, strict=True)] if any(bad) else texts
