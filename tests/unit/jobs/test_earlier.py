"""Exposure over several runs: each run's share comes from its sealed verdicts."""

from pathlib import Path
from typing import Any

import pytest

from curewright.jobs.judge_run import judge_run
from curewright.jobs.understand_run import RunFiles
from curewright.terms.errors import FileError

CLAUSE = """
  "9":
    says: A part shall not be above 170 °C for more than 300 minutes over all its cures, and not be cured more than twice.
    exposure:
      for each: part
      of: time
      from: record starts
      to: record ends
      runs while: hottest part thermocouple is at least 170
      within: at most 300
    exposure 2: {for each: part, of: cures, from: heating starts, to: record ends, within: at most 2}
"""


def prepared(folder: Path, run: str, earlier: str = "") -> dict[str, Any]:
    for name in ("run.yaml", "load.yaml"):
        file = folder / name
        file.write_text(file.read_text().replace("DEMO-1", run))
    load = folder / "load.yaml"
    if earlier:
        load.write_text(
            load.read_text().replace('serial: "00103"\n', f'serial: "00103"\n    earlier runs: [{earlier}]\n')
        )
    specification = folder / "specification-EX-180-M.yaml"
    if "exposure" not in specification.read_text():
        specification.write_text(specification.read_text() + CLAUSE)
    return judge_run(RunFiles(folder), folder / "verdicts")


def found(document: dict[str, Any], form: str) -> dict[str, Any]:
    keys = ("00103", "9", form)
    return next(v for v in document["verdicts"] if (v["part"], v["clause"], v["form"]) == keys)


def test_the_sum_over_two_runs(demo_folder: Path, demo_once: Path, tmp_path: Path) -> None:
    from shutil import copy, copytree

    first = prepared(demo_folder, "CURE-1")
    alone = found(first, "exposure")
    assert alone["outcome"] == "met"
    minutes = alone["share"]["least"] / 60e9
    second_folder = copytree(demo_once, tmp_path / "second")
    copy(demo_folder / "verdicts" / "verdicts.json", second_folder / "cure-1.json")
    second = prepared(second_folder, "CURE-2", "cure-1.json")
    both = found(second, "exposure")
    # The same log twice: exactly twice the time, held against 300 min.
    assert both["outcome"] == ("met" if 2 * minutes <= 300 else "not met")
    assert float(both["margin"]["value"]) == pytest.approx(300 - 2 * minutes, abs=1e-4)
    assert found(second, "exposure 2")["outcome"] == "met"
    assert found(second, "exposure 2")["margin"]["actual"] == "2"


def test_a_run_that_does_not_say_is_unknown(demo_folder: Path, demo_once: Path, tmp_path: Path) -> None:
    from shutil import copytree

    silent = copytree(demo_once, tmp_path / "silent")
    for name in ("run.yaml", "load.yaml"):
        (silent / name).write_text((silent / name).read_text().replace("DEMO-1", "CURE-1"))
    judge_run(RunFiles(silent), silent / "verdicts")
    (demo_folder / "cure-1.json").write_bytes((silent / "verdicts" / "verdicts.json").read_bytes())
    document = prepared(demo_folder, "CURE-2", "cure-1.json")
    assert found(document, "exposure")["outcome"] == "not shown"


@pytest.mark.parametrize("earlier", ["cure-1.json, cure-1.json", "itself.json"])
def test_a_run_counts_once_and_never_as_its_own_past(
    demo_folder: Path, demo_once: Path, tmp_path: Path, earlier: str
) -> None:
    from shutil import copytree

    past = copytree(demo_once, tmp_path / "past")
    name = "CURE-2" if "itself" in earlier else "CURE-1"
    prepared(past, name)
    for file in ("cure-1.json", "itself.json"):
        (demo_folder / file).write_bytes((past / "verdicts" / "verdicts.json").read_bytes())
    with pytest.raises(FileError, match="earlier ones"):
        prepared(demo_folder, "CURE-2", earlier)


def test_a_changed_byte_in_an_earlier_run_is_refused(demo_folder: Path, demo_once: Path, tmp_path: Path) -> None:
    from shutil import copytree

    past = copytree(demo_once, tmp_path / "past")
    prepared(past, "CURE-1")
    text = (past / "verdicts" / "verdicts.json").read_text()
    (demo_folder / "cure-1.json").write_text(text.replace("CURE-1", "CURE-0", 1))
    with pytest.raises(FileError, match="not what was sealed"):
        prepared(demo_folder, "CURE-2", "cure-1.json")
