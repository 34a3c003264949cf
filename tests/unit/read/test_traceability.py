# ruff: noqa: E501  (messages stand as they are printed)
"""Traceability both ways: a load that holds together has no finding; each break has exactly one, by name, with what it blocks."""

from pathlib import Path

import pytest

from curewright.read.folder import RunInputs, read_folder
from curewright.read.traceability import trace
from curewright.terms.finding import Finding

FILES = {
    "run.yaml": """run: R-1
vessel: vessel.yaml
load: load.yaml
specifications: spec.yaml
recordings: [{file: log.csv, layout: layout.yaml}]
rulings: rulings.yaml
time zone: UTC
""",
    "vessel.yaml": """vessel: V
agreement at ambient: within 2 K
recorders:
  main: {calibration: {certificate: C-0, due: 2031-03-04}}
sensors:
  T1: {channel: T1, measures: temperature, calibration: {certificate: C-1, due: 2031-03-04}}
  T2: {channel: T2, measures: temperature, calibration: {certificate: C-2, due: 2031-03-04}}
  T3: {channel: T3, measures: temperature, calibration: {certificate: C-3, due: 2031-03-04}}
  T4: {channel: T4, measures: temperature, calibration: {certificate: C-4, due: 2031-03-04}}
  air: {channel: Air, measures: temperature, calibration: {certificate: C-5, due: 2031-03-04}}
  P: {channel: P, measures: pressure, calibration: {certificate: C-6, due: 2031-03-04}}
  G1: {channel: G1, measures: vacuum, calibration: {certificate: C-7, due: 2031-03-04}}
  G2: {channel: G2, measures: vacuum, calibration: {certificate: C-8, due: 2031-03-04}}
ports:
  S1: {kind: vacuum, sensor: none}
  M1: {kind: vacuum, sensor: G1}
  S2: {kind: vacuum, sensor: none}
  M2: {kind: vacuum, sensor: G2}
""",
    "load.yaml": """load: R-1
vessel: V
map by: A. Planner
parts:
  - {serial: "001", number: P, revision: A, lot: L, bag: B1, tool: T-1, specification: EX-1, specification revision: C, out-time: {used: 30 day, limit: 30 day}}
  - {serial: "002", number: P, revision: A, lot: L, bag: B2, tool: T-2, specification: EX-1, specification revision: C}
bags:
  B1: {ports: [S1, M1]}
  B2: {ports: [S2, M2]}
map:
  - {sensor: T1, role: judging, part: "001", place: edge top}
  - {sensor: T2, role: judging, part: "001", place: mid}
  - {sensor: T3, role: judging, part: "002", place: edge top}
  - {sensor: T4, role: judging, part: "002", place: mid}
  - {sensor: air, role: air}
  - {sensor: P, role: vessel pressure}
  - {sensor: G1, role: bag transducer, bag: B1}
  - {sensor: G2, role: bag transducer, bag: B2}
""",
    "layout.yaml": """layout: L
recorder: main
encoding: utf-8
separator: comma
decimal sign: point
lines before the header: 0
header rows: names
time: {columns: Time, format: iso, zone: UTC}
blank means: lost
columns:
  - {columns: [T1, T2, T3, T4, Air], unit: degC, kind: continuous}
  - {columns: [P], unit: bar gauge, kind: continuous}
  - {columns: [G1, G2], unit: mbar of vacuum, kind: continuous}
""",
    "log.csv": """Time,T1,T2,T3,T4,Air,P,G1,G2
2031-03-04T21:40:00,20,21,22,20.5,21,0,900,901
2031-03-04T22:40:00,80,81,82,80.5,99,3,900,901
""",
    "rulings.yaml": "rulings: []\n",
}
NEEDS = {"001": 2, "002": 2}
OUT_OF_LOAD = '  - {sensor: T4, role: judging, part: "002", place: mid}\n'


def read(tmp_path: Path, *changes: tuple[str, str, str]) -> RunInputs:
    texts = dict(FILES)
    for name, old, new in changes:
        file = f"{name}.csv" if name == "log" else f"{name}.yaml"
        assert texts[file].count(old) == 1, f"'{old}' is {texts[file].count(old)} times in {file}"
        texts[file] = texts[file].replace(old, new)
    for file, text in texts.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    return read_folder(tmp_path)


def findings(tmp_path: Path, *changes: tuple[str, str, str]) -> tuple[Finding, ...]:
    found = read(tmp_path, *changes)
    return trace(found.vessel, found.load, found.run, NEEDS, found.rulings)


def test_a_load_that_holds_together_has_no_finding_on_the_last_day_of_its_certificates(tmp_path: Path) -> None:
    assert findings(tmp_path) == ()


CASES = [
    (("load", "ports: [S2, M2]", "ports: [S2, M2, S1]"),
     "port used twice: the port S1 is connected to B1 and to B2 [load.yaml:8] [load.yaml:9]", ("B1", "B2")),
    (("load", "ports: [S2, M2]", "ports: [S2, M2, M9]"),
     "unknown port: the bag B2 is connected to the port M9, which is no vacuum port of the vessel file [load.yaml:9] [vessel.yaml]", ("B2",)),
    (("load", "  - {sensor: air, role: air}\n", ""),
     "channel nobody claims: the channel Air (the sensor air of the vessel) was recorded, and no line of the map claims it [log.csv] [load.yaml]", ()),
    (("load", "  - {sensor: G2, role: bag transducer, bag: B2}\n", "  - {sensor: G2, role: other}\n"),
     "bag without a transducer: no sensor is mapped to the bag B2 as its transducer: its vacuum is not known [load.yaml:9]", ("B2",)),
    (("load", "ports: [S2, M2]", "ports: [M2]"),
     "fewer than two vacuum ports: the bag B2 has 1 vacuum port(s); source and transducer need one each (common practice). It blocks nothing. To do: "
     "if the bag has a second port, name it under 'ports'; else nothing [load.yaml:9]", ()),
    (("vessel", "  S2: {kind: vacuum, sensor: none}", "  S2: {kind: vacuum, sensor: VT9}"),
     "unknown sensor at a port: the sensor VT9 is behind the port S2, and the vessel file does not list it under 'sensors' [vessel.yaml:17]", ()),
    (("vessel", "  M2: {kind: vacuum, sensor: G2}", "  M2: {kind: vacuum, sensor: g2}"),
     "unknown sensor at a port: the sensor g2 is behind the port M2, and the vessel file does not list it under 'sensors'; did you mean 'G2'? "
     "[vessel.yaml:18]", ()),
    (("load", "  - {sensor: T4, role: judging", "  - {sensor: T4, role: information only"),
     "too few thermocouples: part 002 has 1 judging thermocouple(s); its specification EX-1 asks for at least 2 [load.yaml:6]", ("002",)),
    (("vessel", "certificate: C-4, due: 2031-03-04", "certificate: C-4, due: 2031-03-03"),
     "calibration out of date: the calibration of the sensor T4 (certificate C-4) was due on 2031-03-03, the run was on 2031-03-04 [vessel.yaml:9]", ("002",)),
    (("vessel", "certificate: C-0, due: 2031-03-04", "certificate: C-0, due: 2031-03-03"),
     "calibration out of date: the calibration of the recorder main (certificate C-0) was due on 2031-03-03, the run was on 2031-03-04 [vessel.yaml:4]",
     ("001", "002", "V", "B1", "B2")),
    (("vessel", ", calibration: {certificate: C-4, due: 2031-03-04}", ""),
     "calibration not stated: no calibration of the sensor T4 is stated [vessel.yaml:9]", ()),
    (("vessel", "T4: {channel: T4, measures: temperature", "T4: {channel: T4, measures: temperature, corrections: [{of: roll, add: 0.1 K, certificate: K-1, "
      "valid from: 2031-03-05, valid to: 2031-12-31}]"),
     "correction not valid: no correction of the sensor T4 for its roll is valid on 2031-03-04 (K-1: 2031-03-05 to 2031-12-31); none was applied "
     "[vessel.yaml:9]", ("002",)),
    (("log", "20,21,22,20.5,21,0", "20,21,22,23.01,21,0"),
     "thermocouples disagree at ambient: the thermocouple T4 (002) reads 23.01 degC at the start of the record, the median of all is 21.00 degC, and "
     "2 K difference apart is allowed [log.csv:2] [load.yaml:14]", ("002",)),
    (("log", "20,21,22,20.5,21,0", "20,21,22,,21,0"),
     "no reading at ambient: the thermocouple T4 (002) gave no reading at the start of the record [log.csv:2] [load.yaml:14]", ()),
    (("vessel", "agreement at ambient: within 2 K\n", ""),
     "agreement at ambient not checked: whether the thermocouples agree at ambient was not checked: no tolerance stated; state 'agreement at ambient: "
     "within …' in the vessel file [vessel.yaml]", ()),
    (("load", "used: 30 day", "used: 30 day 1 h"),
     "out-time above its limit: part 001 has used 721 h of out-time, its limit is 30 day [load.yaml:5]", ()),
    (("load", "load: R-1", "load: R-2"),
     "other run: the load is written for the run 'R-2', the run sheet is of 'R-1' [load.yaml]", ("001", "002")),
    (("vessel", "T4: {channel: T4, measures: temperature", "T4: {channel: T4, measures: pressure"),
     "unit does not suit the sensor: the sensor T4 measures pressure, its channel T4 was recorded in degC [vessel.yaml:9] [log.csv]", ("002",)),
    (("vessel", "  M1: {kind: vacuum, sensor: G1}\n", "  M1: {kind: vacuum, sensor: none}\n  M7: {kind: vacuum, sensor: G1}\n"),
     "transducer at another port: the map has G1 as the transducer of the bag B1, the vessel has it at the port M7, and the bag is connected to S1, M1 "
     "[load.yaml:17] [load.yaml:8] [vessel.yaml:17]", ("B1",)),
    (("load", 'sensor: T4, role: judging, part: "002", place: mid}', 'sensor: T4, role: judging, part: "002"}\n  - {sensor: T4, role: judging, part: "001"}'),
     "overlapping map entries: the sensor T4 is at 002 (judging) and at 001 (judging) at the same time [load.yaml:14] [load.yaml:15]", ("002", "001")),
    (("vessel", "recorders:\n  main:", "recorders:\n  other:"),
     "unknown recorder: the layout names the recorder main, and the vessel file does not know it: no accuracy, no calibration [vessel.yaml]", ()),
    (("layout", "recorder: main\n", ""),
     "recorder not stated: the layout of log.csv names no recorder: its accuracy and calibration are not known [log.csv]", ()),
]  # fmt: skip


@pytest.mark.parametrize("change, said, blocks", CASES, ids=[case[1].split(":")[0] for case in CASES])
def test_each_break_is_one_finding_by_name(
    tmp_path: Path, change: tuple[str, str, str], said: str, blocks: tuple[str, ...]
) -> None:
    found = findings(tmp_path, change)
    assert [str(finding) for finding in found] == [said]
    assert found[0].blocks == blocks
    assert found[0].remark == said.startswith("fewer than two vacuum ports")  # the only one with nothing to put right


def test_a_serial_twice(tmp_path: Path) -> None:
    found = findings(tmp_path, ("load", 'serial: "002"', 'serial: "001"'))
    assert (
        str(found[0])
        == "serial twice: the serial 001 stands for 2 parts of the load; correct the wrong one [load.yaml:5] [load.yaml:6]"
    )
    assert found[0].blocks == ("001",)
    assert {(f.kind, f.name) for f in found[1:]} == {("not in the load", "T3"), ("not in the load", "T4")}


def test_a_part_whose_bag_is_unknown(tmp_path: Path) -> None:
    found = findings(tmp_path, ("load", "bag: B2, tool: T-2", "bag: B3, tool: T-2"))
    assert [str(finding) for finding in found] == [
        "unknown bag: part 002 is in the bag 'B3', which the load does not list under 'bags' [load.yaml:6]",
        "bag without a part: no part is in the bag 'B2' [load.yaml:9]",
    ]
    assert [finding.blocks for finding in found] == [("002",), ()]


def test_a_thermocouple_on_a_part_that_is_not_in_the_load(tmp_path: Path) -> None:
    found = findings(
        tmp_path, ("load", 'sensor: T4, role: judging, part: "002"', 'sensor: T4, role: judging, part: "003"')
    )
    assert [str(finding) for finding in found] == [
        "not in the load: the sensor T4 (judging) is mapped to '003', which is not in the load [load.yaml:14]",
        "too few thermocouples: part 002 has 1 judging thermocouple(s); its specification EX-1 asks for at least 2 [load.yaml:6]",
    ]


def test_a_wrong_channel_is_seen_from_both_ends(tmp_path: Path) -> None:
    found = findings(tmp_path, ("vessel", "  G2: {channel: G2,", "  G2: {channel: G9,"))
    assert [(f.kind, f.name, f.blocks) for f in found] == [
        ("channel nobody claims", "G2", ()),
        ("claimed channel not recorded", "G9", ("B2",)),
    ]
    assert str(found[1]) == (
        "claimed channel not recorded: the map has the channel G9 for B2 (bag transducer), and it was not recorded [load.yaml:18]"
    )


def test_a_channel_of_two_sensors(tmp_path: Path) -> None:
    found = findings(tmp_path, ("vessel", "  T4: {channel: T4,", "  T4: {channel: T3,"))
    assert [(f.kind, f.name, f.blocks) for f in found] == [
        ("overlapping map entries", "T3", ("002",)),
        ("channel nobody claims", "T4", ()),
        ("channel claimed twice", "T3", ("002",)),
    ]


def test_a_sensor_that_the_vessel_does_not_know(tmp_path: Path) -> None:
    found = findings(tmp_path, ("load", "  - {sensor: T4, role", "  - {sensor: T4b, channel: T4, role"))
    assert [str(f) for f in found] == [
        "unknown sensor: the sensor T4b is in the map, and the vessel file does not know it: no wire, no calibration, no correction "
        "[load.yaml:14] [vessel.yaml]"
    ]
    assert found[0].blocks == ("002",)


def test_papers_of_another_vessel(tmp_path: Path) -> None:
    found = findings(tmp_path, ("load", "vessel: V\n", "vessel: W\n"))
    assert [str(f) for f in found] == [
        "other vessel: the load is written for the vessel 'W', the vessel file describes 'V' [load.yaml] [vessel.yaml]"
    ]
    assert found[0].blocks == ("001", "002")


def test_information_only_is_fixed_before_the_start_and_blocks_nothing(tmp_path: Path) -> None:
    line = '  - {sensor: T4, role: judging, part: "002", place: mid'
    later = f'{line}, until: 2031-03-04 22:00}}\n  - {{sensor: T4, role: information only, part: "002", place: mid, from: 2031-03-04 22:00, by: B. Operator'
    found = findings(tmp_path, ("load", line, later))
    assert [f.kind for f in found] == ["information only after the start", "too few thermocouples"]
    assert str(found[0]) == (
        "information only after the start: the sensor T4 became 'information only' after the start of the run, by the word of B. Operator [load.yaml:15]"
    )
    assert found[0].blocks == ("002",)
    before = findings(
        tmp_path,
        ("load", 'role: judging, part: "002", place: mid', 'role: information only, part: "002", place: mid'),
        ("vessel", "certificate: C-4, due: 2031-03-04", "certificate: C-4, due: 2031-03-03"),
    )
    assert [(f.kind, f.blocks) for f in before] == [
        ("too few thermocouples", ("002",)),
        ("calibration out of date", ()),
    ]


def test_a_thermocouple_that_was_replugged_counts_once_and_has_no_overlap(tmp_path: Path) -> None:
    line = '  - {sensor: T4, role: judging, part: "002", place: mid'
    first = f"{line}, until: 2031-03-04 22:00}}\n"
    second = (
        '  - {sensor: T4, channel: T5, role: judging, part: "002", place: mid, from: 2031-03-04 22:00, by: B. Operator'
    )
    changes = (
        ("load", line, first + second),
        ("log", "T4,Air,P,G1,G2\n", "T4,Air,P,G1,G2,T5\n"), ("log", "0,900,901\n", "0,900,901,20\n"), ("log", "3,900,901\n", "3,900,901,80\n"),
        ("layout", "T4, Air]", "T4, Air, T5]"),
    )  # fmt: skip
    assert findings(tmp_path, *changes) == ()
    gap = (("load", line, first + second.replace("from: 2031-03-04 22:00", "from: 2031-03-04 22:01")), *changes[1:])
    assert [f.kind for f in findings(tmp_path, *gap)] == ["too few thermocouples"]
    overlap = (("load", line, first + second.replace("from: 2031-03-04 22:00", "from: 2031-03-04 21:59")), *changes[1:])
    assert [f.kind for f in findings(tmp_path, *overlap)] == ["overlapping map entries"]


def test_a_source_may_serve_several_bags_at_once(tmp_path: Path) -> None:
    found = findings(
        tmp_path,
        ("load", "  - {sensor: P, role: vessel pressure}\n", "  - {sensor: P, role: vessel pressure}\n  - {sensor: H, role: source, bag: [B1, B2]}\n"),
        ("vessel", "  G1:", "  H: {channel: H, measures: vacuum, calibration: {certificate: C-9, due: 2031-03-04}}\n  G1:"),
        ("log", "G1,G2\n", "G1,G2,H\n"), ("log", "0,900,901\n", "0,900,901,950\n"), ("log", "3,900,901\n", "3,900,901,950\n"),
        ("layout", "[G1, G2]", "[G1, G2, H]"),
    )  # fmt: skip
    assert found == ()


def test_a_disagreeing_thermocouple_that_is_set_aside_for_the_whole_run_blocks_nothing(tmp_path: Path) -> None:
    wrong = ("log", "20,21,22,20.5,21,0", "20,21,22,43,21,0")
    whole = ("rulings", "[]", "[{set aside: T4, by: C, reason: reads 20 K high}]")
    [found] = findings(tmp_path, wrong, whole)
    assert (found.kind, found.blocks) == ("thermocouples disagree at ambient", ())
    assert "; it is set aside by a ruling" in found.message
    part = ("rulings", "[]", "[{set aside: T4, from: 2031-03-04 22:00, by: C, reason: reads 20 K high}]")
    [found] = findings(tmp_path, wrong, part)
    assert found.blocks == ("002",)


def test_rulings_and_entries_about_nothing_known_are_reported(tmp_path: Path) -> None:
    entries = "entries:\n  - {event: source closed, bag: [B1, B7], at: 2031-03-04 21:50, plus or minus: 0 s, by: B. Operator}\n"
    (tmp_path / "entries.yaml").write_text(entries, encoding="utf-8")
    found = findings(
        tmp_path,
        ("run", "rulings: rulings.yaml", "rulings: rulings.yaml\nentries: entries.yaml"),
        ("rulings", "[]", "[{set aside: T44, by: C, reason: broken}]"),
    )
    assert [str(finding) for finding in found] == [
        "ruling on an unknown sensor: the ruling of C sets aside 'T44', which no other paper knows; it has no effect [rulings.yaml:1]",
        "entry about something unknown: the hand entry 'source closed' of B. Operator is about 'B7', which no other paper knows [entries.yaml:2]",
    ]


def test_agreement_is_checked_on_corrected_readings(tmp_path: Path) -> None:
    correction = "corrections: [{of: roll, add: +3 K, certificate: K-1, valid from: 2031-01-01, valid to: 2031-12-31}]"
    found = findings(
        tmp_path,
        (
            "vessel",
            "T4: {channel: T4, measures: temperature",
            f"T4: {{channel: T4, measures: temperature, {correction}",
        ),
    )
    assert [(f.kind, f.name) for f in found] == [("thermocouples disagree at ambient", "T4")]


def test_a_part_without_any_number_needs_one_thermocouple(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        ("load", OUT_OF_LOAD, "  - {sensor: T4, role: other}\n"),
        ("load", '  - {sensor: T3, role: judging, part: "002", place: edge top}\n', "  - {sensor: T3, role: other}\n"),
    )
    assert [(f.kind, f.name) for f in trace(found.vessel, found.load, found.run, {})] == [
        ("too few thermocouples", "002")
    ]


def test_a_set_point_is_no_measurement_and_needs_no_calibration(tmp_path: Path) -> None:
    changes = (
        ("log", "Time,T1,T2,T3,T4,Air,P,G1,G2", "Time,T1,T2,T3,T4,Air,P,G1,G2,SP"),
        ("log", "20,21,22,20.5,21,0,900,901", "20,21,22,20.5,21,0,900,901,180"),
        ("log", "80,81,82,80.5,99,3,900,901", "80,81,82,80.5,99,3,900,901,180"),
        ("layout", "[T1, T2, T3, T4, Air]", "[T1, T2, T3, T4, Air, SP]"),
        ("vessel", "  T4: {", "  SP: {channel: SP, measures: temperature}\n  T4: {"),
        ("load", "  - {sensor: air, role: air}\n", "  - {sensor: air, role: air}\n  - {sensor: SP, role: set point}\n"),
    )
    assert findings(tmp_path, *changes) == ()
    judged_with_it = (*changes[:5], ("load", changes[5][1], changes[5][2].replace("role: set point", "role: other")))
    assert "no calibration of the sensor SP" in " ".join(str(found) for found in findings(tmp_path, *judged_with_it))
