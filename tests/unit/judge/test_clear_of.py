"""A signal that is clear of its limits by its extremes is within them at every instant: the short way against the general one."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from curewright.judge.conditions import within
from curewright.judge.envelope import GREATEST, LEAST, ONE, Atom, Envelope
from curewright.judge.limits import Pair, Threshold
from curewright.judge.steps import TRUE
from curewright.judge.trace import Trace


def random_trace(random, name):
    """Steep and flat, a few ns or far between samples, near a limit or far off, now and then with a gap."""
    n = random.choice([1, 2, 6, 12])
    t = np.cumsum(np.array([random.choice([1, 3, 10**9]) for _ in range(n)], np.int64))
    v = np.array([float(random.choice([0, 1, 2, 3, 4, 5, 1000, 10**9])) for _ in range(n)])
    link = np.array([random.choice([0] * 12 + [1]) for _ in range(n)], np.uint8)
    link[-1] = 1
    return Trace(name, t, v, link, random.random() < 0.2)


def random_pair(random):
    def end(values):
        return None if random.random() < 0.3 else Threshold(random.choice(values), random.random() < 0.5)

    return Pair(end([-4.0, -3.5, -3.0, -1.0, 0.0, 0.5]), end([4.0, 7.0, 8.0, 8.5, 1003.0, 2e9]))


@pytest.mark.parametrize("seed", range(60))
def test_clear_of_is_within(seed):
    random = Random(seed)
    clear = 0
    for _ in range(40):
        kind = random.choice([ONE, LEAST, GREATEST])
        count = 1 if kind == ONE else random.choice([1, 2, 3])
        traces = [random_trace(random, f"TC{i}") for i in range(count)]
        signal = Envelope(kind, tuple(Atom(trace.name, trace, ()) for trace in traces))
        edges = [int(edge) + random.choice([-1, 0, 1]) for trace in traces for edge in trace.t]
        start, end = sorted(random.choices(edges, k=2))
        pair = random_pair(random)
        if signal.clear_of(pair, start, end):
            clear += 1
            assert within(signal, pair).over(start, end) == {TRUE}
    assert clear


def test_nothing_is_clear_by_a_hair_nor_where_it_is_unknown():
    trace = Trace("TC1", np.array([0, 10]), np.array([10.0, 20.0]), np.array([0, 1], np.uint8))
    signal = Envelope(ONE, (Atom("TC1", trace, ()),))
    assert signal.clear_of(Pair(Threshold(7.0, False), None), 0, 10)
    assert not signal.clear_of(Pair(Threshold(7.5, False), None), 0, 10)
    assert signal.clear_of(Pair(None, Threshold(23.0, False)), 0, 10)
    assert not signal.clear_of(Pair(None, Threshold(22.5, False)), 0, 10)
    assert not signal.clear_of(Pair(Threshold(0.0, False), None), 0, 11)
    aside = Envelope(ONE, (Atom("TC1", trace, (), ((2, 3),)),))
    assert not aside.clear_of(Pair(Threshold(0.0, False), None), 0, 10)
    assert not Envelope(ONE, ()).clear_of(Pair(None, None), 0, 10)
