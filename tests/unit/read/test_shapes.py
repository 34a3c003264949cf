# ruff: noqa: E501  (layouts and messages stand as they are written)
"""Exports of every shape, read through a layout; what each one has to come out as is written beside it by hand."""

import codecs
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from curewright.read.layout_file import read_layout
from curewright.read.recorder import Export, read_export
from curewright.terms.errors import CurewrightError

MINUTE, SECOND = 60 * 10**9, 10**9
ZERO = 273_150_000  # 0 degC in grains of 1 uK, by definition


def layout(**said: str) -> str:
    fields = {
        "layout": "L", "encoding": "utf-8", "separator": "comma", "decimal sign": "point", "lines before the header": "0",
        "header rows": "names", "time": "{columns: Time, format: iso, zone: UTC}", "blank means": "lost",
        "columns": "[{columns: A, unit: degC, kind: continuous}]",
    }  # fmt: skip
    fields |= {name.replace("_", " "): text for name, text in said.items()}
    return "".join(f"{name}: {text}\n" for name, text in fields.items())


def export(content: str | bytes, file: str = "log.csv", **said: str) -> Export:
    raw = content.encode() if isinstance(content, str) else content
    return read_export(raw, file, read_layout(layout(**said).encode(), "layout.yaml"))


def degrees(read: Export, name: str = "A") -> list[float]:
    found = read.channels(read.first)[0][name]
    return [round((v - ZERO) / 1e6, 6) for v in found.v]


def seconds(read: Export, name: str = "A") -> list[float]:
    return [t / SECOND for t in read.channels(read.first)[0][name].t]


def read_all(content: str, **said: str) -> None:
    read = export(content, **said)
    read.channels(read.first)


def refused(content: str, **said: str) -> str:
    with pytest.raises(CurewrightError) as error:
        read_all(content, **said)
    return str(error.value)


def counted(read: Export) -> dict[str, tuple[int, tuple[int, ...]]]:
    return {one.cause: (one.count, one.lines) for one in read.counted()}


def at(year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0) -> int:
    return (
        int(
            (datetime(year, month, day, hour, minute, second, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC))
            / timedelta(seconds=1)
        )
        * SECOND
    )


# ------------------------------------------------------------------------------------------------------------------ separators
@pytest.mark.parametrize(
    "separator, text",
    [
        ("comma", "Time,A,B\n2031-03-04 21:40:00,1.5,2\n2031-03-04 21:41:00,2.5,3\n"),
        ("semicolon", "Time;A;B\n2031-03-04 21:40:00;1.5;2\n2031-03-04 21:41:00;2.5;3\n"),
        ("tab", "Time\tA\tB\n2031-03-04 21:40:00\t1.5\t2\n2031-03-04 21:41:00\t2.5\t3\n"),
        ("bar", "Time|A|B\n2031-03-04 21:40:00|1.5|2\n2031-03-04 21:41:00|2.5|3\n"),
        ("blanks", "  Time        A    B\n2031-03-04T21:40:00  1.5  2\n2031-03-04T21:41:00   2.5 3  \n"),
    ],
)
def test_separators(separator: str, text: str) -> None:
    read = export(text, separator=separator, columns="[{columns: [A, B], unit: degC, kind: continuous}]")
    assert (degrees(read), degrees(read, "B"), seconds(read)) == ([1.5, 2.5], [2, 3], [0, 60])


def test_fixed_widths_with_a_blank_cell() -> None:
    text = "Time                A     B\n2031-03-04T21:40:00   1.5     2\n2031-03-04T21:41:00           3\n"
    read = export(
        text, separator="fixed widths", widths="[19, 6, 6]", columns="[{columns: [A, B], unit: degC, kind: continuous}]"
    )
    assert degrees(read)[0] == 1.5
    assert np.isnan(degrees(read)[1])
    assert degrees(read, "B") == [2, 3]


WIDTHS = {
    "separator": "fixed widths",
    "widths": "[19, 6, 6]",
    "columns": "[{columns: [A, B], unit: degC, kind: continuous}]",
}
RIGHT = "Time                    A     B\n" + "".join(f"2031-03-04T21:{40 + i}:00  20.{i}  21.{i}\n" for i in range(9))

LEFT = "Time               A     B\n" + "".join(f"2031-03-04T21:{40 + i}:0020.{i}  21.{i}\n" for i in range(9))


@pytest.mark.parametrize(
    "line, word",
    [
        ("2031-03-04T21:50:0012345.6     \n", "12345.6"),  # ran out of room, into a blank cell
        ("2031-03-04T21:50:00   1234.5  \n", "1234.5"),  # moved to the right
        ("2031-03-04T21:50:00   1234.5\n", "1234.5"),  # the same, its blanks cut off
        ("2031-03-04T21:50:00 -1.2E+03\n", "-1.2E+03"),
    ],
)
def test_a_number_that_crosses_the_end_of_its_column_is_refused_whole(line: str, word: str) -> None:
    said = refused(RIGHT + line, **WIDTHS)
    assert f"'{word}' goes on over the end of the column 'A'" in said
    assert "log.csv:11" in said
    assert "correct 'widths' in the layout" in said


@pytest.mark.parametrize(
    "text, values",
    [
        (RIGHT + "2031-03-04T21:50:00  20.51234.5\n", [20.5, 1234.5]),  # right-aligned, the second as wide as its column
        (RIGHT + "2031-03-04T21:50:00-99.991234.5\n", [-99.99, 1234.5]),
        (LEFT + "2031-03-04T21:50:001234.521\n", [1234.5, 21]),
    ],
)  # fmt: skip
def test_numbers_as_wide_as_their_columns_may_stand_close(text: str, values: list[float]) -> None:
    read = export(text, **WIDTHS | {"open_codes": "none"})
    assert [degrees(read)[-1], degrees(read, "B")[-1]] == [pytest.approx(value) for value in values]


def test_a_heading_or_a_preamble_may_cross_the_ends_of_columns() -> None:
    text = "Recorder 7 of 04.03.2031 plant 123456789\n" + RIGHT
    assert degrees(export(text, **WIDTHS | {"lines_before_the_header": "1"}))[:2] == [20.0, 20.1]


def test_quotes_trailing_separators_and_spacer_columns() -> None:
    text = '"Time","","A, top",\n"2031-03-04 21:40:00",,"1.5",\n2031-03-04 21:41:00,, "2.5" ,\n'
    assert degrees(export(text, columns="[{columns: 'A, top', unit: degC, kind: continuous}]"), "A, top") == [1.5, 2.5]


def test_a_column_without_a_name_that_holds_something_is_refused_and_can_be_read_by_its_number() -> None:
    text = "Time,,A\n2031-03-04 21:40:00,7,1.5\n"
    assert "the layout says nothing of the column 'column 2'" in refused(text)
    read = export(text, columns="[{columns: [A, column 2], unit: degC, kind: continuous}]")
    assert degrees(read, "column 2") == [7]


# ------------------------------------------------------------------------------------------------------------------- encodings
TEXT = "Time;A °C\n2031-03-04 21:40:00;1,5\n2031-03-04 21:41:00;2,5\n"


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    "encoding, mark",
    [
        ("utf-8", b""), ("utf-8", codecs.BOM_UTF8), ("utf-16-le", b""), ("utf-16-be", b""), ("utf-16", b""), ("utf-16-le", codecs.BOM_UTF16_LE),
        ("cp1252", b""), ("latin-1", b""), ("iso8859-15", b""), ("cp437", b""), ("cp850", b""), ("mac-roman", b""), ("utf-32", b""),
    ],
)  # fmt: skip
def test_encodings_and_line_ends(encoding: str, mark: bytes, ends: str) -> None:
    content = mark + TEXT.replace("\n", ends).encode(encoding)
    columns = "[{columns: A °C, channel: A, unit: degC, kind: continuous}]"
    read = export(content, encoding=encoding, separator="semicolon", decimal_sign="comma", columns=columns)
    assert degrees(read) == [1.5, 2.5]
    assert read.channels(read.first)[0]["A"].row.tolist() == [2, 3]


@pytest.mark.parametrize("encoding, cut", [("utf-8", 1), ("utf-16-le", 1), ("utf-16-le", 3)])
def test_half_a_character_at_the_end_of_a_growing_file_is_left_out_and_counted(encoding: str, cut: int) -> None:
    content = "Time,A\n2031-03-04 21:40:00,1.5\n2031-03-04 21:41:00,2°".encode(encoding)[:-cut]
    read = export(content, encoding=encoding)
    assert degrees(read) == [1.5]
    assert counted(read)["cut off at the end of the file"] == (1, (3,))
    assert counted(read)["half a character at the end of the file"] == (1, (3,))


# -------------------------------------------------------------------------------------------------------------------- headers
def test_a_preamble_of_any_length_two_rows_of_names_and_a_row_of_units() -> None:
    text = "Shop;Part\nOperator;B\n\nTime;TC1;;TC2;\n;PV;SP;PV;SP\n;C;C;C;C\n2031-03-04 21:40:00;1;2;3;4\n"
    columns = "[{columns: [TC1 PV, TC2 PV], unit: degC, kind: continuous}, {columns: [TC1 SP, TC2 SP], unit: degC, kind: state}]"
    for before in ("any", "3"):
        read = export(
            text,
            separator="semicolon",
            lines_before_the_header=before,
            header_rows="[names, names, units]",
            columns=columns,
        )
        found = read.channels(read.first)[0]
        assert [degrees(read, name) for name in ("TC1 PV", "TC1 SP", "TC2 PV", "TC2 SP")] == [[1], [2], [3], [4]]
        assert (found["TC1 PV"].row.tolist(), found["TC1 SP"].kind) == ([7], "state")


def test_a_header_that_is_nowhere_is_refused() -> None:
    assert "no line of the first 3 is a header with 'Time'" in refused(
        "Clock,A\n2031-03-04 21:40:00,1\n", lines_before_the_header="any"
    )


def test_no_header_at_all() -> None:
    read = export("2031-03-04 21:40:00,1\n2031-03-04 21:41:00,2\n", header_rows="[]", time="{columns: column 1, format: iso, zone: UTC}",
                  columns="[{columns: column 2, channel: A, unit: degC, kind: continuous}]")  # fmt: skip
    assert degrees(read) == [1, 2]


RETURNS = """Recorder 7
Start 1
Time,A,B
,C,C
2031-03-04 21:40:00,1,10
2031-03-04 21:41:00,2,2
Recorder 7
Start 2
Time,A,B
,C,C
2031-03-04 21:50:00,3,30
"""
AB = "[{columns: [A, B], unit: degC, kind: continuous}]"


def test_a_header_that_returns_is_left_out_with_the_lines_before_it() -> None:
    read = export(RETURNS, lines_before_the_header="2", header_rows="[names, units]", columns=AB)
    assert (degrees(read), degrees(read, "B"), seconds(read)) == ([1, 2, 3], [10, 2, 30], [0, 60, 600])
    assert read.channels(read.first)[0]["A"].row.tolist() == [5, 6, 11]
    assert counted(read) == {"a header that returned": (4, (7, 8, 9, 10))}


def test_a_row_cut_off_before_a_restart_is_left_out_and_counted() -> None:
    read = export(
        RETURNS.replace("21:41:00,2,2", "21:41:00,2"),
        lines_before_the_header="any",
        header_rows="[names, units]",
        columns=AB,
    )
    assert (degrees(read), degrees(read, "B")) == ([1, 3], [10, 30])
    assert counted(read)["cut off before a restart"] == (1, (6,))


def test_a_channel_that_is_switched_off_and_moved_in_mid_file() -> None:
    text = "Time,A,B,C\n,C,C,C\n2031-03-04 21:40:00,1,10,100\nTime,C,A\n,C,C\n2031-03-04 21:41:00,101,2\nTime,A,B,C\n,C,C,C\n2031-03-04 21:42:00,3,30,103\n"
    read = export(text, header_rows="[names, units]", columns="[{columns: [A, B, C], unit: degC, kind: continuous}]")
    assert (degrees(read), degrees(read, "B"), degrees(read, "C")) == ([1, 2, 3], [10, 30], [100, 101, 103])
    assert seconds(read, "B") == [0, 120]
    assert read.channels(read.first)[0]["B"].row.tolist() == [3, 9]


def test_a_unit_that_changes_in_mid_file_is_refused() -> None:
    text = "Time,A,B\n,C,C\n2031-03-04 21:40:00,1,10\nTime,B,A\n,F,C\n2031-03-04 21:41:00,50,2\n"
    for rows in ("[names, units]", "[names, skipped]"):
        assert refused(text, header_rows=rows, columns=AB).startswith(
            "log.csv:4: the header changes in mid-file: under 'B' stood 'C' and now stands 'F'. To do: cut"
        )


def test_a_column_that_comes_in_mid_file_is_refused() -> None:
    text = "Time,A,B\n2031-03-04 21:40:00,1,10\nTime,A,B,D\n2031-03-04 21:41:00,2,3,4\n"
    assert "log.csv:3: the header changes in mid-file: the column 'D' is new" in refused(text, columns=AB)


# ----------------------------------------------------------------------------------------------------------- what is left out
def test_declared_lines_and_lines_of_noughts_are_left_out_and_counted() -> None:
    text = "Time,A\n2031-03-04 21:40:00,1\n# alarm 7\n\n\0\0\0\0\0\0\0\n2031-03-04 21:41:00,2\nEnd of log\n\0\0\0"
    read = export(text, lines_left_out='["#", End of log]')
    assert degrees(read) == [1, 2]
    assert counted(read) == {
        "bytes of nought at the end of the file": (1, (8,)), "lines that the layout leaves out": (2, (3, 7)), "lines of noughts": (1, (5,)),
    }  # fmt: skip
    assert "log.csv:3: line(s) 3 (1 cells), 7 (1 cells)" in refused(text)


@pytest.mark.parametrize(
    "last",
    [
        "2031-03-04 21:42",
        "2031-03-04 21:42:00",
        "2031-03-04 21:42:00,18",
        "2031-03-04 21:42:00,185.",
        "2031-03-04 21:42:00,185.2",
    ],
)
def test_a_last_row_that_was_cut_off_is_left_out_and_counted(last: str) -> None:
    """The rows before have two decimals: one that has less was cut off, whatever it looks like."""
    read = export(f"Time,A\n2031-03-04 21:40:00,1.50\n2031-03-04 21:41:00,2.50\n{last}")
    assert degrees(read) == [1.5, 2.5]
    assert counted(read) == {"cut off at the end of the file": (1, (4,))}


def test_a_last_row_that_shows_that_it_is_whole_is_read() -> None:
    assert degrees(export("Time,A\n2031-03-04 21:40:00,1.50\n2031-03-04 21:41:00,2.50")) == [1.5, 2.5]
    assert degrees(export('Time,A\n2031-03-04 21:40:00,"1"\n2031-03-04 21:41:00,"2"')) == [1, 2]
    assert degrees(export("Time,A\n2031-03-04 21:40:00,1,\n2031-03-04 21:41:00,2,")) == [1, 2]
    assert degrees(export("Time,A\n2031-03-04 21:40:00,1\n2031-03-04 21:41:00,2")) == [1]


@pytest.mark.parametrize(
    "bad", ["2031-03-04 21:41:00,2,2031-03-04 21:41:30,3", "2031-03-04 21:41:00", "garbage,1", ",2"]
)
def test_a_broken_row_in_the_middle_is_refused_with_its_line(bad: str) -> None:
    assert refused(f"Time,A\n2031-03-04 21:40:00,1\n{bad}\n2031-03-04 21:42:00,3\n").startswith("log.csv:3:")


def test_cells_are_counted_by_cause_with_lines_and_channels() -> None:
    rows = ["20", "9999", "OL", "", "500", "21", "21", "22"]
    text = "Time,A\n" + "".join(f"2031-03-04 21:{40 + min(i, 6)}:00,{cell}\n" for i, cell in enumerate(rows))
    read = export(
        text, columns="[{columns: A, unit: degC, kind: continuous, open codes: ['9999', OL], bad outside: -20 to 400}]"
    )
    assert counted(read) == {
        "open code": (2, (3, 4)), "blank": (1, (5,)), "outside of the range": (1, (6,)), "two values for one instant": (1, (9,)),
    }  # fmt: skip
    assert {one.channels for one in read.counted()} == {("A",)}
    same = export("Time,A\n2031-03-04 21:40:00,1\n2031-03-04 21:40:00,1\n")
    assert counted(same) == {"the same instant and value again": (1, (3,))}


# --------------------------------------------------------------------------------------------------------------------- numbers
def test_thousands_separators_where_they_are_declared() -> None:
    text = "Time;A\n2031-03-04 21:40:00;1.234,5\n2031-03-04 21:41:00;-12.345.678,25\n2031-03-04 21:42:00;999,5\n2031-03-04 21:43:00;1.5\n"
    said = {
        "separator": "semicolon",
        "decimal_sign": "comma",
        "thousands_separator": "point",
        "columns": "[{columns: A, unit: mm, kind: continuous}]",
    }
    assert "'1.5' in the column 'A' is neither a number" in refused(text, **said)
    read = export(text.replace("1.5\n", "1,5\n"), **said)
    assert (read.channels(read.first)[0]["A"].v / 1e6).tolist() == [1234.5, -12345678.25, 999.5, 1.5]


def test_scaled_whole_numbers_are_those_of_the_decimal_text() -> None:
    columns = "[{columns: A, unit: degC, kind: continuous, scale: 0.1, open codes: ['32767'], bad outside: -20 to 400}, {columns: B, unit: degC, kind: continuous, scale: 0.0625, offset: -40}]"
    read = export(
        "Time,A,B\n2031-03-04 21:40:00,1773,640\n2031-03-04 21:41:00,32767,641\n2031-03-04 21:42:00,4001,642\n2031-03-04 21:43:00,-200,643\n",
        columns=columns,
    )
    written = export("Time,A\n2031-03-04 21:40:00,177.3\n2031-03-04 21:41:00,-20\n")
    a, b = (read.channels(read.first)[0][name] for name in "AB")
    assert a.bad.tolist() == [False, True, True, False]
    assert a.v[~a.bad].tolist() == written.channels(written.first)[0]["A"].v.tolist()
    assert degrees(read, "B") == [0, 0.0625, 0.125, 0.1875]
    assert b.raw[0] == ZERO


@pytest.mark.parametrize(
    "cell, value",
    [("1.5E2", 150), ("+1.5", 1.5), ("\u22121.5", -1.5), (" 7 ", 7), ("00012.50", 12.5), ("1.", 1), (".5", 0.5)],
)
def test_ways_to_write_a_number(cell: str, value: float) -> None:
    assert degrees(export(f"Time,A\n2031-03-04 21:40:00,{cell}\n")) == [value]


# ----------------------------------------------------------------------------------------------------------------------- times
@pytest.mark.parametrize(
    "form, cell, when",
    [
        ("'%d/%m/%Y %H:%M:%S'", "04/03/2031 21:40:10", at(2031, 3, 4, 21, 40, 10)),
        ("'%m/%d/%Y %I:%M:%S %p'", "03/04/2031  12:40:10 am", at(2031, 3, 4, 0, 40, 10)),
        ("'%m/%d/%y %I:%M %p'", "3/4/31 12:40 PM", at(2031, 3, 4, 12, 40)),
        ("'%d-%b-%Y %H:%M'", "04-Mar-2031 21:40", at(2031, 3, 4, 21, 40)),
        ("'%d. %B %Y %H:%M'", "4. March 2031 21:40", at(2031, 3, 4, 21, 40)),
        ("'%Y%m%d %H%M%S'", "20310304 214010", at(2031, 3, 4, 21, 40, 10)),
        ("'%d.%m.%Y %H:%M:%S.%f'", "04.03.2031 21:40:10.123456789", at(2031, 3, 4, 21, 40, 10) + 123_456_789),
        ("iso", "2031-03-04T24:00:00", at(2031, 3, 5)),
        ("iso", "2031-03-04 21:40:10.25", at(2031, 3, 4, 21, 40, 10) + 250_000_000),
        ("epoch s", "1930340410", 1_930_340_410 * SECOND),
        ("epoch s", "1930340410.125", 1_930_340_410 * SECOND + 125_000_000),
        ("epoch ms", "1930340410001", 1_930_340_410 * SECOND + 1_000_000),
        ("excel days", "47911.9028935185", at(2031, 3, 4, 21, 40, 10)),  # 47911 is 2031-03-04 (day 1 is 1900-01-01, 1900 counted as a leap year)
    ],
)  # fmt: skip
def test_forms_of_time(form: str, cell: str, when: int) -> None:
    assert export(f"Time,A\n{cell},1\n", time=f"{{columns: Time, format: {form}, zone: UTC}}").first == when


@pytest.mark.parametrize(
    "cell",
    [
        "31.02.2031 10:00",
        "29.02.2031 10:00",
        "04.13.2031 10:00",
        "04.03.2031 24:01",
        "04.03.2031 10:60",
        "04.03.1899 10:00",
        "04.03.2031 10:00 x",
    ],
)
def test_dates_that_are_none_are_refused(cell: str) -> None:
    said = refused(
        f"Time,A\n04.03.2031 09:00,1\n{cell},1\n04.03.2031 11:00,1\n",
        time="{columns: Time, format: '%d.%m.%Y %H:%M', zone: UTC}",
    )
    assert said.startswith(f"log.csv:3:1: the time '{cell}' is not readable")


@pytest.mark.parametrize(
    "form, cells, after",
    [
        ("elapsed s", ["0", "10.5", "3600"], [0, 10.5, 3600]),
        ("elapsed min", ["0", "0.5", "60"], [0, 30, 3600]),
        ("elapsed h", ["0", "0.25"], [0, 900]),
        ("elapsed ms", ["0", "250"], [0, 0.25]),
        ("elapsed h:mm:ss", ["0:00:00", "0:01:30.5", "27:00:00", "1 03:00:01"], [0, 90.5, 97200, 97201]),
    ],
)
def test_elapsed_times_count_from_the_start_that_is_stated(form: str, cells: list[str], after: list[float]) -> None:
    text = "Time,A\n" + "".join(f"{cell},1\n" for cell in cells)
    read = export(text, time=f"{{columns: Time, format: '{form}', zone: Europe/Berlin, start: 2031-03-04 21:40:00}}")
    assert read.first == at(2031, 3, 4, 20, 40)
    assert seconds(read) == after


def test_a_start_that_stands_before_the_header() -> None:
    text = "Recorder 7\nStart: ,04.03.2031 21:40:00\nTime,A\n0,1\n10,2\n"
    said = (
        "{columns: Time, format: elapsed s, zone: '+01:00', start after: 'Start:', start format: '%d.%m.%Y %H:%M:%S'}"
    )
    assert export(text, lines_before_the_header="2", time=said).first == at(2031, 3, 4, 20, 40)
    assert "no line before the header holds 'Begin'" in refused(
        text, lines_before_the_header="2", time=said.replace("'Start:'", "Begin")
    )


def test_an_elapsed_time_without_a_start_is_refused() -> None:
    assert "counts from a start that is not stated" in refused(
        "Time,A\n0,1\n", time="{columns: Time, format: elapsed s, zone: UTC}"
    )


def test_times_of_day_go_over_midnight() -> None:
    text = "Time,A\n23:59:00,1\n23:59:30,2\n00:00:00,3\n00:00:30,4\n"
    said = "{columns: Time, format: '%H:%M:%S', zone: UTC, start: 2031-03-04}"
    read = export(text, time=said)
    assert (read.first, seconds(read)) == (at(2031, 3, 4, 23, 59), [0, 30, 60, 90])
    assert "the clock goes backwards at line 5" in refused(
        text.replace("00:00:30", "23:50:00").replace("00:00:00", "23:59:45"), time=said
    )


def test_newest_row_first() -> None:
    text = "Time,A,S\n2031-03-04 21:42:00,3,x\n2031-03-04 21:41:00,2,y\n2031-03-04 21:40:00,1,y\n"
    read = export(
        text, order="newest first", columns="[{columns: A, unit: degC, kind: continuous}, {columns: S, kind: state}]"
    )
    found = read.channels(read.first)[0]
    assert (degrees(read), found["A"].row.tolist(), found["S"].states, found["S"].v.tolist()) == (
        [1, 2, 3],
        [4, 3, 2],
        ("y", "x"),
        [0, 0, 1],
    )


BERLIN = "{columns: Time, format: iso, zone: Europe/Berlin}"


def night(*times: str) -> str:
    return "Time,A\n" + "".join(f"2031-10-26 {time},{i}\n" for i, time in enumerate(times))


def test_the_hour_that_comes_twice_is_told_apart_by_the_order_of_its_rows() -> None:
    """Summer time of 2031 ends in Berlin on 26 October at 03:00, which becomes 02:00 (EU directive 2000/84/EC: last Sunday, 01:00 UTC)."""
    read = export(night("01:59", "02:00", "02:30", "02:59", "02:00", "02:30", "02:59", "03:00"), time=BERLIN)
    assert read.first == at(2031, 10, 25, 23, 59)
    assert [t / 60 for t in seconds(read)] == [0, 1, 31, 60, 61, 91, 120, 121]


@pytest.mark.parametrize(
    "times, why",
    [
        (("01:59", "02:10", "02:20", "03:10"), "nothing in the order of the rows says which time it is"),
        (("02:10", "02:20"), "nothing in the order of the rows says which time it is"),
        (("02:10:10", "02:10:05", "02:50"), "the clock goes backwards there at line 3, which is not the change alone"),
        (("02:10", "02:50", "02:10", "02:50", "02:10"), "the clock goes backwards there at line 4, line 6"),
    ],
)
def test_a_repeated_hour_that_the_order_does_not_tell_apart_is_refused(times: tuple[str, ...], why: str) -> None:
    assert why in refused(night(*times), time=BERLIN)


# ------------------------------------------------------------------------------------------------------------------------ long
LONG = """Stamp;Tag;Value;Quality
2031-03-04 21:40:00;T1;20,5;good
2031-03-04 21:40:05;P1;0,5;good
2031-03-04 21:40:00;Valve;open;good
2031-03-04 21:41:00;T1;OL;good
2031-03-04 21:41:00;Spare;1;good
2031-03-04 21:42:00;T1;21,5;bad
2031-03-04 21:41:05;P1;;good
2031-03-04 21:43:00;T1;22,5;good
2031-03-04 21:44:00;Valve;closed;good
"""
LONG_SAID = {
    "separator": "semicolon", "decimal_sign": "comma", "shape": "long", "tag_column": "Tag", "value_column": "Value",
    "time": "{columns: Stamp, format: iso, zone: UTC}", "not_read": "[Spare]",
    "columns": "[{columns: T1, unit: degC, kind: continuous, open codes: [OL], quality: {column: Quality, good: good}}, "
    "{columns: P1, unit: bar gauge, kind: continuous}, {columns: Valve, kind: state}]",
}  # fmt: skip


def test_one_value_in_a_row() -> None:
    read = export(LONG, **LONG_SAID)
    found = read.channels(read.first)[0]
    assert seconds(read, "T1") == [0, 60, 120, 180]
    assert (found["T1"].bad.tolist(), found["T1"].row.tolist()) == ([False, True, True, False], [2, 5, 7, 9])
    assert [degrees(read, "T1")[i] for i in (0, 3)] == [20.5, 22.5]
    assert (found["P1"].bad.tolist(), found["P1"].v[0], seconds(read, "P1")) == ([False, True], 50_000_000, [5, 65])
    assert (found["Valve"].states, found["Valve"].v.tolist(), seconds(read, "Valve")) == (
        ("open", "closed"),
        [0, 1],
        [0, 240],
    )
    assert set(found) == {"T1", "P1", "Valve"}


def test_a_tag_that_the_layout_does_not_know_is_refused() -> None:
    assert "the layout says nothing of the tag 'T9'" in refused(LONG.replace("Spare", "T9"), **LONG_SAID)


def test_the_clock_goes_on_within_each_tag() -> None:
    assert "the clock goes backwards at line 7" in refused(LONG.replace("21:42:00;T1", "21:40:30;T1"), **LONG_SAID)


# ----------------------------------------------------------------------------------------------------------- one file a channel
def test_one_file_for_each_channel_is_named_by_its_file() -> None:
    read = export(
        "Time,Value\n2031-03-04 21:40:00,1\n",
        file="logs/TC 01.csv",
        columns="[{columns: Value, channel: from the file name, unit: degC, kind: continuous}]",
    )
    assert degrees(read, "TC 01") == [1]


# ---------------------------------------------------------------------------------------------------------------------- header
def bound(text: str, names: str, fingerprint: str) -> str:
    header = f"{{names: {names}, fingerprint: {fingerprint}}}"
    return refused(
        text,
        header=header,
        proposed_from="x.csv",
        confirmed_by="A. Person",
        columns="[{columns: [A, B], unit: degC, kind: continuous}]",
    )


def test_a_layout_is_bound_to_its_header() -> None:
    """The fingerprint is the SHA-256 of the names, parted by U+001F and ended by U+001E, counted with sha256sum."""
    right = (
        "f48f9f0e7a80b9a431b35bd4236ac1d99d69a0e7a771f1a0abd11288d4ca8a76"  # printf 'Time\037A\037B\036' | sha256sum
    )
    assert "the fingerprint is not that of the names and units beside it" in bound("Time,A,B\n", "[Time, A, C]", right)
    for text, what in (
        ("Time,B,A\n2031-03-04 21:40:00,1,2\n", "the column 'A' has moved: 'B' stands in its place"),
        ("Time,A,X\n2031-03-04 21:40:00,1,2\n", "the column 'B' is now called 'X'"),
        ("Time,A,B,C\n2031-03-04 21:40:00,1,2,3\n", "the column 'C' is new"),
        ("Time,A\n2031-03-04 21:40:00,1\n", "the column 'B' is gone"),
    ):
        assert f"the header is not the one that layout.yaml was confirmed for: {what}" in bound(
            text, "[Time, A, B]", right
        )


def test_the_fingerprint_from_outside() -> None:
    from curewright.read.header import Header

    # printf 'Time\037A\036degC\037K\036' | sha256sum   and   printf 'Time\037A\036' | sha256sum
    assert Header(("Time", "A")).fingerprint == "858bb111d279e792e2eacdc1a58ea72cf9845964dbc9f3912819c15653edd0a4"
    assert (
        Header((" Time", "A"), ("degC", "K ")).fingerprint
        == "3256fcb244e3643ac5eb363c324fd2f93f3433598b4a44636fc8d0ca58577333"
    )


# ------------------------------------------------------------------------------------------------------------- open and unconfirmed
def test_a_question_that_nobody_answered_is_refused_with_its_place() -> None:
    said = refused(
        "Time,A\n",
        time='{columns: Time, format: iso, zone: "?"}',
        columns='[{columns: A, unit: "?", kind: continuous}]',
    )
    assert [line.split(" To do")[0] for line in said.split("\n")] == [
        "layout.yaml:7:42: 'zone' is still a question.",
        "layout.yaml:9:30: 'unit' is still a question.",
    ]


def test_a_proposed_layout_is_no_layout_before_somebody_confirms_it() -> None:
    text = layout(confirmed_by="")
    made = read_layout(text.encode(), "layout.yaml")
    with pytest.raises(
        CurewrightError, match=r"^layout\.yaml: this layout was proposed and nobody has confirmed it\. To do: look"
    ):
        made.refuse_unconfirmed()
    read_layout(layout(confirmed_by="A. Person").encode(), "layout.yaml").refuse_unconfirmed()
    read_layout(layout().encode(), "layout.yaml").refuse_unconfirmed()


def test_a_damaged_header_that_returns_later_does_not_hide_the_rows_before_it() -> None:
    damaged = RETURNS.replace("Time,A,B", "Tame,A,B", 1)
    said = refused(damaged, lines_before_the_header="any", header_rows="[names, units]", columns=AB)
    assert said.startswith(
        "log.csv:5: a row stands before the header that was found on line 9. To do: look at the lines before"
    )


@pytest.mark.parametrize(
    "head, unit, says",
    [
        ("Time,A\n,F\n", "degC", "the header says 'F' of the column 'A' and the layout 'degC'"),
        (
            "Time,A\n,[bar]\n",
            "kPa gauge",
            "the header says '[bar]' of the column 'A' and the layout 'kPa gauge'",
        ),
        (
            "Time,A\n,psig\n",
            "psi absolute",
            "the header says 'psig' of the column 'A' and the layout 'psi absolute'",
        ),
    ],
)
def test_a_unit_that_the_header_states_otherwise_is_refused(head: str, unit: str, says: str) -> None:
    text = head + "2031-03-04 21:40:00,1\n"
    columns = f"[{{columns: A, unit: {unit}, kind: continuous}}]"
    assert says in refused(text, header_rows="[names, units]", columns=columns)
    export(text, header_rows="[names, skipped]", columns=columns)
    named = f"[{{columns: 'A (degF)', unit: {unit}, kind: continuous}}]"
    assert "the header says 'degF'" in refused("Time,A (degF)\n2031-03-04 21:40:00,1\n", columns=named)


def test_units_that_stand_in_each_row_are_held_against_the_layout() -> None:
    said = LONG_SAID | {
        "unit_column": "Unit",
        "columns": "[{columns: T1, unit: degC, kind: continuous}]",
        "not_read": "[]",
    }
    text = "Stamp;Tag;Value;Unit\n2031-03-04 21:40:00;T1;20,5;°C\n2031-03-04 21:41:00;T1;21,5;°C\n"
    assert degrees(export(text, **said), "T1") == [20.5, 21.5]
    assert "log.csv:3:29: the unit of 'T1' was '°C' and is now '°F'" in refused(
        text.replace("21,5;°C", "21,5;°F"), **said
    )
    assert "its rows say '°F' of 'T1' and the layout 'degC'" in refused(text.replace("°C", "°F"), **said)
