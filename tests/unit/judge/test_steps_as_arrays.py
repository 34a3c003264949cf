"""Steps kept as arrays answer by kernels: against the plain walk over the same changes."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from curewright.judge.steps import FALSE, NEVER, TRUE, UNKNOWN, Steps

SOME = [(TRUE,), (UNKNOWN, TRUE), (FALSE,), (FALSE, UNKNOWN)]


def both_ways(random):
    """The same random steps as tuples and as arrays."""
    n = random.randint(0, 9)
    times = tuple(sorted(random.sample(range(1, 30), n)))
    at, after = (tuple(random.choice([FALSE, UNKNOWN, TRUE]) for _ in times) for _ in range(2))
    before = random.choice([FALSE, UNKNOWN, TRUE])
    codes = np.array([at, after], np.uint8).T.reshape(-1, 2)
    return Steps(times, at, after, before), Steps.of_arrays(
        np.array(times, np.int64), np.ascontiguousarray(codes), before
    )


@pytest.mark.parametrize("seed", range(40))
def test_the_same_answers(seed):
    random = Random(seed)
    plain, arrays = both_ways(random)
    for start in range(31):
        for end in range(start - 1, 31, 3):
            assert arrays.over(start, end) == {code for _, _, code in plain.pieces(start, end)}
            for codes in SOME:
                walked = list(plain.each_stretch(start, end, codes))
                assert arrays.stretches(start, end, codes) == walked
                for stays, cut in ((0, False), (3, False), (3, True)):
                    fitting = [a for a, b in walked if b - a >= stays or (cut and b == end)]
                    found = arrays.first_stretch(start, end, codes, stays, cut_counts=cut)
                    assert found == (fitting[0] if fitting else NEVER)
    assert "times" not in arrays.__dict__
