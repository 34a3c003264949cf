# ruff: noqa: E501  (messages stand as they are printed)
"""A run's folder: names, options, start, closing, barometer, corrections; and every error of all files at once."""

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from curewright.read.folder import read_folder
from curewright.terms.errors import CurewrightError

MINUTE = 60 * 10**9
FILES = {
    "run.yaml": """run: R-1
vessel: vessel.yaml
load: load.yaml
specifications: spec.yaml
recordings: [{file: log.csv, layout: layout.yaml}]
time zone: +01:00
""",
    "vessel.yaml": """vessel: V
sensors:
  T1: {channel: A, measures: temperature}
  G1: {channel: B, measures: vacuum}
""",
    "load.yaml": "load: R-1\nvessel: V\nmap by: A. Planner\nparts: []\nbags: {}\nmap: []\n",
    "layout.yaml": """layout: L
encoding: utf-8
separator: comma
decimal sign: point
lines before the header: 0
header rows: names
time: {columns: Time, format: iso, zone: in the text}
blank means: lost
columns:
  - {columns: A, unit: degF, kind: continuous}
  - {columns: B, unit: inHg of vacuum, kind: continuous}
""",
    "log.csv": "Time,A,B\n2031-03-04T20:40:00Z,359.4,25.0\n2031-03-04T20:41:00Z,,25.1\n",
}


def folder(tmp_path: Path, **changes: str) -> Path:
    for name, text in FILES.items():
        (tmp_path / name).write_text(changes.get(name.split(".")[0], text), encoding="utf-8")
    return tmp_path


def refused(path: Path) -> str:
    with pytest.raises(CurewrightError) as error:
        read_folder(path)
    return str(error.value)


def test_the_least_that_a_run_needs(tmp_path: Path) -> None:
    found = read_folder(folder(tmp_path))
    assert (found.run.number, found.run.vessel, found.run.closing, found.run.barometer) == ("R-1", "V", None, None)
    assert found.run.start.isoformat() == "2031-03-04T21:40:00+01:00"
    assert found.load.start == found.run.start
    assert found.specifications == (tmp_path / "spec.yaml",)
    assert dict(found.run.files) == {name: sha256(text.encode()).hexdigest() for name, text in FILES.items()}


def test_a_stated_start_shifts_the_record(tmp_path: Path) -> None:
    found = read_folder(folder(tmp_path, run=FILES["run.yaml"] + "start: 2031-03-04 21:39\n"))
    assert found.run.channels["A"].t.tolist() == [MINUTE, 2 * MINUTE]
    assert found.run.start.isoformat() == "2031-03-04T21:39:00+01:00"


def test_without_a_zone_for_people_the_start_stands_in_utc_and_their_times_are_refused(tmp_path: Path) -> None:
    sheet = FILES["run.yaml"].replace("time zone: +01:00\n", "")
    assert read_folder(folder(tmp_path, run=sheet)).run.start.utcoffset() == timedelta(0)
    assert refused(folder(tmp_path, run=sheet + "start: 2031-03-04 21:39\n")) == (
        "run.yaml:6:8: '2031-03-04 21:39' has no time zone; expected a date and a time of day such as 2031-03-04 21:50:00, with an offset (+01:00) "
        "where the zone leaves it open. To do: state 'time zone:' in the run sheet"
    )


def test_a_closing_ends_with_the_record(tmp_path: Path) -> None:
    closed = "closing: {by: C, at: 2031-03-04 22:00, covers the whole run: no}\n"
    closing = read_folder(folder(tmp_path, run=FILES["run.yaml"] + closed)).run.closing
    assert closing is not None
    assert (closing.author, closing.covers, closing.end, closing.at) == (
        "C",
        False,
        MINUTE,
        "2031-03-04T22:00:00+01:00",
    )
    early = "closing: {by: C, at: 2031-03-04 21:40:30, covers the whole run: no}\n"
    assert refused(folder(tmp_path, run=FILES["run.yaml"] + early)) == (
        "run.yaml:7:18: the run was closed before its last sample, which is read as 2031-03-04 21:41:00+01:00. To do: correct the time of "
        "closing; or, where the last sample was not then, the time format or zone in the layout"
    )


def test_the_barometer_of_the_run_comes_before_the_pressure_of_the_site(tmp_path: Path) -> None:
    site = FILES["vessel.yaml"] + "site pressure: 1000 mbar absolute\n"
    found = read_folder(folder(tmp_path, vessel=site)).run
    assert (found.barometer, found.barometer_from) == (100_000_000, "site pressure of the vessel V")
    read = "barometer: {reading: 99 kPa absolute, gauge: B-1, by: C}\n"
    found = read_folder(folder(tmp_path, vessel=site, run=FILES["run.yaml"] + read)).run
    assert (found.barometer, found.barometer_from) == (99_000_000, "barometer B-1, read by C")
    assert refused(folder(tmp_path, run=FILES["run.yaml"] + read.replace("absolute", "gauge"))).startswith(
        "run.yaml:7:25: "
    )


def test_options_come_before_the_run_sheet(tmp_path: Path) -> None:
    other = tmp_path / "elsewhere"
    other.mkdir()
    (other / "log.csv").write_text(FILES["log.csv"].replace("359.4", "100.0"), encoding="utf-8")
    (other / "spec.yaml").write_text("", encoding="utf-8")
    found = read_folder(folder(tmp_path), logs=[other / "log.csv"], specifications=[other / "spec.yaml"])
    assert found.run.channels["A"].raw[0] == 310_927_778  # 100 degF = 310.927778 K
    assert found.specifications == (other / "spec.yaml",)
    assert "elsewhere/log.csv" in dict(found.run.files)


def test_names_of_files_do_not_depend_on_where_the_folders_lie(tmp_path: Path) -> None:
    inside, outside = tmp_path / "run", tmp_path / "exports"
    inside.mkdir()
    outside.mkdir()
    (outside / "main.csv").write_text(FILES["log.csv"], encoding="utf-8")
    found = read_folder(folder(inside), logs=[outside / "main.csv"])
    assert [name for name, _ in found.run.files if name.endswith(".csv")] == ["main.csv"]
    assert found.run.channels["A"].file == "main.csv"


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("vessel: vessel.yaml\n", "", "run.yaml:1:1: nothing names the vessel. To do: name them in the run sheet"),
        ("specifications: spec.yaml\n", "", "run.yaml:1:1: nothing names the specifications. To do: name them in the run sheet"),
        ("vessel: vessel.yaml", "vessel: vessel2.yaml", "vessel2.yaml: the file cannot be read (No such file or directory). To do: check its name in the run sheet; did you mean 'vessel.yaml'?"),
        ("time zone: +01:00", "time zone: here", "run.yaml:6:12: 'here' is no time zone known on this machine; expected a zone such as 'Europe/Berlin', an offset such "
         "as '+01:00', 'UTC', or 'in the text' where each time carries its offset. To do: state the zone that the clock was set to"),
    ],
)  # fmt: skip
def test_run_sheets_that_are_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert refused(folder(tmp_path, run=FILES["run.yaml"].replace(old, new))) == message


def test_a_folder_without_a_run_sheet(tmp_path: Path) -> None:
    assert refused(tmp_path) == (
        f"{tmp_path / 'run.yaml'}: there is no run sheet; expected a file 'run.yaml'. "
        "To do: name the folder that holds it, or the sheet itself with --run"
    )


def test_two_recorders_are_never_interleaved(tmp_path: Path) -> None:
    twice = FILES["run.yaml"].replace(
        "[{file: log.csv, layout: layout.yaml}]",
        "[{file: log.csv, layout: layout.yaml}, {file: log2.csv, layout: layout.yaml}]",
    )
    path = folder(tmp_path, run=twice)
    (path / "log2.csv").write_text(FILES["log.csv"], encoding="utf-8")
    assert refused(path) == (
        "log2.csv: the channel 'A' is in log.csv and in log2.csv. To do: two recorders are never interleaved; if it is one junction or gauge "
        "wired to both, say so in the vessel file (also on: {its recorder: A}); if one recorder was started again, name it in both layouts; "
        "else give one of them another name, or leave it out"
    )


def test_two_recorders_with_channels_of_their_own_make_one_run(tmp_path: Path) -> None:
    twice = FILES["run.yaml"].replace(
        "[{file: log.csv, layout: layout.yaml}]",
        "[{file: log.csv, layout: layout.yaml}, {file: log2.csv, layout: layout2.yaml}]",
    )
    path = folder(tmp_path, run=twice)
    (path / "log2.csv").write_text(FILES["log.csv"].replace("20:4", "20:3"), encoding="utf-8")
    (path / "layout2.yaml").write_text(
        FILES["layout.yaml"]
        .replace("columns: A,", "columns: A, channel: A2,")
        .replace("columns: B,", "columns: B, channel: B2,"),
        encoding="utf-8",
    )
    found = read_folder(path).run
    assert found.start.isoformat() == "2031-03-04T21:30:00+01:00"
    assert {name: channel.t[0] // MINUTE for name, channel in found.channels.items()} == {
        "A": 10,
        "B": 10,
        "A2": 0,
        "B2": 0,
    }


def test_the_errors_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    text = refused(
        folder(
            tmp_path,
            vessel=FILES["vessel.yaml"].replace("vacuum", "volume"),
            layout=FILES["layout.yaml"].replace("encoding: utf-8\n", ""),
            run=FILES["run.yaml"].replace("+01:00", "here"),
        )
    )
    assert [line.split(": ")[0] for line in text.split("\n")] == [
        "run.yaml:6:12",
        "vessel.yaml:4:30",
        "layout.yaml:1:1",
    ]


def test_cells_and_papers_are_told_together(tmp_path: Path) -> None:
    text = refused(
        folder(
            tmp_path,
            log=FILES["log.csv"].replace("25.1", "25,1").replace(",,25,1", ',,"25,1"'),
            load=FILES["load.yaml"].replace("map by: A. Planner\n", ""),
        )
    )
    assert [line.split(": ")[0] for line in text.split("\n")] == ["load.yaml:1:1", "log.csv:3:24"]


# ----------------------------------------------------------------------------------------------------------- corrections
def with_correction(sensor: str, add: str, valid: str = "valid from: 2031-01-01, valid to: 2031-12-31") -> str:
    said = f"corrections: [{{of: roll, add: {add}, certificate: C-1, {valid}}}]}}"
    return FILES["vessel.yaml"].replace(f"measures: {sensor}}}", f"measures: {sensor}, {said}")


def test_a_correction_is_added_in_the_unit_that_was_recorded(tmp_path: Path) -> None:
    found = read_folder(folder(tmp_path, vessel=with_correction("temperature", "+0.6 degF"))).run
    channel = found.channels["A"]
    assert channel.v[0] == 455_372_222  # 360 degF = 455.372222 K
    assert channel.raw[0] == 455_038_889  # 359.4 degF
    assert channel.bad.tolist() == [False, True]
    flag = "A is flagged: dropout (1)"  # the blank in its last row
    assert found.notes == ("A: +0.6 degF difference added (T1, roll, certificate C-1)", flag)


def test_every_tenth_of_a_degree_and_its_correction_make_the_grain_of_their_sum(tmp_path: Path) -> None:
    tenths = range(0, 5000)
    log = "Time,A,B\n" + "".join(
        f"2031-03-04T{i // 3600:02}:{i // 60 % 60:02}:{i % 60:02}Z,{i / 10:.1f},25\n" for i in tenths
    )
    corrected = read_folder(folder(tmp_path, log=log, vessel=with_correction("temperature", "+0.7 degF"))).run.channels[
        "A"
    ]
    assert corrected.v[:-7].tolist() == corrected.raw[7:].tolist()


def test_a_vacuum_is_corrected_as_displayed(tmp_path: Path) -> None:
    channel = read_folder(folder(tmp_path, vessel=with_correction("vacuum", "+0.1 inHg"))).run.channels["B"]
    assert channel.v[0] == channel.raw[1]  # 25.0 + 0.1 is as empty as 25.1
    assert channel.v[0] < channel.raw[0]


def test_a_correction_in_another_unit(tmp_path: Path) -> None:
    channel = read_folder(folder(tmp_path, vessel=with_correction("temperature", "-1 K"))).run.channels["A"]
    assert channel.v[0] == 454_038_889


def test_a_correction_that_is_not_valid_on_the_day_is_not_applied(tmp_path: Path) -> None:
    late = with_correction("temperature", "+0.6 degF", "valid from: 2031-03-05, valid to: 2031-12-31")
    found = read_folder(folder(tmp_path, vessel=late)).run
    assert found.channels["A"].v[0] == found.channels["A"].raw[0]
    assert found.notes == ("A is flagged: dropout (1)",)


def test_a_correction_follows_its_sensor_over_the_map(tmp_path: Path) -> None:
    lines = """map:
  - {sensor: T1, role: other, until: 2031-03-04 21:40:30}
  - {sensor: T2, channel: A, role: other, from: 2031-03-04 21:40:30}
"""
    vessel = with_correction("temperature", "+0.6 degF").replace(
        "  G1:", "  T2: {channel: C, measures: temperature}\n  G1:"
    )
    log = FILES["log.csv"].replace(",,", ",359.4,")
    channel = read_folder(
        folder(tmp_path, vessel=vessel, log=log, load=FILES["load.yaml"].replace("map: []\n", lines))
    ).run.channels["A"]
    assert channel.v.tolist() == [455_372_222, 455_038_889]


def test_what_was_read_of_each_export_and_left_out_stands_in_the_run(tmp_path: Path) -> None:
    log = FILES["log.csv"] + "2031-03-04T20:4"
    (read,) = read_folder(folder(tmp_path, log=log)).run.reading
    assert (read.file, read.layout, read.encoding, read.rows, read.size) == (
        "log.csv",
        "layout.yaml",
        "utf-8",
        2,
        len(log),
    )
    assert read.sha256 == sha256(log.encode()).hexdigest()
    assert read.header == sha256(b"Time\x1fA\x1fB\x1e").hexdigest()
    assert [(one.cause, one.of, one.count, one.lines, one.channels, one.left_out) for one in read.counted] == [
        ("cut off at the end of the file", "rows", 1, (4,), (), True),
        ("blank", "cells", 1, (3,), ("A",), False),
    ]


def test_a_proposed_layout_is_refused_until_somebody_has_confirmed_it(tmp_path: Path) -> None:
    proposed = FILES["layout.yaml"] + "confirmed by:\n"
    assert "layout.yaml: this layout was proposed and nobody has confirmed it" in refused(
        folder(tmp_path, layout=proposed)
    )
    confirmed = folder(tmp_path, layout=proposed.replace("by:", "by: A. Person"))
    assert read_folder(confirmed).run.reading[0].confirmed_by == "A. Person"


def test_reading_side_by_side_changes_nothing(tmp_path: Path) -> None:
    from curewright.jobs.cores import in_threads

    one, other = read_folder(folder(tmp_path)).run, read_folder(tmp_path, each=in_threads).run
    assert one.files == other.files
    assert one.reading == other.reading
    assert {name: channel.v.tobytes() for name, channel in one.channels.items()} == {
        name: channel.v.tobytes() for name, channel in other.channels.items()
    }


def test_sheets_and_event_logs_of_a_run(tmp_path: Path) -> None:
    run = FILES["run.yaml"] + "entries: leaks.csv\nevent logs: [{file: alarms.csv, layout: alarms.yaml}]\n"
    folder(tmp_path, run=run)
    (tmp_path / "leaks.csv").write_text(
        "bag,start,end,plus or minus,reading at the start [inHg of vacuum],reading at the end [inHg of vacuum],gauge,person\n"
        "bag 1,2031-03-04 21:00,2031-03-04 21:05,30 s,26.0,25.2,G-17,C. Inspector\n",
        encoding="utf-8",
    )
    (tmp_path / "alarms.csv").write_text("Time,Words\n2031-03-04T20:40:30Z,TC2 open\n", encoding="utf-8")
    (tmp_path / "alarms.yaml").write_text(
        "event log: A\nholds: alarm\nencoding: utf-8\nseparator: comma\nlines before the header: 0\nheader rows: names\n"
        "time: {columns: Time, format: iso, zone: in the text}\nwords: Words\nby: alarm log\nplus or minus: 1 s\n",
        encoding="utf-8",
    )
    found = read_folder(tmp_path)
    assert [(e.name, e.thing, e.at // MINUTE) for e in found.run.entries] == [
        ("leak check", "bag 1", -40),
        ("reading", "bag 1", -40),
        ("reading", "bag 1", -35),
        ("alarm", "run", 0),
    ]
    assert {"leaks.csv", "alarms.csv", "alarms.yaml"} <= {name for name, _ in found.run.files}


def test_one_file_for_each_channel_of_one_recorder(tmp_path: Path) -> None:
    run = FILES["run.yaml"].replace("file: log.csv", "file: [A.csv, B.csv]")
    group = "columns:\n  - {columns: Value, channel: from the file name, unit: degF, kind: continuous}\n"
    layout = FILES["layout.yaml"].split("columns:\n", maxsplit=1)[0] + "recorder: main\n" + group
    folder(tmp_path, run=run, layout=layout, vessel=FILES["vessel.yaml"].replace("vacuum", "temperature"))
    (tmp_path / "A.csv").write_text("Time,Value\n2031-03-04T20:40:00Z,50\n2031-03-04T20:41:00Z,50\n", encoding="utf-8")
    (tmp_path / "B.csv").write_text("Time,Value\n2031-03-04T20:40:10Z,32\n", encoding="utf-8")
    found = read_folder(tmp_path).run
    assert {name: (channel.t.tolist(), channel.v.tolist()) for name, channel in found.channels.items()} == {
        "A": ([0, MINUTE], [283_150_000, 283_150_000]),  # 50 degF is 10 degC, 32 degF is 0 degC
        "B": ([MINUTE // 6], [273_150_000]),
    }
    assert [read.file for read in found.reading] == ["A.csv", "B.csv"]
