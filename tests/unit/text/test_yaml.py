"""YAML read as text: what is kept, what is refused, and where each thing stands."""

from __future__ import annotations

import pytest

from curewright.terms.errors import Errors, FileError, Place
from curewright.text.yaml import Mapping, Scalar, Sequence, decode, mapping_of, read_bytes, read_text


def scalars(text: str) -> dict[str, str]:
    node = read_text(text, "f.yaml")
    assert isinstance(node, Mapping)
    return {key.text: value.text for key, value in node.items if isinstance(value, Scalar)}


@pytest.mark.parametrize(
    "written",
    [
        "4.10",
        "00123",
        "12:30",
        "1:30:00",
        "NO",
        "no",
        "yes",
        "off",
        "null",
        "~",
        "0x1F",
        "0o17",
        "1e3",
        ".5",
        "1_000",
        "2026-03-31",
        "+1",
        "Infinity",
    ],
)
def test_a_scalar_stays_as_written(written: str) -> None:
    assert scalars(f"a: {written}\n{written}: b\n") == {"a": written, written: "b"}
    node = read_text(f"[{written}]", "f.yaml")
    assert isinstance(node, Sequence)
    assert node.items == (Scalar(written, Place("f.yaml", 1, 2)),)


def test_nodes_know_line_and_column() -> None:
    node = read_text('a: 1\nb:\n  - x\n  - {c: "d e"}\nf: |\n  g\n  h\n', "f.yaml")
    assert isinstance(node, Mapping)
    assert node.place == Place("f.yaml", 1, 1)
    assert node.key("b") == Scalar("b", Place("f.yaml", 2, 1))
    assert node.key("z") is None
    assert node.get("z") is None
    listed = node.get("b")
    assert isinstance(listed, Sequence)
    assert listed.place == Place("f.yaml", 3, 3)
    assert listed.items[0] == Scalar("x", Place("f.yaml", 3, 5))
    inner = listed.items[1]
    assert isinstance(inner, Mapping)
    assert inner.place == Place("f.yaml", 4, 5)
    assert inner.get("c") == Scalar("d e", Place("f.yaml", 4, 9), "quoted")
    assert node.get("f") == Scalar("g\nh\n", Place("f.yaml", 5, 4), "block", False)


def test_the_place_within_a_scalar() -> None:
    node = read_text("a: one two\nb: \"one two\"\nc: 'it''s two'\nd: one\n  two\n", "f.yaml")
    assert isinstance(node, Mapping)
    plain, quoted, escaped, folded = (value for _, value in node.items)
    assert isinstance(plain, Scalar)
    assert isinstance(quoted, Scalar)
    assert isinstance(escaped, Scalar)
    assert isinstance(folded, Scalar)
    assert plain.at(4) == Place("f.yaml", 1, 8)
    assert quoted.at(4) == Place("f.yaml", 2, 9)
    assert escaped.at(5) == Place("f.yaml", 3, 4)  # an escape moves what follows: only the start is sure
    assert folded.at(4) == Place("f.yaml", 4, 4)


@pytest.mark.parametrize(
    "text, line, column, found",
    [
        ("a: 1\nb: 2\na: 3\n", 3, 1, "'a' is written twice (first on line 1)"),
        ("a: {b: 1, b: 2}\n", 1, 11, "'b' is written twice (first on line 1)"),
        ("a: &x 1\n", 1, 4, "an anchor ('&x')"),
        ("a: &x {b: 1}\n", 1, 4, "an anchor ('&x')"),
        ("a: !!str 1\n", 1, 4, "a tag ('tag:yaml.org,2002:str')"),
        ("a: !mine {b: 1}\n", 1, 4, "a tag ('!mine')"),
        ("<<: {a: 1}\nb: 2\n", 1, 1, "a merge key ('<<')"),
        ("[a]: b\n", 1, 1, "a key that is a list or a mapping"),
        ("a: 1\n---\nb: 2\n", 2, 1, "a second document ('---')"),
        ("a: planning note #12\n", 1, 18, "'#12' after a blank would be dropped as a comment"),
        ("a: one\n  two #3 and four\n", 2, 7, "'#3 and four' after a blank would be dropped as a comment"),
    ],
)
def test_refused_at_its_place(text: str, line: int, column: int, found: str) -> None:
    with pytest.raises(Errors) as caught:
        read_text(text, "f.yaml")
    (error,) = caught.value.errors
    assert (error.found, error.where) == (found, Place("f.yaml", line, column))


def test_an_alias_is_refused_beside_its_anchor() -> None:
    with pytest.raises(Errors) as caught:
        read_text("a: &x 1\nb: *x\n", "f.yaml")
    assert [(error.found, error.where) for error in caught.value.errors] == [
        ("an anchor ('&x')", Place("f.yaml", 1, 4)),
        ("an alias ('*x')", Place("f.yaml", 2, 4)),
    ]


def test_all_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(Errors) as caught:
        read_text("a: 1\na: 2\nb: !x 3\n<<: {c: 4}\n", "f.yaml")
    assert len(caught.value.errors) == 3


@pytest.mark.parametrize(
    "text, line, column, found",
    [
        ("a: b: c\n", 1, 5, "a second ': ' on this line"),
        ("a: - b\n", 1, 4, "a '- ' where no list can begin"),
        ('a: "b\n', 1, 4, "a quotation mark that is never closed"),
        ("a: [1, 2\n", 1, 4, "a bracket that is never closed"),
        ("a: {b: 1\nc: d\n", 2, 2, "a bracket that is not closed, or a missing comma"),
        ("a: %x\n", 1, 4, "a text that begins with a reserved character"),
        ("- a\nb: c\n", 2, 1, "a line that is indented differently from its neighbours"),
        ("a: 1\nhello\nb: 2\n", 2, 1, "a line without ': '"),
        ("a:\n\t- b\n", 2, 1, "a tab character"),
        ("a: b\tc\n", 1, 5, "a tab character"),
        ("a: b\x00\n", 1, 5, "a control character (U+0000)"),
        ("a: b\x85c\n", 1, 5, "a control character (U+0085)"),
        ("a: b\u2028c\n", 1, 5, "a control character (U+2028)"),
        ("a: 1\nb: 2\rc\n", 2, 5, "a control character (U+000D)"),
    ],
)
def test_not_readable_as_yaml(text: str, line: int, column: int, found: str) -> None:
    with pytest.raises(FileError) as caught:
        read_text(text, "f.yaml")
    assert (caught.value.found, caught.value.where) == (found, Place("f.yaml", line, column))


@pytest.mark.parametrize(
    "text, found",
    [
        ("", "the file is empty"),
        (" \n\n", "the file is empty"),
        ("# only this\n", "the file holds nothing but comments"),
    ],
)
def test_nothing_in_it(text: str, found: str) -> None:
    with pytest.raises(FileError) as caught:
        read_text(text, "f.yaml")
    assert (caught.value.found, caught.value.where) == (found, Place("f.yaml"))


def test_too_deep() -> None:
    read_text("[" * 20 + "]" * 20, "f.yaml")
    with pytest.raises(FileError, match="nested more than 20 deep"):
        read_text("[" * 22 + "]" * 22, "f.yaml")


def test_comments_with_a_blank_are_comments() -> None:
    assert scalars("a: b # a comment\nc: 'd #12'  # another\n") == {"a": "b", "c": "d #12"}


def test_a_hash_within_a_word_is_text() -> None:
    assert scalars("a: b#12\n") == {"a": "b#12"}


@pytest.mark.parametrize("data", [b"a: \xc2\xb0C\n", b"\xef\xbb\xbfa: \xc2\xb0C\n", b"a: \xc2\xb0C\r\n"])
def test_utf_8_with_or_without_mark(data: bytes) -> None:
    node = read_bytes(data, "f.yaml")
    assert isinstance(node, Mapping)
    assert node.get("a") == Scalar("°C", Place("f.yaml", 1, 4))


@pytest.mark.parametrize(
    "data, where, found",
    [
        (b"a: 1\nb: \xb0C\n", Place("f.yaml", 2, 4), "byte 0xb0 is not UTF-8"),
        (b"a: \xc3\xa9\xff", Place("f.yaml", 1, 5), "byte 0xff is not UTF-8"),
        ("a: 1".encode("utf-16"), Place("f.yaml"), "the file is in UTF-16"),
        (b"\xfe\xff\x00a", Place("f.yaml"), "the file is in UTF-16"),
    ],
)
def test_other_encodings_are_refused(data: bytes, where: Place, found: str) -> None:
    with pytest.raises(FileError) as caught:
        decode(data, "f.yaml")
    assert (caught.value.where, caught.value.found, caught.value.expected) == (where, found, "UTF-8")


@pytest.mark.parametrize(
    "text, found", [("a", "this is 'a'"), ("[a]", "this is a list"), ("x" * 60, "this is '" + "x" * 39 + "…'")]
)
def test_mapping_of(text: str, found: str) -> None:
    with pytest.raises(FileError) as caught:
        mapping_of(read_text(text, "f.yaml"), "this")
    assert (caught.value.found, caught.value.where) == (found, Place("f.yaml", 1, 1))
