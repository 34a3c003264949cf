"""An engineer's first evening: the demo, then the same run judged again, changed, closed, cut off and spoiled."""

import csv
import json
from pathlib import Path
from typing import TYPE_CHECKING

from tests.journeys.conftest import Curewright

if TYPE_CHECKING:
    import subprocess

Judged = tuple[Path, "subprocess.CompletedProcess[str]"]


def words(text: str) -> str:
    return " ".join(text.split())


def only_one_part(folder: Path, serial: str, bag: str) -> None:
    """Leave one part with its bag alone in the load."""
    load = folder / "load.yaml"
    head, *parts = load.read_text().split("  - serial: ")
    parts[-1], rest = parts[-1].split("bags:")
    kept_bag = next(line for line in rest.splitlines() if line.startswith(f"  {bag}:"))
    lines = rest.split("map by:")[1].splitlines()
    kept = [line for line in lines if "jack" not in line or f'"{serial}"' in line]
    kept = [line for line in kept if "bag: BAG-" not in line or bag in line]
    part = next(part for part in parts if part.startswith(f'"{serial}"'))
    load.write_text(f"{head}  - serial: {part}\nbags:\n{kept_bag}\n\nmap by:" + "\n".join(kept) + "\n")


def test_the_demo_says_what_is_wrong_and_ends_with_10(demo_judged: Judged) -> None:
    folder, done = demo_judged
    assert done.returncode == 10
    assert done.stderr == ""
    text = words(done.stdout)
    for piece in (
        "Clauses: 18 judged by program, 1 by a person, 1 not covered",
        "✗ NOT MET part 00102 FRAME-3 rev A, EX-177-2 rev C: 4.7 duration",
        "✗ NOT MET part 00103 PANEL-5 rev D, EX-180-M rev 2: 2 band",
        "? NOT SHOWN part 00101",
        "✓ met part 00104",
        "“Soak at 355 ± 10 °F for 120 +30/-0 minutes, measured on the lagging thermocouple.",
        "TC06 (part 00102",
        "by rule for lost thermocouples",
        "to be judged and signed by: inspector",
        "not a safety function",
    ):
        assert piece in text
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "\x1b[" not in done.stdout
    assert {path.name for path in folder.iterdir()} >= {
        "run.yaml",
        "recorder.csv",
        "verdicts",
        "specification-EX-177-2.yaml",
    }


def test_deviations_stand_before_what_is_met(demo_judged: Judged) -> None:
    text = demo_judged[1].stdout
    assert text.index("Parts, worst first") < text.index("Deviations") < text.index("For people") < text.index("Met (")


def test_judged_again_it_is_the_same(demo_folder: Path, curewright: Curewright) -> None:
    done = curewright("judge", demo_folder, "--person", "operator A")
    assert done.returncode == 10
    assert sorted(path.name for path in (demo_folder / "verdicts" / "judgements").iterdir()) == ["0001"]


def test_the_csv_holds_every_verdict(demo_folder: Path) -> None:
    document = json.loads((demo_folder / "verdicts" / "verdicts.json").read_bytes())
    with (demo_folder / "verdicts" / "verdicts.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["part"], row["clause"], row["outcome"]) for row in rows] == [
        (verdict["part"], verdict["clause"], verdict["outcome"]) for verdict in document["verdicts"]
    ]


def test_all_met_is_0(demo_folder: Path, curewright: Curewright) -> None:
    only_one_part(demo_folder, "00104", "BAG-4")
    done = curewright("judge", demo_folder)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Deviations" not in done.stdout


def test_a_lost_thermocouple_alone_is_11(demo_folder: Path, curewright: Curewright) -> None:
    only_one_part(demo_folder, "00101", "BAG-1")
    done = curewright("judge", demo_folder)
    assert done.returncode == 11, done.stdout
    assert "NOT SHOWN" in done.stdout
    assert "NOT MET" not in done.stdout
    # Lost for good at minute 243 (the demo's own story), its last good row 30 s before; hotter than its neighbours by its place.
    assert "TC03 was lost at +4:02:30; it was the hottest one then, so the rule may not set it aside" in words(
        done.stdout
    )


def test_while_it_runs_it_is_12(demo_folder: Path, curewright: Curewright) -> None:
    only_one_part(demo_folder, "00104", "BAG-4")
    sheet = demo_folder / "run.yaml"
    sheet.write_text(sheet.read_text().split("closing:")[0])
    log = demo_folder / "recorder.csv"
    log.write_bytes(b"\r\n".join(log.read_bytes().split(b"\r\n")[:400]) + b"\r\n")
    done = curewright("judge", demo_folder)
    assert done.returncode == 12, done.stdout
    assert "OPEN" in done.stdout
    assert "The run is not closed" in done.stdout


def test_a_signature_stands_beside_the_sentence(demo_folder: Path, curewright: Curewright) -> None:
    entries = demo_folder / "entries.yaml"
    entries.write_text(
        entries.read_text()
        + "  - {event: clause 4.10, at: '2026-03-04 05:30:00', plus or minus: 5 min, by: inspector E, text: verified}\n"
    )
    done = curewright("judge", demo_folder)
    assert "verified (inspector E)" in words(done.stdout)
    text = words(done.stdout)
    assert "Changed since the judgement before (2)" in text
    assert (
        "part 00101, clause 4.10 by a person: by a person (to be judged and signed by: inspector) in judgement 1, "
        "by a person (verified (inspector E)) now"
    ) in text


def test_files_by_option_from_another_folder(demo_folder: Path, curewright: Curewright, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    paper = elsewhere / "newer.yaml"
    paper.write_text(
        (demo_folder / "specification-EX-177-2.yaml")
        .read_text()
        .replace("within: 120 +30/-0\n", "within: 110 +40/-0\n")
    )
    done = curewright(
        "judge",
        *("--run", demo_folder / "run.yaml"),
        *("--specification", paper),
        *("--specification", demo_folder / "specification-EX-180-M.yaml"),
        *("--out", elsewhere / "out"),
        *("--person", "engineer C"),
        *("--dated", "2026-03-05T08:00:00+01:00"),
        cwd=elsewhere,
    )
    assert done.returncode == 10, done.stderr
    document = json.loads((elsewhere / "out" / "verdicts.json").read_bytes())
    assert document["judgement"] == {"number": 1, "person": "engineer C", "at": "2026-03-05T08:00:00+01:00"}
    assert str(elsewhere) not in (elsewhere / "out" / "verdicts.json").read_text()
    assert {line["part"]: line["outcome"] for line in document["roll_up"]}["00102"] == "met"


def test_every_changed_outcome_is_told(demo_folder: Path, curewright: Curewright) -> None:
    paper = demo_folder / "specification-EX-177-2.yaml"
    paper.write_text(paper.read_text().replace("within: 120 +30/-0\n", "within: 110 +40/-0\n"))
    done = curewright("judge", demo_folder, "--person", "operator A")
    assert "part 00102, clause 4.7 duration: not met in judgement 1, met now" in words(done.stdout)


def test_a_changed_demo_is_not_written_over(demo_folder: Path, curewright: Curewright) -> None:
    paper = demo_folder / "specification-EX-177-2.yaml"
    paper.write_text(paper.read_text().replace("revision: C", "revision: C\n# a remark of mine"))
    done = curewright("demo", demo_folder)
    assert "was changed by somebody and is left as it is" in words(done.stdout)
    assert "a remark of mine" in paper.read_text()


def test_unusable_is_65_with_the_place(demo_folder: Path, curewright: Curewright) -> None:
    log = demo_folder / "recorder.csv"
    log.write_bytes(log.read_bytes().replace(b",179.9,", b",1?9.9,", 1))
    done = curewright("judge", demo_folder)
    assert done.returncode == 65
    assert "recorder.csv:" in done.stderr
    assert "1?9.9" in done.stderr
    assert "Traceback" not in done.stderr


def test_narrow_and_wide_and_without_unicode(demo_folder: Path, curewright: Curewright) -> None:
    for columns in ("60", "200"):
        done = curewright("judge", demo_folder, COLUMNS=columns, NO_COLOR="1")
        assert done.returncode == 10
        assert max(map(len, done.stdout.splitlines())) <= int(columns)
        assert "NOT MET" in done.stdout
    ascii_only = curewright("judge", demo_folder, PYTHONIOENCODING="ascii")
    assert ascii_only.returncode == 10
    assert "NOT MET" in ascii_only.stdout
