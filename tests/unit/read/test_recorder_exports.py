"""The four recorder exports of the outside data, read through the papers in tests/recorder_exports, held against their own text."""

import csv
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest

from curewright.read.folder import RunInputs, read_folder
from curewright.read.traceability import trace

PAPERS = Path(__file__).resolve().parents[2] / "recorder_exports"
RUNS = "ABCD"
# From each export's load.json: units, time format; and by looking at the file: separator, decimal sign, lines before the header.
EXPORTS = {
    "A": (",", ".", 0, "%Y-%m-%dT%H:%M:%S", "degC", "kPa absolute", "kPa absolute"),
    "B": (",", ".", 3, "%m/%d/%Y %I:%M:%S %p", "degF", "psi gauge", "inHg of vacuum"),
    "C": (";", ",", 1, "%d.%m.%Y %H:%M:%S", "degC", "bar gauge", "mbar absolute"),
    "D": (";", ",", 1, "%d.%m.%Y %H:%M:%S", "degC", "bar gauge", "mbar absolute"),
}
PSI = (
    Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2
)  # NIST SP 811: lbf per square inch
INHG = Fraction(135951, 10) * Fraction(980665, 10**5) * Fraction(254, 10**4)  # conventional, 0 degC
EXACT = {  # written number to grains (uK, mPa) in exact arithmetic
    "degC": lambda x: (x + Fraction(27315, 100)) * 10**6,
    "degF": lambda x: (x + Fraction(45967, 100)) * Fraction(5, 9) * 10**6,
    "kPa absolute": lambda x: x * 10**6,
    "bar gauge": lambda x: x * 10**8,
    "mbar absolute": lambda x: x * 10**5,
    "psi gauge": lambda x: x * PSI * 1000,
    "inHg of vacuum": lambda x: -x * INHG * 1000,
}


def read(run: str, shared_data: Path, log: str = "log_main.csv") -> RunInputs:
    return read_folder(PAPERS / f"run-{run}", logs=[shared_data / "recorder_exports" / f"run-{run}" / log])


def text_of(run: str, shared_data: Path) -> tuple[list[str], list[tuple[int, list[str]]]]:
    separator, _, preamble, *_ = EXPORTS[run]
    content = (
        (shared_data / "recorder_exports" / f"run-{run}" / "log_main.csv").read_text(encoding="utf-8").splitlines()
    )
    rows = list(csv.reader(content[preamble:], delimiter=separator))
    lines = list(enumerate(rows[1:], start=preamble + 2))
    again = {
        line for (_, before), (line, row) in pairwise(lines) if row == before
    }  # these recorders write some rows twice
    return rows[0], [(line, row) for line, row in lines if line not in again]


@pytest.mark.parametrize("run", RUNS)
def test_every_cell_is_the_grain_of_its_text(run: str, shared_data: Path) -> None:
    channels = read(run, shared_data).run.channels
    headings, rows = text_of(run, shared_data)
    _, sign, _, form, temperature, pressure, vacuum = EXPORTS[run]
    assert set(channels) == set(headings[1:])
    clocks = [datetime.strptime(row[0], form) for _, row in rows]
    times = [round((clock - clocks[0]) / timedelta(seconds=1)) * 10**9 for clock in clocks]
    for i, heading in enumerate(headings[1:], start=1):
        unit = pressure if heading == "Chamber pressure" else vacuum if heading[0] == "V" else temperature
        channel = channels[heading]
        assert channel.t.tolist() == times
        assert channel.row.tolist() == [line for line, _ in rows]
        assert not channel.bad.any()
        assert channel.v.tolist() == [round(EXACT[unit](Fraction(row[i].replace(sign, ".")))) for _, row in rows]


@pytest.mark.parametrize(
    "run, count, rows, last, heading, line, grains",
    [  # by hand: the line of the file, and what it says; the number of different instants counted with sort -u
        ("A", 11, 2685, "2031-03-05T05:07:20", "T043", 2, 294_970_000),  # 21.82 degC
        ("A", 11, 2685, "2031-03-05T05:07:20", "V088", 2710, 101_370_000),  # 101.37 kPa absolute
        ("B", 11, 419, "2031-03-05T04:38:00", "T002", 5, 295_011_111),  # 71.35 degF = 295.011111 K
        ("B", 11, 419, "2031-03-05T04:38:00", "V037", 8, -85_641_778),  # 25.29 inHg below ambient, x 3386.389 Pa
        ("C", 19, 895, "2031-03-05T05:07:00", "V222", 906, 104_339_000),  # 1043,39 mbar absolute
        ("C", 19, 895, "2031-03-05T05:07:00", "T024", 3, 295_080_000),  # 21,93 degC
        ("D", 11, 810, "2031-03-05T04:54:30", "Chamber pressure", 812, 18_000_000),  # 0,18 bar gauge
        ("D", 11, 810, "2031-03-05T04:54:30", "T007", 3, 294_880_000),  # 21,73 degC
    ],
)
def test_values_picked_by_hand(
    run: str, count: int, rows: int, last: str, heading: str, line: int, grains: float, shared_data: Path
) -> None:
    found = read(run, shared_data).run
    channel = found.channels[heading]
    assert len(found.channels) == count
    assert len(channel.t) == rows
    assert found.start == datetime(2031, 3, 4, 21, 40, tzinfo=UTC)
    assert found.start + timedelta(microseconds=int(channel.t[-1]) // 1000) == datetime.fromisoformat(last).replace(
        tzinfo=UTC
    )
    assert channel.v[channel.row.tolist().index(line)] == pytest.approx(grains, abs=20)


@pytest.mark.parametrize("run", RUNS)
def test_the_papers_hold_together(run: str, shared_data: Path) -> None:
    found = read(run, shared_data)
    assert (
        trace(found.vessel, found.load, found.run, {part.serial: 3 for part in found.load.parts}, found.rulings) == ()
    )
    assert [(e.name, e.at, e.until) for e in found.run.entries] == [("source closed", 600 * 10**9, 900 * 10**9)] * len(
        found.load.bags
    )
    assert found.run.closing is not None
    assert found.run.closing.covers


def test_the_original_bytes_are_named_by_their_digest(shared_data: Path) -> None:
    log = shared_data / "recorder_exports" / "run-A" / "log_main.csv"
    assert dict(read("A", shared_data).run.files)["log_main.csv"] == sha256(log.read_bytes()).hexdigest()


def test_the_gap_of_run_d_is_in_the_record_as_it_is(shared_data: Path) -> None:
    channel = read("D", shared_data).run.channels["T007"]
    assert (436, 437) in pairwise(channel.row.tolist())  # 01:16:30, then 01:47:00
    at = channel.row.tolist().index(436)
    assert channel.t[at + 1] - channel.t[at] == 1830 * 10**9


def test_the_second_recorder_of_run_d_can_be_read_by_its_own_layout(shared_data: Path) -> None:
    log = shared_data / "recorder_exports" / "run-D" / "log_backup.csv"
    found = read_folder(PAPERS / "run-D", logs=[log], layouts=[PAPERS / "run-D" / "layout_backup.yaml"]).run
    assert found.start == datetime(2031, 3, 5, 1, 10, 25, tzinfo=UTC)
    assert len(found.channels["T007"].t) == 25
    assert found.channels["T007"].recorder == "backup"
    assert found.channels["V010"].v[0] == pytest.approx(
        0.03 * 3386.389e3, abs=20
    )  # -0.03 inHg of vacuum: above ambient
