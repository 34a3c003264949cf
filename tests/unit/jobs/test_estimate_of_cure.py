"""What is estimated for a record: of everything that is not met, at the instant that decided; and what is said where it cannot be."""

from pathlib import Path
from shutil import copytree

import pytest

from curewright.jobs.estimate_of_cure import estimate_of_cure
from curewright.jobs.judge_run import judge_run
from curewright.jobs.understand_run import RunFiles
from curewright.record.cure_record.papers import EstimateOfCure

Block = dict


@pytest.fixture(scope="module")
def document(demo_once: Path) -> Block:
    return judge_run(RunFiles(demo_once))


@pytest.fixture(scope="module")
def found(demo_once: Path, document: Block) -> EstimateOfCure:
    return estimate_of_cure(RunFiles(demo_once), document)


def test_the_parts_that_are_not_met_at_the_instants_that_decided(found: EstimateOfCure, document: Block) -> None:
    wanted = {(v["part"], v["margin"]["at"]["ns"]) for v in document["verdicts"] if v["outcome"] == "not met"}
    assert len(wanted) == 2  # the short soak of the second part, the leak in the third part's bag
    assert {(one.state.part, round(one.state.t * 1e9)) for one in found.states} == wanted
    assert found.without == ()
    by_part = {one.state.part: one for one in found.states}
    assert "4.7 duration" in by_part["00102"].decided
    assert (by_part["00102"].shown.temperature.name, by_part["00103"].shown.temperature.name) == ("degF", "degC")


def test_what_the_leak_took_beside_the_plan(found: EstimateOfCure) -> None:
    """The demo's third bag stands 0.63 bar above the atmosphere (the recorder's own numbers) when its part gels."""
    leaked = next(one for one in found.states if one.state.part == "00103")
    for place in leaked.state.places:
        assert place.nominal_pressed is not None
        assert place.nominal_pressed.at_gel - place.pressed.at_gel == pytest.approx(0.63e5, abs=0.03e5)


def test_every_state_has_bands_and_the_requirements_say_how_sure_the_model_is(found: EstimateOfCure) -> None:
    for one in found.states:
        assert {band.by for band in one.bands} == {"recorded", "replayed"}
        for band in one.bands:
            [same] = [each.state for each in one.state.places if each.state.place == band.place]
            low, high = band.temperature
            assert low - (high - low) <= same.temperature <= high + (high - low)
        assert b'class="whisker"' in found.plots[found.states.index(one)].svg
    assert found.judged is not None
    assert found.judged.samples == 64
    assert {one.verdict.part for one in found.judged.verdicts} >= {"00102", "00103"}


def test_plots_and_files_are_those_of_the_estimate(found: EstimateOfCure, document: Block) -> None:
    assert len(found.plots) == 2 * (
        1 + 1 + 2
    )  # of each part its state at the instant, its sensors, and the resin of two zones
    assert len({one.name for one in found.plots}) == len(found.plots)
    for one in found.plots:
        assert b"REPLAYED by the model, not recorded" in one.svg
        assert "never evidence" in one.says
    judged = {one["file"] for one in document["inputs"]}
    assert [name for name, _ in found.files] == ["build-up.yaml", "vessel-heat.yaml", "cycle.yaml"]
    assert not judged & {name for name, _ in found.files}
    assert any("memory" in words for words in found.warnings)


def test_without_a_build_up_it_says_so_and_raises_nothing(demo_once: Path, document: Block, tmp_path: Path) -> None:
    home = copytree(demo_once, tmp_path / "run")
    sheet = home / "run.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("build-up: build-up.yaml\n", ""), encoding="utf-8")
    found = estimate_of_cure(RunFiles(home), document)
    assert found.states == ()
    assert len(found.without) == 1
    assert "nothing names the build-up" in found.without[0]


def test_nothing_not_met_nothing_to_estimate(demo_once: Path, document: Block) -> None:
    met = document | {"verdicts": [v for v in document["verdicts"] if v["outcome"] != "not met"]}
    found = estimate_of_cure(RunFiles(demo_once), met)
    assert found.states == ()
    assert "nothing to estimate" in found.without[0]
