"""The state of a part with what earlier runs taught: state and band speak of the same zone."""

from datetime import datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from curewright.jobs.demo import write_demo
from curewright.jobs.state_of_part import bands_of_part, instant, state_of_part
from curewright.jobs.understand_run import RunFiles
from curewright.read.learnt import learnt_text
from curewright.terms.errors import CurewrightError
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


@pytest.mark.parametrize(
    "text, seconds",
    [
        ("+5:06", 5 * 3600 + 360),
        ("22:30", 1800),  # the run begins at 22:00
        ("04:00", 6 * 3600),  # after midnight
        ("4:00:30", 6 * 3600 + 30),
        ("21:00", -3600),  # on neither day within the run: told as before its start
        ("2031-03-05 04:00", 6 * 3600),
    ],
)
def test_an_instant_of_a_run_over_midnight(text: str, seconds: float) -> None:
    assert instant(text, over_midnight()) == seconds


@pytest.mark.parametrize("text", ["4", "5 h", "at 04:00", "04.03.2031 23:00"])
def test_an_instant_that_is_none_says_what_may_be_written(text: str) -> None:
    with pytest.raises(CurewrightError) as refused:
        instant(text, over_midnight())
    assert "--at: " in str(refused.value)
    assert "'+5:06' (5 h 6 min after the start), a clock time of the run such as '10:46:01'" in str(refused.value)


def over_midnight() -> Any:
    """What of a replay the clock needs: a run of eight hours from 22:00."""
    start = datetime(2031, 3, 4, 22, tzinfo=ZoneInfo("Europe/Berlin"))
    run = SimpleNamespace(run=SimpleNamespace(start=start))
    return SimpleNamespace(inputs=run, prediction=SimpleNamespace(t=[0.0, 8 * 3600.0]))
