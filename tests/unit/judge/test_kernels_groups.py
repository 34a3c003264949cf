"""A level asked of several traces in one call, against the kernel for one and the joining of what they give."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from curewright.judge.kernels import extremes, groups
from curewright.judge.steps import FALSE, TRUE, UNKNOWN, Steps, all_of, any_of
from curewright.judge.trace import Trace
from curewright.physics.compiled import uncompiled


def random_trace(random, name):
    n = random.choice([0, 1, 5, 40, 300])
    t = np.cumsum(np.array([random.choice([1, 2, 7]) for _ in range(n)], np.int64))
    v = np.array([float(random.randint(0, 6)) for _ in range(n)])
    link = np.array([random.choice([0, 0, 0, 0, 1, 2]) for _ in range(n)], np.uint8)
    if n:
        link[-1] = 1
    return Trace(name, t, v, link, random.random() < 0.3)


@pytest.mark.parametrize("seed", range(30))
def test_as_one_by_one(seed):
    random = Random(seed)
    traces = [random_trace(random, f"TC{i}") for i in range(random.choice([2, 3, 6]))]
    level, strict = random.choice([0.0, 2.0, 2.5, 6.0, 9.0]), random.random() < 0.5
    rows = np.stack([trace.addresses for trace in traces])
    parts = [trace.above(level) if strict else trace.at_least(level) for trace in traces]
    for decisive, join in ((FALSE, all_of), (TRUE, any_of)):
        times, codes, offsets, all_times, all_codes, before = groups.group_changes(rows, level, strict, decisive)
        assert Steps.of_arrays(all_times, all_codes, int(before)) == join(parts)
        for first, last, part in zip(offsets, offsets[1:], parts, strict=False):
            assert Steps.of_arrays(times[first:last], codes[first:last], UNKNOWN) == part


@pytest.mark.parametrize("seed", range(30))
def test_extremes_as_one_by_one(seed):
    random = Random(seed)
    traces = [random_trace(random, f"TC{i}") for i in range(4)]
    rows = np.stack([trace.addresses for trace in traces])
    start = random.randint(-5, 100)
    end = start + random.choice([0, 1, 30, 500])
    values, instants = groups.group_extremes(rows, start, end)
    for trace, (least, most), (known, *rest) in zip(traces, values.tolist(), instants.tolist(), strict=True):
        alone = extremes.extremes(*trace.packed, start, end)
        assert alone == (bool(known), least, rest[0], most, rest[1], rest[2], rest[3])


@pytest.mark.parametrize("seed", range(30))
def test_two_levels_as_one_by_one(seed):
    random = Random(seed)
    low, high = sorted(random.sample([0.0, 2.0, 2.5, 4.0, 6.0], 2))
    above, below = random.random() < 0.5, random.random() < 0.5
    trace = random_trace(random, "TC1")
    found = trace.between(low, high, above=above, below=below)
    asked = dict(trace.levels_asked())
    plain = replace(trace)
    parts = (plain.above(low) if above else plain.at_least(low), plain.below(high) if below else plain.at_most(high))
    assert found == all_of(parts)
    assert asked == plain.levels_asked()


def test_an_array_of_another_kind_is_refused():
    """By the signature of the kernel, so not where it runs as plain Python."""
    trace = Trace("TC1", np.arange(4), np.arange(4.0), np.zeros(4, np.uint8))
    trace.__dict__["packed"] = (*trace.packed[:2], trace.link.astype(np.int64), *trace.packed[3:])
    if uncompiled():
        assert trace.addresses[6] == 4
    else:
        with pytest.raises(TypeError):
            _ = trace.addresses
