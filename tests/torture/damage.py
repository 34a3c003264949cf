"""What happens to files: headers that return, footers, cut ends, doubled rows, line ends, NULs; and what may not be read."""

from collections.abc import Callable

import numpy as np

from tests.torture.case import Bad, Case, Truth, case, clock, lines, truth


@case
def header_returns_in_mid_file() -> Case:
    """The header stands again in mid-file, word for word, after a power failure."""
    t = truth("header_returns_in_mid_file")
    rows, head = t.rows(clock(t)), ["Time", *t.cells]
    text = lines(head, ["", "°C", "°C", "°C", "bar"], *rows[:7], head, ["", "°C", "°C", "°C", "bar"], *rows[7:])
    return t.case(text.encode(), set_aside={"header": 2})


@case
def names_return_without_units() -> Case:
    """The row of names returns, the row of units does not: the next line is a row of values."""
    t = truth("names_return_without_units")
    rows, head = t.rows(clock(t)), ["Time", *t.cells]
    text = lines(head, ["", "°C", "°C", "°C", "bar"], *rows[:7], head, *rows[7:])
    return t.case(text.encode(), set_aside={"header": 1})


@case
def preamble_and_header_return() -> Case:
    """The whole preamble stands again before the header, as a restart writes it."""
    t = truth("preamble_and_header_return")
    rows, head = t.rows(clock(t), ","), ["Time", *t.cells]
    before = [["Works order", "4711"], ["Recipe", "177 soft"]]
    text = lines(*before, head, *rows[:7], *before, head, *rows[7:], separator=";", end="\r\n")
    return t.case(text.encode(), set_aside={"header": 3})


@case
def footer_in_words() -> Case:
    """Two lines behind the rows: an end mark and a count."""
    t = truth("footer_in_words")
    text = lines(["Time", *t.cells], *t.rows(clock(t)), ["End of record"], ["Rows: 12"])
    return t.case(
        text.encode(), set_aside={"footer": 2}, answers=t.answers(more={"footer": ("End of record", "Rows:")})
    )


@case
def footer_of_statistics() -> Case:
    """Least, greatest and mean of each column, in as many cells as the rows have."""
    t = truth("footer_of_statistics")
    rows = t.rows(clock(t), ",")
    text = lines(
        ["Time", *t.cells], *rows, ["Min", *rows[0][1:]], ["Max", *rows[-1][1:]], ["Mean", *rows[6][1:]], separator=";"
    )
    return t.case(text.encode(), set_aside={"footer": 3}, answers=t.answers(more={"footer": ("Min", "Max", "Mean")}))


@case
def last_row_cut_between_cells() -> Case:
    """The last row ends after two cells."""
    t = truth("last_row_cut_between_cells")
    rows = t.rows(clock(t))
    text = lines(["Time", *t.cells], *rows, last=False).rsplit(",", 2)[0]
    return without_last(t).case(text.encode(), set_aside={"unfinished": 1})


@case
def last_row_cut_inside_a_cell() -> Case:
    """The last cell has lost its last digit and the line its end: it looks like a number and is another one."""
    t = truth("last_row_cut_inside_a_cell", "Press", "TC1")
    text = lines(["Time", *t.cells], *t.rows(clock(t)), last=False)[:-2]
    return without_last(t).case(text.encode(), set_aside={"unfinished": 1})


@case
def last_row_cut_inside_the_time() -> Case:
    """The last row is the first half of a time."""
    t = truth("last_row_cut_inside_the_time")
    rows = t.rows(clock(t))
    text = lines(["Time", *t.cells], *rows[:-1]) + rows[-1][0][:12]
    return without_last(t).case(text.encode(), set_aside={"unfinished": 1})


@case
def no_end_of_the_last_line() -> Case:
    """The last line has no end though the others do; its last cell has two decimals as all others have: it is whole."""
    t = truth("no_end_of_the_last_line")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t)), last=False).encode())


@case
def no_end_and_nothing_that_shows_the_last_cell_whole() -> Case:
    """The last line has no end and its last cell is a whole number: 120 may have been 1205, so the row is not read."""
    t = truth("no_end_and_nothing", "TC1", "Vac")
    text = lines(["Time", *t.cells], *t.rows(clock(t)), last=False)
    return without_last(t).case(text.encode(), set_aside={"unfinished": 1})


def without_last(t: Truth) -> Truth:
    """A truth without its last row."""
    t.times = t.times[:-1]
    t.cells = {name: cells[:-1] for name, cells in t.cells.items()}
    return t


@case
def nuls_behind_the_last_row() -> Case:
    """A file that was made large beforehand: NULs from the last row to the end."""
    t = truth("nuls_behind_the_last_row")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t))).encode() + bytes(4096))


@case
def rows_doubled() -> Case:
    """Three rows stand twice, word for word: each sample is kept once."""
    t = truth("rows_doubled")
    rows = [row for i, row in enumerate(t.rows(clock(t))) for _ in range(2 if i in (3, 7, 11) else 1)]
    return t.case(lines(["Time", *t.cells], *rows).encode(), set_aside={"doubled": 3})


@case
def one_instant_two_values() -> Case:
    """A row stands twice with another value in one column: that sample is bad, the others are kept once."""
    t = truth("one_instant_two_values")
    rows = t.rows(clock(t))
    again = [*rows[5]]
    again[2] = "66.6"
    t.cells["TC2"][5] = Bad("")
    return t.case(lines(["Time", *t.cells], *rows[:6], again, *rows[6:]).encode())


@case
def lines_end_with_returns() -> Case:
    """Carriage returns alone."""
    t = truth("lines_end_with_returns")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t)), end="\r").encode())


@case
def line_ends_mixed() -> Case:
    """LF, CRLF and CR in one file, as after two editors."""
    t = truth("line_ends_mixed")
    rows = [",".join(row) for row in [["Time", *t.cells], *t.rows(clock(t))]]
    return t.case("".join(row + ("\n", "\r\n", "\r")[i % 3] for i, row in enumerate(rows)).encode())


@case
def line_ends_doubled() -> Case:
    """CR CR LF, as a program writes that ends its lines twice."""
    t = truth("line_ends_doubled")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t)), end="\r\r\n").encode())


@case
def empty_lines() -> Case:
    """Empty lines, and lines of blanks, between rows."""
    t = truth("empty_lines")
    rows = [",".join(row) for row in t.rows(clock(t))]
    rows[4:4], rows[9:9] = ["", "   "], [""]
    return t.case(("Time," + ",".join(t.cells) + "\n\n" + "\n".join(rows) + "\n\n\n").encode())


@case
def two_runs_appended() -> Case:
    """A second run, two days later, under a header of its own: one channel with a long gap."""
    t = truth("two_runs_appended", n=20)
    t.times = t.times[:10] + [x + 2 * 86400 * 10**9 for x in t.times[10:]]
    rows = t.rows(clock(t))
    return t.case(
        lines(["Time", *t.cells], *rows[:10], ["Time", *t.cells], *rows[10:]).encode(), set_aside={"header": 1}
    )


@case
def sealed_with_a_sub_mark() -> Case:
    """An old end-of-file mark (0x1A) behind the last row."""
    t = truth("sealed_with_a_sub_mark")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t)), end="\r\n").encode() + b"\x1a")


# -------------------------------------------------------------------------------------------------------------------- refused
@case
def short_row_in_mid_file() -> Case:
    """A row in mid-file lacks its last cells."""
    t = truth("short_row_in_mid_file")
    rows = t.rows(clock(t))
    rows[6] = rows[6][:3]
    return t.case(lines(["Time", *t.cells], *rows).encode())


@case
def two_rows_glued() -> Case:
    """A line end is missing."""
    t = truth("two_rows_glued")
    rows = t.rows(clock(t))
    rows[6:8] = [[*rows[6][:-1], rows[6][-1] + rows[7][0], *rows[7][1:]]]
    return t.case(lines(["Time", *t.cells], *rows).encode())


@case
def comma_decimals_comma_separated() -> Case:
    """20,5,21,0 without quotes."""
    t = truth("comma_decimals_comma_separated")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t), ",")).encode())


@case
def remark_in_mid_file() -> Case:
    """A line of words among the rows."""
    t = truth("remark_in_mid_file")
    rows = t.rows(clock(t))
    return t.case(
        lines(["Time", *t.cells], *rows[:6], ["--- power failure 21:41, recorder re-ranged ---"], *rows[6:]).encode()
    )


@case
def header_changes_in_mid_file() -> Case:
    """The header returns with its columns in another order: what stands below is read under the new one."""
    t = truth("header_changes_in_mid_file", "TC1", "TC2")
    rows = t.rows(clock(t))
    more = [[a, c, b] for a, b, c in rows[6:]]
    text = lines(["Time", "TC1", "TC2"], *rows[:6], ["Time", "TC2", "TC1"], *more)
    return t.case(text.encode(), set_aside={"header": 1})


@case
def header_loses_a_column_in_mid_file() -> Case:
    """A channel was switched off: the header returns with a column less, and the channel ends there."""
    t = truth("header_loses_a_column_in_mid_file", "TC1", "TC2", "Press")
    rows = t.rows(clock(t))
    t.cells["TC2"][6:] = [None] * 6
    less = [[a, b, d] for a, b, _, d in rows[6:]]
    text = lines(["Time", "TC1", "TC2", "Press"], *rows[:6], ["Time", "TC1", "Press"], *less)
    return t.case(text.encode(), set_aside={"header": 1})


@case
def header_gains_a_column_in_mid_file() -> Case:
    """A channel was switched on: the header returns with a column that was not there when the layout was confirmed."""
    t = truth("header_gains_a_column_in_mid_file", "TC1", "TC2")
    rows = t.rows(clock(t))
    more = [[a, b, c, "20.0"] for a, b, c in rows[6:]]
    return t.case(lines(["Time", "TC1", "TC2"], *rows[:6], ["Time", "TC1", "TC2", "TC3"], *more).encode())


@case
def header_rows_swapped_under_other_units() -> Case:
    """The header returns with its columns in another order, and one of them in another unit."""
    t = truth("header_rows_swapped_under_other_units", "TC1", "TC2")
    rows = t.rows(clock(t))
    more = [[a, c, b] for a, b, c in rows[6:]]
    first, then = [["Time", "TC1", "TC2"], ["", "°C", "°C"]], [["Time", "TC2", "TC1"], ["", "°F", "°C"]]
    return t.case(lines(*first, *rows[:6], *then, *more).encode())


@case
def units_change_in_mid_file() -> Case:
    """Somebody changed the unit: names and units return, with °F for °C."""
    t = truth("units_change_in_mid_file", "TC1", "TC2")
    rows, head = t.rows(clock(t)), ["Time", "TC1", "TC2"]
    return t.case(lines(head, ["", "°C", "°C"], *rows[:6], head, ["", "°F", "°F"], *rows[6:]).encode())


def confirmed_before(name: str, change: Callable[[list[str]], list[str]]) -> Case:
    """An export whose header is not the one that the layout was confirmed on."""
    t = truth(name, "TC1", "TC2", "Air")
    table = [["Time", *t.cells], *t.rows(clock(t), ",")]
    first = lines(*table, separator=";").encode()
    return t.case(lines(*(change(row) for row in table), separator=";").encode(), confirmed_on=first)


@case
def column_moved_since_confirmed() -> Case:
    """Two columns have changed places since the layout was confirmed."""
    return confirmed_before("column_moved", lambda row: [row[0], row[2], row[1], row[3]])


@case
def column_renamed_since_confirmed() -> Case:
    """TC2 is called TC7 now."""
    return confirmed_before("column_renamed", lambda row: ["TC7" if cell == "TC2" else cell for cell in row])


@case
def column_new_since_confirmed() -> Case:
    """A column more."""
    return confirmed_before("column_new", lambda row: [*row, "TC9" if row[0] == "Time" else "20,0"])


@case
def column_gone_since_confirmed() -> Case:
    """A column less."""
    return confirmed_before("column_gone", lambda row: [row[0], row[1], row[3]])


@case
def two_columns_of_one_name() -> Case:
    """Two columns headed Temp."""
    t = truth("two_columns_of_one_name", "TC1", "TC2")
    return t.case(
        lines(["Time", "Temp", "Temp"], *t.rows(clock(t))).encode(), answers=t.answers(units={"Temp": "degC"})
    )


@case
def bytes_of_another_encoding() -> Case:
    """One line in cp1252 in a file of UTF-8."""
    t = truth("bytes_of_another_encoding", "TC1")
    t.cells["Segment"], t.states = ["Spülen"] * 12, ("Segment",)
    rows = lines(["Zeit", *t.cells], *t.rows(clock(t))).encode().split(b"\n")
    rows[7] = rows[7].decode().encode("cp1252")
    return t.case(b"\n".join(rows))


@case
def nul_inside_a_cell() -> Case:
    """A NUL stands between digits."""
    t = truth("nul_inside_a_cell", "TC1", "TC2")
    text = lines(["Time", *t.cells], *t.rows(clock(t)))
    at = text.index(t.cells["TC1"][6])
    return t.case((text[: at + 1] + "\0" + text[at + 2 :]).encode())


@case
def empty_file() -> Case:
    """No bytes at all."""
    return truth("empty_file").case(b"")


@case
def header_without_rows() -> Case:
    """A header and nothing else."""
    t = truth("header_without_rows")
    return t.case(lines(["Time", *t.cells]).encode())


@case
def not_an_export() -> Case:
    """The beginning of a PNG picture, then noise."""
    noise = np.random.default_rng(7).integers(0, 256, 3000, dtype=np.uint8).tobytes()
    return truth("not_an_export").case(b"\x89PNG\r\n\x1a\n" + noise)


@case
def row_of_descriptions_is_gone() -> Case:
    """The layout was confirmed on an export with a row of descriptions under the names; this one has none."""
    t = truth("row_of_descriptions_is_gone", "TC1", "TC2")
    rows = t.rows(clock(t))
    before = lines(["Time", "TC1", "TC2"], ["", "left", "right"], *rows).encode()
    return t.case(lines(["Time", "TC1", "TC2"], *rows).encode(), confirmed_on=before)
