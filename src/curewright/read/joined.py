"""Files of one recorder put together: a recorder that was started again leaves several, in the order of time, with gaps between.

Rows that stand in two files count once. Files that disagree about an instant are refused: which one is right is not for a program
to say. So are a channel that changed its unit or kind between two files.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.terms.run import Channel


def joined(pieces: Sequence[Channel]) -> tuple[Channel, int]:
    """One channel from the pieces of several files of one recorder, and how many samples stood in two of them.

    Raises :class:`FileError` where two files say different things of one instant, or interleave.
    """
    filled = sorted((piece for piece in pieces if len(piece.t)), key=lambda piece: int(piece.t[0]))
    if len(filled) < 2:
        return (filled or list(pieces))[0], 0
    made, twice = filled[0], 0
    for piece in filled[1:]:
        _refuse_changed(made, piece)
        made, again = _with(made, _in_states_of(made, piece))
        twice += again
    return made, twice


def _refuse_changed(one: Channel, other: Channel) -> None:
    for what, a, b in (
        ("unit", one.unit.name, other.unit.name),
        ("kind", one.kind, other.kind),
        ("heading", one.recorded_as, other.recorded_as),
    ):
        if a != b:
            raise FileError(
                f"the {what} of the channel '{one.name}' is '{a}' in {one.file} and '{b}' in {other.file}",
                where=Place(other.file),
                remedy="find out whether it is the same channel; if not, give it another name in the layout of the later file",
            )


def _in_states_of(one: Channel, piece: Channel) -> Channel:
    """A piece of a state channel with its states numbered as in the pieces before."""
    if piece.states == one.states:
        return piece
    states = (*one.states, *(word for word in piece.states if word not in one.states))
    numbers = np.array([states.index(word) for word in piece.states], dtype=np.float64)
    known = piece.v >= 0
    v = np.where(known, numbers[np.where(known, piece.v, 0).astype(np.int64)], piece.v) if len(numbers) else piece.v
    return replace(piece, v=v, raw=v, states=states)


def _with(made: Channel, piece: Channel) -> tuple[Channel, int]:
    """A channel continued by a later piece; what both hold has to be the same."""
    shared = int(np.searchsorted(piece.t, made.t[-1], side="right"))
    if shared:
        first = int(np.searchsorted(made.t, piece.t[0]))
        last = int(np.searchsorted(made.t, piece.t[shared - 1], side="right"))
        _refuse_different(made, piece, slice(first, last), slice(0, shared))
    if shared == len(piece.t):
        return made, shared
    longer = replace(
        made,
        t=np.concatenate([made.t, piece.t[shared:]]),
        v=np.concatenate([made.v, piece.v[shared:]]),
        bad=np.concatenate([made.bad, piece.bad[shared:]]),
        raw=np.concatenate([made.raw, piece.raw[shared:]]),
        row=np.concatenate([made.row, piece.row[shared:]]),
        states=piece.states,
        joined=(*made.joined, (int(piece.t[shared]), piece.file)),
    )
    return longer, shared


def _refuse_different(made: Channel, piece: Channel, mine: slice, its: slice) -> None:
    same = len(made.t[mine]) == len(piece.t[its]) and bool((made.t[mine] == piece.t[its]).all())
    if same:
        good = ~made.bad[mine] & ~piece.bad[its]
        differs = (made.bad[mine] != piece.bad[its]) | (good & (made.raw[mine] != piece.raw[its]))
        at: NDArray[np.int64] = np.flatnonzero(differs)
        if not len(at):
            return
        here, there = int(made.row[mine][at[0]]), int(piece.row[its][at[0]])
        what = f"different values of '{made.name}' for one instant"
    else:
        here, there = int(made.row[mine][0]) if len(made.row[mine]) else int(made.row[-1]), int(piece.row[0])
        what = f"rows of '{made.name}' that interleave"
    file = made.file_at(int(piece.t[0]))
    raise FileError(
        f"two files of the recorder {made.recorder} overlap with {what}: line {here} of {file}, line {there} of {piece.file}",
        where=Place(piece.file, there),
        remedy="if they are two recorders, name them so in their layouts; if one is a repaired copy, leave the other out",
    )
