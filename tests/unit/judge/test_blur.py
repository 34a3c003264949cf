"""Blurred and spliced conditions, against their definitions instant by instant."""

from hypothesis import given
from hypothesis import strategies as st

from curewright.judge.blur import blurred, spliced
from curewright.judge.steps import FALSE, TRUE, UNKNOWN, Steps, tidy

CODES = st.sampled_from((FALSE, UNKNOWN, TRUE))


@st.composite
def steps(draw):
    """Changes at instants that are whole tens, so that fives lie between them."""
    times = sorted(draw(st.sets(st.integers(-6, 6), max_size=6)))
    codes = [draw(CODES) for _ in range(2 * len(times))]
    return tidy([10 * t for t in times], codes[::2], codes[1::2], draw(CODES))


@given(made=steps(), by=st.integers(0, 4))
def test_blurred_is_what_it_is_throughout_the_bound_to_both_sides(made, by):
    found = blurred(made, 10 * by)
    for instant in range(-120, 121, 5):
        around = made.over(instant - 10 * by, instant + 10 * by)
        assert found.value(instant) == (next(iter(around)) if len(around) == 1 else UNKNOWN)


@given(base=steps(), other=steps(), edges=st.sets(st.integers(-8, 8), max_size=6))
def test_spliced_is_the_other_inside_and_the_base_elsewhere(base, other, edges):
    ends = [10 * edge for edge in sorted(edges)]
    stretches = list(zip(ends[::2], ends[1::2], strict=False))
    found = spliced(base, other, stretches)
    for instant in range(-120, 121, 5):
        inside = any(a < instant < b for a, b in stretches)
        assert found.value(instant) == (other if inside else base).value(instant)


def test_a_moment_that_is_true_survives_only_without_a_bound():
    moment = Steps((10,), (TRUE,), (FALSE,), FALSE)
    assert blurred(moment, 0) is moment
    assert blurred(moment, 1) == Steps((9, 11), (UNKNOWN, UNKNOWN), (UNKNOWN, FALSE), FALSE)


def test_an_end_that_belongs_to_a_stretch_still_does():
    closed = Steps((10, 20), (TRUE, TRUE), (TRUE, FALSE), FALSE)
    found = blurred(closed, 3)
    assert [found.value(t) for t in (6, 7, 12, 13, 17, 18, 22, 23, 24)] == [
        FALSE, UNKNOWN, UNKNOWN, TRUE, TRUE, UNKNOWN, UNKNOWN, UNKNOWN, FALSE,
    ]  # fmt: skip
