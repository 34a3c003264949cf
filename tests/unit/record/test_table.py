"""The print for the terminal: everything is there in 80 columns, without colour, worst first."""

import copy
import io

import pytest
from rich.console import Console

from curewright.record.table import DEVIATIONS, print_verdicts
from curewright.record.verdicts import Document


def printed(document: Document, width: int = 80, color: bool = False) -> str:
    out = io.StringIO()
    print_verdicts(
        document, Console(file=out, width=width, force_terminal=color, color_system="truecolor" if color else None)
    )
    return out.getvalue()


def words(text: str) -> str:
    return " ".join(text.split())


def test_worst_first(document: Document) -> None:
    text = printed(document)
    spots = [
        text.index(word)
        for word in (
            "NOT MET  part 00123, clause 4.7",
            "NOT SHOWN  part 00123",
            "OPEN  part 00123",
            "Met (1)",
            "Not applicable (1)",
        )
    ]
    assert spots == sorted(spots)


def test_heads_with_the_counts(document: Document) -> None:
    assert "Clauses: 5 judged by program, 1 by a person, 0 not covered" in printed(document)


@pytest.mark.parametrize("width", [40, 80, 200])
def test_nothing_is_wider_and_nothing_is_cut(document: Document, width: int) -> None:
    text = printed(document, width)
    assert max(map(len, text.splitlines())) <= width
    assert "…" not in text.replace("… OPEN", "").replace("… open", "")
    for verdict in document["verdicts"]:
        if verdict["outcome"] in DEVIATIONS:
            assert words(verdict["reason"]) in words(text)


def test_what_an_engineer_looks_for(document: Document) -> None:
    text = words(printed(document))
    for piece in (
        "120 +30/-0 min",
        "108.7 min, margin -11.3 min",
        "CH7 (part 00123, edge top), 03:40:00 (+1:40:00)",
        "elapsed time: 121 min, would be met",
        "vent inferred from the trace",
        "log.csv line 44",
        "between 01:00:00 (+0:00:00) and 01:01:00 (+0:01:00)",
        "CH8: 01:01:00 (+0:01:00) to the end, by rule for lost thermocouples: open circuit",
        "left: 2.5 min in all",
        "port used twice: port 12 stands at BAG-1 and BAG-2. [load.yaml line 4] Cannot be judged because of it: BAG-2.",
        "not a control and not a safety function",
        "material review board",
    ):
        assert piece in text


def test_what_was_left_out_and_flagged_while_reading_is_told_by_cause(document: Document) -> None:
    text = words(printed(document))
    assert (
        "Read: log.csv: 841 rows read, 2 rows left out (no time in it), 40 cells kept, flagged (open code: CH8, CH7)"
        in text
    )
    assert "Read: b1.csv: 1 row read, nothing left out or flagged" in text


def test_that_nobody_is_named_is_told_with_the_option_that_names_somebody(document: Document) -> None:
    assert "Judgement 1 by operator A on 2026" in printed(document)
    document["judgement"]["person"] = ""
    assert "by nobody named ('--person \"your name\"' prints who asked for it)" in words(printed(document))


def test_that_no_date_is_given_is_told_with_the_option_that_gives_one(document: Document) -> None:
    assert "not dated" not in printed(document)
    document["judgement"]["at"] = ""
    said = "by operator A, not dated ('--dated' with date, time and zone prints when; no clock is read)"
    assert said in words(printed(document))


def test_the_short_print_has_the_deviations_and_says_where_the_rest_is(document: Document) -> None:
    out = io.StringIO()
    print_verdicts(document, Console(file=out, width=80), deviations_only=True)
    text = words(out.getvalue())
    for piece in ("NOT MET part 00123, clause 4.7", "NOT SHOWN part 00123", "OPEN part 00123", "not a safety function"):
        assert piece in text
    for heading in ("Met (", "Not applicable", "Traceability", "For people"):
        assert heading in words(printed(document))
        assert heading not in text
    assert "verdicts.csv and the cure record have it" in text


def test_another_reading_than_the_clause_states_is_told_to_be_for_information_once(document: Document) -> None:
    text = words(printed(document))
    assert text.count("“Other reading” is for information") == 1
    assert text.index("“Other reading” is for information") < text.index(
        "other reading elapsed time: 121 min, would be met"
    )
    assert "109 min" not in text  # an other reading under which the outcome is the same one
    for verdict in document["verdicts"]:
        verdict["other_readings"] = []
    assert "ther reading" not in printed(document)


def test_met_rows_have_the_words_that_are_explained_above_them(document: Document) -> None:
    readings = next(v for v in document["verdicts"] if v["outcome"] == "not met")["other_readings"]
    for verdict in document["verdicts"]:
        verdict["other_readings"] = readings if verdict["outcome"] == "met" else []
    met = words(printed(document)).partition("Met (1)")[2]
    assert met.index("“Other reading” is for information") < met.index(
        "other reading: elapsed time: 121 min, would be met"
    )


def test_the_cause_of_a_doubt_comes_before_its_numbers(document: Document) -> None:
    verdict = next(v for v in document["verdicts"] if v["outcome"] == "not shown")
    source = next(v for v in document["verdicts"] if v["outcome"] == "not met")
    verdict |= {name: source[name] for name in ("margin", "unknown", "phase")} | {"notes": ["CH8 was lost"]}
    document["roll_up"].append({"part": "00124", "outcome": "not shown"})
    verdict["part"] = "00124"
    text = words(printed(document))
    told = text[text.index("NOT SHOWN part 00124, 00123, clause 4.8") :]
    spots = [told.index(word) for word in ("why reason of 4.8", "note CH8 was lost", "limit 120", "found 108.7 min")]
    assert spots == sorted(spots)
    assert "4.8 duration (not known throughout: CH8)" in text[: text.index("Deviations")]


def test_the_words_do_without_colour(document: Document) -> None:
    plain, coloured = printed(document), printed(document, color=True)
    assert "\x1b[" in coloured
    assert "\x1b[" not in plain
    for word in ("✗ NOT MET", "? NOT SHOWN", "… OPEN", "✎ BY A PERSON"):
        assert word in plain


def test_so_many_met_that_nobody_would_read_them_are_told_clause_by_clause(document: Document) -> None:
    many = copy.deepcopy(document)
    met = next(verdict for verdict in many["verdicts"] if verdict["outcome"] == "met")
    assert met["margin"] is not None
    met["margin"]["value"] = "2000"
    for i in range(400):
        one = copy.deepcopy(met)
        one["part"], one["thing"] = f"{i:05d}", f"{i:05d}"
        one["margin"]["value"] = str(1000 - i if i < 399 else 7.5)
        many["verdicts"].append(one)
    text = words(printed(many))
    assert "Met (401)" in text
    assert f"{met['clause']} {met['form']} 401 nearest: part 00399" in text
    assert "margin 7.5" in text
    assert "part 00007" not in text
    assert "Each of them stands in verdicts.csv and in the cure record." in text
