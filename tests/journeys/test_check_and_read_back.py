"""Before the run: is the paper what was meant, do the files hang together, and can it be met here at all."""

from pathlib import Path

import pytest

from tests.journeys.conftest import Curewright


def test_check_reads_and_judges_nothing(demo_folder: Path, curewright: Curewright) -> None:
    done = curewright("check", demo_folder)
    assert done.returncode == 0, done.stderr
    assert "nothing judged" in done.stdout
    assert "not met" not in done.stdout.lower()
    # 98.2 kPa is the site pressure of the demo's vessel; 98.2 / 3.386389 = 29.00 inHg (NIST SP 811).
    assert "Local air pressure 98.20 kPa absolute (29.00 inHg)" in " ".join(done.stdout.split())
    assert "Traceability: nothing to put right" in done.stdout


def test_check_names_what_cannot_be_led_back(demo_folder: Path, curewright: Curewright) -> None:
    load = demo_folder / "load.yaml"
    load.write_text(load.read_text().replace("BAG-4: {ports: [V7, V8]}", "BAG-4: {ports: [V7]}"))
    done = curewright("check", demo_folder)
    assert done.returncode == 11
    assert "BAG-4" in done.stdout


def test_one_vacuum_port_is_a_remark(demo_folder: Path, curewright: Curewright) -> None:
    load = demo_folder / "load.yaml"
    load.write_text(load.read_text().replace("BAG-4: {ports: [V7, V8]}", "BAG-4: {ports: [V8]}"))
    done = curewright("check", demo_folder)
    assert done.returncode == 0, done.stdout
    assert "Traceability: nothing to put right, 1 remark." in done.stdout
    assert "fewer than two vacuum ports" in done.stdout


def test_a_largest_gap_below_the_interval_is_told_once(demo_folder: Path, curewright: Curewright) -> None:
    # The demo's recorder writes a row every 30 s.
    paper = demo_folder / "specification-EX-177-2.yaml"
    paper.write_text(paper.read_text().replace("largest gap: 2 min", "largest gap: 20 s"))
    said = "the largest gap of EX-177-2 (20 s) is shorter than the recorder's usual interval (30 s): every stretch between rows"
    done = curewright("check", demo_folder)
    assert done.returncode == 11
    assert " ".join(done.stdout.split()).count(said) == 1
    judged = curewright("judge", demo_folder, "--no-record")
    words = " ".join(judged.stdout.split())
    assert words.count(said) == 1
    assert "and 14 more in verdicts.json (which names no more than 20)" in words
    assert max(len(block.split("unknown     ")) for block in judged.stdout.split("clause")) <= 1 + 6


def test_an_impossible_vacuum_is_refused_before_the_run(demo_folder: Path, curewright: Curewright) -> None:
    # At 70.0 kPa there are 70.0 / 3.386389 = 20.67 inHg (NIST SP 811: 1 inHg = 3.386389 kPa); the paper asks for 22.
    (demo_folder / "recorder.csv").unlink()
    vessel = demo_folder / "vessel.yaml"
    vessel.write_text(vessel.read_text().replace("98.2 kPa absolute", "70.0 kPa absolute"))
    done = curewright("check", demo_folder)
    assert done.returncode == 65
    assert "clause 4.2" in done.stderr
    assert "20.67 inHg" in done.stderr


def test_without_a_barometer_it_says_that_it_did_not_look(demo_folder: Path, curewright: Curewright) -> None:
    vessel = demo_folder / "vessel.yaml"
    lines = [line for line in vessel.read_text().splitlines() if not line.startswith("site pressure")]
    vessel.write_text("\n".join(lines) + "\n")
    done = curewright("check", demo_folder)
    assert done.returncode == 0, done.stderr
    assert "The local air pressure is not stated" in done.stdout


def test_check_before_there_is_a_log(demo_folder: Path, curewright: Curewright) -> None:
    (demo_folder / "recorder.csv").unlink()
    done = curewright("check", demo_folder)
    said = " ".join(done.stdout.split())
    assert done.returncode == 0, done.stderr
    assert "There is no log yet: recorder.csv is not there. Not checked without it:" in said
    assert "Traceability, as far as it goes without a log: nothing to put right" in said
    for name in ("load.yaml", "entries.yaml", "layout.yaml", "build-up.yaml", "cycle.yaml", "vessel-heat.yaml"):
        assert name in done.stdout


def test_a_misspelt_export_is_named_with_the_file_that_is_there(demo_folder: Path, curewright: Curewright) -> None:
    run = demo_folder / "run.yaml"
    run.write_text(run.read_text().replace("recorder.csv", "recoder.csv"))
    done = curewright("check", demo_folder)
    said = " ".join(done.stdout.split())
    assert done.returncode == 11, done.stderr
    assert "file not there: the export 'recoder.csv' is not there; did you mean 'recorder.csv'?" in said
    judged = curewright("judge", demo_folder, "--no-record")
    assert judged.returncode == 65
    assert "did you mean 'recorder.csv'?" in " ".join(judged.stderr.split())


@pytest.mark.parametrize(
    "file, old, new, code, says",
    [
        ("load.yaml", "    bag: BAG-3\n", "    bag: BAG-9\n", 11, "part 00103 is in the bag 'BAG-9'"),
        ("load.yaml", "BAG-4: {ports: [V7, V8]}", "BAG-4: {ports: [V1, V8]}", 11, "port used twice: the port V1"),
        ("load.yaml", 'AIR2, role: air}', 'AIR2, role: air, channel: A9}', 11, "channel A9 for AC-2 (air), and no layout has it"),
        ("load.yaml", "jack: J9,", "jack: J99,", 65, "no sensor is behind the jack J99"),
        ("load.yaml", 'role: judging, part: "00104"', 'role: judging, part: "00194"', 65, "on part 00104"),
        ("entries.yaml", 'part: "00101"', 'part: "00171"', 11, "is about '00171', which no other paper knows"),
        ("cycle.yaml", "cycle:", "cyle:", 65, "cyle"),
    ],
)  # fmt: skip
def test_without_a_log_all_other_papers_are_held_against_one_another(
    file: str, old: str, new: str, code: int, says: str, demo_folder: Path, curewright: Curewright
) -> None:
    (demo_folder / "recorder.csv").unlink()
    paper = demo_folder / file
    assert old in paper.read_text()
    paper.write_text(paper.read_text().replace(old, new))
    done = curewright("check", demo_folder)
    assert done.returncode == code, done.stdout
    assert says in " ".join((done.stdout + done.stderr).split())


def test_without_a_log_and_a_day_it_says_that_no_date_was_looked_at(demo_folder: Path, curewright: Curewright) -> None:
    (demo_folder / "recorder.csv").unlink()
    run = demo_folder / "run.yaml"
    run.write_text(run.read_text().split("closing:")[0])
    done = curewright("check", demo_folder)
    assert done.returncode == 0, done.stderr
    assert "Nobody says when the run starts: whether calibrations" in " ".join(done.stdout.split())


def test_read_back_says_every_choice(demo_folder: Path, curewright: Curewright) -> None:
    done = curewright("read-back", demo_folder / "specification-EX-177-2.yaml")
    assert done.returncode == 0
    for piece in ('"4.10"', "planning note 12", "least squares over 10 min", "the clock pauses", "It is not covered"):
        assert piece in done.stdout


def test_pictures_of_every_requirement(demo_folder: Path, curewright: Curewright, tmp_path: Path) -> None:
    done = curewright("read-back", demo_folder / "specification-EX-180-M.yaml", "--pictures", tmp_path / "pictures")
    assert done.returncode == 0
    made = sorted(path.name for path in (tmp_path / "pictures").iterdir())
    assert len(made) == 2 * 11  # eleven forms, as SVG and as PNG
    assert "EX-180-M-5-duration.svg" in made
    assert done.stdout.count("drawn: ") == len(made)


def test_an_ambiguous_clause_is_refused_with_the_choices(demo_folder: Path, curewright: Curewright) -> None:
    paper = demo_folder / "specification-EX-177-2.yaml"
    paper.write_text(paper.read_text().replace("      by: least squares over 10 min with at least 8 samples\n", "", 1))
    done = curewright("read-back", paper)
    assert done.returncode == 65
    assert "clause 4.5" in done.stderr
    assert "least squares" in done.stderr
    assert "end points" in done.stderr
