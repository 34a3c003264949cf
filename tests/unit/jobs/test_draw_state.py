"""The picture of a part's state, of the demo: its numbers are those of the replay, the sensors' those of the recorder."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from curewright.jobs.draw_state import draw_state, state_picture
from curewright.jobs.predict_run import replay_run
from curewright.jobs.state_of_part import bands_of_part, state_at_instant
from curewright.jobs.understand_run import RunFiles
from tests.unit.picture.svg import Read

if TYPE_CHECKING:
    from curewright.picture.predictions import profile_sheet as sheet

AT = 8400.0  # s: 2:20, in the dwell


@pytest.fixture(scope="module")
def replayed(demo_once: Path):
    return replay_run(RunFiles(demo_once))


def test_the_profiles_are_the_replay_the_bands_and_what_was_recorded(replayed, monkeypatch: pytest.MonkeyPatch) -> None:
    taken: list[sheet.ZoneProfile] = []
    monkeypatch.setattr(
        "curewright.jobs.draw_state.profile_sheet", lambda _, profiles, __: taken.extend(profiles) or b""
    )
    state = state_at_instant(replayed, None, "00104", AT)
    bands, _ = bands_of_part(replayed, "00104", AT, 20)
    state_picture(replayed, None, state, bands)
    assert [one.zone for one in taken] == ["flange, lee side", "flange, windward", "boss"]
    by_place = {one.state.place: one.state for one in state.places}
    for one in taken:
        for share, index in ((0, 0), (0.5, 12), (1, 24)):
            there = by_place[f"part 00104, {one.zone}, laminate at {share:g}"]
            assert one.temperature[index] == pytest.approx(there.temperature, abs=1e-6)
            assert one.cure[index] == pytest.approx(there.cure, abs=1e-9)
        of_zone = [band for band in bands if f", {one.zone}, laminate" in band.place]
        assert [(hot, cured) for _, hot, cured in one.whiskers] == [(band.temperature, band.cure) for band in of_zone]
        assert [depth for depth, _, _ in one.whiskers] == pytest.approx(one.depth[[0, 12, 24]])
    [(name, _, kelvin)] = taken[0].recorded
    channel = replayed.inputs.run.channels[name]
    assert name == "TC10"
    assert kelvin == pytest.approx(np.interp(AT, channel.t / 1e9, channel.v / 1e6), abs=1e-6)
    assert taken[2].recorded == ()  # nobody put a thermocouple on the boss


def test_it_is_drawn_in_the_units_of_the_part_beside_the_plan(replayed, demo_once: Path, tmp_path: Path) -> None:
    state = state_at_instant(replayed, None, "00102", AT)
    file = draw_state(RunFiles(demo_once), replayed, state, (), tmp_path / "pictures")
    assert file.name == "state-00102-2-20.svg"
    read = Read(file.read_bytes())
    assert "temperature, °F, over depth in mm" in read.text
    assert re.search(r"REPLAYED by the model, not recorded: run DEMO-1, part 00102, 2:20 after the start", read.text)
    assert len(read.lines("planned")) == 4  # two zones, temperature and cure
    assert not read.elements("whisker")  # nobody asked for a band
