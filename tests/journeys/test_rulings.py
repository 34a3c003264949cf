"""A ruling through the command line: one person alone, two persons, and what stays visible of the old outcome."""

import json
from pathlib import Path
from typing import Any

from tests.journeys.conftest import Curewright

# 180.4 degC is 356.72 degF: with that limit, of part 00102, TC06 alone is too hot (counted in the log below).
LIMIT = "within: at most 365}"
LOWER = "within: at most 356.72}"


def words(text: str) -> str:
    return " ".join(text.split())


def limited(folder: Path) -> None:
    paper = folder / "specification-EX-177-2.yaml"
    assert paper.read_text().count(LIMIT) == 1
    paper.write_text(paper.read_text().replace(LIMIT, LOWER))


def ruled(folder: Path, second: str) -> None:
    ruling = f"{{set aside: TC06, by: engineer C, reason: read high at the bench{second}}}"
    (folder / "rulings.yaml").write_text(f"rulings:\n  - {ruling}\n")
    sheet = folder / "run.yaml"
    if "rulings:" not in sheet.read_text():
        sheet.write_text(sheet.read_text() + "rulings: rulings.yaml\n")


def bands(folder: Path) -> dict[str, dict[str, Any]]:
    document = json.loads((folder / "verdicts" / "verdicts.json").read_bytes())
    return {
        v["thing"]: v for v in document["verdicts"] if (v["part"], v["clause"], v["form"]) == ("00102", "4.7", "band")
    }


def test_the_readings_are_those(demo_folder: Path) -> None:
    lines = (demo_folder / "recorder.csv").read_text().splitlines()
    header = lines[3].split(",")
    hottest = {
        name: max(float(line.split(",")[header.index(name)]) for line in lines[5:]) for name in ("TC04", "TC05", "TC06")
    }
    assert hottest["TC06"] > 180.4 > max(hottest["TC04"], hottest["TC05"])


def test_one_person_two_persons(demo_folder: Path, curewright: Curewright) -> None:
    limited(demo_folder)
    curewright("judge", demo_folder)
    assert {thing: v["outcome"] for thing, v in bands(demo_folder).items()} == {
        "TC04": "met", "TC05": "met", "TC06": "not met",
    }  # fmt: skip

    ruled(demo_folder, "")
    alone = curewright("judge", demo_folder)
    found = bands(demo_folder)
    assert {thing: v["outcome"] for thing, v in found.items()} == {"TC04": "met", "TC05": "met", "TC06": "not met"}
    assert "a ruling would take this away and needs a second person (engineer C sets TC06 aside" in words(alone.stdout)
    assert not any("set aside over the whole phase" in note for v in found.values() for note in v["notes"])

    ruled(demo_folder, ", second: quality engineer D")
    both = curewright("judge", demo_folder)
    found = bands(demo_folder)
    assert {thing: v["outcome"] for thing, v in found.items()} == {"TC04": "met", "TC05": "met"}
    assert found["TC04"]["without_set_aside"] == "not met"
    text = words(both.stdout)
    assert "TC06 is set aside over the whole phase; without that it would be not met" in text
    assert "otherwise: not met if nothing were set aside" in text
    assert "part 00102, TC06, clause 4.7 band: not met in judgement 3, absent now" in text
    assert (
        "TC06 set aside, the start to the end, by engineer C, seconded by quality engineer D: read high at the bench"
        in text
    )
