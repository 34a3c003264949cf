"""Templates that say fields and find them again, and trees that become YAML and nodes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.terms.errors import Place
from curewright.text.yaml import Mapping, Scalar, Sequence, read_text
from curewright.understand.sentences import SaidTwiceError, Sentence, flattened, hear_into, nested, said_by
from curewright.understand.tree import Tree, node_of, yaml_text

PLAIN = Sentence("For each {for each}, {signal} is at {event!q}.")
FIXED = Sentence("It is so throughout.", {"while": "throughout"})
LIST = Sentence("Also {else}.", repeats=True)


def test_fields_of_a_sentence() -> None:
    assert PLAIN.fields == ("for each", "signal", "event")
    assert FIXED.fields == ("while",)


def test_said_and_heard() -> None:
    tree: dict[str, Tree] = {"for each": "part", "signal": "coldest", "event": 'the "end"'}
    assert PLAIN.says(tree)
    (line,) = PLAIN.said(tree)
    assert line == 'For each part, coldest is at "the \\"end\\"".'
    assert PLAIN.heard(line) == tree
    assert PLAIN.heard(line + " ") is None
    assert PLAIN.heard("For each part, coldest is at the end.") is None


def test_what_stands_in_quotation_marks_is_not_taken_for_the_sentence() -> None:
    tree: dict[str, Tree] = {"for each": "part", "signal": 'channel "a is at b"', "event": ". is at"}
    assert PLAIN.heard(PLAIN.said(tree)[0]) == tree


def test_fixed_fields() -> None:
    assert FIXED.says({"while": "throughout"})
    assert not FIXED.says({"while": "it is hot"})
    assert not FIXED.says({})
    assert FIXED.said({"while": "throughout"}) == ["It is so throughout."]
    assert FIXED.heard("It is so throughout.") == {"while": "throughout"}


def test_a_sentence_that_repeats() -> None:
    assert LIST.says({"else": ["a", "b"]})
    assert not LIST.says({"else": "a"})
    assert LIST.said({"else": ["a", "b"]}) == ["Also a.", "Also b."]
    tree: dict[str, Tree] = {}
    assert hear_into(tree, (PLAIN, LIST), "Also a.")
    assert hear_into(tree, (PLAIN, LIST), "Also b.")
    assert tree == {"else": ["a", "b"]}
    assert not hear_into(tree, (PLAIN, LIST), "Nothing.")


def test_a_line_about_a_field_that_was_told_before_and_does_not_repeat_is_refused() -> None:
    tree: dict[str, Tree] = {"while": "before"}
    with pytest.raises(SaidTwiceError, match="It is so throughout"):
        hear_into(tree, (FIXED,), "It is so throughout.")
    assert tree == {"while": "before"}


def test_said_by_says_everything_or_nothing() -> None:
    assert said_by((PLAIN, FIXED), {"for each": "a", "signal": "b", "event": "c", "while": "throughout"}) == [
        'For each a, b is at "c".',
        "It is so throughout.",
    ]
    with pytest.raises(KeyError, match=r"no sentence says \['x'\]"):
        said_by((FIXED,), {"while": "throughout", "x": "y"})


def test_flattened_and_nested() -> None:
    tree: dict[str, Tree] = {"a": {"b": "1", "c": "2"}, "d": ["3"], "e": "4"}
    flat: dict[str, Tree] = {"a.b": "1", "a.c": "2", "d": ["3"], "e": "4"}
    assert flattened(tree) == flat
    assert nested(flat) == tree


def test_a_tree_as_yaml() -> None:
    tree: dict[str, Tree] = {"a": {"4.10": "at least 3", "b": ["x", {"c": "d", "e": ["f"]}]}, "g": "h: i", "": "#"}
    assert yaml_text(tree) == (
        'a:\n  4.10: at least 3\n  b:\n    - x\n    - c: d\n      e:\n        - f\ng: "h: i"\n"": "#"\n'
    )


trees = st.recursive(
    st.text(
        st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters="\ufeff\ufffe\uffff"), max_size=12
    ),
    lambda inner: (
        st.lists(inner, min_size=1, max_size=3)
        | st.dictionaries(st.text("abc: #-'\"\\", max_size=5), inner, min_size=1, max_size=3)
    ),
    max_leaves=8,
).filter(lambda tree: not isinstance(tree, list) or not any(isinstance(item, list) for item in tree))


def listless(tree: Tree) -> bool:
    """Whether no list stands directly within a list (a file never has one)."""
    if isinstance(tree, dict):
        return all(listless(value) for value in tree.values())
    return not isinstance(tree, list) or all(not isinstance(item, list) and listless(item) for item in tree)


@given(st.dictionaries(st.text("abc: #-'\"\\", max_size=5), trees.filter(listless), min_size=1, max_size=3))
def test_what_is_written_as_yaml_reads_back(tree: dict[str, Tree]) -> None:
    def plain(node: Mapping | Sequence | Scalar) -> Tree:
        if isinstance(node, Scalar):
            return node.text
        if isinstance(node, Sequence):
            return [plain(item) for item in node.items]
        return {key.text: plain(value) for key, value in node.items}

    assert plain(read_text(yaml_text(tree), "f.yaml")) == tree
    assert plain(node_of(tree, Place())) == tree
