"""What a run taught, as a file that the run sheet names: a name that leads nowhere is refused, never passed over."""

from pathlib import Path

import pytest

from curewright.jobs.learn_places import learn_places
from curewright.jobs.predict_run import predict_load, replay_run
from curewright.jobs.understand_run import RunFiles
from curewright.read.learnt import learnt_text
from curewright.terms.errors import FileError
from curewright.terms.learnt import LearntZone


def named(folder: Path, old: str, new: str) -> None:
    sheet = folder / "run.yaml"
    text = sheet.read_text(encoding="utf-8")
    assert text.count(old) == 1
    sheet.write_text(text.replace(old, new), encoding="utf-8")


def test_a_learnt_file_that_is_not_there_is_refused_with_near_names(demo_folder: Path) -> None:
    (demo_folder / "learnt.yaml").write_text("vessel: AC-2\nlearnt: []\n", encoding="utf-8")
    named(demo_folder, "cycle: cycle.yaml", "cycle: cycle.yaml\nlearnt: lernt.yaml")
    for asked in (lambda: predict_load(demo_folder), lambda: replay_run(RunFiles(demo_folder))):
        with pytest.raises(FileError, match=r"lernt.yaml: the file cannot be read .* did you mean 'learnt.yaml'\?"):
            asked()
    with pytest.raises(FileError, match=r"lernt.yaml: the file cannot be read"):
        learn_places(RunFiles(demo_folder), demo_folder / "another.yaml")


@pytest.mark.parametrize(
    "was, now",
    [
        ("cycle: cycle.yaml", "cycle: cycel.yaml"),
        ("build-up: build-up.yaml", "build-up: biuld-up.yaml"),
        ("vessel heat: vessel-heat.yaml", "vessel heat: vessel-heet.yaml"),
    ],
)
def test_every_file_that_predictions_need_is_told_with_near_names(demo_folder: Path, was: str, now: str) -> None:
    named(demo_folder, was, now)
    file, near = now.split(": ")[1], was.split(": ")[1]
    with pytest.raises(FileError, match=rf"{file}: the file cannot be read .* did you mean '{near}'"):
        predict_load(demo_folder)


def test_the_file_that_is_about_to_be_written_may_be_named_before_it_is_there(demo_folder: Path) -> None:
    named(demo_folder, "cycle: cycle.yaml", "cycle: cycle.yaml\nlearnt: learnt.yaml")
    taught = learn_places(RunFiles(demo_folder), demo_folder / "learnt.yaml")
    assert taught.zones
    assert (demo_folder / "learnt.yaml").is_file()


def test_a_prediction_and_a_replay_say_what_of_the_learnt_file_they_use(demo_folder: Path) -> None:
    one = LearntZone("FRAME-3", "T-08", "lee side", 0.1, 0.01, (), "R-0", "2026-01-01", 9.0, 1.0, 200)
    (demo_folder / "learnt.yaml").write_text(learnt_text("AC-2", (one,)), encoding="utf-8")
    named(demo_folder, "cycle: cycle.yaml", "cycle: cycle.yaml\nlearnt: learnt.yaml")
    for found in (predict_load(demo_folder), replay_run(RunFiles(demo_folder))):
        told = [words for words in found.prediction.warnings if words.startswith("learnt.yaml: part ")]
        assert told
        assert all(
            "position factor 0.10 ± 0.01 (standard error), fit to run R-0, 2026-01-01, in place of" in words
            for words in told
        )
