"""The state of a part's resin at an instant, for the review board: along each thermocouple as recorded, through each zone as replayed.

Beside each stands what the planned cycle would have done there.
"""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from curewright.jobs.cores import in_threads
from curewright.jobs.predict_run import Replayed, predict_load, replay_run
from curewright.predict.band import DOUBTS, ZoneAsked, doubts_of
from curewright.predict.further_hold import further_hold
from curewright.predict.part_state import PartState, PlaceState
from curewright.predict.predicted import of_part, warnings_of_part
from curewright.predict.resin import of_trace, of_zone, pressed_until_gel, state_at
from curewright.predict.sensors import channel_of, known
from curewright.predict.state_band import band_of_trace, band_of_zone
from curewright.predict.summary import SHARES
from curewright.read.physical import TEMPERATURE
from curewright.read.times import written_time
from curewright.terms.errors import CurewrightError, FileError, Place
from curewright.text.near import same_but_for_noughts
from curewright.text.yaml import Scalar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from curewright.jobs.predict_run import Predicted
    from curewright.jobs.understand_run import RunFiles
    from curewright.physics.card import Card
    from curewright.predict.resin import ResinCourse
    from curewright.predict.state_band import StateBand
    from curewright.terms.build_up import PartBuildUp
    from curewright.terms.build_up import Place as SensorPlace
    from curewright.terms.run import Channel


def state_of_part(
    files: RunFiles,
    serial: str,
    at: Callable[[Replayed], float],
    *,
    hold_at: float | None = None,
    step: Callable[[str], None] = lambda _: None,
) -> tuple[PartState, Replayed]:
    """The states of a part. ``at`` gives the instant [s] once the run is known; ``hold_at``: temperature [K] of a further hold, asked for.

    Raises :class:`CurewrightError` for a part without a build-up, and an instant outside the run.
    """
    replayed = replay_run(files, step)
    built_up_part(replayed, serial)
    t = at(replayed)
    _within(replayed, t)
    nominal = planned(files, replayed, step)
    return state_at_instant(replayed, nominal, serial, t, hold_at=hold_at), replayed


def planned(files: RunFiles, replayed: Replayed, step: Callable[[str], None] = lambda _: None) -> Predicted | None:
    """The planned cycle of a replayed run, predicted; None where none is planned."""
    if not replayed.given.cycle:
        return None
    step("predicting the planned cycle")
    return predict_load(files.home)


def state_at_instant(
    replayed: Replayed, nominal: Predicted | None, serial: str, t: float, *, hold_at: float | None = None
) -> PartState:
    """The states of a part at an instant [s] of a replayed run, beside the planned cycle's. Raises as :func:`state_of_part`."""
    part = built_up_part(replayed, serial)
    _within(replayed, t)
    courses = tuple(_courses(replayed, nominal, part))
    places = tuple(_place(*one, t, hold_at) for one in courses)
    told = warnings_of_part(replayed.asked, replayed.prediction, serial)
    of_cards = replayed.materials.notes(of_part(replayed.asked, serial).build_up)
    warnings = [*told, *of_cards, *(note for _, course, _, _ in courses for note in course.notes)]
    return PartState(serial, t, places, tuple(dict.fromkeys(warnings)))


def bands_of_part(
    replayed: Replayed, serial: str, t: float, samples: int, step: Callable[[str], None] = lambda _: None
) -> tuple[tuple[StateBand, ...], tuple[str, ...]]:
    """The middle 95 % of the state of a part's places at an instant, and what nobody said how well it is known.

    Raises :class:`CurewrightError` as :func:`state_of_part`, and where the solver refuses too many samples.
    """
    step(f"replaying {samples} samples of what is doubtful")
    part, materials = built_up_part(replayed, serial), replayed.materials
    doubts = replayed.asked.build_up.doubts
    found: list[StateBand] = []
    left_out: set[str] = set()
    for place in part.places:
        resin, channel = (
            materials.resin_of(part.zone(place.zone)),
            channel_of(replayed.inputs.run, replayed.inputs.load, place.sensor),
        )
        if resin is None or resin[0].name != place.layer or channel is None:
            continue
        name = f"{place.sensor} (part {serial}, {place.zone})"
        one = band_of_trace(
            name, resin[1], *recorded_course(channel), part.degree_of_cure, t, doubts.rate_of_cure, samples=samples
        )
        found += [one] if one is not None else []
    for zone in part.zones:
        resin = materials.resin_of(zone)
        if resin is not None:
            asked = ZoneAsked(replayed.asked, replayed.prediction.seen, replayed.prediction.t, part, zone)
            found += band_of_zone(asked, resin[1], resin[0].name, SHARES[::2], t, in_threads, samples=samples)
            left_out |= set(DOUBTS[:-1]) - doubts_of(replayed.asked, zone).keys()
    return tuple(found), tuple(name for name in DOUBTS if name in left_out)


def built_up_part(replayed: Replayed, serial: str) -> PartBuildUp:
    """A part's build-up as the replay had it. Raises :class:`CurewrightError` where nobody wrote one."""
    build_up = replayed.asked.build_up  # with what earlier runs taught, as the replay had it
    part = build_up.part(serial)
    if part is None:
        serials = [one.serial for one in build_up.parts]
        raise CurewrightError(
            f"part {serial} has no build-up",
            expected="one of " + ", ".join(serials),
            remedy=same_but_for_noughts(serial, serials) or "write one: docs/formats/build-up.md",
        )
    return part


def _within(replayed: Replayed, t: float) -> None:
    first, last = replayed.prediction.t[0], replayed.prediction.t[-1]
    if not first <= t <= last:
        raise CurewrightError(
            f"{t / 60:.1f} min after the start is outside the run",
            expected=f"{first / 60:.1f} to {last / 60:.1f} min after the start",
            remedy="write '+5:06' for 5 h 6 min after the start, or date and time as the clock of the run showed them",
        )


def temperature_of(text: str) -> float:
    """A temperature as written on the command line [K]; raises :class:`CurewrightError` for anything else."""
    return float(TEMPERATURE.read(Scalar(text, Place("--further-hold"))))


def instant(text: str, replayed: Replayed) -> float:
    """``+5:06`` (or ``+5:06:01``) after the start, or a clock time as the recorder's people write it [s since the start].

    Raises :class:`CurewrightError` for anything else.
    """
    where = Place("--at")
    since = re.fullmatch(r"\+(\d+):([0-5]\d)(?::([0-5]\d))?", text)
    if since:
        return int(since[1]) * 3600.0 + int(since[2]) * 60.0 + int(since[3] or 0)
    start = replayed.inputs.run.start
    begun = round(start.timestamp() * 1e6) * 1000
    clock = re.fullmatch(r"\d?\d:\d\d(:\d\d)?", text)
    if clock is None:
        dated = f"{text}:00" if re.fullmatch(r".*\d\d \d\d:\d\d", text) else text
        try:
            return (written_time(dated, start.tzinfo, where) - begun) / 1e9
        except FileError as error:
            error.expected = (
                "'+5:06' (5 h 6 min after the start), a clock time of the run such as '10:46:01', or a date with it"
            )
            raise
    hours, rest = text.split(":", 1)
    told = f"{int(hours):02}:{rest}" + ("" if clock[1] else ":00")
    days = (start.date(), start.date() + timedelta(days=1))  # a run over midnight: the first such time after its start
    found = [(written_time(f"{day} {told}", start.tzinfo, where) - begun) / 1e9 for day in days]
    return found[1] if found[0] < 0 and found[1] <= replayed.prediction.t[-1] else found[0]


def _place(
    by: str, course: ResinCourse, card: Card, planned: ResinCourse | None, t: float, hold_at: float | None
) -> PlaceState:
    now, end = state_at(course, t), state_at(course, float(course.t[-1]))
    then = planned_end = None
    if planned is not None:
        then = state_at(planned, t) if t <= planned.t[-1] else None
        planned_end = state_at(planned, float(planned.t[-1]))
    hold = None
    if hold_at is not None and end.cure is not None and planned_end is not None and planned_end.cure is not None:
        hold = further_hold(card, end.cure, hold_at, planned_end.cure)
    pressed, as_planned = pressed_until_gel(course), None if planned is None else pressed_until_gel(planned)
    return PlaceState(by, now, end, then, planned_end, pressed, as_planned, hold)


def _courses(
    replayed: Replayed, nominal: Predicted | None, part: PartBuildUp
) -> Iterator[tuple[str, ResinCourse, Card, ResinCourse | None]]:
    """Every thermocouple in resin by what it recorded, then every zone through its depth by the replay."""
    bag = next((one.bag for one in replayed.inputs.load.parts if one.serial == part.serial), "")
    materials = replayed.materials
    for place, card, channel in in_resin(replayed, part):
        name = f"{place.sensor} (part {part.serial}, {place.zone})"
        course = of_trace(name, card, *recorded_course(channel), part, replayed.prediction.seen, bag)
        yield "recorded", course, card, _planned(nominal, part, place.zone, place.share, bag)
    for one in replayed.prediction.of_part(part.serial):
        resin = materials.resin_of(one.zone)
        if resin is None or isinstance(one.found, CurewrightError):
            continue
        for share in SHARES[::2]:
            course = of_zone(one, resin[1], resin[0].name, share, replayed.prediction.seen, bag)
            yield "replayed", course, resin[1], _planned(nominal, part, one.zone.name, share, bag)


def in_resin(replayed: Replayed, part: PartBuildUp) -> Iterator[tuple[SensorPlace, Card, Channel]]:
    """The recorded thermocouples that sit in resin, with the card of it and what they recorded."""
    inputs = replayed.inputs
    for place in part.places:
        resin = replayed.materials.resin_of(part.zone(place.zone))
        channel = channel_of(inputs.run, inputs.load, place.sensor)
        if resin is not None and resin[0].name == place.layer and channel is not None:
            yield place, resin[1], channel


def _planned(nominal: Predicted | None, part: PartBuildUp, zone: str, share: float, bag: str) -> ResinCourse | None:
    """The same place in the planned cycle."""
    if nominal is None:
        return None
    for one in nominal.prediction.of_part(part.serial):
        resin = nominal.materials.resin_of(one.zone)
        if one.zone.name == zone and resin is not None and not isinstance(one.found, CurewrightError):
            return of_zone(one, resin[1], resin[0].name, share, nominal.prediction.seen, bag)
    return None


def recorded_course(channel: Channel) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Instants [s] and temperatures [K] up to the first sample that is no value: after that the place is not known by this sensor."""
    t, kelvin = known(channel)
    bad = channel.t[channel.bad | ~np.isfinite(channel.v)]
    before = t < bad[0] / 1e9 if bad.size else np.ones(t.size, dtype=np.bool_)
    return t[before], kelvin[before]
