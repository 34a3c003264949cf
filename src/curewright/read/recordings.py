"""What several recorders left of one run: files of one recorder joined, a second one's clock set against the first one's.

Two recorders are never interleaved and never blended. A sensor that is wired to both has its channel on the first one; the second
one's channel stands beside it under its own name, and the judge may look at it inside the first one's gaps only.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.clocks.offset import clock_offset
from curewright.physics.clocks.signals import ClockNotToldError, Shared
from curewright.read.joined import joined
from curewright.terms.errors import FileError, Place
from curewright.terms.run import RecorderClock, Recording

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from curewright.physics.clocks.offset import ClockFit
    from curewright.read.forms import Filled
    from curewright.read.recorder import Export
    from curewright.terms.load import Load, Vessel
    from curewright.terms.run import Channel

SILENCE = 5  # usual intervals without a row: a gap of the recorder
SECONDS = 1e9
GRAINS = 1e6  # to K and kPa
BIAS = {"temperature": 3.0, "pressure": 20.0}  # K, kPa: how far two recorders may read apart (our choice)
DRIFT = 100e-6  # a clock whose drift the data do not tell: within 100 ppm (quartz; common practice, no source)
COVERS = 3.0  # standard uncertainties that the bound of an estimated clock takes
MILLISECOND = 10**6
NO_CLOCK = (
    "no junction and no vessel gauge is on both recorders; "
    "neighbours, however near, are no clock (on a heavier tool they lag by minutes)"
)
STATE_IT = "state it under 'clocks' in the run sheet"


@dataclass(frozen=True, eq=False)
class Recorded:
    """All channels of a run by name, what each recorder left, notes, and the last instant of all [ns since the start]."""

    channels: dict[str, Channel]
    recordings: tuple[Recording, ...]
    notes: tuple[str, ...]
    last: int


def by_recorder(exports: Sequence[Export]) -> dict[str, list[Export]]:
    """The exports of each recorder, in the order of time; exports that name no recorder each for itself."""
    groups: dict[str, list[Export]] = {}
    for export in exports:
        groups.setdefault(export.layout.recorder or f"({export.table.file})", []).append(export)
    return {recorder: sorted(group, key=lambda export: export.first) for recorder, group in groups.items()}


def second_recorders(exports: Sequence[Export], vessel: Vessel) -> tuple[str, ...]:
    """Recorders that are second to another one in this run: a sensor's channel is on that one, and it is also on them."""
    carried = {
        recorder: {column.channel for export in group for column in export.layout.columns}
        for recorder, group in by_recorder(exports).items()
    }
    return second_among(carried, vessel)


def second_among(carried: Mapping[str, set[str]], vessel: Vessel) -> tuple[str, ...]:
    """Recorders that are second to another one, by the channels that each has."""
    return tuple(
        recorder
        for recorder, channels in carried.items()
        if any(
            recorder == name and channel in channels and _elsewhere(sensor.channel, recorder, carried)
            for sensor in vessel.sensors
            for name, channel in sensor.also_on
        )
    )


def _elsewhere(channel: str, recorder: str, carried: Mapping[str, set[str]]) -> bool:
    return any(channel in channels for other, channels in carried.items() if other != recorder)


def recorded(
    exports: Sequence[Export], start: int, vessel: Vessel, load: Load | None, clocks: Iterable[tuple[str, Filled]] = ()
) -> Recorded:
    """The channels of all exports with t = 0 at ``start`` (ns since 1970 UTC), by the first recorder's clock.

    Raises :class:`FileError` where one name stands for two channels, files of a recorder disagree, or a clock is given for no
    recorder of this run. ``load`` (None where it could not be read) says which channel is the vessel pressure.
    """
    second = second_recorders(exports, vessel)
    groups = by_recorder(exports)
    order = sorted(groups, key=lambda recorder: recorder in second)  # first ones first, else as they were named
    given = _given(clocks, order)
    channels: dict[str, Channel] = {}
    recordings: list[Recording] = []
    notes: list[str] = []
    last = 0
    for recorder in order:
        found, said, remarks = _of_recorder(groups[recorder], start)
        notes += said
        if recorder in second:
            found = beside(found, recorder, vessel, channels)
        _refuse_one_name_for_two(found, channels)
        clock = None
        if recorder != order[0]:
            clock, why = _clock(found, channels, vessel, load, given.get(recorder))
            remarks = (*remarks, *why)
            notes += [f"recorder {recorder}: {line}" for line in why]
        shifted = {name: _on_first_clock(channel, clock) for name, channel in found.items()}
        channels |= shifted
        made = _recording(recorder, groups[recorder], start, clock, remarks)
        recordings.append(made)
        if recorder not in second or made.last > last + SILENCE * max(made.interval, recordings[0].interval):
            last = max(last, made.last)
    return Recorded(channels, tuple(recordings), tuple(notes), last)


# --------------------------------------------------------------------------------------------------------- one recorder
def _of_recorder(exports: Sequence[Export], start: int) -> tuple[dict[str, Channel], tuple[str, ...], tuple[str, ...]]:
    """Channels (joined where it left several files), what their reading noted, and what joining them noted."""
    pieces: dict[str, list[Channel]] = {}
    notes: tuple[str, ...] = ()
    for export in exports:
        found, said = export.channels(start)
        notes += said
        for name, channel in found.items():
            pieces.setdefault(name, []).append(channel)
    made, twice = {}, 0
    for name, parts in pieces.items():
        made[name], again = joined(parts)
        twice = max(twice, again)
    if len(exports) == 1:
        return made, notes, ()
    files = ", ".join(export.table.file for export in exports)
    remarks = [f"{len(exports)} files joined in the order of time: {files}"]
    remarks += [f"{twice} row(s) stood in two of them with the same values, and count once"] if twice else []
    remarks += [f"{name} is not in all of them" for name, parts in pieces.items() if len(parts) < len(exports)]
    return made, notes, tuple(remarks)


def _recording(
    recorder: str, exports: Sequence[Export], start: int, clock: RecorderClock | None, remarks: tuple[str, ...]
) -> Recording:
    """Files, extent, silences of a recorder, on the first one's clock."""
    t = np.unique(np.concatenate([export.instants for export in exports])) - start
    t = _moved(t, clock)
    steps = np.diff(t)
    interval = int(np.median(steps)) if len(steps) else 0
    silent = np.flatnonzero(steps > SILENCE * interval)
    return Recording(
        recorder,
        tuple(export.table.file for export in exports),
        int(t[0]),
        int(t[-1]),
        interval,
        tuple((int(t[i]), int(t[i + 1])) for i in silent),
        clock,
        remarks,
    )


def _refuse_one_name_for_two(found: Mapping[str, Channel], channels: Mapping[str, Channel]) -> None:
    for name in found:
        if name in channels:
            one, other = channels[name], found[name]
            known = f"the recorders {one.recorder} and {other.recorder}" if one.recorder != other.recorder else "both"
            raise FileError(
                f"the channel '{name}' is in {one.file} and in {other.file}",
                where=Place(other.file),
                remedy=(
                    "two recorders are never interleaved; "
                    f"if it is one junction or gauge wired to {known}, say so in the vessel file "
                    f"(also on: {{{other.recorder or 'its recorder'}: {name}}}); if one recorder was started again, name it in both "
                    "layouts; else give one of them another name, or leave it out"
                ),
            )


def beside(
    found: Mapping[str, Channel], recorder: str, vessel: Vessel, channels: Mapping[str, Channel]
) -> dict[str, Channel]:
    """The channels of a second recorder: those of sensors that are on the first one too stand under a name of their own."""
    first_of = {
        channel: sensor.channel
        for sensor in vessel.sensors
        for name, channel in sensor.also_on
        if name == recorder and sensor.channel in channels
    }
    made = {}
    for name, channel in found.items():
        own = f"{name} ({recorder})" if name in first_of else name
        made[own] = replace(channel, name=own, second_of=first_of.get(name, ""))
    return made


# ---------------------------------------------------------------------------------------------------------- its clock
def _given(clocks: Iterable[tuple[str, Filled]], order: Sequence[str]) -> dict[str, RecorderClock]:
    made = {}
    for recorder, form in clocks:
        if recorder not in order[1:]:
            raise FileError(
                f"a clock is given for the recorder '{recorder}'",
                expected=", ".join(order[1:]) or "no clock, as one recorder alone has none to be held against",
                where=form.place(),
                remedy="the first recorder's clock is the run's; name one of the others, as in its layout",
            )
        if (form["ahead by"] is None) == (form["behind by"] is None):
            raise FileError(
                "a clock is ahead or behind", expected="one of 'ahead by' and 'behind by'", where=form.place()
            )
        ahead = form["ahead by"] if form["ahead by"] is not None else -form["behind by"]
        made[recorder] = RecorderClock(ahead, 0, form["plus or minus"], form["how"], person=form["by"])
    return made


def _clock(
    found: Mapping[str, Channel],
    channels: Mapping[str, Channel],
    vessel: Vessel,
    load: Load | None,
    given: RecorderClock | None,
) -> tuple[RecorderClock | None, tuple[str, ...]]:
    """A recorder's clock against the first one's, given or estimated, and what is to be said about it."""
    shared = _shared(found, channels, vessel, load)
    try:
        if not shared:
            raise ClockNotToldError(NO_CLOCK)
        about = 0.0 if given is None else given.ahead / SECONDS
        fit = clock_offset([replace(signal, t2=signal.t2 - about) for signal, _ in shared])
        fit = replace(fit, ahead=fit.ahead + about)
    except ClockNotToldError as error:
        if given is not None:
            return given, (f"its clock is taken as {given.person} gave it: {_as_text(given)}",)
        if not any(channel.second_of for channel in found.values()):
            return None, (f"its clock was not held against the first recorder's, and is taken as the same: {error}",)
        return None, (f"it fills no gap, because its clock is not known: {error}. To do: {STATE_IT}",)
    furthest = max(
        abs(int(channel.t[i]) / SECONDS - fit.at) for channel in found.values() if len(channel.t) for i in (0, -1)
    )
    estimated = _estimated(fit, [signal.name for signal, _ in shared], furthest)
    said = _differences(fit, {signal.name: unit for signal, unit in shared})
    if given is None:
        return estimated, (f"its clock was {_as_text(estimated)}, found from {estimated.how}", *said)
    apart = abs(given.ahead - estimated.ahead)
    agrees = apart <= given.plus_minus + estimated.plus_minus
    word = "agree" if agrees else "DO NOT AGREE"
    return given, (
        f"its clock is taken as {given.person} gave it: {_as_text(given)}; the data {word}: {_as_text(estimated)}",
        *said,
    )


def _shared(
    found: Mapping[str, Channel], channels: Mapping[str, Channel], vessel: Vessel, load: Load | None
) -> list[tuple[Shared, str]]:
    """What both recorders saw: the same junction, or the vessel pressure; with the unit for differences."""
    pressures = {line.channel for line in (load.map if load else ()) if line.role == "vessel pressure"}
    temperatures = {sensor.channel for sensor in vessel.sensors if sensor.measures == "temperature"}
    made = []
    for second in found.values():
        first = channels.get(second.second_of)
        if first is None or first.name not in pressures | temperatures:
            continue
        same = first.reference == second.reference
        bias = BIAS[first.unit.quantity] if same else 300.0  # kPa: the one gauge, the other absolute
        good, also = ~first.bad, ~second.bad
        signal = Shared(
            first.name,
            first.t[good] / SECONDS,
            first.raw[good] / GRAINS,
            second.t[also] / SECONDS,
            second.raw[also] / GRAINS,
            bias,
        )
        made.append((signal, "K" if first.unit.quantity == "temperature" else "kPa"))
    return made


def _estimated(fit: ClockFit, names: Sequence[str], furthest: float) -> RecorderClock:
    drift = DRIFT if fit.drift_standard is None else COVERS * fit.drift_standard * 1e-6
    bound = COVERS * fit.standard + drift * furthest
    what = f"{', '.join(names)} recorded by both, at {fit.instants} instants"
    return RecorderClock(
        ahead=_whole(fit.ahead),
        at=_whole(fit.at),
        plus_minus=-(-int(bound * SECONDS) // MILLISECOND) * MILLISECOND,
        how=what,
        drift=None if fit.drift is None else f"{fit.drift:.1f}",
        standard=_whole(fit.standard),
    )


def _whole(seconds: float) -> int:
    """Whole milliseconds, in ns."""
    return round(seconds * 1000) * MILLISECOND


def _as_text(clock: RecorderClock) -> str:
    way = "ahead" if clock.ahead >= 0 else "behind"
    u = "" if clock.standard is None else f", standard uncertainty {clock.standard / SECONDS:.1f} s"
    drift = "" if clock.drift is None else f", gaining {clock.drift} ppm"
    return f"{abs(clock.ahead) / SECONDS:.1f} s {way} ± {clock.plus_minus / SECONDS:.1f} s{u}{drift}"


def _differences(fit: ClockFit, units: Mapping[str, str]) -> tuple[str, ...]:
    """How far the recorders read apart where both saw the same: reported, never blended."""
    parts = [
        f"{name} {difference:+.2f} {units[name]} (scatter {scatter:.2f})"
        for name, difference, scatter in fit.differences
    ]
    return (f"it read, against the first one and on average: {', '.join(parts)}",)


def _on_first_clock(channel: Channel, clock: RecorderClock | None) -> Channel:
    if clock is None:
        return channel
    t = _moved(channel.t, clock)
    following = tuple((int(_moved(np.array([first]), clock)[0]), file) for first, file in channel.joined)
    return replace(channel, t=t, joined=following)


def _moved(t: NDArray[np.int64], clock: RecorderClock | None) -> NDArray[np.int64]:
    """Instants by a recorder's clock to instants by the first one's [ns]."""
    if clock is None:
        return t
    moved: NDArray[np.int64] = t - clock.ahead
    if clock.drift is not None:
        moved = moved - np.rint(float(clock.drift) * 1e-6 * (moved - clock.at)).astype(np.int64)
    return moved
