"""Run-D with both of its recorders through the command line: the clock, and the outcomes with and without the second one.

The truth is the README beside the outside data and the way they were made: the second recorder's clock was 145 s ahead. From the main
recorder alone the soak is not shown; with the second one, where the paper allows it, everything is met ("everything else is met").
"""

import csv
import json
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.conftest import Curewright

PAPERS = Path(__file__).resolve().parents[1] / "recorder_exports"
AHEAD = 145 * 10**9
Document = dict[str, Any]
RULE = "second recorder: not allowed        # the main recorder alone"
ALLOWED = "second recorder: {at a time: 35 min, in all: 35 min, procedure: SP-12 rev B}"


@pytest.fixture(scope="module")
def judged(
    curewright: Curewright, shared_data: Path, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], tuple[int, Document]]:
    """Exit code and verdicts.json of run-D with both exports, under a rule for the second recorder."""
    known: dict[str, tuple[int, Document]] = {}
    exports = shared_data / "recorder_exports" / "run-D"
    text = (PAPERS / "specification.yaml").read_text(encoding="utf-8")
    assert RULE in text

    def under(rule: str) -> tuple[int, Document]:
        if rule not in known:
            out = tmp_path_factory.mktemp("verdicts")
            (out / "specification.yaml").write_text(text.replace(RULE, rule), encoding="utf-8")
            given = ["--specification", out / "specification.yaml"]
            for log, layout in (("log_main.csv", "layout.yaml"), ("log_backup.csv", "layout_backup.yaml")):
                given += ["--log", exports / log, "--layout", PAPERS / "run-D" / layout]
            done = curewright("judge", PAPERS / "run-D", *given, "--out", out)
            assert (out / "verdicts.json").is_file(), done.stdout + done.stderr
            known[rule] = done.returncode, json.loads((out / "verdicts.json").read_text(encoding="utf-8"))
        return known[rule]

    return under


def outcomes(document: Document, which: str = "outcome") -> Counter[tuple[str, str | None]]:
    return Counter((verdict["clause"], verdict[which]) for verdict in document["verdicts"])


def test_the_clock_is_found_within_its_uncertainty(judged: Callable[[str], tuple[int, Document]]) -> None:
    main, backup = judged(ALLOWED)[1]["recorders"]
    clock = backup["clock"]
    assert (main["recorder"], main["clock"], backup["recorder"], clock["person"]) == ("main", None, "backup", "")
    assert abs(clock["ahead_ns"] - AHEAD) <= 2 * clock["standard_uncertainty_ns"]
    assert 3 * clock["standard_uncertainty_ns"] <= clock["plus_minus_ns"] < 90 * 10**9
    assert clock["drift_ppm"] is None, "ten samples over half an hour tell no drift"
    # the silence of the main recorder, by the times in its file: 01:16:30 to 01:47:00, 216.5 and 247 min after 21:40
    assert [(gap["from"]["ns"], gap["to"]["ns"]) for gap in main["gaps"]] == [(12_990_000_000_000, 14_820_000_000_000)]


def test_with_the_second_recorder_all_is_met_and_each_says_what_it_was_without(
    judged: Callable[[str], tuple[int, Document]],
) -> None:
    code, document = judged(ALLOWED)
    assert code == 0
    assert {outcome for _, outcome in outcomes(document)} == {"met"}
    beside = {key: n for key, n in outcomes(document, "without_second_recorder").items() if key[1] is not None}
    # what is not shown from the main recorder alone (test_recorder_exports): clauses 3, 4, 7 and 8
    assert beside == {("3", "not shown"): 14, ("4", "not shown"): 2, ("7", "not shown"): 2, ("8", "not shown"): 2}
    for verdict in document["verdicts"]:
        told = any(note.startswith("the recorder backup (its clock known to ± ") for note in verdict["notes"])
        assert told == (verdict["without_second_recorder"] is not None)


def test_the_soak_is_as_long_as_the_main_recorder_says_it_began_and_ended(
    judged: Callable[[str], tuple[int, Document]], shared_data: Path
) -> None:
    """Its ends lie outside the gap: first and last crossings of 174.4 °C, straight between rows of the main file."""
    text = (shared_data / "recorder_exports" / "run-D" / "log_main.csv").read_text(encoding="utf-8").splitlines()[1:]
    rows = list(csv.DictReader(text, delimiter=";"))
    clock = [datetime.strptime(row["Time"], "%d.%m.%Y %H:%M:%S") for row in rows]
    for part, names in (("P1", ("T007", "T009", "T010")), ("P2", ("T012", "T014", "T015"))):
        minutes = [(at - clock[0]).total_seconds() / 60 for at in clock]
        starts, ends = [], []
        for name in names:  # the coldest is at 174.4 from when the last of them is, to when the first of them is not
            track = [(t, float(row[name].replace(",", ".")) - 174.4) for t, row in zip(minutes, rows, strict=True)]
            crossed = [t + (u - t) * x / (x - y) for (t, x), (u, y) in pairwise(track) if (x < 0) != (y < 0)]
            starts.append(crossed[0])
            ends.append(crossed[-1])
        (soak,) = (v for v in judged(ALLOWED)[1]["verdicts"] if (v["part"], v["kind"]) == (part, "duration"))
        assert float(soak["margin"]["actual"]) == pytest.approx(min(ends) - max(starts), abs=1e-5)


def test_what_the_paper_does_not_allow_counts_nowhere(judged: Callable[[str], tuple[int, Document]]) -> None:
    code, document = judged(RULE)
    assert code != 0
    assert outcomes(document)[("3", "not shown")] == 14
    assert {outcome for _, outcome in outcomes(document, "without_second_recorder")} == {None}
    short = judged("second recorder: {at a time: 30 min, in all: not limited, procedure: SP-12 rev B}")[1]
    assert outcomes(short) == outcomes(document), "the silence lasts 30.5 min"


def test_nothing_is_flagged_where_nothing_is_wrong_with_a_sensor(judged: Callable[[str], tuple[int, Document]]) -> None:
    assert judged(ALLOWED)[1]["flags"] == []
