"""Shapes of tables: wide, long, one file for each channel; separators, encodings, quotes, preambles, header rows."""

from tests.torture.case import Bad, Case, Truth, case, clock, lines, truth


@case
def wide_comma_iso() -> Case:
    """The plainest export there is: commas, points, ISO times."""
    t = truth("wide_comma_iso")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t))).encode())


@case
def wide_semicolon_comma_cp1252() -> Case:
    """Semicolons, comma decimals, date and time apart, a row of units with the degree sign of cp1252, CRLF."""
    t = truth("wide_semicolon_comma_cp1252")
    rows = [
        [*clock_.split(), *row[1:]]
        for clock_, row in zip(clock(t, "%d.%m.%Y %H:%M:%S"), t.rows(clock(t), ","), strict=True)
    ]
    units = ["", "", "°C", "°C", "°C", "bar"]
    text = lines(["Datum", "Zeit", *t.cells], units, *rows, separator=";", end="\r\n")
    return t.case(text.encode("cp1252"))


@case
def wide_tab_latin_1() -> Case:
    """Tabs, latin-1, units in brackets behind the names."""
    t = truth("wide_tab_latin_1")
    headings = {"TC1": "TC1 [°C]", "TC2": "TC2 [°C]", "Air": "Air [°C]", "Press": "Press [bar]"}
    told = t.answers(units={headings[k]: u for k, u in t.units.items()}, channels={h: k for k, h in headings.items()})
    text = lines(["Time", *headings.values()], *t.rows(clock(t)), separator="\t")
    return t.case(text.encode("latin-1"), answers=told, tracks=t.tracks(), suffix="txt")


@case
def wide_bar_utf_8_bom() -> Case:
    """Upright bars, UTF-8 with a byte-order mark, the first heading in quotes."""
    t = truth("wide_bar_utf_8_bom")
    text = lines(['"Time"', *t.cells], *t.rows(clock(t)), separator="|", end="\r\n")
    return t.case(text.encode("utf-8-sig"))


@case
def wide_utf_16_little() -> Case:
    """UTF-16, little end first, with its mark; tabs."""
    t = truth("wide_utf_16_little")
    text = lines(["Time", *t.cells], ["", "°C", "°C", "°C", "bar"], *t.rows(clock(t)), separator="\t", end="\r\n")
    return t.case(b"\xff\xfe" + text.encode("utf-16-le"))


@case
def wide_utf_16_big() -> Case:
    """UTF-16, big end first, with its mark; semicolons and comma decimals."""
    t = truth("wide_utf_16_big")
    text = lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";", end="\r\n")
    return t.case(b"\xfe\xff" + text.encode("utf-16-be"))


@case
def wide_fixed_width() -> Case:
    """Columns of fixed width, filled up with blanks, two or more of them between columns."""
    t = truth("wide_fixed_width")
    rows = [["Time", *t.cells], *t.rows(clock(t))]
    text = "".join(f"{row[0]:<19}" + "".join(f"{cell:>12}" for cell in row[1:]) + "\r\n" for row in rows)
    return t.case(text.encode(), suffix="prn")


@case
def wide_padded_cells() -> Case:
    """Cells padded with blanks beside the separator."""
    t = truth("wide_padded_cells")
    rows = [[f" {cell:>9} " for cell in row] for row in [["Time", *t.cells], *t.rows(clock(t))]]
    return t.case(lines(*rows).encode())


@case
def trailing_separator() -> Case:
    """Every line ends with a separator, the header's too: a last column without name or content."""
    t = truth("trailing_separator")
    rows = [[*row, ""] for row in [["Time", *t.cells], *t.rows(clock(t))]]
    return t.case(lines(*rows, separator=";").encode())


@case
def trailing_separator_and_blank_cells() -> Case:
    """Every line ends with a separator, and cells within are blank: one separator less, and the rest would move to the left."""
    t = truth("trailing_separator_and_blank_cells")
    t.cells["TC2"] = [cell if i % 2 == 0 else None for i, cell in enumerate(t.cells["TC2"])]
    rows = [[*row, ""] for row in [["Time", *t.cells], *t.rows(clock(t))]]
    return t.case(lines(*rows, separator=";").encode())


@case
def last_cells_blank() -> Case:
    """The last cell of many rows is blank: one separator more, and the value before it would move to the right."""
    t = truth("last_cells_blank", "TC1", "TC2", "Press")
    t.cells["Press"] = [cell if i % 3 == 0 else None for i, cell in enumerate(t.cells["Press"])]
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";").encode())


@case
def fixed_width_and_blank_cells() -> Case:
    """Columns of fixed width with blank cells: what moves by one place comes under another heading."""
    t = truth("fixed_width_and_blank_cells")
    t.cells["TC2"] = [cell if i % 2 == 0 else None for i, cell in enumerate(t.cells["TC2"])]
    rows = [["Time", *t.cells], *t.rows(clock(t))]
    return t.case(
        "".join(f"{row[0]:<19}" + "".join(f"{cell:>6}" for cell in row[1:]) + "\r\n" for row in rows).encode()
    )


@case
def trailing_separator_in_rows_only() -> Case:
    """The rows end with a separator, the header does not."""
    t = truth("trailing_separator_in_rows_only")
    rows = [[*row, ""] for row in t.rows(clock(t))]
    return t.case(lines(["Time", *t.cells], *rows, separator=";").encode())


@case
def spacer_columns() -> Case:
    """Two blank columns without a name that set groups apart."""
    t = truth("spacer_columns")
    rows = [[*row[:2], "", *row[2:4], "", row[4]] for row in [["Time", *t.cells], *t.rows(clock(t))]]
    return t.case(lines(*rows, separator=";").encode())


@case
def quoted_numbers() -> Case:
    """Everything in quotes, comma decimals between commas."""
    t = truth("quoted_numbers")
    rows = [[f'"{cell}"' for cell in row] for row in [["Time", *t.cells], *t.rows(clock(t), ",")]]
    return t.case(lines(*rows, end="\r\n").encode())


@case
def quoted_cells_with_separators() -> Case:
    """A heading and a state that hold the separator and doubled quotes."""
    t = truth("quoted_cells_with_separators", "TC1", "TC2")
    t.cells["Step"] = ["heat, ramp 1"] * 6 + ['soak "A", part 1'] * 6
    t.states = ("Step",)
    rows = [[*row[:3], '"' + row[3].replace('"', '""') + '"'] for row in t.rows(clock(t))]
    told = t.answers(units={"TC1, left": "degC", "TC2": "degC"}, channels={"TC1, left": "TC1"})
    return t.case(lines(["Time", '"TC1, left"', "TC2", "Step"], *rows).encode(), answers=told, tracks=t.tracks())


@case
def three_header_rows() -> Case:
    """Tags, descriptions and units, one row each."""
    t = truth("three_header_rows")
    head = [
        ["Time", *t.cells],
        ["", "Part left", "Part right", "Gas, return", "Vessel"],
        ["", "degC", "degC", "degC", "bar"],
    ]
    head = [[f'"{cell}"' if "," in cell else cell for cell in row] for row in head]
    return t.case(lines(*head, *t.rows(clock(t))).encode())


@case
def units_above_the_names() -> Case:
    """The row of units stands above the row of names."""
    t = truth("units_above_the_names")
    return t.case(lines(["", "°C", "°C", "°C", "bar"], ["Time", *t.cells], *t.rows(clock(t))).encode())


@case
def preamble_of_sixty_lines() -> Case:
    """Sixty lines of works order, parts and limits before the header."""
    t = truth("preamble_of_sixty_lines")
    before = ["Works order;4711", "Recipe;177 soft", "Operator;operator A", ""]
    before += [f"Part {i:02d};serial 00{i:03d};rev B" for i in range(1, 57)]
    text = "\r\n".join(before) + "\r\n" + lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";", end="\r\n")
    return t.case(text.encode())


@case
def preamble_with_a_table_of_numbers() -> Case:
    """A table of limits before the header, with as many cells as the data and numbers in them."""
    t = truth("preamble_with_a_table_of_numbers")
    before = lines(
        ["Limits", *t.cells],
        ["low", "170.0", "170.0", "165.0", "5.80"],
        ["high", "190.0", "190.0", "210.0", "6.90"],
        [""],
    )
    return t.case((before + lines(["Time", *t.cells], *t.rows(clock(t)))).encode())


@case
def set_points_interleaved() -> Case:
    """Beside each value its set point, which holds until the next sample."""
    t = truth("set_points_interleaved", "Air", "Press")
    t.cells = {
        "Air PV": t.cells["Air"],
        "Air SP": ["180.0"] * 12,
        "Press PV": t.cells["Press"],
        "Press SP": ["6.00"] * 12,
    }
    t.units = {"Air PV": "degC", "Air SP": "degC", "Press PV": "bar gauge", "Press SP": "bar gauge"}
    t.states = ("Air SP", "Press SP")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t))).encode())


@case
def lowest_and_highest_of_each_interval() -> Case:
    """Two columns for each channel: the least and the greatest since the last row."""
    t = truth("lowest_and_highest_of_each_interval", "TC1")
    low = t.cells.pop("TC1")
    t.cells = {"TC1 Min": low, "TC1 Max": [f"{float(str(cell)) + 0.3:.1f}" for cell in low]}
    t.units = dict.fromkeys(t.cells, "degC")
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t))).encode())


@case
def columns_that_nobody_needs() -> Case:
    """A sample counter, an averaging mode and remarks that are left alone."""
    t = truth("columns_that_nobody_needs", "TC1", "TC2")
    rows = [
        [str(i + 1), row[0], "MOMENT", *row[1:], '"door shut, fan on"' if i == 3 else ""]
        for i, row in enumerate(t.rows(clock(t)))
    ]
    told = t.answers(not_read=("No.", "Mode", "Remark"))
    return t.case(lines(["No.", "Time", "Mode", *t.cells, "Remark"], *rows).encode(), answers=told)


@case
def no_columns_between_headings_of_the_shop() -> Case:
    """Names as shops write them, in three languages, with the marks of cp1252."""
    t = truth("names", "TC1", "TC2", "Press", "Vac")
    names = ["T/C 01", "Temp. Fühler 2", "Druck (Kessel)", "Vuoto sacco n°3"]
    told = t.answers(
        units=dict(zip(names, t.units.values(), strict=True)), channels=dict(zip(names, t.cells, strict=True))
    )
    text = lines(["Uhrzeit", *names], *t.rows(clock(t), ","), separator=";", end="\r\n")
    return t.case(text.encode("cp1252"), answers=told, tracks=t.tracks())


# ------------------------------------------------------------------------------------------------------------- long, and in files
def long_rows(t: Truth, times: list[str], sign: str = ".") -> list[list[str]]:
    """Rows of time, tag and value, instant by instant."""
    return [
        [time, tag, written]
        for i, time in enumerate(times)
        for tag, written in ((tag, str(cells[i]).replace(".", sign)) for tag, cells in t.cells.items())
    ]


@case
def long_by_time() -> Case:
    """One sample a row: time, tag, value; instant by instant."""
    t = truth("long_by_time")
    return t.case(lines(["Time", "Tag", "Value"], *long_rows(t, clock(t))).encode())


@case
def long_by_tag() -> Case:
    """One sample a row, channel after channel: the time begins anew with each tag."""
    t = truth("long_by_tag")
    rows = sorted(long_rows(t, clock(t), ","), key=lambda row: row[1])
    return t.case(lines(["Tag", "Time", "Value"], *([b, a, c] for a, b, c in rows), separator=";").encode())


@case
def long_with_quality() -> Case:
    """A column says whether the value is good; what is not good is bad whatever the number says."""
    t = truth("long_with_quality", "TC1", "TC2")
    rows = long_rows(t, clock(t))
    t.cells["TC1"][4] = Bad("")
    rows = [[*row, "BAD" if i == 8 else "GOOD"] for i, row in enumerate(rows)]
    told = t.answers(more={"quality": ("Quality", ("GOOD",))})
    return t.case(lines(["Time", "Tag", "Value", "Quality"], *rows).encode(), answers=told)


@case
def long_with_units() -> Case:
    """A column repeats each tag's unit."""
    t = truth("long_with_units")
    unit = {"TC1": "°C", "TC2": "°C", "Air": "°C", "Press": "bar"}
    rows = [[*row, unit[row[1]]] for row in long_rows(t, clock(t))]
    return t.case(
        lines(["Time", "Tag", "Value", "Unit"], *rows, separator="\t").encode(), answers=t.answers(not_read=("Unit",))
    )


@case
def long_on_change() -> Case:
    """A log on change: each channel has instants of its own; a valve in words."""
    t = truth("long_on_change", "TC1", "Press")
    t.cells["Vent"] = ["shut"] + [None] * 5 + ["open"] + [None] * 4 + ["shut"]
    t.states = ("Vent",)
    t.cells["TC1"][3:6] = [None] * 3
    t.cells["Press"][1] = None
    rows = [row for row in long_rows(t, clock(t)) if row[2] != "None"]
    return t.case(lines(["Time", "Tag", "Value"], *rows).encode())


@case
def one_file_for_each_channel() -> Case:
    """Three files, each with its tag in the preamble and a column called Value."""
    t = truth("one_file_for_each_channel", "TC1", "TC2", "Press")
    contents = [
        (
            f"Channel;{tag}\r\nUnit;{unit}\r\n"
            + lines(
                ["Time", "Value"],
                *([a, c.replace(".", ",")] for a, b, c in long_rows(t, clock(t)) if b == tag),
                separator=";",
                end="\r\n",
            )
        ).encode()
        for tag, unit in (("TC1", "degC"), ("TC2", "degC"), ("Press", "bar"))
    ]
    told = t.answers(more={"one channel a file": ("TC1", "TC2", "Press")})
    return t.case(*contents, answers=told)


@case
def split_at_midnight() -> Case:
    """One recording in two files, the second begins at midnight with a header of its own."""
    t = truth("split_at_midnight", n=20, step=900)
    rows = t.rows(clock(t))
    parts = [[row for row in rows if row[0].startswith(day)] for day in ("2031-03-04", "2031-03-05")]
    return t.case(*(lines(["Time", *t.cells], *part).encode() for part in parts))
