"""Habits of programs and places: lines that spreadsheets write, orders, headers in two storeys, starts that stand above the rows."""

from datetime import datetime

from tests.torture.case import CET, Case, case, clock, lines, local, truth


@case
def line_that_names_the_separator() -> Case:
    """The first line is sep=; as spreadsheets like it."""
    t = truth("line_that_names_the_separator")
    text = "sep=;\r\n" + lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";", end="\r\n")
    return t.case(text.encode())


@case
def utf_16_without_a_mark() -> Case:
    """UTF-16, little end first, and no byte-order mark."""
    t = truth("utf_16_without_a_mark")
    text = lines(["Time", *t.cells], ["", "°C", "°C", "°C", "bar"], *t.rows(clock(t)), separator="\t", end="\r\n")
    return t.case(text.encode("utf-16-le"))


@case
def degree_sign_of_old_machines() -> Case:
    """The degree sign of code page 437 (0xF8)."""
    t = truth("degree_sign_of_old_machines")
    text = lines(["Time", *t.cells], ["", "°C", "°C", "°C", "bar"], *t.rows(clock(t), ","), separator=";", end="\r\n")
    return t.case(text.encode("cp437"))


@case
def newest_row_first() -> Case:
    """The newest row stands first."""
    t = truth("newest_row_first")
    rows = t.rows(clock(t, "%d.%m.%Y %H:%M:%S"), ",")
    return t.case(lines(["Time", *t.cells], *rows[::-1], separator=";").encode())


@case
def start_above_elapsed_times() -> Case:
    """Elapsed seconds; the start stands in the preamble and nobody has to tell it."""
    t = truth("start_above_elapsed_times")
    rows = t.rows([str(10 * i) for i in range(12)], ",")
    text = lines(
        ["Recipe", "177 soft"], ["Start", "2031-03-04 21:40:00"], ["Elapsed (s)", *t.cells], *rows, separator=";"
    )
    return t.case(text.encode())


@case
def dates_without_noughts() -> Case:
    """3/24/2031 9:40:00 PM: days, months and hours without leading noughts."""
    t = truth("dates_without_noughts", n=16, step=3000, start=datetime(2031, 3, 24, 21, 40, tzinfo=CET))
    times = [local(x) for x in t.times]
    texts = [
        f"{at.month}/{at.day}/{at.year} {(at.hour % 12) or 12}:{at.minute:02d}:{at.second:02d} {'PM' if at.hour >= 12 else 'AM'}"
        for at in times
    ]
    return t.case(lines(["Time", *t.cells], *t.rows(texts)).encode())


@case
def time_in_the_last_column() -> Case:
    """The time stands last."""
    t = truth("time_in_the_last_column", "TC1", "TC2")
    rows = [[*row[1:], row[0]] for row in t.rows(clock(t))]
    return t.case(lines([*t.cells, "Time"], *rows).encode())


@case
def names_in_two_storeys() -> Case:
    """Groups above (over the first column of each only), names below: each name is both together."""
    t = truth("names_in_two_storeys", "TC1", "TC2", "Press", "Vac")
    heads = ["Part A TC", "Part A TC", "Vessel", "Vessel"]
    below = ["1", "2", "Press", "Bag"]
    full = {f"{a} {b}": name for a, b, name in zip(heads, below, t.cells, strict=True)}
    told = t.answers(units={h: t.units[n] for h, n in full.items()}, channels=full)
    text = lines(["", "Part A TC", "", "Vessel", ""], ["Time", *below], *t.rows(clock(t)))
    return t.case(text.encode(), answers=told, tracks=t.tracks())


@case
def no_header_at_all() -> Case:
    """Rows and nothing else; the columns are known by their numbers."""
    t = truth("no_header_at_all", "TC1", "TC2")
    heads = {"column 2": "TC1", "column 3": "TC2"}
    told = t.answers(units=dict.fromkeys(heads, "degC"), channels=heads)
    return t.case(lines(*t.rows(clock(t), ","), separator=";").encode(), answers=told, tracks=t.tracks())


@case
def elapsed_with_days() -> Case:
    """Elapsed time as days and hours: 1 02:13:20."""
    t = truth("elapsed_with_days", step=20000)
    spans = [(x - t.times[0]) // 10**9 for x in t.times]
    texts = [f"{s // 86400} {s // 3600 % 24:02d}:{s // 60 % 60:02d}:{s % 60:02d}" for s in spans]
    told = t.answers(more={"start": "2031-03-04 21:40:00"})
    return t.case(lines(["Elapsed", *t.cells], *t.rows(texts)).encode(), answers=told)


@case
def mark_in_mid_file() -> Case:
    """Two files put together, each with its byte-order mark and header."""
    t = truth("mark_in_mid_file")
    rows, head = t.rows(clock(t)), ["Time", *t.cells]
    content = lines(head, *rows[:6]).encode("utf-8-sig") + lines(head, *rows[6:]).encode("utf-8-sig")
    return t.case(content, set_aside={"header": 1})


@case
def blanks_that_do_not_break() -> Case:
    """No-break spaces around headings and numbers, as web pages and spreadsheets leave them."""
    t = truth("blanks_that_do_not_break", "TC1", "TC2")
    rows = [[row[0], *(f"\u00a0{cell}" for cell in row[1:])] for row in t.rows(clock(t), ",")]
    return t.case(lines(["Time", "\u00a0TC1", "\u00a0TC2"], *rows, separator=";").encode())


@case
def remarks_with_the_separator_in_quotes() -> Case:
    """A column of remarks in quotes that hold separators, quotes and umlauts; it is not read."""
    t = truth("remarks_with_the_separator_in_quotes", "TC1", "Press")
    remarks = ['"Lüfter 2; ""laut"""', '""', '"Tür; zu"'] * 4
    rows = [[*row, remark] for row, remark in zip(t.rows(clock(t), ","), remarks, strict=True)]
    told = t.answers(not_read=("Bemerkung",))
    return t.case(lines(["Zeit", *t.cells, "Bemerkung"], *rows, separator=";").encode("cp1252"), answers=told)


# -------------------------------------------------------------------------------------------------------------------- refused
@case
def remarks_with_the_separator_bare() -> Case:
    """Remarks without quotes that hold the separator here and there."""
    t = truth("remarks_with_the_separator_bare", "TC1", "Press")
    rows = [[*row, "fan; loud" if i == 7 else "ok"] for i, row in enumerate(t.rows(clock(t), ","))]
    told = t.answers(not_read=("Remark",))
    return t.case(lines(["Time", *t.cells, "Remark"], *rows, separator=";").encode(), answers=told)


@case
def line_break_in_quotes() -> Case:
    """A remark in quotes goes over two lines."""
    t = truth("line_break_in_quotes", "TC1")
    rows = [[*row, '"fan loud\ncalled shift lead"' if i == 7 else '"ok"'] for i, row in enumerate(t.rows(clock(t)))]
    return t.case(lines(["Time", *t.cells, "Remark"], *rows).encode(), answers=t.answers(not_read=("Remark",)))


@case
def numbers_behind_apostrophes() -> Case:
    """'20.5, as somebody typed it who wanted a text."""
    t = truth("numbers_behind_apostrophes", "TC1", "TC2")
    rows = t.rows(clock(t))
    rows[6][1] = "'" + rows[6][1]
    return t.case(lines(["Time", *t.cells], *rows).encode())


@case
def values_with_their_unit() -> Case:
    """21.5 °C in one cell: the file was made for people."""
    t = truth("values_with_their_unit", "TC1", "TC2")
    rows = [[row[0], *(f"{cell} °C" for cell in row[1:])] for row in t.rows(clock(t))]
    return t.case(lines(["Time", *t.cells], *rows).encode())
