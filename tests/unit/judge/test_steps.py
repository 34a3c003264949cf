"""Conditions over time: three-valued steps against a brute force on a grid, and stays worked out by hand.

The grid has a point for every even number (an instant) and every odd one (the open stretch between two instants), so
that a step function that changes at even numbers only is its list of codes, and Kleene's logic is min and max.
"""

from __future__ import annotations

from random import Random

import pytest

from curewright.judge.steps import (
    ALWAYS,
    FALSE,
    MANY,
    NEVER,
    NEVER_TRUE,
    NOT_KNOWN,
    TRUE,
    UNKNOWN,
    Steps,
    When,
    all_of,
    any_of,
    first_stay,
    last_stay,
    tidy,
)

LAST = 16
S = Steps((10, 20, 30), (TRUE, UNKNOWN, FALSE), (UNKNOWN, FALSE, TRUE), FALSE)


def drawn(rng, last=LAST, changes=4):
    """A step function that changes at even instants (some of the changes change nothing), and its codes on the grid."""
    times = sorted(rng.sample(range(2, last, 2), rng.randint(0, changes)))
    at = [rng.choice((0, 1, 2)) for _ in times]
    after = [rng.choice((0, 1, 2)) for _ in times]
    before = rng.choice((0, 1, 2))
    grid, code, spots = [], before, dict(zip(times, zip(at, after, strict=True), strict=True))
    for point in range(last + 1):
        if point in spots:
            grid.append(spots[point][0])
            code = spots[point][1]
        else:
            grid.append(code)
    return Steps(tuple(times), tuple(at), tuple(after), before), grid


def normal(grid):
    """The shortest step function with these codes on the grid."""
    times = [i for i in range(2, len(grid) - 1, 2) if not grid[i - 1] == grid[i] == grid[i + 1]]
    return Steps(tuple(times), tuple(grid[i] for i in times), tuple(grid[i + 1] for i in times), grid[0])


def runs(grid, start, end, codes):
    """Longest closed stretches in [start, end] (even) whose points all have one of these codes."""
    found, opened = [], None
    for point in range(start, end + 1):
        low, high = (point, point) if point % 2 == 0 else (point - 1, point + 1)
        if grid[point] in codes:
            opened = (low, high) if opened is None else (opened[0], high)
        elif opened is not None:
            found.append(opened)
            opened = None
    return found if opened is None else [*found, opened]


@pytest.mark.parametrize("instant, code", [(9, 0), (10, 2), (11, 1), (19, 1), (20, 1), (21, 0), (30, 0), (31, 2)])
def test_the_code_at_an_instant(instant, code):
    assert S.value(instant) == code


def test_what_holds_always_is_the_code_before_the_first_change():
    assert (ALWAYS.value(0), NOT_KNOWN.value(0), NEVER_TRUE.value(0)) == (2, 1, 0)


@pytest.mark.parametrize(
    "start, end, expected",
    [
        (5, 25, [(5, 5, 0), (5, 10, 0), (10, 10, 2), (10, 20, 1), (20, 20, 1), (20, 25, 0), (25, 25, 0)]),
        (10, 20, [(10, 10, 2), (10, 20, 1), (20, 20, 1)]),
        (12, 12, [(12, 12, 1)]),
        (12, 11, []),
        (30, 40, [(30, 30, 0), (30, 40, 2), (40, 40, 2)]),
        (31, 40, [(31, 31, 2), (31, 40, 2), (40, 40, 2)]),
    ],
)
def test_pieces_by_hand(start, end, expected):
    assert list(S.pieces(start, end)) == expected


@pytest.mark.parametrize("seed", range(40))
def test_pieces_over_and_stretches_against_the_grid(seed):
    rng = Random(seed)
    steps, grid = drawn(rng)
    for start in range(0, LAST + 1, 2):
        for end in range(start, LAST + 1, 2):
            assert steps.over(start, end) == set(grid[start : end + 1])
            assert {code for _, _, code in steps.pieces(start, end)} == set(grid[start : end + 1])
            for codes in ((2,), (1, 2), (0,), (0, 1), (1,)):
                assert steps.stretches(start, end, codes) == runs(grid, start, end, codes)
        assert steps.over(start + 2, start) == set()
        assert steps.stretches(start + 2, start, (0, 1, 2)) == []


def test_between_instants_the_ends_of_a_stretch_count_as_they_are():
    assert S.stretches(5, 25, (UNKNOWN, TRUE)) == [(10, 20)]
    assert S.stretches(11, 19, (UNKNOWN,)) == [(11, 19)]
    assert S.stretches(30, 35, (TRUE,)) == [(30, 35)]
    assert S.stretches(30, 30, (FALSE,)) == [(30, 30)]
    assert S.over(11, 19) == {UNKNOWN}
    assert S.over(31, 40) == {TRUE}
    assert S.over(1, 9) == {FALSE}
    assert S.over(11, 10) == set()


def test_not_turns_true_and_false_round():
    assert S.inverted() == Steps((10, 20, 30), (0, 1, 2), (1, 2, 0), 2)


@pytest.mark.parametrize("seed", range(30))
def test_all_is_the_least_and_any_the_greatest(seed):
    rng = Random(seed)
    pairs = [drawn(rng) for _ in range(rng.randint(2, 4))]
    members, grids = [steps for steps, _ in pairs], [grid for _, grid in pairs]
    assert sum(len(steps.times) for steps in members) <= MANY
    assert all_of(members) == normal([min(codes) for codes in zip(*grids, strict=True)])
    assert any_of(members) == normal([max(codes) for codes in zip(*grids, strict=True)])


@pytest.mark.parametrize("seed", range(10))
def test_all_and_any_of_conditions_that_change_often(seed):
    rng = Random(1000 + seed)
    pairs = [drawn(rng, last=80, changes=30) for _ in range(4)]
    members, grids = [steps for steps, _ in pairs], [grid for _, grid in pairs]
    if sum(len(steps.times) for steps in members) <= MANY:
        members += [Steps(tuple(range(2, 80, 2)), (1,) * 39, (1,) * 39, 1)]
        grids += [[1] * 81]
    assert all_of(members) == normal([min(codes) for codes in zip(*grids, strict=True)])
    assert any_of(members) == normal([max(codes) for codes in zip(*grids, strict=True)])


def test_the_kernel_takes_over_past_its_number_of_changes_and_says_the_same():
    times = tuple(range(2, 2 * MANY + 2, 2))
    busy = Steps(times, (TRUE, FALSE) * (MANY // 2), (TRUE, FALSE) * (MANY // 2), FALSE)
    assert all_of([busy, ALWAYS]) == busy  # just few enough
    late = Steps((1000,), (UNKNOWN,), (UNKNOWN,), TRUE)
    assert all_of([busy, late]) == busy  # unknown does not make false any less false
    assert any_of([busy, late.inverted()]) == Steps((*times, 1000), (*busy.at, 1), (*busy.after, 1), FALSE)


def test_all_and_any_of_one_and_of_nothing():
    assert all_of([S]) is S
    assert any_of(iter([S])) is S
    assert all_of([]) is NOT_KNOWN
    assert any_of([]) is NOT_KNOWN


def test_tidy_drops_the_instants_at_which_nothing_changes():
    assert tidy([1, 2, 3, 4], [2, 2, 0, 2], [2, 0, 0, 0], 2) == Steps((2, 4), (2, 2), (0, 0), 2)
    with pytest.raises(ValueError, match="shorter"):
        tidy([1, 2], [2], [2], 2)


@pytest.mark.parametrize("seed", range(30))
def test_a_code_put_into_open_stretches(seed):
    rng = Random(seed)
    steps, grid = drawn(rng)
    edges = sorted(rng.sample(range(2, LAST, 2), 4))
    stretches = [(edges[0], edges[1]), (edges[2], edges[3])] if rng.random() < 0.5 else [(edges[1], edges[2])]
    for code in (FALSE, UNKNOWN, TRUE):
        inside = [any(a < point < b for a, b in stretches) for point in range(LAST + 1)]
        assert steps.replaced(stretches, code) == normal(
            [code if there else old for there, old in zip(inside, grid, strict=True)]
        )


def test_a_code_put_into_no_stretch_leaves_the_very_same():
    assert S.replaced([], UNKNOWN) is S


def test_a_code_put_in_for_good():
    for_good = S.replaced([(25, NEVER)], UNKNOWN)
    assert for_good.times[:3] == (10, 20, 25)
    assert [for_good.value(i) for i in (20, 21, 25, 26, 30, 31, NEVER - 1)] == [1, 0, 0, 1, 1, 1, 1]
    assert NEVER_TRUE.replaced([(5, 7)], TRUE) == Steps((5, 7), (0, 0), (2, 0), 0)


def test_an_event_may_be_shifted_and_never_stays_never():
    found = When(5, NEVER, ("note",), (1, 2), beyond=True)
    assert found.shifted(0) is found
    assert found.shifted(3) == When(8, NEVER, ("note",), None, True)
    assert When(5, 6).shifted(3) == When(8, 9)
    assert When(NEVER - 1, NEVER + 4).shifted(3) == When(NEVER + 2, NEVER + 4)
    assert When(NEVER, NEVER).never
    assert not When(NEVER - 1, NEVER).never


# Reaches the level at 100 and stays to 160; unknown from 60 to 80 and from 160 on.
REACHED = Steps((60, 80, 100, 160), (1, 1, 2, 2), (1, 0, 2, 1), 0)


@pytest.mark.parametrize(
    "after, stays, covers, expected",
    [
        ((0, 0), 20, True, (60, 100)),  # the unknown stretch is just long enough
        ((0, 0), 21, True, (100, 100)),  # and now too short
        ((0, 0), 60, True, (100, 100)),
        ((0, 0), 61, True, (100, NEVER)),  # the stay is cut off by what is not known
        ((0, 0), 100, True, (100, NEVER)),  # to the very end of the record
        ((0, 0), 101, True, (100, NEVER)),  # the end of the record cuts it off: [t, never]
        ((110, 120), 10, True, (110, 120)),
        ((110, 120), 45, True, (110, NEVER)),
        ((201, 201), 0, True, (NEVER, NEVER)),
        ((150, 201), 0, True, (150, NEVER)),
        ((201, 201), 0, False, (201, NEVER)),  # after the record, which may go on
        ((0, 0), 61, False, (100, NEVER)),
        ((200, 200), 0, True, (200, NEVER)),
    ],
)
def test_the_first_stay(after, stays, covers, expected):
    found = first_stay(REACHED, When(*after), stays, 200, covers=covers)
    assert (found.earliest, found.latest) == expected
    assert found.beyond == (not covers)
    assert found.until is None


def test_a_stay_that_surely_happened_does_not_lie_beyond_the_record():
    assert first_stay(REACHED, When(0, 0), 21, 200, covers=False) == When(100, 100)
    assert first_stay(REACHED, When(0, 0, ("x",), None, True), 21, 200, covers=False) == When(100, 100, (), None, True)


def test_a_stay_that_the_end_of_the_record_cuts_off_may_have_been_one_or_not():
    late = Steps((100,), (TRUE,), (TRUE,), FALSE)
    assert first_stay(late, When(0, 0), 100, 200, covers=True) == When(100, 100)
    assert first_stay(late, When(0, 0), 101, 200, covers=True) == When(100, NEVER)


def test_what_never_holds_may_still_come_after_an_open_record():
    assert first_stay(NEVER_TRUE, When(3, 3), 0, 10, covers=True) == When(NEVER, NEVER)
    assert first_stay(NEVER_TRUE, When(3, 3), 0, 10, covers=False) == When(10, NEVER, (), None, True)
    assert first_stay(NEVER_TRUE, When(12, 12), 0, 10, covers=False) == When(12, NEVER, (), None, True)


def test_a_true_condition_at_the_reference_gives_the_reference_with_a_note():
    note = ("already so at its reference",)
    assert first_stay(REACHED, When(110, 110), 10, 200, covers=True) == When(110, 110, note)
    assert first_stay(REACHED, When(102, 102), 10, 200, covers=True).notes == note
    assert first_stay(REACHED, When(100, 100), 10, 200, covers=True).notes == ()  # begins there: not already so
    assert first_stay(REACHED, When(101, 101), 10, 200, covers=True).notes == note  # so since just before it
    assert first_stay(REACHED, When(110, 120), 10, 200, covers=True).notes == ()
    assert first_stay(REACHED, When(90, 90), 10, 200, covers=True).notes == ()
    assert first_stay(ALWAYS, When(0, 0), 10, 200, covers=True).notes == note
    instant_only = Steps((50,), (FALSE,), (TRUE,), TRUE)
    assert first_stay(instant_only, When(50, 50), 10, 200, covers=True) == When(50, 50)
    assert first_stay(NEVER_TRUE, When(50, 50), 0, 200, covers=True).notes == ()


@pytest.mark.parametrize(
    "steps, after, covers, expected",
    [
        (Steps((10, 20, 30), (2, 2, 2), (2, 0, 2), 0), (0, 0), True, When(30, 30)),
        (Steps((10, 20, 30), (2, 2, 2), (2, 0, 2), 0), (35, 35), True, When(35, 35, ("already so at its reference",))),
        (Steps((10, 20, 30), (2, 2, 1), (2, 0, 2), 0), (0, 0), True, When(30, 30)),
        (Steps((10, 20, 30), (2, 2, 1), (2, 1, 2), 0), (0, 0), True, When(10, 30)),
        (Steps((10, 20), (2, 2), (2, 0), 0), (0, 0), True, When(NEVER, NEVER)),
        (Steps((10, 40), (2, 0), (2, 0), 0), (0, 0), True, When(NEVER, NEVER)),
        (Steps((10, 40), (2, 1), (2, 0), 0), (0, 0), True, When(10, NEVER)),
        (Steps((40,), (2,), (2,), 0), (0, 0), True, When(40, 40)),
        (ALWAYS, (41, 41), True, When(NEVER, NEVER)),
        (ALWAYS, (40, 41), True, When(40, NEVER)),
        (ALWAYS, (0, 0), False, When(0, NEVER, (), None, True)),
        (NEVER_TRUE, (0, 0), False, When(40, NEVER, (), None, True)),
        (NEVER_TRUE, (50, 50), False, When(50, NEVER, (), None, True)),
        (Steps((10, 20, 30), (2, 2, 2), (2, 0, 2), 0), (0, 0), False, When(30, NEVER, (), None, True)),
    ],
)
def test_the_last_stay_is_for_good(steps, after, covers, expected):
    assert last_stay(steps, When(*after), 40, covers=covers) == expected


def test_a_last_stay_keeps_that_its_reference_lies_beyond_the_record():
    assert last_stay(ALWAYS, When(0, 5, (), None, True), 40, covers=True) == When(0, 5, (), None, True)
