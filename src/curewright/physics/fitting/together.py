"""Samples that go together: how much less a series of residuals says than as many independent ones would.

Standard errors of least squares take residuals for independent. Where neighbours are alike with correlation r (first-order
autoregression), as many samples say only as much as a share (1 - r)/(1 + r) of them, and standard errors are √((1 + r)/(1 - r)) times
wider (a textbook approximation for long series, from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

MOST = 0.9999  # nothing is told of a correlation that is nearer to 1


def along(pieces: Iterable[NDArray[np.float64]]) -> float:
    """Correlation of neighbouring residuals, over several series each in the order of time, shape (n,); 0 where there are none.

    >>> along([np.array([1.0, -1.0, 1.0, -1.0])])
    -0.75
    """
    total = product = 0.0
    for piece in pieces:
        total += float(piece @ piece)
        product += float(piece[1:] @ piece[:-1])
    return product / total if total else 0.0


def widening(r: float) -> float:
    """By what standard errors are multiplied for neighbours with correlation r; never below 1.

    >>> widening(0.6), widening(-0.3)
    (2.0, 1.0)
    """
    held = min(max(r, 0.0), MOST)
    return float(np.sqrt((1.0 + held) / (1.0 - held)))
