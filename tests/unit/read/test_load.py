# ruff: noqa: E501  (messages stand as they are printed)
"""Load sheets, hand entries and rulings: what people write, with times in ns since the start of the run."""

from datetime import UTC, datetime

import pytest

from curewright.read.entries import read_entries
from curewright.read.load import BEGINNING, read_load
from curewright.read.rulings import read_rulings
from curewright.read.times import Clock
from curewright.terms.errors import CurewrightError
from curewright.terms.load import ALWAYS, Load, Port, Ruling, Sensor, Vessel
from curewright.terms.run import Entry
from curewright.terms.units import Quantity

MINUTE = 60 * 10**9
START = int(datetime(2031, 3, 4, 21, 40, tzinfo=UTC).timestamp()) * 10**9
CLOCK = Clock(UTC, START)
VESSEL = Vessel(
    "V", (Sensor("T1", "C1", "temperature"),), (Port("J1", "thermocouple", "T1"), Port("J2", "thermocouple", None)), ()
)
PART = """  - serial: {serial}
    number: P-1
    revision: A
    lot: L-1
    bag: B1
    tool: T-1
    specification: EX-1
    specification revision: C
"""


def load(lines: str = "[]", part: str = "") -> Load:
    text = f"load: R-1\nvessel: V\nmap by: A. Planner\nparts:\n{PART.format(serial='00123')}{part}bags:\n  B1: {{ports: [1, 02]}}\nmap: {lines}\n"
    return read_load(text.encode(), "load.yaml", VESSEL, CLOCK)


def refused(lines: str = "[]", part: str = "") -> str:
    with pytest.raises(CurewrightError) as error:
        load(lines, part)
    return str(error.value)


def test_names_stay_as_they_are_written() -> None:
    found = load()
    assert found.parts[0].serial == "00123"
    assert found.bags[0].ports == ("1", "02")
    assert (found.parts[0].line, found.bags[0].line, found.file) == (5, 14, "load.yaml")
    assert (found.parts[0].attributes, found.parts[0].out_time_used, found.parts[0].concessions) == ((), None, ())


def test_attributes_are_quantities_or_text() -> None:
    found = load(
        part="    attributes: {thickness: 0.6 in, core: '12 plies', construction: sandwich, rating: 45 psi gauge, plies: 12 count}\n"
    ).parts[0]
    thickness = found.attribute("thickness")
    assert isinstance(thickness, Quantity)
    assert thickness.grains == 15_240_000  # 0.6 x 25.4 mm in nm
    assert str(found.attribute("rating")) == "45 psi gauge"
    assert (found.attribute("core"), found.attribute("construction"), found.attribute("missing")) == (
        "12 plies",
        "sandwich",
        None,
    )


@pytest.mark.parametrize("written", ["12 plies", "2.9", "~3 mm", "2.9 mm?", "2,9 mm", "2.9-3.1 mm"])
def test_an_uncertain_number_is_refused_with_its_place(written: str) -> None:
    text = refused(part=f"    attributes:\n      thickness: {written}\n")
    assert text.startswith(f"load.yaml:14:18: '{written}' is no plain number with a known unit")
    assert text.removesuffix(". To do: write decimals with a point").endswith(
        "expected '2.9 mm' for instance, or a text in quotes"
    )


def test_concessions_take_limits_of_any_unit() -> None:
    said = "    concessions:\n" + "".join(
        f"      - {{clause: '4.10', form: band, limits: {limits}, authority: A}}\n"
        for limits in (
            "at least 338 degF",
            "at most 20 degF difference",
            "120 +40/-0 min",
            "1 to 6 degF/min",
            "at least 80 psi gauge",
        )
    )
    found = load(part=said).parts[0].concessions
    assert [c.limits.low.unit.quantity if c.limits.low else "-" for c in found] == [
        "temperature",
        "-",
        "time",
        "temperature rate",
        "pressure",
    ]
    assert found[1].limits.high is not None
    assert found[1].limits.high.unit.quantity == "temperature difference"
    assert found[0].clause == "4.10"


def test_limits_of_a_concession_without_a_reference_are_refused() -> None:
    assert refused(part="    concessions: [{clause: 1, form: band, limits: at least 80 psi, authority: A}]\n") == (
        "load.yaml:13:63: the pressure unit 'psi' has no reference; expected 'psi absolute', 'psi gauge' or 'psi of vacuum'. "
        "To do: write which one the instrument or the paper means; it is never guessed"
    )


def test_one_line_of_the_map() -> None:
    [found] = load("[{sensor: T1, role: judging, part: 00123, place: edge top}]").map
    assert (found.sensor, found.channel, found.role, found.thing, found.place, found.position) == (
        "T1",
        "C1",
        "judging",
        "00123",
        "edge top",
        "T1",
    )
    assert (found.start, found.end, found.author, found.line, found.file) == (
        BEGINNING,
        ALWAYS,
        "A. Planner",
        15,
        "load.yaml",
    )


def test_times_channel_position_and_word_of_a_line() -> None:
    line = "{jack: J1, role: judging, part: 00123, position: TC9, channel: C7, from: 2031-03-04 21:50, until: 2031-03-04T23:00:00+01:00, by: B. Operator}"
    [found] = load(f"[{line}]").map
    assert (found.sensor, found.channel, found.position, found.author) == ("T1", "C7", "TC9", "B. Operator")
    assert (found.start, found.end) == (10 * MINUTE, 20 * MINUTE)


@pytest.mark.parametrize(
    "line, things",
    [
        ("{sensor: T1, role: tool, tool: T-1}", ["T-1"]),
        ("{sensor: T1, role: tool, part: 00123}", ["00123"]),
        ("{sensor: T1, role: bag transducer, bag: B1}", ["B1"]),
        ("{sensor: T1, role: source, bag: [B1, B2]}", ["B1", "B2"]),
        ("{sensor: T1, role: source}", ["V"]),
        ("{sensor: T1, role: air}", ["V"]),
    ],
)
def test_what_a_role_belongs_to(line: str, things: list[str]) -> None:
    assert [a.thing for a in load(f"[{line}]").map] == things


SEE = "To do: see docs/formats/load.md for what each role belongs to"


@pytest.mark.parametrize(
    "line, message",
    [
        ("{role: air}", "load.yaml:15:7: a line of the map names the sensor or the jack; expected one of them"),
        ("{sensor: T1, jack: J1, role: air}", "load.yaml:15:7: a line of the map names the sensor or the jack; expected one of them"),
        ("{jack: J2, role: air}", "load.yaml:15:8: no sensor is behind the jack J2 in the vessel file; expected one of J1. To do: correct the jack, or name the 'sensor' itself"),
        ("{sensor: T1, role: judging}", f"load.yaml:15:20: a thermocouple for 'judging' belongs to one part; expected 'part: …' and nothing else. {SEE}"),
        ("{sensor: T1, role: judging, part: 1, bag: B1}", f"load.yaml:15:20: a thermocouple for 'judging' belongs to one part; expected 'part: …' and nothing else. {SEE}"),
        ("{sensor: T1, role: judging, tool: T-1}", f"load.yaml:15:20: a thermocouple for 'judging' belongs to one part; expected 'part: …' and nothing else. {SEE}"),
        ("{sensor: T1, role: tool}", f"load.yaml:15:20: a thermocouple for 'tool' belongs to one part; expected 'part: …' or 'tool: …' and nothing else. {SEE}"),
        ("{sensor: T1, role: air, part: 1}", f"load.yaml:15:20: a sensor for 'air' belongs to no part or tool; expected a bag, or nothing for the vessel. {SEE}"),
        ("{sensor: T1, role: bag transducer}", f"load.yaml:15:20: a sensor for 'bag transducer' belongs to one bag; expected 'bag: …'. {SEE}"),
        ("{sensor: T1, role: bag transducer, bag: [B1, B2]}", f"load.yaml:15:20: a sensor for 'bag transducer' belongs to one bag; expected 'bag: …'. {SEE}"),
        ("{sensor: T1, role: air, from: 2031-03-04 22:00, until: 2031-03-04 22:00}", "load.yaml:15:55: the line ends before it begins. To do: correct 'from' or 'until'"),
        ("{sensor: T1, role: air, from: 22:00}", "load.yaml:15:37: '22:00' is no date and time; expected a date and a time of day such as 2031-03-04 21:50:00, "
         "with an offset (+01:00) where the zone leaves it open. To do: write the date before it: on which day it was is never guessed"),
    ],
)  # fmt: skip
def test_lines_of_the_map_that_are_refused(line: str, message: str) -> None:
    assert refused(f"[{line}]") == message


def test_two_parts_of_one_serial_are_read_for_traceability_to_find() -> None:
    assert [part.serial for part in load(part=PART.format(serial="00123")).parts] == ["00123", "00123"]


# ---------------------------------------------------------------------------------------------------------- hand entries
def entries(*lines: str) -> tuple[Entry, ...]:
    text = "entries:\n" + "".join(f"  - {{{line}}}\n" for line in lines)
    return read_entries(text.encode(), "entries.yaml", CLOCK)


WHEN = "at: 2031-03-04 21:50, plus or minus: 30 s, by: B. Operator"


def test_an_event_for_several_bags() -> None:
    found = entries(f"event: source closed, bag: [B1, B2], until: 2031-03-04 21:55, {WHEN}, text: as ordered")
    assert [(e.name, e.thing, e.at, e.until, e.plus_minus, e.person, e.text) for e in found] == [
        ("source closed", bag, 10 * MINUTE, 15 * MINUTE, MINUTE // 2, "B. Operator", "as ordered")
        for bag in ("B1", "B2")
    ]
    assert (found[0].value, found[0].unit, found[0].line, found[0].file) == (None, None, 2, "entries.yaml")


def test_a_reading_keeps_unit_and_gauge_and_a_vacuum_is_negative_gauge() -> None:
    [found] = entries(
        f"reading: bag vacuum, bag: B1, value: 845 mbar of vacuum, value plus or minus: 5 mbar, gauge: G-1, {WHEN}"
    )
    assert (found.name, found.text, found.value, found.gauge, found.value_plus_minus) == (
        "reading",
        "bag vacuum",
        -84_500_000,
        "G-1",
        500_000,
    )
    assert found.unit is not None
    assert found.unit.name == "mbar of vacuum"


def test_a_leak_check_is_a_stretch_and_two_readings() -> None:
    found = entries(
        f"leak check: bench, bag: B1, value: 80 kPa of vacuum, value at the end: 79 kPa of vacuum, gauge: G, until: 2031-03-04 21:55, {WHEN}"
    )
    assert [(e.name, e.at // MINUTE, e.value, e.text) for e in found] == [
        ("leak check", 10, None, "bench"),
        ("reading", 10, -80_000_000, "start of the leak check"),
        ("reading", 15, -79_000_000, "end of the leak check"),
    ]


@pytest.mark.parametrize("kind", ["alarm", "inspection", "log"])
def test_other_kinds_keep_their_words(kind: str) -> None:
    [found] = entries(f"{kind}: as worded, {WHEN}")
    assert (found.name, found.text, found.thing) == (kind, "as worded", "run")


@pytest.mark.parametrize(
    "line, message",
    [
        (f"bag: B1, {WHEN}", "entries.yaml:2:5: an entry that does not say what it is; expected exactly one of event, reading, leak check, inspection, alarm, log"),
        (f"event: x, alarm: y, {WHEN}", "entries.yaml:2:5: an entry that is event and alarm; expected exactly one of event, reading, leak check, inspection, alarm, log"),
        ("event: x, at: 2031-03-04 21:50, by: B", "entries.yaml:2:5: an entry without 'plus or minus'; expected 'plus or minus: …'. To do: write how uncertain the times are"),
        (f"event: x, bag: B1, part: P, {WHEN}", "entries.yaml:2:5: an entry about part and bag; expected one of them. To do: write two entries"),
        (f"reading: x, value: 1 bar gauge, {WHEN}", "entries.yaml:2:5: a reading without 'gauge'; expected 'gauge: …'"),
        (f"reading: x, gauge: G, value: 26 inHg, {WHEN}", "entries.yaml:2:38: the pressure unit 'inHg' has no reference; expected 'inHg absolute', 'inHg gauge' "
         "or 'inHg of vacuum'. To do: write which one the instrument or the paper means; it is never guessed"),
        (f"event: x, value plus or minus: 1 mbar, {WHEN}", "entries.yaml:2:16: an uncertainty without a value; expected 'value: …' beside it"),
        (f"reading: x, gauge: G, value: 1 bar gauge, value plus or minus: 1 degC, {WHEN}", "entries.yaml:2:48: a pressure that is uncertain by a temperature difference; expected a difference of pressure"),
        (f"reading: x, gauge: G, value: 1 bar gauge, value plus or minus: -1 mbar, {WHEN}", "entries.yaml:2:48: an uncertainty below nothing; expected 0 or more"),
        (f"event: x, value: 1 bar gauge, {WHEN}", "entries.yaml:2:16: a value in an entry of the kind 'event'; expected a reading of its own"),
        (f"event: x, until: 2031-03-04 21:49, {WHEN}", "entries.yaml:2:16: the entry ends before it begins. To do: correct 'at' or 'until'"),
    ],
)  # fmt: skip
def test_entries_that_are_refused(line: str, message: str) -> None:
    with pytest.raises(CurewrightError) as error:
        entries(line)
    assert str(error.value) == message


@pytest.mark.parametrize(
    "value",
    [
        "about 26 inHg of vacuum",
        "26? inHg of vacuum",
        "26,0 inHg of vacuum",
        "2 6 inHg of vacuum",
        ">26 inHg of vacuum",
    ],
)
def test_an_uncertain_reading_is_refused_with_its_place(value: str) -> None:
    with pytest.raises(CurewrightError) as error:
        entries(f"reading: x, gauge: G, value: '{value}', {WHEN}")
    assert str(error.value).startswith("entries.yaml:2:3")


# --------------------------------------------------------------------------------------------------------------- rulings
def rulings(line: str) -> tuple[Ruling, ...]:
    return read_rulings(f"rulings:\n  - {{{line}}}\n".encode(), "rulings.yaml", CLOCK)


def test_a_ruling() -> None:
    [found] = rulings("set aside: T1, from: 2031-03-04 21:50, by: A, reason: broken wire, second: B")
    assert found == Ruling("set aside", "T1", 10 * MINUTE, ALWAYS, "A", "broken wire", "B", "rulings.yaml", 2)


def test_a_flagged_sensor_that_somebody_trusts() -> None:
    [found] = rulings("trust: T1, from: 2031-03-04 21:50, by: A, reason: the door seal")
    assert found == Ruling("trusted", "T1", 10 * MINUTE, ALWAYS, "A", "the door seal", "", "rulings.yaml", 2)


@pytest.mark.parametrize(
    "line, message",
    [
        ("by: A, reason: r", "rulings.yaml:2:5: a ruling says one thing; expected one of 'set aside' and 'trust'"),
        ("set aside: T1, trust: T1, by: A, reason: r", "rulings.yaml:2:5: a ruling says one thing; expected one of 'set aside' and 'trust'"),
        ("set aside: T1, by: A", "rulings.yaml:2:5: a ruling without 'reason'; expected 'reason: …'. To do: write why"),
        ("set aside: T1, reason: r", "rulings.yaml:2:5: a ruling without 'by'; expected 'by: …'. To do: write who decided it"),
        ("set aside: T1, by: A, reason: r, second: A", "rulings.yaml:2:39: A is both persons; expected another one"),
        ("set aside: T1, by: A, reason: r, until: 2031-03-04 20:00, from: 2031-03-04 20:01", "rulings.yaml:2:39: the ruling ends before it begins. To do: correct 'from' or 'until'"),
    ],
)  # fmt: skip
def test_rulings_that_are_refused(line: str, message: str) -> None:
    with pytest.raises(CurewrightError) as error:
        rulings(line)
    assert str(error.value) == message
