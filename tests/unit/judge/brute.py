"""What a trace is, worked out slowly with exact fractions: the independent side of the tests of the kernels."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from curewright.judge.kernels import levels

FOREVER = 2**62


def arrays(t, v, link=None):
    """A trace as kernels take it; ``link`` is joined throughout where it is not given."""
    link = [0] * (len(t) - 1) + [1] if link is None else link
    return np.array(t, np.int64), np.array(v, float), np.array(link, np.uint8)


def packed(t, v, link=None, hold=False):
    t, v, link = arrays(t, v, link)
    return (t, v, link, hold, *levels.summarise(v, link))


def value(t, v, link, hold, instant):
    """The value at an instant, rounded to a whole grain (half to even); None where it is not known."""
    for i, there in enumerate(t):
        if there == instant:
            return v[i]
        if i + 1 < len(t) and there < instant < t[i + 1]:
            if link[i]:
                return None
            return v[i] if hold else round(v[i] + Fraction((v[i + 1] - v[i]) * (instant - there), t[i + 1] - there))
    return None


def unknown(t, link):
    """All open stretches that are not known, in order."""
    if not len(t):
        return [(-FOREVER, FOREVER)]
    broken = [(t[i], t[i + 1]) for i in range(len(t) - 1) if link[i]]
    return [(-FOREVER, t[0]), *broken, (t[-1], FOREVER)]


def normal(points, before=1):
    """(time, at, after) in order without those at which nothing changes."""
    found, last = [], before
    for time, at, after in points:
        if not last == at == after:
            found.append((time, at, after))
        last = after
    return found
