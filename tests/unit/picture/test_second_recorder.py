"""Run-D of the outside data with both of its recorders: what the second one says stands in the gap, dotted, and nowhere else.

The gap is in the main recorder's file: silent from 01:16:30 to 01:47:00, that is 216.5 to 247 min after the start at 21:40.
"""

from pathlib import Path

import numpy as np
import pytest

from curewright.jobs.judge_run import RunFiles, judged, understand_run
from curewright.picture.deviation import deviation
from curewright.picture.judged_run import JudgedRun
from curewright.picture.whole_run import whole_run
from tests.unit.picture.svg import Read

PAPERS = Path(__file__).resolve().parents[2] / "recorder_exports"
RULE = "second recorder: not allowed        # the main recorder alone"
ALLOWED = "second recorder: {at a time: 35 min, in all: 35 min, procedure: SP-12 rev B}"
GAP = (216.5, 247.0)  # min


@pytest.fixture(scope="module")
def run(shared_data: Path, tmp_path_factory: pytest.TempPathFactory) -> JudgedRun:
    exports, papers = shared_data / "recorder_exports" / "run-D", PAPERS / "run-D"
    paper = tmp_path_factory.mktemp("paper") / "specification.yaml"
    text = (PAPERS / "specification.yaml").read_text(encoding="utf-8")
    paper.write_text(text.replace(RULE, ALLOWED), encoding="utf-8")
    named = {
        "specifications": [paper],
        "logs": [exports / "log_main.csv", exports / "log_backup.csv"],
        "layouts": [papers / "layout.yaml", papers / "layout_backup.yaml"],
    }
    understood = understand_run(RunFiles(papers, named))
    judgement = judged(understood, papers, number=1, person="", at="")
    inputs = understood.inputs
    return JudgedRun(understood.specifications, inputs.vessel, inputs.load, inputs.run, judgement, inputs.rulings)


def test_the_second_recorder_stands_in_the_gap_only(run: JudgedRun) -> None:
    read = Read(whole_run(run, "P1"))
    left, _, width, _ = sorted(read.boxes("frame"), key=lambda box: box[1])[0]
    end = max(int(channel.t[-1]) for channel in run.run.channels.values()) / 60e9
    dotted = np.concatenate(read.lines("second recorder"))[:, 0]
    begin, finish = (left + width * minute / max(end, run.hall.end / 60e9) for minute in GAP)
    assert dotted.min() >= begin - 1  # tenths of a point
    assert dotted.max() <= finish + 1
    assert dotted.max() - dotted.min() > 0.8 * (finish - begin)
    assert "second recorder: backup" in read.text


def test_a_close_view_has_it_too(run: JudgedRun) -> None:
    verdict = next(v for v in run.verdicts("P1") if v.kind == "duration")
    svg = deviation(run, verdict)
    assert svg is not None
    assert Read(svg).lines("second recorder")
