"""A check holds the build-up against the load sheet."""

from pathlib import Path

from curewright.jobs.check_run import check_run
from curewright.jobs.understand_run import RunFiles


def differ(folder: Path) -> list[str]:
    return [
        f"{one.name}: {one.message}" for one in check_run(RunFiles(folder)).findings if one.kind == "thickness differs"
    ]


def test_a_part_that_is_thicker_by_the_load_sheet_than_by_the_build_up_is_told(demo_folder: Path) -> None:
    assert differ(demo_folder) == []
    sheet = demo_folder / "load.yaml"
    text = sheet.read_text(encoding="utf-8")
    assert text.count("thickness: 8 mm") == 1
    sheet.write_text(text.replace("thickness: 8 mm", "thickness: 40 mm"), encoding="utf-8")
    (words,) = differ(demo_folder)
    assert "is 40 mm thick by the load sheet" in words
    assert "is 8 mm by the build-up" in words


def test_a_position_factor_that_is_hardly_meant_is_asked_about(demo_folder: Path) -> None:
    sheet = demo_folder / "build-up.yaml"
    text = sheet.read_text(encoding="utf-8")
    assert not [note for note in check_run(RunFiles(demo_folder)).notes if "is it meant?" in note]
    sheet.write_text(text.replace("position factor: 1.0", "position factor: 4.0", 1), encoding="utf-8")
    assert len([note for note in check_run(RunFiles(demo_folder)).notes if "is it meant?" in note]) == 1
