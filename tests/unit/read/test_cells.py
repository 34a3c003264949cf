"""The compiled reading of cells, held against Python's own float() (correctly rounded since David Gay's dtoa, 1990)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.read.kernels.cells import BLANK, NUMBER, TEXT, cells, spans


def read(line: str, separator: str = ";", decimal_sign: str = ",") -> tuple[list[float], list[int], int]:
    columns = line.count(separator) + 1
    numbers, kinds = np.zeros((columns, 1)), np.zeros((columns, 1), dtype=np.uint8)
    content = (line + "\n").encode()
    starts, found = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    seen = np.zeros((columns, 3), dtype=np.int64)
    stretch, signs = np.array([0, len(content), 0]), np.array([ord(separator), ord(decimal_sign)])
    cells(
        np.frombuffer(content, dtype=np.uint8), stretch, signs, np.arange(columns), numbers, kinds, starts, found, seen
    )
    return numbers[:, 0].tolist(), kinds[:, 0].tolist(), int(found[0])


def test_one_line_with_every_kind_of_cell() -> None:
    numbers, kinds, found = read("04.03.2031 21:40:00;21,75;-0,5; ;OL; 992,90 ;+7;,5;5,")
    assert kinds == [TEXT, NUMBER, NUMBER, BLANK, TEXT, NUMBER, NUMBER, NUMBER, NUMBER]
    assert [n for n, k in zip(numbers, kinds, strict=True) if k == NUMBER] == [21.75, -0.5, 992.9, 7.0, 0.5, 5.0]
    assert found == 9


@pytest.mark.parametrize(
    "text", ["1.5", "1,2,3", "+", "-", ",", "+-1", "1-", "1e5", "nan", "0x1A", "1_000", "1 000", "१", "12a"]
)
def test_what_is_not_plainly_a_number_is_left_as_text(text: str) -> None:
    assert read(text)[1] == [TEXT]


def test_more_digits_than_are_exact_are_left_to_the_careful_reading() -> None:
    assert read("0,123456789012345")[1] == [NUMBER]
    assert read("0,1234567890123456")[1] == [TEXT]
    assert read("0," + "0" * 21 + "1")[1] == [NUMBER]
    assert read("0," + "0" * 22 + "1")[1] == [TEXT]


@given(st.integers(-(10**15) + 1, 10**15 - 1), st.integers(0, 22))
def test_numbers_are_those_of_float_to_the_last_bit(whole: int, decimals: int) -> None:
    digits = str(abs(whole)).rjust(decimals + 1, "0")
    text = ("-" if whole < 0 else "") + digits[: len(digits) - decimals] + "." + digits[len(digits) - decimals :]
    numbers, kinds, _ = read(text, decimal_sign=".")
    assert kinds == [NUMBER]
    assert numbers == [float(text)]


def test_spans_are_the_bare_cells_of_one_column() -> None:
    content = bytearray(b"a;bb ;c\n x; yy;\n")
    found = spans(np.frombuffer(content, dtype=np.uint8), np.array([0, 8]), np.array([1, 1]), ord(";"))
    assert [content[start:end].decode() for start, end in found.tolist()] == ["bb", "yy"]


def test_where_commas_separate_and_stand_in_numbers_a_line_ends_where_it_ends() -> None:
    content = b'0,"20,5",8\n60,"21,5",9\n120,"22,5",7\n'  # a last cell "8", and a row behind it that begins with digits and a comma
    numbers, kinds = np.zeros((3, 3)), np.full((3, 3), TEXT, dtype=np.uint8)
    starts, found = np.zeros(3, dtype=np.int64), np.zeros(3, dtype=np.int64)
    cells(
        np.frombuffer(content, dtype=np.uint8), np.array([0, len(content), 0]), np.array([ord(","), ord(",")]), np.arange(3),
        numbers, kinds, starts, found, np.zeros((3, 3), dtype=np.int64),
    )  # fmt: skip
    assert numbers.T.tolist() == [[0.0, 20.5, 8.0], [60.0, 21.5, 9.0], [120.0, 22.5, 7.0]]
    assert found.tolist() == [3, 3, 3]
    assert (kinds == NUMBER).all()
