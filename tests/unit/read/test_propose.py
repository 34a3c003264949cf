# ruff: noqa: E501  (exports and layouts stand as they are written)
"""Layouts proposed from exports: what is found, what is asked, and that the export is read through the answered proposal as it was written."""

import re

import pytest

from curewright.read.layout import Layout
from curewright.read.layout_file import read_layout
from curewright.read.propose import Proposal, propose
from curewright.read.recorder import Export, read_export
from curewright.terms.errors import CurewrightError, FileError
from curewright.terms.run import Channel

N = 60


def clock(i: int) -> str:
    """A row every 10 s from 21:40 on."""
    return f"21:{40 + i // 6:02}:{i % 6 * 10:02}"


def many(row: str, count: int = N) -> str:
    """Rows with their clock and 20 to 25.9 degrees, as <time> and <degrees>."""
    return "".join(
        row.replace("<time>", clock(i)).replace("<degrees>", f"{20 + i / 10:.1f}").replace("<n>", str(i))
        for i in range(count)
    )


def answered(proposal: Proposal, **answers: str) -> Layout:
    given = {"recorder": "main", "open codes": "none", "time zone": "UTC", "kind of TC1 SP": "state"} | {
        name.replace("_of_", " of ").replace("_", " "): text for name, text in answers.items()
    }
    keys = {question.key for question in proposal.questions}
    made = read_layout(
        proposal.yaml({key: text for key, text in given.items() if key in keys}, "A. Person").encode(), "layout.yaml"
    )
    made.refuse_unconfirmed()
    return made


def asked_of(proposal: Proposal) -> list[str]:
    """The questions beside those that every export leaves."""
    return [question.key for question in proposal.questions if question.key not in ("recorder", "open codes")]


def read(content: bytes, proposal: Proposal, **answers: str) -> tuple[Export, dict[str, Channel]]:
    export = read_export(content, proposal.file, answered(proposal, **answers))
    return export, export.channels(export.first)[0]


def degrees(channel: Channel) -> list[float]:
    return [round((v - 273_150_000) / 1e6, 3) for v in channel.v]


EXPECTED = [round(20 + i / 10, 1) for i in range(N)]
EVERY = {"recorder": "main", "open codes": "none", "time zone": "UTC"}  # answers to what every export leaves open
PLAIN = "Time,T1\n,C\n" + many("2031-03-04 <time>,<degrees>\n")


@pytest.mark.parametrize(
    "text, encoding, name",
    [
        (PLAIN, "utf-8", "T1"),
        ("\ufeff" + PLAIN, "utf-8", "T1"),
        (PLAIN.replace("\n", "\r"), "utf-8", "T1"),
        ("Line 1\nLine, 2\n\nTime\tT1 °C\n" + many("2031-03-04T<time>\t<degrees>\n"), "utf-16", "T1 °C"),
        ("Time\tT1 °C\n" + many("2031-03-04T<time>\t<degrees>\n"), "utf-16-le", "T1 °C"),
        ("Time\tT1 °C\n" + many("2031-03-04T<time>\t<degrees>\n"), "utf-16-be", "T1 °C"),
        ("Time;T1 [°C]\n" + many("2031-03-04 <time>;<degrees>\n").replace(".", ","), "cp1252", "T1 [°C]"),
        ("Time;T1 (°C)\n" + many("2031-03-04 <time>;<degrees>\n"), "cp437", "T1 (°C)"),
        (
            "Rezept 12\nChargen-Nr.;7\n\nDatum;Zeit;T1 [°C];\n"
            + many("4.3.2031;<time>;<degrees>;\n")
            .replace("4.3.", "04-03-")
            .replace(".", ",")
            .replace("04-03-", "04.03."),
            "latin-1",
            "T1 [°C]",
        ),
        ("Date       Time       T1_degC\n" + many("2031-03-04 <time>   <degrees>\n"), "utf-8", "T1_degC"),
        ("Zeit|T1\n|degC\n" + many("2031-03-04T<time>|<degrees>\n"), "utf-8", "T1"),
        ("Time,T1 (C)\n" + many("04-Mar-2031 <time>,<degrees>\n"), "utf-8", "T1 (C)"),
        ("Time,T1 (C)\n" + many("<time> 04/13/2031,<degrees>\n"), "utf-8", "T1 (C)"),
        (
            '"Time","T1, top (C)"\n' + many('"2031-03-04 <time>","<degrees>"\n').replace(".", ","),
            "utf-8",
            "T1, top (C)",
        ),
        ("Tag,TC1\nDescription,Part 1 lead\nTime,C\n" + many("2031-03-04 <time>,<degrees>\n"), "utf-8", "TC1"),
        ("Time,TC1,\n,PV,SP\n,C,C\n" + many("2031-03-04 <time>,<degrees>,<n>\n"), "utf-8", "TC1 PV"),
        (PLAIN + "2031-03-04 21:5", "utf-8", "T1"),
        (PLAIN + "End of log\nChecksum,77\n", "utf-8", "T1"),
        ("# a, b\n" + PLAIN.replace("2031-03-04 21:45:00", "# alarm, 7\n2031-03-04 21:45:00"), "utf-8", "T1"),
        ("Rec 7\n" + PLAIN.replace("2031-03-04 21:45:00", "Rec 7\nTime,T1\n,C\n2031-03-04 21:45:00"), "utf-8", "T1"),
        (
            "Time,T1\n,C\n" + "".join(reversed(many("2031-03-04 <time>,<degrees>\n").splitlines(keepends=True))),
            "utf-8",
            "T1",
        ),
    ],
)
def test_the_export_is_read_through_its_answered_proposal(text: str, encoding: str, name: str) -> None:
    content = text.encode(encoding)
    proposal = propose(content, "log.csv")
    assert asked_of(proposal) in (["time zone"], ["time zone", "kind of TC1 SP"])
    _, found = read(content, proposal)
    assert degrees(found[name]) == EXPECTED
    assert [t // 10**9 for t in found[name].t] == [10 * i for i in range(N)]
    assert found[name].kind == "continuous"


def test_nothing_is_guessed() -> None:
    """Units, references, zone and the order of day and month are asked for, and stand as '?' until they are answered."""
    content = ("Time,A (degF),P (bar),V [inHg],X\n" + many("03/04/2031 09:00:00 PM,70.5,0.1,2.5,7.5\n")).encode()
    proposal = propose(content, "log.csv")
    assert [(question.key, question.choices) for question in proposal.questions] == [
        ("recorder", ()),
        ("time format", ("%d/%m/%Y %I:%M:%S %p", "%m/%d/%Y %I:%M:%S %p")),
        ("time zone", ()),
        ("open codes", ()),
        ("kind of A (degF)", ("continuous", "state")),
        ("unit of P (bar)", ("bar absolute", "bar gauge", "bar of vacuum", "not read")),
        ("kind of P (bar)", ("continuous", "state")),
        ("unit of V [inHg]", ("inHg absolute", "inHg gauge", "inHg of vacuum", "not read")),
        ("kind of V [inHg]", ("continuous", "state")),
        ("unit of X", ("not read",)),
        ("kind of X", ("continuous", "state")),
    ]
    with pytest.raises(CurewrightError) as refused:
        read_layout(proposal.yaml().encode(), "layout.yaml")
    assert str(refused.value).count("is still a question") == 11


def test_the_lines_it_was_read_from_stand_beside() -> None:
    content = (
        "Recorder 7\nTime;T1;S\n;C;\n"
        + many("2031-03-04 <time>;<degrees>;heat\n").replace("22.0", "OL").replace(".", ",")
    ).encode()
    text = propose(content, "log.csv").yaml()
    for line in (
        "separator: semicolon  # lines 4 to 63: 3 cells in a row",
        "decimal sign: comma  # line 4: '20,0'",
        "lines before the header: any  # line 1 in this export; the header is looked for",
        "header rows: [names, units]  # lines 2 to 3",
        '  - "OL"  # 1 cells, first on line 24',
        "  - {columns: [T1], unit: degC, kind: continuous}  # column 2; 'C'",
        "  - {columns: [S], kind: state}  # column 3",
        "confirmed by:",
    ):
        assert line in text.split("\n")


def test_nobody_has_confirmed_a_proposal() -> None:
    made = read_layout(propose(PLAIN.encode(), "log.csv").yaml(EVERY).encode(), "layout.yaml")
    with pytest.raises(FileError, match="nobody has confirmed it"):
        made.refuse_unconfirmed()


def test_day_and_month_are_told_apart_where_the_rows_do() -> None:
    over_midnight = "Time,A (C)\n" + "".join(
        f"0{3 + (i >= 20)}/0{4}/2031 {23 if i < 20 else 0}:{40 + i if i < 20 else i - 20:02}:00,20.{i % 10}\n"
        for i in range(40)
    )
    proposal = propose(over_midnight.encode(), "log.csv")
    assert asked_of(proposal) == ["time zone"]
    assert 'format: "%d/%m/%Y %H:%M:%S"' in proposal.yaml()  # 3 to 4 April; as 4 March to 4 April a hole of 30 days
    assert "would leave a hole of 31 days" not in proposal.yaml()
    assert "would leave a hole of 30 days" in proposal.yaml()


@pytest.mark.parametrize(
    "cells, asked", [(["1,234", "1,235"], True), (["1,234", "0,235"], False), (["1,23", "1,235"], False)]
)
def test_three_digits_behind_a_sign_may_be_thousands(cells: list[str], asked: bool) -> None:
    content = ("Time;A [C]\n" + "".join(f"2031-03-04 {clock(i)};{cells[i % 2]}\n" for i in range(40))).encode()
    assert ("decimal sign" in [question.key for question in propose(content, "log.csv").questions]) == asked


def test_thousands_are_seen_where_a_number_has_decimals_too() -> None:
    content = ("Time;L\n;mm\n" + "".join(f"2031-03-04 {clock(i)};1.{100 + i},5\n" for i in range(N))).encode()
    _, found = read(content, propose(content, "log.csv"))
    assert (found["L"].v / 1e6).tolist() == [1100.5 + i for i in range(N)]


def test_elapsed_times_with_the_start_before_the_header() -> None:
    content = (
        "Start: 04.03.2031 21:40:00\nElapsed (min),T1 (C)\n"
        + "".join(f"{i / 6:.4f},{20 + i / 10:.1f}\n" for i in range(N))
    ).encode()
    proposal = propose(content, "log.csv")
    assert asked_of(proposal) == ["time zone"]
    export, found = read(content, proposal)
    assert export.first == 1_930_426_800 * 10**9  # 2031-03-04T21:40:00Z, counted with GNU date
    assert degrees(found["T1 (C)"]) == EXPECTED


@pytest.mark.parametrize(
    "text, form",
    [
        ("Elapsed;T1 [C]\n" + "".join(f"{i // 60}:{i % 60:02}:00;20.5\n" for i in range(90)), "elapsed h:mm:ss"),
        (
            "Time;T1 [C]\n" + "".join(f"{23 if i < 20 else 0}:{(40 + i) % 60:02}:00;20.5\n" for i in range(40)),
            "%H:%M:%S",
        ),
        ("t [s];T1 [C]\n" + "".join(f"{i};20.5\n" for i in range(40)), "elapsed s"),
        ("t;T1 [C]\n" + "".join(f"{1_930_426_800 + i};20.5\n" for i in range(40)), "epoch s"),
        ("t;T1 [C]\n" + "".join(f"{1_930_426_800_000 + i};20.5\n" for i in range(40)), "epoch ms"),
        ("t;T1 [C]\n" + "".join(f"{47911.9 + i / 8640:.9f};20.5\n" for i in range(40)), "excel days"),
    ],
)
def test_forms_that_count(text: str, form: str) -> None:
    content = text.encode()
    proposal = propose(content, "log.csv")
    assert f"format: {form}" in re.sub('"', "", proposal.yaml())
    asked = [key for key in asked_of(proposal) if not key.startswith("kind")]
    assert asked == [
        key
        for key in ("time zone", "time start")
        if not form.startswith("epoch") and (key == "time zone" or form != "excel days")
    ]
    export, _ = read(
        content,
        proposal,
        time_start="2031-03-04 21:40:00" if form.startswith("elapsed") else "2031-03-04",
        kind_of_T1="continuous",
        **{"kind_of_T1 [C]": "continuous"},
    )
    assert len(export.instants) == text.count("\n") - 1
    assert (export.instants[1:] > export.instants[:-1]).all()


def test_codes_and_blanks_are_found_with_their_lines() -> None:
    cells = ["20.5", "OL", "-99999", "9999", "", "1.#QNAN", "#N/A", "----", "21.5", "----"]
    content = ("Time,A (C)\n" + "".join(f"2031-03-04 {clock(i)},{cell}\n" for i, cell in enumerate(cells))).encode()
    proposal = propose(content, "log.csv")
    export, found = read(content, proposal)
    assert found["A (C)"].bad.tolist() == [False, *[True] * 7, False, True]
    assert {one.cause: one.count for one in export.counted()} == {"open code": 7, "blank": 1}
    assert '  - "----"  # 2 cells, first on line 9' in proposal.yaml()
    assert "blank means: lost  # 1 cells are blank" in proposal.yaml()


def test_a_text_that_looks_like_a_number_with_something_is_no_code() -> None:
    content = ("Time,A (C)\n" + many("2031-03-04 <time>,<degrees>\n").replace("22.0", "22.0*")).encode()
    proposal = propose(content, "log.csv")
    assert "NO NUMBER: '22.0*' on line 22" in proposal.yaml()
    export = read_export(content, "log.csv", answered(proposal))
    with pytest.raises(CurewrightError, match=r"log\.csv:22:21: '22\.0\*' in the column 'A \(C\)' is neither a number"):
        export.channels(export.first)


LONG = "Stamp;Tag;Value;Quality\n" + "".join(
    f"2031-03-04 {clock(i // 2)};{('T1', 'P1')[i % 2]};{(20 + i / 10 if i % 2 == 0 else i):.1f};{'bad' if i == 8 else 'good'}\n"
    for i in range(N)
)


def test_one_value_in_a_row() -> None:
    content = LONG.encode()
    proposal = propose(content, "log.csv")
    assert asked_of(proposal) == [
        "time zone",
        "unit of T1",
        "quality of T1",
        "unit of P1",
        "quality of P1",
    ]
    export, found = read(
        content, proposal, unit_of_T1="degC", unit_of_P1="bar gauge", quality_of_T1="good", quality_of_P1="good"
    )
    assert found["T1"].bad.tolist() == [i == 4 for i in range(30)]
    assert [round((v - 273_150_000) / 1e6, 1) for v in found["T1"].raw] == [round(20 + i / 5, 1) for i in range(30)]
    assert (found["P1"].v / 1e8).tolist() == [2 * i + 1 for i in range(30)]
    assert export.counted()[0].lines == (10,)


def test_units_that_stand_in_each_row() -> None:
    content = (
        "ts,tag,value,unit\n"
        + "".join(
            f"2031-03-04 {clock(i // 2)},{('T1', 'P1')[i % 2]},{i}.5,{('degC', 'barg')[i % 2]}\n" for i in range(N)
        )
    ).encode()
    proposal = propose(content, "log.csv")
    assert asked_of(proposal) == ["time zone"]
    _, found = read(content, proposal)
    assert (found["T1"].unit.name, found["P1"].unit.name, found["P1"].v[0]) == ("degC", "bar gauge", 150_000_000)


def test_one_file_for_each_channel() -> None:
    content = ("Channel;TC7\nUnit;degC\nTime;Value\n" + many("2031-03-04 <time>;<degrees>\n")).encode()
    proposal = propose(content, "TC 07.csv")
    _, found = read(content, proposal, unit_of_Value="degC")
    assert degrees(found["TC 07"]) == EXPECTED


def test_answers_are_kept_where_heading_and_unit_are_the_same() -> None:
    before = ("Time,P,T1,T2,X\n,bar,C,C,\n" + many("2031-03-04 <time>,<n>.1,<degrees>,<degrees>,<n>.5\n")).encode()
    first = propose(before, "a.csv")
    old = answered(first, unit_of_P="bar gauge", unit_of_X="not read")
    after = (
        "Time,T1,P,T2,X,New\n,F,bar,C,,\n" + many("2031-03-04 <time>,<degrees>,<n>.1,<degrees>,<n>.5,<n>.5\n")
    ).encode()
    with pytest.raises(
        CurewrightError,
        match=r"the header is not the one that layout\.yaml was confirmed for: the column 'New' is new; the column 'P' has moved",
    ):
        read_export(after, "b.csv", old)
    again = propose(after, "b.csv", old)
    assert asked_of(again) == ["unit of New"]
    text = again.yaml()
    assert "zone: UTC" in text
    assert "{columns: [P], unit: bar gauge, kind: continuous}" in text
    assert "{columns: [T1], unit: degF, kind: continuous}" in text
    assert "  - X  # column 5: as before" in text
    assert "confirmed by:  # layout.yaml was confirmed by A. Person" in text


def test_a_pressure_whose_unit_changes_is_asked_for_again() -> None:
    before = ("Time,P\n,bar\n" + many("2031-03-04 <time>,<n>.1\n")).encode()
    old = answered(propose(before, "a.csv"), unit_of_P="bar gauge")
    again = propose(before.replace(b",bar", b",psi"), "b.csv", old)
    assert asked_of(again) == ["unit of P"]


@pytest.mark.parametrize(
    "content", [b"", b"\n\n", b"no table here\n", b"a,b\n1,2\n", b"\x00" * 400, b"PK\x03\x04nothing"]
)
def test_what_is_no_export_is_refused(content: bytes) -> None:
    with pytest.raises(CurewrightError):
        propose(content, "log.csv")


def test_an_answer_to_no_question_is_refused() -> None:
    with pytest.raises(
        FileError, match="'unit of Q' is no question of this proposal; expected open codes, recorder, time zone"
    ):
        propose(PLAIN.encode(), "log.csv").yaml({"unit of Q": "degC"})


def test_a_set_point_is_asked_for_its_kind() -> None:
    content = ("Time,Air SP (C),Air (C)\n" + many("2031-03-04 <time>,<degrees>,<degrees>\n")).encode()
    asked = {question.key: question.asks for question in propose(content, "log.csv").questions}
    assert list(asked) == ["recorder", "time zone", "open codes", "kind of Air SP (C)"]
    assert asked["kind of Air SP (C)"].endswith("It is called a set point")


def test_a_row_that_was_spoilt_is_proposed_to_be_left_out_and_counted() -> None:
    lines = PLAIN.replace("Time,T1\n,C", "Time,T1,T2\n,C,C").splitlines()
    lines = lines[:2] + [f"{line},{n}.5" for n, line in enumerate(lines[2:])]
    spoilt = lines[20] = lines[20].rpartition(",")[0]
    content = ("\n".join(lines) + "\n").encode()
    proposal = propose(content, "log.csv")
    assert f'  - "{spoilt}"' in proposal.yaml()
    assert "# line 21 is spoilt: 2 cells instead of 3; without this the export is refused" in proposal.yaml()
    export, found = read(content, proposal)
    assert len(found["T1"].t) == N - 1
    assert [(one.count, one.lines) for one in export.counted()] == [(1, (21,))]


def test_a_spoilt_row_that_begins_like_others_is_refused() -> None:
    lines = PLAIN.splitlines()
    lines[20] = lines[20][:14]  # 2031-03-04 21: is how every row begins: leaving it out would take them all
    with pytest.raises(FileError, match=r"log\.csv:21: .* named under 'lines left out' in the layout"):
        propose(("\n".join(lines) + "\n").encode(), "log.csv")


def shortened_rows(every: int, count: int) -> tuple[bytes, list[int]]:
    """An export of three cells a row, each ``every``-th without its last cell; and the numbers of these lines (from 1)."""
    lines = ["Time,T1,T2", ",C,C", *many("2031-03-04 <time>,<degrees>,<n>.5\n", count).splitlines()]
    short = [i for i in range(3, len(lines) - 1) if i % every == 0]
    for i in short:
        lines[i] = lines[i].rpartition(",")[0]
    return ("\n".join(lines) + "\n").encode(), [i + 1 for i in short]


def test_up_to_fifty_rows_that_were_spoilt_are_all_proposed() -> None:
    content, short = shortened_rows(6, N)
    assert len(short) == 10
    proposal = propose(content, "log.csv")
    assert all(f"# line {line} is spoilt" in proposal.yaml() for line in short)
    assert "more spoilt rows" not in [question.key for question in proposal.questions]
    export, found = read(content, proposal)
    assert len(found["T1"].t) == N - 10
    (counted,) = export.counted()
    assert (counted.count, counted.lines) == (10, tuple(short[:5]))
    assert counted.texts == tuple(content.decode().splitlines()[line - 1] for line in short[:5])


def test_of_more_than_fifty_the_rest_is_asked_and_refused_until_they_are_named() -> None:
    content, short = shortened_rows(2, 119)
    assert len(short) == 58
    proposal = propose(content, "log.csv")
    assert sum(f"# line {line} is spoilt" in proposal.yaml() for line in short) == 50
    (asked,) = [question.asks for question in proposal.questions if question.key == "more spoilt rows"]
    rest = ", ".join(map(str, short[50:]))
    assert asked.startswith(f"8 more rows have too few cells (lines {rest}): what happened to this export?")
    assert f"# asked: {asked}" in proposal.yaml()
    with pytest.raises(FileError, match=f"{short[50]} .2 cells.,.*do not have the 3 cells of the header"):
        read(content, proposal)


def test_where_most_rows_have_too_few_cells_they_are_no_spoilt_ones() -> None:
    lines = ["Time,T1,T2", ",C,C", *many("2031-03-04 <time>,<degrees>,<n>.5\n").splitlines()]
    lines = [line.rpartition(",")[0] if i > 1 and i % 3 else line for i, line in enumerate(lines)]
    with pytest.raises(FileError, match="do not have the 3 cells of the header"):
        propose(("\n".join(lines) + "\n").encode(), "log.csv")


def test_which_recorder_it_was_is_asked_like_everything_else() -> None:
    proposal = propose(PLAIN.encode(), "log.csv")
    assert 'recorder: "?"' in proposal.yaml()
    with pytest.raises(CurewrightError, match="'recorder' is still a question"):
        read_layout(proposal.yaml(EVERY | {"recorder": "?"}).encode(), "layout.yaml")
    assert answered(proposal, recorder="REC-1").recorder == "REC-1"
    assert answered(proposal, recorder="none").recorder == ""
    assert propose(PLAIN.encode(), "b.csv", answered(proposal, recorder="none")).questions == ()


def test_what_stands_for_no_value_is_asked_where_no_code_was_seen() -> None:
    proposal = propose(PLAIN.encode(), "log.csv")
    assert 'open codes: "?"' in proposal.yaml()
    with pytest.raises(CurewrightError, match="'open codes' is still a question"):
        read_layout(proposal.yaml(EVERY | {"open codes": "?"}).encode(), "layout.yaml")
    assert answered(proposal).columns[0].open_codes == ()
    assert answered(proposal, open_codes="850, OPEN").columns[0].open_codes == ("850", "OPEN")
    assert answered(proposal, open_codes="9999,9, -1").columns[0].open_codes == ("9999,9", "-1")  # a comma in a number


def test_it_is_not_asked_where_codes_were_seen() -> None:
    proposal = propose(PLAIN.replace("22.0", "OPEN").encode(), "log.csv")
    assert "open codes" not in [question.key for question in proposal.questions]
    assert '  - "OPEN"  # 1 cells, first on line 23' in proposal.yaml()


@pytest.mark.parametrize("code", ["850.0", "999", "-999"])
def test_numbers_far_from_all_others_are_asked_about_with_their_lines(code: str) -> None:
    text = PLAIN.replace("22.0", code).replace("22.1", code).replace("23.0", "OPEN")
    proposal = propose(text.encode(), "log.csv")
    asks = next(question.asks for question in proposal.questions if question.key == "open codes")
    number = code.removesuffix(".0")
    assert f"Far from all others: {number} ('T1', 2 cells, first on line 23)" in asks
    assert 'seen: "OPEN"' in proposal.yaml()
    assert answered(proposal, open_codes=number).columns[0].open_codes == ("OPEN", number)


def test_numbers_that_grow_steadily_are_not_far_from_others() -> None:
    proposal = propose(PLAIN.replace("22.0", "30.0").encode(), "log.csv")
    asks = next(question.asks for question in proposal.questions if question.key == "open codes")
    assert "Far from all others" not in asks


def test_what_is_answered_is_no_question_any_more_in_the_layout_that_keeps_it() -> None:
    first = propose(PLAIN.encode(), "a.csv")
    assert first.yaml().count("asked: ") == 3
    for codes, line in (("none", "open codes: none  # answered"), ("850", '  - "850"  # as before')):
        again = propose(PLAIN.encode(), "b.csv", answered(first, open_codes=codes))
        assert again.questions == ()
        assert "asked: " not in again.yaml()
        assert '"?"' not in again.yaml()
        assert line in again.yaml()


def test_a_quality_that_nobody_answered_is_refused() -> None:
    proposal = propose(LONG.encode(), "log.csv")
    given = EVERY | {"unit of T1": "degC", "unit of P1": "bar gauge", "quality of T1": "good"}
    with pytest.raises(CurewrightError, match="'good' is still a question"):
        read_layout(proposal.yaml(given).encode(), "layout.yaml")
