"""The recorded samples around the deciding instant, with file and line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

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
    members = [member for atom in atoms if atom.label in names for member in atom.members]
    return tuple(sample for member in members for sample in _of(member, instant))


def _of(member: Member, instant: int) -> list[Sample]:
    channel = next((channel for channel, start, end in member.pieces if start <= instant < end), member.channel)
    i = int(np.searchsorted(channel.t, instant))
    here = i < len(channel.t) and channel.t[i] == instant
    first = max(0, i - AROUND)
    last = min(len(channel.t), i + AROUND + (1 if here else 0))
    return [_sample(channel, k, member.name) for k in range(first, last)]


def _sample(channel: Channel, k: int, name: str) -> Sample:
    if channel.bad[k]:
        value = "bad"
    elif channel.states:
        value = channel.states[int(channel.v[k])]
    else:
        value = in_unit(_as_recorded(channel, float(channel.v[k])), channel.unit)
    return Sample(
        name, int(channel.t[k]), value, channel.unit.name, channel.file_at(int(channel.t[k])), int(channel.row[k])
    )


def _as_recorded(channel: Channel, grains: float) -> float:
    """A vacuum is kept as negative gauge; it is quoted as it was written."""
    return -grains if channel.unit.reference == "vacuum" else grains
