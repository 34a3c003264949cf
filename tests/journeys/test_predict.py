"""A load predicted, replayed and looked at by the review board, through the command line; and what is said where something is missing."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from curewright.jobs.demo import write_demo

if TYPE_CHECKING:
    from pathlib import Path

    from tests.journeys.conftest import Curewright


@pytest.fixture
def planned(tmp_path: Path) -> Path:
    """The demo's files, not judged; one thin part of one zone, so that a prediction is quick."""
    folder = tmp_path / "run"
    write_demo(folder)
    sheet = (folder / "build-up.yaml").read_text(encoding="utf-8")
    head, first, *_ = re.split(r'(?m)^(?=  "0010\d":)', sheet)
    (folder / "build-up.yaml").write_text(head + first, encoding="utf-8")
    # the cycle's holds wait for the coldest thermocouple, which only this part now has
    return folder


def test_a_load_is_predicted_and_kept(planned: Path, curewright: Curewright) -> None:
    first = curewright("predict", planned)
    assert first.returncode == 0, first.stderr
    assert first.stdout.startswith("PREDICTED, not recorded: run DEMO-1")
    assert "never evidence" in first.stdout
    assert "part 00104 has no build-up and is not predicted" in first.stdout
    assert "Verdicts that this cycle would get" in first.stdout
    out = planned / "prediction"
    kept = {file.name: file.read_bytes() for file in out.iterdir()}
    assert {
        "prediction.json",
        "traces.csv",
        "traces-00101.svg",
        "map-00101-lee-side.svg",
        "resin-00101-windward.svg",
    } <= kept.keys()
    again = curewright("predict", planned, "--out", planned / "again")
    assert again.returncode == 0
    assert {file.name: file.read_bytes() for file in (planned / "again").iterdir()} == kept


def test_which_requirement_is_at_risk_with_the_band_of_its_margin(planned: Path, curewright: Curewright) -> None:
    """The samples are judged, ranked, kept in the sealed file; what they are not stands beside them. A replay has the same."""
    found = curewright("predict", planned, "--band", "20", COLUMNS="200")
    assert found.returncode == 0, found.stderr
    assert "Which requirement is at risk" in found.stdout
    assert "not met, of 20" in found.stdout
    assert "no probability that the real run conforms" in " ".join(found.stdout.split())
    assert "clause 4.2 leak check of EX-177-2: isolation is not proven" in found.stdout
    assert "TC04, TC05, TC06 (no place in the build-up sheet)" in found.stdout
    assert {"margins-00101.svg", "sure-00101-windward.svg"} <= {one.name for one in (planned / "prediction").iterdir()}
    document = json.loads((planned / "prediction" / "prediction.json").read_text(encoding="utf-8"))
    kept = document["verdicts of the samples"]
    assert kept["samples"] == 20
    assert all(sum(one["samples"].values()) == 20 - kept["refused"] for one in kept["verdicts"])
    shown = [one for one in kept["verdicts"] if one["part"] == "00101" and one["clause"] == "4.7"]
    for one in shown:  # the predicted margin lies about where its samples do
        low, high = (float(one["middle 95 % of margins"][end]) for end in ("low", "high"))
        wide = high - low
        assert low - wide <= float(one["margin"]["value"]) <= high + wide
    assert shown
    again = curewright("replay", planned, "--band", "20", COLUMNS="200")
    assert again.returncode == 0, again.stderr
    assert "nothing here changes them" in " ".join(again.stdout.split())
    replayed = json.loads((planned / "replay" / "prediction.json").read_text(encoding="utf-8"))
    assert replayed["band"]["samples"] == replayed["verdicts of the samples"]["samples"] == 20
    assert curewright("replay", planned).returncode == 0
    assert not [one.name for one in (planned / "replay").glob("*.svg") if one.name.startswith(("margins-", "sure-"))]


def test_each_part_is_shown_in_the_units_of_its_own_specification(tmp_path: Path, curewright: Curewright) -> None:
    write_demo(tmp_path / "run")
    found = curewright("predict", tmp_path / "run", "--no-files", COLUMNS="200")
    assert re.search(r"TC01 +00101, lee side +\d+\.\d degF", found.stdout)
    assert re.search(r"TC07 +00103, lee side +\d+\.\d degC", found.stdout)
    assert re.search(r"00103, lee side .* bar at", found.stdout)


def test_nothing_is_written_where_nobody_wants_it(planned: Path, curewright: Curewright) -> None:
    before = sorted(planned.rglob("*"))
    assert curewright("predict", planned, "--no-files").returncode == 0
    assert curewright("replay", planned, "--no-files").returncode == 0
    assert sorted(planned.rglob("*")) == before


def test_a_run_is_replayed_beside_what_was_recorded(planned: Path, curewright: Curewright) -> None:
    found = curewright("replay", planned)
    assert found.returncode == 0, found.stderr
    assert found.stdout.startswith("REPLAYED: run DEMO-1")
    assert "recorded - replayed" in found.stdout
    assert {"traces-00101.svg", "prediction.json"} <= {file.name for file in (planned / "replay").iterdir()}


def test_the_state_at_an_instant_beside_the_plan(planned: Path, curewright: Curewright) -> None:
    found = curewright(
        "state", planned, "--part", "00101", "--at", "+5:06", "--further-hold", "180 degC", COLUMNS="200"
    )
    assert found.returncode == 0, found.stderr
    assert "Part 00101 of run DEMO-1, 5:06 after the start" in found.stdout
    assert "never evidence" in found.stdout
    assert "Pressure on the laminate (vessel less bag), psi" in found.stdout
    assert "no permission" in found.stdout
    by_clock = curewright(
        "state", planned, "--part", "00101", "--at", "10:46:00", "--further-hold", "180 degC", COLUMNS="200"
    )
    assert by_clock.stdout == found.stdout  # the recorder began at 05:40


@pytest.mark.parametrize("command", ["predict", "replay", "state"])
def test_without_a_build_up_it_says_what_to_write(planned: Path, curewright: Curewright, command: str) -> None:
    sheet = planned / "run.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("build-up: build-up.yaml\n", ""), encoding="utf-8")
    more = ("--part", "00101", "--at", "+5:06") if command == "state" else ()
    found = curewright(command, planned, *more)
    assert found.returncode == 65
    assert "nothing names the build-up" in found.stderr
    assert "run.yaml" in found.stderr
    assert not (planned / "prediction").exists()
    assert not (planned / "replay").exists()


def test_an_instant_outside_the_run_is_refused(planned: Path, curewright: Curewright) -> None:
    found = curewright("state", planned, "--part", "00101", "--at", "+9:00")
    assert found.returncode == 65
    assert "540.0 min after the start is outside the run" in found.stderr
    assert "0.0 to 420.0 min" in found.stderr


def test_a_part_without_a_build_up_has_no_state(planned: Path, curewright: Curewright) -> None:
    found = curewright("state", planned, "--part", "00104", "--at", "+5:06")
    assert found.returncode == 65
    assert "part 00104 has no build-up" in found.stderr
    assert "00101" in found.stderr


def test_a_card_that_nobody_knows_is_told_with_its_line(planned: Path, curewright: Curewright) -> None:
    sheet = planned / "build-up.yaml"
    text = sheet.read_text(encoding="utf-8").replace("resin: hubert_2001", "resin: hubert_2002", 1)
    sheet.write_text(text, encoding="utf-8")
    line = next(number for number, one in enumerate(text.splitlines(), 1) if "hubert_2002" in one)
    found = curewright("predict", planned)
    assert found.returncode == 65
    assert f"build-up.yaml, line {line}" in found.stderr or f"build-up.yaml:{line}" in found.stderr
    assert "hubert_2002" in found.stderr
    assert "hubert_2001" in found.stderr  # what it may have been


def test_a_cycle_is_needed_for_a_plan(planned: Path, curewright: Curewright) -> None:
    sheet = planned / "run.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("cycle: cycle.yaml\n", ""), encoding="utf-8")
    found = curewright("predict", planned)
    assert found.returncode == 65
    assert "no cycle is planned" in found.stderr
    assert curewright("replay", planned).returncode == 0  # a replay needs none


def test_a_record_with_an_estimate_when_asked_for(planned: Path, curewright: Curewright) -> None:
    """The verdicts are the same with and without, the record verifies, and a part without a build-up is named."""
    plain = curewright("judge", planned, "--out", planned / "plain", "--no-record")
    found = curewright("judge", planned, "--with-prediction")
    assert found.returncode == plain.returncode == 10, found.stderr
    kept = planned / "verdicts"
    assert (kept / "verdicts.json").read_bytes() == (planned / "plain" / "verdicts.json").read_bytes()
    text = " ".join(page.extract_text() for page in PdfReader(kept / "cure-record.pdf").pages)
    assert "Estimate of the cure (never evidence)" in text
    assert "part 00102 has no build-up" in " ".join(text.split())
    assert curewright("verify", kept).returncode == 0
