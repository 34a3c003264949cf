"""The picture of a part's state at an instant: temperature and degree of cure through the thickness of its zones, for the review board."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.jobs.draw_prediction import REPLAYED, shown_for
from curewright.jobs.state_of_part import built_up_part, in_resin, planned, recorded_course
from curewright.physics.solve.places import cure_at, temperature_at
from curewright.picture.predictions.profile_sheet import ZoneProfile, profile_sheet
from curewright.predict.summary import SHARES
from curewright.record.state_words import clock
from curewright.terms.errors import CurewrightError
from curewright.text.file_names import plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from curewright.jobs.predict_run import Predicted, Replayed
    from curewright.jobs.understand_run import RunFiles
    from curewright.physics.solve.solve import Solution
    from curewright.predict.part_state import PartState
    from curewright.predict.state_band import StateBand

    Array = NDArray[np.float64]
    Through = tuple[Array, Array]

DEPTHS = 25


def draw_state(files: RunFiles, replayed: Replayed, state: PartState, bands: Sequence[StateBand], folder: Path) -> Path:
    """Draws the state into a folder as ``state-PART-TIME.svg`` and gives its path; bands: those of the part, none where nobody asked."""
    svg = state_picture(replayed, planned(files, replayed), state, bands)
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"state-{plain(state.part)}-{clock(state.t).replace(':', '-')}.svg"
    file.write_bytes(svg)
    return file


def state_picture(replayed: Replayed, nominal: Predicted | None, state: PartState, bands: Sequence[StateBand]) -> bytes:
    """The sheet as SVG. Raises :class:`CurewrightError` where no zone of the part has a replay of something that cures."""
    profiles = list(_profiles(replayed, nominal, state, [one for one in bands if one.by == "replayed"]))
    if not profiles:
        raise CurewrightError(f"nothing that cures in part {state.part} is replayed: there is nothing to draw")
    title = f"{REPLAYED}: run {replayed.inputs.run.number}, part {state.part}, {clock(state.t)} after the start"
    return profile_sheet(title, profiles, shown_for(replayed, state.part))


def _profiles(
    replayed: Replayed, nominal: Predicted | None, state: PartState, bands: list[StateBand]
) -> Iterator[ZoneProfile]:
    part = built_up_part(replayed, state.part)
    found = {one.zone.name: one for one in replayed.prediction.of_part(state.part)}
    sensors = [(place, *recorded_course(channel)) for place, _, channel in in_resin(replayed, part)]
    whiskers = iter(bands)  # as many for each zone with something that cures, in their order
    for zone in part.zones:
        resin = replayed.materials.resin_of(zone)
        if resin is None:
            continue
        layer = resin[0].name
        of_zone = [next(whiskers) for _ in SHARES[::2]] if bands else []
        one = found[zone.name]
        if isinstance(one.found, CurewrightError):
            continue
        shares = np.linspace(0.0, 1.0, DEPTHS)
        yield ZoneProfile(
            zone.name,
            layer,
            np.array([zone.depth(layer, share) for share in shares.tolist()]),
            *_through(one.solution, layer, shares, state.t),
            _planned(nominal, state, zone.name, layer, shares),
            tuple(
                (zone.depth(layer, share), band.temperature, band.cure)
                for share, band in zip(SHARES[::2], of_zone, strict=False)
            ),
            tuple(
                (place.sensor, zone.depth(place.layer, place.share), float(np.interp(state.t, t, kelvin)))
                for place, t, kelvin in sensors
                if place.zone == zone.name and t.size and t[0] <= state.t <= t[-1]
            ),
        )


def _through(solution: Solution, layer: str, shares: Array, t: float) -> Through:
    """Temperature [K] and cure at shares of a layer from its bag side, at an instant [s], straight between outputs."""
    hot = [np.interp(t, solution.t, temperature_at(solution, layer, 1.0 - share)) for share in shares.tolist()]
    cured = [np.interp(t, solution.t, cure_at(solution, layer, 1.0 - share)) for share in shares.tolist()]
    return np.array(hot), np.array(cured)


def _planned(nominal: Predicted | None, state: PartState, zone: str, layer: str, shares: Array) -> Through | None:
    """The same in the planned cycle; None where it is over by then, or has no such zone."""
    for one in nominal.prediction.of_part(state.part) if nominal is not None else ():
        if one.zone.name == zone and not isinstance(one.found, CurewrightError) and state.t <= one.solution.t[-1]:
            return _through(one.solution, layer, shares, state.t)
    return None
