"""A prediction as a run, so that the judge says which verdicts the cycle would get.

Every sensor of the map whose value is predicted gets a channel; the others have none, and what needs them comes out *not shown*. What
people do or write down (closing a source, a leak check) is not predicted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.run import Channel, Closing, Run
from curewright.terms.units import UNITS

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from curewright.predict.predicted import Prediction
    from curewright.terms.load import Assignment, Load

BY = "prediction"
SOURCE, ATMOSPHERE = "source", "atmosphere"
TEMPERATURES = ("judging", "information only", "tool")


def run_of(prediction: Prediction, load: Load, number: str, start: datetime) -> Run:
    """The run that a load's recorder would show: channels in °C and bar gauge, by the names of the sensor map."""
    channels = {}
    for line in load.map:
        found = _channel(prediction, line)
        if found is not None:
            channels[line.channel] = found
    return Run(
        number=number,
        start=start,
        vessel=load.vessel,
        channels=channels,
        closing=Closing(BY, covers=True, end=_ns(prediction.t)[-1].item()),
        barometer=round(prediction.seen.site * 1e3),
        barometer_from=BY,
        notes=(f"PREDICTED, not recorded: {prediction.warnings[0]}", *prediction.warnings[1:]),
    )


def _channel(prediction: Prediction, line: Assignment) -> Channel | None:
    """What a sensor would record; None where that is not predicted."""
    seen, t = prediction.seen, prediction.t
    if line.role in TEMPERATURES:
        shown = prediction.places.get(line.sensor)
        return None if shown is None else _measured(line, t, shown * 1e6, "degC")
    if line.role == "air":
        return _measured(line, t, seen.air.at(t) * 1e6, "degC")
    if line.role == "vessel pressure":
        return _measured(line, t, (seen.pressure.at(t) - seen.site) * 1e3, "bar gauge")
    if line.role in ("bag transducer", "source") and line.thing in seen.bags:
        return _measured(line, t, (seen.bags[line.thing].at(t) - seen.site) * 1e3, "bar gauge")
    if line.role == "source valve" and seen.kind == "planned":
        return _states(line, _valve(prediction), t)
    if line.role == "set point" and seen.segments:
        return _states(line, seen.segments, t)
    return None


def _valve(prediction: Prediction) -> tuple[tuple[float, str], ...]:
    vented = prediction.seen.vented
    opened = () if vented is None else ((vented, ATMOSPHERE),)
    return ((float(prediction.t[0]), SOURCE), *opened)


def _measured(line: Assignment, t: NDArray[np.float64], grains: NDArray[np.float64], unit: str) -> Channel:
    v = np.rint(grains)
    return Channel(
        line.channel, UNITS[unit], "continuous", _ns(t), v, np.zeros(t.size, dtype=np.bool_), v, _rows(t.size),
        file=BY, recorder=BY, reference=UNITS[unit].reference,
    )  # fmt: skip


def _states(line: Assignment, changes: tuple[tuple[float, str], ...], sampled: NDArray[np.float64]) -> Channel:
    """A state that holds from each change on, sampled at the changes and at every output."""
    names = tuple(dict.fromkeys(name for _, name in changes))
    starts = np.array([at for at, _ in changes])
    t = np.union1d(sampled, starts)
    t = t[(t >= starts[0]) & (t <= sampled[-1])]
    which = np.searchsorted(starts, t, side="right") - 1
    v = np.array([float(names.index(changes[i][1])) for i in which.tolist()])
    return Channel(
        line.channel, UNITS["count"], "state", _ns(t), v, np.zeros(t.size, dtype=np.bool_), v, _rows(t.size),
        file=BY, recorder=BY, states=names,
    )  # fmt: skip


def _ns(t: NDArray[np.float64]) -> NDArray[np.int64]:
    return np.rint(t * 1e9).astype(np.int64)


def _rows(count: int) -> NDArray[np.int64]:
    return np.arange(1, count + 1, dtype=np.int64)
