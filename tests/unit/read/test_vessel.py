# ruff: noqa: E501  (messages stand as they are printed)
"""Vessel files and port lists."""

from datetime import date
from io import BytesIO

import pytest
from openpyxl import Workbook

from curewright.read.ports import port_list
from curewright.read.vessel import read_vessel
from curewright.terms.errors import CurewrightError
from curewright.terms.load import Port, Vessel

SENSOR = "sensors:\n  T1: {channel: C1, measures: temperature"


def read(text: str, **beside: bytes) -> Vessel:
    return read_vessel(text.encode(), "vessel.yaml", lambda name: beside[name.replace(".", "_")])


def refused(text: str) -> str:
    with pytest.raises(CurewrightError) as error:
        read(text)
    return str(error.value)


def test_a_vessel_of_few_words() -> None:
    found = read(f"vessel: 007\n{SENSOR}}}\n")
    assert (found.name, found.site_pressure, found.agreement_at_ambient, found.ports, found.recorders) == (
        "007",
        None,
        None,
        (),
        (),
    )
    assert (found.sensors[0].name, found.sensors[0].channel, found.sensors[0].line) == ("T1", "C1", 3)


def test_corrections_and_calibrations() -> None:
    correction = "{of: roll, add: -0.4 degF, certificate: 0042, valid from: 2031-01-01, valid to: 2031-06-30}"
    text = f"vessel: V\n{SENSOR}, corrections: [{correction}], calibration: {{certificate: 17, due: 2031-06-30, uncertainty: 1.1 K, stated as: limits}}}}\n"
    sensor = read(text).sensors[0]
    assert sensor.corrections[0].certificate == "0042"
    assert (str(sensor.corrections[0].add), sensor.corrections[0].valid_to, sensor.corrections[0].of) == (
        "-0.4 degF difference",
        date(2031, 6, 30),
        "roll",
    )
    assert sensor.calibration is not None
    assert (sensor.calibration.due, str(sensor.calibration.uncertainty), sensor.calibration.standard) == (
        date(2031, 6, 30),
        "1.1 K difference",
        False,
    )


@pytest.mark.parametrize(
    "text, message",
    [
        (f"vessel: V\n{SENSOR}, mesures: x}}\n", "vessel.yaml:3:44: 'mesures' is no field of a sensor. To do: did you mean 'measures'?"),
        ("vessel: V\nsensors:\n  T1: {channel: C1}\n", "vessel.yaml:3:7: a sensor without 'measures'; expected 'measures: …'. To do: write what it measures"),
        (f"vessel: V\n{SENSOR}, tolerance: good}}\n", "vessel.yaml:3:55: 'good'; expected 'standard' or 'special' or 'class 1' or 'class 2' or 'class 3'"),
        (f"vessel: V\nsite pressure: 14.7 psi\n{SENSOR}}}\n", "vessel.yaml:2:21: the pressure unit 'psi' has no reference; expected 'psi absolute', 'psi "
         "gauge' or 'psi of vacuum'. To do: write which one the instrument or the paper means; it is never guessed"),
        (f"vessel: V\nagreement at ambient: 5 degF\n{SENSOR}}}\n", "vessel.yaml:2:23: '5'; expected 'within'"),
        (f"vessel: V\n{SENSOR}, calibration: {{certificate: C, due: 31.12.2031}}}}\n", "vessel.yaml:3:79: '31.12.2031' is no date; expected a date such as 2026-03-31. To do: write the year, then the month, then the day, with hyphens"),
        (f"vessel: V\n{SENSOR}, calibration: {{certificate: C, due: 2031-12-31, uncertainty: 1 K}}}}\n", "vessel.yaml:3:57: 'uncertainty' and 'stated as' "
         "belong together; expected both or neither. To do: write 'stated as: limits' or 'stated as: standard uncertainty', as on the certificate"),
        (f"vessel: V\n{SENSOR}, drift: 0.2 psi}}\n", "vessel.yaml:3:44: the sensor T1 measures temperature, and '0.2 psi difference' is a pressure "
         "difference; expected a temperature difference"),
        (f"vessel: V\n{SENSOR}}}\nports:\n  S1: {{kind: vacuum}}\n", "vessel.yaml:5:7: a port without 'sensor'; expected 'sensor: …'. To do: write the sensor behind it; 'none' for a line without one"),
        (f"vessel: V\n{SENSOR}}}\n  T1: {{channel: C2, measures: temperature}}\n", "vessel.yaml:4:3: 'T1' is written twice (first on line 3); expected every "
         "name once. To do: delete or rename one"),
        (f"vessel: V\n{SENSOR}}}\nports: {{}}\nports file: ports.csv\n", "vessel.yaml:5:1: ports here and in a file; expected one of them. To do: delete one"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, message: str) -> None:
    assert refused(text) == message


def test_two_corrections_of_one_thing_at_once_are_refused() -> None:
    one = "{of: roll, add: +0.4 degC, certificate: A, valid from: 2031-01-01, valid to: 2031-06-30}"
    other = "{of: roll, add: +0.3 degC, certificate: B, valid from: 2031-06-30, valid to: 2031-12-31}"
    text = f"vessel: V\n{SENSOR}, corrections: [{one},\n    {other}]}}\n"
    assert refused(text) == (
        "vessel.yaml:3:44: two corrections of the sensor T1 for its roll are valid on 2031-06-30 (lines 3 and 4). "
        "To do: end the old one before the new one begins; only one may be applied"
    )
    assert len(read(text.replace("valid from: 2031-06-30", "valid from: 2031-07-01")).sensors[0].corrections) == 2
    assert len(read(text.replace("{of: roll, add: +0.3", "{of: channel, add: +0.3")).sensors[0].corrections) == 2


def test_a_correction_that_ends_before_it_begins_is_refused() -> None:
    correction = "{of: roll, add: 0.4 degC, certificate: A, valid from: 2031-07-01, valid to: 2031-06-30}"
    assert (
        refused(f"vessel: V\n{SENSOR}, corrections: [{correction}]}}\n")
        == "vessel.yaml:3:124: the correction ends before it begins"
    )


# ------------------------------------------------------------------------------------------------------------- port lists
ROWS = [("port", "kind", "sensor", "hose"), ("S1", "vacuum", "none", "red"), (12, "thermocouple", "T1", None)]
PORTS = (("S1", "vacuum", None), ("12", "thermocouple", "T1"))


def workbook(rows: list[tuple[object, ...]]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    book.active.insert_rows(2)  # an empty row is no port
    content = BytesIO()
    book.save(content)
    return content.getvalue()


def short(ports: tuple[Port, ...]) -> tuple[tuple[str, str, str | None], ...]:
    return tuple((port.number, port.kind, port.sensor) for port in ports)


@pytest.mark.parametrize("separator", [",", ";"])
def test_ports_out_of_csv(separator: str) -> None:
    text = "\n".join(separator.join("" if cell is None else str(cell) for cell in row) for row in ROWS)
    found = port_list(text.encode("utf-8-sig"), "ports.csv")
    assert short(found) == PORTS
    assert [(port.line, port.file) for port in found] == [(2, "ports.csv"), (3, "ports.csv")]


def test_ports_out_of_excel_keep_the_rows_of_the_sheet() -> None:
    found = port_list(workbook(ROWS), "ports.xlsx")
    assert short(found) == PORTS
    assert [port.line for port in found] == [3, 4]


def test_the_vessel_file_leads_to_its_port_list() -> None:
    text = f"vessel: V\n{SENSOR}}}\nports file: ports.csv\n"
    assert short(read(text, ports_csv=b"port,kind,sensor\nS1,vacuum,none\n").ports) == (("S1", "vacuum", None),)


@pytest.mark.parametrize(
    "rows, message",
    [
        ([("port", "kind", "sensor"), ("S1", "vacuum", None)], "ports.xlsx:3:3: the sensor is empty (or the cell holds an error). To do: write 'none' for a port without a sensor"),
        ([("port", "kind", "sensor"), ("S1", "vacuum", "=1/0")], "ports.xlsx:3:3: the cell holds no value but 'formula without a result'. To do: write the value itself"),
        ([("port", "kind", "sensor"), (None, "vacuum", "none")], "ports.xlsx:3:1: the port is empty (or the cell holds an error). To do: fill it in, or delete the row"),
        ([("port", "kind", "sensor"), ("S1", "vakuum", "none")], "ports.xlsx:3:2: 'vakuum'; expected 'vacuum' or 'thermocouple'"),
        ([("port", "kind", "sensor"), (1.5, "vacuum", "none")], "ports.xlsx:3:1: the cell holds '1.5', which is no text. To do: format the column as text in the workbook"),
        ([("port", "sensor"), ("S1", "none")], "ports.xlsx:1: the port list has 0 columns 'kind'; expected one each of port, kind and sensor"),
        ([("port", "kind", "sensor", "Port"), ("S1", "vacuum", "none", "x")], "ports.xlsx:1: the port list has 2 columns 'port'; expected one each of port, kind and sensor"),
    ],
)  # fmt: skip
def test_what_a_port_list_may_not_leave_open(rows: list[tuple[object, ...]], message: str) -> None:
    with pytest.raises(CurewrightError) as error:
        port_list(workbook(rows), "ports.xlsx")
    assert str(error.value) == message


@pytest.mark.parametrize("name, content, start", [
    ("ports.csv", b"", "ports.csv: the port list is empty"),
    ("ports.csv", b"port,kind,sensor\nS1,vacuum\n", "ports.csv:2: the sensor is empty (or the cell holds an error). To do: write 'none'"),
    ("ports.xlsx", b"no workbook", "ports.xlsx: the file is not readable as a workbook ("),
])  # fmt: skip
def test_a_port_list_that_is_none(name: str, content: bytes, start: str) -> None:
    with pytest.raises(CurewrightError) as error:
        port_list(content, name)
    assert str(error.value).startswith(start)


def test_all_wrong_rows_are_told_at_once() -> None:
    with pytest.raises(CurewrightError) as error:
        port_list(b"port,kind,sensor\nS1,vacuum,\n,vacuum,none\n", "ports.csv")
    assert [line.split(": ")[0] for line in str(error.value).split("\n")] == ["ports.csv:2:11", "ports.csv:3:1"]
