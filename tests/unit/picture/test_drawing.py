"""The drawing: well-formed whatever the words, whole numbers only, nothing left out that bends a line."""

import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from curewright.picture.drawing import Box, Drawing, Pen
from tests.unit.picture.svg import NAMESPACE, Read


def drawn(*, words: str = "", lines: list[list[list[float]]] | None = None, pen: Pen | None = None) -> bytes:
    sheet = Drawing(100.0, 50.0, "title")
    if lines:
        sheet.path([np.array(line) for line in lines], pen or Pen(), "line")
    if words:
        sheet.words(10.0, 20.0, words, 9.0)
    return sheet.svg()


@given(st.text(max_size=30))
def test_any_words_make_well_formed_xml(words: str) -> None:
    found = Read(drawn(words=words)).words
    printable = "".join(letter if letter.isprintable() else " " for letter in words)
    assert [word.text for word in found] == ([printable] if words else [])


def test_the_sheet_has_its_size_in_points_and_a_title() -> None:
    root = Read(drawn()).root
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("100pt", "50pt", "0 0 1000 500")
    assert root.findtext(f"{NAMESPACE}title") == "title"
    assert root.get("font-family") == "DejaVu Sans"


def test_each_piece_of_a_broken_line_stands_alone() -> None:
    found = Read(drawn(lines=[[[0, 0], [10, 5]], [[20, 5], [30, 0]]]))
    assert [piece.tolist() for piece in found.lines("line")] == [[[0, 0], [100, 50]], [[200, 50], [300, 0]]]


def test_a_single_point_is_a_dot() -> None:
    svg = drawn(lines=[[[10, 10]]])
    assert [piece.tolist() for piece in Read(svg).lines("line")] == [[[100, 100], [100, 100]]]
    assert b'stroke-linecap="round"' in svg


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 6)), min_size=2, max_size=40))
def test_what_is_left_out_of_a_line_does_not_change_it(points: list[tuple[int, int]]) -> None:
    wanted = np.array(sorted(points, key=lambda p: p[0]), dtype=float)
    (found,) = Read(drawn(lines=[wanted.tolist()])).lines("line")
    at = found / 10.0
    assert at[0].tolist() == wanted[0].tolist()
    assert at[-1].tolist() == wanted[-1].tolist()
    for x in np.unique(wanted[:, 0]):  # at every x the same lowest and highest, by plain interpolation
        here = wanted[wanted[:, 0] == x, 1]
        drawn_here = [*at[at[:, 0] == x, 1], *([np.interp(x, at[:, 0], at[:, 1])] if x not in at[:, 0] else [])]
        assert min(drawn_here) <= here.min() + 1e-9
        assert max(drawn_here) >= here.max() - 1e-9


def test_nothing_in_it_depends_on_how_a_float_is_printed() -> None:
    svg = drawn(lines=[[[0.1 + 0.2, 1 / 3], [2 / 3, 1e-9]]], pen=Pen(0.7, dash=(1.5, 2.0)), words="x").decode()
    body = svg.split("</defs>")[1]
    assert not re.findall(r"\d\.\d", body)
    assert 'd="M3 3 7 0"' in body
    assert 'stroke-dasharray="15 20"' in body


def test_boxes_overlap_by_their_shared_area() -> None:
    assert Box(0, 0, 10, 10).overlap(Box(6, 8, 10, 10)) == 4 * 2
    assert Box(0, 0, 10, 10).overlap(Box(10, 0, 5, 5)) == 0
