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
