# ruff: noqa: E501  (messages stand as they are printed)
"""Recorder exports to channels: grains, lines, bad samples, duplicates (semantics.md 2.2), and what is refused."""

import numpy as np
import pytest

from curewright.read.layout_file import read_layout
from curewright.read.recorder import Export, read_export
from curewright.terms.errors import CurewrightError
from curewright.terms.run import Channel

MINUTE = 60 * 10**9


def layout(columns: str, **changes: str) -> str:
    said = {
        "encoding": "utf-8",
        "separator": "semicolon",
        "decimal sign": "comma",
        "lines before the header": "0",
        "header rows": "names",
        "time": "{columns: Time, format: iso, zone: UTC}",
        "blank means": "lost",
    } | {name.replace("_", " "): text for name, text in changes.items()}
    return "layout: L\n" + "".join(f"{name}: {text}\n" for name, text in said.items()) + f"columns:\n{columns}\n"


ONE = "  - {columns: A, unit: degC, kind: continuous}"


def export(text: str, columns: str = ONE, **changes: str) -> Export:
    return read_export(text.encode(), "log.csv", read_layout(layout(columns, **changes).encode(), "layout.yaml"))


def channels(text: str, columns: str = ONE, **changes: str) -> dict[str, Channel]:
    read = export(text, columns, **changes)
    return read.channels(read.first)[0]


def rows(*cells: str) -> str:
    """A column A, one row a minute."""
    return "Time;A\n" + "".join(f"2031-03-04T21:{40 + i}:00;{cell}\n" for i, cell in enumerate(cells))


def refused(text: str, columns: str = ONE, **changes: str) -> str:
    with pytest.raises(CurewrightError) as error:
        channels(text, columns, **changes)
    return str(error.value)


def test_readings_become_grains_with_their_lines() -> None:
    found = channels(rows("20,00", "-0,5", "1,5e1"))["A"]
    assert found.t.tolist() == [0, MINUTE, 2 * MINUTE]
    assert found.v.tolist() == [293_150_000, 272_650_000, 288_150_000]  # 0 degC is 273.15 K by definition
    assert found.row.tolist() == [2, 3, 4]
    assert (found.t.dtype, found.v.dtype, found.bad.dtype, found.row.dtype) == (
        np.int64,
        np.float64,
        np.bool_,
        np.int64,
    )
    assert (found.file, found.kind, found.reference, found.recorded_as) == ("log.csv", "continuous", None, "A")


def test_a_number_with_more_digits_than_the_quick_reading_takes() -> None:
    assert channels(rows("20,00000000000000000001"))["A"].v.tolist() == [293_150_000]


@pytest.mark.parametrize(
    "unit, cell, grains, reference",
    [
        ("inHg of vacuum", "26,0", -88_046_116, "gauge"),  # 26 x 3386.389 Pa (NIST SP 811) = 88 046.1 Pa below ambient
        ("mbar of vacuum", "845", -84_500_000, "gauge"),
        ("mbar absolute", "168,25", 16_825_000, "absolute"),
        ("bar gauge", "6,3", 630_000_000, "gauge"),
    ],
)
def test_pressures_keep_their_reference_and_a_vacuum_is_negative_gauge(
    unit: str, cell: str, grains: float, reference: str
) -> None:
    found = channels(rows(cell), f"  - {{columns: A, unit: {unit}, kind: continuous}}")["A"]
    assert found.v[0] == pytest.approx(grains, abs=60)  # NIST's 3386.389 is itself rounded to 0.0005 Pa
    assert (found.reference, found.unit.name) == (reference, unit)


def test_a_blank_is_lost_or_not_sampled_as_the_layout_says() -> None:
    lost = channels(rows("20", "", "21"))["A"]
    assert lost.bad.tolist() == [False, True, False]
    assert np.isnan(lost.v[1])
    absent = channels(rows("20", "", "21"), blank_means="not sampled")["A"]
    assert (absent.t.tolist(), absent.row.tolist(), absent.bad.tolist()) == ([0, 2 * MINUTE], [2, 4], [False, False])


def test_codes_and_range_make_a_sample_bad_and_nothing_else() -> None:
    columns = (
        "  - {columns: A, unit: degC, kind: continuous, open codes: ['9999', OL, '-99999,0'], bad outside: -20 to 400}"
    )
    found = channels(rows("20", "9999", "9999,00", "OL", "-99999", "400", "400,1", "-20", "-20,1"), columns)["A"]
    assert found.bad.tolist() == [False, True, True, True, True, False, True, False, True]
    assert np.isnan(found.v[found.bad]).all()
    assert found.raw[1] == pytest.approx((9999 + 273.15) * 1e6)
    assert np.isnan(found.raw[3])


def test_a_quality_column_decides_beside_the_value() -> None:
    columns = "  - {columns: A, unit: degC, kind: continuous, quality: {column: Q, good: [ok, '0']}}"
    text = "Time;A;Q\n2031-03-04T21:40;20;ok\n2031-03-04T21:41;20;bad\n2031-03-04T21:42;20;\n2031-03-04T21:43;20;0\n"
    assert channels(text, columns)["A"].bad.tolist() == [False, True, True, False]


def test_states_as_text() -> None:
    found = channels(rows("open", "open", "??", "closed", "open"), "  - {columns: A, kind: state, open codes: ['??']}")[
        "A"
    ]
    assert found.states == ("open", "closed")
    assert found.bad.tolist() == [False, False, True, False, False]
    assert found.v[~found.bad].tolist() == [0, 0, 1, 0]
    assert (found.kind, found.unit.name) == ("state", "count")


def test_states_as_numbers_with_a_unit() -> None:
    found = channels(rows("20", "180"), "  - {columns: A, kind: state, unit: degC}")["A"]
    assert (found.kind, found.states, found.v.tolist()) == ("state", (), [293_150_000, 453_150_000])


def doubled(*cells: str) -> str:
    return (
        "Time;A\n2031-03-04T21:39:00;19\n"
        + "".join(f"2031-03-04T21:40:00;{cell}\n" for cell in cells)
        + "2031-03-04T21:41:00;21\n"
    )


def test_same_instant_same_value_one_is_kept() -> None:
    found = channels(doubled("20,0", "20,00"))["A"]
    assert (found.t.tolist(), found.row.tolist(), found.bad.any()) == ([0, MINUTE, 2 * MINUTE], [2, 3, 5], False)


def test_same_instant_different_values_is_bad_and_counted() -> None:
    read = export(doubled("180,1", "185,9"))
    found, notes = read.channels(read.first)
    assert found["A"].bad.tolist() == [False, True, False]
    assert found["A"].row.tolist() == [2, 3, 5]
    assert notes == ("A: two different values for one instant at line(s) 4; bad",)


@pytest.mark.parametrize("cells", [("20", ""), ("", "20"), ("20", "20", "20,1"), ("20", "20,1", "20")])
def test_an_instant_with_a_good_and_a_bad_or_another_sample_is_bad(cells: tuple[str, ...]) -> None:
    assert channels(doubled(*cells))["A"].bad.tolist() == [False, True, False]


def test_a_cell_that_was_not_sampled_does_not_spoil_its_double() -> None:
    found = channels(doubled("20", ""), blank_means="not sampled")["A"]
    assert found.bad.tolist() == [False, False, False]


def test_t_is_counted_from_the_start_that_is_given() -> None:
    read = export(rows("20", "21"))
    assert read.channels(read.first + MINUTE)[0]["A"].t.tolist() == [-MINUTE, 0]


def test_a_missed_heartbeat_is_noted() -> None:
    text = "Time;A\n2031-03-04T10:00;85\n2031-03-04T11:00;85\n2031-03-04T12:01;84\n"
    read = export(text, "  - {columns: A, unit: psi gauge, kind: continuous, heartbeat: 60 min}")
    assert read.channels(read.first)[1] == ("A: no heartbeat between line 3 and line 4 of log.csv",)


@pytest.mark.parametrize("cell", ["1.5", "1.234,5", "12,5 C", "~20", "20?", "1_000", "nan", "inf", "0x10", "OL", "१"])
def test_an_uncertain_number_is_refused_with_its_place(cell: str) -> None:
    assert refused(rows("20", cell)) == (
        f"log.csv:3:21: '{cell}' in the column 'A' is neither a number (decimal sign ',') nor a declared code. To do: if it stands for an "
        "open circuit or a fault, name it under 'open codes' in the layout"
    )


def test_many_cells_with_the_other_decimal_sign_are_told_as_that() -> None:
    assert refused(rows("20.5", "21.25", "OL", "-3.0")).split("\n") == [
        "log.csv:2:21: 3 of the 4 cells that cannot be read are numbers with a decimal point; this is the first; expected a decimal comma, "
        "as layout.yaml says. To do: write 'decimal sign: point' in the layout",
        "log.csv:4:21: 'OL' in the column 'A' is neither a number (decimal sign ',') nor a declared code. To do: if it stands for an "
        "open circuit or a fault, name it under 'open codes' in the layout",
    ]
    assert refused(rows("1.234", "2.345", "3.456")).endswith(
        "write 'decimal sign: point' in the layout; or 'thousands: point' if it marks these"
    )


@pytest.mark.parametrize("cell", ["99999999999", "1e300", "1e999"])
def test_a_number_beyond_every_instrument_is_refused(cell: str) -> None:
    assert refused(rows(cell)).startswith(
        f"log.csv:2:21: '{cell}' in the column 'A' is nothing that an instrument can have measured. To do: "
    )


def test_all_such_cells_are_counted_and_the_first_are_named() -> None:
    lines = refused("Time;A\n" + "".join(f"2031-03-04T21:{i:02}:00;x{i}\n" for i in range(60))).split("\n")
    assert len(lines) == 21
    assert lines[19].startswith("log.csv:21:21: 'x19' in the column")
    assert lines[20] == "log.csv: and 40 more such cells"


def test_a_clock_that_goes_backwards_is_refused_with_its_lines() -> None:
    text = "Time;A\n2031-03-04T21:40:00;1\n2031-03-04T21:41:00;1\n2031-03-04T21:40:30;1\n2031-03-04T21:42:00;1\n2031-03-04T21:39:00;1\n"
    assert refused(text) == (
        "log.csv:4: the clock goes backwards at line 4 (2031-03-04T21:40:30, after 2031-03-04T21:41:00), line 6 (2031-03-04T21:39:00, after "
        "2031-03-04T21:42:00). To do: find out whether the clock was set, daylight saving ended or two runs were put together; rows are never "
        "sorted in silence"
    )


def test_every_column_is_accounted_for() -> None:
    text = "Time;A;B;C\n2031-03-04T21:40:00;1;2;3\n"
    assert refused(text, ONE + "\nnot read: [C]") == (
        "log.csv:1: the layout says nothing of the column 'B'. To do: state its unit under 'columns' in layout.yaml, or name it under 'not read'"
    )
    assert refused(text, "  - {columns: [A, B, C, D], unit: degC, kind: continuous}") == (
        "layout.yaml:10:25: the export has no column 'D'; expected one of Time, A, B, C. To do: correct the name in the layout, or the separator "
        "and the header row"
    )
    assert set(channels(text, ONE + "\nnot read: [B, C]")) == {"A"}


def test_the_wrong_separator_is_found_by_the_columns() -> None:
    assert "the export has no column 'Time'; expected one of Time;A" in refused(rows("1"), separator="tab")


def test_windows_line_ends_and_a_byte_order_mark_change_nothing() -> None:
    plain, windows = rows("20", "21"), "\ufeff" + rows("20", "21").replace("\n", "\r\n")
    one, other = channels(plain)["A"], channels(windows)["A"]
    assert one.v.tolist() == other.v.tolist()
    assert one.row.tolist() == other.row.tolist()


def test_date_and_time_in_two_columns_with_an_offset_from_summer_time() -> None:
    text = "Date;Time;A\n07/04/2031;09:40:00 PM;1\n"
    read = export(text, time='{columns: [Date, Time], format: "%m/%d/%Y %I:%M:%S %p", zone: America/Chicago}')
    assert read.first == 1_940_985_600 * 10**9  # 2031-07-05T02:40:00Z, counted with GNU date


@pytest.mark.parametrize(
    "unit, text, told",
    [
        ("degC", "-9999", True), ("degC", "-273.2", True), ("degC", "9999", True), ("degC", "-273.1", False), ("degC", "1371", False),
        ("degF", "-460", True), ("bar gauge", "-9.999", True), ("bar gauge", "-1.02", False), ("kPa absolute", "-9.9", True),
        ("kPa absolute", "-1.0", False), ("inHg of vacuum", "36", True), ("inHg of vacuum", "29.9", False),
    ],
)  # fmt: skip
def test_what_no_instrument_can_have_measured_is_a_code_that_nobody_declared(unit: str, text: str, told: bool) -> None:
    # absolute zero is -273.15 degC and -459.67 degF by definition; 36 inHg is more than an atmosphere
    read = export(
        f"Time;A\n2031-03-04 21:40:00;1\n2031-03-04 21:41:00;{text}\n",
        f"  - {{columns: A, unit: {unit}, kind: continuous}}",
        decimal_sign="point",
    )
    if told:
        with pytest.raises(
            CurewrightError, match=r"log\.csv:3:21: .*nothing that an instrument can have measured"
        ) as caught:
            read.channels(read.first)
        assert "open codes" in str(caught.value)
    else:
        assert not read.channels(read.first)[0]["A"].bad.any()
