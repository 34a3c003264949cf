"""The demo, judged, as the plots take it; and its recorder file read by the csv module alone."""

import csv
from pathlib import Path

import pytest

from curewright.jobs.judge_run import RunFiles, judged, understand_run
from curewright.picture.judged_run import JudgedRun

Columns = dict[str, list[str]]


@pytest.fixture(scope="session")
def demo_run(demo_once: Path) -> JudgedRun:
    understood = understand_run(RunFiles(demo_once))
    judgement = judged(understood, demo_once, number=1, person="operator A", at="")
    inputs = understood.inputs
    return JudgedRun(understood.specifications, inputs.vessel, inputs.load, inputs.run, judgement, inputs.rulings)


@pytest.fixture(scope="session")
def demo_columns(demo_once: Path) -> Columns:
    rows = list(csv.reader((demo_once / "recorder.csv").read_text("utf-8").splitlines()[3:]))
    return {name: [row[k] for row in rows[2:]] for k, name in enumerate(rows[0])}
