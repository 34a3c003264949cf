"""The state of a part with what earlier runs taught: state and band speak of the same zone."""

from pathlib import Path

import pytest

from curewright.jobs.demo import write_demo
from curewright.jobs.state_of_part import bands_of_part, state_of_part
from curewright.jobs.understand_run import RunFiles
from curewright.read.learnt import learnt_text
from curewright.terms.learnt import LearntZone


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, in which an earlier run taught that the heavy tool is served far worse than its build-up says (0.44)."""
    folder = tmp_path_factory.mktemp("taught")
    write_demo(folder)
    one = LearntZone("FRAME-3", "T-08", "lee side", 0.1, 0.01, (), "R-0", "2026-01-01", 9.0, 1.0, 200)
    (folder / "learnt.yaml").write_text(learnt_text("AC-2", (one,)), encoding="utf-8")
    sheet = folder / "run.yaml"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace("cycle: cycle.yaml", "cycle: cycle.yaml\nlearnt: learnt.yaml"),
        "utf-8",
    )
    return folder


def test_a_band_is_of_the_zone_as_it_was_learnt(taught: Path) -> None:
    heating = 80 * 60.0  # s, in the first ramp, where the tool's side decides how far the part is behind
    found, replayed = state_of_part(RunFiles(taught), "00102", lambda _: heating)
    bands, _ = bands_of_part(replayed, "00102", heating, 20)
    states = {one.state.place: one.state.temperature for one in found.places if one.by == "replayed"}
    lee = [band for band in bands if band.by == "replayed" and "lee side" in band.place]
    assert len(lee) == 3
    for band in lee:
        low, high = band.temperature
        assert low <= states[band.place] <= high
