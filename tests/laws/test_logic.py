"""Conditions over time in three-valued logic against looking at every half instant, whichever way they are joined."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.judge import steps
from curewright.judge.steps import FALSE, TRUE, UNKNOWN, Steps, all_of, any_of

CODES = st.sampled_from((FALSE, UNKNOWN, TRUE))
LAST = 24  # instants 0, 2, … 24 may be changes; odd ones look between


@st.composite
def conditions(draw):
    times = sorted(draw(st.sets(st.integers(0, LAST // 2), max_size=8)))
    at = draw(st.lists(CODES, min_size=len(times), max_size=len(times)))
    after = draw(st.lists(CODES, min_size=len(times), max_size=len(times)))
    return steps.tidy([2 * time for time in times], at, after, draw(CODES))


def seen(found: Steps) -> list[int]:
    return [found.value(instant) for instant in range(-1, LAST + 2)]


@pytest.mark.parametrize("by_kernel", [False, True])
@given(members=st.lists(conditions(), min_size=1, max_size=5))
def test_all_and_any_are_least_and_greatest(by_kernel, members):
    with pytest.MonkeyPatch.context() as patch:
        if by_kernel:
            patch.setattr(steps, "MANY", -1)
        joined = all_of(members), any_of(members)
    looks = [seen(each) for each in members]
    assert seen(joined[0]) == [min(codes) for codes in zip(*looks, strict=True)]
    assert seen(joined[1]) == [max(codes) for codes in zip(*looks, strict=True)]
    assert seen(joined[0].inverted()) == [2 - code for code in seen(joined[0])]


@given(
    condition=conditions(),
    codes=st.sets(CODES, min_size=1, max_size=2).map(tuple),
    ends=st.tuples(*[st.integers(0, LAST)] * 2),
)
def test_stretches_are_the_longest_runs_of_some_codes(condition, codes, ends):
    start, end = min(ends), max(ends)
    start, end = start - start % 2, end - end % 2  # at instants that may be changes
    cells = [(instant, condition.value(instant)) for instant in range(start, end + 1)]
    runs: list[list[int]] = []
    for instant, code in cells:
        if code not in codes:
            continue
        if runs and runs[-1][-1] == instant - 1:
            runs[-1].append(instant)
        else:
            runs.append([instant])
    # an odd look stands for the whole open stretch around it
    expected = [(run[0] - run[0] % 2, run[-1] + run[-1] % 2) for run in runs]
    assert condition.stretches(start, end, codes) == expected
    assert condition.over(start, end) == {code for _, code in cells}


@given(
    condition=conditions(), code=CODES, edges=st.lists(st.integers(0, LAST // 2), max_size=4, unique=True).map(sorted)
)
def test_replaced_in_open_stretches_only(condition, code, edges):
    stretches = [(2 * a, 2 * b) for a, b in zip(edges[::2], edges[1::2], strict=False)]
    found = condition.replaced(stretches, code)
    for instant in range(-1, LAST + 2):
        inside = any(a < instant < b for a, b in stretches)
        assert found.value(instant) == (code if inside else condition.value(instant))
