"""Signals of the judge as traces to draw: what is known of them, over the stretch that is shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.envelope import GREATEST, ONE
from curewright.judge.trace import GAP, JOINED, LOST, Trace
from curewright.picture.columns import values_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from curewright.judge.envelope import Atom, Envelope


def known_of(signal: Envelope, name: str, first: int, last: int) -> Trace:
    """A signal between two instants, of the sensors that are known and not set aside at each of its samples.

    So the coldest drawn is the coldest of the known: the judge counts what is unknown, the picture hatches it.
    """
    if signal.kind == ONE and not signal.less:
        atom = signal.sensors[0]
        return atom.trace.without(atom.aside) if atom.aside else atom.trace
    axis = _axis(signal.all_sensors, first, last)
    values = _values(signal, axis)
    if not len(axis):
        return Trace(name, axis, values, np.empty(0, np.uint8))
    middle = _values(signal, (axis[:-1] + axis[1:]) // 2)
    kept = np.flatnonzero(~np.isnan(values))
    link = np.full(len(kept), GAP, np.uint8)
    if len(kept) > 1:
        joined = (np.diff(kept) == 1) & ~np.isnan(middle[kept[:-1]])
        link[:-1] = np.where(joined, JOINED, LOST)
    return Trace(name, axis[kept], values[kept], link)


def _axis(atoms: Sequence[Atom], first: int, last: int) -> NDArray[np.int64]:
    """The sample instants of several traces in a stretch, with one more on each side."""
    found = [np.empty(0, np.int64)]
    for t in {id(atom.trace.t): atom.trace.t for atom in atoms}.values():
        a, b = np.searchsorted(t, first), np.searchsorted(t, last, side="right")
        found.append(t[max(int(a) - 1, 0) : int(b) + 1])
    return np.unique(np.concatenate(found))


def _values(signal: Envelope, axis: NDArray[np.int64]) -> NDArray[np.float64]:
    greatest = signal.kind == GREATEST
    values = _outermost(signal.sensors, axis, greatest=greatest)
    return values - _outermost(signal.less, axis, greatest=not greatest) if signal.less else values


def _outermost(atoms: Sequence[Atom], axis: NDArray[np.int64], *, greatest: bool) -> NDArray[np.float64]:
    take = np.fmax if greatest else np.fmin
    return np.asarray(take.reduce([_counting(atom, axis) for atom in atoms]))


def _counting(atom: Atom, axis: NDArray[np.int64]) -> NDArray[np.float64]:
    """The values of an atom, nan where it is not known or set aside."""
    values = values_at(atom.trace, axis)
    for start, end in atom.aside:
        values[(axis > start) & (axis < end)] = np.nan
    return values
