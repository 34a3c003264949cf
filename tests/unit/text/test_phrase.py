"""Phrases as words: tokens, names with and without quotation marks, and complaints with the column of the word."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.terms.errors import FileError, Place
from curewright.text.phrase import Words, bare, quoted, words_of
from curewright.text.yaml import Mapping, Scalar


def words(text: str) -> Words:
    return Words(Scalar(text, Place("f", 2, 5)))


@pytest.mark.parametrize(
    "text, tokens",
    [
        ("coldest reaches 340 degF", [("coldest", "word"), ("reaches", "word"), ("340", "number"), ("degF", "word")]),
        ("340°F", [("340", "number"), ("°F", "word")]),
        ("−5 ± 2", [("-5", "number"), ("±", "mark"), ("2", "number")]),
        ("120±5min", [("120", "number"), ("±", "mark"), ("5", "number"), ("min", "word")]),
        ("85 +15/−0", [("85", "number"), ("+15/-0", "pair")]),
        ("85 -0.5/+1", [("85", "number"), ("-0.5/+1", "pair")]),
        ("+/- 5", [("+/-", "mark"), ("5", "number")]),
        ("+/− 5", [("+/-", "mark"), ("5", "number")]),
        ("(a, b);", [("(", "mark"), ("a", "word"), (",", "mark"), ("b", "word"), (")", "mark"), (";", "mark")]),
        ('is "a (b) \\"c\\""', [("is", "word"), ('a (b) "c"', "quoted")]),
        ('"open', [('"', "stray"), ("open", "word")]),
        ("TC7 4.10.2", [("TC7", "word"), ("4.10.2", "word")]),
        ("degF/min", [("degF/min", "word")]),
    ],
)
def test_tokens(text: str, tokens: list[tuple[str, str]]) -> None:
    assert [(token.text, token.kind) for token in words(text).tokens] == tokens


def test_tokens_know_where_they_stand() -> None:
    read = words('a "b c" 12')
    assert [(token.start, token.end) for token in read.tokens] == [(0, 1), (2, 7), (8, 10)]
    assert read.place == Place("f", 2, 5)
    read.position = 1
    assert read.place == Place("f", 2, 7)
    read.position = 3
    assert read.place == Place("f", 2, 15)
    assert read.next is None


def test_sees_and_accepts() -> None:
    read = words('at least 3 "at"')
    assert read.sees("at", "least")
    assert not read.sees("at", "most")
    assert not read.accept("at", "most")
    assert read.accept("at", "least")
    assert not read.sees("3")  # a number is no word
    assert read.take("number", "a number") == "3"
    assert not read.sees("at")  # what stands in quotation marks is a name
    assert read.name("a name") == "at"
    read.done()


def test_the_longest_phrase_is_taken() -> None:
    assert words("mean of x").accept_one_of(["mean", "mean of"]) == "mean of"
    assert words("mean x").accept_one_of(["mean of", "mean"]) == "mean"
    assert words("x").accept_one_of(["mean"]) is None


@pytest.mark.parametrize(
    "text, name, left",
    [
        ("core maximum", "core maximum", None),
        ("core  maximum and so", "core maximum", "and"),
        ("TC 7, TC 8", "TC 7", ","),
        ('"at the edge" and', "at the edge", "and"),
        ("PT-1 2", "PT-1 2", None),
    ],
)
def test_names(text: str, name: str, left: str | None) -> None:
    read = words(text)
    assert read.name("a name") == name
    assert (read.next.text if read.next else None) == left


@pytest.mark.parametrize(
    "text, message",
    [
        ("and so", "f:2:5: 'and'; expected a name"),
        ("", "f:2:5: the end of ''; expected a name"),
        (", x", "f:2:5: ','; expected a name"),
    ],
)
def test_no_name(text: str, message: str) -> None:
    with pytest.raises(FileError) as caught:
        words(text).name("a name")
    assert str(caught.value) == message


def test_complaints() -> None:
    read = words("coldest raeches 3")
    read.accept("coldest")
    with pytest.raises(FileError) as caught:
        read.one_of(["reaches", "falls below"], "a verb")
    assert str(caught.value) == "f:2:13: 'raeches'; expected a verb. To do: did you mean 'reaches'?"
    with pytest.raises(FileError) as caught:
        read.expect("is", "so")
    assert str(caught.value) == "f:2:13: 'raeches'; expected 'is so'"
    with pytest.raises(FileError) as caught:
        read.take("number", "a number")
    assert str(caught.value) == "f:2:13: 'raeches'; expected a number"
    with pytest.raises(FileError) as caught:
        read.done()
    assert str(caught.value) == "f:2:13: 'raeches'; expected nothing more after 'coldest'"


def test_one_of_at_the_end() -> None:
    with pytest.raises(FileError) as caught:
        words("").one_of(["a", "b"], "a letter")
    assert str(caught.value) == "f:2:5: the end of ''; expected a letter. To do: known here: 'a', 'b'"


def test_the_rest() -> None:
    read = words("5 min after  vent begins")
    read.position = 3
    assert read.rest("an event") == "vent begins"
    read.done()
    with pytest.raises(FileError, match="expected an event"):
        read.rest("an event")


def test_quoted_and_bare() -> None:
    assert quoted('a "b" \\ c') == '"a \\"b\\" \\\\ c"'
    assert bare("core maximum") == "core maximum"
    assert bare("up to 5") == '"up to 5"'
    assert bare("12") == '"12"'
    assert bare("a  b") == '"a  b"'
    assert bare("") == '""'
    assert bare("between") == '"between"'


@given(
    st.text(st.characters(exclude_categories=["C"]), min_size=1).map(lambda text: " ".join(text.split())).filter(bool)
)
def test_a_name_reads_back(name: str) -> None:
    read = words(f"{bare(name)} and")
    assert read.name("a name") == name
    assert read.accept("and")


def test_words_of() -> None:
    place = Place("f", 1, 1)
    assert words_of(Scalar("a b", place)).accept("a", "b")
    for node in (Scalar(" ", place), Scalar("", place)):
        with pytest.raises(FileError) as caught:
            words_of(node)
        assert str(caught.value) == "f:1:1: nothing is written here; expected a phrase"
    with pytest.raises(FileError) as caught:
        words_of(Mapping((), place))
    assert str(caught.value) == "f:1:1: a list or a mapping; expected a phrase"
