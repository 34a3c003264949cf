"""Delimited text to a table: nothing is dropped, and every message names the line."""

import numpy as np
import pytest

from curewright.read.cells import cells_of
from curewright.read.kernels.cells import BLANK, NUMBER, TEXT
from curewright.read.layout_file import read_layout
from curewright.read.lines import Source
from curewright.read.plain import decoded, plain
from curewright.read.table import Table, table
from curewright.terms.errors import FileError

LAYOUT = """layout: L
encoding: utf-8
separator: "{separator}"
decimal sign: point
lines before the header: {preamble}
header rows: [{rows}]
time: {{columns: Time, format: iso, zone: UTC}}
blank means: lost
columns: []
"""


def made(text: str, preamble: int = 0, header_rows: tuple[str, ...] = ("names",), separator: str = ",") -> Table:
    said = LAYOUT.format(separator=separator, preamble=preamble, rows=", ".join(header_rows))
    layout = read_layout(said.encode(), "layout.yaml")
    numeric = [name for name in ("A", "A, left", "B") if name in text]
    delimited = plain(text.encode(), "utf-8", separator, "log.csv")
    return table(Source(delimited, "log.csv", layout, tuple(numeric), timed))


def timed(_: np.ndarray, where: np.ndarray) -> np.ndarray:
    """A time is whatever stands in its cell."""
    return where[0, :, 1] > where[0, :, 0]


def test_rows_keep_their_lines_across_preamble_second_header_and_empty_lines() -> None:
    found = made("shop\nTime,A,B\n,degC,bar\n\n10:00,1,2\n\n10:01,3,\n", preamble=1, header_rows=("names", "skipped"))
    assert found.headings == ("Time", "A", "B")
    assert found.row.tolist() == [5, 7]
    assert found.numbers[found.column("A")].tolist() == [1.0, 3.0]
    assert found.kinds[:, 1].tolist() == [NUMBER, BLANK]
    assert found.seen.tolist() == [[2, 0, 0], [1, 1, 0]]
    assert found.texts("Time") == ["10:00", "10:01"]
    assert found.texts("B", np.array([1])) == [""]
    assert str(found.place("B", 0)) == "log.csv:5:9"


def test_quoted_cells_may_hold_the_separator() -> None:
    found = made('Time,"A, left",B\n10:00,"1",2\n10:01,3,"x ""y"", z"\n')
    assert found.headings == ("Time", "A, left", "B")
    assert found.numbers[found.column("A, left")].tolist() == [1.0, 3.0]
    assert found.kinds[found.column("B")].tolist() == [NUMBER, TEXT]
    assert found.texts("B") == ["2", 'x "y", z']
    assert str(found.place("B", 1)) == "log.csv:3:10"


def test_cells_of_a_line_with_their_columns() -> None:
    assert cells_of('a, "b,c" ,,d', ",") == [("a", 1), ("b,c", 5), ("", 11), ("d", 12)]


@pytest.mark.parametrize(
    "text, message",
    [
        ("Time,A\n10:00,1,2\n", "log.csv:2: line(s) 2 (3 cells) do not have the 2 cells of the header. To do: check the separator in "
         "the layout, and whether the export was cut off or edited; no row is dropped in silence."
         " A line that the recorder spoilt is named under 'lines left out' in the layout, by its beginning, and counted"),
        ("Time,A\n10:00,1\n10:01\n10:02,2\n10:03,4,5,6\n", "log.csv:3: line(s) 3 (1 cells), 5 (4 cells) do not have the 2 cells of the "
         "header. To do: check the separator in the layout, and whether the export was cut off or edited; no row is dropped in silence."
         " A line that the recorder spoilt is named under 'lines left out' in the layout, by its beginning, and counted"),
        ("Time,A,A\n10:00,1,2\n", "log.csv:1:8: two columns are headed 'A' (at 6 and 8). To do: give each column its own name in the "
         "recorder: nobody can tell them apart"),
        ("Time,A\n\n", "log.csv:2: no row stands under the header. To do: check the number of lines before the header in the layout"),
        ("", "log.csv:1: the header is missing. To do: check the lines before the header in the layout"),
        ('Time,A\n10:00,"1\n', "log.csv:2: a quoted cell does not end on its line"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused_with_its_line(text: str, message: str) -> None:
    with pytest.raises(FileError) as refused:
        made(text)
    assert str(refused.value) == message


def test_many_ragged_rows_are_counted_not_listed() -> None:
    with pytest.raises(FileError, match=r"2 \(1 cells\), .* and 3 more do not have"):
        made("Time,A\n" + "10:00\n" * 8)


def test_encodings() -> None:
    assert decoded("T °C\r\nx\ry".encode("cp1252"), "cp1252", "f") == "T °C\nx\ny"
    assert decoded("T °C".encode("utf-16"), "utf-16", "f") == "T °C"
    assert decoded(b"\xef\xbb\xbfT", "utf-8", "f") == "T"
    with pytest.raises(FileError, match=r"^f:2: the byte 0xb0 is no text in utf-8\. To do: state the encoding"):
        decoded("x\n°".encode("cp1252"), "utf-8", "f")
    with pytest.raises(FileError, match=r"^f: 'utf-seven' is no encoding known here; expected for instance utf-8"):
        decoded(b"", "utf-seven", "f")
